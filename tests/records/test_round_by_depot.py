"""A round taken apart by depot: who falls to which depot, and that no book is lost or doubled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import Round
from fuelplan.answers.round.roads import roads_for_round
from fuelplan.answers.which_runs.depots import _depots
from fuelplan.records.round import DepotError, depot_of_customers, part_of_depot
from fuelplan.records.round.lists import Happening, OdometerDay, Order, Wish
from fuelplan.records.round.published import PublishedStop
from tests.round_example import ROUND
from tests.round_folders import make_round

TODAY = date(2026, 1, 12)
NORTH, SOUTH = 0, 1


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Round:
    """Twelve customers between two depots; T1 stands at north, T2 at south."""
    return answers.open_round(make_round(tmp_path_factory.mktemp("rounds") / "small"))


def depots(round_: Round) -> dict[str, int]:
    """The depot of each customer."""
    return dict(zip(round_.customers.id.tolist(), depot_of_customers(round_, TODAY).tolist(), strict=True))


def stop(day: int, tanker: str, customer: str) -> PublishedStop:
    """A stop published for a day of January."""
    return PublishedStop(date(2026, 1, day), tanker, 1, 1, customer, "A1", 2000.0)


def test_the_table_then_the_nearest_tanker_that_can_come(small: Round) -> None:
    """Where customers.csv names a depot, that one; K-04, K-06 and K-12 lie nearest to north; K-05 does, too,
    but its lane is too narrow for north's only tanker, so it falls to south."""
    found = depots(small)
    assert [found[f"K-{n:02d}"] for n in (1, 2, 3)] == [NORTH] * 3
    assert [found[f"K-{n:02d}"] for n in (7, 8, 9, 10, 11)] == [SOUTH] * 5
    assert [found[k] for k in ("K-04", "K-06", "K-12")] == [NORTH] * 3
    assert found["K-05"] == SOUTH
    wide = small.customers.max_width_m.copy()
    wide[small.customers.number_of["K-05"]] = np.inf
    heavy = np.full_like(small.customers.max_weight_kg, np.inf)
    open_road = replace(
        small, customers=replace(small.customers, max_width_m=wide, max_weight_kg=heavy,
                                 trailer_ok=np.ones(12, bool)),
    )  # fmt: skip
    assert depots(open_road)["K-05"] == NORTH


def test_whom_no_tanker_can_reach_still_has_a_depot(small: Round) -> None:
    """A customer too far from the road for every hose falls to the nearest depot, which tells the reason."""
    hose = np.full_like(small.customers.hose_m, 500.0)
    named = small.customers.depot.copy()
    named[small.customers.number_of["K-01"]] = SOUTH
    far = replace(small, customers=replace(small.customers, hose_m=hose, depot=named))
    assert depots(far)["K-05"] == NORTH and depots(far)["K-10"] == SOUTH
    assert depots(far)["K-01"] == SOUTH, "the table names south, though north is nearer"


def test_a_depot_without_tankers_gets_nobody() -> None:
    """The demo round's second depot has no tanker: all its customers fall to the first."""
    assert set(depot_of_customers(ROUND, date(2026, 1, 15)).tolist()) == {0}


def test_what_is_published_or_wished_decides(small: Round) -> None:
    """A stop published after today goes before a person's tanker, that before the table; what is past or
    forbidden counts for nothing."""
    pinned = Wish("K-01", "pin", date(2026, 1, 15), "T2")
    assert depots(replace(small, wishes=(pinned,)))["K-01"] == SOUTH
    assert depots(replace(small, wishes=(replace(pinned, wish="forbid"),)))["K-01"] == NORTH
    told = replace(small, wishes=(pinned,), published=(stop(14, "T1", "K-01"), stop(14, "T1", "K-08")))
    assert depots(told)["K-01"] == NORTH and depots(told)["K-08"] == NORTH
    assert depots(replace(small, published=(stop(12, "T2", "K-01"),)))["K-01"] == NORTH


def test_published_from_two_depots_is_refused(small: Round) -> None:
    """A customer cannot be taken apart; the message names the customer and both depots."""
    torn = replace(small, published=(stop(14, "T1", "K-04"), stop(16, "T2", "K-04")))
    with pytest.raises(DepotError, match="K-04 is published with tankers of north and of south"):
        depots(torn)


def order(number: int, customer: str, neighbour: str | None) -> Order:
    """An open order."""
    return Order(f"O{number}", customer, 1500.0, "A1", None, date(2026, 1, 16), split_with=neighbour)


@pytest.mark.parametrize(
    ("orders", "together"),
    [
        ([order(1, "K-04", "K-05"), order(2, "K-05", "K-04")], NORTH),
        ([order(1, "K-05", "K-04"), order(2, "K-04", "K-05")], SOUTH),
    ],
)
def test_neighbours_stay_together(small: Round, orders: Sequence[Order], together: int) -> None:
    """Who shares a delivery goes where the one goes who ordered first, and both orders go along."""
    both = replace(small, orders=tuple(orders))
    found = depots(both)
    assert found["K-04"] == found["K-05"] == together
    part = part_of_depot(both, depot_of_customers(both, TODAY), together)
    assert [o.order for o in part.orders] == ["O1", "O2"]


def books(round_: Round, name: str) -> list[tuple[str, str, float]]:
    """(customer, day, kg) of every row of deliveries or readings."""
    rows, ids = getattr(round_, name), round_.customers.id
    return [
        (str(ids[c]), str(day), float(kg))
        for c, day, kg in zip(rows.customer, rows.day, rows.kg, strict=True)
    ]


def test_the_whole_is_in_the_parts() -> None:
    """Every customer is in one part with all its books and orders, under the part's own numbers."""
    of = np.random.default_rng(1).integers(0, 2, len(ROUND.customers))
    parts = [part_of_depot(ROUND, of, d) for d in (0, 1)]
    for name in ("deliveries", "readings"):
        whole = books(ROUND, name)
        assert whole and sorted(x for p in parts for x in books(p, name)) == sorted(whole)
    assert sorted(i for p in parts for i in p.customers.id) == sorted(ROUND.customers.id)
    assert sorted(o.order for p in parts for o in p.orders) == sorted(o.order for o in ROUND.orders)
    assert [len(p.table.tankers) for p in parts] == [3, 0]
    assert [p.table.depots for p in parts] == [ROUND.table.depots] * 2


def test_what_happens_goes_where_it_matters(small: Round) -> None:
    """A tanker out goes to its depot, a failed drop to its customer's, the rest to all."""
    happenings = (
        Happening(TODAY, "tanker out", TODAY, tanker="T2"),
        Happening(TODAY, "failed drop", TODAY, customer="K-01"),
        Happening(TODAY, "slow roads", TODAY, factor=2.0),
        Happening(TODAY, "depot out of stock", TODAY, depot="south", grade="A1"),
    )
    published = (stop(14, "T1", "K-01"), stop(14, "T2", "K-08"))
    whole = replace(small, happenings=happenings, published=published, wishes=(Wish("K-08", "pin", TODAY),))
    of = depot_of_customers(whole, TODAY)
    north, south = (part_of_depot(whole, of, d) for d in (NORTH, SOUTH))
    assert [h.what for h in north.happenings] == ["failed drop", "slow roads", "depot out of stock"]
    assert [h.what for h in south.happenings] == ["tanker out", "slow roads", "depot out of stock"]
    assert [s.customer for s in north.published] == ["K-01"] and [k.name for k in north.table.tankers] == [
        "T1"
    ]
    assert [s.customer for s in south.published] == ["K-08"] and [w.customer for w in south.wishes] == [
        "K-08"
    ]
    assert not north.wishes


def test_every_depot_has_the_detour_of_the_whole_round(small: Round) -> None:
    """Eight days on T1's odometer teach a detour; south, whose tanker has no reading, drives by it, too."""
    tours = [replace(stop(1, "T1", "K-06"), day=date(2025, 12, day)) for day in range(1, 9)]
    driven = tuple(OdometerDay(tour.day, "T1", 40.0) for tour in tours)
    whole = replace(small, published=tuple(tours), odometer=driven)
    learned = roads_for_round(whole).roads.source
    assert learned != roads_for_round(small).roads.source
    weather = answers.weather_for_round(whole, TODAY, lambda _: None)
    table = answers.outlook(whole, weather, TODAY, 1).customers
    parts = list(_depots(whole, depot_of_customers(whole, TODAY), [NORTH, SOUTH], table))
    assert [part.roads.roads.source for part in parts] == [learned, learned]
    assert [len(part.roads.roads) for part in parts] == [6 + 2, 6 + 2]


def test_published_days_stay_when_each_depot_plans_again(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Three days published, then planned anew with another seed: their stops stay, on the same tanker and
    with the same kilograms, though they bring fuel before the first day that is still open."""
    folder = make_round(tmp_path_factory.mktemp("rounds") / "told")
    round_ = answers.open_round(folder)
    weather = answers.weather_for_round(round_, TODAY, lambda _: None)
    first = answers.runs_by_depot(round_, weather, TODAY, days=4, moves=300)
    answers.publish_runs(round_, first, first.days[:3])
    again = answers.runs_by_depot(answers.open_round(folder), weather, TODAY, seed=7, days=5, moves=300)

    def told(answer: answers.RunsAnswer) -> set[tuple[date, str, str, float]]:
        return {
            (run.day, run.tanker, stop.customer, round(stop.kg))
            for run in answer.runs
            for stop in run.stops
            if run.day in first.days[:3]
        }

    assert len(told(first)) >= 3
    assert told(again) == told(first)
