"""The reference page of a folder's keys and its JSON Schema, made from the models: `python -m
tests.reference_pages.site FOLDER`.
"""

from __future__ import annotations

import json
import re
import sys
from inspect import cleandoc
from pathlib import Path
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from fuelplan.heat import fuels
from fuelplan.records.schema.house_columns import HOW, OUTCOMES
from fuelplan.records.schema.site import FORMAT, site_model
from fuelplan.records.site import HOUSE

PAGE, SCHEMA = "site_folder.md", "site.schema.json"

HEAD = f"""\
# The site folder

A site is a folder with `site.toml`, `deliveries.csv`, `readings.csv` and, where its weather comes from a
file, that file. All are plain text: edit them with any editor or spreadsheet (save as CSV, commas between
columns, UTF-8), or let the page write them. `fuelplan check FOLDER` shows every fault at once, with its line.

This page and `{SCHEMA}` are made from the program itself. The format described is number {FORMAT}.

Quantities are text with their unit: `"3.5 t"`, `"12 kW"`, `"68 degF"`; weights may be counted in bags or
pallets. Write a decimal point, never a comma. What a word means follows `country` under [place], whoever
reads the folder: a bag is 15 kg, in the United States and Canada 40 lb; a ton and a gallon are understood in
the United States (2,000 lb, 3.785 l), "$" where it is the country's own money.
Dates are written year-month-day and are local to the place's time zone.
"""

DELIVERIES = f"""\
## deliveries.csv

One row for each order or delivery, oldest first. An order is a row without `delivered_on`; when the tanker
has been, fill in `delivered_on` and `delivered` in the same row. **Ordered never stands for delivered.**
Columns of your own begin with `x_`.

Columns: `{"`, `".join(HOUSE.tables["deliveries"].columns)}`.

| column | what to write |
|---|---|
| fuel | FUELS; empty means that of the bulk store |
| ordered_on, due_from, due_to | dates; the due dates as the supplier promised them |
| ordered | amount ordered, e.g. `4 t` |
| delivered_on, delivered | date, and the amount on the weigh note, e.g. `3.96 t` |
| weighed | `yes` for a weigh note (right to about 1 %), `no` (about 10 %); empty means yes |
| filled_full | `yes` when the store was full afterwards |
| outcome | {", ".join(f"`{o}`" for o in OUTCOMES if o)}; failed and cancelled orders no longer count |
| note | anything |
| when | time of day of the delivery, e.g. `10:30`; it matters on a day with a level reading |
| stack | of logs: the stack they went to, by its name in [[log_pile]]; empty where there is only one |
| wood | of logs: kind of wood, e.g. `spruce`; empty: that of the stack |
| water | of logs, when they came: `18 % wet`, `22 % dry` or `green`; empty: not known, counted as green |
"""

READING_ROW = (
    "| reading | `2.4 t`, `45 %`, `110 cm from top`, `60 cm from bottom`, "
    "`12 bags`, `empty`, `full`; for meters `12345 kg` or `8200 kWh` |"
)

WHEN_ROW = (
    "| when | `before delivery`, `after delivery`, or a time of day, e.g. `07:30`; where it is empty and the "
    "tanker came on that day, the amounts decide, or `order` asks |"
)

READINGS = f"""\
## readings.csv

One row for each look at the store or a meter, oldest first; without `when` the reading is that of the
evening.

Columns: `{"`, `".join(HOUSE.tables["readings"].columns)}`.

| column | what to write |
|---|---|
| date | e.g. `2026-01-03` |
{READING_ROW}
| how | {", ".join(f"`{h}`" for h in HOW if h)}; empty: a weight or a share is by eye (± 10 % of \
the store), a depth and counted bags are measured |
| fuel | as above |
| note | anything |
{WHEN_ROW}
| checked | what you answered about this reading: `right`, `wrong` (it is kept but no longer counts), \
`look again` |
| stack | of logs: the stack that was counted, by its name in [[log_pile]]; empty where there is only one |
| water | of logs: measured that day in a freshly split face, e.g. `18 % wet` |

A count is what lies in one stack on that evening; the others stay as they are, and the stock is the sum.
"""


def page() -> str:
    """Return the reference page."""
    parts = [HEAD, "## site.toml\n", table_of(site_model(), "")]
    names = " or ".join(f"`{f.name}`" for f in fuels.planned())
    return "\n".join([*parts, DELIVERIES.replace("FUELS", names), READINGS])


def schema() -> str:
    """Return the JSON Schema of `site.toml`."""
    return schema_of(site_model())


def schema_of(model: type[BaseModel]) -> str:
    """Return the JSON Schema of a folder's TOML file."""
    found = model.model_json_schema(by_alias=True)
    found["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    return json.dumps(found, indent=1, ensure_ascii=False) + "\n"


def table_of(model: type[BaseModel], path: str, *, several: bool = False) -> str:
    """Return the keys of a table and, below it, of its inner tables; `several` may stand in the file."""
    title = (f"[[{path}]]" if several else f"[{path}]") if path else "Top level"
    lines = [
        f"### {title}\n",
        " ".join(cleandoc(model.__doc__ or "").split("\n\n")[0].split()) + "\n",
        "| key | example or values | if left out | what it is |",
        "|---|---|---|---|",
    ]
    inner = []
    for name, field in model.model_fields.items():
        key = field.alias or name
        table = _inner(field)
        if table is not None:
            several = get_origin(field.annotation) is tuple
            inner.append(table_of(table, f"{path}.{key}" if path else key, several=several))
            continue
        lines.append(
            f"| `{key}` | {example_of(model, key)} | {_left_out(model, field, name)} | "
            f"{field.description or ''} |"
        )
    return "\n".join([*lines, "", *inner])


def _inner(field: FieldInfo) -> type[BaseModel] | None:
    for candidate in (field.annotation, *get_args(field.annotation)):
        if isinstance(candidate, type) and issubclass(candidate, BaseModel):
            return candidate
    return None


def example_of(model: type[BaseModel], key: str) -> str:
    """Return what the page shows for a key: an example as the file takes it, else its words or its kind."""
    known: dict[str, Any] = model.model_json_schema(by_alias=True)["properties"][key]
    options = [known, *known.get("anyOf", [])]
    for option in options:
        if "examples" in option:
            return f"`{_as_toml(option['examples'][0])}`"
        if "enum" in option:
            return ", ".join(f'`"{value}"`' for value in option["enum"])
        if option.get("format") == "date":
            return "`2026-01-15`"
    kinds = [str(o.get("type")) for o in options if o.get("type") not in {None, "null"}]
    return kinds[0] if kinds else ""


def _as_toml(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{name} = {_as_toml(inner)}" for name, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_as_toml(inner) for inner in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)


_CLOCK = re.compile(r'`"[0-9]{2}:[0-9]{2}"`')
_SHARE = re.compile(r'`"[0-9.]+ %"`|.* in ')
UNIT_OF_NAME = {
    "_kg_h": "kg/h",
    "_km_h": "km/h",
    "_kg": "kg",
    "_c": "degC",
    "_h": "h",
    "_m": "m",
    "_kw": "kW",
    "_w": "W",
    "_days": "days",
}


def _left_out(model: type[BaseModel], field: FieldInfo, name: str) -> str:
    if field.is_required():
        return "**needed**"
    value = field.default if field.default_factory is None else None
    if value is None or value == () or value == "":
        return "–"
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    example = example_of(model, field.alias or name)
    if _CLOCK.fullmatch(example):
        return f"`{int(value):02d}:{round(value % 1 * 60):02d}`"
    if isinstance(value, float) and _SHARE.match(example):
        return f"`{100 * value:g} %`"
    if isinstance(value, float) and name.endswith("_h") and 0 < value < 1:
        return f"`{value * 60:g} min`"
    if name == "lead_time":
        return f"`{value[0]} to {value[1]} working days`"
    if isinstance(value, tuple) and value and isinstance(value[0], tuple):
        return "`" + ", ".join(f"{a:g}:00 to {b:g}:00" for a, b in value) + "`"
    if isinstance(value, tuple) and value == tuple(range(1, 13)):
        return "all months"
    if isinstance(value, tuple) and set(value) == {0}:
        return "none"
    if isinstance(value, tuple):
        return f"`{', '.join(str(v) for v in value)}`"
    unit = next((unit for end, unit in UNIT_OF_NAME.items() if name.endswith(end)), "")
    return f"`{value:g} {unit}`".replace(" `", "`") if isinstance(value, float) else f"`{value}`"


def main(arguments: list[str]) -> int:
    """Write the page and the schema into a folder."""
    if len(arguments) != 1:
        sys.stderr.write("usage: python -m tests.reference_pages.site FOLDER\n")
        return 2
    folder = Path(arguments[0])
    (folder / PAGE).write_text(page(), encoding="utf-8")
    (folder / SCHEMA).write_text(schema(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
