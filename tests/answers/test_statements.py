"""What a person states outranks whatever would be taken without it, and is never without effect."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers.how_big.basis import basis_of
from fuelplan.answers.one_fire import setting_of
from fuelplan.answers.setting import Setting
from fuelplan.answers.weather_of_site import known_weather
from fuelplan.heat.building import BuildingError, from_yearly_heat
from fuelplan.messages import as_text
from fuelplan.weather import DailyWeather
from tests.site_folders import make_site, wave_c

DAY = date(2020, 11, 20)
OWN_BOILER = '[boiler]\nseasonal_efficiency = "80 %"'
OIL = 'heating_oil_a_year = "2600 litre"\ngains = "400 W"\nhot_water = false'


def weather_of(folder: Path) -> tuple[answers.Site, DailyWeather]:
    """Return a folder's site and the weather known on the day."""
    site = answers.open_site(folder)
    return site, known_weather(site, answers.weather_for(site, DAY), DAY).weather


def set_up(folder: Path, building: str, *changes: tuple[str, str]) -> Setting:
    """Return the setting of a house on the day."""
    site, weather = weather_of(make_site(folder, building=building, changes=changes))
    return setting_of(site, weather, DAY)


def yearly_kg(setting: Setting, weather: DailyWeather) -> float:
    """Return what the paper signature burns in a mean year. [kg]"""
    prior = setting.prior
    warm = setting.need.heating_c(weather.mean_c)
    daily = prior.kg_per_degree_day * np.maximum(0.0, prior.base_c - warm) + prior.kg_per_day
    return float(daily.mean() * 365.25)


def test_a_test_figure_of_the_maker_replaces_the_least_of_the_class(tmp_path: Path) -> None:
    """With the maker's 93 % the house of an oil bill needs less fuel, more certainly, than with the least
    that a boiler of 2019 has to reach; the words say which was taken.
    """
    old = set_up(tmp_path / "a", OIL, (OWN_BOILER, '[boiler]\nrated = "15 kW"\ninstalled = 2019'))
    tested = '[boiler]\nrated = "15 kW"\ninstalled = 2019\nfull_load_efficiency = "93 %"'
    new = set_up(tmp_path / "b", OIL, (OWN_BOILER, tested))
    both = set_up(tmp_path / "c", OIL, (OWN_BOILER, f'{tested}\npart_load_efficiency = "88 %"'))
    assert old.efficiency < both.efficiency < new.efficiency
    assert old.prior.kg_per_degree_day > 1.08 * new.prior.kg_per_degree_day
    assert (old.prior.year_rel_sd or 0) > (new.prior.year_rel_sd or 1)
    assert "the least that a pellet boiler of 2019 has to reach" in str(old.explanation[-1])
    assert "On the test stand this boiler turns 93%" in str(new.explanation[-1])
    assert "On the test stand this boiler turns 82%" not in str(old.explanation[-1])


def test_what_was_burned_is_known_whatever_the_boiler_made_of_it(tmp_path: Path) -> None:
    """Past use in kilograms is as certain with a class minimum as with a stated efficiency."""
    burned = 'pellets_a_year = "4 t"\ngains = "400 W"\nhot_water = false'
    by_year = set_up(tmp_path / "a", burned, (OWN_BOILER, "[boiler]\ninstalled = 2019"))
    assert by_year.prior.year_rel_sd == pytest.approx(set_up(tmp_path / "b", burned).prior.year_rel_sd)


def test_a_house_that_takes_hot_water_alone_is_answered_for(tmp_path: Path) -> None:
    """600 kg a year for three people are less than the usual hot water of three: the statement holds, all of
    it is taken as hot water, and the answer says so.
    """
    folder = make_site(
        tmp_path / "a",
        building='pellets_a_year = "450 kg"\npeople = 3',
        readings="date,reading,how\n2020-11-01,1.2 t,measured\n",
    )
    site, weather = weather_of(folder)
    setting = setting_of(site, weather, DAY)
    assert yearly_kg(setting, weather) == pytest.approx(450, rel=0.02)
    assert any("no more than the usual hot water of 3 people" in str(w) for w in setting.warnings)
    answer = answers.order(site, answers.weather_for(site, DAY), DAY)
    assert answer.use_kg[-1].p50 == pytest.approx(450 * answer.use_kg[-1].days / 365.25, rel=0.25)


@pytest.mark.parametrize("kg", [450, 460, 480, 520, 600, 900, 1500, 4000])
def test_every_yearly_use_is_burned_as_it_is_stated(tmp_path: Path, kg: int) -> None:
    """Whatever the usual hot water and gains, the paper signature burns the stated year; gains that nobody
    stated do not make a house that is heated in hard frost alone.
    """
    building = f'pellets_a_year = "{kg} kg"\npeople = 3'
    site, weather = weather_of(make_site(tmp_path / "a", building=building))
    setting = setting_of(site, weather, DAY)
    assert yearly_kg(setting, weather) == pytest.approx(kg, rel=0.02)
    assert setting.prior.base_c >= 8.0


def test_no_doubt_at_all_is_a_statement(tmp_path: Path) -> None:
    """doubt = 0 % is not taken as "not said"."""
    said = set_up(tmp_path / "a", 'pellets_a_year = "4 t"\nhot_water = false\ndoubt = "0 %"')
    unsaid = set_up(tmp_path / "b", 'pellets_a_year = "4 t"\nhot_water = false')
    assert (said.prior.year_rel_sd or 1) < (unsaid.prior.year_rel_sd or 0)


def test_a_boiler_of_no_output_is_refused(tmp_path: Path) -> None:
    """rated = 0 kW is a fault, not a boiler of the usual size."""
    _, faults = answers.check_folder(
        make_site(tmp_path / "a", changes=[(OWN_BOILER, '[boiler]\nrated = "0 kW"')])
    )
    assert [f.key for f in faults] == ["boiler.rated"]


def test_an_unknown_boiler_covers_what_the_house_states(tmp_path: Path) -> None:
    """A large house without a word on its boiler is not worked out with a small boiler at full load."""
    large = set_up(tmp_path / "a", 'pellets_a_year = "60 t"\nhot_water = false', (OWN_BOILER, "[boiler]\n"))
    small = set_up(tmp_path / "b", 'pellets_a_year = "4 t"\nhot_water = false', (OWN_BOILER, "[boiler]\n"))
    assert "its rated output is taken as 15 kW" in " ".join(map(str, small.explanation))
    assert "its rated output is taken as 15 kW" not in " ".join(map(str, large.explanation))


def test_the_best_statement_leads_and_the_others_stand_beside_it(tmp_path: Path) -> None:
    """Past use, heat loss and floor area may all be said: past use leads, then the design heat loss."""
    use = 'pellets_a_year = "4 t"\nhot_water = false\ngains = "400 W"'
    loss = 'design_loss = "9 kW"\ndesign_outdoor = "-10 degC"'
    area = 'floor_area = "140 m2"\nbuilt = 1985'
    alone = set_up(tmp_path / "a", use)
    everything = set_up(tmp_path / "b", f"{use}\n{loss}\n{area}")
    assert everything.need == alone.need
    designed = set_up(tmp_path / "c", f'{loss}\n{area}\nhot_water = false\ngains = "400 W"')
    assert "design loss" in as_text(designed.need.how)
    assert designed.need.loss_w_per_k == pytest.approx(300.0)


def test_a_year_of_building_that_nobody_said_is_told_as_a_guess(tmp_path: Path) -> None:
    """A floor area without the year says that the year is assumed."""
    assert "built in 1975 (assumed)" in as_text(set_up(tmp_path / "a", 'floor_area = "140 m2"').need.how)
    assert "assumed" not in as_text(set_up(tmp_path / "b", 'floor_area = "140 m2"\nbuilt = 1985').need.how)


# -- heating limit --


def share_of_summer(setting: Setting, weather: DailyWeather) -> float:
    """Return the share of the space heating that falls into June to August."""
    kwh = setting.need.space_kwh(weather.mean_c)
    months = weather.dates.astype("datetime64[M]").astype(int) % 12 + 1
    return float(kwh[np.isin(months, (6, 7, 8))].sum() / kwh.sum())


LARGE = 'design_loss = "60 kW"\ndesign_outdoor = "-10 degC"\nhot_water = false'


def test_gains_left_out_do_not_heat_in_summer(tmp_path: Path) -> None:
    """Without a word on gains a large house has a base of nearly the room temperature; the usual limit
    keeps it from heating on warm days, and the explanation names it.
    """
    site, weather = weather_of(make_site(tmp_path / "a", building=LARGE))
    setting = setting_of(site, weather, DAY)
    assert setting.need.base_c > 19
    warm = weather.mean_c >= 15.0
    assert warm.any() and not setting.need.space_kwh(weather.mean_c)[warm].any()
    unlimited = set_up(tmp_path / "b", f'{LARGE}\nheating_limit = "30 degC"')
    assert share_of_summer(setting, weather) < 0.4 * share_of_summer(unlimited, weather)
    assert "no heating on days of 15 °C or warmer" in " ".join(map(str, setting.explanation))


def test_stated_gains_are_not_outranked_by_the_usual_limit(tmp_path: Path) -> None:
    """Whoever states gains is heated by them alone; a stated limit holds beside stated gains."""
    gains = f'{LARGE}\ngains = "2 kW"'
    site, weather = weather_of(make_site(tmp_path / "a", building=gains))
    free = setting_of(site, weather, DAY)
    assert share_of_summer(free, weather) > 0.02
    limited = set_up(tmp_path / "b", f'{gains}\nheating_limit = "14 degC"')
    assert not limited.need.space_kwh(weather.mean_c)[weather.mean_c >= 14.0].any()


def test_the_limit_holds_in_order_learn_and_size(tmp_path: Path) -> None:
    """Order, learn and size burn nothing for heating on days above the limit, and much without a limit."""
    day, looks = date(2020, 6, 25), "date,reading,how\n2020-02-20,25 t,measured\n2020-04-20,14 t,measured\n"
    found = {}
    for limit in ("9", "35"):
        folder = make_site(
            tmp_path / limit,
            building=f'{LARGE}\nheating_limit = "{limit} degC"',
            changes=[('capacity = "6 t"', 'capacity = "30 t"')],
            readings=looks,
        )
        site = answers.open_site(folder)
        known = known_weather(site, answers.weather_for(site, day), day)
        order = answers.order(site, known, day)
        learned = answers.learn(site, known, day)
        basis = basis_of(site, known, day, 1)
        warm = basis.winters.mean_c >= 12.0
        at_12 = float(learned.line.p50[list(learned.line.outdoor_c).index(12.0)])
        found[limit] = (order.use_kg[0].p50, at_12, float(basis.demand_kg[warm].mean()))
    for low, high in zip(found["9"], found["35"], strict=True):
        assert 5 * low < high


def test_the_loss_of_a_stated_year_is_found_with_the_limit() -> None:
    """The year's heat is met whatever the limit; a limit below every day is refused."""
    days = wave_c(365 * 4)
    for limit in (10.0, 15.0, 40.0):
        need = from_yearly_heat(20_000, days, heating_limit_c=limit)
        assert float(need.space_kwh(days).sum()) / 4 == pytest.approx(20_000, rel=0.01)
        assert not need.space_kwh(days)[days >= limit].any()
    with pytest.raises(BuildingError, match="heating limit"):
        from_yearly_heat(20_000, days, heating_limit_c=-30.0)
