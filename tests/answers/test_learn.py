"""From a folder to what the building really burns."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import LearnAnswer
from fuelplan.cli import main
from fuelplan.messages import render
from tests.demo_folders.family_house import TRUTH
from tests.site_folders import make_site, wave_c

DEMO = Path(__file__).parents[2] / "demo_sites" / "family_house"
FIRST = date(2000, 1, 15)


def learned(folder: Path, as_of: date) -> LearnAnswer:
    """The finding for a folder."""
    site = answers.open_site(folder)
    return answers.learn(site, answers.weather_for(site, as_of), as_of)


def history(
    slope: float, per_day: float, base_c: float, *, change: tuple[date, float] | None = None
) -> tuple[str, str]:
    """Readings each fortnight and refills over three years of a house of known signature, weighed, without
    noise.
    """
    start = date(2017, 10, 1)
    mean_c = wave_c(365 * 21)[(start - FIRST).days :]
    level, rows, orders = (
        5500.0,
        ["date,reading,how", f"{start},5500 kg,measured"],
        ["ordered_on,ordered,delivered_on,delivered"],
    )
    for i in range(1, 3 * 365):
        day = start + timedelta(days=i)
        factor = change[1] if change is not None and day >= change[0] else 1.0
        level -= factor * slope * max(0.0, base_c - mean_c[i]) + per_day
        if level < 1500:
            orders.append(f"{day - timedelta(days=7)},4 t,{day},4000 kg")
            level += 4000
        if i % 14 == 0:
            rows.append(f"{day},{level:.1f} kg,measured")
    return "\n".join(rows) + "\n", "\n".join(orders) + "\n"


def test_a_known_house_is_found_again(tmp_path: Path) -> None:
    """Three years of fortnightly readings find slope, daily part and base of the house that made them; the
    folder's figure is a third off.
    """
    readings, deliveries = history(1.6, 0.4, 15.0)
    folder = make_site(
        tmp_path / "a",
        readings=readings,
        deliveries=deliveries,
        changes=[('"4 t"\nindoor', '"3.6 t"\nindoor')],
    )
    found = learned(folder, date(2020, 9, 30))
    year = wave_c(365 * 21)[:365]
    truth = float((1.6 * np.maximum(0, 15.0 - year) + 0.4).sum())
    assert found.year_kg.p50 == pytest.approx(truth, rel=0.03)
    assert found.kg_per_degree_day.p50 == pytest.approx(1.6, rel=0.08)
    assert found.base_c.p50 == pytest.approx(15.0, abs=1.0)
    assert found.cv_rmse is not None and found.cv_rmse < 0.15
    assert found.nmbe is not None and abs(found.nmbe) < 0.05
    assert not found.changes
    assert len(found.intervals) == found.readings - 1
    assert render(found.sentences[0]).startswith("A usual year takes")


def test_a_change_is_dated_and_told(tmp_path: Path) -> None:
    """Insulation that saves three tenths per degree-day is found within weeks of its day and told."""
    day = date(2019, 1, 20)
    readings, deliveries = history(1.6, 0.4, 15.0, change=(day, 0.70))
    found = learned(make_site(tmp_path / "a", readings=readings, deliveries=deliveries), date(2020, 9, 30))
    assert len(found.changes) == 1
    change = found.changes[0]
    assert abs((change.date - day).days) < 21
    assert change.share_p10 - 0.03 < -0.30 < change.share_p90 + 0.03
    assert change.sentence in found.sentences
    assert "less" in render(change.sentence)
    assert change.year_after_kg == found.year_kg.p50 < 0.8 * change.year_before_kg
    assert change.in_a_year in found.sentences


def test_the_demo_house_burns_what_its_maker_made_it_burn() -> None:
    """The truth of the invented house lies within the range learned from ten rough readings."""
    found = learned(DEMO, date(2026, 1, 15))
    assert found.readings >= 10
    assert found.kg_per_day.p10 < TRUTH.kg_per_day < found.kg_per_day.p90 + 0.5
    assert found.year_kg.p10 - 200 < 4900 < found.year_kg.p90


def test_one_reading_says_that_it_is_too_few(tmp_path: Path) -> None:
    """Nothing is claimed to be learned from one look at the store."""
    found = learned(make_site(tmp_path / "a"), date(2020, 12, 1))
    assert "Too few readings" in render(found.sentences[0])
    assert found.cv_rmse is None


def test_an_absence_is_not_taken_for_thrift(tmp_path: Path) -> None:
    """Five weeks with the boiler off, said in the folder, leave the learned signature as it is; unsaid, they
    would not.
    """
    start, off = date(2018, 1, 5), (date(2018, 1, 10), date(2018, 2, 14))
    mean_c = wave_c(365 * 21)[(start - FIRST).days :]
    level, rows = 5500.0, ["date,reading,how", f"{start},5500 kg,measured"]
    for i in range(1, 75):
        day = start + timedelta(days=i)
        if not off[0] <= day <= off[1]:
            level -= 1.4 * max(0.0, 16.0 - mean_c[i]) + 0.5
        if i % 37 == 0:
            rows.append(f"{day},{level:.1f} kg,measured")
    readings = "\n".join(rows) + "\n"
    away = (
        'price = "300 EUR/t"',
        f'price = "300 EUR/t"\n[[away]]\nfrom = {off[0]}\nto = {off[1]}\nboiler_off = true',
    )
    said = learned(make_site(tmp_path / "a", readings=readings, changes=[away]), date(2018, 3, 20))
    unsaid = learned(make_site(tmp_path / "b", readings=readings), date(2018, 3, 20))
    assert said.year_kg.p50 > unsaid.year_kg.p50


def test_learn_prints_text_and_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The promised keys, each with its range, and a table for people."""
    with pytest.raises(SystemExit) as left:
        main(["learn", str(DEMO), "--json"])
    assert not left.value.code
    found = json.loads(capsys.readouterr().out)
    for name in ("kg_per_degree_day", "kg_per_day", "base_c"):
        assert found[f"{name}_p10"] <= found[name] <= found[f"{name}_p90"]
    assert {"cv_rmse", "nmbe", "intervals", "changes"} <= set(found)
    with pytest.raises(SystemExit):
        main(["learn", str(DEMO)])
    assert "For each degree colder, per day" in capsys.readouterr().out


def test_metered_heat_gives_the_seasonal_efficiency(tmp_path: Path) -> None:
    """Where a heat meter is read on the days of fuel readings, heat over the fuel's energy is the efficiency:
    76 % here.
    """
    readings, deliveries = history(1.6, 0.4, 15.0)
    start = date(2017, 10, 1)
    mean_c = wave_c(365 * 21)[(start - FIRST).days :]
    burned = np.cumsum(1.6 * np.maximum(0.0, 15.0 - mean_c[: 3 * 365]) + 0.4)
    rows = ["date,reading,how,note"]
    for line in readings.splitlines()[1:]:
        day = date.fromisoformat(line.split(",")[0])
        rows.append(f"{line},")
        shown = 1000 + 4.8 * 0.76 * (burned[(day - start).days] - burned[0])
        rows.append(f"{day},{shown:.0f} kWh,heat meter,")
    folder = make_site(tmp_path / "a", readings="\n".join(rows) + "\n", deliveries=deliveries)
    found = learned(folder, date(2020, 9, 30))
    assert found.efficiency is not None
    assert found.efficiency.p10 < 0.76 < found.efficiency.p90
    assert found.efficiency.p50 == pytest.approx(0.76, abs=0.02)
    assert learned(make_site(tmp_path / "b"), date(2020, 12, 1)).efficiency is None


def test_an_estimated_reading_counts_less(tmp_path: Path) -> None:
    """The same reading, said to be estimated, leaves a wider range of what is in store."""
    wide = []
    for how in ("measured", "estimated"):
        rows = f"date,reading,how\n2020-12-04,3 t,{how}\n"
        folder = make_site(tmp_path / how, readings=rows)
        site = answers.open_site(folder)
        stock = answers.order(site, answers.weather_for(site, date(2020, 12, 5)), date(2020, 12, 5)).stocks[0]
        wide.append(stock.p90_kg - stock.p10_kg)
    assert wide[1] > 1.5 * wide[0]


@pytest.mark.parametrize("house", ["family_house", "farmhouse", "village_school"])
def test_order_and_learn_give_the_same_figures(house: str) -> None:
    """What an order says of the learned use is, to the last digit shown, what `learn` says of it."""
    site = answers.open_site(Path(__file__).parents[2] / "demo_sites" / house)
    as_of = date(2026, 1, 15)
    weather = answers.weather_for(site, as_of)
    found = answers.learn(site, weather, as_of, seed=3)
    said = [str(s) for s in answers.order(site, weather, as_of, seed=3).explanation]
    degree, day = found.kg_per_degree_day, found.kg_per_day
    assert any(f": {degree.p10:.2f} to {degree.p90:.2f} kg for each degree-day" in s for s in said), said
    assert any(f" {day.p10:.1f} to {day.p90:.1f} kg a day for hot water and standby" in s for s in said)
