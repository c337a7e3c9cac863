"""Long campaigns against faults, each a command run by hand; a short profile of each is in the suite."""
