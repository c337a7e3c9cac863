"""A person's own table of distances: a line per pair, or a square table."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fuelplan import files
from fuelplan.dispatch.roads import LORRY, Roads, Speed, driving_h
from fuelplan.dispatch.roads.sources.faults import RoadFileFaults
from fuelplan.messages import Fault, Message, Number, Own, as_message, counted_message, message
from fuelplan.weather.sources import cells, guess_separator

LARGEST_FILE = 400_000_000
LONGEST_LINE = 200_000
MOST_PLACES = 5_000
MOST_FAULTS = 1_000

_MOST_KM = 5_000.0
_MOST_MINUTES = 6_000.0
_FASTEST_KM_H = 150.0
_NUMBER = re.compile(r"[+-]?(\d+([.]\d*)?|[.]\d+)$")
_FROM = ("from", "from_place", "origin")
_TO = ("to", "to_place", "destination")


@dataclass(frozen=True)
class NamedRoads:
    """Roads with the names of their rows; `notes` are sentences to show with them."""

    names: tuple[str, ...]
    roads: Roads
    notes: tuple[Message, ...] = ()


class _Faults:
    """All faults of a file, up to a number that a person can read."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.found: list[Fault] = []
        self.more = 0

    def add(self, line: int | None, column: str, said: Message) -> None:
        """Keep a fault."""
        if len(self.found) < MOST_FAULTS:
            self.found.append(Fault(self.file, line, column, said))
        else:
            self.more += 1

    def done(self) -> None:
        """Raise when there are any."""
        if self.more:
            more = counted_message("matrix.more", "and {n} more fault", "and {n} more faults", self.more)
            self.found.append(Fault(self.file, None, "", more))
        if self.found:
            raise RoadFileFaults(self.found)


def _lines(path: Path, faults: _Faults) -> Iterator[tuple[int, str]]:
    """Yield number and text of each line that holds something; remarks begin with #."""
    try:
        with files.open_file(path) as file:
            if os.fstat(file.fileno()).st_size > LARGEST_FILE:
                large = message(
                    "matrix.large", "is larger than {n} MB; give a smaller table", n=LARGEST_FILE // 1_000_000
                )
                faults.add(None, "", large)
                return
            number = 0
            while raw := file.readline(LONGEST_LINE + 1):
                number += 1
                if len(raw) > LONGEST_LINE or b"\0" in raw:
                    said = message(
                        "matrix.no_line", "this is not a line of a table; save the table as CSV in UTF-8"
                    )
                    faults.add(number, "", said)
                    return
                try:
                    text = raw.decode("utf-8").removeprefix("\ufeff").rstrip("\r\n")
                except UnicodeDecodeError:
                    said = message("matrix.not_utf8", "the line is not UTF-8; save the table as CSV in UTF-8")
                    faults.add(number, "", said)
                    return
                if text.strip() and not text.startswith("#"):
                    yield number, text
    except files.NotAFile as error:
        why = as_message(str(error.strerror))
        faults.add(None, "", message("matrix.not_a_file", "{why}; give a table saved as CSV", why=why))
    except OSError as error:
        why = as_message(str(error.strerror))
        said = message("matrix.unreadable", "cannot be read ({why}); check its name and rights", why=why)
        faults.add(None, "", said)


def _value(
    text: str, line: int, column: str, most: float, unit: str, comma: bool, faults: _Faults
) -> float | None:
    """Return the number of a cell, inf where it is empty, None where it is wrong and the fault was kept."""
    if not text:
        return float("inf")
    if comma:
        text = text.replace(",", ".")
    if not _NUMBER.match(text):
        said = message(
            "matrix.no_number", '"{text}" is not a valid number; write {unit}, nothing for no road',
            text=Own(text[:40]), unit=Own(unit),
        )  # fmt: skip
        faults.add(line, column, said)
        return None
    value = float(text)
    if not 0.0 <= value <= most:
        said = message(
            "matrix.out_of_bounds", "{text} {unit} cannot be; write 0 to {most}, or nothing for no road",
            text=Own(text[:40]), unit=Own(unit), most=int(most),
        )  # fmt: skip
        faults.add(line, column, said)
        return None
    return value


def read_matrix(path: Path, speed: Speed = LORRY, minutes_path: Path | None = None) -> NamedRoads:
    """Return the distances and driving times of a CSV file.

    Two forms are read; comma, semicolon or tab separate, and with semicolon or tab a decimal comma is fine:

    - a line per pair, with the header ``from,to,km,minutes`` (``minutes`` may be missing: then the time
      follows from the distance). A pair that is given one way only counts for the way back, too.
    - a square table: names in the first line and the first column, km in the cells (rows: from, columns: to);
      a second such table in `minutes_path` gives the times.

    An empty cell means that there is no road. The way from a place to itself is 0 and may be left out.

    Raises
    ------
    RoadFileFaults
        With all faults of the file at once: line, column, what to write instead.
    """
    faults = _Faults(path.name)
    lines = _lines(path, faults)
    first = next(lines, None)
    if first is None:
        if not faults.found:
            said = message("matrix.empty", "is empty; give the header from,to,km,minutes and a line per pair")
            faults.add(None, "", said)
        faults.done()
        raise AssertionError
    separator = guess_separator(first[1])
    header = [c.strip().lower() for c in cells(first[1], separator)]
    long_form = any(h in _FROM for h in header) and any(h in _TO for h in header)
    if long_form:
        if minutes_path is not None:
            said = message(
                "matrix.second_file", "a line per pair holds its minutes itself; leave the second file out"
            )
            faults.add(first[0], "", said)
        named = _long(header, first[0], lines, separator, path.name, speed, faults)
        faults.done()
        return named
    names, km = _square(cells(first[1], separator), first[0], lines, separator, "km", _MOST_KM, faults)
    faults.done()
    if minutes_path is None:
        roads = Roads(km, driving_h(km, speed), _usual_speed(path.name))
        return NamedRoads(names, roads)
    hours = _minutes(minutes_path, names, separator)
    hours[np.isinf(km)] = np.inf
    source = message(
        "roads.two_files", "distances from {file}, times from {minutes}",
        file=Own(path.name), minutes=Own(minutes_path.name),
    )  # fmt: skip
    return NamedRoads(names, Roads(km, hours, source))


def _usual_speed(file: str) -> Message:
    """Return that a file holds distances alone."""
    return message(
        "roads.file_of_km", "distances from {file}, times by a lorry's usual speed", file=Own(file)
    )


def _minutes(path: Path, names: Sequence[str], separator: str) -> NDArray[np.float32]:
    """Return the times of a second square table, whose names must be those of the first. [h]"""
    faults = _Faults(path.name)
    lines = _lines(path, faults)
    first = next(lines, (1, ""))
    found, minutes = _square(
        cells(first[1], separator), first[0], lines, separator, "minutes", _MOST_MINUTES, faults
    )
    if tuple(found) != tuple(names) and not faults.found:
        said = message(
            "matrix.other_places", "names other places, or in another order, than the table of distances"
        )
        faults.add(first[0], "", said)
    faults.done()
    hours: NDArray[np.float32] = minutes / np.float32(60.0)
    return hours


def _square(
    header: Sequence[str],
    header_line: int,
    lines: Iterator[tuple[int, str]],
    separator: str,
    unit: str,
    most: float,
    faults: _Faults,
) -> tuple[tuple[str, ...], NDArray[np.float32]]:
    """Return names and cells of a square table."""
    names = [h.strip() for h in header[1:]]
    number = {}
    for i, name in enumerate(names):
        if not name:
            said = message("matrix.nameless", "column {n} has no name; name the place", n=i + 2)
            faults.add(header_line, "", said)
        elif name in number:
            said = message("matrix.named_twice", "is named twice; give every place once")
            faults.add(header_line, name, said)
        number[name] = i
    if not names:
        said = message(
            "matrix.no_header", "begins neither with from,to,km,minutes nor with the names of a square table"
        )
        faults.add(header_line, "", said)
    if len(names) > MOST_PLACES:
        faults.add(header_line, "", _too_many(len(names)))
    if not 1 <= len(names) <= MOST_PLACES:
        return (), np.zeros((0, 0), dtype=np.float32)
    table = np.full((len(names), len(names)), np.nan, dtype=np.float32)
    comma = separator != ","
    for line, text in lines:
        row = cells(text, separator)
        if row[0] not in number:
            said = message(
                "matrix.unknown_row", '"{name}" is not in the first line; name the same places',
                name=Own(row[0][:40]),
            )  # fmt: skip
            faults.add(line, "", said)
            continue
        if len(row) != len(names) + 1:
            said = message(
                "matrix.row_length", "has {cells} cells, the first line names {places} places",
                cells=len(row) - 1, places=len(names),
            )  # fmt: skip
            faults.add(line, "", said)
            continue
        i = number[row[0]]
        if not np.isnan(table[i]).all():
            said = message(
                "matrix.row_twice", '"{name}" was there before; give every place one row',
                name=Own(row[0][:40]),
            )  # fmt: skip
            faults.add(line, "", said)
        for j, cell in enumerate(row[1:]):
            if i == j and cell in ("", "-"):
                table[i, j] = 0.0
                continue
            value = _value(cell, line, names[j], most, unit, comma, faults)
            if value is not None:
                table[i, j] = value
    for name, i in number.items():
        if np.isnan(table[i]).all() and not any(f.line for f in faults.found):
            said = message("matrix.no_row", "has no row; give every place of the first line a row")
            faults.add(None, name, said)
    np.fill_diagonal(table, 0.0)
    return tuple(names), table


def _too_many(places: int) -> Message:
    """Return that a table names more places than are read."""
    return message(
        "matrix.many_places", "names {places} places; up to {most} are read", places=places, most=MOST_PLACES
    )


def _columns(header: Sequence[str], line: int, faults: _Faults) -> tuple[int, int, int, int | None] | None:
    """Return the numbers of the columns from, to, km, minutes."""
    start = next(i for i, h in enumerate(header) if h in _FROM)
    end = next(i for i, h in enumerate(header) if h in _TO)
    if "km" not in header:
        said = message("matrix.no_km", "is missing; give the distance in a column named km")
        faults.add(line, "km", said)
        return None
    unknown = [h for h in header if h not in (*_FROM, *_TO, "km", "minutes")]
    for h in unknown:
        said = message(
            "matrix.unknown_column", '"{name}" is not a column of this table; it holds from, to, km, minutes',
            name=Own(h),
        )  # fmt: skip
        faults.add(line, "", said)
    return start, end, header.index("km"), header.index("minutes") if "minutes" in header else None


def _long(
    header: Sequence[str],
    header_line: int,
    lines: Iterator[tuple[int, str]],
    separator: str,
    file: str,
    speed: Speed,
    faults: _Faults,
) -> NamedRoads:
    """Return the roads of a file with a line per pair."""
    empty = Roads(np.zeros((0, 0), np.float32), np.zeros((0, 0), np.float32), _usual_speed(file))
    columns = _columns(header, header_line, faults)
    if columns is None:
        return NamedRoads((), empty)
    a_at, b_at, km_at, min_at = columns
    number: dict[str, int] = {}
    pairs: dict[tuple[int, int], tuple[int, float, float]] = {}
    comma = separator != ","
    for line, text in lines:
        row = cells(text, separator)
        if len(row) != len(header):
            said = message(
                "matrix.line_length",
                "has {cells} cells, the header has {names}",
                cells=len(row),
                names=len(header),
            )
            faults.add(line, "", said)
            continue
        if not row[a_at] or not row[b_at]:
            said = message("matrix.no_place", "is empty; name the place")
            faults.add(line, header[a_at if not row[a_at] else b_at], said)
            continue
        km = _value(row[km_at], line, "km", _MOST_KM, "km", comma, faults)
        minutes = (
            float("nan")
            if min_at is None
            else _value(row[min_at], line, "minutes", _MOST_MINUTES, "minutes", comma, faults)
        )
        key = (number.setdefault(row[a_at], len(number)), number.setdefault(row[b_at], len(number)))
        if key in pairs:
            said = message(
                "matrix.pair_twice", "this pair is on line {line} already; give it once",
                line=Own(str(pairs[key][0])),
            )  # fmt: skip
            faults.add(line, "", said)
        if km is None or minutes is None:
            pairs[key] = (line, 0.0, 0.0)
            continue
        _refuse_nonsense(line, km, minutes, key[0] == key[1], faults)
        pairs[key] = (line, km, minutes)
    if len(number) > MOST_PLACES:
        faults.add(None, "", _too_many(len(number)))
        return NamedRoads((), empty)
    return _filled(tuple(number), pairs, min_at is not None, file, speed, faults)


def _refuse_nonsense(line: int, km: float, minutes: float, same: bool, faults: _Faults) -> None:
    """Keep a fault where distance and time do not belong together."""
    if same and km != 0.0:
        said = message("matrix.way_to_itself", "the way from a place to itself must be 0")
        faults.add(line, "km", said)
    elif np.isinf(km) != np.isinf(minutes) and not np.isnan(minutes):
        said = message("matrix.one_of_both", "is empty; give both, or neither for no road")
        faults.add(line, "minutes" if np.isinf(minutes) else "km", said)
    elif 1.0 < km < np.inf and km > _FASTEST_KM_H * minutes / 60.0:
        said = message(
            "matrix.too_fast", "{km} km in {minutes} minutes cannot be driven; give minutes, not hours",
            km=Number(km, 1), minutes=Number(minutes, 1),
        )  # fmt: skip
        faults.add(line, "minutes", said)


def _ways_back(n: int, file: str) -> Message:
    """Return how many pairs of a file are given one way only."""
    return counted_message(
        "matrix.ways_back",
        "{n} way back in {file} is counted as long as the way there.",
        "{n} ways back in {file} are counted as long as the way there.",
        n,
        file=Own(file),
    )


def _filled(
    names: tuple[str, ...],
    pairs: dict[tuple[int, int], tuple[int, float, float]],
    timed: bool,
    file: str,
    speed: Speed,
    faults: _Faults,
) -> NamedRoads:
    """Return the square tables; what is given one way counts for the way back."""
    n = len(names)
    km = np.full((n, n), np.nan, dtype=np.float32)
    hours = np.full((n, n), np.nan, dtype=np.float32)
    if pairs:
        at = np.array(list(pairs), dtype=np.int64)
        values = np.array([v[1:] for v in pairs.values()])
        km[at[:, 0], at[:, 1]] = values[:, 0]
        hours[at[:, 0], at[:, 1]] = values[:, 1] / 60.0
    np.fill_diagonal(km, 0.0)
    np.fill_diagonal(hours, 0.0)
    back = np.isnan(km) & ~np.isnan(km.T)
    km[back] = km.T[back]
    hours[back] = hours.T[back]
    for i, j in np.argwhere(np.triu(np.isnan(km))):
        said = message(
            "matrix.no_pair",
            '"{one}" – "{other}" has no line; give one, with empty cells where there is no road',
            one=Own(names[i]), other=Own(names[j]),
        )  # fmt: skip
        faults.add(None, "", said)
    one_way = int(back.sum())
    notes = (_ways_back(one_way, file),) if one_way else ()
    if faults.found:
        nothing = np.zeros((0, 0), np.float32)
        return NamedRoads((), Roads(nothing, nothing, _usual_speed(file)))
    if not timed:
        return NamedRoads(
            names,
            Roads(km, driving_h(km, speed), _usual_speed(file)),
            notes,
        )
    source = message("roads.file", "distances and times from {file}", file=Own(file))
    return NamedRoads(names, Roads(km, hours, source), notes)
