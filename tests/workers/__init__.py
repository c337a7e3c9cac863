"""Tests of the room `workers`."""
