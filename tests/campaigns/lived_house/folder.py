"""The folder of a lived house: made once, then written by the functions that the pages write with."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from fuelplan import answers
from tests.campaigns.lived_house.entries import DELIVERIES, READINGS, Entry
from tests.campaigns.lived_house.house import House
from tests.campaigns.lived_house.store import TrueStore
from tests.campaigns.lived_house.supplier import Supplier
from tests.campaigns.lived_house.weather import HEADER, Weather


@dataclass(frozen=True)
class Owner:
    """What the owner says of the house in `site.toml`."""

    country: str
    zone: str
    currency: str
    use_t: float
    people: int
    reserve_kg: int
    price: str
    note: str = ""


def make_folder(
    path: Path, owner: Owner, store: TrueStore, supplier: Supplier, house: House, says_capacity: bool
) -> None:
    """Write a new folder: the house as its owner knows it."""
    path.mkdir(parents=True)
    away = "".join(
        f'\n[[away]]\nfrom = {a.first.isoformat()}\nto = {a.last.isoformat()}\nindoor = "15 degC"\n'
        for a in house.away
        if a.told
    )
    price = f'price = "{owner.price}"\n' if owner.price else ""
    text = (
        f'format = 1\nname = "A lived house"\ncurrency = "{owner.currency}"\n\n'
        f'[place]\ncountry = "{owner.country}"\ntime_zone = "{owner.zone}"\n\n'
        '[weather]\nsource = "file"\nfile = "weather.csv"\n\n'
        f'[building]\npellets_a_year = "{owner.use_t:.1f} t"\nindoor = "20.5 degC"\n'
        f"people = {owner.people}\n\n"
        f'[boiler]\nrated = "15 kW"\n\n{store.table(f"{owner.reserve_kg} kg", says_capacity)}\n'
        f'[supply]\nlead_time = "{supplier.least_days} to {supplier.most_days} working days"\n'
        f'smallest_drop = "{supplier.smallest_kg} kg"\nstep = "{supplier.step_kg} kg"\n{price}{away}'
    )
    (path / "site.toml").write_text(text, encoding="utf-8")


def weather_until(path: Path, weather: Weather, day: date) -> None:
    """Let the weather file grow up to a day."""
    file = path / "weather.csv"
    if not file.exists():
        file.write_text(HEADER + weather.lines(weather.first_day, day), encoding="utf-8")
        return
    with file.open("rb") as stream:
        stream.seek(-60, 2)
        last = stream.read().splitlines()[-1].split(b",")[0].decode()
    begin = date.fromisoformat(last)
    if begin < day:
        with file.open("a", encoding="utf-8") as stream:
            stream.write(weather.lines(date.fromordinal(begin.toordinal() + 1), day))


def write(path: Path, entry: Entry, today: date) -> str:
    """Write an entry as a page does; return why it was refused, or nothing."""
    try:
        _write(path, entry, today)
    except ValueError as error:  # the program's own refusals derive from it
        return str(error) or type(error).__name__
    return ""


def _write(path: Path, entry: Entry, today: date) -> None:
    if entry.is_level:
        known(answers.record_reading)(
            path, entry.day, entry.text, how=entry.how, when=entry.when, today=today
        )
    elif entry.kind == "order":
        first, last = entry.window or (None, None)
        known(answers.record_order)(path, entry.day, entry.text, due_from=first, due_to=last, today=today)
    elif entry.kind == "failed":
        assert entry.ordered_on is not None
        answers.record_outcome(path, entry.ordered_on, "failed")
    else:
        known(answers.record_delivery)(
            path,
            entry.day,
            entry.text,
            ordered_on=entry.ordered_on,
            weighed=entry.weighed,
            filled_full=entry.filled_full,
            today=today,
        )


def known(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return a function that is given only the arguments it knows."""
    names = inspect.signature(function).parameters

    def call(*args: Any, **more: Any) -> Any:
        return function(*args, **{k: v for k, v in more.items() if k in names})

    return call


def kept(path: Path) -> dict[str, bytes | None]:
    """Return the entries of a folder as they stand."""
    return {
        name: (path / name).read_bytes() if (path / name).exists() else None
        for name in (READINGS, DELIVERIES)
    }


def put_back(path: Path, before: dict[str, bytes | None]) -> None:
    """Put the entries of a folder back, as its owner does in an editor."""
    for name, content in before.items():
        if content is None:
            (path / name).unlink(missing_ok=True)
        else:
            (path / name).write_bytes(content)


def line_of(path: Path, file: str, line: int) -> str:
    """Return the text of one line, counted from 1; empty where there is none."""
    try:
        lines = (path / file).read_text(encoding="utf-8-sig").splitlines()
    except FileNotFoundError:
        return ""
    return lines[line - 1] if 1 <= line <= len(lines) else ""
