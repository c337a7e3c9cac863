"""The page that says what the house burns."""
