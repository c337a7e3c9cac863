"""The reference page of a round's keys and columns and its JSON Schema, made from the program itself: `python
-m tests.reference_pages.round FOLDER`.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fuelplan.records.schema.columns import FILES, WITH_PARQUET, Column
from fuelplan.records.schema.round import FORMAT, RoundTable
from tests.reference_pages.site import schema_of, table_of

PAGE, SCHEMA = "round_folder.md", "round.schema.json"

HEAD = f"""\
# The round folder

A round is what a fuel supplier's dispatcher works with: a folder with `round.toml` (depots, tankers, rules),
the customers, their deliveries and readings, and the orders promised. The tables are CSV files that any
spreadsheet opens; `customers`, `deliveries` and `readings` may be Parquet files instead, for very many rows.
Of deliveries and readings both may be there: the past as Parquet, what is added by hand as CSV.

`fuelplan check FOLDER` shows every fault of every file at once: the row as your spreadsheet numbers it, the
column, what is wrong and what to write instead. (The rows of a Parquet file are counted from 1.) A *warning*
tells of something odd that is used all the same, such as a customer whom no tanker can reach. A customer who
leaves gets a last day in `left_on`; past rows of somebody whose row is gone are left out, with a remark that
says how many of whom. With `--sound-only` a faulty cell that may be empty is read as empty, and only rows
that cannot be used are left out.

This page and `{SCHEMA}` are made from the program itself. The format described is number {FORMAT}.

## How cells are written

- Text, UTF-8. Columns are parted by commas, semicolons or tabs; their order does not matter, and those not
  marked as needed may be left out. In files with semicolons or tabs numbers may have decimal commas. Columns
  of your own begin with `x_` and are kept.
- A number stands in the unit of its column's name (`store_kg`: kilograms); another unit may be written
  behind it: `5.2 t`. Dates are year-month-day, times of day `08:30`, answers `yes` or `no`.
- Several words in one cell have semicolons between them: `A1;A2`, `Mon;Tue;Wed`. In a file with semicolons
  between the columns put such a cell in double quotes, or write `A1|A2`.
- An id is text: `0042` is not `42`. Some spreadsheets drop the zeros unless the column is set to text.
- A cell that begins with `=`, `+`, `-` or `@` is plain text; the program writes an apostrophe before it, so
  that no spreadsheet takes it for a formula, and does not count the apostrophe when reading.
- A row that cannot be read is never dropped from a file.
"""

WHAT = {
    "customers": "One row for each store that is filled. **Needed.**",
    "deliveries": "One row for each delivery that has been made, in any order.",
    "readings": "One row for each look at a store, in any order; the level of that evening.",
    "orders": "One row for each order that has not come yet: a promise that the plan keeps. Take the row out "
    "once it is delivered, and write the delivery into `deliveries.csv`. For a drop that two neighbours "
    "share write two rows, each naming the other: two weigh notes.",
    "published": "The stops that customers have been told of; they stay where they are when the plan is made "
    "anew. Written by the program, and yours to edit.",
    "wishes": "A person's word on a stop, which outweighs the plan's own choice.",
    "happenings": "What upset the plan: `failed drop` (no fuel came that day), `tanker out` and `depot out "
    "of stock` (from `date` to `until`), `slow roads` (driving takes `factor` times as long).",
    "odometer": "What tankers drove on days whose stops stand in `published.csv`. From it the program learns "
    "by how much roads are longer than straight lines.",
}


IMPORTS = """\
## A spreadsheet of yours

`fuelplan import ROUND FILE --as customers` takes a spreadsheet into one of the tables: `customers`,
`deliveries`, `readings` or `orders`. The file is an .xlsx or .ods file, whose first sheet is read (up to
5,000 rows), or CSV of any length (commas, semicolons or tabs; decimal points or commas). Letters that are not
UTF-8 or UTF-16 are guessed, and shown with what else they may be; `--encoding cp1250` says which. Say which
column of yours becomes which of ours, and in brackets how its cells are written; columns that have our
names already need not be named:

```
fuelplan import my_round kunden.csv --as customers --preview \\
  --column "customer=Kundennr" --column "name=Ort" --column "latitude=Breite" --column "longitude=Länge" \\
  --column "store_kg=Silo [t]" --column "contract=Vertrag [Betreuung=top-up; Abruf=on request]"
fuelplan import my_round lieferungen.csv --as deliveries \\
  --column "customer=Kunde" --column "date=Datum [%d.%m.%Y]" --column "kg=Menge [t]" --column "class=Sorte"
```

In brackets stands a unit (`[t]`, `[%]`), a form of dates (`[%d.%m.%Y]`), or your words and ours
(`[J=yes; N=no]`). Days of an .xlsx or .ods file are known as days without a form. A percentage
that it shows as 35 % it keeps as 0.35: write `[share]`. `--preview` shows the first rows as they would be
and writes nothing. Every fault of the
file is told at once, by row, column and what to write instead, and nothing is written then; `--sound-only`
leaves faulty rows out. Rows that stand in the round already are not added again: customers and orders are
known by their id, deliveries and readings by customer, date and amount. What stands there is never changed;
`--instead` puts the import in the place of the file, and keeps the old one beside it as
`….before_import.csv`.
"""


def page() -> str:
    """Return the reference page."""
    parts = [HEAD, "## round.toml\n", table_of(RoundTable, "")]
    return "\n".join([*parts, *(_file_of(name, columns) for name, columns in FILES.items()), IMPORTS])


def schema() -> str:
    """Return the JSON Schema of `round.toml`."""
    return schema_of(RoundTable)


def _file_of(name: str, columns: tuple[Column, ...]) -> str:
    ending = ".csv or .parquet" if name in WITH_PARQUET else ".csv"
    lines = [
        f"## {name}{ending}\n",
        WHAT[name] + "\n",
        "| column | example | what to write |",
        "|---|---|---|",
    ]
    for column in columns:
        needed = " **Needed.**" if column.needed else ""
        lines.append(f"| `{column.name}` | `{column.example}` | {column.what}.{needed} |")
    return "\n".join([*lines, ""])


def main(arguments: list[str]) -> int:
    """Write the page and the schema into a folder."""
    if len(arguments) != 1:
        sys.stderr.write("usage: python -m tests.reference_pages.round FOLDER\n")
        return 2
    folder = Path(arguments[0])
    (folder / PAGE).write_text(page(), encoding="utf-8")
    (folder / SCHEMA).write_text(schema(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
