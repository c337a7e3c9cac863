"""What is said, as data; all cautions together."""
