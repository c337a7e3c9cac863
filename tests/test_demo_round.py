"""The round of the invented valley: its books are made again byte for byte, and its truth is one truth."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from fuelplan.records.round import check_round, open_round
from tests.demo_folders import round as demo_round
from tests.demo_folders import round_truth
from tests.demo_folders.round_past import play
from tests.demo_folders.round_places import NO_HISTORY, SAME_PLACE, customers
from tests.demo_folders.round_truth import true_use_kg

FOLDER = Path(__file__).parent.parent / "demo_sites" / "round_quellmark"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one of the folder's tables."""
    import csv

    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_folder_is_made_again_byte_for_byte(tmp_path: Path) -> None:
    """What lies in the demo folder is what the generator writes, and nothing else lies there."""
    demo_round.write(tmp_path)
    made = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert made == {path.name: path.read_bytes() for path in FOLDER.iterdir()}


def test_other_winters_have_books_of_their_own(tmp_path: Path) -> None:
    """The same supplier's books of another winter are sound, end on its day, and change no truth."""
    day = date(2012, 11, 20)
    demo_round.write(tmp_path, date(2009, 9, 1), day)
    assert check_round(tmp_path) == []
    other = open_round(tmp_path)
    assert other.deliveries.day.max() <= np.datetime64(day) and len(other.deliveries) > 600
    assert other.deliveries.day.min() >= np.datetime64("2009-09-01")
    assert other.customers.id.tolist() == [row["customer"] for row in rows("customers.csv")]


def test_the_folder_is_sound() -> None:
    """The check of the folder finds nothing."""
    assert check_round(FOLDER) == []


def test_a_day_has_one_truth_whatever_span_is_asked() -> None:
    """A day's use does not depend on where the span begins, and is never below nothing."""
    one = customers()[40]
    long = true_use_kg(one, date(2010, 9, 1), date(2011, 8, 31))
    short = true_use_kg(one, date(2011, 1, 10), date(2011, 1, 20))
    at = (date(2011, 1, 10) - date(2010, 9, 1)).days
    assert np.array_equal(long[at : at + 11], short) and (long >= 0).all()
    with pytest.raises(ValueError, match="weather runs"):
        true_use_kg(one, date(1999, 1, 1), date(1999, 2, 1))


def test_levels_follow_from_tickets_and_use() -> None:
    """Evening's level is the evening before, plus the ticket, less the use, and never below nothing."""
    begin, end = date(2022, 9, 1), date(2025, 8, 31)
    for one in customers()[::9]:
        past, use = play(one, begin, end), true_use_kg(one, begin, end)
        came = np.zeros(len(use))
        for ticket in past.deliveries:
            came[(ticket.day - begin).days] += ticket.kg
        expected = np.maximum(0.0, past.levels_kg[:-1] + came[1:] - use[1:])
        assert np.allclose(past.levels_kg[1:], expected, atol=1e-6), one.key
        assert past.levels_kg.max() <= one.store_kg


def test_the_round_is_what_it_is_said_to_be() -> None:
    """120 customers, a third of them on request, two classes, two at one place, two without any history."""
    told = customers()
    assert len(told) == 120 and len({one.key for one in told}) == len({one.name for one in told}) == 120
    assert sum(one.top_up for one in told) / 120 == pytest.approx(2 / 3, abs=0.02)
    assert {k for one in told for k in one.classes} == {"A1", "A2"}
    east, north = [one.east_km for one in told], [one.north_km for one in told]
    assert 42 <= max(east) - min(east) <= 50 and 22 <= max(north) - min(north) <= 30
    heights = [one.elevation_m for one in told]
    assert min(heights) >= 450 and max(heights) <= 1050
    a, b = (told[i] for i in SAME_PLACE)
    assert (a.latitude, a.longitude) == (b.latitude, b.longitude) and a.key != b.key
    delivered = {row["customer"] for row in rows("deliveries.csv")}
    assert {told[i].key for i in NO_HISTORY} == {one.key for one in told} - delivered
    assert all(any(tanker.can_serve(one) for tanker in demo_round.TANKERS) for one in told)


def test_nothing_is_known_after_the_example_date() -> None:
    """No delivery or reading lies after the example date; orders are promised for days after it."""
    last = max(row["date"] for row in rows("deliveries.csv") + rows("readings.csv"))
    assert date.fromisoformat(last) <= demo_round.EXAMPLE_DATE
    orders = rows("orders.csv")
    assert all(date.fromisoformat(row["from"]) > demo_round.EXAMPLE_DATE for row in orders)
    assert all(row["from"] <= row["to"] for row in orders)
    flags = ("already_empty", "credit_stop", "call_ahead")
    assert all(any(row[flag] == "yes" for row in orders) for flag in flags)
    split = {row["customer"]: row["split_with"] for row in orders if row["split_with"]}
    assert len(split) == 2 and all(split[other] == one for one, other in split.items())


def test_changed_households_burn_otherwise(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before its change a household burns as if nothing came; in the winter after it by the stated factor."""
    told, first, last = customers(), date(2016, 1, 1), date(2026, 6, 30)
    changes = dict(round_truth.CHANGES)
    changed = {number: true_use_kg(told[number], first, last) for number in changes}
    round_truth._all_use_kg.cache_clear()
    monkeypatch.setattr(round_truth, "CHANGES", {})
    for number, (since, of_heating, of_daily, why) in changes.items():
        plain, at = true_use_kg(told[number], first, last), (since - first).days
        assert np.array_equal(changed[number][:at], plain[:at]), why
        share = changed[number][at:].sum() / plain[at:].sum()
        assert min(of_heating, of_daily) < share < max(of_heating, of_daily), why
    round_truth._all_use_kg.cache_clear()
