"""The reference page of the folder's keys and its schema are what the models say today."""

from __future__ import annotations

import json
from importlib.resources import files

import pytest

from fuelplan.records.schema.site import SiteTable
from tests.reference_pages import site as reference


@pytest.mark.parametrize(
    ("name", "made"), [(reference.PAGE, reference.page), (reference.SCHEMA, reference.schema)]
)
def test_the_kept_documents_are_those_of_the_models(name: str, made: object) -> None:
    """Page and schema equal what the models give;
    `python -m tests.reference_pages.site fuelplan/docs` renews them.
    """
    assert callable(made)
    kept = files("fuelplan").joinpath("docs", name).read_text(encoding="utf-8")
    assert kept == made()


def test_every_table_and_key_stands_on_the_page() -> None:
    """No key of the top level is left out of the schema, none of it goes without its place on the page."""
    known = [field.alias or name for name, field in SiteTable.model_fields.items()]
    assert sorted(json.loads(reference.schema())["properties"]) == sorted(known)
    page = reference.page()
    assert [key for key in known if key not in page] == []
