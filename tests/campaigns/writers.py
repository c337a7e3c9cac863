"""What the campaigns write: every kind of row that people enter, through the public functions."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from fuelplan import answers
from fuelplan.records import round as rounds
from fuelplan.records.round import Happening, Order, PublishedStop, Round, Wish
from fuelplan.records.site import edit
from fuelplan.records.site.folder import read_folder
from tests.round_folders import make_round
from tests.site_folders import make_site

READINGS = "date,reading,how,fuel,note\n2000-11-01,4 t,measured,pellets,first\n"
DELIVERIES = (
    "fuel,ordered_on,due_from,due_to,ordered,delivered_on,delivered,weighed,filled_full,outcome,note\n"
    "pellets,,,,,2000-11-02,1.5 t,yes,no,delivered,first\n"
)
TODAY = date(2026, 1, 12)


@dataclass
class Books:
    """A site and a round that are written to, and what is known of each row by its token.

    Attributes
    ----------
    begun, done
        By kind of row, the tokens whose writing began, and those that were acknowledged.
    latest
        The published stops that may stand in the file now: each call replaces them all.
    """

    site: Path
    round: Path
    known: Round
    begun: dict[str, set[str]] = field(default_factory=dict)
    done: dict[str, set[str]] = field(default_factory=dict)
    latest: set[str] = field(default_factory=set)


def new_books(place: Path) -> Books:
    """Make a sound site and a sound round in a new folder."""
    site = make_site(place / "site", readings=READINGS, deliveries=DELIVERIES, mean_c=[3.0] * 30)
    made = make_round(place / "round", weather_days=30)
    books = Books(site, made, rounds.open_round(made))
    _forget(books)
    return books


def _forget(books: Books) -> None:
    """Know of the rows alone that the folders begin with: they must not be lost, either."""
    first = {"site reading": "first", "site delivery": "first", "round order": "2026-0117",
             "round reading": "2400", "round delivery": "4120"}  # fmt: skip
    books.begun = {kind: {token} for kind, token in first.items()}
    books.done = {kind: {token} for kind, token in first.items()}
    books.latest = set()


def _day(n: int) -> date:
    return date(2001, 1, 1) + timedelta(days=n % 9000)


def _tonnes(n: int) -> str:
    return f"{1 + n % 400 / 100:.2f}{n % 997:03d} t"


def _kg(n: int) -> float:
    return 200 + n % 3000 + (n % 99_991 + 1) / 100_000


def _site_reading(books: Books, n: int, token: str) -> None:
    answers.record_reading(books.site, _day(n), _tonnes(n), how="measured", note=token)


def _plain_reading(books: Books, n: int, token: str) -> None:
    """Add a reading without the checks before it, which cost more than the writing."""
    edit.house_books(books.site).append(
        "readings", [{"date": _day(n).isoformat(), "reading": _tonnes(n), "note": token}]
    )


def _site_delivery(books: Books, n: int, token: str) -> None:
    answers.record_delivery(books.site, _day(n), _tonnes(n), note=token)


def _site_order(books: Books, n: int, token: str) -> None:
    answers.record_order(books.site, _day(n), _tonnes(n), note=token)


def _site_booking(books: Books, n: int, token: str) -> None:
    """Book an order that this very program has just placed, into its own row."""
    answers.record_order(books.site, _day(n), _tonnes(n), note=f"{token} open")
    answers.record_delivery(books.site, _day(n) + timedelta(days=9), "1.98 t", ordered_on=_day(n), note=token)


def _round_reading(books: Books, n: int, token: str) -> None:
    rounds.add_reading(books.round, "K-01", TODAY - timedelta(days=n % 300), kg=_kg(n), known=books.known)


def _round_delivery(books: Books, n: int, token: str) -> None:
    day = TODAY - timedelta(days=n % 300)
    rounds.add_delivery(books.round, "K-08", day, _kg(n), grade="A1", tanker="T2", known=books.known)


def _round_order(books: Books, n: int, token: str) -> None:
    order = Order(token, "K-05", 2000.0, "A1", None, TODAY + timedelta(days=5))
    rounds.add_order(books.round, order, known=books.known)


def _round_wish(books: Books, n: int, token: str) -> None:
    wish = Wish("K-04", "forbid", date(2026, 2, 1) + timedelta(days=n % 9000), why=token)
    rounds.add_wish(books.round, wish, known=books.known)


def _round_happening(books: Books, n: int, token: str) -> None:
    day = date(2026, 1, 13) + timedelta(days=n % 9000)
    rounds.add_happening(books.round, Happening(day, "tanker out", day, tanker="T2", reason=token),
                         known=books.known)  # fmt: skip


def _round_published(books: Books, n: int, token: str) -> None:
    """Replace all stops by two whose day tells which call wrote them."""
    day = date(2026, 1, 13) + timedelta(days=n % 9000)
    stops = [
        PublishedStop(day, "T1", 1, at, name, "A1", 2000.0, 9.0) for at, name in ((1, "K-01"), (2, "K-03"))
    ]
    rounds.write_published(books.round, stops, known=books.known)


WRITERS: dict[str, Callable[[Books, int, str], None]] = {
    "site reading": _site_reading,
    "plain reading": _plain_reading,
    "site delivery": _site_delivery,
    "site order": _site_order,
    "site booking": _site_booking,
    "round reading": _round_reading,
    "round delivery": _round_delivery,
    "round order": _round_order,
    "round wish": _round_wish,
    "round happening": _round_happening,
    "round published": _round_published,
}
"""By the kind of row, what writes one: into which books, its number, its token."""


def token_of(kind: str, n: int) -> str:
    """Return what tells a row from every other one of its file."""
    if kind == "round reading" or kind == "round delivery":
        return f"{_kg(n):.10g}"
    if kind == "round published":
        return (date(2026, 1, 13) + timedelta(days=n % 9000)).isoformat()
    return f"w{n:06d}"


_FILES = {
    "site reading": ("site", "readings.csv", "note"),
    "plain reading": ("site", "readings.csv", "note"),
    "site delivery": ("site", "deliveries.csv", "note"),
    "site order": ("site", "deliveries.csv", "note"),
    "site booking": ("site", "deliveries.csv", "note"),
    "round reading": ("round", "readings.csv", "kg"),
    "round delivery": ("round", "deliveries.csv", "kg"),
    "round order": ("round", "orders.csv", "order"),
    "round wish": ("round", "wishes.csv", "why"),
    "round happening": ("round", "happenings.csv", "reason"),
    "round published": ("round", "published.csv", "date"),
}


def tokens_there(books: Books, kind: str) -> list[str]:
    """Return the tokens that a file holds, read by nothing of the program's own."""
    which, name, column = _FILES[kind]
    path = (books.site if which == "site" else books.round) / name
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as stream:
        return [row[column] for row in csv.DictReader(stream, strict=True)]


def wrong_with(books: Books, *, whole: bool) -> list[str]:
    """Return what was lost, invented or broken; `whole` opens the round as the program does, too."""
    found = []
    for kind in books.begun:
        there = tokens_there(books, kind)
        done, begun = books.done.get(kind, set()), books.begun[kind]
        if kind == "round published":
            if there and (len(there) != 2 or there[0] != there[1] or there[0] not in books.latest):
                found.append(f"{kind}: stops of {there}, which nobody wrote last: {sorted(books.latest)}")
            if done and not there:
                found.append(f"{kind}: no stop is left")
            books.latest = set(there[:1])
            continue
        found += [f"{kind}: acknowledged {token} is lost" for token in sorted(done - set(there))]
        found += [f"{kind}: {token} is there twice" for token in begun if there.count(token) > 1]
    _, faults = read_folder(books.site)
    found += [f"site: {fault}" for fault in faults]
    if whole:
        found += [f"round: {fault}" for fault in rounds.check_round(books.round) if not fault.warning]
    return found


def rubbish(books: Books) -> list[str]:
    """Return the names of half-written files that were left behind."""
    return [file.name for folder in (books.site, books.round) for file in folder.glob(".*.part")]


def contents(books: Books) -> dict[Path, bytes]:
    """Return every file of both folders."""
    return {file: file.read_bytes() for folder in (books.site, books.round) for file in folder.iterdir()}


def put_back(books: Books, as_it_was: dict[Path, bytes]) -> None:
    """Make both folders what they were, and forget what was written; half-written files stay."""
    for folder in (books.site, books.round):
        for file in folder.iterdir():
            if file not in as_it_was and not file.name.endswith(".part"):
                file.unlink()
    for file, content in as_it_was.items():
        if file.read_bytes() != content:
            file.write_bytes(content)
    _forget(books)
