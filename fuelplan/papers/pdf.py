"""The report as a PDF: data and pictures into the template, the same bytes for the same answer."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from importlib.resources import files
from typing import Literal

from fuelplan.answers import SizeAnswer
from fuelplan.papers.document import document_of
from fuelplan.papers.pictures import pictures_of, section_widths_pt

TEMPLATE = "size.typ"


def report_pdf(answer: SizeAnswer) -> bytes:
    """Return the report on size.

    It is dated on the day of the answer, so that the same answer gives the same bytes.
    """
    made = _compiled(answer, "pdf")
    assert isinstance(made, bytes)
    return made


def report_pages(answer: SizeAnswer) -> list[bytes]:
    """Return each page of the report as a PNG picture."""
    made = _compiled(answer, "png")
    return [made] if isinstance(made, bytes) else list(made)


def _compiled(answer: SizeAnswer, kind: Literal["pdf", "png"]) -> bytes | list[bytes]:
    import typst

    pictures = pictures_of(answer)
    data = {**document_of(answer), "pictures": pictures, "section_pt": section_widths_pt(pictures)}
    day = answer.as_of
    made: bytes | list[bytes] = typst.compile(
        files("fuelplan.papers").joinpath(TEMPLATE).read_bytes(),
        format=kind,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        timestamp=datetime(day.year, day.month, day.day, 12, tzinfo=UTC),
        ignore_system_fonts=True,
    )
    return made
