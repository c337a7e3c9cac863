"""Tests of the room `charts`."""
