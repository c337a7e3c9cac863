"""A house read whole from its books: the model and the rows, with all faults of all tables at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from fuelplan.messages import message
from fuelplan.records.folder import RecordBooks, as_meant_by, site_of_text, with_lines
from fuelplan.records.opening import books_at
from fuelplan.records.schema import SITE_FILE, SiteTable
from fuelplan.records.site.edit import HOUSE
from fuelplan.records.site.rows import DeliveryRow, ReadingRow
from fuelplan.records.site.tables import read_deliveries, read_readings
from fuelplan.records.tables import Fault, SiteFaults, read_text, text_of


@dataclass(frozen=True)
class Site:
    """A sound house.

    Attributes
    ----------
    path
        What it is opened by.
    beside
        The folder of the files that its settings name: weather, past prices.
    """

    path: Path
    table: SiteTable
    deliveries: tuple[DeliveryRow, ...]
    readings: tuple[ReadingRow, ...]
    beside: Path

    @property
    def name(self) -> str:
        """What the person calls the place."""
        return self.table.name

    def delivered(self, as_of: date) -> list[DeliveryRow]:
        """Return the deliveries that had come by the evening of `as_of`."""
        return [row for row in self.deliveries if row.delivered_on is not None and row.delivered_on <= as_of]

    def on_order(self, as_of: date) -> list[DeliveryRow]:
        """Return the orders placed by `as_of` that had not come, failed or been cancelled by then."""
        return [
            row
            for row in self.deliveries
            if row.ordered_on is not None
            and row.ordered_on <= as_of
            and row.outcome not in {"failed", "cancelled"}
            and (row.delivered_on is None or row.delivered_on > as_of)
        ]

    def read_by(self, as_of: date) -> list[ReadingRow]:
        """Return the readings taken by the evening of `as_of` that the person has not taken back."""
        return [row for row in self.readings if row.day <= as_of and row.checked != "wrong"]


def site_of_books(books: RecordBooks, settings: str | None = None) -> tuple[Site | None, list[Fault]]:
    """Return the site, or None where the settings cannot be used, and the faults of settings and tables.

    Where only rows are faulty the site holds the sound ones.

    Parameters
    ----------
    settings
        What the settings are to be, where that is to be tried; None: what they are.
    """
    if settings is None:
        text, faults = books.text(SITE_FILE)
    else:
        text, faults = text_of(SITE_FILE, settings.encode("utf-8"))
    table = None
    if text is not None and not faults:
        table, faults = site_of_text(text)
    with as_meant_by(text) as usual:
        deliveries, more = read_deliveries(books, usual)
        readings, again = read_readings(books, usual)
    faults = [*faults, *more, *again]
    if table is None:
        return None, faults
    return Site(books.place, table, tuple(deliveries), tuple(readings), books.beside), faults


def read_folder(path: Path | str, settings: str | None = None) -> tuple[Site | None, list[Fault]]:
    """Do the same of whatever keeps the house at a place."""
    return site_of_books(books_at(path, HOUSE), settings)


def with_lines_of(path: Path, faults: Sequence[Fault], settings: str | None = None) -> list[Fault]:
    """Return the faults of a house, those of a key with its line in the settings."""
    text = books_at(path, HOUSE).text(SITE_FILE)[0] if settings is None else settings
    return with_lines(SITE_FILE, text, faults)


def open_site(path: Path | str) -> Site:
    """Return the site that is kept at a place.

    Raises
    ------
    SiteFaults
        With all faults of its settings and rows.
    """
    site, faults = read_folder(path)
    if site is None or faults:
        raise SiteFaults(faults)
    return site


def text_beside(site: Site, name: str) -> tuple[str | None, list[Fault]]:
    """Return the text of a file that the settings name, such as past prices, or why it cannot be read."""
    return read_text(site.beside / name, folder=site.beside)


def no_site_folder(folder: Path) -> Fault:
    """Return the fault of a folder without settings that can be read."""
    said = message("house.no_site_folder", "this is no site folder: site.toml cannot be read")
    return Fault(str(folder), None, "", said)
