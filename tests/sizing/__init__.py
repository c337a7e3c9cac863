"""Tests of the room `sizing`."""
