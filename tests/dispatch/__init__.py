"""Tests of the room `dispatch`."""
