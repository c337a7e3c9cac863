"""The page that sets up a new house."""
