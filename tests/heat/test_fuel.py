"""Water in wood on a basis that says its name; energy, measures, pellets."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.heat import fuels as fuel
from fuelplan.heat.fuels import FuelError, MoistureDry, MoistureError, MoistureWet, Pellets
from fuelplan.messages import as_text


@pytest.mark.parametrize(("wet_pct", "kwh"), [(0, 5.00), (5, 4.72), (10, 4.43), (15, 4.15), (20, 3.86)])
def test_hardwood_as_received(wet_pct: int, kwh: float) -> None:
    """Landkreis Heidenheim wood-energy table (formula of ISO 18125): hardwood at 0 to 20 % water."""
    assert fuel.net_kwh_per_kg(5.00, MoistureWet(wet_pct / 100)) == pytest.approx(kwh, abs=0.0051)


@pytest.mark.parametrize(
    ("wet_pct", "dry_pct"), [(10, 11.1), (15, 17.6), (20, 25.0), (30, 42.8), (40, 66.6), (50, 100.0)]
)
def test_wet_and_dry_basis(wet_pct: int, dry_pct: float) -> None:
    """The printed conversion table of water content to wood moisture (±1 in the last digit)."""
    assert MoistureWet(wet_pct / 100).dry.share * 100 == pytest.approx(dry_pct, abs=0.1)


@given(st.floats(0, 0.6))
def test_the_basis_can_be_turned_and_back(share: float) -> None:
    """Wet to dry and back is the same water, and both bases give the same energy."""
    wet = MoistureWet(share)
    assert wet.dry.wet.share == pytest.approx(share, abs=1e-12)
    assert fuel.net_kwh_per_kg(5.0, wet.dry) == pytest.approx(fuel.net_kwh_per_kg(5.0, wet))


def test_a_number_without_its_basis_is_asked_back() -> None:
    """Fifty per cent is sent back with both meanings spelt out; neither is assumed."""
    with pytest.raises(
        MoistureError, match=r'of the wet mass or of the dry mass\?.*"50% wet".*100% dry.*33% wet'
    ):
        fuel.parse_moisture("50 %")
    assert fuel.parse_moisture("50 % wet") == MoistureWet(0.5)
    assert fuel.parse_moisture("50 % dry") == MoistureDry(0.5)
    assert fuel.parse_moisture("u 0.25"[2:] + " u") == MoistureDry(0.25)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("110 % wet", "stays below 100 %"),
        ("100 % wet", "stays below 100 %"),
        ("80 % wet", "more than green wood holds"),
        ("400 % dry", "more than green wood holds"),
        ("-5 % wet", "zero or more"),
        ("-5 % dry", "zero or more"),
        ("-5 %", "negative"),
        ("20 % damp", "not a valid basis"),
        ("20 wet", "per cent sign"),
        ("20,5 % wet", "decimal point"),
        ("wet", "not a water content"),
    ],
)
def test_water_that_cannot_be(text: str, says: str) -> None:
    """Impossible water contents are refused with what to write instead."""
    with pytest.raises(MoistureError, match=says):
        fuel.parse_moisture(text)


def test_a_plain_number_is_never_a_moisture() -> None:
    """A float has no basis, so the energy formula refuses it."""
    with pytest.raises(MoistureError, match="does not say its basis"):
        fuel.net_kwh_per_kg(5.0, 0.2)  # type: ignore[arg-type]


def test_logs_in_every_measure() -> None:
    """LWF: 1 m3 solid = 1.4 m3 stacked = 2.5 m3 loose; the solid share is shown."""
    beech = fuel.logs("beech", MoistureWet(0.20))
    one = beech.amount(1.0, "solid_m3")
    assert (one.stacked_m3, one.loose_m3) == (pytest.approx(1.4), pytest.approx(2.5))
    stacked = beech.amount(1.0, "stacked_m3")
    assert stacked.solid_share == pytest.approx(1 / 1.4)
    assert "71% of the measured volume" in as_text(stacked.how) and "570 kg" in as_text(stacked.how)
    # Printed tables give about 1900 kWh for a stacked metre of air-dry beech, within their 15 % of each
    # other.
    assert stacked.kwh_low < 1900 < stacked.kwh_high


def test_dry_densities() -> None:
    """The Polish forestry table: dry matter in a solid cubic metre."""
    table = {
        "beech": 570,
        "oak": 570,
        "birch": 510,
        "larch": 460,
        "pine": 420,
        "alder": 420,
        "spruce": 400,
        "poplar": 350,
    }
    for name, density in table.items():
        assert fuel.logs(name, MoistureWet(0.0)).kg_per_solid_m3 == pytest.approx(density)


def test_a_cord_is_85_cubic_feet_of_wood() -> None:
    """A cord is 128 cubic feet gross with about 85 of wood (several sources)."""
    spruce = fuel.logs("spruce", MoistureWet(0.20))
    cord = spruce.amount(1.0, "cord")
    assert cord.solid_m3 == pytest.approx(85 * 0.028316847, rel=1e-6)
    assert cord.solid_share == pytest.approx(85 / 128)
    assert cord.cord == pytest.approx(1.0)


@given(
    st.sampled_from(["kg", "solid_m3", "stacked_m3", "loose_m3", "cord"]),
    st.floats(0.01, 500),
    st.floats(0, 0.6),
)
def test_measures_agree(measure: str, value: float, wet: float) -> None:
    """Any measure turned into another and asked again gives the same mass and energy."""
    wood = fuel.logs("birch", MoistureWet(wet))
    amount = wood.amount(value, measure)
    again = wood.amount(amount.stacked_m3, "stacked_m3")
    assert again.kg == pytest.approx(amount.kg)
    assert wood.amount(amount.kg, "kg").kwh == pytest.approx(amount.kwh)
    assert getattr(amount, measure) == pytest.approx(value)


def test_weighed_wood_has_no_volume_doubt() -> None:
    """Kilograms come without the range of stacked metres."""
    weighed = fuel.logs("oak", MoistureWet(0.18)).amount(500, "kg")
    assert weighed.kwh_low == weighed.kwh == weighed.kwh_high


def test_wet_logs_lose_energy() -> None:
    """A stacked metre of beech at 45 % water boils off the water between u = 0.82 and 0.25 of its dry mass,
    and loses that energy.
    """
    green, dry = (fuel.logs("beech", MoistureWet(w)).kwh_per_stacked_m3 for w in (0.45, 0.20))
    more_u = 0.45 / 0.55 - 0.25
    assert 1.0 - green / dry == pytest.approx(0.6786 * more_u / (5.0 - 0.6786 * 0.25))


def test_pellets_of_a_class() -> None:
    """ENplus table and ISO 17225-2: the most ash of A2 and B is taken for usual; A1 usually has less."""
    assert [fuel.pellets(k).ash_share for k in ("A1", "A2", "B")] == [0.005, 0.012, 0.020]


def test_bags() -> None:
    """Sellers' practice: bags of 15 kg."""
    assert fuel.bags_kg(40) == 600


@pytest.mark.parametrize(
    "make",
    [
        lambda: Pellets("C"),
        lambda: Pellets(kwh_per_kg=48),
        lambda: Pellets(bulk_kg_per_m3=550),
        lambda: fuel.logs("plywood", MoistureWet(0.1)),
        lambda: fuel.logs("beech", MoistureWet(0.1)).amount(3, "ster?"),
        lambda: fuel.logs("beech", MoistureWet(0.1)).amount(-3, "kg"),
        lambda: fuel.logs("beech", MoistureWet(0.1)).amount(np.nan, "kg"),
        lambda: fuel.bags_kg(-1),
    ],
)
def test_fuels_that_cannot_be(make) -> None:
    """Impossible fuels are refused."""
    with pytest.raises(FuelError):
        make()
