"""How big a store: the answer from a folder, its promises, and what can never work said in plain words."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fuelplan import answers
from fuelplan.answers import SizeAnswer
from fuelplan.answers.how_big.basis import basis_of
from fuelplan.answers.how_big.store import size_stores, worst_winter
from fuelplan.answers.weather_of_site import known_weather
from fuelplan.cli import main
from fuelplan.cli.size import cellar_asked
from fuelplan.messages import as_text
from tests.site_folders import make_site

SITES = Path(__file__).parents[2] / "demo_sites"
SCHOOL, HOUSE = SITES / "village_school", SITES / "family_house"
DAY = date(2026, 1, 20)


@pytest.fixture(scope="module")
def school() -> SizeAnswer:
    """The answer for the demo school."""
    site = answers.open_for_sizing(SCHOOL)
    return answers.size(site, answers.weather_for(site, DAY), DAY)


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    """Exit status and everything printed by one call."""
    with pytest.raises(SystemExit) as left:
        main(arguments)
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return int(left.value.code or 0), out + err


def changed(tmp_path: Path, *changes: tuple[str, str], of: Path = SCHOOL) -> Path:
    """A copy of a demo folder with pieces of `site.toml` replaced."""
    folder = tmp_path / "changed"
    shutil.copytree(of, folder)
    text = (folder / "site.toml").read_text()
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    (folder / "site.toml").write_text(text)
    return folder


def test_size_holds_the_promised_keys(capsys: pytest.CaptureFixture[str]) -> None:
    """Every key of the contract is there; the store is one of the options; two runs print the same bytes."""
    status, out = run(capsys, "size", str(SCHOOL), "--json")
    found: dict[str, Any] = json.loads(out)
    assert (status, found["schema"]) == (0, 2)
    promised = {"store", "options", "hopper", "buffer_l", "rules_of_thumb", "open_questions", "cautions"}
    assert promised <= set(found)
    keys = {"usable_m3", "room_m3", "usable_kg", "deliveries_per_year", "empty_risk_per_year", "yearly_cost"}
    assert all(keys <= set(option) for option in [found["store"], *found["options"]])
    assert found["store"] in found["options"]
    assert run(capsys, "size", str(SCHOOL), "--json") == (status, out)


def test_text_answers_first(capsys: pytest.CaptureFixture[str]) -> None:
    """The sentence comes before any table, speaks in whole cubic metres, and defers to the trades."""
    status, out = run(capsys, "size", str(SCHOOL))
    assert status == 0
    head = out[: out.index("Why:")]
    assert "serves best" in head
    assert "day hopper" in head
    assert "buffer" in head
    sizes = out[: out.index("Rules of thumb")]
    assert not re.search(r"\d\.\d m³", sizes), "no tenths of a cubic metre"
    for words in (
        "Rules of thumb",
        "Fit for delivery",
        "NOT MET",
        "common practice",
        "licensed trades come first",
    ):
        assert words in out


def test_nothing_says_that_a_store_is_safe_to_enter(
    school: SizeAnswer, capsys: pytest.CaptureFixture[str]
) -> None:
    """Neither document nor text calls a store safe; the entry caution is there."""
    text = json.dumps(school.to_json()) + run(capsys, "size", str(SCHOOL))[1]
    assert "safe to enter" not in text
    assert "can be entered" not in text
    assert {"co-store", "store-entry", "boiler-off-before-filling"} <= {c.id for c in school.cautions}


def test_what_nobody_has_seen_is_asked(tmp_path: Path) -> None:
    """Without [access] every line of the way in is "ask"; what is seen is met or not met by the guidance."""
    site = answers.open_for_sizing(make_site(tmp_path / "a"))
    unseen = answers.size(site, answers.weather_for(site), date(2020, 12, 1))
    by_id = {line.id: line.answer for line in unseen.fit}
    assert {
        by_id[i] for i in ("road-width", "road-height", "fill-outdoors", "earthed", "socket", "ventilation")
    } == {"ask"}
    assert any("Width of the way in" in as_text(q) for q in unseen.open_questions)


def test_the_school_is_judged_by_what_was_seen(school: SizeAnswer) -> None:
    """22 m of hose, a way of 3.5 m: met (COFORD 2008: 30 m, 3 m); a lamp inside: not (common practice)."""
    by_id = {line.id: line.answer for line in school.fit}
    assert by_id["hose"] == by_id["road-width"] == by_id["suction-line"] == "met"
    assert by_id["electrics"] == "not met"
    assert by_id["weight"] == "ask"


def test_nothing_after_the_day_is_read(school: SizeAnswer) -> None:
    """Weather after the day asked changes nothing."""
    site = answers.open_for_sizing(SCHOOL)
    weather = answers.weather_for(site)
    later = weather.record.mean_c.copy()
    assert weather.record.last_day > DAY
    later[weather.record.index_of(DAY) + 1 :] = -30.0
    other = replace(weather, record=replace(weather.record, mean_c=later))
    assert answers.size(site, other, DAY).to_json() == school.to_json()


def test_worst_winter_closes_its_books(school: SizeAnswer) -> None:
    """Level = the evening before + delivered − burned, every day to 1e-6, in the winter that came lowest."""
    site = answers.open_for_sizing(SCHOOL)
    basis = basis_of(site, known_weather(site, answers.weather_for(site, DAY), DAY), DAY, 1)
    winter = worst_winter(basis, size_stores(basis))
    assert winter is not None
    assert school.store is not None
    assert winter.level_kg.min() == pytest.approx(school.store.lowest_kg)
    demand = basis.demand_kg[list(basis.winters.year).index(winter.year)]
    assert winter.use_kg == pytest.approx(demand.sum())
    expected = np.maximum(0.0, winter.level_kg[:-1] + winter.delivered_kg[1:] - demand[1:])
    np.testing.assert_allclose(winter.level_kg[1:], expected, atol=1e-6)
    assert winter.delivered_kg.sum() > 10_000


def test_drawing_shows_the_mass_it_names(school: SizeAnswer) -> None:
    """Area of the fuel in section (shoelace) × length × bulk density is the mass drawn: it is to scale."""
    drawing = school.drawing
    assert drawing is not None
    points = np.array(drawing.across.fuel)
    x, z = points[:, 0], points[:, 1]
    area = 0.5 * abs(float(x @ np.roll(z, -1) - z @ np.roll(x, -1)))
    assert area * drawing.length_m * 650 == pytest.approx(drawing.level_kg, rel=1e-6)
    assert drawing.level_kg < drawing.full_kg


def test_hopper_never_fills_in_quiet_hours(school: SizeAnswer) -> None:
    """Quiet from 22 to 6: no filling begins in those hours, and the drawn hopper only falls in them."""
    hopper = school.hopper
    assert hopper is not None
    assert hopper.quiet == (22.0, 6.0)
    for option in hopper.options:
        assert all(6 <= hour < 22 for hour in option.main_hours)
    hour = (np.arange(len(hopper.week_kg)) * hopper.step_min / 60) % 24
    rising = np.diff(hopper.week_kg) > 1e-9
    quiet = (hour[1:] >= 22) | (hour[1:] < 6)
    assert rising.any()
    assert not (rising & quiet).any()


def test_a_plan_without_readings_can_be_sized(tmp_path: Path) -> None:
    """A folder with neither reading nor delivery gives a size; an order it does not give."""
    folder = make_site(tmp_path / "plan", readings="date,reading,how\n")
    with pytest.raises(answers.SiteFaults):
        answers.open_site(folder)
    site = answers.open_for_sizing(folder)
    found = answers.size(site, answers.weather_for(site), date(2020, 12, 1))
    assert found.store is not None
    assert found.use.doubt_low < 0.95 < 1.05 < found.use.doubt_high  # on paper the doubt is wide
    # 4 t a year stand in the folder
    assert found.use.mean_kg == pytest.approx(4000, rel=0.06)


def test_more_heat_needs_a_larger_store(tmp_path: Path) -> None:
    """Twice the use: the smallest size that works takes up more room, and twice the fuel is burned."""
    smallest, used = [], []
    for tonnes in (4, 8):
        folder = make_site(
            tmp_path / str(tonnes),
            readings="date,reading,how\n",
            changes=[('pellets_a_year = "4 t"', f'pellets_a_year = "{tonnes} t"')],
        )
        site = answers.open_for_sizing(folder)
        found = answers.size(site, answers.weather_for(site), date(2020, 12, 1))
        smallest.append(min(o.room_m3 for o in found.options if o.works))
        used.append(found.use.mean_kg)
    assert smallest[1] > smallest[0]
    assert used[1] == pytest.approx(2 * used[0], rel=0.02)


def test_store_smaller_than_the_smallest_drop_is_said(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The folder's own store can never work: the answer says so and names a size that does."""
    folder = changed(
        tmp_path, ('length = "6.0 m"\nwidth = "3.2 m"', 'length = "1.2 m"\nwidth = "3.2 m"'), of=SCHOOL
    )
    (folder / "readings.csv").write_text("date,reading,how\n")
    (folder / "deliveries.csv").unlink()
    status, out = run(capsys, "size", str(folder))
    assert status == 0
    assert "can never work" in out
    assert "serves best" in out


def test_hopper_smaller_than_one_night_is_said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A hopper of 40 kg under quiet hours: the text says that one night takes more."""
    folder = changed(tmp_path, ('size = "300 kg"', 'size = "40 kg"'))
    status, out = run(capsys, "size", str(folder))
    assert status == 0
    assert "smaller than one night" in out
    assert "too little" in out


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('line = "15 m"', 'line = "40 m"', ("conveying", "40 m", "20 m")),
        ("slope = 40", "slope = 90", ("slope", "90", "40 to 45")),
        ("slope = 40", "slope = 85", ("85", "wall")),
        ('channel = "0.3 m"', 'channel = "0.3 m"\nullage = "3.5 m"', ("3.5 m", "3 m high")),
        ('how = "suction"', 'how = "blower"', ("conveying.how", "suction")),
        ("quiet_to = 6", "quiet_to = 22", ("quiet",)),
        ('size = "300 kg"', 'size = "0 kg"', ("hopper.size", "more than nothing")),
        ('store_fixed = "4000 EUR"', 'store_fixed = "4000 CHF"', ("one money",)),
        ('largest_drop = "15 t"', 'largest_drop = "2 t"', ("largest_drop", "smallest")),
        ('store_per_m3 = "220 EUR/m3"', 'store_per_m3 = "220 EUR/t"', ("store_per_m3",)),
    ],
)
def test_what_cannot_be_is_refused_in_words(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, old: str, new: str, words: tuple[str, ...]
) -> None:
    """Each is a fault of the folder: exit 2, and the sentence says what is wrong and what to write."""
    status, out = run(capsys, "size", str(changed(tmp_path, (old, new))))
    assert status == 2
    for word in words:
        assert word in out, out


def test_a_flat_floor_is_a_shape(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A flat floor is sized like any other, with what stays behind; how fuel is drawn from it is asked."""
    folder = changed(tmp_path, ('shape = "two slopes"', 'shape = "flat floor"'), ("slope = 40\n", ""))
    (folder / "readings.csv").write_text("date,reading,how\n2026-01-07,14 t,measured\n")
    status, out = run(capsys, "size", str(folder), "--json")
    found = json.loads(out)
    assert status == 0
    assert {line["id"]: line["answer"] for line in found["fit"]}["slope"] == "ask"
    assert found["present"]["usable_kg"] < 0.8 * found["drawing"]["full_kg"]


def test_hand_filled_hopper_counts_bags(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Bags of 15 kg: a week's are 7 times a day's; whole bags in the coldest week; lifting cautioned."""
    folder = changed(
        tmp_path,
        ("[supply]", '[hopper]\nsize = "90 kg"\n[conveying]\nhow = "hand"\nbag = "15 kg"\n[supply]'),
        of=HOUSE,
    )
    status, out = run(capsys, "size", str(folder), "--json")
    found = json.loads(out)
    assert status == 0
    hopper = found["hopper"]
    assert hopper["bags_per_week"] == pytest.approx(7 * hopper["bags_per_day"], rel=1e-5)
    week = 7 * hopper["coldest_week_kg_per_day"] / 15
    assert (
        week - 6 <= hopper["bags_per_week_coldest"] <= week + 7
    )  # a hopper's fill more or less at the ends of the week
    assert "heavy-bags" in {c["id"] for c in found["cautions"]}


@pytest.mark.parametrize(
    "text", ["2.1 x 2.6 x 2.2 m", "2.1x2.6x2.2m", "210 cm × 260 cm × 220 cm", "2.1 m x 2.6 m x 2.2 m"]
)
def test_a_cellar_is_read_as_people_write_it(text: str) -> None:
    """Length, width and height with the unit once or three times."""
    room = cellar_asked(text)
    assert (room.length_m, room.width_m, room.height_m) == pytest.approx((2.1, 2.6, 2.2))


def test_a_cellar_is_answered_the_other_way_round(capsys: pytest.CaptureFixture[str]) -> None:
    """A room of 2.1 × 2.6 × 2.2 m for the family house: enough or not, and the floor that serves best."""
    status, out = run(capsys, "size", str(HOUSE), "--cellar", "2.1 x 2.6 x 2.2 m", "--json")
    cellar = json.loads(out)["cellar"]
    assert status == 0
    assert "2.1 x 2.6 x 2.2 m" in cellar["sentence"]["text"]
    assert cellar["enough"] == any(b["works"] for b in cellar["builds"])
    assert max(b["usable_kg"] for b in cellar["builds"] if b["usable_kg"]) < 2.1 * 2.6 * 2.2 * 650
    for wrong in ("2.1 x 2.6", "a x b x c m", "2.1 x 2.6 x 2.2", "2 x 2 x 0 m"):
        assert run(capsys, "size", str(HOUSE), "--cellar", wrong)[0] == 2


def test_rooms_of_the_folder_are_the_options(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """With [sizing] rooms only these are compared."""
    folder = changed(tmp_path, ("[sizing]\n", '[sizing]\nrooms = ["30 m3", "45 m3", "60 m3"]\n'))
    status, out = run(capsys, "size", str(folder), "--json")
    assert status == 0
    assert [o["room_m3"] for o in json.loads(out)["options"]] == pytest.approx([30, 45, 60])


def test_few_winters_are_owned_up_to(tmp_path: Path) -> None:
    """Four years of weather: the generator fills up, and the answer says how few real winters there are."""
    folder = make_site(tmp_path / "young", first=date(2016, 11, 1))
    site = answers.open_for_sizing(folder)
    found = answers.size(site, answers.weather_for(site), date(2020, 12, 1))
    assert found.weather.winters <= 4
    assert any("generator" in as_text(warning) for warning in found.warnings)
