"""Distances and times from a table service at an address that the user gives."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import SplitResult, quote

import numpy as np
from numpy.typing import NDArray

from fuelplan.dispatch.roads import Roads
from fuelplan.dispatch.roads.great_circle import checked_places
from fuelplan.dispatch.roads.sources.faults import RoadServiceError
from fuelplan.dispatch.roads.sources.http_get import LARGEST_ANSWER, TryAgain, checked_address, get
from fuelplan.dispatch.roads.sources.leg_store import LegStore, default_path
from fuelplan.messages import Own, message, said_by
from fuelplan.units import one_line

Floats32 = NDArray[np.float32]
Ints = NDArray[np.int64]
Progress = Callable[[float], None]

LONGEST_URL = 8_000
MOST_POINTS = 100  # in one question; what public services allow as a rule
_MOST_METRES = 2e7
_MOST_SECONDS = 2e6


@dataclass(frozen=True)
class TableService:
    """A table service and how to treat it.

    Attributes
    ----------
    address
        Such as "http://localhost:5000"; http or https.
    profile
        The service's name for the kind of vehicle.
    attribution
        What must be shown with its figures.
    time_out_s
        For one question, asked a second time where that may help. [s]
    most_points
        Coordinates in one question.
    pause_s
        Between two questions, for a service that asks for it.
    """

    address: str
    profile: str = "driving"
    attribution: str = ""
    time_out_s: float = 20.0
    most_points: int = MOST_POINTS
    pause_s: float = 0.0
    largest_answer: int = LARGEST_ANSWER


def roads_from_service(
    service: TableService,
    lat: Sequence[float],
    lon: Sequence[float],
    store: Path | None = None,
    progress: Progress | None = None,
) -> Roads:
    """Return the table of a service, asking only for the pairs that were never asked for before.

    The open routing-table convention::

        GET {address}/table/v1/{profile}/{lon},{lat};…?sources=…&destinations=…&annotations=distance,duration

    answered by ``{"code": "Ok", "distances": [[m]], "durations": [[s]]}``,
    null where there is no road. Questions go out in blocks of at most `most_points` coordinates and 8,000
    characters; each is asked a second time when the server is busy, slow or breaks off. What was answered
    stays in the store, also when a later question fails.

    Raises
    ------
    RoadServiceError
        In one sentence: no address, no answer, no table.
    """
    parts = checked_address(service.address)
    if service.most_points < 2:
        raise ValueError(f"most_points is {service.most_points}; a question needs at least 2 coordinates")
    a, b = checked_places(lat, lon)
    path = store if store is not None else default_path()
    legs = LegStore(path, service.address.strip().rstrip("/"), service.profile)
    metres, seconds = legs.read(a.tolist(), b.tolist())
    np.fill_diagonal(metres, 0.0)
    np.fill_diagonal(seconds, 0.0)
    blocks = list(_blocks(np.isnan(metres) | np.isnan(seconds), service.most_points))
    for done, (rows, columns) in enumerate(blocks):
        m, s = _asked(service, parts, a, b, rows, columns)
        legs.write(a[rows].tolist(), b[rows].tolist(), a[columns].tolist(), b[columns].tolist(), m, s)
        metres[np.ix_(rows, columns)] = m
        seconds[np.ix_(rows, columns)] = s
        if progress is not None:
            progress((done + 1) / len(blocks))
        if service.pause_s > 0.0 and done + 1 < len(blocks):
            time.sleep(service.pause_s)
    np.fill_diagonal(metres, 0.0)
    np.fill_diagonal(seconds, 0.0)
    gone = np.isinf(metres) | np.isinf(seconds)
    metres[gone] = np.inf
    seconds[gone] = np.inf
    return Roads(
        (metres / np.float32(1000.0)).astype(np.float32),
        (seconds / np.float32(3600.0)).astype(np.float32),
        message(
            "roads.service", "table service at {address}, profile {profile}",
            address=Own(parts.netloc), profile=Own(service.profile),
        ),
        service.attribution,
    )  # fmt: skip


def _blocks(missing: NDArray[np.bool_], most_points: int) -> list[tuple[Ints, Ints]]:
    """Return (rows, columns) of the questions that fetch every missing pair.

    Rows that lack the same columns go together, so that one new customer among a thousand known ones costs
    one row and one column and not the whole table.
    """
    half = max(1, most_points // 2)
    groups: dict[bytes, list[int]] = {}
    open_rows = np.flatnonzero(missing.any(axis=1))
    missing = missing.copy()
    # A place never lacks the way to itself; where most others lack the way to it, asking for that one cell
    # along keeps the block in one piece.
    wanted_by = missing[open_rows].sum(axis=0)
    missing[open_rows, open_rows] = 2 * wanted_by[open_rows] >= len(open_rows)
    for i in open_rows:
        groups.setdefault(missing[i].tobytes(), []).append(int(i))
    out = []
    for rows in groups.values():
        columns = np.flatnonzero(missing[rows[0]])
        # few rows leave more of a question to the columns, and the other way round
        tall = min(len(rows), max(half, most_points - len(columns)))
        wide = most_points - tall
        for r in range(0, len(rows), tall):
            for c in range(0, len(columns), wide):
                out.append((np.array(rows[r : r + tall]), columns[c : c + wide]))
    return out


def _path(service: TableService, parts: SplitResult, a: Any, b: Any, rows: Ints, columns: Ints) -> str:
    """Return the path of a question; a place that is a row and a column is written once."""
    points = list(dict.fromkeys([*rows.tolist(), *columns.tolist()]))
    number = {p: i for i, p in enumerate(points)}
    coordinates = ";".join(f"{b[p]:.6f},{a[p]:.6f}" for p in points)
    sources = ";".join(str(number[p]) for p in rows.tolist())
    destinations = ";".join(str(number[p]) for p in columns.tolist())
    base = parts.path.rstrip("/")
    return (
        f"{base}/table/v1/{quote(service.profile, safe='')}/{coordinates}"
        f"?sources={sources}&destinations={destinations}&annotations=distance,duration"
    )


def _asked(
    service: TableService, parts: SplitResult, a: Any, b: Any, rows: Ints, columns: Ints
) -> tuple[Floats32, Floats32]:
    """Return one block of the table, in as many questions as the length of an address allows."""
    path = _path(service, parts, a, b, rows, columns)
    if len(path) + len(service.address) > LONGEST_URL and len(rows) + len(columns) > 2:
        if len(rows) >= len(columns):
            cut = len(rows) // 2
            halves = [_asked(service, parts, a, b, part, columns) for part in (rows[:cut], rows[cut:])]
            return np.vstack([h[0] for h in halves]), np.vstack([h[1] for h in halves])
        cut = len(columns) // 2
        halves = [_asked(service, parts, a, b, rows, part) for part in (columns[:cut], columns[cut:])]
        return np.hstack([h[0] for h in halves]), np.hstack([h[1] for h in halves])
    try:
        body = _twice(service, parts, path)
    except TryAgain as error:
        said = message("road_service.asked_twice", "{what}; it was asked twice", what=said_by(error))
        raise RoadServiceError(said) from None
    return _tables(body, len(rows), len(columns), parts.netloc)


def _twice(service: TableService, parts: SplitResult, path: str) -> bytes:
    """Ask, and ask once more where that may help; both in the time for one question."""
    whole = service.time_out_s
    end = time.monotonic() + whole
    try:
        return get(parts, path, whole / 2, service.largest_answer, whole)
    except TryAgain:
        left = min(max(end - time.monotonic(), 0.1), whole / 2)
        return get(parts, path, left, service.largest_answer, whole)


def _tables(body: bytes, rows: int, columns: int, host: str) -> tuple[Floats32, Floats32]:
    """Return metres and seconds of an answer, inf where there is no road."""
    try:
        answer = json.loads(body)
    except (ValueError, RecursionError):
        answer = None
    if not isinstance(answer, dict):
        raise RoadServiceError(
            message(
                "road_service.no_table",
                "{host} answered with something that is not a table; is the address right?", host=Own(host),
            )
        )  # fmt: skip
    if answer.get("code") != "Ok":
        said = one_line(str(answer.get("message") or answer.get("code") or "nothing"))[:200]
        raise RoadServiceError(
            message(
                "road_service.says", "{host} refused the question and says: {said}", host=Own(host),
                said=Own(said),
            )
        )  # fmt: skip
    return (
        _table(answer.get("distances"), rows, columns, _MOST_METRES, "distances", host),
        _table(answer.get("durations"), rows, columns, _MOST_SECONDS, "durations", host),
    )


def _table(value: object, rows: int, columns: int, most: float, name: str, host: str) -> Floats32:
    """Return one table of an answer after checking every cell."""
    if not isinstance(value, list) or len(value) != rows:
        raise RoadServiceError(
            message(
                "road_service.incomplete", 'in the answer of {host}, "{name}" is not for all {rows} places',
                host=Own(host), name=Own(name), rows=rows,
            )
        )  # fmt: skip
    out = np.empty((rows, columns), dtype=np.float32)
    for i, line in enumerate(value):
        if not isinstance(line, list) or len(line) != columns:
            raise RoadServiceError(
                message(
                    "road_service.shape",
                    'in the answer of {host}, "{name}" has another shape than the question',
                    host=Own(host), name=Own(name),
                )
            )  # fmt: skip
        for j, cell in enumerate(line):
            if cell is None:
                out[i, j] = np.inf
            elif isinstance(cell, bool) or not isinstance(cell, int | float) or not 0 <= cell <= most:
                sent = one_line(str(cell))[:40]
                raise RoadServiceError(
                    message(
                        "road_service.cell",
                        'in the answer of {host}, "{name}" holds {sent}, which cannot be',
                        host=Own(host), name=Own(name), sent=Own(sent),
                    )
                )  # fmt: skip
            else:
                out[i, j] = cell
    return out
