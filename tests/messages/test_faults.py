"""Errors and faults carry messages, which read in the units of whom they are shown to."""

import pickle

from fuelplan.messages import Fault, Faults, Own, Quantity, Refusal, message, render, said_by, strict
from fuelplan.units import Reader, written_for

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
    error = Faults([*faults, Fault("a.csv", None, "k", "missing")])
    assert str(error) == "5 faults: a.csv: k: missing; b.csv:2: wrong; b.csv:3: wrong"
    assert str(Faults([faults[0]])) == "1 fault: b.csv:5: wrong"
    assert pickle.loads(pickle.dumps(error)).faults == error.faults


def test_a_fault_in_a_document_keeps_its_keys() -> None:
    """Documents hold file, line, key and the message."""
    told = Fault("a.csv", 2, "k", "wrong").to_json()
    assert told == {"file": "a.csv", "line": 2, "key": "k", "message": "wrong"}
