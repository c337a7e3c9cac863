"""Whether the files of a round fit together: names, places, tankers that reach their customers."""

from __future__ import annotations

from pathlib import Path

from fuelplan.round_folder.cells import Cells
from fuelplan.round_folder.customers import Customers
from fuelplan.round_folder.models import ROUND_FILE, RoundTable, class_fault
from fuelplan.site.faults import Fault


def table_faults(path: Path, table: RoundTable) -> list[Fault]:
    """Return what does not fit together within `round.toml`."""
    faults = []
    depots = [depot.name for depot in table.depots]
    for i, tanker in enumerate(table.tankers):
        if tanker.depot not in depots:
            said = f'there is no depot "{tanker.depot}"; write one of {", ".join(depots)}'
            faults.append(Fault(ROUND_FILE, None, f"tanker.{i}.depot", said))
    for key, klass in class_fault(table):
        said = f'"{klass}" is not one of classes = {list(table.classes)}; add it there or correct it'
        faults.append(Fault(ROUND_FILE, None, key, said))
    return faults


def across(table: RoundTable, cells: Cells, customers: Customers) -> None:
    """Add the faults of customers that no tanker can serve, and odd places as warnings."""
