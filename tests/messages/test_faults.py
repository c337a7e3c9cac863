"""Errors and faults carry messages, which read in the units of whom they are shown to."""

import pickle
from collections.abc import Callable
from typing import Any

import pytest

from fuelplan.messages import Fault, Faults, Own, Quantity, Refusal, message, render, said_by, strict
from fuelplan.units import (
    Reader,
    UnitError,
    WorkingDays,
    parse,
    parse_amount,
    parse_date,
    parse_price,
    parse_working_days,
    written_for,
)

US = Reader("us", "month first")
NAILS = Own("10 kg of {nails}")
HEAVY = message("test.heavy", "{what} weighs {mass}", what=NAILS, mass=Quantity(1000, "mass"))


def test_a_refusal_reads_for_whom_it_is_shown_to() -> None:
    """The same error says tonnes to one reader and pounds to another; the person's text stays as it is."""
    error = Refusal(HEAVY)
    assert str(error) == "10 kg of {nails} weighs 1 t"
    with written_for(US):
        assert str(error) == "10 kg of {nails} weighs 2,200 lb"
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is Refusal and again.said == HEAVY


def test_what_an_error_says_is_a_message_whatever_it_is() -> None:
    """An error that carries none gives its text, as a text that nobody reads."""
    assert said_by(Refusal(HEAVY)) is HEAVY
    assert render(said_by(OSError("no {disk} of 5 kg"))) == "no {disk} of 5 kg"


def test_a_fault_is_one_line_with_its_place() -> None:
    """File, line and key stand before the fault, where they are known; a line beyond a thousand is plain."""
    with strict():
        places = (("a.csv", 1234, "level"), ("a.csv", 7, ""), ("a.toml", None, "x.y"), ("a.csv", None, ""))
        told = [render(Fault(*place, HEAVY).as_line(), US) for place in places]
    begins = ("a.csv:1234: level", "a.csv:7", "a.toml: x.y", "a.csv")
    assert told == [f"{place}: 10 kg of {{nails}} weighs 2,200 lb" for place in begins]


def test_faults_come_by_place_and_are_counted() -> None:
    """The error names the first three of its faults, in the order of files and lines."""
    faults = [Fault("b.csv", line, "", "wrong") for line in (5, 3, 4, 2)]
    error = Faults([*faults, Fault("a.csv", 9, "k", "missing")])
    assert str(error) == "5 faults: a.csv:9: k: missing; b.csv:2: wrong; b.csv:3: wrong"
    assert str(Faults([faults[0]])) == "1 fault: b.csv:5: wrong"
    assert pickle.loads(pickle.dumps(error)).faults == error.faults


def test_a_fault_in_a_document_keeps_its_keys() -> None:
    """Documents hold file, line, key and the message."""
    told = Fault("a.csv", 2, "k", "wrong").to_json()
    said = {"code": "text", "text": "wrong", "values": {"text": "wrong"}}
    assert told == {"file": "a.csv", "line": 2, "key": "k", "message": "wrong", **said}


@pytest.mark.parametrize(
    ("read", "written", "code"),
    [
        (lambda text: parse(text, "mass"), "x" * 90, "units.too_long"),
        (lambda text: parse(text, "power"), "20 kWh", "units.another_quantity"),
        (lambda text: parse(text, "mass"), "2 ton", "units.about"),
        (lambda text: parse(text, "share"), "250 %", "units.more_than_the_whole"),
        (parse_amount, "12 bags of 3,5 kg", "units.about"),
        (parse_price, "5 EUR/hp", "units.about"),
        (parse_date, "03.04.2026", "units.about"),
        (parse_working_days, "12 to 4 working days", "units.not_so_many_working_days"),
        (lambda text: WorkingDays(text, None), "Autria", "units.country_meant"),
    ],
)
def test_an_error_of_units_is_a_message_to_its_last_word(
    read: Callable[[str], Any], written: str, code: str
) -> None:
    """`said_by` gives the whole message of an error of `units`, others within it; its text is that of `str`,
    also when it comes from another process.
    """
    with pytest.raises(UnitError) as refused:
        read(written)
    said = said_by(refused.value)
    with strict():
        assert render(said) == str(refused.value)
    assert said.code == code
    again = pickle.loads(pickle.dumps(refused.value))
    assert type(again) is type(refused.value) and said_by(again) == said


def test_a_unit_that_a_person_wrote_is_shown_to_every_reader_as_written() -> None:
    """What was written and how it is to be written stay in their units for readers of other units, too."""
    with pytest.raises(UnitError) as refused:
        parse("20 kWh", "power")
    assert render(said_by(refused.value), US) == '"20 kWh" is an energy; a power is needed, e.g. "20 kW"'


def test_the_reason_of_an_error_within_another_is_told_once() -> None:
    """A price by an amount that cannot be says what was written, and the amount's own reason behind it."""
    with pytest.raises(UnitError) as refused:
        parse_price("5 EUR/rick")
    assert str(refused.value).startswith('"5 EUR/rick": a rick has no fixed size; measure the stack')
    reason = said_by(refused.value).value("reason")
    assert reason == said_by(parse_refused("3 rick").values["reason"])  # type: ignore[arg-type]


def parse_refused(text: str) -> UnitError:
    """What is said against an amount."""
    with pytest.raises(UnitError) as refused:
        parse_amount(text)
    return refused.value
