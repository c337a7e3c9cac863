"""`fuelplan report`."""

from __future__ import annotations

import click

from fuelplan.cli.outcome import OK, show_json
from fuelplan.cli.size import answer_for


def run(path: str, as_of: str | None, seed: int, as_json: bool, pdf: str, cellar: str | None) -> int:
    """Write the report of a folder as a PDF."""
    from fuelplan import answers
    from fuelplan.messages import in_document
    from fuelplan.papers import report_pdf

    file = answers.export_place(pdf, path)
    answer = answer_for(path, as_of, seed, cellar)
    answers.save_file(file, report_pdf(answer))
    if as_json:
        show_json(
            {
                "pdf": str(file),
                "site": answer.site,
                "as_of": answer.as_of.isoformat(),
                "sentence": in_document(answer.sentence),
            }
        )
    else:
        click.echo(f"wrote {file}")
    return OK
