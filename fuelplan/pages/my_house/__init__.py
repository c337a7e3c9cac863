"""The page of a house's own settings."""
