"""Tests of the room `ordering`."""
