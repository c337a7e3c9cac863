"""Deciding when to order and how much."""
