"""Who does the work: this process, some processes of this machine, or the workers of a dask scheduler."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from fuelplan.messages import Own, message
from fuelplan.workers.place import WorkersError, WorkPlace

ADDRESS = re.compile(r"((tcp|tls)://)?[^\s/:\[\]]+:\d{1,5}|((tcp|tls)://)?\[[0-9A-Fa-f:.]+\]:\d{1,5}")
MOST_PROCESSES = 64


@dataclass(frozen=True)
class Crew:
    """Who does the work.

    Attributes
    ----------
    processes
        Processes of this machine, 0 for none but this one.
    scheduler
        Address of a dask scheduler, e.g. "tcp://10.0.0.5:8786", or None.
    """

    processes: int = 0
    scheduler: str | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be, before any work."""
        if not 0 <= self.processes <= MOST_PROCESSES:
            raise WorkersError(
                message(
                    "workers.number", "{n} workers; write 0 to {most}", n=self.processes, most=MOST_PROCESSES
                )
            )
        if self.scheduler is not None and not ADDRESS.fullmatch(self.scheduler):
            raise WorkersError(
                message(
                    "workers.address",
                    '"{address}" is not a valid address of a scheduler; write it as tcp://HOST:PORT or '
                    "tls://HOST:PORT", address=Own(self.scheduler),
                )
            )  # fmt: skip
        if self.scheduler is not None and self.processes:
            raise WorkersError(
                message(
                    "workers.both",
                    "a scheduler has workers of its own; give either their number or the scheduler's address",
                )
            )

    @property
    def here(self) -> bool:
        """Whether this process does all the work."""
        return self.scheduler is None and self.processes == 0

    @contextmanager
    def places(self, work: Callable[[Any, Any], Any], shared: Any) -> Iterator[list[WorkPlace]]:
        """Open the places, each ready to do `work(shared, piece)`.

        Parameters
        ----------
        work
            A function of a module, called as `work(shared, piece)`.
        shared
            What every piece needs; sent once to each place.

        Yields
        ------
        list of WorkPlace
            One for each process of this machine, or one for a whole dask scheduler; closed at the end.
        """
        if self.scheduler is not None:
            from fuelplan.workers.cluster import cluster

            with cluster(self.scheduler, work, shared) as place:
                yield [place]
            return
        from fuelplan.workers.processes import lanes

        with lanes(self.processes, work, shared) as many:
            yield list(many)


HERE = Crew()
"""This process alone."""


def crew_of(processes: int | None, scheduler: str | None) -> Crew:
    """Return the crew that a person asked for; nothing asked for: this process.

    Parameters
    ----------
    processes
        Processes of this machine; None or 0 for none but this one.
    scheduler
        Address of a dask scheduler, as tcp://HOST:PORT or tls://HOST:PORT, or None.

    Returns
    -------
    Crew
        The two together are refused by `Crew` with a WorkersError.
    """
    return Crew(processes or 0, scheduler)
