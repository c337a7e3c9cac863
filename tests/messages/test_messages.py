"""Messages: what is said as data, and how it reads in English, in US units and in other languages."""

from __future__ import annotations

import pickle
from datetime import date
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from hypothesis import given
from hypothesis import strategies as st

from fuelplan import units
from fuelplan.messages import (
    Chance,
    Day,
    Days,
    Limits,
    Listed,
    Message,
    Money,
    Month,
    Number,
    Own,
    Per,
    Percent,
    Price,
    Quantity,
    Range,
    Sides,
    TimeOfDay,
    Value,
    codes,
    counted_message,
    in_document,
    message,
    paragraph,
    render,
    strict,
)
from fuelplan.units import Reader, written_for
from tests.pseudo_language import outside, speak_pseudo, use_catalogue

US = Reader("us", "month first")
GERMAN = Reader(language="de")
A_DAY = date(2026, 3, 14)


def one(value: Value) -> Message:
    """A message that is nothing but its value."""
    return message("test.one", "{value}", value=value)


def order_by() -> Message:
    """A sentence with an amount and a day."""
    return message(
        "test.order_by", "Order {amount} by {day}.", amount=Quantity(3500, "mass", 3), day=Day(A_DAY)
    )


@pytest.mark.parametrize(
    ("value", "english"),
    [
        (Quantity(2100, "mass"), "2.1 t"),
        (Quantity(float("nan"), "mass"), "not known"),
        (Range(1690, 2490, "mass"), "1.6 to 2.5 t"),
        (Range(2090, 2100, "mass"), "about 2.1 t"),
        (Money(1090.4, "EUR"), "1,090 EUR"),
        (Money(5.2, "EUR", whole=False), "5.20 EUR"),
        (Price(0.31, "EUR"), "310 EUR/t"),
        (Price(0.322, "EUR", decimals=2), "322.00 EUR a tonne"),
        (Price(1.46, "EUR", each="kg"), "1.46 EUR for each kilogram"),
        (Month(7), "July"),
        (Month(10, 2026), "October 2026"),
        (Day(A_DAY), "14 March"),
        (Day(A_DAY, year=True), "14 March 2026"),
        (Days(date(2026, 2, 17), date(2026, 2, 27)), "17 to 27 February"),
        (Days(date(2026, 2, 17), date(2026, 3, 3), year=True), "17 February to 3 March 2026"),
        (Days(A_DAY, A_DAY), "14 March"),
        (TimeOfDay(16 + 2 / 3), "16:40"),
        (TimeOfDay(25 + 1 / 6), "01:10 the next day"),
        (Chance(0.02), "about 1 in 50"),
        (Chance(0.0, 1680), "less than 1 in 1,680"),
        (1680, "1,680"),
        (Number(3.14159, 2), "3.14"),
        (Percent(0.223), "22%"),
        (Own("Mill 10 W"), "Mill 10 W"),
        (Listed((Day(A_DAY), Own("b"), 3)), "14 March, b and 3"),
        (Listed((Own("a"), Own("b")), "or"), "a or b"),
        (Listed((Own("a"), Own("b")), "; "), "a; b"),
        (order_by(), "Order 3.5 t by 14 March."),
    ],
)
def test_each_kind_of_value_reads_as_english_people_write_it(value: Value, english: str) -> None:
    """Each kind of value has its English text, in a message and alone, the same as `units.show…` gives."""
    assert render(one(value)) == render(value) == english


@pytest.mark.parametrize(
    ("value", "metric", "us"),
    [
        (Quantity.written(6500, "kg"), "6,500 kg", "14,000 lb"),
        (Quantity.written(0.3, "m", "g"), "0.3 m", "12 in"),
        (Quantity.written(5.04, "t", ".1f"), "5.0 t", "11,000 lb"),
        (Quantity.written(13.4, "kW"), "13 kW", "44,000 BTU/h"),
        (Quantity.written(-12, "degC"), "-12 °C", "10 °F"),
        (Quantity.written(10_000, "l"), "10,000 l", "2,600 US gal"),
        (Quantity.written(650, "kg/m3"), "650 kg/m³", "41 lb/cu ft"),
        (Quantity(0.00801, "area", unit="cm2", decimals=0, up=True), "81 cm²", "13 sq in"),
        (Limits.written(2, 5, "m"), "2 to 5 m", "6.6 to 16 ft"),
        (Limits.written(0.5, 1.8, "m"), "0.5 to 1.8 m", "20 in to 5.9 ft"),
        (Limits.written(10, 21, "m3", ".0f", "and"), "10 and 21 m³", "350 and 740 cu ft"),
        (Limits.written(40, 45, "deg"), "40 to 45°", "40 to 45°"),
        (Per(Quantity.written(55, "l", "g"), "kW"), "55 l per kW", "43 US gal for each 10,000 BTU/h"),
        (Per(Quantity.written(4, "cm2", "g"), "t"), "4 cm² per tonne", "0.56 sq in per short ton"),
        (Per(Quantity.written(4.8, "kWh", "g"), "kg"), "4.8 kWh per kg", "7,400 BTU per lb"),
        (Sides((2.1, 2.6, 2.2)), "2.1 x 2.6 x 2.2 m", "6.9 ft x 8.5 ft x 7.2 ft"),
        (Range(9.2, 23.1, "volume", unit="m3", decimals=0), "9 to 24 m³", "320 to 820 cu ft"),
        (Range(112.2, 260.7, "volume", unit="m3", decimals=0), "112 to 261 m³", "3,900 to 9,300 cu ft"),
    ],
)
def test_what_a_rule_writes_is_kept_and_us_readers_read_their_own(value: Value, metric: str, us: str) -> None:
    """A limit of 30 m is no 30.0 m, both limits are rounded to the nearest, and doubt outwards."""
    assert (render(one(value)), render(one(value), US)) == (metric, us)
    assert render(one(value), GERMAN)[0] == metric[0]


@given(
    low=st.one_of(st.just(0.0), st.floats(1e-3, 1e6)),
    more=st.one_of(st.just(0.0), st.floats(1e-3, 1e6)),
    dimension=st.sampled_from(sorted(units.QUANTITIES)),
    reader=st.sampled_from([Reader(), US]),
)
def test_quantities_and_ranges_read_as_units_show_them(
    low: float, more: float, dimension: str, reader: Reader
) -> None:
    """A quantity and a range in a message read as `units.show` and `units.show_range` write them."""
    with written_for(reader):
        shown = units.show(low, dimension), units.show_range(low, low + more, dimension)
    said = (
        render(one(Quantity(low, dimension)), reader),
        render(one(Range(low, low + more, dimension)), reader),
    )
    assert said == shown


def test_the_reader_decides_when_the_text_is_made() -> None:
    """One message made once reads in metric units, in US units and in German, whenever it is rendered."""
    said = order_by()
    assert render(said) == "Order 3.5 t by 14 March."
    assert render(said, US) == "Order 7,720 lb by March 14."
    assert render(said, GERMAN) == "Order 3,5 t by 14. März."
    with written_for(US):
        assert render(said) == "Order 7,720 lb by March 14."
        assert render(said, Reader()) == "Order 3.5 t by 14 March."
    assert str(said) == "Order 3.5 t by 14 March."


def test_words_in_another_order_and_the_numbers_of_another_language(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A catalogue puts the values in its own order; numbers, dates and units follow its language."""
    catalog = Catalog("de")
    catalog.add("Order {amount} by {day}.", "Bestellen Sie bis {day} {amount}.", context="test.order_by")
    catalog.add("about 1 in {n}", "etwa 1 von {n}", context="chance.one_in")
    catalog.add("{time} the next day", "{time} am nächsten Tag", context="clock.next_day")
    catalog.add("{low} to {high}", "{low} bis {high}", context="range.from_to")
    use_catalogue(monkeypatch, tmp_path, catalog, "de")
    assert render(order_by(), GERMAN) == "Bestellen Sie bis 14. März 3,5 t."
    assert render(one(Chance(1 / 1680)), GERMAN) == "etwa 1 von 1.700"
    assert render(one(Range(1690, 2490, "mass")), GERMAN) == "1,6 bis 2,5 t"
    assert render(one(Day(A_DAY, year=True)), GERMAN) == "14. März 2026"
    assert render(one(Day(date(2026, 2, 3))), GERMAN) == "3. Februar"
    assert render(one(Day(date(2026, 1, 14), year=True)), Reader(language="de_AT")) == "14. Jänner 2026"
    assert render(one(Money(1090.4, "EUR")), GERMAN) == "1.090\xa0EUR"
    assert render(one(Money(5.2, "EUR", whole=False)), GERMAN) == "5,20\xa0EUR"
    assert render(one(Number(1234.567, 2)), GERMAN) == "1.234,57"
    assert render(TimeOfDay(25 + 1 / 6), GERMAN) == "01:10 am nächsten Tag"
    assert render(one(Percent(0.223)), GERMAN) == "22\xa0%"
    assert render(one(Quantity(504, "time")), GERMAN) == "3 Wochen"
    assert render(one(Listed((1, 2, 3))), GERMAN) == "1, 2 und 3"
    assert render(one(Quantity(3500, "mass", 3)), Reader("us", language="de")).startswith("7.720")
    assert render(order_by()) == "Order 3.5 t by 14 March."


def old(days: int) -> Message:
    """A message whose words depend on a number."""
    return counted_message("test.old", "{n} day old", "{n} days old", days)


def test_plurals_follow_the_rules_of_the_language(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """English has one plural, Polish two more: the number chooses, and the catalogue has them all."""
    catalog = Catalog("pl")
    catalog.add(("{n} day old", "{n} days old"), ("{n} dzień", "{n} dni", "{n} dnia"), context="test.old")
    use_catalogue(monkeypatch, tmp_path, catalog, "pl")
    assert [render(old(n)) for n in (0, 1, 2)] == ["0 days old", "1 day old", "2 days old"]
    polish = Reader(language="pl")
    assert [render(old(n), polish) for n in (1, 2, 5)] == ["1 dzień", "2 dni", "5 dnia"]
    assert [render(old(n), GERMAN) for n in (1, 2)] == ["1 day old", "2 days old"]


def test_a_person_s_own_text_is_never_read() -> None:
    """Units, places and marks in a person's own text stay; what steers in it is shown harmlessly."""
    said = message("test.supplier", "Ring {name}.", name=Own("Mill 10 W {day} %s\u202e\nline"))
    text = "Ring Mill 10 W {day} %s? line."
    assert render(said) == render(said, US) == render(said, GERMAN) == text


def test_the_pseudo_language_shows_what_is_in_no_catalogue(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A text that goes through the catalogue stands between marks; one of a test's own does not."""
    pseudo = speak_pseudo(monkeypatch, tmp_path)
    chance = render(one(Chance(0.02)), pseudo)
    assert (chance, outside(chance)) == ("⟦about 1 in 50⟧", "")
    assert outside(render(paragraph([old(2), one(Chance(0.02))]), pseudo)) == "2 days old"


def test_a_message_compares_travels_and_is_a_key() -> None:
    """Messages with the same values are equal, have the same hash, and come back whole from a worker."""
    assert order_by() == order_by()
    assert order_by() != message("test.order_by", "Order {amount} by {day}.", amount=3, day=Day(A_DAY))
    assert len({order_by(), order_by(), old(1), old(2)}) == 3
    whole = paragraph([order_by(), old(2), one(Listed((Own("a"), order_by())))])
    assert pickle.loads(pickle.dumps(whole)) == whole


def test_a_paragraph_is_its_sentences() -> None:
    """Sentences make one message with a space between them; its codes are theirs."""
    assert render(paragraph([order_by(), old(1)])) == "Order 3.5 t by 14 March. 1 day old"
    assert codes(paragraph([order_by(), old(1)])) == ("test.order_by", "test.old")
    assert paragraph([order_by()]) == order_by()
    assert codes(order_by()) == ("test.order_by",)
    assert render(paragraph([])) == ""


def test_strict_mode_refuses_to_make_a_text_where_nobody_reads_it() -> None:
    """In strict mode `str()` and f-strings raise, and rendering still works; afterwards all is as before."""
    with strict():
        with pytest.raises(TypeError, match=r"test\.order_by"):
            str(order_by())
        with pytest.raises(TypeError, match=r"test\.order_by"):
            f"{order_by()}"
        assert render(order_by()) == "Order 3.5 t by 14 March."
    assert f"{order_by()}" == "Order 3.5 t by 14 March."


def test_a_missing_value_is_a_fault_of_the_program() -> None:
    """A template that names a value it was not given does not pass as a text."""
    with pytest.raises(KeyError, match="day"):
        render(Message("test.wrong", "by {day}", (("amount", 3),)))


def test_the_document_of_a_message_holds_code_text_and_values() -> None:
    """In JSON every value has its number in the fixed unit, its currency or its ISO date."""
    said = message(
        "test.all",
        "{kg} {span} {sum} {price} {day} {days} {clock} {chance} {share} {number} {n} {own} {list} {inner}",
        kg=Quantity(3500, "mass"),
        span=Range(1, float("inf"), "energy"),
        sum=Money(5.2, "EUR"),
        price=Price(0.31, "EUR"),
        day=Day(A_DAY),
        days=Days(A_DAY, A_DAY),
        clock=TimeOfDay(25 + 1 / 6),
        chance=Chance(0.02, 1680),
        share=Percent(0.5),
        number=Number(1 / 3, 2),
        n=7,
        own=Own("a\u202eb"),
        list=Listed((Day(A_DAY), 1)),
        inner=old(1),
    )
    document = said.to_json()
    assert document["code"] == "test.all"
    assert document["text"].startswith("3.5 t ")
    assert document["values"] == {
        "kg": {"value": 3500.0, "unit": "kg"},
        "span": {"low": 1.0, "high": None, "unit": "kWh"},
        "sum": {"amount": 5.2, "currency": "EUR"},
        "price": {"amount": 0.31, "currency": "EUR", "per": "kg"},
        "day": "2026-03-14",
        "days": {"first": "2026-03-14", "last": "2026-03-14"},
        "clock": "25:10",
        "chance": {"share": 0.02, "out_of": 1680},
        "share": 0.5,
        "number": 0.333333,
        "n": 7,
        "own": "a\u202eb",
        "list": ["2026-03-14", 1],
        "inner": {"code": "test.old", "text": "1 day old", "values": {"n": 1}},
    }


def test_documents_hold_the_whole_message() -> None:
    """Code and values are the same for every reader, the text is in the reader's units."""
    found = in_document(order_by())
    assert found == order_by().to_json() and found["text"] == "Order 3.5 t by 14 March."
    with written_for(US):
        assert in_document(order_by()) == {**found, "text": "Order 7,720 lb by March 14."}


def test_months_and_prices_of_offers_follow_the_reader() -> None:
    """A month is named in the language; a price by the tonne or kilogram is one by the short ton or pound."""
    assert render(one(Month(10, 2026)), GERMAN) == "Oktober 2026" and render(one(Month(7)), GERMAN) == "Juli"
    offer, lacking = Price(0.322, "EUR", decimals=2), Price(1.46, "EUR", each="kg")
    assert render(one(offer), US) == "292.11 EUR per short ton"
    assert render(one(lacking), US) == "0.66 EUR for each pound"
    assert render(one(offer), GERMAN).replace("\N{NO-BREAK SPACE}", " ") == "322,00 EUR/t"
    values = message("test.two", "{a} {b}", a=Month(7), b=Month(10, 2026)).to_json()["values"]
    assert values == {"a": "--07", "b": "2026-10"}
