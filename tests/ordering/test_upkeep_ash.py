"""When the ash box is full."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.ordering import upkeep
from fuelplan.ordering.upkeep import UpkeepError

DATES = np.arange("2025-10-01", "2026-05-01", dtype="datetime64[D]")


def test_dates_are_early_in_one_winter_of_ten() -> None:
    """On the day told the box is not yet full in nine of ten winters; a day or two later it is in the
    fastest tenth.
    """
    burned = np.random.default_rng(2).gamma(6, 8, (400, len(DATES)))
    ash = upkeep.ash_from_fuels({"pellets": burned}, {"pellets": 0.006})
    items = upkeep.ash_items(DATES, ash, box_l=30)
    at = int((np.datetime64(items[0].day) - DATES[0]).astype(int))
    fallen = np.cumsum(ash, axis=1)
    assert (fallen[:, at] <= 12.0).mean() >= 0.9
    assert (fallen[:, at + 1] > 12.0).mean() >= 0.1
    assert len(items) == int(np.quantile(fallen[:, -1], 0.9) // 12.0) or len(items) >= 3
    days = [i.day for i in items]
    assert days == sorted(set(days))
    assert all(i.caution_ids == ("hot-ash",) and i.kind == "ash" for i in items)
    assert len({i.key for i in items}) == len(items)


def test_ash_already_in_the_box_brings_the_day_forward() -> None:
    """A box half full is full in half the time."""
    ash = np.full((1, len(DATES)), 0.2)
    empty, half = (upkeep.ash_items(DATES, ash, box_l=25, in_box_kg=kg)[0].day for kg in (0.0, 5.0))
    assert (empty - half).days == 25
    assert empty == date(2025, 11, 19)  # 50 days of 0.2 kg from 1 October


@given(st.floats(0.01, 30), st.floats(5, 200))
def test_the_box_is_never_told_later_than_full(kg_per_day: float, box_l: float) -> None:
    """Between two emptyings no more ash falls than the box holds, as far as it holds a day's ash at all."""
    ash = np.full((1, len(DATES)), kg_per_day)
    items = upkeep.ash_items(DATES, ash, box_l=box_l, most=500)
    ends = [-1] + [int((np.datetime64(i.day) - DATES[0]).astype(int)) for i in items]
    gaps = np.diff(ends)
    holds = box_l * upkeep.ASH_KG_PER_L
    assert all(g * kg_per_day <= holds + 1e-6 or g == 1 for g in gaps)
    if not items:
        assert kg_per_day * len(DATES) <= holds + 1e-6


def test_two_fuels_share_a_box() -> None:
    """Each fuel brings its own ash share; one without a share is asked for."""
    both = upkeep.ash_from_fuels(
        {"pellets": [10.0, 0.0], "logs": [0.0, 30.0]}, {"pellets": 0.005, "logs": 0.01}
    )
    assert both == pytest.approx([0.05, 0.3])
    with pytest.raises(UpkeepError, match="ash share of logs"):
        upkeep.ash_from_fuels({"logs": [1.0]}, {"pellets": 0.005})


@pytest.mark.parametrize(
    "make",
    [
        lambda: upkeep.ash_items(DATES, np.ones((1, len(DATES))), box_l=0),
        lambda: upkeep.ash_items(DATES, np.ones((2, 3)), box_l=40),
        lambda: upkeep.ash_items(DATES, -np.ones((1, len(DATES))), box_l=40),
        lambda: upkeep.ash_from_fuels({}, {}),
    ],
)
def test_ash_that_cannot_be(make) -> None:
    """Impossible boxes and burns are refused."""
    with pytest.raises(UpkeepError):
        make()
