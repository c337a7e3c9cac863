"""A day whose routes stand already: one stop more with as little change as can be, or the reason why not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fuelplan.dispatch.driver_hours import NO_RULES
from fuelplan.dispatch.routing import MendedDay, Stop, Tanker
from fuelplan.dispatch.routing.mended import FULL, NO_TIME
from fuelplan.messages import Message

# On a line: the depot in the middle, east one hour away, west one hour the other way, and its neighbour.
AT_H = np.array([0.0, 1.0, -1.0, -1.0])
HOURS = np.abs(AT_H[:, None] - AT_H[None, :])
EAST, WEST, NEIGHBOUR = 1, 2, 3
TANKER = Tanker(place=0, payload_kg=6000, chambers_kg=(3000, 3000), starts_h=6.0, ends_h=11.5, max_trips=2)


def stop(place: int, window: tuple[float, float] | None = None, kg: int = 1000) -> Stop:
    """A stop without work, so that every hour is one of driving."""
    return Stop(place=place, kg=kg, work_min=0, windows=(window,) if window else (), grade="A1")


def day(*stops: Stop, tanker: Tanker = TANKER) -> MendedDay:
    """One tanker that goes to the stops in their order."""
    trips = {0: ((0, tuple(range(len(stops)))),)} if stops else {}
    return MendedDay([tanker], 60 * HOURS, HOURS, NO_RULES, stops, trips)


def order(mended: MendedDay) -> list[list[int]]:
    """The stops of each trip."""
    return [list(numbers) for _, numbers in mended.trips.get(0, ())]


def test_a_stop_comes_between_the_others_in_their_order() -> None:
    """West lies beside its neighbour: nothing else moves."""
    mended = day(stop(EAST), stop(WEST))
    assert mended.put([stop(NEIGHBOUR)]) is None
    assert order(mended) in ([[0, 1, 2]], [[0, 2, 1]])


def test_the_others_are_put_in_another_order_where_that_is_the_only_way() -> None:
    """By half past seven at the neighbour's and back by half past eleven: only west before east does it."""
    mended = day(stop(EAST), stop(WEST))
    assert mended.put([stop(NEIGHBOUR, (6.0, 7.5))]) is None
    assert [n for trip in order(mended) for n in trip][-1] == 0 and len(mended.stops) == 3


@pytest.mark.parametrize(
    ("more", "why"),
    [
        (stop(NEIGHBOUR, (6.0, 7.0), kg=1000), NO_TIME),  # the other is told for the same time, far away
        (stop(NEIGHBOUR, kg=5500), FULL),
    ],
)
def test_what_cannot_be_put_in_says_why_and_changes_nothing(more: Stop, why: Message) -> None:
    """Nobody who was told leaves the window; a full tanker with no other trip is full."""
    one_trip = replace(TANKER, max_trips=1)
    mended = day(stop(EAST, (6.0, 7.0)), tanker=one_trip)
    before = order(mended)
    assert mended.put([more]) == why
    assert order(mended) == before and len(mended.stops) == 1


def test_what_nobody_could_serve_alone_is_said_in_words() -> None:
    """More than any tanker carries."""
    said = day(stop(EAST)).put([stop(WEST, kg=7000)])
    assert said is not None and said.code == "routing.more_than_largest"


def test_stops_that_belong_together_come_together_or_not_at_all() -> None:
    """Two neighbours of whom only one fits: neither is put in."""
    mended = day(stop(EAST, (6.0, 7.0)), tanker=replace(TANKER, max_trips=1))
    assert mended.put([stop(WEST, kg=3000), stop(NEIGHBOUR, kg=3000)]) == FULL
    assert order(mended) == [[0]] and len(mended.stops) == 1


def test_one_comes_in_the_place_of_another() -> None:
    """The first of those who can wait that makes room goes."""
    mended = day(stop(EAST, (6.0, 7.0)), stop(WEST, kg=5000), tanker=replace(TANKER, max_trips=1))
    assert mended.put_instead([stop(NEIGHBOUR, kg=5000)], [0, 1]) in (0, 1)
    assert 2 in [n for trip in order(mended) for n in trip]


def test_a_day_that_cannot_be_driven_loses_what_keeps_it_from_that() -> None:
    """Two windows at one hour an hour apart: one of the stops is taken out, and struck with its number."""
    mended = day(stop(EAST, (6.0, 7.0)), stop(WEST, (6.0, 7.0)))
    (out,) = mended.loosen([0])
    assert not mended.put_back(out)
    mended.drop([out])
    assert order(mended) == [[0]] and len(mended.stops) == 1


def test_neighbours_who_share_a_drop_come_on_one_trip() -> None:
    """Two trips have room for one of two neighbours each: together they come on neither, alone on both."""
    tanker = replace(TANKER, ends_h=18.0)
    full = (stop(EAST, kg=3000), stop(EAST, kg=3000))

    def mended() -> MendedDay:
        return MendedDay([tanker], 60 * HOURS, HOURS, NO_RULES, full, {0: ((0, (0,)), (0, (1,)))})

    apart = [stop(WEST, kg=3000), stop(NEIGHBOUR, kg=3000)]
    one = mended()
    assert one.put(apart) is None
    assert sorted(map(len, order(one))) == [2, 2]
    together = [replace(s, group="W+N") for s in apart]
    two = mended()
    if two.put(together) is None:  # the others on one trip make room for the two on the other
        assert sorted(map(sorted, order(two))) == [[0, 1], [2, 3]]
    stops = [*full, stop(EAST, kg=3000)]
    three = MendedDay([tanker], 60 * HOURS, HOURS, NO_RULES, stops, {0: ((0, (0, 2)), (0, (1,)))})
    assert three.put(together) == FULL
    assert order(three) == [[0, 2], [1]]


def test_a_stop_taken_out_goes_back_to_its_neighbours_trip() -> None:
    """The cheapest place is on the other trip, the neighbour who shares the drop is on the dear one."""
    tanker = replace(TANKER, ends_h=18.0)
    stops = [replace(stop(EAST), group="E+W"), stop(NEIGHBOUR), replace(stop(WEST), group="E+W")]
    mended = MendedDay([tanker], 60 * HOURS, HOURS, NO_RULES, stops, {0: ((0, (0,)), (0, (1,)))})
    assert mended.put_back(2)
    assert sorted(map(sorted, order(mended))) == [[0, 2], [1]]
