"""Where pieces of work are done, whatever does them."""

from __future__ import annotations

from concurrent.futures import Future
from typing import Any, Protocol

from fuelplan.messages import Refusal

MOST_LOST = 3
"""Workers that one piece may lose before it is given up: the piece is what kills them."""


class WorkersError(Refusal):
    """Workers that cannot be had or have gone, and what to do instead."""


class WorkPlace(Protocol):
    """Where pieces are done: something with room for a few of them at a time.

    `submit` returns a future of :mod:`concurrent.futures`. Where it, or the future, raises an error that
    `lost` knows, the worker died, and `renew` is called before the next piece.
    """

    def room(self) -> int:
        """Return how many pieces may be under way here at once."""

    def submit(self, piece: Any) -> Future[Any]:
        """Hand a piece over."""

    def lost(self, error: BaseException) -> int:
        """Return how many workers an error tells the loss of; 0 where the work itself failed."""

    def renew(self) -> None:
        """Make good what was lost."""

    def watch(self) -> None:
        """Raise WorkersError where no result can be hoped for any more."""
