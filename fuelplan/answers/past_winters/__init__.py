"""The plan of a round against simpler rules, over past winters."""
