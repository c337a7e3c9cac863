"""The example plan with customers of the demo round, and fields of the dispatcher's page."""

from __future__ import annotations

import csv
from dataclasses import replace
from typing import Any

from streamlit.testing.v1 import AppTest

from fuelplan.answers.which_runs.answer import RunsAnswer
from tests.round_example import FOLDER
from tests.runs_answers import example_runs


def real_stops() -> RunsAnswer:
    """The example with customers, depots and classes of the demo round, so that it can be published."""
    with (FOLDER / "customers.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    left = {k: iter([r["customer"] for r in rows if r["classes"] == k]) for k in ("A1", "A2")}
    runs = tuple(
        replace(
            r,
            frozen=False,
            depot="yard",
            stops=tuple(replace(s, customer=next(left[s.grade])) for s in r.stops),
        )
        for r in example_runs().runs
    )
    return replace(example_runs(), runs=runs)


def field(page: AppTest, kind: str, label: str) -> Any:
    """The field of that label."""
    (found,) = [w for w in page.get(kind) if w.label == label]
    return found


def choose_form(page: AppTest, name: str) -> AppTest:
    """Open one of the forms."""
    (control,) = [w for w in page.get("button_group") if w.key == "runs-record-kind"]
    control.set_value(name).run()
    return page
