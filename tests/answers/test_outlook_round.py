"""From a supplier's folder to what lies ahead of its customers."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from fuelplan import answers
from fuelplan.answers.who_is_due.beliefs import Beliefs
from fuelplan.answers.who_is_due.books import higher_base_c
from fuelplan.answers.who_is_due.deadlines import deliver_by
from fuelplan.answers.who_is_due.outlook import answer_of
from fuelplan.messages import codes, render, strict
from fuelplan.records.round import Deliveries, Readings, working_days_of
from fuelplan.units import Reader
from tests.round_example import AS_OF, FOLDER, ROUND, WEATHER, believed


def ask(
    round_: answers.Round, weather: answers.RoundWeather, day: date, seed: int, *, days: int
) -> answers.OutlookAnswer:
    """The answer with a quarter of the usual draws."""
    return answer_of(answers.believe(round_, weather, day, seed, days, draws=250))


def test_the_same_question_gives_the_same_bytes() -> None:
    """Seed, day and folder settle the answer; another seed is another set of draws."""
    a, b = (answers.outlook(ROUND, WEATHER, AS_OF, 1, days=14).to_json() for _ in range(2))
    assert json.dumps(a) == json.dumps(b)
    assert json.dumps(a["weekly_t"]) != json.dumps(
        ask(ROUND, WEATHER, AS_OF, 2, days=14).to_json()["weekly_t"]
    )


def test_nothing_dated_later_is_read() -> None:
    """Deliveries, readings and weather after the day asked change nothing, and are there to be read."""
    day = date(2025, 11, 20)
    after = ROUND.deliveries.day > np.datetime64(day)
    seen_after = ROUND.readings.day > np.datetime64(day)
    assert after.sum() > 20 and seen_after.sum() > 5
    cut = replace(ROUND, deliveries=ROUND.deliveries.rows(~after), readings=ROUND.readings.rows(~seen_after))
    weather = answers.RoundWeather(
        tuple(replace(w, record=w.record.until(day), weather=w.weather.until(day)) for w in WEATHER.areas)
    )
    whole = ask(ROUND, WEATHER, day, 1, days=28).to_json()
    assert whole == ask(cut, weather, day, 1, days=28).to_json()


def test_a_house_higher_up_heats_as_one_with_a_higher_base() -> None:
    """100 m above the weather record is 0.65 K colder; no height is taken for the record's."""
    rows = ROUND.customers
    heights = np.array([a.table.place.elevation_m for a in ROUND.areas])
    above = replace(ROUND, customers=replace(rows, elevation_m=heights[rows.area] + 100))
    assert np.allclose(higher_base_c(above), 0.65)
    unknown = replace(ROUND, customers=replace(rows, elevation_m=np.full(len(rows), np.nan)))
    assert (higher_base_c(unknown) == 0).all()


def test_a_stated_year_is_what_the_prior_burns_in_a_mean_year() -> None:
    """Slope times a mean year's degree-days plus the daily part is the stated use, hot water its share."""
    beliefs = believed()
    p, many = beliefs.many.priors, beliefs.many
    c = ROUND.customers
    stated = np.isfinite(c.kg_per_year)
    assert 80 < stated.sum() < 120
    days = many.sums.days.shape[1] // 2
    first = days - days // 365 * 365
    table = many.sums.degree_days
    for i in np.flatnonzero(stated)[::7]:
        base = many.sums.index_of_base(p.base_c[i])
        dd = table[c.area[i], base, -1] - table[c.area[i], base, 2 * first]
        year = p.slope[i] * dd / (days // 365 * 365) * 365.25 + 365.25 * p.day_kg[i]
        assert year == pytest.approx(c.kg_per_year[i], rel=0.02)
        share = c.hot_water_share[i] if np.isfinite(c.hot_water_share[i]) else 0.15
        assert 365.25 * p.day_kg[i] / c.kg_per_year[i] == pytest.approx(share)


def test_a_customer_without_figures_borrows_from_the_others() -> None:
    """Where everybody else burns twice as much, a newcomer without any figure is believed to do so, too."""
    c = ROUND.customers
    new = np.flatnonzero(~np.isfinite(c.kg_per_year) & ~np.isin(np.arange(len(c)), ROUND.deliveries.customer))
    assert len(new) == 1
    doubled = replace(
        ROUND,
        customers=replace(c, kg_per_year=2 * c.kg_per_year, store_kg=c.store_kg),
        deliveries=replace(
            ROUND.deliveries,
            kg=np.minimum(2 * ROUND.deliveries.kg, 0.98 * c.store_kg[ROUND.deliveries.customer]),
        ),
        readings=ROUND.readings.rows(np.zeros(len(ROUND.readings), bool)),
    )
    plain, twice = believed(), answers.believe(doubled, WEATHER, AS_OF, 1, 30, draws=250)
    before, after = (b.many.priors.slope[new[0]] for b in (plain, twice))
    assert 1.3 < after / before < 2.2
    typical = np.median(plain.many.priors.slope / c.store_kg)
    assert before / c.store_kg[new[0]] == pytest.approx(typical, rel=0.5)
    width = plain.many.priors.slope_sd[new[0]] / before
    assert width > 0.2, "what is borrowed is doubtful"


def test_a_stated_hot_water_share_outranks_what_others_burn() -> None:
    """Who states how much of the fuel is hot water, but not the year, borrows the year alone: it is split as
    stated, whatever share the others have.
    """
    c = ROUND.customers
    new = np.flatnonzero(~np.isfinite(c.kg_per_year) & ~np.isin(np.arange(len(c)), ROUND.deliveries.customer))
    plain = believed().many.priors
    for share in (0.0, 0.9):
        said = c.hot_water_share.copy()
        said[new[0]] = share
        stated = replace(ROUND, customers=replace(c, hot_water_share=said))
        found = answers.believe(stated, WEATHER, AS_OF, 1, 30, draws=250).many.priors
        assert found.slope_sd[new[0]] > 0
        if share:
            assert found.slope[new[0]] < 0.3 * plain.slope[new[0]]
            assert found.day_kg[new[0]] > 2 * plain.day_kg[new[0]]
        else:
            assert found.day_kg[new[0]] == 0.0 and found.slope[new[0]] > plain.slope[new[0]]


def test_who_says_already_empty_is_empty() -> None:
    """A customer who orders because the store is empty has nothing left, and is overdue."""
    answer = ask(ROUND, WEATHER, AS_OF, 1, days=30)
    row = next(ROUND.customers.number_of[o.customer] for o in ROUND.orders if o.already_empty)
    assert answer.customers.level_kg[row, 2] < 0.03 * answer.customers.store_kg[row]
    assert answer.customers.overdue[row] and answer.customers.ordered[row]
    assert not answer.customers.to_ring[row]
    plain = replace(ROUND, orders=tuple(replace(o, already_empty=False) for o in ROUND.orders))
    told = ask(plain, WEATHER, AS_OF, 1, days=30)
    assert told.customers.level_kg[row, 2] > 0.05 * told.customers.store_kg[row]


def test_days_to_deliver_by_are_days_on_which_tankers_drive() -> None:
    """A limit on a Sunday means the Friday before; one who takes fuel on Tuesdays only, the Tuesday before;
    where no such day is left, the first one, and late.
    """
    c = ROUND.customers
    weekdays = c.weekdays.copy()
    weekdays[:5] = [1, 1, 1, 1, 1, 1, 1]
    weekdays[1] = weekdays[2] = [0, 1, 0, 0, 0, 0, 0]
    round_ = replace(ROUND, customers=replace(c, weekdays=weekdays.astype(bool)))
    last = np.full(len(c), -1)
    last[:5] = [10, 10, 3, 0, 8]  # as of Thursday 15 January 2026: Sundays 25, 25 and 18, passed, Friday 23
    by, overdue = deliver_by(round_, AS_OF, 90, last)
    said = ["2026-01-23", "2026-01-20", "2026-01-20", "2026-01-16", "2026-01-23"]
    assert by[:5].astype(str).tolist() == said
    assert overdue[:5].tolist() == [False, False, True, True, False]
    assert np.isnat(by[5:]).all() and not overdue[5:].any()


def test_bank_holidays_and_closed_days_count() -> None:
    """6 January is a bank holiday in Austria; a works holiday is closed; both may be switched off."""
    assert not working_days_of(ROUND.table).is_working(date(2026, 1, 6))
    rules = ROUND.table.rules.model_copy(update={"bank_holidays": False, "closed": (date(2026, 1, 7),)})
    other = replace(ROUND, table=ROUND.table.model_copy(update={"rules": rules}))
    assert working_days_of(other.table).is_working(date(2026, 1, 6))
    assert not working_days_of(other.table).is_working(date(2026, 1, 7))
    assert not working_days_of(other.table).is_working(date(2026, 1, 10))


def test_lists_hold_whom_they_should() -> None:
    """Top-up customers must be served within the planning days, on-request ones without an order are rung,
    no one with a credit stop is in a list, and promises that come too late are named.
    """
    answer = ask(ROUND, WEATHER, AS_OF, 1, days=60)
    t = answer.customers
    limit = np.datetime64("2026-01-29")  # ten working days ahead
    assert len(answer.due) > 5 and len(answer.to_ring) > 2
    for i in answer.due:
        assert t.top_up[i] and t.deliver_by[i] <= limit and not t.credit_stop[i]
    missing = set(np.flatnonzero(t.top_up & (t.deliver_by <= limit))) - set(answer.due)
    assert not missing
    for i in answer.to_ring:
        assert not t.top_up[i] and not t.ordered[i] and not t.credit_stop[i]
    days = t.deliver_by[list(answer.due)]
    assert (np.diff(days[~t.overdue[list(answer.due)]].astype(int)) >= 0).all()
    stopped = [o.customer for o in ROUND.orders if o.credit_stop]
    assert stopped and all(t.credit_stop[ROUND.customers.number_of[c]] for c in stopped)
    for late in answer.late_promises:
        assert late.promised_to > late.deliver_by and late.customer not in stopped
    assert answer.late_promises
    said = {code for sentence in answer.sentences for code in codes(sentence)}
    assert {"outlook.late_promises", "outlook.credit_stop"} <= said


def test_run_out_dates_and_weeks_are_in_order() -> None:
    """Quantiles do not cross, nothing stands beyond the horizon, and weeks follow from tomorrow on."""
    answer = ask(ROUND, WEATHER, AS_OF, 1, days=45)
    far = np.datetime64("2100-01-01")
    run_out = np.where(np.isnat(answer.customers.run_out), far, answer.customers.run_out)
    assert (np.diff(run_out, axis=1).astype(int) >= 0).all()
    assert np.isnat(answer.customers.run_out[:, 3]).any() and not np.isnat(answer.customers.run_out).all()
    known = answer.customers.run_out[~np.isnat(answer.customers.run_out)]
    assert known.max() <= np.datetime64(AS_OF + timedelta(days=45)) and known.min() >= np.datetime64(AS_OF)
    weeks = answer.weekly_t
    assert weeks.first_day[0] == AS_OF + timedelta(days=1) and len(weeks.first_day) == 6
    assert all(a <= b <= c for a, b, c in zip(weeks.p10, weeks.p50, weeks.p90, strict=True))


def test_areas_share_their_winters() -> None:
    """Row p of every area is the same year, and the areas' cold days fall together."""
    beliefs = believed()
    years = [w.year for w in beliefs.winters]
    assert len(years) == 3 and all(np.array_equal(years[0], y) for y in years)
    a, b = (w.mean_c[:25] - w.mean_c[:25].mean(axis=0) for w in beliefs.winters[:2])
    assert np.corrcoef(a.ravel(), b.ravel())[0, 1] > 0.8
    generated = [w.mean_c[years[0] == 0] for w in beliefs.winters[:2]]
    c, d = (g - g.mean(axis=0) for g in generated)
    assert np.corrcoef(c.ravel(), d.ravel())[0, 1] > 0.6


def test_draws_do_not_depend_on_how_many_are_asked_for_at_once() -> None:
    """A customer's draws are the same in any slice; no two customers have the same ones."""
    beliefs = believed()
    whole = beliefs.draw(slice(0, 120))
    part = beliefs.draw(slice(30, 41))
    assert np.array_equal(whole.level_kg[30:41], part.level_kg)
    assert np.array_equal(whole.shake[30:41], part.shake)
    assert len({row.tobytes() for row in whole.shake / beliefs.summary.day_noise[:, None]}) == 120


def test_an_outlook_is_said_in_messages() -> None:
    """Nothing looks at the words before a face does, and readers in the United States get their units."""
    with strict():
        answer = answers.outlook(ROUND, WEATHER, AS_OF, 1, days=21)
        said = [*answer.sentences, *answer.notes, *(d.said for d in answer.readings_doubted)]
        metric = " ".join(render(one) for one in said)
        us = " ".join(render(one, Reader("us", "month first")) for one in said)
    assert "from 16 January (" in metric and " kg were expected" in metric and " t " in metric
    assert "from January 16 (" in us and " lb were expected" in us and "short tons" in us
    assert not re.search(r"\d (kg|t)\b", us)


def test_days_out_of_reach_are_refused() -> None:
    """No horizon of nothing or of three years."""
    for days in (0, 800):
        with pytest.raises(ValueError, match="1 to 730"):
            answers.believe(ROUND, WEATHER, AS_OF, 1, days)


def test_a_round_without_books_has_an_outlook_all_the_same() -> None:
    """With neither deliveries nor readings nor figures every customer gets a wide one, and it is said."""
    c = ROUND.customers
    none: slice = slice(0, 0)
    bare = replace(
        ROUND,
        customers=replace(c, kg_per_year=np.full(len(c), np.nan)),
        deliveries=Deliveries(*(v[none] for v in vars(ROUND.deliveries).values())),
        readings=Readings(*(v[none] for v in vars(ROUND.readings).values())),
        orders=(),
    )
    answer = ask(bare, WEATHER, AS_OF, 1, days=60)
    width = (answer.customers.level_kg[:, 2] - answer.customers.level_kg[:, 0]) / c.store_kg
    assert (width > 0.5).all() and np.isnat(answer.customers.told_day).all()
    (unknown,) = (s for s in answer.sentences if s.code == "outlook.nothing_known")
    assert unknown.value("n") == 120
    assert isinstance(believed(), Beliefs)


def test_twelve_monthly_means_will_do(tmp_path: Path) -> None:
    """Without any record the books are learned against usual weather, and it is said that no real winters
    stand behind the dates; one weather serves all where no area is named.
    """
    shutil.copytree(FOLDER, tmp_path / "round")
    file = tmp_path / "round" / "round.toml"
    text = file.read_text(encoding="utf-8")
    begin, end = text.index("[weather]"), text.index("[[depot]]")
    monthly = "[-2, 0, 4, 8, 13, 16, 18, 17, 13, 8, 3, -1]"
    weather = f'[weather]\nsource = "monthly"\nmonthly_means = {monthly}\n\n'
    file.write_text(text[:begin] + weather + text[end:], encoding="utf-8")
    table = pd.read_csv(tmp_path / "round" / "customers.csv", dtype=str, keep_default_na=False)
    table.drop(columns="area").to_csv(tmp_path / "round" / "customers.csv", index=False)
    round_ = answers.open_round(tmp_path / "round")
    beliefs = answers.believe(round_, answers.weather_for_round(round_), AS_OF, 1, 30)
    assert len(beliefs.winters) == 1 and beliefs.winters[0].winters == 0
    assert (AS_OF - beliefs.many.first_day).days >= 1095
    assert any("no real winters" in render(note).lower() for note in beliefs.notes)
    said = believed()
    a, b = (x.draw(slice(0, 120)).level_kg.mean(axis=1) for x in (beliefs, said))
    assert np.corrcoef(a, b)[0, 1] > 0.95


def test_areas_with_records_of_different_length(tmp_path: Path) -> None:
    """Where one area's record begins later, paths are as many as that area has, and the note says that the
    cold spells are not the same ones.
    """
    shutil.copytree(FOLDER, tmp_path / "round")
    file = tmp_path / "round" / "weather_north.csv"
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    file.write_text("".join([lines[0], *lines[1 + 365 * 8 :]]), encoding="utf-8")
    round_ = answers.open_round(tmp_path / "round")
    beliefs = answers.believe(round_, answers.weather_for_round(round_), AS_OF, 1, 30)
    counts = {len(w.year) for w in beliefs.winters}
    assert len(counts) == 1 and counts.pop() < 250
    assert "outlook.years_differ" in [note.code for note in beliefs.notes]
    assert beliefs.draws % beliefs.tables.winters == 0
