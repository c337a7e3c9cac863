"""Tests; a package, so that an installed package of the same name does not stand in its place."""
