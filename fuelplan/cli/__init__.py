"""The command line: results on stdout, progress on stderr. Exit 0 ok, 2 bad input or usage, 3 weather not to
be had.
"""

from fuelplan.cli.main import main

__all__ = ["main"]
