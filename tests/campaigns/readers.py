"""Every reader of the program, each with valid files to begin with and one call that reads a file whole."""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from fuelplan import answers
from fuelplan.ordering.prices.season import history_from_csv, season_from_history
from fuelplan.records.folder import archive
from fuelplan.records.folder.new_folder import new_folder
from fuelplan.records.folder.toml_file import toml_of_text
from fuelplan.records.folder.undo import last_change, take_back
from fuelplan.records.importing import import_table
from fuelplan.records.round import Wish, add_wish, open_round
from fuelplan.records.round.edit import RoundRules
from fuelplan.records.round.folder import NEEDS, read_round
from fuelplan.records.schema.formats import ROUND_STEPS
from fuelplan.records.schema.round import RoundTable
from fuelplan.records.site import edit
from fuelplan.records.site.checks import check_folder
from fuelplan.records.tables import sheet_of_text, text_of
from fuelplan.records.tables.parquet import read_parquet
from fuelplan.records.tables.sheet import read_sheet
from tests.campaigns import elsewhere
from tests.campaigns.elsewhere import REFUSED, SOUND
from tests.campaigns.mutations import mutated, mutated_zip
from tests.campaigns.seeds import (
    LISTS,
    SHARED,
    SHEET,
    TABLE,
    databases,
    epw_file,
    gunzip,
    gz,
    parquet_of,
)  # fmt: skip
from tests.round_folders import FILES as ROUND_FILES
from tests.round_folders import make_round
from tests.xlsx_files import ods, xlsx

DEMO = Path(__file__).parents[2] / "demo_sites"


@dataclass(frozen=True)
class Reader:
    """One reader.

    Attributes
    ----------
    seeds
        Files that it reads as sound.
    call
        Reads the file's bytes in a folder made for it; returns "sound" or "refused", or raises.
    weight
        Share of the tries, compared with the others; slow readers have a small one.
    zipped
        The seeds are zip files, whose members are changed, too.
    packed
        The seeds are packed with gzip after they are changed.
    """

    name: str
    seeds: tuple[bytes, ...]
    call: Callable[[Path, bytes], str]
    weight: float = 1.0
    zipped: bool = False
    packed: bool = False

    @property
    def inputs(self) -> st.SearchStrategy[bytes]:
        """What it is given to read."""
        if self.zipped:
            return mutated_zip(self.seeds)
        return mutated(self.seeds).map(gz) if self.packed else mutated(self.seeds)


def told(faults: Sequence[Any]) -> str:
    """Return the outcome of a reader that returns its faults; each must have a sentence."""
    grave = [fault for fault in faults if not getattr(fault, "warning", False)]
    for fault in grave:
        if len(str(fault.message)) < 10:
            raise AssertionError(f"a fault without a sentence: {fault}")
    return REFUSED if grave else SOUND


def _in_site(name: str) -> Callable[[Path, bytes], str]:
    """Return a call that reads a site with one file of it replaced."""

    def call(place: Path, data: bytes) -> str:
        folder = _site(place)
        before = (folder / name).read_bytes()
        (folder / name).write_bytes(data)
        try:
            return told(check_folder(folder)[1])
        finally:
            (folder / name).write_bytes(before)

    return call


def _site(place: Path) -> Path:
    folder = place / "site"
    if not folder.exists():
        shutil.copytree(DEMO / "family_house", folder)
    return folder


def _in_round(name: str) -> Callable[[Path, bytes], str]:
    """Return a call that reads one file of a round, and the whole where it is sound, or at times."""

    def call(place: Path, data: bytes) -> str:
        known = _opened(place)
        path = known.path / name
        before = path.read_bytes() if path.exists() else None
        path.write_bytes(data)
        try:
            faults = _alone(known, path, data) if sum(data) % 10 else []
            return told(faults) if faults else told(read_round(known.path)[1])
        finally:
            path.unlink() if before is None else path.write_bytes(before)

    return call


def _alone(known: Any, path: Path, data: bytes) -> list[Any]:
    """Return the faults of one file by itself; none where only the whole folder shows them."""
    if path.suffix == ".parquet":
        return read_parquet(path, path.stem)[1]
    text, faults = text_of(path.name, data)
    if text is None or faults:
        return faults
    if path.name == "round.toml":
        return toml_of_text(path.name, text, RoundTable, steps=ROUND_STEPS, needs=NEEDS)[1]
    sheet, faults = sheet_of_text(path.name, text, path.stem)
    if sheet is None or faults:
        return faults
    return RoundRules(path.parent, known)(path.stem, text)


def _written(name: str, add: Callable[[Path], None]) -> Callable[[Path, bytes], str]:
    """Return a call that adds a row to an odd file: it is refused and untouched, or all its bytes stay."""

    def call(place: Path, data: bytes) -> str:
        folder = _site(place) if name == "readings.csv" else _opened(place).path
        path = folder / name
        before = path.read_bytes() if path.exists() else None
        path.write_bytes(data)
        try:
            add(folder)
        except ValueError:
            assert path.read_bytes() == data, "refused, but the file was changed"
            raise
        else:
            _assert_all_there(data, path.read_bytes())
            return SOUND
        finally:
            path.unlink() if before is None else path.write_bytes(before)

    return call


def _assert_all_there(before: bytes, after: bytes) -> None:
    """Hold that one piece was put in and every other byte stands, save a line end that was missing."""
    start = 0
    while start < min(len(before), len(after)) and before[start] == after[start]:
        start += 1
    tail = before[start:]
    kept = any(after.endswith(tail + end) for end in (b"", b"\n", b"\r\n"))
    assert not before.strip() or kept, "bytes of the file were changed"
    assert len(after) > len(before)


def _sheet(name: str) -> Callable[[Path, bytes], str]:
    def call(place: Path, data: bytes) -> str:
        sheet = read_sheet(name, data)
        if sum(data) % 4 and len(sheet.rows) != 3:
            return SOUND
        for into in ("readings", "deliveries"):
            plan = answers.guess_plan(sheet, into)  # type: ignore[arg-type]
            try:
                answers.preview_sheet(_site(place), sheet, plan)
            except ValueError as error:
                if "which column" not in str(error):
                    raise
        return SOUND

    return call


def _unzip(place: Path, data: bytes) -> str:
    name, files = archive.unpack(data)
    made = new_folder(place / "unpacked", name or "house", files)
    try:
        return told(check_folder(made)[1])
    finally:
        shutil.rmtree(made)


def _prices(_: Path, data: bytes) -> str:
    season_from_history(history_from_csv(data.decode("utf-8", "replace")))
    return SOUND


def _undo(place: Path, data: bytes) -> str:
    folder = _site(place)
    (folder / ".fuelplan.undo.json").write_bytes(data)
    (folder / ".fuelplan.looked.json").write_bytes(data)
    before = (folder / "readings.csv").read_bytes()
    try:
        if (change := last_change(folder)) is not None:
            take_back(folder, change)
        edit.house_books(folder).append("readings", [{"date": "2026-01-10", "reading": "1 t"}])
    finally:
        (folder / "readings.csv").write_bytes(before)
        (folder / ".fuelplan.undo.json").unlink(missing_ok=True)
    return SOUND


def _import(place: Path, data: bytes) -> str:
    path = place / "import.csv"
    path.write_bytes(data)
    mapping = {
        "Kunde": "customer",
        "Tag": "date [%d.%m.%Y]",
        "Menge": "kg [t]",
        "Sorte": "class [1=A1; 2=A2]",
    }
    return told(import_table(path, mapping, "deliveries")[1])


def _cli(verb: str, name: str) -> Callable[[Path, bytes], str]:
    """Return a call of the command line; its exit status must be one of the documented ones."""

    def call(place: Path, data: bytes) -> str:
        from fuelplan.cli import main

        if name == "weather.csv":
            path, target = place / name, place / name
        else:
            folder = _site(place) if name != "round.toml" else _opened(place).path
            path, target = folder / name, folder
        before = path.read_bytes() if path.exists() else None
        path.write_bytes(data)
        said = io.StringIO()
        try:
            with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
                main([verb, str(target), "--json"])
        except SystemExit as left:
            json.loads(said.getvalue())
            if left.code not in (0, 2, 3):
                raise AssertionError(f"exit status {left.code}") from None
            return SOUND if left.code == 0 else REFUSED
        finally:
            path.unlink() if before is None else path.write_bytes(before)
        raise AssertionError("no exit status")

    return call


def _opened(place: Path) -> Any:
    """Return the sound round, opened once."""
    if place not in _OPEN:
        _OPEN[place] = open_round(make_round(place / "sound_round", weather_days=10))
    return _OPEN[place]


_OPEN: dict[Path, Any] = {}


def _wish(folder: Path) -> None:
    add_wish(
        folder, Wish("K-04", "pin", date(2026, 1, 15), "T1", "Anna", "exam"), known=_opened(folder.parent)
    )


def _reading(folder: Path) -> None:
    edit.house_books(folder).append("readings", [{"date": "2025-11-10", "reading": "1.2 t", "how": "by eye"}])


def readers(place: Path) -> list[Reader]:
    """Return all readers; `place` is a folder for the files that the seeds need."""
    from tests.weather_bulk_files import daily_bytes, hourly_bytes

    demo = DEMO / "family_house"
    tomls = tuple(
        (DEMO / name / "site.toml").read_bytes() for name in ("family_house", "farmhouse", "village_school")
    )
    books = {name: (demo / name).read_bytes() for name in ("readings.csv", "deliveries.csv")}
    rounds = {name: str(text).encode() for name, text in ROUND_FILES.items()}
    rounds |= LISTS
    weather = b"\n".join((demo / "weather.csv").read_bytes().split(b"\n")[:60])
    hourly = b"time,temp_c,humidity_pct\n" + b"".join(
        b"2024-0%d-0%dT%02d:00,%.1f,80\n" % (m, d, h, d + h / 10)
        for m in (3, 4)
        for d in (1, 2)
        for h in range(24)
    )
    day = lambda _: "isd_lite"  # noqa: E731
    bulk = daily_bytes(2024, 500.0, date(2024, 3, 1), day), hourly_bytes(2024, 500.0, date(2024, 1, 20))
    stations, store, legs = databases(place)
    matrix = (b"from,to,km,minutes\nA,B,5,9\nA,C,12.5,20\nB,C,,\n", b"km;A;B;C\nA;-;10,5;\nB;11;;7\nC;;7;0\n")
    table = (b'{"code":"Ok","distances":[[0,1200.5],[1300,0]],"durations":[[0,90],[null,0]]}',)
    sheet = b'Date;Level;Note\n2025-11-01;3,2 t;a\n01.12.2025;2.9 t;"b; c"\n45992;110;\n'
    takein = b"Kunde;Tag;Menge;Sorte\nK-01;13.01.2026;3,5;1\nK-02;14.01.2026;4;2\n"
    prices = b"date,price_per_t\n" + b"".join(
        b"20%02d-%02d-01,%d\n" % (y, m, 250 + m) for y in (20, 21, 22) for m in range(1, 13)
    )
    mark = hashlib.sha256(books["readings.csv"]).hexdigest()
    change = {"what": "a row", "when": "2026-01-01T10:00:00", "file": "readings.csv", "after_mark": mark}
    undo = json.dumps([{**change, "before": "date,reading\n"}]).encode()
    pack = archive.pack(demo)
    books_of_round = [name for name in rounds if name != "round.toml"]
    first = next(iter(tomls))
    return [
        Reader("site.toml", tomls, _in_site("site.toml")),
        Reader("site readings.csv", (books["readings.csv"],), _in_site("readings.csv")),
        Reader("site deliveries.csv", (books["deliveries.csv"],), _in_site("deliveries.csv")),
        Reader("site price history", (prices,), _prices, 4),
        Reader("undo and looks (JSON)", (undo,), _undo),
        Reader("site zip", (pack,), _unzip, zipped=True),
        Reader("round.toml", (rounds["round.toml"],), _in_round("round.toml"), 0.2),
        *(Reader(f"round {name}", (rounds[name],), _in_round(name), 0.1) for name in books_of_round),
        Reader("round deliveries.parquet", (parquet_of("deliveries"),), _in_round("deliveries.parquet"), 0.2),
        Reader("round readings.parquet", (parquet_of("readings"),), _in_round("readings.parquet"), 0.2),
        Reader("spreadsheet into a round", (takein,), _import, 0.5),
        Reader("weather CSV", (weather, hourly), elsewhere.weather, 6),
        Reader("weather EPW", (epw_file(),), elsewhere.epw, 4),
        Reader("bulk weather, days (gzip)", (bulk[0],), elsewhere.bulk("daily"), 0.3),
        Reader("bulk weather, days (inside)", (gunzip(bulk[0]),), elsewhere.bulk("daily"), 0.3, packed=True),
        Reader(
            "bulk weather, hours (inside)", (gunzip(bulk[1]),), elsewhere.bulk("hourly"), 0.2, packed=True
        ),
        Reader("list of stations (SQLite)", (stations,), elsewhere.stations, 0.3),
        Reader("weather store (SQLite)", (store,), elsewhere.store),
        Reader("store of distances (SQLite)", (legs,), elsewhere.legs),
        Reader("matrix of roads", matrix, elsewhere.matrix, 6),
        Reader("table service's answer", table, elsewhere.service, 6),
        Reader("spreadsheet CSV", (sheet,), _sheet("a.csv")),
        Reader("spreadsheet xlsx", (xlsx(SHEET, SHARED),), _sheet("a.xlsx"), zipped=True),
        Reader("spreadsheet ods", (ods(TABLE),), _sheet("a.ods"), zipped=True),
        Reader("a reading into an odd file", (books["readings.csv"],), _written("readings.csv", _reading), 2),
        Reader("a wish into an odd file", (rounds["wishes.csv"],), _written("wishes.csv", _wish), 0.3),
        Reader("fuelplan check SITE", (first,), _cli("check", "site.toml"), 0.4),
        Reader("fuelplan check ROUND", (rounds["round.toml"],), _cli("check", "round.toml"), 0.1),
        Reader("fuelplan degree-days", (weather,), _cli("degree-days", "weather.csv"), 0.5),
    ]
