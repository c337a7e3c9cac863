"""The page that brings a sheet in."""
