"""A site folder read whole: the model and the rows, with all faults of all files at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from fuelplan.messages import message
from fuelplan.records.folder import MAX_TOML_BYTES, as_meant_by, site_of_text
from fuelplan.records.schema import DELIVERIES_FILE, READINGS_FILE, SITE_FILE, SiteTable
from fuelplan.records.site.rows import DeliveryRow, ReadingRow
from fuelplan.records.site.tables import read_deliveries, read_readings
from fuelplan.records.tables import Fault, SiteFaults, read_text, text_of


@dataclass(frozen=True)
class Site:
    """A sound site folder."""

    path: Path
    table: SiteTable
    deliveries: tuple[DeliveryRow, ...]
    readings: tuple[ReadingRow, ...]

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


def read_folder(path: Path, settings: str | None = None) -> tuple[Site | None, list[Fault]]:
    """Return the site, or None where `site.toml` cannot be used, and the faults of all three files.

    Where only rows are faulty the site holds the sound ones.

    Parameters
    ----------
    settings
        What `site.toml` is to hold, where that is to be tried; None: what it holds.
    """
    path = Path(path)
    if not path.exists():
        return None, [Fault(str(path), None, "", message("site.no_folder", "there is no such folder"))]
    if not path.is_dir():
        said = message("site.a_file", "this is a file; give the folder that holds site.toml")
        return None, [Fault(str(path), None, "", said)]
    if settings is None:
        text, faults = read_text(path / SITE_FILE, max_bytes=MAX_TOML_BYTES)
    else:
        text, faults = text_of(SITE_FILE, settings.encode("utf-8"))
    table = None
    if text is not None and not faults:
        table, faults = site_of_text(text)
    with as_meant_by(text) as usual:
        deliveries, more = read_deliveries(path / DELIVERIES_FILE, usual)
        readings, again = read_readings(path / READINGS_FILE, usual)
    faults = [*faults, *more, *again]
    if table is None:
        return None, faults
    return Site(path, table, tuple(deliveries), tuple(readings)), faults


def open_site(path: Path | str) -> Site:
    """Return the site of a folder.

    Raises
    ------
    SiteFaults
        With all faults of the folder's own files.
    """
    site, faults = read_folder(Path(path))
    if site is None or faults:
        raise SiteFaults(faults)
    return site


def text_beside(site: Site, name: str) -> tuple[str | None, list[Fault]]:
    """Return the text of another file of the folder, such as a price history, or why it cannot be read."""
    return read_text(site.path / name, folder=site.path)


def no_site_folder(folder: Path) -> Fault:
    """Return the fault of a folder without settings that can be read."""
    said = message("house.no_site_folder", "this is no site folder: site.toml cannot be read")
    return Fault(str(folder), None, "", said)
