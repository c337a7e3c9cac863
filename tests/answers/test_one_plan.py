"""One plan on one page: levels, the store's cleaning and dates follow the orders that are shown."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers.when_to_order.answer import OrderAnswer
from fuelplan.units import show

SITES = Path(__file__).parents[2] / "demo_sites"
CASES = [
    ("family_house", date(2026, 1, 15)),
    ("family_house", date(2025, 11, 3)),
    ("farmhouse", date(2026, 1, 15)),
    ("village_school", date(2026, 1, 20)),
]


def asked(house: str, day: date) -> OrderAnswer:
    """The order answer of a demo house."""
    site = answers.open_site(SITES / house)
    return answers.order(site, answers.weather_for(site, day), day)


@pytest.mark.parametrize(("house", "day"), CASES)
def test_the_level_rises_by_the_orders_that_are_shown(house: str, day: date) -> None:
    """Between the shown deliveries the middle level only falls; over each window it rises by the amount told,
    less what is burned meanwhile and what may not have come by its last day.
    """
    found = asked(house, day)
    band = next(b for b in found.levels if b.with_plan and b.fuel == "pellets")
    at = {d: i for i, d in enumerate(band.dates.tolist())}
    orders = [o for o in (found.order, *found.next_orders) if o is not None and o.deliver_to + DAY in at]
    assert orders
    days = np.ones(len(band.p50), dtype=bool)
    for order in orders:
        first, last = at[order.deliver_from - DAY], at[order.deliver_to + DAY]
        days[first : last + 1] = False
        burned = found.use_kg[0].p90 / found.use_kg[0].days * (last - first)
        rise = float(band.p50[last] - band.p50[first])
        assert order.amount_kg - 1.5 * burned - 1.0 <= rise <= order.amount_kg + 1.0, (order, rise)
    until = min(len(days) - 1, at[orders[-1].deliver_to + DAY])
    falls = np.diff(band.p50[:until])[days[1:until] & days[: until - 1]]
    assert (falls <= 1.0).all()


@pytest.mark.parametrize(("house", "day"), CASES)
def test_the_store_is_cleaned_on_one_day_at_the_level_drawn(house: str, day: date) -> None:
    """One entry, outside of the heating season, four weeks clear of every delivery shown; its kilograms are
    those of the picture on that day.
    """
    found = asked(house, day)
    entries = [e for e in found.upkeep if e.kind == "store_cleaning"]
    assert len(entries) == 1
    entry = entries[0]
    band = next(b for b in found.levels if b.with_plan and b.fuel == "pellets")
    level = float(band.p50[band.dates.tolist().index(entry.day)])
    assert f"about {show(level, 'mass')} will still be in it" in str(entry.text) or "nearly empty" in str(
        entry.text
    )
    assert 5 <= entry.day.month <= 9
    for order in (o for o in (found.order, *found.next_orders) if o is not None):
        assert not order.deliver_from <= entry.day <= order.deliver_to + timedelta(days=28)


DAY = timedelta(days=1)
