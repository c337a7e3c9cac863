"""Tests of the room `heat`."""
