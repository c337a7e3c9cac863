"""`fuelplan report`."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import click

from fuelplan.cli.outcome import OK, SCHEMA, guarded, reader_of, show_json
from fuelplan.cli.size import answer_for


def run(
    path: str, as_of: str | None, seed: int, as_json: bool, pdf: str, cellar: str | None, *, us: bool
) -> int:
    """Write the report of a folder as a PDF."""
    from fuelplan.units import written_for

    with written_for(reader_of(us)):
        return guarded(lambda: _run(path, as_of, seed, as_json, pdf, cellar), as_json=as_json)


def _run(path: str, as_of: str | None, seed: int, as_json: bool, pdf: str, cellar: str | None) -> int:
    from fuelplan.report import report_pdf

    file = Path(pdf)
    if file.is_dir() or not file.parent.is_dir():
        raise ValueError(f'"{pdf}" is no place for a file; name one in a folder that exists, e.g. report.pdf')
    answer = answer_for(path, as_of, seed, cellar)
    _write(file, report_pdf(answer))
    if as_json:
        show_json(
            {
                "schema": SCHEMA,
                "pdf": str(file),
                "site": answer.site,
                "as_of": answer.as_of.isoformat(),
                "sentence": answer.sentence,
            }
        )
    else:
        click.echo(f"wrote {file}")
    return OK


def _write(file: Path, content: bytes) -> None:
    """Write beside the file first, then put it in its place: a reader never sees half of it."""
    handle, name = tempfile.mkstemp(dir=file.parent, prefix=".fuelplan-", suffix=".pdf")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
        os.chmod(name, 0o644)
        os.replace(name, file)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
