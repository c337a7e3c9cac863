"""Drops that neighbours share: what holds for one holds for the other; credit stops, and lifted ones."""

from __future__ import annotations

from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import Round, RunsAnswer
from fuelplan.messages import as_text
from fuelplan.records.round import Order, add_order
from tests.round_folders import CUSTOMERS, ROUND, make_round
from tests.runs_planned import TODAY, planned

HEAD = (
    "order,customer,kg,class,from,to,price_per_t,credit_stop,call_ahead,already_empty,split_with,lifted_by\n"
)
SHARED = HEAD + (
    "S1,K-10,2500,A1,2026-01-13,2026-01-20,,no,no,no,K-11,{first}\n"
    "S2,K-11,2500,A1,2026-01-13,2026-01-20,,{stop},no,no,K-10,{second}\n"
)
WEIR_1 = "K-10,Weir 1,valley,south,47.080,11.455,640,A1,5000,,on request,20,,,,,,,,5100,,,yes,555 0110,,"
WEIR_2 = "K-11,Weir 2,valley,south,47.0801,11.4551,640,A1,5000,,on request,20,,,,,,,,,,,,555 0111,,"
FREE_1 = WEIR_1.replace(",yes,555", ",,555").replace("valley,south", "valley,")
FREE_2 = WEIR_2.replace("valley,south", "valley,")
NORTH_T2 = ROUND.replace('name = "T2"\ndepot = "south"', 'name = "T2"\ndepot = "north"')


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for this module's rounds."""
    return tmp_path_factory.mktemp("rounds")


def shared(
    folder: Path,
    first: str = FREE_1,
    second: str = FREE_2,
    stop: str = "no",
    lifted: tuple[str, str] = ("", ""),
    table: str = NORTH_T2,
) -> tuple[Round, RunsAnswer]:
    """The small round with two orders of neighbours who share a drop, and the rows of these as given."""
    customers = CUSTOMERS.replace(WEIR_1, first).replace(WEIR_2, second)
    orders = SHARED.format(stop=stop, first=lifted[0], second=lifted[1])
    files = {"customers.csv": customers, "orders.csv": orders, "round.toml": table}
    return planned(make_round(folder, files=files))


def runs_of(answer: RunsAnswer) -> dict[str, tuple[object, str, int]]:
    """Day, tanker and trip by order."""
    return {s.order: (r.day, r.tanker, r.trip) for r in answer.runs for s in r.stops if s.order}


def test_neighbours_come_on_one_run(place: Path) -> None:
    """Where nothing stands in the way both orders are on one run."""
    _, answer = shared(place / "both")
    run = runs_of(answer)
    assert run["S1"] == run["S2"]


@pytest.mark.parametrize("who", ["first", "second"])
def test_a_credit_stop_of_either_neighbour_holds(place: Path, who: str) -> None:
    """A stopped customer gets nothing because a neighbour ordered; the neighbour is served alone."""
    rows = {who: {"first": FREE_1, "second": FREE_2}[who].replace(",,555", ",yes,555")}
    _, answer = shared(place / f"stopped {who}", **rows)  # type: ignore[arg-type]
    stopped, other = ("S1", "S2") if who == "first" else ("S2", "S1")
    assert set(runs_of(answer)) == {other}
    assert [(x.order, as_text(x.reason)) for x in answer.not_served if x.order] == [
        (stopped, "credit stop: nothing is delivered until it is lifted")
    ]
    notes = " ".join(map(as_text, answer.notes))
    assert "do not come on one run: a credit stop" in notes or who == "first"


def test_a_credit_stop_lifted_for_one_order_by_name(place: Path) -> None:
    """`lifted_by` lets that order through, whether customer or order is stopped, and nothing else."""
    stopped = FREE_2.replace(",,555", ",yes,555")
    _, answer = shared(place / "lifted", second=stopped, stop="yes", lifted=("", "Anna"))
    run = runs_of(answer)
    assert run["S1"] == run["S2"]
    why = next(as_text(s.why) for r in answer.runs for s in r.stops if s.order == "S2")
    assert "credit stop lifted by Anna" in why
    _, answer = shared(place / "not lifted", second=stopped, lifted=("Anna", ""))
    assert set(runs_of(answer)) == {"S1"}
    assert "S2" in {x.order for x in answer.not_served}


@pytest.mark.parametrize(
    ("what", "row"),
    [
        ("hose", FREE_2.replace("on request,20,", "on request,38,")),
        ("width", FREE_2.replace("on request,20,,", "on request,20,2.4,")),
        ("weight", FREE_2.replace("on request,20,,,", "on request,20,,20,")),
    ],
)
def test_what_rules_a_tanker_out_at_one_rules_it_out_for_both(place: Path, what: str, row: str) -> None:
    """T1 has 40 m of hose, 2.5 m, 26 t; T2 30 m, 2.3 m, 18 t: the drop comes by the one both can take."""
    wanted = "T1" if what == "hose" else "T2"
    table = NORTH_T2  # T2 is the cheaper one
    if wanted == "T2":
        table = NORTH_T2.replace('cost_per_km = "0.90 EUR/km"', 'cost_per_km = "9 EUR/km"')
    _, answer = shared(place / what, second=row, table=table)
    run = runs_of(answer)
    assert run["S1"] == run["S2"]
    assert run["S2"][1] == wanted


def test_a_trailer_that_one_yard_does_not_take(place: Path) -> None:
    """Where the second says no to a trailer, the tanker with one does not come for both."""
    table = NORTH_T2.replace('laden_weight = "18 t"', 'laden_weight = "18 t"\ntrailer = true').replace(
        'cost_per_km = "1.10 EUR/km"', 'cost_per_km = "9 EUR/km"'
    )
    row = FREE_2.replace("on request,20,,,,", "on request,20,,,no,")
    _, answer = shared(place / "trailer", second=row, table=table)
    run = runs_of(answer)
    assert run["S1"] == run["S2"] and run["S1"][1] == "T1"


def test_weekdays_and_windows_of_both_are_kept(place: Path) -> None:
    """The first takes fuel on Tuesday to Friday, the second on Friday and from two o'clock on."""
    first = FREE_1.replace("on request,20,,,,,", "on request,20,,,,Tue;Wed;Thu;Fri,")
    second = FREE_2.replace("on request,20,,,,,,", "on request,20,,,,Fri,14:00,")
    _, answer = shared(place / "weekdays", first, second)
    run = runs_of(answer)
    assert run["S1"] == run["S2"]
    assert all(r.day.weekday() == 4 for r in answer.runs for s in r.stops if s.order in ("S1", "S2"))
    assert all(s.start_h >= 14 - 1e-9 for r in answer.runs for s in r.stops if s.order == "S2")


@pytest.mark.parametrize(
    ("what", "first", "second", "said"),
    [
        ("days", FREE_1.replace("20,,,,,", "20,,,,Tue,"), FREE_2.replace("20,,,,,", "20,,,,Thu,"),
         "weekdays"),
        ("tankers", FREE_1.replace("on request,20,", "on request,38,"), FREE_2.replace("20,,", "20,2.4,"),
         "no tanker may go to both"),
    ],
)  # fmt: skip
def test_those_who_cannot_share_come_apart_and_it_is_said(
    place: Path, what: str, first: str, second: str, said: str
) -> None:
    """Different weekdays, or no tanker for both: each order has its own run, and a note says why."""
    _, answer = shared(place / f"apart {what}", first, second)
    run = runs_of(answer)
    assert set(run) == {"S1", "S2"} and run["S1"] != run["S2"]
    notes = list(map(as_text, answer.notes))
    assert any("S1 and S2 do not come on one run" in note and said in note for note in notes)


def test_an_order_that_is_lifted_is_written_with_its_name(place: Path) -> None:
    """Adding an order keeps who lifted the stop, in a file without the column as well."""
    order = Order("N1", "K-10", 2000, None, None, TODAY.replace(day=20), lifted_by="Anna")
    for name, files in (("written", {"orders.csv": HEAD}), ("old file", {})):
        folder = make_round(place / name, files=files)
        add_order(folder, order)
        assert answers.open_round(folder).orders[-1].lifted_by == "Anna"
