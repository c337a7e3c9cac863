"""The temperatures of the buffer noted in the settings of a house, with the time at which they were read."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from fuelplan import units
from fuelplan.messages import Day, Own, Refusal, message
from fuelplan.records.folder import changed_text, saving
from fuelplan.records.round import open_books
from fuelplan.records.schema import SITE_FILE
from fuelplan.records.site import check_folder, faults_with, today_of
from fuelplan.records.tables import SiteFaults

NOT_NOTED = message("saving.buffer", "the temperatures of the buffer were not noted")
MOST_LAYERS = 10


@saving(NOT_NOTED)
def record_buffer(
    path: Path | str, day: date, clock: str, temperatures: str, *, today: date | None = None
) -> None:
    """Note what the thermometers of the buffer show, in place of what was noted before.

    Parameters
    ----------
    path
        The folder of a house.
    day, clock
        When they were read: a day, and a time such as "18:30".
    temperatures
        Two or three numbers, that on top first: "66 58 50". [degC]
    today
        The latest day that may be noted; left out: today where the house stands.

    Raises
    ------
    SiteFaults
        Where the folder would then have a fault; nothing is written.
    Refusal
        Where it is no list of numbers, no time, or a day to come.
    """
    site, faults = check_folder(path)
    if site is None:
        raise SiteFaults(faults)
    if day > (today or today_of(site)):
        raise Refusal.because(
            "buffer_read.to_come", "{day} has not come yet; write the day on which they were read",
            day=Day(day, year=True),
        )  # fmt: skip
    degrees, at = _degrees(temperatures), units.parse_clock(clock)
    written_at = f"{int(at):02d}:{round(at % 1 * 60):02d}"
    books = open_books(path)
    expected = books.settings()
    text = changed_text(
        expected,
        {
            ("buffer", "now"): degrees,
            ("buffer", "now_on"): day,
            ("buffer", "now_at"): written_at,
        },
    )
    wrong = faults_with(Path(path), text)
    if wrong:
        raise SiteFaults(wrong)
    what = message(
        "change.buffer", "{file}: the buffer at {degrees} °C on {day}, {time}", file=Own(SITE_FILE),
        degrees=Own(", ".join(f"{d:g}" for d in degrees)), day=Own(day.isoformat()), time=Own(written_at),
    )  # fmt: skip
    books.change_settings(expected, text, what)


def _degrees(text: str) -> list[float]:
    """Return the numbers of a text, a decimal comma being one where spaces or semicolons part them."""
    parts = text.replace(";", " ").replace("°C", " ").split()
    if len(parts) == 1:
        parts = text.split(",")
    try:
        found = [float(part.strip(",").replace(",", ".")) for part in parts]
    except ValueError:
        found = []
    if not 0 < len(found) <= MOST_LAYERS:
        raise Refusal.because(
            "buffer_read.numbers",
            '"{text}" is no list of temperatures; write those of the buffer in °C, that on top first, e.g. '
            "66 58 50",
            text=Own(text[:40]),
        )
    return found
