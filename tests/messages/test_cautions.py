"""Every safety text, what triggers it, and that none ever calls a store safe."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import fuelplan
from fuelplan.heat import fuels
from fuelplan.messages import cautions
from fuelplan.messages.cautions import DEFER, TEXTS, CautionError, FuelCautions, caution, for_situation

PELLETS, LOGS = fuels.fuel("pellets").cautions, fuels.fuel("logs").cautions
PACKAGE = Path(fuelplan.__file__).parent
# A promise of safety about going in, in any of the usual wordings.
PROMISE = re.compile(
    r"safe(ly)? (to|for) (enter|go in|climb|step)|"
    r"(store|room|tank|air)( is| are| becomes)? (now |then )?safe\b|"
    r"safe store|may be entered (safely|now|then|after)|can (now |then )?be entered|"
    r"you (may|can) (now |then )?enter|"
    r"no (danger|risk) (in|of) enter|enter (it )?safely|harmless (air|store)",
    re.IGNORECASE,
)
# Denials, word for word: the only places where such words may stand.
DENIALS = ("ever says that a store may be entered", "never says that a store is safe", "never called safe")


def ids(**facts: object) -> set[str]:
    """Ids of the cautions of a situation."""
    return {c.id for c in for_situation(**facts)}


def texts_of_the_house() -> list[tuple[str, str]]:
    """(file, text) of every string in the package and every document."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        found += [
            (path.name, node.value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant) and isinstance(node.value, str)
        ]
    found += [(p.name, p.read_text(encoding="utf-8")) for p in sorted(PACKAGE.rglob("*.md"))]
    return found


def test_the_search_finds_promises() -> None:
    """The search of the next test catches the wordings it is meant for."""
    for promise in (
        "After an hour it is safe to enter.",
        "The store is now safe.",
        "Then you may enter.",
        "The room can be entered after airing: it can then be entered.",
        "You can enter safely",
    ):
        assert PROMISE.search(promise), promise


def test_no_text_of_the_house_says_a_store_is_safe_to_enter() -> None:
    """Every string and document of the package is read; a denial may use the words, nothing else."""
    texts = texts_of_the_house()
    assert len(texts) > 500, "too few texts were found: the search would prove nothing"
    assert any("Entering a pellet store" in text for _, text in texts)
    for name, text in texts:
        plain = " ".join(text.split())
        for denial in DENIALS:
            plain = plain.replace(denial, "")
        assert not PROMISE.search(plain), (name, PROMISE.search(plain))


@pytest.mark.parametrize("caution_id", list(TEXTS))
def test_every_caution_defers(caution_id: str) -> None:
    """Each text as shown ends by deferring to manual, codes and trades."""
    shown = caution(caution_id, "asked for")
    assert str(shown.text).endswith(str(DEFER))
    assert len(str(TEXTS[caution_id])) > 60
    assert all(part in str(DEFER) for part in ("manual", "local codes", "licensed trades"))


def test_every_caution_is_triggered_by_something() -> None:
    """No text lies unused: each is shown in some situation, with a reason."""
    everything = [
        *for_situation(
            fuels=[PELLETS, LOGS],
            store_kind="room",
            stock_kg=8000,
            filling=True,
            cleaning=True,
            emptying_ash=True,
            sweeping=True,
            bag_kg=15,
            log_water_share_wet=0.35,
            boiler_smaller_than_load=True,
        ),
        *for_situation(fuels=[PELLETS], store_kind="tank"),
    ]
    assert {c.id for c in everything} == set(TEXTS)
    assert all(len(str(c.why)) > 10 for c in everything)


def test_entry_caution_holds_the_usual_least() -> None:
    """German pellet institute and UK guidance: an hour off, 15 minutes of air, second person, four weeks,
    10 t, measuring.
    """
    text = str(TEXTS["store-entry"])
    for part in ("an hour", "15 minutes", "second person", "four weeks", "10 t", "carbon monoxide meter"):
        assert part in text
    assert "Only a carbon monoxide meter shows how dangerous the air is" in str(TEXTS["co-store"])
    assert "Never put your head or body into" in str(TEXTS["store-never-enter"])


def test_tanks_get_never_and_rooms_get_entry() -> None:
    """Tanks, buried and fabric stores are never entered, so no way of entering is told for them."""
    for kind in ("tank", "fabric", "buried"):
        found = ids(fuels=[PELLETS], store_kind=kind, cleaning=True)
        assert "store-never-enter" in found and "store-entry" not in found
    assert "store-entry" in ids(fuels=[PELLETS], store_kind="room", cleaning=True)
    assert "store-entry" not in ids(fuels=[PELLETS], store_kind="room")


def test_work_brings_its_own_cautions() -> None:
    """Filling: boiler off and dust. Ash: embers. Logs: over-temperature. Wet logs: tar. Bags: lifting."""
    assert {"boiler-off-before-filling", "dust"} <= ids(fuels=[PELLETS], store_kind="room", filling=True)
    assert "hot-ash" in ids(emptying_ash=True)
    assert "over-temperature" in ids(fuels=[LOGS]) and "over-temperature" not in ids(fuels=[PELLETS])
    assert "wet-wood" in ids(fuels=[LOGS], log_water_share_wet=0.28)
    assert "wet-wood" not in ids(fuels=[LOGS], log_water_share_wet=0.18)
    assert "heavy-bags" in ids(bag_kg=15.0)
    assert ids() == set()


def test_caps_are_doubted_until_known() -> None:
    """Vented caps are cautioned where a coupling ends indoors and where nobody has said."""
    room = {"fuels": [PELLETS], "store_kind": "room"}
    assert "vented-caps" in ids(**room) and "vented-caps" in ids(**room, couplings_outdoors=False)
    assert "vented-caps" not in ids(**room, couplings_outdoors=True)


def test_what_kills_first_comes_first() -> None:
    """The order of the list is that of the texts, whatever the facts."""
    found = [c.id for c in for_situation(bag_kg=15, emptying_ash=True, fuels=[PELLETS], store_kind="room")]
    assert found[0] == "co-store"
    assert found == [name for name in TEXTS if name in found]


def test_a_misspelt_fact_silences_nothing() -> None:
    """An unknown fact, kind of store, fuel or id is an error that lists the known ones."""
    for make in (
        lambda: for_situation(fuel=[LOGS]),
        lambda: for_situation(store_kind="silo"),
        lambda: for_situation(fuels=["coal"]),
        lambda: for_situation(fuels="logs"),
        lambda: FuelCautions(in_store={"co-stor": "Chips are kept in a store."}),
        lambda: caution("co", "x"),
    ):
        with pytest.raises(CautionError):
            make()


def test_upkeep_points_to_cautions_that_exist() -> None:
    """Every id that the upkeep carries is a text here."""
    from fuelplan.ordering.upkeep import ash, store_cleaning, sweeping

    carried = {*ash.CAUTION_IDS, *sweeping.CAUTION_IDS}
    source = Path(store_cleaning.__code__.co_filename).read_text(encoding="utf-8")
    carried |= set(re.findall(r'"((?:store|co|boiler|dust)[a-z-]*)"', source)) - {"store-cleaning"}
    assert len(carried) >= 6
    assert carried <= set(cautions.TEXTS)
