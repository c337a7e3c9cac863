"""Words of the trade mean what they mean where the house stands: bags, tons, gallons and dollars."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers, units
from fuelplan.answers.house.new import FieldFaults, NewHouse, draft_house
from fuelplan.messages import render
from fuelplan.units import Reader, UnitError, bought_in, written_for
from tests.round_folders import make_round
from tests.site_folders import HEAT, make_site

LB = 0.45359237
DAY = date(2020, 12, 1)
US = [('country = "DE"', 'country = "US"'), ('time_zone = "Europe/Berlin"', 'time_zone = "America/New_York"')]


@pytest.mark.parametrize(
    ("country", "text", "kg"),
    [
        ("US", "200 bags", 200 * 40 * LB),
        ("CA", "200 bags", 200 * 40 * LB),
        ("AT", "200 bags", 3000.0),
        (None, "200 bags", 3000.0),
        ("US", "2 pallets", 2 * 50 * 40 * LB),
        ("US", "3 tons", 6000 * LB),
        ("US", "1 ton", 2000 * LB),
        ("US", "12 bags of 15 kg", 180.0),
        ("US", "2.5 t", 2500.0),
    ],
)
def test_amounts_are_those_of_the_country(country: str | None, text: str, kg: float) -> None:
    """A bag is 40 lb in North America and 15 kg elsewhere; a ton of the United States is 2,000 lb."""
    with bought_in(country):
        assert units.parse_amount(text).kg == pytest.approx(kg)
        assert units.parse_mass(text) == pytest.approx(kg)


@pytest.mark.parametrize(
    ("country", "text", "per_kg", "currency"),
    [
        ("US", "$285/ton", 285 / (2000 * LB), "USD"),
        ("US", "$ 285 per ton", 285 / (2000 * LB), "USD"),
        ("US", "285 USD/ton", 285 / (2000 * LB), "USD"),
        ("US", "$6.50/bag", 6.5 / (40 * LB), "USD"),
        ("CA", "$310/t", 0.31, "CAD"),
        ("AT", "5.10 EUR/bag", 0.34, "EUR"),
    ],
)
def test_prices_are_those_of_the_country(country: str, text: str, per_kg: float, currency: str) -> None:
    """ "$285/ton" is a price per short ton in US dollars in the United States."""
    with bought_in(country):
        found, money = units.parse_money(text, "money_per_mass")
    assert (found, money) == (pytest.approx(per_kg), currency)


@pytest.mark.parametrize("text", ["3 tons", "1 ton"])
def test_where_a_word_has_several_meanings_it_is_still_refused(text: str) -> None:
    """Elsewhere a ton and a dollar are asked for, as before."""
    for country in (None, "AT", "CA"):
        with bought_in(country), pytest.raises(UnitError, match="three meanings"):
            units.parse(text, "mass")
    with bought_in("AT"), pytest.raises(UnitError, match="several"):
        units.parse_money("$5", "money")
    with bought_in("US"):
        assert units.parse("600 gallons", "volume") == pytest.approx(600 * 231 * 0.0254**3)


def us_house(folder: Path) -> Path:
    """Write a house in the United States in its own words."""
    building = HEAT.replace("4 t", "5 tons").replace("20 degC", "72 °F")
    return make_site(
        folder,
        building=building,
        changes=[
            *US,
            ('capacity = "6 t"\nreserve = "300 kg"', 'capacity = "7 tons"\nreserve = "20 bags"'),
            ("300 EUR/t", "$285/ton"),
            ('"1.5 t"', '"2 tons"'),
        ],
        readings="date,reading,how\n2020-11-01,200 bags,\n",
        deliveries="fuel,ordered_on,delivered_on,delivered\npellets,2020-09-20,2020-10-01,3 tons\n",
    )


def test_a_folder_is_read_by_its_own_country(tmp_path: Path) -> None:
    """site.toml, readings and deliveries of a house in the United States, whoever reads them."""
    site = answers.open_site(us_house(tmp_path / "a"))
    table = site.table
    assert table.building.pellets_a_year_kg == pytest.approx(10_000 * LB)
    assert table.building.indoor_c == pytest.approx(22.222, abs=1e-3)
    assert table.store.capacity_kg == pytest.approx(14_000 * LB)
    assert table.store.reserve_kg == pytest.approx(800 * LB)
    assert table.supply.price == (pytest.approx(285 / (2000 * LB)), "USD")
    assert site.readings[0].reading is not None and site.readings[0].reading.kg == pytest.approx(8000 * LB)
    assert site.deliveries[0].delivered is not None
    assert site.deliveries[0].delivered.kg == pytest.approx(6000 * LB)
    with written_for(Reader("us", "month first")):
        other = answers.open_site(make_site(tmp_path / "b", readings="date,reading\n2020-11-01,200 bags\n"))
    assert other.readings[0].reading is not None and other.readings[0].reading.kg == 3000.0


def test_what_is_entered_is_read_by_the_folders_country(tmp_path: Path) -> None:
    """A reading, an order and a setting in the country's own words are taken and mean the same afterwards."""
    folder = us_house(tmp_path / "a")
    answers.record_reading(folder, date(2020, 11, 10), "150 bags")
    answers.record_order(folder, date(2020, 11, 12), "3 tons")
    answers.record_delivery(folder, date(2020, 11, 20), "2.9 tons", ordered_on=date(2020, 11, 12))
    answers.change_settings(folder, answers.site_text(folder), {"store.reserve": "90 bags"})
    answers.change_settings(folder, answers.site_text(folder), {"building.pellets_a_year": "4.5 tons"})
    site = answers.open_site(folder)
    assert site.readings[-1].reading is not None
    assert site.readings[-1].reading.kg == pytest.approx(150 * 40 * LB)
    assert site.table.store.reserve_kg == pytest.approx(90 * 40 * LB)
    assert site.table.building.pellets_a_year_kg == pytest.approx(9000 * LB)


def test_the_form_for_a_new_house_follows_its_country(tmp_path: Path) -> None:
    """In the United States "5 tons", "20 bags" as a reserve, "$285/ton" and "72 °F" are understood, and the
    folder means the same; elsewhere the ton is asked for.
    """
    entries = NewHouse(
        country="US", use="5 tons", store="7 tons", level="200 bags", reserve="20 bags", price="$285/ton",
        indoor="72 °F", smallest_drop="2 tons", weather="monthly",
        monthly_means="32 30 40 48 55 62 66 64 57 48 37 31 °F",
    )  # fmt: skip
    site = answers.open_site(draft_house(entries, tmp_path, DAY))
    assert site.table.building.pellets_a_year_kg == pytest.approx(10_000 * LB)
    assert site.table.store.reserve_kg == pytest.approx(800 * LB)
    assert site.readings[0].reading is not None and site.readings[0].reading.kg == pytest.approx(8000 * LB)
    assert site.table.weather.monthly_means_c is not None
    assert site.table.weather.monthly_means_c[0] == 0.0
    with pytest.raises(FieldFaults) as caught:
        draft_house(NewHouse(**{**vars(entries), "country": "AT"}), tmp_path, DAY)
    assert {"use", "store", "price", "smallest_drop"} <= set(caught.value.faults)


def test_a_round_is_read_by_its_own_country(tmp_path: Path) -> None:
    """Cells and keys of a round in the United States: tons are short tons."""
    changes = [
        ("round.toml", 'country = "AT"', 'country = "US"'),
        ("round.toml", 'spare_a_day = "3 t"', 'spare_a_day = "3 tons"'),
        ("customers.csv", "A1,5200,500,top-up", "A1,6 tons,500,top-up"),
    ]
    found = answers.open_round(make_round(tmp_path / "round", changes=changes))
    assert found.table.rules.spare_kg_a_day == pytest.approx(6000 * LB)
    assert found.customers.store_kg[0] == pytest.approx(12_000 * LB)


@pytest.mark.parametrize(
    ("building", "wanted", "never"),
    [
        ('pellets_a_year = "4 t"', "BTU per lb", "each"),
        ('heating_oil_a_year = "2400 litre"', "BTU per gal", "litre"),
    ],
)
def test_energy_is_told_per_unit_that_stands_beside_it(
    tmp_path: Path, building: str, wanted: str, never: str
) -> None:
    """Beside pounds the energy is per pound, beside gallons per gallon; in metric per kilogram and litre."""
    site = answers.open_site(make_site(tmp_path / "a", building=building))
    weather = answers.weather_for(site, DAY)
    metric = render(answers.order(site, weather, DAY).explanation[0])
    assert "kWh per kg" in metric or "kWh per litre" in metric
    with written_for(Reader("us", "month first")):
        us = render(answers.order(site, weather, DAY).explanation[0])
    assert wanted in us and never not in us
    number = int(us.split(" BTU")[0].split()[-1].replace(",", ""))
    assert 7000 < number < 8000 if "lb" in wanted else 120_000 < number < 140_000


def test_a_weather_file_in_fahrenheit_is_told_in_one_line(tmp_path: Path) -> None:
    """A file in °F read as °C is one fault that says what to write, and none for each warm day."""
    from tests.site_folders import wave_c

    folder = make_site(tmp_path / "a", mean_c=[1.8 * c + 32.0 for c in wave_c(365 * 3)])
    site, faults = answers.check_folder(folder)
    assert site is not None and faults == []
    found = answers.check_weather(site)
    assert len(found) == 1
    assert "°F" in found[0].message and 'unit = "degF"' in found[0].message
    text = (folder / "site.toml").read_text(encoding="utf-8")
    mended = text.replace('file = "weather.csv"', 'file = "weather.csv"\nunit = "degF"')
    (folder / "site.toml").write_text(mended, encoding="utf-8")
    assert answers.check_weather(answers.open_site(folder)) == []
