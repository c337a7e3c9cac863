"""Writing `published.csv`: the stops of some days replaced in one step, while nobody else writes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from fuelplan.records.folder import BookRow
from fuelplan.records.round.edit import RoundRules, round_books
from fuelplan.records.round.folder import Round, open_round
from fuelplan.records.round.published import PublishedStop, cells_of_stop


def write_published(path: Path | str, rows: Iterable[PublishedStop], *, known: Round | None = None) -> None:
    """Replace the stops of `published.csv` by others, sorted by day, tanker, run and place.

    Rows that cannot be read stay as they are, after the others. Columns of a person's own stay with their
    stop: that of the same day, customer and class.

    Raises
    ------
    RoundFaults
        Where a stop cannot be right; nothing is written.
    EditError
        Where the file cannot be changed; nothing is written.
    """
    round_books(path, known).publish("published", lambda _: _cells(rows))


def publish(
    path: Path | str, change: Callable[[Round], Iterable[PublishedStop]], *, sound_only: bool = False
) -> None:
    """Replace the stops of `published.csv` by what `change` makes of the folder as it is now.

    The folder is held from before it is read until the file stands: nobody publishes in between. What
    `change` raises is raised, and nothing is written; other errors as in :func:`write_published`.

    Parameters
    ----------
    change
        Called with the round as it is now; gives all stops that are to stand.
    sound_only
        See :func:`open_round`.
    """
    rules = RoundRules(path)

    def made(_: tuple[BookRow, ...]) -> list[Mapping[str, str]]:
        rules.known = open_round(path, sound_only=sound_only)
        return _cells(change(rules.known))

    rules.books().publish("published", made)


def _cells(rows: Iterable[PublishedStop]) -> list[Mapping[str, str]]:
    stops = sorted(rows, key=lambda stop: (stop.day, stop.tanker, stop.trip, stop.position))
    return [cells_of_stop(stop) for stop in stops]
