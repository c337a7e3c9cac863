"""The page that says how big."""
