"""`fuelplan replay`: the answer in a sentence, the table, and the JSON document."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from fuelplan.answers.past_winters import replay as replay_of_round
from fuelplan.answers.past_winters.answer import BudgetLoss, ReplayAnswer
from fuelplan.answers.past_winters.words import sentences_of
from fuelplan.cli.main import fuelplan, main
from fuelplan.cli.replay import as_text
from fuelplan.dispatch.replay import PastWinter, PlanSettings
from fuelplan.dispatch.replay.rounds import against, summary_of
from fuelplan.dispatch.replay.summary import WinterInterval
from fuelplan.messages import as_message, render, strict
from fuelplan.units import Reader
from tests.dispatch.test_replay_rounds import tally
from tests.round_folders import make_round


@pytest.fixture
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    """Winters of five days, so that a test can play some."""
    monkeypatch.setattr(
        replay_of_round,
        "past_winters",
        lambda as_of, count, month: tuple(
            PastWinter(str(y), date(y, 12, 2), date(y, 12, 6)) for y in range(2025 - count, 2025)
        ),
    )
    quick = PlanSettings(moves=60, days=5, draws=40, route_iterations=20)
    monkeypatch.setattr("fuelplan.answers.past_winters.replay.PlanSettings", lambda: quick)


def asked(folder: Path, *more: str) -> Any:
    return CliRunner().invoke(
        fuelplan, ["replay", str(folder), "--winters", "2", "--workers", "1", *more], standalone_mode=False
    )


def test_json_has_every_policy_with_its_intervals(tmp_path: Path, short: None) -> None:
    """The document of schema 1 names policies, winters and the share on top-up."""
    out = asked(make_round(tmp_path / "r"), "--json")
    assert out.return_value == 0, out.output
    found = json.loads(out.stdout)
    assert found["schema"] == 2
    assert found["winters"] == ["2023", "2024"]
    assert [p["name"] for p in found["policies"]] == ["plan", "rings", "k-factor"]
    for policy in found["policies"]:
        for key in ("run_outs_per_1000_customer_years", "km_per_t", "t_per_drop", "cost_per_t"):
            assert {key, f"{key}_low", f"{key}_high"} <= set(policy)
    assert found["managed_share"] == pytest.approx(7 / 12)
    assert len(found["by_winter"]) == 6
    assert all(row["managed_run_outs"] <= row["run_outs"] for row in found["by_winter"])
    assert "tell of each customer" in found["truth"]["text"]
    assert found["weather"] == {"invented": False}


def test_invented_weather_is_said_first(tmp_path: Path, short: None) -> None:
    """Before what planning saves, on the terminal and in the document; once."""
    made_up = ("round.toml", 'file = "weather.csv"', 'file = "weather.csv"\ninvented = true')
    out = asked(make_round(tmp_path / "r", changes=[made_up]), "--json")
    found = json.loads(out.stdout)
    assert found["weather"] == {"invented": True}
    assert found["sentences"][0]["code"] == "weather.invented"
    assert "weather.invented" not in [said["code"] for said in found["notes"]]


def an_answer() -> ReplayAnswer:
    """Return an answer made by hand: 30 % fewer kilometres, two run-outs a winter fewer."""
    plan = [tally("plan", f"w{i}", 0, 2800.0 + 10 * i) for i in range(5)]
    rings = [tally("rings", f"w{i}", 2, 4000.0) for i in range(5)]
    summaries, differences = (summary_of(plan), summary_of(rings)), (against(plan, rings),)
    names = tuple(t.winter for t in plan)
    return ReplayAnswer(
        "Test round", date(2026, 1, 12), 1, "EUR", names, 12, 7, summaries, differences, (*plan, *rings),
        as_message("made up"), 1000, 10, BudgetLoss(20, 1000, 48_000, WinterInterval(12.0, 5.0, 19.0), 0.011),
        sentences_of(summaries, differences, names, 7 / 12), (as_message("a harder winter is not in it"),),
        (),
    )  # fmt: skip


def test_text_answers_first() -> None:
    """What planning saves stands before the table, then the table, the short budget and what was assumed."""
    text = as_text(an_answer())
    lines = text.splitlines()
    assert lines[2].startswith("Against serving customers when they ring, the plan:")
    row = next(line for line in lines if line.strip().startswith("kilometres a tonne"))
    assert "2.82 (" in row and "4.00 (4.00 to 4.00)" in row
    said = " ".join(text.split())
    assert "loses 12 EUR a plan of 10 days (5 to 19), 1.1% of what its deliveries cost" in said
    assert "a harder winter" in said


def test_sentences_say_how_sure(tmp_path: Path) -> None:
    """A saving in every winter is told as a range; one that may be none is told as not settled."""
    plan = [tally("plan", f"w{i}", 0, 2800.0 + 10 * i) for i in range(5)]
    rings = [tally("rings", f"w{i}", 2, 4000.0) for i in range(5)]
    near = [tally("k-factor", f"w{i}", 1, 2800.0 + 300 * (-1) ** i) for i in range(5)]
    with strict():
        said = sentences_of(
            tuple(summary_of(rows) for rows in (plan, rings, near)),
            (against(plan, rings), against(plan, near)),
            tuple(t.winter for t in plan), 0.7,
        )  # fmt: skip
        for whom in (Reader(), Reader("us", "month first")):
            first, second, last = (render(one, whom) for one in said)
            assert "30% fewer kilometres for each tonne (29% to 30%)" in first
            assert "not once a store ran empty, against 10 times" in first
            assert "is not settled (from " in second and "% more to " in second
            assert "5 winters (w0 to w4), with 70% of the customers on top-up" in last


def test_a_replay_is_shown_without_a_look_at_its_words() -> None:
    """The whole terminal text is made of messages: title, sentences, table, short budget and notes."""
    with strict():
        text = as_text(an_answer())
    assert text.startswith("Test round: 5 winters played again")
    assert "EUR a tonne, without the fuel" in text and "What was burned: made up." in text


def test_too_few_years_of_weather_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Winters before the weather record are refused with what to write instead, also as JSON."""
    with pytest.raises(SystemExit, match="2"):
        main(["replay", str(make_round(tmp_path / "r")), "--winters", "30", "--json"])
    assert "fewer winters" in json.loads(capsys.readouterr().out)["error"]["message"]
