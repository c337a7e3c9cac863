"""Independent pieces of work done in this process, in processes of this machine, or on a dask cluster.

Nothing of the job is known here. Whoever has pieces gives a function, what all pieces share, and the pieces;
results come back in any order, each with the number of its piece, and the caller joins them in the fixed one.
A worker that dies in the middle loses nothing: its piece is done again by another.
"""

from fuelplan.workers.crew import HERE, Crew, crew_of
from fuelplan.workers.doing import PieceLost, done_in_order, results
from fuelplan.workers.place import MOST_LOST, WorkersError

__all__ = [
    "HERE", "MOST_LOST", "Crew", "PieceLost", "WorkersError", "crew_of", "done_in_order", "results",
]  # fmt: skip
