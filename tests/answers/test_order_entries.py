"""Each entry of a house has its effect, or is refused or named: the order within a day, errors by how
something was read, meters, fuels, outcomes, old readings, houses that burn nothing.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import OrderAnswer
from fuelplan.records.site import house_books
from fuelplan.records.site.tables import read_readings
from fuelplan.records.site.to_domain import observation_of
from fuelplan.store.bulk import Store
from tests.answers.test_order_doubts import DAY, DEMO, ask, codes, demo_with
from tests.campaigns.lived_house import faces
from tests.site_folders import make_site

CAME = "pellets,,,,,2026-01-15,{amount},yes,no,delivered,"


def test_a_delivery_after_a_reading_of_the_same_day_counts(tmp_path: Path) -> None:
    """1.2 t read, then four tonnes delivered on that day: 1.2 t cannot be the level after it, so 5.2 t are in
    store, and it is said how the reading was taken.
    """
    found = ask(
        demo_with(tmp_path / "a", "2026-01-15,1.2 t,measured,pellets,", delivered=CAME.format(amount="4 t"))
    )
    assert codes(found) == ["reading_disagrees"]  # 1.2 t measured before the tanker, 1.9 t expected
    assert found.stocks[0].kg == pytest.approx(5200, abs=150)
    told = map(str, found.explanation)
    assert any("4 t came, and 1.2 t cannot be the level after it" in text for text in told)


@pytest.mark.parametrize(
    ("row", "delivered", "kg"),
    [
        ("2026-01-15,1.9 t,measured,pellets,,before delivery", "2 t", 3900),
        ("2026-01-15,3.9 t,measured,pellets,,after delivery", "2 t", 3900),
        ("2026-01-15,empty,,pellets,", "4 t", 4000),
        ("2026-01-15,full,,pellets,", "4.1 t", 6000),
        ("2026-01-15,3.9 t,measured,pellets,", "2 t", 3900),
        ("2026-01-15,1.9 t,measured,pellets,", "2 t", 3900),
        ("2026-01-15,1.9 t,measured,pellets,,07:30", "2 t,yes,no,delivered,,10:00", 3900),
        ("2026-01-15,3.9 t,measured,pellets,,16:00", "2 t,yes,no,delivered,,10:00", 3900),
    ],
)
def test_the_order_within_a_day(tmp_path: Path, row: str, delivered: str, kg: float) -> None:
    """As said, by the clock, by the kind of reading, by the amounts, by what was expected – in this order."""
    folder = demo_with(tmp_path / "a", row)
    path = folder / "readings.csv"
    path.write_text(path.read_text().replace("how,fuel,note\n", "how,fuel,note,when\n", 1))
    path = folder / "deliveries.csv"
    line = delivered if "," in delivered else f"{delivered},yes,no,delivered,"
    text = path.read_text().replace("outcome,note\n", "outcome,note,when\n", 1)
    path.write_text(f"{text}pellets,,,,,2026-01-15,{line}\n")
    found = ask(folder)
    assert "same_day" not in codes(found)
    assert found.stocks[0].kg == pytest.approx(kg, abs=250)


def test_a_reading_between_two_deliveries_holds_the_first(tmp_path: Path) -> None:
    """By the clock: 1.5 t at eight, read at noon, 1 t at four; the evening holds the reading and the last."""
    folder = make_site(
        tmp_path / "a",
        readings="date,reading,how,when\n2020-11-01,2 t,measured,\n2020-11-20,3 t,measured,12:00\n",
        deliveries="delivered_on,delivered,when\n2020-11-20,1.5 t,08:00\n2020-11-20,1 t,16:00\n",
    )
    assert ask(folder, date(2020, 11, 20)).stocks[0].kg == pytest.approx(4000, abs=150)


def test_what_cannot_be_told_is_asked_and_kept(tmp_path: Path) -> None:
    """2.9 t by eye on the day of two tonnes, with 1.9 t expected before: either is possible. The dates follow
    the emptier, the amounts the fuller; the answer is written into the row and settles it.
    """
    for choice, kg in (("before", 4070), ("after", 3720)):
        folder = demo_with(
            tmp_path / choice, "2026-01-15,2.9 t,by eye,pellets,", delivered=CAME.format(amount="2 t")
        )
        found = ask(folder)
        assert codes(found) == ["same_day"]
        assert [row.file for row in found.questions[0].about] == ["readings.csv", "deliveries.csv"]
        assert found.stocks[0].kg < 3800 and found.stocks[0].p90_kg > 4200
        answers.settle(folder, found.questions[0], choice, as_of=DAY)
        settled = ask(folder)
        assert "same_day" not in codes(settled)
        assert settled.stocks[0].kg == pytest.approx(kg, abs=100)


@pytest.mark.parametrize(
    ("cells", "sd_kg"),
    [
        ("2.4 t,by eye", 600),
        ("40 %,by eye", 600),
        ("60 cm from bottom,by eye", 600),
        ("160 bags,by eye", 600),
        ("2.4 t,", 600),
        ("40 %,", 600),
        ("2.4 t,measured", 48),
        ("40 %,measured", 180),
        ("160 bags,", 7.5),
        ("2.4 t,estimated", 1800),
        ("40 %,estimated", 1800),
    ],
)
def test_the_error_belongs_to_how_it_was_read(tmp_path: Path, cells: str, sd_kg: float) -> None:
    """By eye is good to a tenth of the store (6 t), in whatever unit it is typed; measured is good to its
    instrument.
    """
    (tmp_path / "readings.csv").write_text(f"date,reading,how\n2020-11-01,{cells}\n")
    (row,), faults = read_readings(house_books(tmp_path))
    store = Store.of_capacity(6000.0, 100.0)
    if "cm" in cells:
        site = make_site(
            tmp_path / "a",
            changes=[
                (
                    'capacity = "6 t"',
                    'shape = "flat floor"\nlength = "3 m"\nwidth = "2 m"\nheight = "2.3 m"',
                )
            ],
        )
        store = answers_store(site)
        sd_kg = 0.1 * store.capacity_kg()
    assert not faults
    table = answers.open_site(make_site(tmp_path / "house")).table
    assert observation_of(row, table, store, 4.0).sd_kg == pytest.approx(sd_kg, rel=0.01)


def answers_store(folder: Path) -> Store:
    """The store of a folder."""
    from fuelplan.records.site.to_domain import store_of

    return store_of(answers.open_site(folder).table)


@pytest.mark.parametrize(
    ("readings", "deliveries", "says"),
    [
        (
            "date,reading,how\n2020-11-01,4 t,\n",
            "fuel,delivered_on,delivered\nchips,2020-11-02,2 t\n",
            "chips",
        ),
        ("date,reading,how,fuel\n2020-11-01,4 t,,chips\n", None, "only pellets and logs are planned for"),
        ("date,reading,how\n2020-11-01,12 bags,tipped in\n", None, "write them as a row of deliveries.csv"),
        ("date,reading,how\n2020-11-01,2 t,heat meter\n", None, "a heat meter shows kilowatt-hours"),
        ("date,reading,how\n2020-11-01,40 %,boiler counter\n", None, "counter shows kilograms"),
        ("date,reading,how\n2020-11-01,full,heat meter\n", None, "a heat meter shows kilowatt-hours"),
        (
            "date,reading,how\n2020-11-01,4 t,\n",
            "ordered_on,ordered,outcome\n2020-11-02,2 t,delivered\n",
            "came has",
        ),
        (
            "date,reading,how\n2020-11-01,4 t,\n",
            "ordered_on,ordered,delivered_on,delivered,outcome\n2020-11-02,2 t,2020-11-09,2 t,cancelled\n",
            "a cancelled delivery has no delivered_on",
        ),
        (
            "date,reading,how\n2020-11-01,4 t,\n",
            "ordered_on,ordered,filled_full\n2020-11-02,2 t,yes\n",
            "fills",
        ),
        (
            "date,reading,how\n2020-11-01,4 t,\n",
            "ordered_on,ordered,when\n2020-11-02,2 t,10:00\n",
            "time of day",
        ),
        (
            "date,reading,how\n2020-11-01,4 t,\n",
            "ordered_on,ordered,due_to\n2020-11-02,2 t,2020-11-01\n",
            "lies before",
        ),
    ],
)
def test_rows_that_could_have_no_effect_are_faults(
    tmp_path: Path, readings: str, deliveries: str | None, says: str
) -> None:
    """One fault each, with a sentence that says what to write."""
    _, faults = answers.check_folder(make_site(tmp_path / "a", readings=readings, deliveries=deliveries))
    assert [says in fault.message for fault in faults] == [True]


def test_rows_without_effect_are_named_with_the_reason(tmp_path: Path) -> None:
    """Logs in a house without logs, a meter read once, a cancelled order, a reading taken back."""
    folder = demo_with(
        tmp_path / "a",
        "2026-01-08,2000 kg,boiler counter,pellets,",
        "2026-01-10,8 stacked m3,measured,logs,",
        delivered="pellets,2025-12-01,,,2 t,,,,,cancelled,\nlogs,,,,,2025-12-20,2 stacked m3,,,,",
    )
    path = folder / "readings.csv"
    path.write_text(path.read_text().replace("how,fuel,note\n", "how,fuel,note,when,checked\n", 1))
    path.write_text(path.read_text().replace("40 %,by eye,pellets,", "40 %,by eye,pellets,,,wrong", 1))
    named = {(one.file, one.line): str(one.reason) for one in ask(folder).set_aside}
    assert named == {
        ("readings.csv", 9): "You said that it is wrong.",
        (
            "readings.csv",
            12,
        ): "A meter tells what was burned between two readings, and this is its only one so far.",
        ("readings.csv", 13): "By its settings this house's boiler burns no logs.",
        ("deliveries.csv", 6): "It was cancelled: nothing came of it.",
        ("deliveries.csv", 7): "By its settings this house's boiler burns no logs.",
    }


def test_counts_of_logs_before_the_last_are_named(tmp_path: Path) -> None:
    """A stack is reckoned from its newest count: an earlier one of the same stack is named, that of another
    stack is not; what was brought before it is in the stack with its own wood.
    """
    import shutil

    folder = tmp_path / "a"
    shutil.copytree(DEMO.parent / "farmhouse", folder)
    with (folder / "readings.csv").open("a") as file:
        file.write("2026-01-11,9 stacked m3,,logs,,behind the barn\n")
        file.write("2026-01-12,7 stacked m3,measured,logs,,south wall\n")
    answers.record_delivery(
        folder,
        date(2025, 12, 20),
        "2 stacked m3",
        fuel="logs",
        stack="south wall",
        wood="oak",
        water="green",
        today=DAY,
    )
    found = ask(folder)
    reasons = {(one.file, one.line): str(one.reason) for one in found.set_aside}
    assert set(reasons) == {("readings.csv", 9)}
    assert "the newest count of their stack, that of 12 January 2026" in reasons["readings.csv", 9]
    assert found.logs is not None
    lying = {(s.stack, s.wood): s.stacked_m3 for s in found.logs.yard}
    assert lying["south wall", "oak"] == pytest.approx(2.0)
    assert 4.5 < lying["south wall", "beech"] < 5.0 and lying["behind the barn", "beech"] == 9.0


@pytest.mark.parametrize("read_on", ["2003-10-01", "2018-11-20"])
def test_an_old_reading_leads_to_reading_the_store(tmp_path: Path, read_on: str) -> None:
    """Seventeen or two years after the only reading nobody knows what is in store: it is to be read, and no
    order is made up.
    """
    folder = make_site(tmp_path / "a", readings=f"date,reading,how\n{read_on},4 t,measured\n")
    found = ask(folder, date(2020, 12, 1))
    assert codes(found) == ["read_first"]
    assert str(found.questions[0].headline) == "Read your store first."
    assert "By the reckoning the store would be empty" in str(found.questions[0].text)
    assert found.order is None and found.next_orders == () and found.advice is None
    assert "Order" not in str(found.sentence)
    assert found.stocks[0].p90_kg - found.stocks[0].p10_kg > 4000


def test_two_years_without_a_reading_beside_deliveries(tmp_path: Path) -> None:
    """Deliveries alone keep the level to about half of the store: it is to be read as well; with a reading of
    this winter it is not.
    """
    folder = demo_with(tmp_path / "a")
    (folder / "readings.csv").write_text("date,reading,how\n2023-10-28,90 %,by eye\n")
    assert codes(ask(folder)) == ["read_first"]
    answers.record_reading(folder, date(2026, 1, 14), "30 %", how="by eye")
    found = ask(folder)
    assert codes(found) == [] and found.order is not None


def test_a_house_that_burns_nothing_keeps_what_was_read(tmp_path: Path) -> None:
    """Thirteen readings of 60 % of four tonnes over a year: had they been carried forward, the store would
    have run empty. They are believed; 2.4 t were read five days ago and are there but for five days' use.
    """
    first = date(2019, 12, 1)
    rows = [f"{first + timedelta(days=28 * i)},60 %,by eye" for i in range(13)]
    folder = make_site(
        tmp_path / "a",
        readings="\n".join(["date,reading,how", *rows]) + "\n",
        changes=[('capacity = "6 t"', 'capacity = "4 t"')],
    )
    found = ask(folder, first + timedelta(days=28 * 12 + 5))
    assert codes(found) == []
    assert found.stocks[0].kg == pytest.approx(2330, abs=120)
    told = [text for text in map(str, found.warnings) if "Nothing was burned between" in text]
    assert len(told) == 1 and "1 December 2019 and 1 November 2020" in told[0]


def test_the_same_number_again_is_asked_about(tmp_path: Path) -> None:
    """60 % now and 60 % three cold months ago: the dates go by what was burned, and it is asked."""
    folder = make_site(
        tmp_path / "a", readings="date,reading,how\n2020-10-20,60 %,by eye\n2021-01-12,60 %,by eye\n"
    )
    found = ask(folder, date(2021, 1, 12))
    assert codes(found) == ["reading_disagrees"]
    assert found.stocks[0].kg < 2700 < 3600 < found.stocks[0].p90_kg


def overdue(folder: Path) -> OrderAnswer:
    """The demo house with an order that should have come by 20 December."""
    return ask(demo_with(folder, delivered="pellets,2025-12-01,2025-12-08,2025-12-20,2 t,,,,,,"))


def test_an_overdue_order_is_settled_by_its_answer(tmp_path: Path) -> None:
    """It came: it is in store. Not yet: it is on its way again for a week. Cancelled: it is gone."""
    asked = overdue(tmp_path / "a")
    assert codes(asked) == ["order_overdue"]
    assert str(asked.questions[0].headline) == "Has the order of 1 December come? It was due by 20 December."
    plain_kg = ask(DEMO).stocks[0].kg
    for choice, more, kg, coming in (("came", 1, 2000, 0), ("not_yet", 0, 0, 1), ("cancelled", 0, 0, 0)):
        folder = tmp_path / choice
        question = overdue(folder).questions[0]
        answers.settle(folder, question, choice, as_of=DAY, **({"day": date(2026, 1, 14)} if more else {}))
        found = ask(folder)
        assert codes(found) == []
        assert found.stocks[0].kg == pytest.approx(plain_kg + kg, abs=120)
        assert len(found.on_its_way) == coming


def test_an_order_due_today_is_not_overdue(tmp_path: Path) -> None:
    """The tanker may still come today; tomorrow it is late."""
    row = "pellets,2026-01-02,2026-01-08,2026-01-15,2 t,,,,,,"
    folder = demo_with(tmp_path / "a", delivered=row)
    assert codes(ask(folder)) == []
    assert codes(ask(folder, date(2026, 1, 16))) == ["order_overdue"]


def test_the_date_of_the_day_before_is_named_when_an_order_becomes_overdue(tmp_path: Path) -> None:
    """On its last day an order is counted on, a day later it is not, and the date leaps by months: the
    answer says until when the next could wait had the tanker come.
    """
    folder = demo_with(tmp_path / "a", delivered="pellets,2026-01-02,2026-01-08,2026-01-15,2 t,,,,,,")
    before, after = ask(folder), ask(folder, date(2026, 1, 16))
    assert before.order is not None and after.order is not None
    assert (before.order.order_by - after.order.order_by).days > 60
    assert not [text for text in map(str, before.warnings) if "is only not booked" in text]
    (said,) = [
        text
        for text in map(str, after.warnings)
        if "If the order of 2 January came and is only not booked" in text
    ]
    first, second = faces.dates_in(said.split(" came ")[1], after.as_of)
    assert abs((date.fromisoformat(first) - before.order.order_by).days) <= 7
    assert second == after.order.order_by.isoformat()
