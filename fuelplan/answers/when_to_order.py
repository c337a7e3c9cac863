"""When do I order, and how much? The one way from a folder and its weather to that decision."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.draws import Draws, day_index, joint_draws, learned
from fuelplan.answers.learn_answer import signature_sentence
from fuelplan.answers.order_answer import (
    FuelStock,
    FuelUse,
    LevelBand,
    OrderAnswer,
    PlacedOrder,
    ProposedOrder,
    RunOut,
    WeatherNote,
    YearCost,
)
from fuelplan.answers.order_plan import Plan, make_plan
from fuelplan.answers.order_words import cautions_for_order, sentence_of
from fuelplan.answers.setting import Setting, WhatIf, setting_of
from fuelplan.answers.weather_of_site import SiteWeather, known_weather
from fuelplan.signature import Posterior
from fuelplan.site import Site
from fuelplan.stock import NEVER, first_day_below
from fuelplan.weather import DailyWeather, Winters, possible_winters

Floats = NDArray[np.float64]

HORIZON_DAYS = 550
SHOWN_DAYS = 400
USE_DAYS = (30, 90, 365)


@dataclass(frozen=True)
class _Outlook:
    """What the answer is made from."""

    setting: Setting
    posterior: Posterior
    winters: Winters
    draws: Draws
    plan: Plan
    risk_limit: float


def order(
    site: Site, weather: DailyWeather | SiteWeather, as_of: date, seed: int = 1, what_if: WhatIf | None = None
) -> OrderAnswer:
    """Answer when to order, how much, and at what risk.

    Parameters
    ----------
    site
        A sound folder, from :func:`fuelplan.answers.open_site`.
    weather
        The site's weather, from :func:`fuelplan.answers.weather_for`, or a bare record; nothing in it dated after `as_of`
        is read.
    as_of
        The day asked for; the answer knows what was known on its evening.
    seed
        Same seed, same answer.
    what_if
        Changes to try.

    Raises
    ------
    ValueError
        Where the folder or the weather cannot give an answer, in one sentence.
    """
    what_if = what_if or WhatIf()
    known = known_weather(site, weather, as_of)
    setting = setting_of(site, known.weather, as_of, what_if)
    posterior = learned(setting, known.weather)
    winters = possible_winters(
        known.weather, as_of + timedelta(days=1), HORIZON_DAYS, seed=seed, forecast=known.forecast
    )
    draws = joint_draws(setting, posterior, winters, what_if, np.random.default_rng(seed))
    risk_limit = site.table.risk.per_order if what_if.risk_limit is None else what_if.risk_limit
    plan = make_plan(setting, draws, risk_limit, np.random.default_rng([seed, 1]))
    outlook = _Outlook(setting, posterior, winters, draws, plan, risk_limit)
    return _answer(outlook, known, seed, what_if)


def _answer(outlook: _Outlook, known: SiteWeather, seed: int, what_if: WhatIf) -> OrderAnswer:
    setting, plan, draws = outlook.setting, outlook.plan, outlook.draws
    stock, run_out = _stock(setting, draws), _run_out(outlook)
    proposed = _priced(setting, plan.orders, what_if)
    answer = OrderAnswer(
        site=setting.site.name,
        as_of=setting.as_of,
        seed=seed,
        sentence="",
        stocks=(stock,),
        use_kg=_use(draws),
        run_out=(run_out,),
        decision=plan.decision,
        order=proposed[0] if proposed else None,
        placed=tuple(
            PlacedOrder("pellets", p.ordered_on, p.due_from, p.due_to, p.amount_kg) for p in plan.placed
        ),
        risk_limit=outlook.risk_limit,
        empty_risk_per_year=plan.empty_risk_per_year,
        next_orders=proposed[1:3],
        cost=_cost(setting, draws, proposed, what_if),
        currency=_currency(setting),
        horizon_days=HORIZON_DAYS,
        cautions=cautions_for_order(setting),
        warnings=(*known.notes, *setting.warnings, *outlook.posterior.notes, *_flags(outlook.posterior), *plan.warnings),
        weather=_weather_note(known, outlook),
        explanation=(*setting.explanation, signature_sentence(outlook.posterior, setting)),
        levels=_bands(setting, plan),
    )
    return sentence_of(answer)


def _flags(posterior: Posterior) -> tuple[str, ...]:
    """Return what the record should be asked about, newest first; all of it is shown by `learn`."""
    return tuple(flag.sentence for flag in reversed(posterior.flags) if not flag.used)[:3]


def _stock(setting: Setting, draws: Draws) -> FuelStock:
    p10, p50, p90 = np.quantile(draws.level_kg, (0.1, 0.5, 0.9))
    levels = [o.day for o in setting.observations if not o.is_count]
    read_on = max(levels) if levels else None
    return FuelStock(
        fuel="pellets",
        kg=float(p50),
        p10_kg=float(p10),
        p90_kg=float(p90),
        usable_kg=max(0.0, float(p50) - setting.store.unusable_kg),
        capacity_kg=setting.store.capacity_kg(),
        reserve_kg=setting.site.table.store.reserve_kg,
        reading_age_days=None if read_on is None else (setting.as_of - read_on).days,
        reading_on=read_on,
    )


def _use(draws: Draws) -> tuple[FuelUse, ...]:
    found = []
    for days in USE_DAYS:
        p10, p50, p90 = np.quantile(draws.demand_kg[:, :days].sum(axis=1), (0.1, 0.5, 0.9))
        found.append(FuelUse("pellets", days, float(p10), float(p50), float(p90)))
    return tuple(found)


def _run_out(outlook: _Outlook) -> RunOut:
    """Dates on which the level falls below the reserve, with placed orders but no further ones."""
    day = outlook.plan.breach_without_orders
    as_of = outlook.setting.as_of

    def quantile_day(share: float) -> date | None:
        found = int(np.quantile(day, share, method="inverted_cdf"))
        return None if found >= NEVER else as_of + timedelta(days=found + 1)

    years = np.unique(outlook.draws.year)
    medians = [int(np.quantile(day[outlook.draws.year == y], 0.5, method="inverted_cdf")) for y in years]
    hardest = min(medians)
    return RunOut(
        fuel="pellets",
        p02=quantile_day(0.02),
        p10=quantile_day(0.10),
        p50=quantile_day(0.50),
        p90=quantile_day(0.90),
        coldest_winter=None if hardest >= NEVER else as_of + timedelta(days=hardest + 1),
    )


def _price(setting: Setting, what_if: WhatIf) -> float | None:
    price = setting.site.table.supply.price
    return None if price is None else price[0] * what_if.price_factor


def _currency(setting: Setting) -> str:
    price = setting.site.table.supply.price
    return setting.site.table.currency if price is None else price[1]


def _priced(setting: Setting, orders: tuple[ProposedOrder, ...], what_if: WhatIf) -> tuple[ProposedOrder, ...]:
    from dataclasses import replace

    price = _price(setting, what_if)
    return orders if price is None else tuple(replace(o, cost=o.amount_kg * price) for o in orders)


def _cost(setting: Setting, draws: Draws, proposed: tuple[ProposedOrder, ...], what_if: WhatIf) -> YearCost:
    price = _price(setting, what_if)
    if price is None:
        return YearCost(None, None, None, None, None)
    p10, p50, p90 = np.quantile(draws.demand_kg[:, :365].sum(axis=1), (0.1, 0.5, 0.9)) * price
    return YearCost(price, proposed[0].cost if proposed else None, float(p10), float(p50), float(p90))


def _weather_note(known: SiteWeather, outlook: _Outlook) -> WeatherNote:
    record = known.record
    return WeatherNote(
        source="; ".join(s.name for s in record.sources),
        winters=outlook.winters.winters,
        draws=outlook.draws.count,
        forecast_days=outlook.winters.forecast_days,
        attribution="; ".join(dict.fromkeys(s.attribution for s in record.sources if s.attribution)),
        first_day=record.first_day,
        last_day=record.last_day,
    )


def _bands(setting: Setting, plan: Plan) -> tuple[LevelBand, ...]:
    dates = np.datetime64(setting.as_of, "D") + 1 + np.arange(SHOWN_DAYS)
    bands = []
    for with_plan, paths in ((True, plan.with_orders), (False, plan.without_orders)):
        p02, p10, p50, p90 = np.quantile(paths.level_kg[:, :SHOWN_DAYS], (0.02, 0.1, 0.5, 0.9), axis=0)
        bands.append(LevelBand("pellets", dates, p02, p10, p50, p90, with_plan))
    return tuple(bands)


__all__ = ["WhatIf", "day_index", "first_day_below", "order"]
