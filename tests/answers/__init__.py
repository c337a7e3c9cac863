"""Tests of the room `answers`."""
