"""Tests of the room `papers`."""
