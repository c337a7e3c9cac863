"""The report as a PDF: data and pictures into the template, the same bytes for the same answer."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from importlib.resources import files

from fuelplan.answers import SizeAnswer
from fuelplan.report.document import document_of
from fuelplan.report.pictures import pictures_of

TEMPLATE = "size.typ"


def report_pdf(answer: SizeAnswer) -> bytes:
    """Return the report on size.

    It is dated on the day of the answer, so that the same answer gives the same bytes.
    """
    import typst

    data = {**document_of(answer), "pictures": pictures_of(answer)}
    day = answer.as_of
    made: bytes = typst.compile(
        files("fuelplan.report").joinpath(TEMPLATE).read_bytes(),
        format="pdf",
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        timestamp=datetime(day.year, day.month, day.day, 12, tzinfo=UTC),
        ignore_system_fonts=True,
    )
    return made
