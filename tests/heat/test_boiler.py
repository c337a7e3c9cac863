"""Boilers on the test stand: defaults by age and class, losses over load, the standard's season."""

from __future__ import annotations

from math import log10

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fuelplan.heat import boiler
from fuelplan.heat.boiler import Boiler, BoilerError
from fuelplan.messages import as_text


@pytest.mark.parametrize(
    ("kw", "boiler_class", "pct"),
    [(15, 3, 74.06), (15, 4, 82.35), (15, 5, 88.18), (50, 3, 77.19), (50, 4, 83.40), (50, 5, 88.70)],
)
def test_class_minima(kw: float, boiler_class: int, pct: float) -> None:
    """EN 303-5:2012 minimum efficiency of classes 3, 4 and 5 (class 5: value from memory)."""
    assert boiler.class_minimum_efficiency(kw, boiler_class) * 100 == pytest.approx(pct, abs=0.01)


@pytest.mark.parametrize(
    ("fuel", "kw", "year", "full", "half"),
    [
        ("pellets", 25, 2000, 57 + 6 * log10(25), 58 + 6 * log10(25)),
        ("pellets", 25, 2008, 67 + 6 * log10(25), 68 + 6 * log10(25)),
        ("pellets", 25, 2016, 80 + 2 * log10(25), 77 + 3 * log10(25)),
        ("pellets", 15, 2021, 91 + 2 * log10(15), 88 + 2 * log10(15)),
        ("pellets", 25, 2021, 92 + 2 * log10(25), 89 + 2 * log10(25)),
        ("logs", 18, 2021, 89 + 2 * log10(18), 84 + 2 * log10(18)),
    ],
)
def test_defaults_by_age(fuel: str, kw: float, year: int, full: float, half: float) -> None:
    """French 3CL-DPE 2021 §13.2: full and half load efficiency by age."""
    found = boiler.efficiencies_by_age(kw, fuel, year)
    assert [100 * e for e in found] == pytest.approx([full, half])


def test_season_of_an_old_log_boiler() -> None:
    """French 3CL-DPE 2021, season of a log boiler of 2004 to 2012 of 25 kW: 64.59 % on net energy."""
    old = Boiler.typical(25, "logs", installed=2008)
    assert 100 * boiler.seasonal_efficiency(old) == pytest.approx(64.59, abs=0.01)


@given(st.floats(5, 300), st.integers(1950, 2025))
def test_logs_are_never_better_than_pellets_of_their_year(kw: float, year: int) -> None:
    """A log boiler's default lies at or below the pellet boiler's of its year, and never falls over time."""
    logs, later, pellets = (
        boiler.efficiencies_by_age(kw, fuel, installed)
        for fuel, installed in (("logs", year), ("logs", year + 10), ("pellets", year))
    )
    assert all(a <= b + 1e-12 for a, b in zip(logs, pellets, strict=True))
    assert all(a <= b + 1e-12 for a, b in zip(logs, later, strict=True))


def test_a_class_minimum_is_not_called_a_measurement() -> None:
    """Defaults to 2019 are the least their class allows and more doubtful than later ones; a test figure is a
    measurement, and the log lines below it are said to be inferred.
    """
    least, usual = Boiler.typical(15, installed=2019), Boiler.typical(15, installed=2020)
    own = Boiler.typical(15, installed=2019, full_load_efficiency=0.93, half_load_efficiency=0.92)
    assert "least" in as_text(least.how) and "least" not in as_text(usual.how)
    assert least.doubt >= 0.07 > usual.doubt > own.doubt > 0
    assert not least.measured and not usual.measured and own.measured
    assert "inferred" in as_text(Boiler.typical(25, "logs", installed=2008).how)
    assert "inferred" not in as_text(Boiler.typical(25, "logs", installed=2021).how)


def test_stand_by_loss() -> None:
    """French 3CL-DPE 2021 §13.2: stand-by loss of 0.085 P^0.6 kW."""
    assert boiler.standby_loss_kw(15.0) == pytest.approx(0.085 * 15**0.6)


def test_part_load_and_season_of_the_standard() -> None:
    """French 3CL-DPE 2021 §13.2: losses over load and the season Rg, worked out step by step for 20 kW."""
    p, rn, rint = 20.0, 93.6, 90.6
    made = Boiler(p, "pellets", 2021, rn / 100, rint / 100, standby_kw=0.085 * p**0.6)
    q0 = 0.085 * p**0.6
    q50, q100 = 0.5 * p * (100 - rint) / rint, p * (100 - rn) / rn
    weights = [0.10, 0.25, 0.20, 0.15, 0.10, 0.10, 0.05, 0.025, 0.025, 0.0]
    useful = spent = 0.0
    for i, w in enumerate(weights):
        x = 0.05 + 0.1 * i
        q = 0.15 * q0 + (q50 - 0.15 * q0) * x / 0.5 if x < 0.5 else 2 * q50 - q100 + (q100 - q50) * x / 0.5
        assert float(made.loss_kw(x * p)) == pytest.approx(q)
        useful += w * x * p
        spent += w * (x * p + q)
    assert boiler.seasonal_efficiency(made) == pytest.approx(useful / (spent + 0.45 * q0))


@given(
    st.floats(5, 500),
    st.sampled_from([1990, 2000, 2008, 2016, 2022]),
    st.sampled_from(["pellets", "logs", "chips"]),
)
def test_a_season_is_below_the_laboratory(kw: float, year: int, fuel: str) -> None:
    """Whatever the boiler, the season lies below both test-stand figures and above nothing."""
    made = Boiler.typical(kw, fuel, installed=year)
    season = boiler.seasonal_efficiency(made)
    assert 0.3 < season < max(made.full_load_efficiency, made.half_load_efficiency)


def test_what_a_person_knows_comes_first() -> None:
    """Own figures beat the year, the year beats the class, and the text says which was used."""
    own = Boiler.typical(15, installed=2008, full_load_efficiency=0.91)
    assert (own.full_load_efficiency, own.half_load_efficiency, as_text(own.how)) == (
        0.91,
        0.91,
        "own figures",
    )
    assert "2008" in as_text(Boiler.typical(15, installed=2008, boiler_class=5).how)
    assert Boiler.typical(15, boiler_class=5).full_load_efficiency == pytest.approx(0.8818, abs=1e-4)
    assert "say its year" in as_text(Boiler.typical(15).how)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Boiler(0), "rated output"),
        (lambda: Boiler.typical(-3), "rated output"),
        (lambda: Boiler(15, "coal"), "not a valid fuel"),
        (lambda: Boiler(15, full_load_efficiency=92.0), "write a share"),
        (lambda: Boiler(15, least_share=0.0), "least output"),
        (lambda: Boiler(15, standby_kw=-1.0), "negative"),
        (lambda: Boiler.typical(15, installed=16), "four digits"),
        (lambda: boiler.class_minimum_efficiency(15, 6), "classes 3, 4 and 5"),
    ],
)
def test_boilers_that_cannot_be(make, says: str) -> None:
    """Impossible boilers are refused with what to write instead."""
    with pytest.raises(BoilerError, match=says):
        make()
