"""A size is only recommended where the reserve is kept, too."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from fuelplan import answers

SCHOOL = Path(__file__).parents[2] / "demo_sites" / "village_school"


def test_no_size_is_recommended_that_undercuts_the_reserve() -> None:
    """The school's cheapest size that never runs empty undercuts the reserve; the one named does not."""
    day = date(2026, 1, 20)
    site = answers.open_for_sizing(SCHOOL)
    found = answers.size(site, answers.weather_for(site, day), day)
    assert found.store is not None
    reserve_kg = site.table.store.reserve_kg
    assert found.store.lowest_kg >= reserve_kg - 1
    never_empty = [o for o in found.options if o.empty_risk_per_year == 0]
    cheapest = min(never_empty, key=lambda o: o.yearly_cost)
    assert cheapest.lowest_kg < reserve_kg  # so that the reserve is what decides here
    assert cheapest.yearly_cost < found.store.yearly_cost
