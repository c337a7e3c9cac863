"""A third fuel is one module: with chips registered by a test alone, every question is answered for them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import NewHouse, WeatherFile
from fuelplan.cli import main
from fuelplan.heat import fuels
from fuelplan.messages import render
from fuelplan.messages.cautions import TEXTS
from fuelplan.pages.new_house.form import burned
from tests.heat.chips_fuel import CHIPS
from tests.reference_pages import site as reference
from tests.site_folders import make_site, wave_c, write_weather

DAY = date(2020, 11, 9)
HOUSE = (
    ('[boiler]\nseasonal_efficiency = "80 %"', '[boiler]\nkind = "chips"\nrated = "20 kW"\ninstalled = 2021'),
    ('[pellets]\nenergy = "4.8 kWh/kg"', '[chips]\nwood = "spruce"\nwater = "25 % wet"'),
    ('price = "300 EUR/t"', 'price = "130 EUR/t"\n[upkeep]\nash_box = "40 litre"'),
)
BURNED = 'chips_a_year = "26 loose m3"\nindoor = "20 degC"\ngains = "400 W"\nhot_water = false'
READINGS = (
    "date,reading,how\n2020-10-01,18 loose m3,measured\n2020-11-01,77 %,by eye\n2020-11-08,21 loose m3,\n"
)
DELIVERIES = (
    "fuel,ordered_on,ordered,delivered_on,delivered,weighed\n"
    "chips,2020-09-20,,2020-09-28,14 loose m3,no\n"
    ",2020-10-20,,2020-10-28,1.3 t,yes\n"
)
KG_PER_LOOSE_M3 = 400 / 0.75 / 2.5
"""Spruce: 400 kg dry a solid m³ (Polish forestry table), 25 % water; 2.5 loose m³ a solid one (LWF)."""


@pytest.fixture(autouse=True)
def _chips() -> Iterator[None]:
    with fuels.registered(CHIPS):
        yield


def chips_house(folder: Path, **more: object) -> Path:
    """Return a house that burns chips alone; its rows may leave out the fuel."""
    given = {"building": BURNED, "readings": READINGS, "deliveries": DELIVERIES, "changes": HOUSE, **more}
    return make_site(folder, **given)  # type: ignore[arg-type]


def asked(capsys: pytest.CaptureFixture[str], verb: str, folder: Path) -> dict[str, object]:
    """Return the document of a verb."""
    with pytest.raises(SystemExit) as end:
        main([verb, str(folder), "--as-of", DAY.isoformat(), "--seed", "3", "--json"])
    assert end.value.code in (None, 0)
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def of_pellets(found: dict[str, object]) -> list[str]:
    """Return what a document says of pellets, but for safety texts and the names of sources."""
    said = json.dumps(found, ensure_ascii=False)
    for text in (
        *map(render, TEXTS.values()),
        "Swiss monthly pellet prices",
        "boilers that burn logs and pellets",
    ):
        said = said.replace(text, "")
    said = re.sub(r"[Gg]erman pellet (institute|associations)|[Pp]ellet associations'?", "", said)
    return re.findall(r".{30}[Pp]ellet.{30}", said)


def test_order_plans_for_chips(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Stock, use, run-out and order are those of chips, in kilograms by the density of their water."""
    folder = chips_house(tmp_path / "house")
    found = asked(capsys, "order", folder)
    (stock,) = found["stocks"]  # type: ignore[misc]
    assert {row["fuel"] for key in ("stocks", "use_kg", "run_out") for row in found[key]} == {"chips"}  # type: ignore[attr-defined]
    assert stock["kg"] == pytest.approx(21 * KG_PER_LOOSE_M3, rel=0.08)
    assert stock["reading_age_days"] == 1
    year = next(row["p50"] for row in found["use_kg"] if row["days"] == 365)  # type: ignore[attr-defined]
    assert year == pytest.approx(26 * KG_PER_LOOSE_M3, rel=0.15)
    assert found["order"]["fuel"] == "chips"  # type: ignore[index]
    assert not found["set_aside"]
    assert "chips" in str(found["explanation"]) and not of_pellets(found)


def test_learn_says_what_is_burned_of_chips(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The year's use is learned from loose cubic metres; efficiency is that of a chip boiler by its year."""
    found = asked(capsys, "learn", chips_house(tmp_path / "house"))
    assert found["year_kg"] == pytest.approx(26 * KG_PER_LOOSE_M3, rel=0.2)
    assert "of chips" in str(found["sentences"]) and not of_pellets(found)


@pytest.mark.parametrize(
    "store",
    ['capacity = "6 t"', 'shape = "flat floor"\nlength = "4 m"\nwidth = "3 m"\nheight = "2.5 m"'],
    ids=["capacity", "shape"],
)
def test_size_works_with_the_density_of_chips(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], store: str
) -> None:
    """Rooms hold what chips of this water weigh, in every size; hoses and couplings are not asked for."""
    folder = chips_house(tmp_path / "house", changes=(*HOUSE, ('capacity = "6 t"', store)))
    found = asked(capsys, "size", folder)
    assert found["fuel"] == "chips"
    for option in found["options"]:  # type: ignore[attr-defined]
        assert 0.2 * KG_PER_LOOSE_M3 < option["usable_kg"] / option["room_m3"] < KG_PER_LOOSE_M3
    assert not {"hose", "fill-outdoors"} & {line["id"] for line in found["fit"]}  # type: ignore[attr-defined]
    assert "vented-caps" not in {c["id"] for c in found["cautions"]}  # type: ignore[attr-defined]
    assert found["rules_of_thumb"] == [] and not of_pellets(found)


def test_the_form_of_a_new_house_offers_and_takes_chips(tmp_path: Path) -> None:
    """Chips are among the choices; a year, a store, a level and a reserve in loose cubic metres answer."""
    assert list(burned())[:2] == ["pellets", "chips"]
    write_weather(tmp_path / "w.csv", date(2000, 1, 15), wave_c(365 * 21))
    entries = NewHouse(
        name="Chip house", burns="chips", use="26 loose m3", store="30 loose m3", level="12 loose m3",
        reserve="2 loose m3", smallest_drop="8 loose m3", weather="file", rated="20 kW",
    )  # fmt: skip
    made = answers.draft_house(
        entries, tmp_path, DAY, WeatherFile("w.csv", (tmp_path / "w.csv").read_bytes())
    )
    site = answers.open_site(made)
    assert site.table.boiler.kind == "chips" and site.readings[0].fuel == "chips"
    assert site.table.store.capacity_kg == pytest.approx(30 * KG_PER_LOOSE_M3, abs=1)
    assert site.table.store.reserve_kg == pytest.approx(2 * KG_PER_LOOSE_M3, abs=1)
    found = answers.order(site, answers.weather_for(site, DAY), DAY)
    assert found.stocks[0].fuel == "chips"
    assert found.stocks[0].kg == pytest.approx(12 * KG_PER_LOOSE_M3, rel=0.05)


def test_a_row_without_a_fuel_is_of_the_house_s_own(tmp_path: Path) -> None:
    """What is noted in a chips house is of chips, in its measures; what is said to be pellets stays so."""
    folder = chips_house(tmp_path / "house")
    answers.record_reading(folder, date(2020, 11, 9), "1 t", fuel="pellets", today=DAY)
    answers.record_reading(folder, date(2020, 11, 9), "20 loose m3", today=DAY)
    answers.record_order(folder, date(2020, 11, 9), "9 loose m3", today=DAY)
    site = answers.open_site(folder)
    assert [row.fuel for row in site.readings[-2:]] == ["pellets", "chips"]
    assert site.deliveries[-1].fuel == "chips"
    found = answers.order(site, answers.weather_for(site, DAY), DAY)
    assert [render(row.reason) for row in found.set_aside] == [
        "By its settings this house's boiler burns no pellets."
    ]
    assert found.placed[0].amount_kg == pytest.approx(9 * KG_PER_LOOSE_M3)


def test_an_overdue_order_by_volume_comes_by_volume(tmp_path: Path) -> None:
    """Answered with "it came", an order of 9 loose cubic metres is booked as that, not as 9 kg."""
    more = "chips,2020-10-21,9 loose m3,,,no\n"
    folder = chips_house(tmp_path / "house", deliveries=DELIVERIES + more)
    site = answers.open_site(folder)
    found = answers.order(site, answers.weather_for(site, DAY), DAY)
    question = next(q for q in found.questions if q.code == "order_overdue")
    answers.settle(folder, question, "came", as_of=DAY)
    came = next(row for row in answers.open_site(folder).deliveries if row.ordered_on == date(2020, 10, 21))
    assert came.delivered_said == "9 loose m3"


@pytest.mark.parametrize(
    ("old", "new", "place", "said"),
    [
        ('water = "25 % wet"', 'water = "25 %"', "site.toml:20", "of the wet mass or of the dry mass"),
        ('wood = "spruce"', 'wod = "spruce"', "site.toml:19", 'did you mean "wood"?'),
        ('"26 loose m3"', '"26 stacked m3"', "site.toml:10", "chips are measured in loose m3, kg or t"),
        ("[chips]", '[pellets]\nclass = "A1"\n[chips]', "site.toml", "[pellets] needs a boiler"),
        ('"chips"', '"chip"', "site.toml", "must be one of 'pellets', 'logs and pellets' or 'chips'"),
    ],
)  # fmt: skip
def test_faults_stand_at_their_place(tmp_path: Path, old: str, new: str, place: str, said: str) -> None:
    """A table that a fuel brings is checked like every other: faults with line, key and what to write."""
    folder = chips_house(tmp_path / "house")
    text = (folder / "site.toml").read_text(encoding="utf-8")
    assert old in text
    (folder / "site.toml").write_text(text.replace(old, new), encoding="utf-8")
    _, faults = answers.check_folder(folder)
    assert any(str(fault).startswith(place) and said in str(fault) for fault in faults), list(
        map(str, faults)
    )


def test_an_amount_that_chips_are_not_bought_in_is_a_fault(tmp_path: Path) -> None:
    """A delivery in stacked cubic metres is refused at its line, with the measures of chips."""
    folder = chips_house(
        tmp_path / "house", deliveries=DELIVERIES + ",2020-11-01,,2020-11-02,3 stacked m3,no\n"
    )
    _, faults = answers.check_folder(folder)
    assert [str(fault) for fault in faults] == [
        "deliveries.csv:4: delivered: chips are bought in loose m3, kg or t, not in cubic metres of "
        'stacked wood; write e.g. "20 loose m3"'
    ]


def test_prices_of_chips_compare_with_the_own_ones(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without wood and water a price of chips is for those burned here; pellets are the usual ones."""
    prices = (
        '[[fuel_price]]\nname = "chips"\nfuel = "chips"\nprice = "30 EUR/loose m3"\n'
        '[[fuel_price]]\nname = "pellets"\nfuel = "pellets"\nprice = "300 EUR/t"\nefficiency = 0.8\n[store]'
    )
    found = asked(capsys, "order", chips_house(tmp_path / "house", changes=(*HOUSE, ("[store]", prices))))
    rows = {row["name"]: row["per_kwh"] for row in found["heat_prices"]}  # type: ignore[attr-defined]
    assert rows["pellets"] == pytest.approx(0.300 / 4.8 / 0.8, abs=1e-4)
    assert rows["chips"] == pytest.approx(30 / KG_PER_LOOSE_M3 / 3.73 / 0.69, rel=0.02)


def test_the_reference_page_shows_the_table_of_chips() -> None:
    """Page and schema are made from the registry: the fuel's keys, its year's use, and the kind of boiler."""
    page = reference.page()
    for said in (
        "### [chips]",
        "`chips_a_year`",
        '`"pellets"`, `"logs and pellets"`, `"chips"`',
        "Kind of wood.",
    ):
        assert said in page
    with fuels.registered():
        assert "SiteTable" in reference.schema()
