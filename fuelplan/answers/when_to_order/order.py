"""When do I order, and how much? The one way from a folder and its weather to that decision."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.beliefs import Belief, believed
from fuelplan.answers.draws import StockDraws, joint_draws
from fuelplan.answers.money import SitePrices, money_of, nominal_money
from fuelplan.answers.one_fire import setting_of
from fuelplan.answers.setting import Setting, WhatIf, with_extra_lead
from fuelplan.answers.weather_of_site import SiteWeather, attributions, known_weather, sources_said
from fuelplan.answers.what_we_burn.learn import signature_said
from fuelplan.answers.when_to_order.answer import (
    Advice,
    Alternative,
    FuelUse,
    OrderAnswer,
    PlacedOrder,
    PolicyYear,
    ProposedOrder,
    RunOut,
    WeatherNote,
    YearCost,
)
from fuelplan.answers.when_to_order.asking import questions_of
from fuelplan.answers.when_to_order.bills import heat_prices, whole_bill
from fuelplan.answers.when_to_order.entries import set_aside
from fuelplan.answers.when_to_order.level import Level, measure_again
from fuelplan.answers.when_to_order.logs import log_advice, log_run_out, log_stock, log_use
from fuelplan.answers.when_to_order.on_order import OnOrder, on_order
from fuelplan.answers.when_to_order.questions import READ_FIRST
from fuelplan.answers.when_to_order.upkeep import upkeep_of_site
from fuelplan.answers.when_to_order.words import cautions_for_order, sentence_of
from fuelplan.learning import Posterior
from fuelplan.messages import Message, Said, as_message, paragraph
from fuelplan.ordering import (
    NEVER,
    Arrivals,
    BestOrder,
    OrderRules,
    PlannedOrder,
    SafePlan,
    Year,
    best_order,
    had_they_come,
    make_plan,
    orders_to_show,
)
from fuelplan.records.site import Site
from fuelplan.weather import DailyWeather, Winters, possible_winters

Floats = NDArray[np.float64]

HORIZON_DAYS = 550
USE_DAYS = (30, 90, 365)


@dataclass(frozen=True)
class _Outlook:
    """What the answer is made from."""

    setting: Setting
    belief: Belief
    winters: Winters
    draws: StockDraws
    placed: tuple[OnOrder, ...]
    plan: SafePlan
    risk_limit: float
    coming: Arrivals
    money: SitePrices | None
    best: BestOrder | None
    empty_risk_per_year: float

    @property
    def posterior(self) -> Posterior:
        """What the dates follow."""
        return self.belief.posterior

    @property
    def level(self) -> Level:
        """What is in store."""
        return Level(self.setting, self.belief, self.draws)


@dataclass(frozen=True)
class Prepared:
    """What an answer needs before anything is tried: kept, so that a what-if costs only what it changes."""

    site: Site
    as_of: date
    seed: int
    known: SiteWeather
    setting: Setting
    belief: Belief
    winters: Winters


def prepare(site: Site, weather: DailyWeather | SiteWeather, as_of: date, seed: int = 1) -> Prepared:
    """Return what every what-if of a site on a day shares; the parameters are those of :func:`order`."""
    known = known_weather(site, weather, as_of)
    setting = setting_of(site, known.weather, as_of)
    winters = possible_winters(
        known.for_winters,
        as_of + timedelta(days=1),
        HORIZON_DAYS,
        seed=seed,
        forecast=known.forecast,
        steady=True,
    )
    return Prepared(site, as_of, seed, known, setting, believed(setting, known.weather), winters)


def order(
    site: Site, weather: DailyWeather | SiteWeather, as_of: date, seed: int = 1, what_if: WhatIf | None = None
) -> OrderAnswer:
    """Answer when to order, how much, and at what risk.

    Parameters
    ----------
    site
        A sound folder, from :func:`fuelplan.answers.open_site`.
    weather
        The site's weather, from :func:`fuelplan.answers.weather_for`, or a bare record; nothing in it dated
        after `as_of` is read.
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
    return answer_prepared(prepare(site, weather, as_of, seed), what_if)


def answer_prepared(prepared: Prepared, what_if: WhatIf | None = None, *, whole: bool = True) -> OrderAnswer:
    """Answer from what was prepared.

    Not `whole` leaves out what nobody compares with today's plan: the year under simple rules, the orders
    after the first, the levels day by day, and the upkeep.
    """
    what_if, seed, known = what_if or WhatIf(), prepared.seed, prepared.known
    setting = with_extra_lead(prepared.setting, what_if.extra_lead_days)
    belief, winters, placed = prepared.belief, prepared.winters, on_order(setting)
    rng = np.random.default_rng(seed)
    draws = joint_draws(setting, belief.posterior, winters, what_if, rng, belief.fuller)
    # An order that should have come may lie in store unbooked: room is kept for it.
    open_orders = [one.order for one in placed]
    to_fit = replace(draws, fuller_by_kg=draws.fuller_by_kg + sum(o.kg for o in open_orders if o.overdue))
    rules = rules_of(setting, what_if.risk_limit)
    coming = arrivals_of(setting, draws, known.weather.mean_c, np.random.default_rng([seed, 2]))

    safe = make_plan(rules, to_fit, open_orders, coming, only_first=True)
    safe = replace(safe, warnings=(*had_they_come(rules, draws, open_orders, coming, safe), *safe.warnings))
    money = money_of(setting, what_if)
    # Without a price nothing is said of money, but a year decided anew each week still tells how often
    # the store runs empty.
    counted = nominal_money(setting) if money is None else money
    best = best_order(
        rules,
        to_fit,
        coming,
        [p.arrival for p in safe.placed if p.arrival is not None],
        counted.market,
        fill_month=setting.seasons.month(6),
    )
    shown = orders_to_show(rules, coming, safe, best if money is not None else None)
    plan = replace(safe, orders=shown[:1])
    if whole or best is None:  # the year follows the orders that are shown
        year = make_plan(rules, to_fit, open_orders, coming, given=shown)
        plan = replace(year, decision=safe.decision, warnings=safe.warnings)
    empty = plan.empty_risk_per_year if best is None else best.empty_risk_per_year
    outlook = _Outlook(
        setting,
        belief,
        winters,
        draws,
        placed,
        plan,
        rules.risk_limit,
        coming,
        money,
        None if money is None else best,
        empty,
    )
    return _answer(outlook, known, seed, whole)


def rules_of(setting: Setting, risk_limit: float | None = None) -> OrderRules:
    """Return what store, supplier and person ask of an order; `risk_limit` replaces the folder's."""
    table = setting.site.table
    return OrderRules(
        store=setting.store,
        reserve_kg=table.store.reserve_kg,
        smallest_drop_kg=table.supply.smallest_drop_kg,
        step_kg=table.supply.step_kg,
        pause_h=table.supply.delivery_pause_h,
        risk_limit=table.risk.per_order if risk_limit is None else risk_limit,
        look_again_days=table.risk.look_again_days,
    )


def arrivals_of(setting: Setting, draws: StockDraws, record_c: Floats, rng: np.random.Generator) -> Arrivals:
    """Return when orders placed on each day arrive; `record_c` is the weather known, shape (days,). [degC]"""
    return Arrivals(
        setting.as_of, setting.lead_time, setting.calendar, draws.mean_c, record_c, draws.uniform(rng)
    )


def _answer(outlook: _Outlook, known: SiteWeather, seed: int, whole: bool) -> OrderAnswer:
    setting, plan, draws, best = outlook.setting, outlook.plan, outlook.draws, outlook.best
    questions = questions_of(setting, outlook.belief, outlook.placed, outlook.level.unknown())
    # Nobody can say when and how much before the store is read.
    guess = any(q.code == READ_FIRST and not q.about for q in questions)
    first = None if guess or not plan.orders else _with_cost(outlook, plan.orders[0])
    answer = OrderAnswer(
        site=setting.site.name,
        as_of=setting.as_of,
        seed=seed,
        sentence=paragraph([]),
        stocks=(outlook.level.stock(), *log_stock(setting, draws)),
        use_kg=(*_use(setting, draws), *log_use(setting, draws)),
        run_out=(_run_out(outlook), *log_run_out(setting, draws)),
        decision=plan.decision if best is None or best.decision is None else best.decision,
        order=first,
        placed=tuple(
            PlacedOrder(setting.fuel.name, p.ordered_on, p.due_from, p.due_to, p.amount_kg, p.arrival is None)
            for p in plan.placed
        ),
        risk_limit=outlook.risk_limit,
        empty_risk_per_year=outlook.empty_risk_per_year,
        next_orders=_later_orders(outlook) if whole and not guess else (),
        cost=_cost(outlook, first),
        currency=(setting.site.table.currency or "EUR") if outlook.money is None else outlook.money.currency,
        horizon_days=HORIZON_DAYS,
        cautions=cautions_for_order(setting),
        warnings=_warnings(outlook, known),
        weather=_weather_note(known, outlook),
        advice=None if guess else _advice(outlook, first, whole),
        logs=log_advice(setting, draws),
        upkeep=upkeep_of_site(setting, draws, plan) if whole else (),
        heat_prices=heat_prices(setting),
        explanation=(
            *setting.explanation,
            *outlook.belief.said,
            signature_said(outlook.posterior, setting, seed),
            *map(as_message, outlook.winters.notes),
            *(() if outlook.money is None else outlook.money.said),
        ),
        questions=questions,
        set_aside=set_aside(setting, outlook.posterior),
        levels=outlook.level.bands(plan) if whole else (),
    )
    return sentence_of(answer)


def _later_orders(outlook: _Outlook) -> tuple[ProposedOrder, ...]:
    """Return the two orders after the first, as the year follows them."""
    return tuple(_undecided(_with_cost(outlook, o)) for o in outlook.plan.orders[1:3])


def _undecided(order: ProposedOrder) -> ProposedOrder:
    """Return a later order without a risk: it is decided anew when its time comes."""
    return replace(order, risk=float("nan"))


def _with_cost(outlook: _Outlook, order: PlannedOrder) -> ProposedOrder:
    """Return an order with its fuel, and its whole bill where there is one."""
    money = outlook.money
    bill = None if money is None else whole_bill(money, outlook.setting, order.amount_kg)
    return ProposedOrder(
        fuel=outlook.setting.fuel.name,
        order_by=order.order_by,
        deliver_from=order.deliver_from,
        deliver_to=order.deliver_to,
        amount_kg=order.amount_kg,
        risk=order.risk,
        cost=None if bill is None else bill.total,
        fits_kg=order.fits_kg,
    )


def _advice(outlook: _Outlook, first: ProposedOrder | None, whole: bool) -> Advice | None:
    best, money = outlook.best, outlook.money
    if best is None or money is None:
        return None
    bill = None if first is None else whole_bill(money, outlook.setting, first.amount_kg)
    alternatives = tuple(
        Alternative(a.amount_kg, a.cost, a.risk, a.is_open, a.why_not, a.bill) for a in best.alternatives
    )
    years = best.years if whole else best.years[:1]
    return Advice(best.reason, best.saves, alternatives, tuple(map(_policy_year, years)), bill)


def _policy_year(year: Year) -> PolicyYear:
    return PolicyYear(
        name=year.name,
        cost=year.cost,
        cost_p10=year.cost_p10,
        cost_p90=year.cost_p90,
        more_than_plan=year.more_than_optimum,
        orders=year.orders,
        empty_risk=year.empty_risk,
        late_per_order=year.late_per_order,
        is_open=year.is_open,
        said=year.said,
    )


def _warnings(outlook: _Outlook, known: SiteWeather) -> tuple[Message, ...]:
    best = None if outlook.level.unknown() else outlook.best
    said: tuple[Said, ...] = (
        *known.notes,
        *outlook.setting.warnings,
        *outlook.posterior.notes,
        *_flags(outlook.posterior),
        *(() if outlook.level.unknown() else outlook.plan.warnings),
        *(() if best is None else best.warnings),
        *measure_again(outlook.level),
    )
    return tuple(dict.fromkeys(map(as_message, said)))


def _flags(posterior: Posterior) -> tuple[Message, ...]:
    """Return what the record should be asked about, newest first; all of it is shown by `learn`."""
    return tuple(flag.sentence for flag in reversed(posterior.flags) if not flag.used)[:3]


def _use(setting: Setting, draws: StockDraws) -> tuple[FuelUse, ...]:
    found = []
    for days in USE_DAYS:
        p10, p50, p90 = np.quantile(draws.demand_kg[:, :days].sum(axis=1), (0.1, 0.5, 0.9))
        found.append(FuelUse(setting.fuel.name, days, float(p10), float(p50), float(p90)))
    return tuple(found)


def _run_out(outlook: _Outlook) -> RunOut:
    """Dates on which the level falls below the reserve, with placed orders but no further ones."""
    day = outlook.plan.breach_without_orders
    as_of = outlook.setting.as_of

    def quantile_day(share: float) -> date | None:
        found = int(np.quantile(day, share, method="inverted_cdf"))
        return None if found >= NEVER else as_of + timedelta(days=found + 1)

    years = np.unique(outlook.draws.year[outlook.draws.year > 0])  # 0 marks a generated winter
    medians = [int(np.quantile(day[outlook.draws.year == y], 0.5, method="inverted_cdf")) for y in years]
    hardest = min(medians, default=NEVER)
    return RunOut(
        fuel=outlook.setting.fuel.name,
        p02=quantile_day(0.02),
        p10=quantile_day(0.10),
        p50=quantile_day(0.50),
        p90=quantile_day(0.90),
        coldest_winter=None if hardest >= NEVER else as_of + timedelta(days=hardest + 1),
    )


def _cost(outlook: _Outlook, first: ProposedOrder | None) -> YearCost:
    money = outlook.money
    if money is None:
        return YearCost(None, None, None, None, None)
    per_kg = money.market.costs.usual.reference_per_kg
    p10, p50, p90 = np.quantile(outlook.draws.demand_kg[:, :365].sum(axis=1), (0.1, 0.5, 0.9)) * per_kg
    return YearCost(per_kg, None if first is None else first.cost, float(p10), float(p50), float(p90))


def _weather_note(known: SiteWeather, outlook: _Outlook) -> WeatherNote:
    record = known.record
    return WeatherNote(
        source=sources_said(record),
        winters=outlook.winters.winters,
        draws=outlook.draws.count,
        forecast_days=outlook.winters.forecast_days,
        attribution=attributions(record),
        first_day=record.first_day,
        last_day=record.last_day,
        invented=known.invented,
    )
