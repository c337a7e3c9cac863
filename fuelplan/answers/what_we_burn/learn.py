"""What does this building really burn? The heat signature learned from deliveries and readings."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.as_json import SCHEMA, plain
from fuelplan.answers.beliefs import burned_by
from fuelplan.answers.draws import learned
from fuelplan.answers.one_fire import setting_of
from fuelplan.answers.setting import Setting
from fuelplan.answers.weather_of_site import SiteWeather, if_invented, known_weather
from fuelplan.answers.what_we_burn.held_against import (
    FoundChange,
    Metered,
    against_folder,
    found_changes,
    metered,
)
from fuelplan.learning import (
    Efficiency,
    Estimate,
    FoundFilling,
    Interval,
    Learned,
    Posterior,
    SignatureError,
    seasonal_efficiency,
    textbook_line,
)
from fuelplan.learning import Textbook as Textbook
from fuelplan.learning import TextbookPoint as TextbookPoint
from fuelplan.messages import Limits, Message, Quantity, Range, Said, in_document, message
from fuelplan.ordering.prices import HistoryError, HistoryTooShort, own_season
from fuelplan.ordering.prices import PriceSeason as PriceSeason
from fuelplan.records.site import Site, history_of
from fuelplan.weather import DailyWeather, Warming, record_warming, usual_year

Floats = NDArray[np.float64]

DRAWS = 4000
HEAT_METER = "heat"  # the name that readings of a heat meter carry


@dataclass(frozen=True)
class FoundFlag:
    """Something in the record that was set aside, widened or should be looked at."""

    what: str
    first_day: date
    last_day: date
    used: bool
    sentence: Message


@dataclass(frozen=True)
class SignatureLine:
    """Use against outdoor temperature by the learned signature, shape (points,): for the chart. [degC,
    kg/day]
    """

    outdoor_c: Floats
    p10: Floats
    p50: Floats
    p90: Floats


@dataclass(frozen=True)
class LearnAnswer:
    """The answer to "what do we really burn?"."""

    site: str
    as_of: date
    seed: int
    sentences: tuple[Message, ...]
    kg_per_degree_day: Estimate
    kg_per_day: Estimate
    base_c: Estimate
    year_kg: Estimate
    paper_year_kg: float
    metered: Metered | None
    readings: int
    cv_rmse: float | None
    nmbe: float | None
    efficiency: Estimate | None
    filling: FoundFilling | None
    intervals: tuple[Interval, ...]
    changes: tuple[FoundChange, ...]
    flags: tuple[FoundFlag, ...]
    notes: tuple[Said, ...]
    textbook: Textbook | None
    textbook_said: Message
    warming: Warming | None
    warming_said: Message | None
    price_season: PriceSeason | None
    price_season_said: tuple[Message, ...]
    line: SignatureLine = field(repr=False)

    def to_json(self) -> dict[str, Any]:
        """Return the published JSON document (schema 1)."""
        document: dict[str, Any] = {"schema": SCHEMA, **plain(self)}
        for name in ("kg_per_degree_day", "kg_per_day", "base_c", "year_kg"):
            found = document.pop(name)
            document |= {name: found["p50"], f"{name}_p10": found["p10"], f"{name}_p90": found["p90"]}
        document.pop("line")
        for name in ("textbook", "warming"):
            said = getattr(self, f"{name}_said")
            document.pop(f"{name}_said")
            document[f"{name}_sentence"] = None if said is None else in_document(said)
        document.pop("price_season_said")
        document["price_season_sentences"] = [in_document(said) for said in self.price_season_said]
        return document


def learn(site: Site, weather: DailyWeather | SiteWeather, as_of: date, seed: int = 1) -> LearnAnswer:
    """Learn the heat signature of a site from what its folder holds up to a day.

    Parameters
    ----------
    site, weather, as_of, seed
        As for :func:`fuelplan.answers.order`.
    """
    known = known_weather(site, weather, as_of)
    setting = setting_of(site, known.weather, as_of)
    logs_loaded = None if setting.log_side is None else setting.log_side.loaded_said()
    posterior = learned(setting, known.weather)
    drawn = posterior.draw(DRAWS, np.random.default_rng(seed))
    year_c = setting.need.heating_c(usual_year(known.weather).mean_c[:365])
    year = _estimate(drawn.use_kg(year_c))
    degree, daily, base = map(_estimate, (drawn.kg_per_degree_day, drawn.kg_per_day, drawn.base_c))
    prior = setting.prior
    paper = float((prior.kg_per_degree_day * np.maximum(0, prior.base_c - year_c) + prior.kg_per_day).sum())
    outdoor = np.arange(-15.0, 26.0)
    heated = setting.need.heating_c(outdoor)
    use = (
        drawn.kg_per_degree_day[:, None] * np.maximum(0, drawn.base_c[:, None] - heated)
        + drawn.kg_per_day[:, None]
    )
    p10, p50, p90 = np.quantile(use, (0.1, 0.5, 0.9), axis=0)
    fit = posterior.fit
    became_heat = _metered_efficiency(setting, posterior)
    cold = np.maximum(0, base.p50 - year_c)
    changes = found_changes(posterior.changes, year, float(cold.sum()), len(year_c))
    read = metered(posterior, year)
    held = Learned(year, degree, daily, base, posterior.changes)
    textbook, textbook_said = textbook_line(fit, *burned_by(setting, known.weather), year_c, held)
    warming = record_warming(known.for_winters)
    season, season_said, season_notes = _price_season(site)
    return LearnAnswer(
        site=site.name,
        as_of=as_of,
        seed=seed,
        sentences=(
            *if_invented(known.invented),
            _sentence(posterior, year, setting.fuel.word, setting.log_side is not None),
            *(text for c in changes for text in (c.sentence, c.in_a_year)),
            *(() if posterior.readings < 2 else against_folder(year, paper, read)),
            *(() if became_heat is None else (became_heat.sentence,)),
            *(() if posterior.filling is None else (posterior.filling.sentence,)),
            *(() if logs_loaded is None else (logs_loaded,)),
        ),
        kg_per_degree_day=degree,
        kg_per_day=daily,
        base_c=base,
        year_kg=year,
        paper_year_kg=paper,
        metered=read,
        readings=posterior.readings,
        cv_rmse=_known(None if fit is None else fit.cv_rmse),
        nmbe=_known(None if fit is None else fit.nmbe),
        efficiency=None
        if became_heat is None
        else Estimate(became_heat.share_p10, became_heat.share, became_heat.share_p90),
        filling=posterior.filling,
        intervals=() if fit is None else fit.intervals,
        changes=changes,
        flags=tuple(FoundFlag(f.what, f.first_day, f.last_day, f.used, f.sentence) for f in posterior.flags),
        notes=(*known.notes, *setting.warnings, *posterior.notes, *season_notes),
        textbook=textbook,
        textbook_said=textbook_said,
        warming=warming,
        warming_said=None if warming is None else _warming_said(warming),
        price_season=season,
        price_season_said=season_said,
        line=SignatureLine(outdoor, p10, p50, p90),
    )


def _price_season(site: Site) -> tuple[PriceSeason | None, tuple[Message, ...], tuple[Said, ...]]:
    """Return the season of the folder's prices and what to say of it, or why it shows none."""
    try:
        history = history_of(site)
        return (None, (), ()) if history is None else (*own_season(history), ())
    except (HistoryError, HistoryTooShort) as error:
        return None, (), (str(error),)  # what is burned can be learned without it


def _warming_said(found: Warming) -> Message:
    """Return how fast the weather record warmed, and what past winters are corrected for."""
    return message(
        "learn.warming",
        "The place's own warming over {years} years: {own} per decade, give or take {error} (standard "
        "error that allows for warm years in a row: Newey–West, {lags} lags; {plain} without). Past winters "
        "are corrected for {used} per decade: the place's own warming, adjusted towards its region's.",
        years=found.years,
        own=_per_decade(found.k_per_decade),
        error=_per_decade(found.se_k_per_decade),
        lags=found.lags,
        plain=_per_decade(found.plain_se_k_per_decade),
        used=_per_decade(found.used_k_per_decade),
    )


def _per_decade(kelvin: float) -> Quantity:
    return Quantity(kelvin, "temperature_difference", unit="K", decimals=2)


def _metered_efficiency(setting: Setting, posterior: Posterior) -> Efficiency | None:
    """Return the seasonal efficiency where heat is metered on days of fuel readings; None elsewhere."""
    heat = [
        (r.day, r.reading.value)
        for r in setting.site.read_by(setting.as_of)
        if r.fuel == setting.fuel.name and r.reading is not None and r.reading.measure == "kwh"
    ]
    if posterior.fit is None or len(heat) < 2:
        return None
    fuel = [i for i in posterior.fit.intervals if i.meter != HEAT_METER]
    try:
        return seasonal_efficiency(fuel, heat, setting.material.kwh_per_kg)
    except SignatureError:
        return None  # no stretch has both fuel and heat


def _estimate(values: Floats) -> Estimate:
    p10, p50, p90 = np.quantile(values, (0.1, 0.5, 0.9))
    return Estimate(float(p10), float(p50), float(p90))


def _known(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else float(value)


def _sentence(posterior: Posterior, year: Estimate, fuel: Message, logs: bool) -> Message:
    """Return what a usual year takes, in a plain sentence."""
    takes = Range(year.p10, year.p90, "mass")
    if posterior.readings < 2:
        return message(
            "learn.too_few_readings",
            "Too few readings to learn from: {count}. By the figures in the folder a usual year takes "
            "{range}. Read the store twice, a few weeks of heating apart.",
            count=posterior.readings,
            range=takes,
        )
    if logs:
        return message(
            "learn.usual_year_without_logs",
            "Without logs a usual year would take {range} of {fuel}, as your readings tell.",
            range=takes,
            fuel=fuel,
        )
    return message(
        "learn.usual_year",
        "A usual year takes {range} of {fuel}, as your readings tell.",
        range=takes,
        fuel=fuel,
    )


def signature_said(posterior: Posterior, setting: Setting, seed: int) -> Message:
    """Return how the learned signature stands behind an order, with the figures that :func:`learn` gives."""
    if posterior.readings < 2:
        return message(
            "learn.by_folder_alone",
            "No readings to learn from yet, so the folder's own figures stand behind the use, with a wide "
            "range.",
        )
    q, prior = posterior.quantile(n=DRAWS, seed=seed), setting.prior
    degree, base_c, day = q["kg_per_degree_day"], q["base_c"][1], q["kg_per_day"]
    return message(
        "learn.behind_order",
        "Learned from {count} readings: {degree} for each degree-day below about {base}, and {day} a day for "
        "hot water and standby; the folder's figures alone would give {paper_degree} and {paper_day}.",
        count=posterior.readings,
        degree=Limits.written(degree[0], degree[2], "kg/K/day", ".2f"),
        base=Quantity(base_c, "temperature"),
        day=Limits.written(day[0], day[2], "kg", ".1f"),
        paper_degree=Quantity.written(prior.kg_per_degree_day, "kg/K/day", ".2f"),
        paper_day=Quantity.written(prior.kg_per_day, "kg", ".1f"),
    )
