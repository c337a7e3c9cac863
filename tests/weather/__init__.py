"""Tests of the room `weather`."""
