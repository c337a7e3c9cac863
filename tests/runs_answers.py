"""A made-up run plan for tests of the faces: three days, three tankers, two classes, and names that bite."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from fuelplan.answers.which_runs.answer import (
    ChamberLoad,
    DayTotals,
    NotServed,
    PromiseAtRisk,
    Run,
    RunsAnswer,
    RunStop,
    ToRing,
)
from fuelplan.messages import as_message

AS_OF = date(2026, 1, 15)
DAYS = (date(2026, 1, 16), date(2026, 1, 19), date(2026, 1, 20))
YARD = ("yard", 46.9946, -29.87869)
SMALL = ("small", 47.00989, -29.66508)
LONG_NAME = "The very long house behind the old mill at the upper weir of the river Quellmark"
TAG, FORMULA, EMOJI = "<b>Bold</b> & Sons", "=SUM(A1)", "Inn 🔥 at the bridge"
assert len(LONG_NAME) == 80


def stop(place: int, customer: str, name: str, **more: object) -> RunStop:
    """One stop, half an hour long, an hour after the one before."""
    arrive_h = 6.0 + place
    usual = RunStop(
        position=place,
        customer=customer,
        name=name,
        latitude=round(47.0 + 0.011 * place, 6),
        longitude=round(-29.85 + 0.02 * place, 6),
        grade="A1",
        kg=3000.0,
        arrive_h=arrive_h,
        start_h=arrive_h + 0.1,
        leave_h=arrive_h + 0.6,
        order=None,
        why=as_message("below the reserve by 24 January in 1 of 50 winters"),
        promised_to=None,
        level_p10_kg=700.0,
        level_p90_kg=1150.0,
        store_kg=5200.0,
        hose_m=15.0,
        call_ahead=False,
        phone="000 0001",
        note="",
    )
    return replace(usual, **more)  # type: ignore[arg-type]


def run(day: date, tanker: str, trip: int, stops: tuple[RunStop, ...], **more: object) -> Run:
    """One run from the yard, its loads in chambers of 5 t of one class each."""
    loads = []
    for grade in dict.fromkeys(s.grade for s in stops):
        left = sum(s.kg for s in stops if s.grade == grade)
        while left > 0:
            loads.append(ChamberLoad(grade, min(left, 5000.0), 5000.0))
            left -= 5000.0
    loads += [ChamberLoad("", 0.0, 5000.0)] * max(0, 3 - len(loads))
    kg = sum(s.kg for s in stops)
    usual = Run(
        day=day,
        tanker=tanker,
        depot=YARD[0],
        depot_latitude=YARD[1],
        depot_longitude=YARD[2],
        trip=trip,
        stops=stops,
        chambers=tuple(loads),
        km=41.3,
        hours=stops[-1].leave_h + 0.4 - 6.5,
        driving_h=1.2,
        kg=kg,
        leave_h=6.5,
        back_by_h=stops[-1].leave_h + 0.4,
        cost=210.5,
        frozen=False,
        faults=(),
    )
    return replace(usual, **more)  # type: ignore[arg-type]


def _runs() -> tuple[Run, ...]:
    first, second, third = DAYS
    return (
        run(first, "Heron", 1, (
            stop(1, "Q001", "Lime tree house", call_ahead=True, note="boiler off an hour before"),
            stop(2, "Q002", TAG, grade="A2", kg=4200.0, hose_m=38.0, order="B003", promised_to=first),
            stop(3, "Q003", FORMULA, kg=2400.0, phone="+43 555 0103"),
        ), frozen=True),
        run(first, "Heron", 2, (
            stop(6, "Q011", "Chapel house", position=1, order="B007", promised_to=third, note="dog"),
            stop(7, "Q012", EMOJI, position=2, kg=5600.0, grade="A2"),
        ), leave_h=11.2, km=28.0),
        run(first, "Wren", 1, (stop(1, "Q021", LONG_NAME, kg=6000.0, note="narrow gate " * 8),)),
        run(second, "Stork", 1, tuple(
            stop(i, f"Q03{i}", f"House {i}, Upper lane", kg=2500.0) for i in range(1, 7)
        ), faults=(as_message("back 12 minutes after the latest end of the day"),)),
        run(third, "Wren", 1, (
            stop(1, "Q041", "Weir 1", phone=""),
            stop(2, "Q042", "Weir 2", grade="A2", kg=1500.0),
        ), depot=SMALL[0], depot_latitude=SMALL[1], depot_longitude=SMALL[2]),
    )  # fmt: skip


def _totals(day: date, runs: tuple[Run, ...]) -> DayTotals:
    own = [r for r in runs if r.day == day]
    hours = sum(r.hours for r in own)
    return DayTotals(
        day=day,
        runs=len(own),
        stops=sum(len(r.stops) for r in own),
        kg=sum(r.kg for r in own),
        free_kg=2000.0,
        km=sum(r.km for r in own),
        hours=hours,
        overtime_h=0.2 if day == DAYS[1] else 0.0,
    )


def example_runs() -> RunsAnswer:
    """The whole plan."""
    runs = _runs()
    return RunsAnswer(
        round="Quellmark fuel yard",
        as_of=AS_OF,
        seed=1,
        currency="EUR",
        days=DAYS,
        runs=runs,
        per_day=tuple(_totals(day, runs) for day in DAYS),
        to_ring=(
            ToRing(
                "Q051",
                "Ash cottage",
                "000 0051",
                as_message("may be empty by 23 January"),
                DAYS[2],
                640.0,
                3100.0,
            ),
        ),
        calls=(
            ToRing("Q052", TAG, "", as_message("asks to be rung before a delivery"), None, 900.0, 2500.0),
        ),
        not_served=(
            NotServed("Q061", "Island house", "B009", as_message("no road leads there")),
            NotServed("Q062", FORMULA, None, as_message("nothing is delivered before the credit stop ends")),
        ),
        promises_at_risk=(
            PromiseAtRisk(
                "B003", "Q002", TAG, DAYS[0], DAYS[0], as_message("the store may be empty a day before")
            ),
            PromiseAtRisk(
                "B010", "Q063", "Hill farm", DAYS[1], None, as_message("no tanker is free in time")
            ),
        ),
        changes=(as_message("Lime tree house moved from 19 January to 16 January."),),
        sentences=(
            as_message("5 runs in 3 days bring 45 t to 14 customers, 193 km in all."),
            as_message("2 promises are in danger, first that to Hill farm."),
        ),
        notes=(as_message("The levels of 3 customers rest on no reading."),),
        cautions=(),
        attributions=("Invented weather of the invented valley of Quellmark",),
        cost=1052.5,
        iterations=4000,
        reproducible=True,
    )


def empty_runs() -> RunsAnswer:
    """A plan in which nobody has to be served."""
    return replace(
        example_runs(),
        runs=(),
        per_day=tuple(_totals(day, ()) for day in DAYS),
        to_ring=(),
        calls=(),
        not_served=(),
        promises_at_risk=(),
        changes=(),
        sentences=(as_message("Nobody has to be served before 21 January."),),
    )
