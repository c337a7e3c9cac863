"""The keys and columns of a site."""
