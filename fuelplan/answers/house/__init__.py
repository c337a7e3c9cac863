"""A house's folder: made, changed, written into."""
