"""Working days: bank holidays of a land and its parts, and lead times counted in them."""

from __future__ import annotations

import subprocess
import sys
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuelplan.units.working_days import FIRST_YEAR, LAST_YEAR, UnknownCountry, WorkingDays, country_code

STEADY = settings(deadline=None, max_examples=60)


@pytest.mark.parametrize(
    ("country", "part", "day", "working"),
    [
        ("DE", None, date(2026, 4, 6), False),  # Easter Monday
        ("DE", None, date(2026, 1, 6), True),  # Epiphany is a holiday in three states alone
        ("DE", "BY", date(2026, 1, 6), False),
        ("DE", "NI", date(2026, 1, 6), True),
        ("AT", None, date(2026, 10, 26), False),  # national day
        ("CH", None, date(2026, 8, 1), False),  # a Saturday, too
        ("GB", "ENG", date(2026, 12, 28), False),  # Boxing Day moved from Saturday
        ("GB", "SCT", date(2026, 11, 30), False),  # St Andrew's Day
        ("US", None, date(2026, 7, 3), False),  # Independence Day observed on Friday
        ("US", None, date(2026, 11, 26), False),  # Thanksgiving
        ("SE", None, date(2026, 6, 6), False),
        (None, None, date(2026, 12, 25), True),  # a Friday in a land without bank holidays
        (None, None, date(2026, 12, 26), False),  # a Saturday
    ],
)
def test_bank_holidays(country: str | None, part: str | None, day: date, working: bool) -> None:
    """Days known from the calendar of each land, moved holidays and holidays of single parts included."""
    assert WorkingDays(country, part).is_working(day) is working


def test_over_christmas_by_hand() -> None:
    """Ordered on Wednesday 23 December 2026 in Bavaria: working days follow on 24, 28, 29, 30, 31 December, 4
    January.
    """
    bavaria = WorkingDays("DE", "BY")
    found = [bavaria.add(date(2026, 12, 23), n) for n in range(8)]
    assert [d.isoformat() for d in found] == [
        "2026-12-23",
        "2026-12-24",
        "2026-12-28",
        "2026-12-29",
        "2026-12-30",
        "2026-12-31",
        "2027-01-04",
        "2027-01-05",
    ]
    assert bavaria.add(date(2026, 12, 23), 8) == date(2027, 1, 7)  # not Epiphany
    assert WorkingDays("DE").add(date(2026, 12, 23), 8) == date(2027, 1, 6)
    assert bavaria.count(date(2026, 12, 23), date(2027, 1, 7)) == 9
    assert bavaria.between(date(2026, 12, 23), date(2026, 12, 29)).astype(str).tolist() == [
        "2026-12-23",
        "2026-12-24",
        "2026-12-28",
        "2026-12-29",
    ]
    assert len(bavaria.between(date(2026, 12, 2), date(2026, 12, 1))) == 0
    assert bavaria.count(date(2026, 12, 2), date(2026, 12, 1)) == 0


def test_an_order_on_a_closed_day_is_read_on_the_next_working_day() -> None:
    """Given on Saturday, one working day later is Tuesday; counted back from Sunday, one earlier is
    Thursday.
    """
    plain = WorkingDays(None)
    assert plain.add(date(2026, 11, 28), 1) == date(2026, 12, 1)
    assert plain.add(date(2026, 11, 28), 0) == date(2026, 11, 30)
    assert plain.add(date(2026, 11, 29), -1) == date(2026, 11, 26)


def test_saturday_deliveries_and_works_holidays() -> None:
    """A supplier open on Saturdays, and one with days of its own."""
    open_saturday = WorkingDays("AT", closed=(6,))
    assert open_saturday.is_working(date(2026, 11, 28)) and not open_saturday.is_working(date(2026, 11, 29))
    shut = tuple(date(2026, 8, 3) + timedelta(days=d) for d in range(5))
    works = WorkingDays("AT", also_closed=shut)
    assert works.add(date(2026, 7, 31), 1) == date(2026, 8, 10)
    assert works.why_closed(date(2026, 8, 3)) == "closed"


def test_why_a_day_is_closed() -> None:
    """A closed day has its reason, a holiday in English where the names exist."""
    bavaria = WorkingDays("DE", "Bayern")
    assert bavaria.why_closed(date(2026, 12, 25)) == "Christmas Day"
    assert bavaria.why_closed(date(2026, 12, 27)) == "Sunday"
    assert bavaria.why_closed(date(2026, 12, 28)) is None


def test_countries_and_parts_by_any_name() -> None:
    """Codes of two and three letters, English names, and parts by code, long code and name."""
    for name in ("DE", "de", "DEU", "Germany", " germany "):
        assert country_code(name) == "DE"
    assert country_code("United Kingdom") == country_code("UK") == "GB"
    assert country_code("Czech Republic") == country_code("Czechia") == "CZ"
    assert country_code("USA") == country_code("United States") == "US"
    for part in ("BY", "by", "DE-BY", "Bayern"):
        assert WorkingDays("DE", part).subdivision == "BY"
    assert WorkingDays("Austria", "Tirol").subdivision == "7"
    assert WorkingDays("US", "Vermont").subdivision == "VT"


@pytest.mark.parametrize(
    ("country", "part", "says"),
    [
        ("Germny", None, "did you mean DE (Germany)"),
        ("Autria", None, "did you mean AT (Austria)"),
        ("XX", None, "write a country by its code"),
        ("", None, "write a country by its code"),
        ("DE", "Bayen", "did you mean BY"),
        ("DE", "ZZ", "(BB, BE, BW, BY"),
        ("SE", "AB", 'leave out "AB"'),
        (None, "BY", "no country is given"),
    ],
)
def test_unknown_places(country: str | None, part: str | None, says: str) -> None:
    """An unknown country or part is refused with close matches or what is known."""
    with pytest.raises(UnknownCountry) as fault:
        WorkingDays(country, part)
    assert says in str(fault.value)


def test_what_cannot_be_counted_is_refused() -> None:
    """No working day at all, a weekday that is none, missing dates, half days and far years."""
    with pytest.raises(ValueError, match="leave at least one open"):
        WorkingDays(None, closed=tuple(range(7)))
    with pytest.raises(ValueError, match="7 is not a weekday"):
        WorkingDays(None, closed=(7,))
    plain = WorkingDays(None)
    with pytest.raises(ValueError, match="NaT"):
        plain.add_array(np.array(["NaT"], dtype="datetime64[D]"), 1)
    with pytest.raises(ValueError, match="whole numbers"):
        plain.add_array(np.array(["2026-01-05"], dtype="datetime64[D]"), 1.5)
    for day in (date(FIRST_YEAR - 1, 6, 1), date(LAST_YEAR + 1, 6, 1)):
        with pytest.raises(ValueError, match="lies outside"):
            plain.is_working(day)


@STEADY
@given(
    st.lists(st.dates(date(2020, 1, 1), date(2035, 12, 31)), min_size=1, max_size=20),
    st.lists(st.integers(-30, 60), min_size=1, max_size=20),
    st.sampled_from([(None, None), ("DE", "BY"), ("GB", "SCT"), ("US", None)]),
)
def test_arrays_are_the_single_days(
    days: list[date], counts: list[int], place: tuple[str | None, str | None]
) -> None:
    """The vectorised count gives, in every cell, what walking day by day gives."""
    calendar = WorkingDays(*place)
    found = calendar.add_array(np.array(days, dtype="datetime64[D]")[:, None], np.array(counts)[None, :])
    assert found.shape == (len(days), len(counts))
    for i, day in enumerate(days):
        n = counts[i % len(counts)]
        step = timedelta(days=1 if n >= 0 else -1)
        walked = day
        while not calendar.is_working(walked):
            walked += step
        left = abs(n)
        while left:
            walked += step
            left -= calendar.is_working(walked)
        assert found[i, i % len(counts)].astype(date) == walked == calendar.add(day, n)


@STEADY
@given(st.dates(date(2020, 1, 1), date(2035, 12, 31)), st.integers(0, 60))
def test_forward_and_back(day: date, n: int) -> None:
    """From a working day, n forward and n back is the same day; and n lie between."""
    calendar = WorkingDays("AT")
    start = calendar.add(day, 0)
    end = calendar.add(start, n)
    assert calendar.add(end, -n) == start
    assert calendar.count(start, end) == n + 1 == len(calendar.between(start, end))


def test_long_lead_times_cross_the_years_with_their_holidays() -> None:
    """500 working days from 2029, over a change of decade, are the 500 walked one by one."""
    calendar = WorkingDays("DE", "BY")
    walked = date(2029, 6, 1)
    for _ in range(500):
        walked = calendar.add(walked, 1)
    assert calendar.add(date(2029, 6, 1), 500) == walked
    assert calendar.add_array(np.empty(0, dtype="datetime64[D]"), 3).size == 0


def test_no_country_loads_no_calendar() -> None:
    """A land without bank holidays costs no import of the holidays library."""
    code = (
        "import sys; from datetime import date; from fuelplan.units.working_days import WorkingDays; "
        "WorkingDays(None).add(date(2026, 1, 5), 3); print('holidays' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
