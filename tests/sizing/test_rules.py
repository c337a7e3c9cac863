"""Rules of thumb for store sizes, and how far they are off."""

from __future__ import annotations

import pytest

from fuelplan.messages import as_text
from fuelplan.sizing import SizingError, kg_per_kw, order_mark_rule, room_rule, rules_of_thumb


@pytest.mark.parametrize(
    ("kw", "room_m3", "usable_m3", "kg", "kwh"),
    [(15.0, 13.5, 9.0, 5850.0, 29250.0), (10.0, 9.0, 6.0, 3900.0, 19500.0)],
)
def test_room_rule(kw: float, room_m3: float, usable_m3: float, kg: float, kwh: float) -> None:
    """Austrian and German pellet associations: 0.9 m³ of room per kW, two thirds usable, 650 kg/m³, 5
    kWh/kg."""
    rule = room_rule(kw)
    assert (rule.room_m3, rule.usable_m3, rule.usable_kg, rule.kwh) == pytest.approx(
        (room_m3, usable_m3, kg, kwh)
    )


def test_kilograms_per_kilowatt() -> None:
    """The room rule of the Austrian and German pellet associations implies 390 kg a year and kW (5,850 kg /
    15 kW)."""
    assert kg_per_kw() == pytest.approx(390.0)


def test_stock_rules_of_several_lands() -> None:
    """One year up to 75 kW (German pellet institute); 1.2, 1.25 and 1.5 years quoted elsewhere."""
    found = rules_of_thumb(10.0, 4000.0, (5000.0, 6000.0))
    assert [t.usable_kg for t in found] == pytest.approx([3900.0, 4000.0, 4800.0, 5000.0, 6000.0])
    assert [t.years_stock for t in found[1:]] == pytest.approx([1.0, 1.2, 1.25, 1.5])
    assert "German pellet institute" in as_text(found[1].source)
    assert len(rules_of_thumb(80.0, 32000.0, None)) == 4


def test_how_far_each_rule_is_off() -> None:
    """4,000 kg are 20 % below a best range from 5,000 kg, 6,000 kg are 9 % above one to 5,500 kg, 5,000 kg
    inside."""
    below, inside, above = (rules_of_thumb(10.0, 4000.0, (5000.0, 5500.0))[i] for i in (1, 3, 4))
    assert below.off_share == pytest.approx(-0.2)
    assert "20% below the smaller end" in as_text(below.sentence)
    assert inside.off_share == 0.0
    assert "inside the best range" in as_text(inside.sentence)
    assert above.off_share == pytest.approx(6000 / 5500 - 1)
    assert "9% above the larger end" in as_text(above.sentence)
    assert rules_of_thumb(10.0, 4000.0, None)[0].off_share is None


def test_order_mark_of_the_uk_guide() -> None:
    """UK guide: order when 80 % of the load fits: a 4 t load fits to 80 % in a 5 t store when 1,800 kg are
    left."""
    early, late = order_mark_rule(5000.0, 4000.0, 1200.0), order_mark_rule(5000.0, 4000.0, 2000.0)
    assert "at 1,800 kg left, which is early enough" in as_text(early)
    assert "at 1,800 kg left, which is too late" in as_text(late)
    assert "never fits" in as_text(order_mark_rule(3000.0, 4000.0, 1200.0))


def test_no_load_no_rule() -> None:
    """A heat load of zero or a use of zero is refused."""
    with pytest.raises(SizingError, match="above zero"):
        room_rule(0.0)
    with pytest.raises(SizingError, match="above zero"):
        rules_of_thumb(10.0, 0.0, None)
