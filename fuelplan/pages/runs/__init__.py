"""The page of a supplier’s runs."""
