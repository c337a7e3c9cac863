"""Tests of the room `pages`."""
