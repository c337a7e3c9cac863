"""A published day on which no tanker drives any more."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from fuelplan import answers
from fuelplan.answers import RunsAnswer
from fuelplan.messages import as_text
from tests.round_folders import make_round
from tests.runs_planned import planned, stops

LOW = "customer,date,kg,percent,checked\nK-01,2026-01-12,150,,right\nK-08,2026-01-12,150,,right\n"
FIRST, SECOND = date(2026, 1, 13), date(2026, 1, 14)


def told(folder: Path) -> RunsAnswer:
    """Two stores below the reserve, served and published on the first day."""
    round_, answer = planned(make_round(folder, files={"readings.csv": LOW}), days=5)
    answers.publish_runs(round_, answer, [FIRST])
    assert {c for d, _, c, _ in stops(answer) if d == FIRST} >= {"K-01", "K-08"}
    return answer


def changed(folder: Path, old: str, new: str) -> None:
    """Change `round.toml`."""
    path = folder / "round.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_a_day_closed_after_publishing_is_planned_elsewhere_and_told(tmp_path: Path) -> None:
    """A company holiday on the published day: nothing drives, whoever was told is named with his new day."""
    before = told(tmp_path / "r")
    changed(tmp_path / "r", "[rules]", "[rules]\nclosed = [2026-01-13]")
    _, again = planned(tmp_path / "r", days=5)
    assert FIRST not in {r.day for r in again.runs}
    for name in {c for d, _, c, _ in stops(before) if d == FIRST}:
        said = [text for text in map(as_text, again.changes) if f"({name})" in text]
        assert len(said) == 1 and "published for 13 January" in said[0], name
    assert {"K-01", "K-08"} <= {c for d, _, c, _ in stops(again) if d == SECOND}


def test_a_published_day_beside_the_usual_weekdays_stays_and_says_so(tmp_path: Path) -> None:
    """A day that somebody published by hand although no tanker usually drives: kept, with a sentence."""
    before = told(tmp_path / "r")
    changed(tmp_path / "r", "[rules]", '[rules]\nweekdays = ["monday", "wednesday", "thursday", "friday"]')
    _, again = planned(tmp_path / "r", days=5)
    kept = [r for r in again.runs if r.day == FIRST]
    assert [s[:3] for s in stops(again) if s[0] == FIRST] == [s[:3] for s in stops(before) if s[0] == FIRST]
    assert kept and all(any("no tanker usually drives" in as_text(f) for f in r.faults) for r in kept)


def test_nobody_drives_to_a_customer_who_left_after_publishing(tmp_path: Path) -> None:
    """Told for the 13th, gone since the 12th: on no run, named among the changes; the others stay."""
    before = told(tmp_path / "r")
    path = tmp_path / "r" / "customers.csv"
    head, *rows = path.read_text(encoding="utf-8").splitlines()
    rows = [f"{r},2026-01-12" if r.startswith("K-01,") else f"{r}," for r in rows]
    path.write_text("\n".join([f"{head},left_on", *rows]) + "\n", encoding="utf-8")
    _, again = planned(tmp_path / "r", days=5)
    assert "K-01" not in {c for _, _, c, _ in stops(again)}
    said = map(as_text, again.changes)
    assert any("(K-01)" in text and "published for 13 January" in text for text in said)
    others = {s[2] for s in stops(before) if s[0] == FIRST} - {"K-01"}
    assert others <= {s[2] for s in stops(again) if s[0] == FIRST}
