"""What the page about the outlook shows is true."""

from __future__ import annotations

import os
import re
from pathlib import Path

import numpy as np
import pytest

from fuelplan.answers.who_is_due.answer import OutlookAnswer

PAGE = Path(__file__).parents[2] / "fuelplan" / "docs" / "outlook.md"


def test_the_example_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """The page's own lines run from the project's folder and give chances and tonnes."""
    blocks = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    assert len(blocks) == 1
    monkeypatch.chdir(PAGE.parents[2])
    assert os.path.isdir("demo_sites")
    found: dict[str, object] = {}
    exec(
        compile(blocks[0].replace("levels.chance_below", "chance = levels.chance_below"), "page", "exec"),
        found,
    )
    chance, answer = found["chance"], found["answer"]
    assert isinstance(chance, np.ndarray) and chance.shape == (120, 31)
    assert (chance >= 0).all() and (chance <= 1).all() and 0 < chance[:, -1].mean() < 0.5
    assert isinstance(answer, OutlookAnswer) and len(answer.weekly_t.p90) == 12


def test_every_key_of_the_page_is_in_the_document() -> None:
    """Keys printed in bold are keys of the answer or of its customers."""
    from fuelplan import answers
    from tests.round_example import AS_OF, ROUND, WEATHER

    keys = set(re.findall(r"\*\*([a-z]+_[a-z_]+)\*\*", PAGE.read_text(encoding="utf-8")))
    assert len(keys) >= 7
    document = answers.outlook(ROUND, WEATHER, AS_OF, 1, days=14).to_json()
    assert keys <= set(document) | set(document["customers"][0])
