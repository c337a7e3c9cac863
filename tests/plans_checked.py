"""Every run plan that a test makes is held against its folder by the plan checker."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import wraps
from importlib import import_module
from typing import Any

import pytest

from fuelplan import answers
from tests.plan_checker import breaches

PLANNERS = {"runs": "which_runs.runs", "runs_by_depot": "which_runs.depots"}
"""The public functions that plan, and the modules they live in."""

NOT_KEPT_YET: frozenset[str] = frozenset()
"""Rules that the planner is known to break; `tests/test_plan_checker.py` shows that the checker sees them."""


@contextmanager
def plans_checked(patch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """Give the list that fills with what the plans made meanwhile break.

    The planner is imported when it is first called, so that tests of other things stay quick.
    """
    broken: list[str] = []

    def watched(name: str, module: str) -> Any:
        def plan(round_: answers.Round, *given: Any, **named: Any) -> Any:
            made = getattr(import_module(f"fuelplan.answers.{module}"), name)(round_, *given, **named)
            if round_.path.is_dir():  # a test may have taken it away to show that nobody reads it
                broken.extend(breaches(round_.path, made.to_json(), leave_out=NOT_KEPT_YET))
            return made

        return wraps(plan)(plan)

    for name, module in PLANNERS.items():
        patch.setattr(answers, name, watched(name, module), raising=False)
    yield broken
