"""A site and a round, kept in folders."""
