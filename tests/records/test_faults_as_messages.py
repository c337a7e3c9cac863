"""Faults of a folder carry messages to the last word: a face makes text of them, for its reader."""

from __future__ import annotations

import errno
import pickle
import shutil
from pathlib import Path

import pytest

from fuelplan import files
from fuelplan.messages import Message, Own, as_message, render, said_by, strict
from fuelplan.messages.message import NOT_CONVERTED
from fuelplan.records.folder.text_files import NotWritten, saving
from fuelplan.records.round import check_round
from fuelplan.records.site import check_folder
from fuelplan.records.tables import Fault, fault_lines
from fuelplan.units import Reader
from tests.round_folders import make_round

HOUSE = Path(__file__).parents[2] / "demo_sites" / "family_house"
US = Reader("us", "month first")
WRONG_ROWS = (
    "customer,date,kg,percent\n"
    "K-01,2025-11-03,many,\n"
    "K-01,03.11.2025,100,\n"
    "K-99,2025-11-03,100,\n"
    "K-01,2025-11-03,,\n"
    "K-01,2025-11-03,1e9,\n"
)


def broken_house(folder: Path) -> Path:
    """A copy of the demo's house whose files are wrong in many ways."""
    house = folder / "house"
    shutil.copytree(HOUSE, house)
    text = (house / "site.toml").read_text(encoding="utf-8")
    text = text.replace("[supply]", '[supply]\nsmallest_dropp = "1 t"\nlate = 4', 1)
    (house / "site.toml").write_text(text, encoding="utf-8")
    (house / "readings.csv").write_text('date,reading\n2026-01-40,"2,5 t"\n,5 xyz\n', encoding="utf-8")
    (house / "deliveries.csv").write_text("fuel;ordered\n", encoding="utf-8")
    return house


def plain_ones(said: Message) -> list[Message]:
    """The parts of a message that are texts put together elsewhere."""
    inner = [value for _, value in said.values if isinstance(value, Message)]
    return [one for part in inner for one in plain_ones(part)] + [said] * (said.code == NOT_CONVERTED)


def texts_of(faults: list[Fault]) -> list[str]:
    """Every fault's line as a metric reader reads it, made where no text may be made by itself."""
    with strict():
        return [render(line) for line in fault_lines(faults)]


def test_every_fault_of_a_house_is_a_message(tmp_path: Path) -> None:
    """Wrong keys, cells, dates and columns of a house are messages, with nothing put together within them."""
    _, faults = check_folder(broken_house(tmp_path))
    assert {fault.file for fault in faults} == {"site.toml", "readings.csv", "deliveries.csv"}
    assert [fault for fault in faults if plain_ones(as_message(fault.said))] == []
    told = "\n".join(texts_of(faults))
    assert 'smallest_dropp: unknown key; did you mean "smallest_drop"?' in told
    assert 'readings.csv:2: reading: "2,5 t": write a decimal point, "2.5 t"' in told


def test_every_fault_of_a_round_is_a_message(tmp_path: Path) -> None:
    """So are those of a round's rows, and the rules that many of them share."""
    folder = make_round(tmp_path / "round")
    (folder / "readings.csv").write_text(WRONG_ROWS, encoding="utf-8")
    faults = check_round(folder)
    assert {fault.line for fault in faults} == {2, 3, 4, 5, 6}
    assert all(isinstance(fault.rule, Message) for fault in faults)
    assert [fault for fault in faults if plain_ones(as_message(fault.said))] == []
    told = "\n".join(texts_of(faults))
    assert 'readings.csv:3: date: "03.11.2025": write year-month-day, "2025-11-03" or "2025-03-11"' in told
    assert 'readings.csv:4: customer: 1 row of "K-99", who is not in the customers\' file' in told


def test_a_fault_reads_in_the_units_of_its_reader(tmp_path: Path) -> None:
    """Amounts that the program names are read in pounds; what stands in the file, as it stands there."""
    house = tmp_path / "house"
    shutil.copytree(HOUSE, house)
    text = (house / "site.toml").read_text(encoding="utf-8")
    (house / "site.toml").write_text(
        "\n".join('reserve = "90 t"' if line.startswith("reserve =") else line for line in text.splitlines()),
        encoding="utf-8",
    )
    _, faults = check_folder(house)
    (fault,) = [one for one in faults if one.key == "store.reserve"]
    assert render(as_message(fault.said)).startswith("the reserve of 90 t is no less than")
    assert render(as_message(fault.said), US).startswith("the reserve of 99.2 short tons is no less than")


def test_what_lies_elsewhere_says_so_in_another_process_too(tmp_path: Path) -> None:
    """A link is refused with our message, and keeps it on its way from a worker."""
    (tmp_path / "a.csv").symlink_to(HOUSE / "readings.csv")
    with pytest.raises(files.NotAFile) as refused:
        files.read_file(tmp_path / "a.csv")
    assert refused.value.said == files.LINK
    again = pickle.loads(pickle.dumps(refused.value))
    assert files.why_not(again) == files.LINK
    assert render(files.why_not(OSError(errno.EIO, "no {disk}"))) == "no {disk}"


def test_what_was_not_saved_and_why_are_two_messages() -> None:
    """A full disk is told with what was lost, as one sentence; the reason is a message of its own."""
    what = Message("test.lost", "your {what} was not saved", (("what", Own("{note}")),))
    with pytest.raises(NotWritten) as refused, saving(what):
        raise OSError(errno.ENOSPC, "No space left on device")
    said = said_by(pickle.loads(pickle.dumps(refused.value)))
    assert said.value("what") == what
    reason = "there is no room left on the disk; free some, and do it again"
    assert render(said) == f"your {{note}} was not saved: {reason}"
