"""The keys and columns of a round."""
