"""What a folder may say wrongly of fuel, boiler, building, store, hopper and logs is refused in messages."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from fuelplan.heat import boiler, building, fuels
from fuelplan.messages import Message, Refusal, render, said_by, strict
from fuelplan.sizing import OrderRule, StoreCosts
from fuelplan.store import access, buffer, bulk, hopper, log_heating, log_pile
from fuelplan.units import Reader

US = Reader("us", "month first")
ROOM = bulk.SlopedRoom(3.0, 2.0, 2.4, 45.0)


@pytest.mark.parametrize(
    ("make", "code", "metric", "us"),
    [
        (lambda: hopper.Conveying("suction", line_m=40), "hopper.line_too_long", "40 m", "130 ft"),
        (lambda: hopper.Conveying("hand", bag_kg=0), "hopper.by_hand_needs", "15 kg", "15 kg"),
        (lambda: hopper.Burner(0.0, 4.0), "hopper.no_boiler", "0 kW", "0 BTU/h"),
        (lambda: bulk.SlopedRoom(3, 2, 2.4, 85), "store.slope_is_wall", "85°", "85°"),
        (lambda: bulk.SlopedRoom(3, 4, 1.5, 45), "store.slopes_reach_ceiling", "1.5 m", "4.9 ft"),
        (lambda: bulk.FlatRoom(0, 2, 2), "store.no_length", "length_m is 0", "length_m is 0"),
        (lambda: bulk.Store(ROOM, dead_height_m=3.0), "store.dead_height", "3 m", "9.8 ft"),
        (lambda: bulk.Store(ROOM, residue_kg=9000), "store.all_residue", "9,000 kg", "20,000 lb"),
        (lambda: bulk.Store(ROOM).kg_from_mark(300), "store.mark_outside_from_top", "300 cm", "9.8 ft"),
        (lambda: bulk.Store.of_capacity(0), "store.no_capacity", "0 kg", "0 lb"),
        (lambda: buffer.Buffer(0), "buffer.nothing", "0 l", "0 US gal"),
        (lambda: access.DeliveryPlace(hose_m=-1), "access.below_zero", "hose_m is -1", "hose_m is -1"),
        (
            lambda: log_pile.PileLot(fuels.species("oak"), -1, date(2026, 1, 1)),
            "pile.amount",
            "-1 m³",
            "cu ft",
        ),
        (lambda: log_heating.LoadingRule(months=(13,)), "logs.months", "1 to 12", "1 to 12"),
        (lambda: boiler.Boiler.typical(0), "boiler.output", "0 kW", "0 BTU/h"),
        (lambda: boiler.Boiler.typical(15, installed=16), "boiler.year", "in 16 cannot", "in 16 cannot"),
        (lambda: building.from_floor_area(0, 1980), "building.floor_area", "0 m²", "0 sq"),
        (lambda: building.from_design_loss(12, 25), "building.outdoor_not_below_indoor", "25 °C", "77 °F"),
        (lambda: fuels.fuel("coal"), "fuel.unknown", '"coal"', '"coal"'),
        (lambda: fuels.species("palm"), "wood.unknown", '"palm"', '"palm"'),
        (lambda: fuels.parse_moisture("20 %"), "water.which_basis", "25% dry", "25% dry"),
        (lambda: fuels.pellets("C"), "pellets.no_class", "A1, A2, B", "A1, A2, B"),
        (lambda: fuels.Pellets(kwh_per_kg=9), "pellets.energy", "9 kWh per kg", "14,000 BTU per lb"),
        (lambda: OrderRule(smallest_drop_kg=20_000), "sizing.drops", "20,000 kg", "22 short tons"),
        (lambda: StoreCosts(0.0), "sizing.price", "price of 0", "price of 0"),
    ],
)
def test_what_cannot_be_is_refused_in_a_message(
    make: Callable[[], object], code: str, metric: str, us: str
) -> None:
    """Each refusal is known by its code and read in the units of whoever reads it; no text is made before."""
    with strict():
        with pytest.raises(Refusal) as refused:
            make()
        said = said_by(refused.value)
        assert said.code == code
        assert metric in render(said) and us in render(said, US)


def test_all_that_is_said_of_a_fuel_is_a_message() -> None:
    """Name, singular, measures and sources of every fuel, and the sentences made of them, go through the
    catalogue; so do the kinds of wood.
    """
    for fuel in fuels.fuels():
        said = [fuel.word, fuel.one, fuel.sold_in, fuel.usual_source, fuel.lines_source]
        said += [fuel.bulk_source] if fuel.in_bulk else []
        assert [one for one in said if not isinstance(one, Message)] == [], fuel.name
    kinds = [kind.word.code for kind in fuels.SPECIES.values()]
    assert len(set(kinds)) == len(kinds) == 15
    amount = fuels.logs("beech", fuels.MoistureWet(0.2)).amount(1.0, "stacked_m3")
    with strict():
        assert render(amount.how).startswith("beech at 20% of the wet mass: 570 kg of dry wood")
        assert render(boiler.Boiler.typical(15, installed=2021).how) == (
            "usual for a pellet boiler of 2021 (French 3CL-DPE 2021)"
        )
