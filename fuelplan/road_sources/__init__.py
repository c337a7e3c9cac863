"""Distances from a file or from a table service: the only reading and writing of road data."""
