"""Offers as whole bills, the season of prices, and what bags and logs cost."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.messages import render
from fuelplan.ordering import prices
from fuelplan.ordering.prices import Bracket, Offer, OfferError, Shared, bill, compare

PLAIN = Offer("Hillside Fuel", "EUR", (Bracket(2000, 0.321), Bracket(5000, 0.307)), 0.07, minimum_kg=2000)


def test_gross_is_net_times_1_07() -> None:
    """Gross = net × 1.07, the German VAT on pellets (pellet association's published prices)."""
    net_offer = replace(PLAIN, prices_with_vat=False)
    assert prices.vat_on_wood_fuel("de")[0] == 0.07
    assert bill(net_offer, 3000).gross == pytest.approx(3000 * 0.321 * 1.07)
    assert bill(PLAIN, 3000).gross == pytest.approx(963.0)
    assert bill(PLAIN, 3000).net == pytest.approx(900.0)


def test_a_country_without_a_usual_tax_is_asked_for() -> None:
    """An unknown country's tax is not guessed."""
    with pytest.raises(OfferError, match="write the share"):
        prices.vat_on_wood_fuel("ZZ")


def test_the_whole_bill_holds_every_charge() -> None:
    """Fuel, trip, blowing in and the hose beyond what is included stand on lines of their own."""
    offer = replace(
        PLAIN, delivery_charge=30.0, blow_in_charge=40.0, hose_charge_per_m=2.0, hose_included_m=20.0
    )
    whole = bill(offer, 2000, hose_m=26)
    assert [round(x.gross, 2) for x in whole.lines] == [642.0, 30.0, 40.0, 12.0]
    assert whole.gross == pytest.approx(724.0)
    assert whole.gross_per_kg == pytest.approx(0.362)


def test_all_kilograms_cost_the_price_of_the_bracket_and_the_trap_is_said() -> None:
    """4.9 t cost more than 5 t where the price falls at 5 t, and the bill says so."""
    assert bill(PLAIN, 5000).gross < bill(PLAIN, 4900).gross
    assert "5,000 kg cost no more" in render(bill(PLAIN, 4900).notes[0])
    assert bill(PLAIN, 3000).notes == ()


def test_a_neighbour_lifts_the_bracket_and_shares_the_trip() -> None:
    """Two drops of 2.5 t on one lorry cost the price of 5 t and half the trip each; blowing in is by stop."""
    offer = replace(PLAIN, shared_orders=True, delivery_charge=40.0, blow_in_charge=35.0)
    joint = bill(offer, 2500, shared=Shared(2500))
    assert joint.gross == pytest.approx(2500 * 0.307 + 20.0 + 35.0)
    assert joint.gross < bill(offer, 2500).gross
    with pytest.raises(OfferError, match="does not add up"):
        bill(PLAIN, 2500, shared=Shared(2500))
    small = bill(offer, 1000, shared=Shared(1500))
    assert small.kg == 1000  # the lorry's drops together reach the smallest one


def test_offers_are_compared_as_whole_bills_in_order() -> None:
    """A low price per tonne with high charges loses on a small drop and wins on a large one."""
    cheap_fuel = Offer("Valley Wood", "EUR", (Bracket(1000, 0.290),), 0.07, blow_in_charge=90.0)
    no_charge = Offer("Old Mill", "EUR", (Bracket(1000, 0.310),), 0.07)
    ended = replace(no_charge, supplier="Late", valid_until=date(2025, 5, 31))
    small = compare([cheap_fuel, no_charge, ended], 3000, on=date(2025, 6, 10))
    assert [o.supplier for o, _, _ in small.bills] == ["Old Mill", "Valley Wood"]
    assert render(small.refused[0][1]) == "Late: the offer ended on 31 May 2025"
    large = compare([cheap_fuel, no_charge], 6000)
    assert large.best is not None and large.best[0].supplier == "Valley Wood"


def test_payment_terms_count() -> None:
    """Two per cent off for paying at once beats thirty days at 6 % a year; at 40 % a year it does not."""
    offer = replace(PLAIN, pay_within_days=30, discount_share=0.02, discount_within_days=0)
    whole = bill(offer, 3000)
    assert prices.money_cost(whole, offer, 0.06) == pytest.approx(963.0 * 0.98)
    assert prices.money_cost(whole, offer, 0.40) == pytest.approx(963.0 * (1 - 0.40 * 30 / 365))


def test_moneys_are_not_mixed() -> None:
    """Francs and euros are not compared."""
    with pytest.raises(OfferError, match="one money"):
        compare([PLAIN, replace(PLAIN, currency="CHF")], 3000)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"brackets": ()}, "at least one price"),
        ({"brackets": (Bracket(5000, 0.3), Bracket(2000, 0.31))}, "must rise"),
        ({"brackets": (Bracket(0, 0.0),)}, "above zero"),
        ({"vat_share": 7.0}, "shares below 1"),
        ({"minimum_kg": 9000.0, "maximum_kg": 8000.0}, "smallest drop"),
        ({"valid_from": date(2025, 6, 1), "valid_until": date(2025, 5, 1)}, "validity end"),
        ({"form": "briquettes"}, "not a valid form of fuel"),
    ],
)
def test_an_offer_that_contradicts_itself_is_refused(change: dict[str, object], words: str) -> None:
    """Each contradiction has its sentence."""
    with pytest.raises(OfferError, match=words):
        replace(PLAIN, **change)  # type: ignore[arg-type]


def test_amounts_outside_the_offer_are_refused_in_words() -> None:
    """Too small, too large, before its time, nothing at all."""
    offer = replace(PLAIN, maximum_kg=9000.0, valid_from=date(2025, 6, 1))
    for kg, on, words in [
        (1500, None, "smallest drop is 2,000 kg"),
        (9500, None, "largest drop is 9,000 kg"),
        (3000, date(2025, 5, 1), "begins on 1 June 2025"),
        (0, None, "above zero"),
    ]:
        with pytest.raises(OfferError, match=words):
            bill(offer, kg, on=on)


def test_tariff_takes_the_cheapest_offer_for_each_amount() -> None:
    """Whole bills by amount, fuel apart from charges; what nobody serves is left out."""
    cheap_fuel = Offer("Valley Wood", "EUR", (Bracket(1000, 0.290),), 0.07, blow_in_charge=90.0)
    no_charge = Offer("Old Mill", "EUR", (Bracket(1000, 0.310),), 0.07)
    found = prices.tariff([cheap_fuel, no_charge], [500, 3000, 6000])
    assert found.suppliers == ("Old Mill", "Valley Wood")
    np.testing.assert_allclose(found.fuel, [930.0, 1740.0])
    np.testing.assert_allclose(found.charges, [0.0, 90.0], atol=1e-9)
    with pytest.raises(OfferError, match="smallest drop"):
        prices.tariff([cheap_fuel], [500])


@given(st.floats(2000, 20000), st.floats(0, 60))
def test_lines_add_up(kg: float, hose_m: float) -> None:
    """A bill's net, tax and gross are the sums of its lines, and tax is its share of net."""
    offer = replace(PLAIN, blow_in_charge=33.0, hose_charge_per_m=1.5, charges_vat_share=0.19)
    whole = bill(offer, kg, hose_m=hose_m)
    assert whole.gross == pytest.approx(whole.net + whole.vat)
    assert whole.lines[0].vat == pytest.approx(0.07 * whole.lines[0].net)
    assert whole.lines[1].vat == pytest.approx(0.19 * whole.lines[1].net)
    assert whole.gross == pytest.approx(sum(x.gross for x in whole.lines))


def test_bags_count_only_where_nobody_enters_the_store() -> None:
    """Bags that could only be tipped in by entering the store do not count as help."""
    outside = prices.emergency_fuel(0.4, can_tip_in_from_outside=True, other_heat_price_per_kg=1.4)
    inside = prices.emergency_fuel(0.4, can_tip_in_from_outside=False, other_heat_price_per_kg=1.4)
    none = prices.emergency_fuel(None, can_tip_in_from_outside=True, other_heat_price_per_kg=1.4)
    assert (outside.counts, outside.price_per_kg) == (True, 0.4)
    assert (inside.counts, inside.price_per_kg) == (False, 1.4)
    assert "nobody should do" in render(inside.text)
    assert (none.counts, none.price_per_kg) == (False, 1.4)
