"""The page that says when to order."""
