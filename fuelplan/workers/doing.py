"""Hand pieces out, take results in, and do again what a dead worker leaves behind."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass
from typing import Any, TypeVar

from fuelplan.messages import Said, as_message, message
from fuelplan.workers.crew import Crew
from fuelplan.workers.place import MOST_LOST, WorkersError, WorkPlace

Shared = TypeVar("Shared")
Piece = TypeVar("Piece")
Result = TypeVar("Result")

LOOK_S = 1.0
"""How often the workers are looked after while nothing comes. [s]"""


class PieceLost(WorkersError):
    """A piece whose worker died every time, named."""


@dataclass
class _Todo:
    number: int
    piece: Any
    lost: int = 0


def results(
    crew: Crew,
    work: Callable[[Shared, Piece], Result],
    shared: Shared,
    pieces: Iterable[Piece],
    called: Callable[[Piece], Said] = str,
) -> Iterator[tuple[int, Result]]:
    """Yield (number of the piece, result) as they come, in any order; each number exactly once.

    Parameters
    ----------
    crew
        Who does the work; an empty crew is this process, where pieces are done one after the other.
    work
        A function of a module, since other processes find it by its name.
    shared
        What every piece needs; it is sent to each worker once.
    pieces
        Taken one after the other as workers become free, so that few lie in memory.
    called
        What a person calls a piece, for messages.

    Yields
    ------
    tuple of int and Result
        Number of the piece, from 0 on, and what `work` returned.

    Raises
    ------
    PieceLost
        For a piece whose worker died :data:`MOST_LOST` times.
    WorkersError
        Where there are no workers, or none is left.
    Exception
        Whatever `work` raises for a piece; what is not yet begun is not done any more.
    """
    if crew.here:
        for number, piece in enumerate(pieces):
            yield number, work(shared, piece)
        return
    with crew.places(work, shared) as places:
        yield from _Doing(places, pieces, called).results()


def done_in_order(
    crew: Crew,
    work: Callable[[Shared, Piece], Result],
    shared: Shared,
    pieces: Iterable[Piece],
    called: Callable[[Piece], Said] = str,
) -> Iterator[Result]:
    """Yield the results in the order of the pieces; what comes early waits. Otherwise as :func:`results`.

    Parameters
    ----------
    crew
        Who does the work.
    work
        A function of a module, since other processes find it by its name.
    shared
        What every piece needs; it is sent to each worker once.
    pieces
        Taken one after the other as workers become free.
    called
        What a person calls a piece, for messages.

    Yields
    ------
    Result
        One for each piece.
    """
    early: dict[int, Result] = {}
    following = 0
    for number, result in results(crew, work, shared, pieces, called):
        early[number] = result
        while following in early:
            yield early.pop(following)
            following += 1


class _Doing:
    """What is under way, and what waits because its worker died."""

    def __init__(self, places: list[WorkPlace], pieces: Iterable[Any], called: Callable[[Any], Said]) -> None:
        self.places = places
        self.source = enumerate(pieces)
        self.called = called
        self.again: deque[_Todo] = deque()
        self.busy: dict[Future[Any], tuple[_Todo, WorkPlace]] = {}

    def results(self) -> Iterator[tuple[int, Any]]:
        try:
            while True:
                self._hand_out()
                if not self.busy:
                    return
                ended, _ = wait(self.busy, timeout=LOOK_S, return_when=FIRST_COMPLETED)
                for place in self.places:
                    place.watch()
                for future in ended:
                    todo, place = self.busy.pop(future)
                    error = _error_of(future)
                    if error is None:
                        yield todo.number, future.result()
                    else:
                        self._do_again(todo, place, error)
        finally:
            for future in self.busy:
                future.cancel()

    def _hand_out(self) -> None:
        """Give every free place a piece; those whose worker died come first, and to any place."""
        for place in self.places:
            under_way = sum(at is place for _, at in self.busy.values())
            while under_way < place.room() and (todo := self._next()) is not None:
                try:
                    self.busy[place.submit(todo.piece)] = todo, place
                    under_way += 1
                except Exception as error:
                    self._do_again(todo, place, error)

    def _next(self) -> _Todo | None:
        if self.again:
            return self.again.popleft()
        found = next(self.source, None)
        return None if found is None else _Todo(*found)

    def _do_again(self, todo: _Todo, place: WorkPlace, error: BaseException) -> None:
        """Put a piece back whose worker died; raise what the work itself raised."""
        workers = place.lost(error)
        if not workers:
            raise error
        todo.lost += workers
        if todo.lost >= MOST_LOST:
            raise PieceLost(
                message(
                    "workers.died",
                    "the worker died {n} times at {piece}: that piece needs more memory than there is, "
                    "or ends its process; the rest was not done to the end", n=todo.lost,
                    piece=as_message(self.called(todo.piece)),
                )
            ) from error  # fmt: skip
        self.again.append(todo)
        place.renew()


def _error_of(future: Future[Any]) -> BaseException | None:
    """Return what went wrong; a future that somebody else cancelled went wrong, too."""
    from concurrent.futures import CancelledError

    try:
        return future.exception()
    except CancelledError as error:
        return error
