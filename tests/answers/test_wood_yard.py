"""The wood yard as a farmer lives it: what is counted, brought and dried belongs to a stack."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from fuelplan import answers
from fuelplan.answers import OrderAnswer
from fuelplan.messages import as_text

FARM = Path(__file__).parents[2] / "demo_sites" / "farmhouse"
DAY = date(2026, 1, 15)
COUNT = "date,reading,how,fuel,note,stack,water\n"
CAME = "fuel,delivered_on,delivered,stack,wood,water\n"
PELLETS = "pellets,2025-09-17,2.48 t,,,\n"
BARN_DRY = 'since = 2025-12-20\nwater = "17 % wet"'


def farm(folder: Path, counts: str = "", came: str = "", barn: str = "", row: str = "") -> Path:
    """The farmhouse: 12 m³ of beech at the south wall since 2024, 10 m³ behind the barn since 2025."""
    shutil.copytree(FARM, folder)
    kept = [line for line in (FARM / "readings.csv").read_text().splitlines()[1:] if ",logs," not in line]
    pellets = "".join(f"{','.join([*line.split(',')[:4], '', '', ''])}\n" for line in kept)
    (folder / "readings.csv").write_text(COUNT + pellets + counts)
    if came:
        (folder / "deliveries.csv").write_text(CAME + came)
    site = (folder / "site.toml").read_text()
    if barn:
        site = site.replace("since = 2025-03-10", barn)
    (folder / "site.toml").write_text(site + row)
    return folder


def ask(folder: Path, as_of: date = DAY) -> OrderAnswer:
    """The answer for a folder."""
    site = answers.open_site(folder)
    return answers.order(site, answers.weather_for(site, as_of), as_of)


def lying(answer: OrderAnswer) -> dict[tuple[str, str], float]:
    """Stacked metres by stack and wood."""
    assert answer.logs is not None
    found: dict[tuple[str, str], float] = {}
    for s in answer.logs.yard:
        found[s.stack, s.wood] = found.get((s.stack, s.wood), 0.0) + s.stacked_m3
    return found


def said_of(answer: OrderAnswer, stack: str) -> str:
    """What the answer says of the only lot of a stack."""
    assert answer.logs is not None
    both = zip(answer.logs.yard, answer.logs.stacks, strict=True)
    (said,) = [as_text(said) for lot, said in both if lot.stack == stack]
    return said


def dry_m3(answer: OrderAnswer) -> float:
    """The dry logs that are counted on."""
    assert answer.stacked_stock is not None and answer.stacked_stock.stacked_m3 is not None
    return answer.stacked_stock.stacked_m3


def test_a_count_belongs_to_its_stack_and_the_stock_is_the_sum(tmp_path: Path) -> None:
    """8 m³ at the south wall, counted five days ago, beside the barn's 10 m³: 17 to 18 m³ lie there; with a
    barn that is dry, too, all of them are counted on.
    """
    count = "2026-01-10,8 stacked m3,measured,logs,,south wall,\n"
    found = ask(farm(tmp_path / "a", count, barn=BARN_DRY))
    assert 7.0 < lying(found)["south wall", "beech"] + lying(found)["behind the barn", "beech"] - 10 < 8.0
    assert dry_m3(found) == pytest.approx(17.6, abs=0.4)
    assert "17" in as_text(found.sentence) or "18" in as_text(found.sentence)


def test_an_empty_stack_leaves_the_other(tmp_path: Path) -> None:
    """"Empty" of one wall says nothing of the barn: its dry logs are left, and the order date stays late."""
    both = ask(farm(tmp_path / "a", "2026-01-10,8 stacked m3,,logs,,south wall,\n", barn=BARN_DRY))
    one = ask(farm(tmp_path / "b", "2026-01-10,empty,,logs,,south wall,\n", barn=BARN_DRY))
    assert 9.0 < dry_m3(one) < 10.0
    assert "No dry logs" not in as_text(one.sentence)
    assert one.order is not None and both.order is not None
    assert (both.order.order_by - one.order.order_by).days < 14


def test_a_count_of_two_stacks_asks_which(tmp_path: Path) -> None:
    """A count that names no stack is never the whole: it is set aside and asked about, by order and check."""
    folder = farm(tmp_path / "a", "2026-01-10,8 stacked m3,measured,logs,on the south wall,,\n")
    found = ask(folder)
    assert sum(lying(found).values()) > 14
    assert ["Say which stack was counted" in as_text(s.reason) for s in found.set_aside] == [True]
    warned = answers.check_plausible(answers.open_site(folder))
    assert [(f.file, f.key) for f in warned] == [("readings.csv", "stack")]
    assert '"south wall", "behind the barn"' in warned[0].message
    with pytest.raises(answers.SiteFaults, match="which stack was counted"):
        answers.record_reading(folder, date(2026, 1, 12), "7 stacked m3", fuel="logs")
    answers.record_reading(folder, date(2026, 1, 12), "7 stacked m3", fuel="logs", stack="South Wall")
    assert 6.0 < lying(ask(folder))["south wall", "beech"] <= 7.0


def test_the_only_stack_needs_no_name(tmp_path: Path) -> None:
    """With one stack a count and a delivery are its own."""
    folder = farm(tmp_path / "a", "2026-01-14,5 stacked m3,,logs,,,\n")
    site = (folder / "site.toml").read_text()
    barn = site[site.index('[[log_pile]]\nname = "behind') : site.index("[pellets]")]
    (folder / "site.toml").write_text(site.replace(barn, ""))
    assert 4.5 < lying(ask(folder))["south wall", "beech"] < 5.0
    assert answers.check_plausible(answers.open_site(folder)) == []


def test_a_stack_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    """A name that the settings do not know is a fault that lists those they do; pellets have no stack."""
    folder = farm(
        tmp_path / "a",
        "2026-01-10,8 stacked m3,,logs,,sout wall,\n2026-01-11,40 %,by eye,pellets,,south wall,\n",
    )
    faults = answers.check_folder(folder)[1]
    assert [(f.line, f.key) for f in faults] == [(9, "stack"), (10, "stack")]
    assert '"south wall", "behind the barn"' in faults[0].message and "only logs" in faults[1].message


def test_what_is_brought_goes_to_its_stack_as_it_is(tmp_path: Path) -> None:
    """6 m³ of green spruce come to the barn where nothing was ever counted: they lie there, as spruce, wet;
    as much dry beech counts at once.
    """
    before = ask(farm(tmp_path / "a", came=PELLETS))
    logs = f"{PELLETS}logs,2025-12-01,6 stacked m3,behind the barn,"
    green = ask(farm(tmp_path / "b", came=f"{logs}spruce,green\n"))
    dry = ask(farm(tmp_path / "c", came=f"{logs},18 % wet\n"))
    assert lying(green)["behind the barn", "spruce"] == pytest.approx(6.0)
    assert dry_m3(green) == pytest.approx(dry_m3(before))
    assert dry_m3(dry) == pytest.approx(dry_m3(before) + 6.0, abs=0.3)
    assert [s.set_aside for s in (green, dry)] == [(), ()]


def test_what_is_brought_counts_after_a_count_and_is_in_a_later_one(tmp_path: Path) -> None:
    """Brought after the count it comes on top; a later count of 9 m³ says what is there, green and dry."""
    came = "logs,2026-01-12,2 stacked m3,south wall,spruce,green\n"
    after = ask(farm(tmp_path / "a", "2026-01-10,8 stacked m3,,logs,,south wall,\n", came))
    assert 9.0 < sum(m3 for (s, _), m3 in lying(after).items() if s == "south wall") < 10.0
    later = ask(farm(tmp_path / "b", "2026-01-14,9 stacked m3,,logs,,south wall,\n", came))
    assert lying(later)["south wall", "spruce"] == pytest.approx(2.0)
    assert 6.5 < lying(later)["south wall", "beech"] < 7.0


def test_how_wet_it_came_is_asked(tmp_path: Path) -> None:
    """A delivery without its water is counted as green, and both faces ask for it; a new one is refused."""
    folder = farm(tmp_path / "a", came="logs,2025-12-01,6 stacked m3,behind the barn,beech,\n")
    found = ask(folder)
    assert found.stacked_stock is not None and found.stacked_stock.waiting_m3 is not None
    assert found.stacked_stock.waiting_m3 == pytest.approx(16.0, abs=0.1)
    assert [f.key for f in answers.check_plausible(answers.open_site(folder))] == ["water"]
    assert any("how wet were the logs of 1 December 2025" in as_text(w) for w in found.warnings)
    with pytest.raises(answers.SiteFaults, match="how wet"):
        answers.record_delivery(
            folder, date(2026, 1, 12), "2 stacked m3", fuel="logs", stack="south wall", wood="beech"
        )


def test_stacks_shrink_without_a_count(tmp_path: Path) -> None:
    """Nobody counts: what the loading of this winter burns is missing from the stack that is dry."""
    early, late = (ask(farm(tmp_path / str(d)), d) for d in (date(2025, 12, 1), DAY))
    first, second = (lying(answer)["south wall", "beech"] for answer in (early, late))
    assert 1.0 < first - second < 4.0
    assert first < 12
    told = [text for text in map(as_text, late.warnings) if text.startswith("Nobody has counted")]
    assert len(told) == 1 and "south wall: of 12 m³" in told[0]


def test_nothing_is_burned_before_the_books_begin(tmp_path: Path) -> None:
    """A folder begun on 10 January with a stack split years ago: what lies there was not burned by reckoning
    in the years before.
    """
    folder = farm(tmp_path / "a", barn="since = 2022-03-10")
    (folder / "readings.csv").write_text(f"{COUNT}2026-01-10,40 %,by eye,pellets,,,\n")
    (folder / "deliveries.csv").unlink()
    assert lying(ask(folder))["behind the barn", "beech"] > 9.0


def test_the_oldest_dry_stack_is_burned_first(tmp_path: Path) -> None:
    """Green wood is never taken from a stack by reckoning."""
    found = ask(farm(tmp_path / "a"))
    assert lying(found)["behind the barn", "beech"] == 10.0
    assert lying(found)["south wall", "beech"] < 10.0


def test_only_what_is_dry_at_the_slow_pace_is_counted(tmp_path: Path) -> None:
    """The barn's beech is below 20 % by the usual drying and above it if it dried slowly: it is told apart
    and not counted; both stacks green: nothing is counted this year.
    """
    found = ask(farm(tmp_path / "a", "2026-01-10,8 stacked m3,,logs,,south wall,\n"))
    assert found.logs is not None and found.stacked_stock is not None
    barn = next(s for s in found.logs.yard if s.stack == "behind the barn")
    assert barn.water < 0.20 < barn.water_if_slow and not barn.is_dry
    assert "measure before you burn them" in said_of(found, "behind the barn")
    assert dry_m3(found) == pytest.approx(7.6, abs=0.3)
    assert found.stacked_stock.waiting_m3 == pytest.approx(10.0)
    green = farm(tmp_path / "b", barn="since = 2025-10-01")
    text = (green / "site.toml").read_text().replace("since = 2024-02-20", "since = 2025-10-01")
    (green / "site.toml").write_text(text)
    wet = ask(green)
    burned = next(u for u in wet.use_kg if u.fuel == "logs" and u.days == 90)
    assert dry_m3(wet) == 0.0 and burned.p90 == 0.0


def test_a_measured_stack_is_dry_from_then_on(tmp_path: Path) -> None:
    """17 % in a freshly split face: the barn's logs count from that day."""
    count = "2026-01-10,10 stacked m3,measured,logs,,behind the barn,17 % wet\n"
    found = ask(farm(tmp_path / "a", count))
    assert found.logs is not None
    assert next(s for s in found.logs.yard if s.stack == "behind the barn").is_dry


def test_wet_logs_are_told_by_what_they_do(tmp_path: Path) -> None:
    """Green beech: tar, chimney fire, smoke and the law come first; never a mere loss of energy."""
    found = ask(farm(tmp_path / "a", barn="since = 2025-11-10"))
    assert found.logs is not None
    said = said_of(found, "behind the barn")
    first = "do not burn them yet. Wet logs leave tar that can end in a chimney fire"
    assert said.startswith(f"behind the barn, 10 m³ of stacked beech: {first}")
    assert "smoke" in said and "the law forbids it" in said and "less" not in said
    assert "wet-wood" in {c.id for c in found.cautions}


def test_a_count_older_than_the_settings_is_named(tmp_path: Path) -> None:
    """The amount of a stack in the settings is newer than a count before its day, and holds it."""
    counts = "2024-01-10,3 stacked m3,,logs,,south wall,\n"
    folder = farm(tmp_path / "a")
    text = (folder / "readings.csv").read_text()
    (folder / "readings.csv").write_text(text.replace(COUNT, COUNT + counts))
    found = ask(folder)
    (aside,) = found.set_aside
    assert "of the stack in the settings, that of 20 February 2024" in as_text(aside.reason)
