"""The template for translators, made from the code: `python -m tests.catalogues`.

Writes `fuelplan/messages/catalogues/fuelplan.pot`, and brings every language's `.po` beside it up to date and
compiles it. It does with Babel's own functions what
`pybabel extract -k message:1c,2 -k counted_message:1c,2,3 -k because:1c,2 -k UnitError:1c,2
-k UnknownCountry:1c,2 -c TRANSLATORS: fuelplan` does, but in the order of the codes
and without line numbers, so that two people's changes seldom meet.
"""

from __future__ import annotations

import io
from datetime import UTC, datetime
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

PACKAGE = Path(__file__).parent.parent / "fuelplan"
CATALOGUES = PACKAGE / "messages" / "catalogues"
TEMPLATE = CATALOGUES / "fuelplan.pot"
KEYWORDS = {
    "message": ((1, "c"), 2),
    "counted_message": ((1, "c"), 2, 3),
    "because": ((1, "c"), 2),
    "UnitError": ((1, "c"), 2),
    "UnknownCountry": ((1, "c"), 2),
}
COMMENTS = ("TRANSLATORS:",)
MADE = datetime(2026, 1, 1, tzinfo=UTC)  # the same bytes whenever it is made


def extracted(package: Path = PACKAGE) -> Catalog:
    """Every message of the code, in the order of the codes."""
    found = extract_from_dir(
        package, method_map=[("**.py", "python")], keywords=KEYWORDS, comment_tags=COMMENTS
    )
    catalog = Catalog(project="fuelplan", version="1", creation_date=MADE, charset="utf-8", fuzzy=False)
    catalog.header_comment = "# What fuelplan says, for translators. Made by: python -m tests.catalogues"
    for _, _, text, comments, code in sorted(found, key=lambda one: (one[4] or "", str(one[2]))):
        catalog.add(text, auto_comments=comments, context=code)
    return catalog


def written(catalog: Catalog, path: Path) -> None:
    """Write a catalogue as people edit it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    lines = io.BytesIO()
    write_po(lines, catalog, width=110, no_location=True)
    kept = [line for line in lines.getvalue().splitlines(keepends=True) if b"Generated-By" not in line]
    path.write_bytes(b"".join(kept))


def compiled(catalog: Catalog, folder: Path, language: str) -> None:
    """Write the catalogue of a language as the program reads it, into `<folder>/<language>/LC_MESSAGES`."""
    path = folder / language / "LC_MESSAGES" / "fuelplan.mo"
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        write_mo(file, catalog)


def main() -> None:
    """Make the template anew, and bring the catalogue of every language up to it."""
    template = extracted()
    written(template, TEMPLATE)
    for path in sorted(CATALOGUES.glob("*/LC_MESSAGES/fuelplan.po")):
        with path.open("rb") as file:
            catalog = read_po(file, locale=path.parts[-3])
        catalog.update(template)
        written(catalog, path)
        compiled(catalog, CATALOGUES, path.parts[-3])


if __name__ == "__main__":
    main()
