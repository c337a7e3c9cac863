"""Tests of the room `messages`."""
