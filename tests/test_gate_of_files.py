"""One gate for every file: regular, in its folder, no link; an export replaces nothing but such a file."""

from __future__ import annotations

import io
import os
import socket
import stat
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers, files
from fuelplan.answers.round.check import check_round_folder
from fuelplan.cli import main
from fuelplan.cli.outcome import BAD_INPUT
from fuelplan.dispatch.roads.sources import RoadServiceError
from fuelplan.dispatch.roads.sources.leg_store import LegStore
from fuelplan.records.folder import archive, lock, undo
from fuelplan.records.folder.looked import LOOKED_FILE, looked_on, remember_look
from fuelplan.records.folder.new_folder import FolderError, folder_files
from fuelplan.records.folder.text_files import EditError, NotWritten, write_bytes
from fuelplan.records.round import add_reading, open_round
from fuelplan.records.site import edit
from fuelplan.records.tables import RoundFaults
from fuelplan.weather.sources import WeatherUnavailable
from fuelplan.weather.sources.store import WeatherStore
from tests.round_folders import make_round
from tests.site_folders import make_site

SECRET = "root:SECRET,x\nSECRET2,y\n"
SITE_FILES = ("site.toml", "readings.csv", "deliveries.csv", "weather.csv", "prices.csv")
ROUND_FILES = (
    "round.toml", "customers.csv", "deliveries.csv", "readings.csv", "orders.csv", "published.csv",
    "wishes.csv", "happenings.csv", "odometer.csv", "deliveries.parquet", "weather.csv", "weather_upland.csv",
    "roads.csv",
)  # fmt: skip


def link_elsewhere(path: Path) -> None:
    """A link to a file outside the folder."""
    secret = path.parent.parent / "secret.txt"
    secret.write_text(SECRET)
    path.symlink_to(secret)


def link_to_itself(path: Path) -> None:
    """A link that leads back to its own name."""
    path.symlink_to(path)


def link_to_nothing(path: Path) -> None:
    """A link whose goal is not there."""
    path.symlink_to(path.parent / "nothing.csv")


def pipe(path: Path) -> None:
    """A pipe into which nobody writes."""
    os.mkfifo(path)


def a_socket(path: Path) -> None:
    """The address of a program that listens."""
    here = os.getcwd()
    os.chdir(path.parent)  # such an address may not be long
    with socket.socket(socket.AF_UNIX) as made:
        made.bind(path.name)
    os.chdir(here)


def a_folder(path: Path) -> None:
    """A folder in the place of a file."""
    path.mkdir()


ODD: tuple[Callable[[Path], None], ...] = (
    link_elsewhere, link_to_itself, link_to_nothing, pipe, a_socket, a_folder,
)  # fmt: skip


def put(folder: Path, name: str, odd: Callable[[Path], None]) -> None:
    """Put something odd in the place of a file."""
    (folder / name).unlink(missing_ok=True)
    odd(folder / name)


def priced_site(folder: Path) -> Path:
    """A site that names a weather file and a file of prices."""
    drop = 'smallest_drop = "1.5 t"'
    made = make_site(folder, mean_c=[3.0] * 30, changes=[(drop, f'{drop}\nprice_history = "prices.csv"')])
    (made / "prices.csv").write_text("date,price_per_t\n2020-01-01,250\n2020-02-01,251\n")
    return made


def round_with_roads(folder: Path) -> Path:
    """A round that names a table of distances."""
    roads = ("round.toml", "[rules]", '[distances]\nkind = "file"\nfile = "roads.csv"\n[rules]')
    made = make_round(folder, weather_days=10, changes=[roads])
    (made / "roads.csv").write_text("from,to,km\nnorth,south,12\n")
    return made


@pytest.mark.parametrize("odd", ODD)
@pytest.mark.parametrize("name", SITE_FILES)
def test_a_site_reads_regular_files_of_its_folder_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, odd: Callable[[Path], None]
) -> None:
    """A link, a pipe, a socket or a folder in the place of a file is a fault; nothing of it is quoted."""
    folder = priced_site(tmp_path / "house")
    put(folder, name, odd)
    with pytest.raises(SystemExit) as left:
        main(["check", str(folder), "--json"])
    said = capsys.readouterr()
    assert left.value.code == BAD_INPUT
    assert name in said.out
    assert "secret" not in (said.out + said.err).lower()


@pytest.mark.parametrize("odd", ODD)
@pytest.mark.parametrize("name", ROUND_FILES)
def test_a_round_reads_regular_files_of_its_folder_alone(
    tmp_path: Path, name: str, odd: Callable[[Path], None]
) -> None:
    """As with a site: each file of a round that is none is a fault that names it, and nothing is quoted."""
    folder = round_with_roads(tmp_path / "round")
    assert check_round_folder(folder).grave == 0
    put(folder, name, odd)
    faults = [f for f in check_round_folder(folder).faults if not f.warning]
    assert any(name in str(fault) for fault in faults)
    assert "secret" not in str(faults).lower()


def test_a_folder_below_that_is_a_link_is_refused(tmp_path: Path) -> None:
    """Weather may lie in a folder further down, but the way there is no link."""
    for kind, said in (("real", []), ("link", ["lies outside the folder"])):
        folder = make_site(
            tmp_path / kind, mean_c=[3.0] * 30, changes=[('"weather.csv"', '"years/weather.csv"')]
        )
        below = folder / "years" if kind == "real" else tmp_path / "years"
        below.mkdir()
        (folder / "weather.csv").rename(below / "weather.csv")
        if kind == "link":
            (folder / "years").symlink_to(below)
        _, faults = answers.check_folder(folder)
        assert [f.message.partition('" ')[2].partition(";")[0] for f in faults] == said


def test_a_folder_reached_through_a_link_is_fine(tmp_path: Path) -> None:
    """The gate is about what lies inside: a home folder or /tmp may be links themselves."""
    make_site(tmp_path / "real", mean_c=[3.0] * 30)
    (tmp_path / "link").symlink_to(tmp_path / "real")
    site = answers.open_site(tmp_path / "link")
    assert answers.check_weather(site) == []
    edit.house_books(site.path).append("readings", [{"date": "2020-12-24", "reading": "2.6 t"}])
    assert "2.6 t" in (tmp_path / "real" / "readings.csv").read_text()


def test_a_link_to_a_file_of_the_same_folder_is_refused_too(tmp_path: Path) -> None:
    """Where a link leads can change between a look and the next: none is followed."""
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    (folder / "readings.csv").rename(folder / "real.csv")
    (folder / "readings.csv").symlink_to("real.csv")
    with pytest.raises(answers.SiteFaults, match="this is a link"):
        answers.open_site(folder)


@pytest.mark.parametrize("name", ["readings.csv", lock.LOCK_FILE, undo.UNDO_FILE])
def test_an_entry_follows_no_link(tmp_path: Path, name: str) -> None:
    """Neither the table nor the lock nor the memory of changes leads an entry into another file."""
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    other = tmp_path / "other.txt"
    (folder / name).unlink(missing_ok=True)
    (folder / name).symlink_to(other)
    with pytest.raises(EditError):
        edit.house_books(folder).append("readings", [{"date": "2020-12-24", "reading": "2.6 t"}])
    assert not other.exists()
    assert (folder / name).is_symlink()


def test_settings_memory_and_copies_follow_no_link(tmp_path: Path) -> None:
    """site.toml as a link is neither shown for a change nor packed; the memory of looks is left alone."""
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30)
    (folder / LOOKED_FILE).symlink_to(tmp_path / "other.json")
    remember_look(folder, date(2026, 1, 15))
    assert not (tmp_path / "other.json").exists() and looked_on(folder) == []
    put(folder, "site.toml", link_elsewhere)
    with pytest.raises(EditError, match="cannot be read"):
        answers.site_text(folder)
    with pytest.raises(FolderError, match=r"no site\.toml"):
        folder_files(folder)


def test_a_round_entry_follows_no_link(tmp_path: Path) -> None:
    """A reading goes into no file that a link names."""
    folder = make_round(tmp_path / "round", weather_days=10)
    known = open_round(folder)
    put(folder, "readings.csv", link_elsewhere)
    before = (tmp_path / "secret.txt").read_bytes()
    with pytest.raises((EditError, RoundFaults)):
        add_reading(folder, "K-02", date(2026, 1, 11), kg=1500, known=known)
    assert (tmp_path / "secret.txt").read_bytes() == before


def _as_it_is(path: Path) -> tuple[int, ...]:
    """What tells whether something was replaced or written; the time of the last look does not."""
    found = os.lstat(path)
    return found.st_mode, found.st_ino, found.st_size, found.st_mtime_ns


@pytest.mark.parametrize("odd", ODD)
def test_nothing_but_a_regular_file_is_replaced(tmp_path: Path, odd: Callable[[Path], None]) -> None:
    """What a program writes never takes the place of a link, a pipe, a socket or a folder."""
    (tmp_path / "a").mkdir()
    target = tmp_path / "a" / "out.csv"
    odd(target)
    before = _as_it_is(target)
    with pytest.raises(NotWritten):
        write_bytes(target, b"x")
    with pytest.raises(ValueError, match=r"not written|not a valid place"):
        files.export_place(str(target))
    assert _as_it_is(target) == before
    assert not list(target.parent.glob(".*"))


EXPORTS = (
    ("runs", "--csv"), ("runs", "--pdf"), ("runs", "--geojson"), ("runs", "--calendar"), ("outlook", "--out"),
    ("report", "--pdf"),
)  # fmt: skip


@pytest.mark.parametrize(("verb", "option"), EXPORTS)
@pytest.mark.parametrize("odd", [link_elsewhere, pipe])
def test_an_export_replaces_no_link_and_no_device(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], verb: str, option: str, odd: Callable[[Path], None]
) -> None:
    """Each way out says before any work that it will not write there, with status 2."""
    (tmp_path / "out").mkdir()
    target = tmp_path / "out" / "a.csv"
    odd(target)
    with pytest.raises(SystemExit) as left:
        main([verb, str(tmp_path / "no_such_folder"), option, str(target)])
    assert left.value.code == BAD_INPUT
    assert "is not written" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["customers.csv", "round.toml", "weather.csv", ".fuelplan.lock"])
def test_an_export_is_not_written_over_the_books(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    """The round's own files, named directly or by round.toml, are no place for an export from it."""
    folder = make_round(tmp_path / "round", weather_days=10)
    with pytest.raises(SystemExit) as left:
        main(["runs", str(folder), "--csv", str(folder / "." / name)])
    assert left.value.code == BAD_INPUT
    assert "a file of the folder itself" in capsys.readouterr().err
    assert files.export_place(str(folder / "stops.csv"), folder) == folder / "stops.csv"


def test_a_file_that_a_person_names_may_be_reached_through_a_link(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`degree-days` reads a regular file anywhere, through a link, too; a pipe would wait, and is refused."""
    (tmp_path / "weather.csv").write_text("date,mean_c\n2020-01-01,5.5\n")
    (tmp_path / "link.csv").symlink_to(tmp_path / "weather.csv")
    os.mkfifo(tmp_path / "pipe.csv")
    for name, status in (("link.csv", 0), ("pipe.csv", BAD_INPUT)):
        with pytest.raises(SystemExit) as left:
            main(["degree-days", str(tmp_path / name)])
        assert left.value.code == status
    said = capsys.readouterr()
    assert "10.0" in said.out
    assert "this is not a file" in said.err


def test_an_import_takes_no_pipe(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The spreadsheet of an import is a regular file, or refused at once."""
    folder = make_round(tmp_path / "round", weather_days=10)
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(SystemExit) as left:
        main(["import", str(folder), str(tmp_path / "pipe.csv"), "--as", "orders"])
    assert left.value.code == BAD_INPUT
    assert "this is not a file" in capsys.readouterr().err


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR, stat.S_IFSOCK])
def test_a_zip_file_brings_regular_files_alone(kind: int) -> None:
    """A link, a pipe or a device in an uploaded zip file is refused before anything is unpacked."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as made:
        made.writestr("house/site.toml", "format = 1\n")
        odd = zipfile.ZipInfo("house/readings.csv")
        odd.external_attr = (kind | 0o644) << 16
        made.writestr(odd, "/etc/passwd")
    with pytest.raises(FolderError, match=r"a link or no file"):
        archive.unpack(stream.getvalue())


STORES: dict[str, Callable[[Path], object]] = {
    "weather": lambda path: WeatherStore(path).__exit__(),
    "distances": lambda path: LegStore(path, "http://127.0.0.1:1", "truck").read([47.0], [11.0]),
}


@pytest.mark.parametrize("store", list(STORES))
@pytest.mark.parametrize("odd", ODD)
def test_a_store_is_a_file_and_no_link(store: str, odd: Callable[[Path], None], tmp_path: Path) -> None:
    """What was fetched goes into a file of its own: through no link, and no pipe is waited for."""
    place = tmp_path / "cache" / "store.sqlite"
    place.parent.mkdir()
    odd(place)
    with pytest.raises((WeatherUnavailable, RoadServiceError), match="name another"):
        STORES[store](place)
    secret = tmp_path / "secret.txt"
    assert not secret.exists() or secret.read_text() == SECRET
    assert not (place.parent / "nothing.csv").exists()
    assert [one.name for one in place.parent.iterdir()] == [place.name]
