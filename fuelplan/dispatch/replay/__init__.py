"""Past winters played again without peeking."""
