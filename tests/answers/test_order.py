"""The whole chain on real weather records and on the demo house."""

from __future__ import annotations

import json
import shutil
from datetime import date, timedelta
from importlib import resources
from pathlib import Path

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import OrderAnswer, WhatIf
from fuelplan.answers.draws import joint_draws, learned
from fuelplan.answers.one_fire import setting_of
from fuelplan.answers.weather_of_site import known_weather
from fuelplan.answers.when_to_order.order import arrivals_of, rules_of
from fuelplan.messages import as_text
from fuelplan.ordering import make_plan
from fuelplan.weather import possible_winters
from tests.site_folders import make_site

DEMO = Path(__file__).parents[2] / "demo_sites" / "family_house"


def answer_for(folder: Path, as_of: date, what_if: WhatIf | None = None, seed: int = 1) -> OrderAnswer:
    """The answer for a folder."""
    site = answers.open_site(folder)
    return answers.order(site, answers.weather_for(site, as_of), as_of, seed, what_if)


def german_hours(name: str) -> np.ndarray:
    """Hourly temperatures of a German reference year, shape (365, 24), from the data file itself."""
    file = resources.files("demandlib") / "vdi" / "resources_weather" / name
    lines = file.read_text(encoding="latin-1").splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("***")) + 1
    return np.array([float(line.split()[8]) for line in lines[start:] if line.strip()]).reshape(365, 24)


def seattle_means() -> tuple[date, list[float]]:
    """Seattle 2012–2015: middle between daily maximum and minimum, NOAA data from vega_datasets."""
    file = resources.files("vega_datasets") / "_data" / "seattle-weather.csv"
    rows = [line.split(",") for line in file.read_text(encoding="utf-8").splitlines()[1:]]
    return date(2012, 1, 1), [(float(r[2]) + float(r[3])) / 2 for r in rows]


def spreadsheet_use_kg(
    means: list[float], loss_w_per_k: float, indoor_c: float, gains_w: float, hot_water_kwh: float
) -> list[float]:
    """Kilograms a day as a person would write it into a spreadsheet, one row a day."""
    rows = []
    for mean in means:
        heat_kwh = max(0.0, loss_w_per_k * (indoor_c - mean) - gains_w) * 24 / 1000
        rows.append((heat_kwh + hot_water_kwh) / (4.8 * 0.80))
    return rows


@pytest.mark.parametrize("name", ["TRY2010_12_Jahr.dat", "TRY2010_04_Jahr.dat"])
def test_use_on_german_reference_years_is_that_of_a_spreadsheet(tmp_path: Path, name: str) -> None:
    """A house of 9 kW at −12 °C on the German reference years (Mannheim, Potsdam regions, in demandlib): 1 %
    in the year, 2 % in store.
    """
    year = german_hours(name).mean(axis=1).tolist()
    means = year * 3
    use = spreadsheet_use_kg(means, 9000 / 32, 20.0, 450.0, 0.0)
    building = (
        'design_loss = "9 kW"\ndesign_outdoor = "-12 degC"\nindoor = "20 degC"\ngains = "450 '
        'W"\nhot_water = false\ndoubt = "1 %"'
    )
    folder = make_site(
        tmp_path / "site",
        building=building,
        first=date(2010, 1, 1),
        mean_c=means,
        readings="date,reading,how\n2012-10-31,5.5 t,measured\n",
    )
    site = answers.open_site(folder)
    as_of = date(2012, 12, 30)
    known = known_weather(site, answers.weather_for(site), as_of)
    setting = setting_of(site, known.weather, as_of)
    prior = setting.prior
    by_rooms = prior.kg_per_degree_day * np.maximum(0, prior.base_c - np.array(year)) + prior.kg_per_day
    assert by_rooms == pytest.approx(use[:365], rel=1e-9)

    answer = answers.order(site, answers.weather_for(site), as_of)
    days = (as_of - date(2010, 1, 1)).days
    burned = sum(use[(date(2012, 11, 1) - date(2010, 1, 1)).days : days + 1])
    assert answer.stocks[0].kg == pytest.approx(5500 - burned, abs=0.03 * burned + 60)
    assert answer.use_kg[2].p50 == pytest.approx(sum(use[:365]), rel=0.05)


def test_use_on_seattle_2012_to_2015_is_that_of_a_spreadsheet(tmp_path: Path) -> None:
    """A house of 200 W/K with hot water in Seattle (NOAA daily records 2012–2015): stock after a winter, and
    the year ahead.
    """
    first, means = seattle_means()
    assert len(means) == 1461
    building = (
        'design_loss = "6 kW"\ndesign_outdoor = "-10 degC"\nindoor = "20 degC"\ngains = "300 '
        'W"\npeople = 0\ndoubt = "1 %"'
    )
    folder = make_site(
        tmp_path / "site",
        building=building,
        first=first,
        mean_c=means,
        readings="date,reading,how\n2014-10-31,5 t,measured\n",
        changes=[('country = "DE"', 'country = "US"'), ("Europe/Berlin", "America/Los_Angeles")],
    )
    as_of = date(2015, 2, 28)
    use = spreadsheet_use_kg(means, 200.0, 20.0, 300.0, 0.0)
    start = (date(2014, 11, 1) - first).days
    burned = sum(use[start : (as_of - first).days + 1])
    answer = answer_for(folder, as_of)
    assert answer.stocks[0].kg == pytest.approx(5000 - burned, abs=0.03 * burned + 60)
    assert answer.stocks[0].p10_kg < 5000 - burned < answer.stocks[0].p90_kg
    a_year = sum(use[:1096]) / 3
    assert answer.use_kg[2].p10 < a_year < answer.use_kg[2].p90
    assert answer.weather.last_day == as_of  # nothing dated later was read


def test_books_balance_on_the_demo_house_on_every_day_of_every_draw() -> None:
    """level = start + accepted − burned and demand = burned + unmet through placed and proposed orders, to
    1e-6 kg.
    """
    as_of = date(2026, 1, 15)
    site = answers.open_site(DEMO)
    known = known_weather(site, answers.weather_for(site), as_of)
    setting = setting_of(site, known.weather, as_of)
    winters = possible_winters(known.weather, as_of + timedelta(days=1), 400, seed=5)
    draws = joint_draws(setting, learned(setting, known.weather), winters, WhatIf(), np.random.default_rng(5))
    coming = arrivals_of(setting, draws, known.weather.mean_c, np.random.default_rng(7))
    plan = make_plan(rules_of(setting, 0.02), draws, [], coming)
    assert draws.count >= 1000
    assert plan.orders
    for paths in (plan.without_orders, plan.with_orders):
        books = draws.level_kg[:, None] + np.cumsum(paths.accepted_kg - paths.burned_kg, axis=1)
        assert np.abs(paths.level_kg - books).max() < 1e-6
    asked = plan.with_orders.burned_kg + plan.with_orders.unmet_kg
    # The boiler's pauses move demand by a day and lose none of it; those at the end reach beyond the horizon.
    assert asked.sum(axis=1) == pytest.approx(draws.demand_kg.sum(axis=1), rel=1e-9)
    assert np.abs(plan.without_orders.burned_kg + plan.without_orders.unmet_kg - draws.demand_kg).max() < 1e-6


def test_same_inputs_give_the_same_document() -> None:
    """Seed, day and folder settle the answer to the last byte; another seed is another set of draws."""
    day = date(2026, 1, 15)
    first, second = (json.dumps(answer_for(DEMO, day).to_json()) for _ in range(2))
    assert first == second
    other = answer_for(DEMO, day, seed=2)
    assert other.stocks[0].kg != answer_for(DEMO, day).stocks[0].kg
    assert abs((other.order.order_by - answer_for(DEMO, day).order.order_by).days) <= 7  # type: ignore[union-attr]


def test_nothing_dated_after_the_day_is_read(tmp_path: Path) -> None:
    """Later weather, readings and deliveries change nothing; the rows are named as not counted."""
    first = date(2000, 1, 15)
    sound = make_site(tmp_path / "a")
    later = make_site(
        tmp_path / "b",
        readings="date,reading,how\n2020-11-01,4 t,measured\n2020-12-20,0.5 t,measured\n",
        deliveries="ordered_on,ordered,delivered_on,delivered\n2020-12-10,3 t,2020-12-18,3 t\n",
    )
    lines = (later / "weather.csv").read_text().splitlines()
    cut = (date(2020, 12, 5) - first).days + 2
    (later / "weather.csv").write_text(
        "\n".join([*lines[:cut], *(f"{line.split(',')[0]},-25" for line in lines[cut:])]) + "\n"
    )
    as_of = date(2020, 12, 5)
    without, with_later = answer_for(sound, as_of).to_json(), answer_for(later, as_of).to_json()
    named = with_later.pop("set_aside")
    assert [(row["file"], row["line"]) for row in named] == [("readings.csv", 3), ("deliveries.csv", 2)]
    assert all("dated after 5 December 2020" in row["reason"]["text"] for row in named)
    assert without.pop("set_aside") == []
    assert without == with_later


def test_what_if_moves_the_answer_the_right_way() -> None:
    """Colder, warmer rooms, slower tankers and less risk each bring the order forward; the folder stays as it
    is.
    """
    day = date(2026, 1, 15)
    plain = answer_for(DEMO, day).order
    assert plain is not None
    for change in (
        WhatIf(colder_c=2),
        WhatIf(room_shift_c=2),
        WhatIf(extra_lead_days=5),
        WhatIf(risk_limit=0.002),
    ):
        changed = answer_for(DEMO, day, change).order
        assert changed is not None
        assert changed.order_by < plain.order_by, change
    cheaper = answer_for(DEMO, day, WhatIf(price_factor=0.5)).order
    assert cheaper is not None and cheaper.cost is not None and plain.cost is not None
    assert cheaper.order_by == plain.order_by  # the last safe day is a matter of risk, not of money
    assert cheaper.cost / cheaper.amount_kg < 0.6 * plain.cost / plain.amount_kg


def test_risk_is_the_one_that_was_promised() -> None:
    """The proposed order keeps the limit; one working day later breaks it."""
    answer = answer_for(DEMO, date(2026, 1, 15))
    assert answer.order is not None
    assert 0 < answer.order.risk <= answer.risk_limit == 0.02
    assert answer.weather.draws >= 1000
    assert answer.weather.winters == 24 or answer.weather.winters == 25


def test_a_placed_order_is_remembered_and_not_ordered_twice(tmp_path: Path) -> None:
    """What is on order counts as coming, and a failed one does not."""
    header = "ordered_on,due_from,due_to,ordered,delivered_on,delivered,outcome\n"
    as_of = date(2020, 12, 20)
    bare = answer_for(make_site(tmp_path / "a"), as_of)
    placed = answer_for(
        make_site(tmp_path / "b", deliveries=header + "2020-12-18,2020-12-28,2021-01-08,2 t,,,\n"), as_of
    )
    failed = answer_for(
        make_site(tmp_path / "c", deliveries=header + "2020-12-18,2020-12-28,2021-01-08,2 t,,,failed\n"),
        as_of,
    )
    assert bare.order and placed.order and failed.order
    assert placed.placed[0].amount_kg == 2000
    assert placed.order.order_by > bare.order.order_by + timedelta(days=10)
    assert failed.order == bare.order
    assert not failed.placed


def test_an_overdue_order_is_asked_about(tmp_path: Path) -> None:
    """An order past its date is neither taken for delivered nor counted on, and asked about: the dates are
    those without it, and the amounts leave room for it.
    """
    header = "ordered_on,due_from,due_to,ordered,delivered_on,delivered,outcome\n"
    folder = make_site(tmp_path / "a", deliveries=header + "2020-11-18,2020-11-20,2020-12-02,2 t,,,\n")
    answer = answer_for(folder, date(2020, 12, 20))
    assert [q.code for q in answer.questions] == ["order_overdue"]
    assert "2 t ordered on 18 November should have come by 2 December" in str(answer.questions[0].text)
    assert answer.placed[0].overdue and not answer.on_its_way
    without = answer_for(make_site(tmp_path / "b"), date(2020, 12, 20))
    assert answer.order is not None and without.order is not None
    assert answer.order.order_by == without.order.order_by
    assert answer.run_out == without.run_out
    most, most_without = (o.fits_kg or o.amount_kg for o in (answer.order, without.order))
    assert most == pytest.approx(most_without - 2000, abs=150)


def test_running_low_is_late_with_its_true_risk(tmp_path: Path) -> None:
    """With a few days' fuel left the decision is late, and says how likely it is not to be enough."""
    answer = answer_for(
        make_site(tmp_path / "a", readings="date,reading,how\n2021-01-02,420 kg,measured\n"), date(2021, 1, 3)
    )
    assert answer.decision == "late"
    assert answer.order is not None
    assert answer.order.order_by == date(2021, 1, 3)
    assert answer.order.risk > 0.5
    assert "today" in str(answer.sentence)


def test_a_drop_that_fits_too_late_is_said(tmp_path: Path) -> None:
    """Where the smallest drop only fits when it is nearly too late, the answer says so and shows the higher
    risk.
    """
    changes = [
        ('smallest_drop = "1.5 t"', 'smallest_drop = "4.9 t"'),
        ('"4 to 10 working days"', '"4 to 20 working days"'),
    ]
    answer = answer_for(make_site(tmp_path / "a", changes=changes), date(2020, 12, 5))
    assert answer.order is not None
    assert answer.order.risk <= answer.risk_limit
    assert answer.order.fits_kg is not None and answer.order.fits_kg < answer.order.amount_kg == 4900
    assert "read the store again" in str(answer.sentence)
    assert any("less than the smallest drop" in w for w in map(str, answer.warnings))


def test_boiler_off_burns_nothing(tmp_path: Path) -> None:
    """Three weeks away with the boiler off in the cold save what the house would have burned."""
    as_of = date(2020, 12, 20)
    away = (
        'price = "300 EUR/t"',
        'price = "300 EUR/t"\n[[away]]\nfrom = 2020-12-21\nto = 2021-01-10\nboiler_off = true',
    )
    usual = answer_for(make_site(tmp_path / "a"), as_of)
    off = answer_for(make_site(tmp_path / "b", changes=[away]), as_of)
    assert off.use_kg[0].p50 < 0.75 * usual.use_kg[0].p50
    assert off.order and usual.order
    assert off.order.order_by > usual.order.order_by


def test_weather_that_begins_too_late_is_refused(tmp_path: Path) -> None:
    """No weather before the day asked: one sentence, no answer."""
    folder = make_site(tmp_path / "a", first=date(2021, 1, 1), mean_c=[5.0] * 400)
    with pytest.raises(ValueError, match="begins on 1 January 2021"):
        answer_for(folder, date(2020, 12, 5))


def test_a_fall_back_fills_the_days_the_main_source_lacks(tmp_path: Path) -> None:
    """With monthly means behind a weather file that cannot be had, there is still an answer; a faulty file is
    not hidden by it.
    """
    means = "monthly_means = [-2, 0, 4, 8, 13, 16, 18, 17, 14, 9, 3, -1]"
    changes = [
        ('source = "file"\nfile = "weather.csv"', f'source = "meteostat"\nfallback = "monthly"\n{means}'),
        ('country = "DE"', 'country = "DE"\nlatitude = 50.0\nlongitude = 8.6'),
    ]
    folder = make_site(tmp_path / "a", changes=changes)
    import socket
    from unittest import mock

    with (
        mock.patch.dict("os.environ", {"FUELPLAN_WEATHER_STORE": str(tmp_path / "store.sqlite")}),
        mock.patch.object(socket, "getaddrinfo", side_effect=OSError(101, "Network is unreachable")),
    ):
        answer = answer_for(folder, date(2020, 12, 5))
    assert answer.order is not None
    assert any("could not be used" in w for w in map(str, answer.warnings))
    assert "monthly" in as_text(answer.weather.source)


def demo_with(folder: Path, row: str) -> Path:
    """The demo house with one more reading."""
    shutil.copytree(DEMO, folder)
    with (folder / "readings.csv").open("a") as stream:
        stream.write(row + "\n")
    return folder


def test_a_fresh_low_reading_is_believed(tmp_path: Path) -> None:
    """Setting aside a reading of empty would be less cautious: it is believed, the order is due, and it is
    asked about.
    """
    answer = answer_for(demo_with(tmp_path / "a", "2026-01-15,empty,,pellets,"), date(2026, 1, 15))
    assert answer.stocks[0].kg < 300
    assert answer.decision == "late"
    assert [q.code for q in answer.questions] == ["reading_disagrees"]
    assert len(answer.warnings) == len(set(answer.warnings))


def test_a_high_reading_that_cannot_be_is_asked_about_and_its_age_not_shown(tmp_path: Path) -> None:
    """With a reading of full and no delivery the dates go by what was expected, and the age shown is that of
    the reading behind it.
    """
    answer = answer_for(demo_with(tmp_path / "a", "2026-01-15,full,,pellets,"), date(2026, 1, 15))
    assert answer.stocks[0].kg < 3000
    assert answer.stocks[0].reading_on == date(2026, 1, 3)
    assert [q.code for q in answer.questions] == ["reading_disagrees"]


@pytest.mark.parametrize("percent", [60, 75, 90, 100])
def test_the_day_shown_is_safe_however_full_the_store(tmp_path: Path, percent: int) -> None:
    """A fuller store never brings a riskier order: the day named keeps the limit, and comes before the
    run-out day.
    """
    rows = f"date,reading,how\n2020-12-04,{percent} %,by eye\n"
    answer = answer_for(make_site(tmp_path / "a", readings=rows), date(2020, 12, 5))
    assert answer.order is not None
    assert answer.order.risk <= answer.risk_limit
    run_out = answer.run_out[0].p02
    assert run_out is None or answer.order.order_by <= run_out


def test_an_order_larger_than_fits_is_said(tmp_path: Path) -> None:
    """Six tonnes on their way into a store of six that is half full: ring the supplier."""
    header = "ordered_on,due_from,due_to,ordered,delivered_on,delivered,outcome\n"
    folder = make_site(tmp_path / "a", deliveries=header + "2020-12-01,2020-12-10,2020-12-18,6 t,,,\n")
    answer = answer_for(folder, date(2020, 12, 5))
    assert any("more than will fit" in w for w in map(str, answer.warnings))


def test_below_the_reserve_is_said_so(tmp_path: Path) -> None:
    """A level under the reserve does not "last until" a date."""
    rows = "date,reading,how\n2020-12-04,220 kg,measured\n"
    sentence = str(answer_for(make_site(tmp_path / "a", readings=rows), date(2020, 12, 5)).sentence)
    assert "already below your reserve of 300 kg" in sentence


def test_chances_say_how_many_real_winters_stand_behind_them(tmp_path: Path) -> None:
    """From a record the count of past winters stands beside the chance of an empty store; from twelve monthly
    means it is said, in the terminal and on the page, that there is none.
    """
    from fuelplan.answers.when_to_order import facts, origin
    from fuelplan.cli.order import as_text
    from fuelplan.messages import as_text as shown

    day = date(2020, 11, 20)
    means = "monthly_means = [-2, 0, 4, 9, 13, 17, 19, 18, 14, 9, 3, -1]"
    monthly = [('source = "file"\nfile = "weather.csv"', f'source = "monthly"\n{means}')]
    for name, changes in (("real", []), ("made", monthly)):
        site = answers.open_site(make_site(tmp_path / name, changes=changes))
        found = answers.order(site, answers.weather_for(site, day), day)
        row = " ".join(as_text(found).split("Empty within a year")[1].split("Burned in")[0].split())
        note = next(shown(f.note) for f in facts(found) if shown(f.name) == "Risk of this order")
        behind = "(19 past winters behind it)" if name == "real" else "no past winter behind it"
        assert behind in row and behind.strip("()") in note
        lines = [shown(line) for line in origin(found)]
        assert not any("0 real winters" in line for line in lines)
        assert ("No real winter" in " ".join(lines)) == (name == "made")
