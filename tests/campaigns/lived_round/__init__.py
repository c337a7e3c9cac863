"""A fuel supplier's four weeks, lived day by day: nothing that was entered or published may be lost."""
