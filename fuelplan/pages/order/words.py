"""An order answer in the words of the page: headline, facts, rows. Plain functions without any widget."""

from __future__ import annotations

from datetime import date

from fuelplan.answers.when_to_order import FuelStock, OrderAnswer, ProposedOrder, WholeBill, horizon_end
from fuelplan.answers.when_to_order import headline as headline
from fuelplan.messages import (
    Chance,
    Day,
    Days,
    Listed,
    Message,
    Money,
    Number,
    Quantity,
    Range,
    Said,
    Value,
    paragraph,
)
from fuelplan.messages.cautions import undeferred
from fuelplan.pages.parts.pieces import Fact, Shown
from fuelplan.pages.texts import common
from fuelplan.pages.texts import order as texts


def amount(kg: float) -> Quantity:
    """Return an amount to order or delivered; it has three digits because a supplier is told it."""
    return Quantity(kg, "mass", digits=3)


def day_of(day: date | None, answer: OrderAnswer) -> Day | Message:
    """Return a date with its year where that is not the year of the answer; beyond the horizon it says so."""
    if day is None:
        return texts.beyond(horizon_end(answer))
    return Day.relative(day, answer.as_of)


def window_of(first: date, last: date, answer: OrderAnswer) -> Days:
    """Return the days of a delivery window."""
    return Days(first, last, year=last.year != answer.as_of.year)


def facts(answer: OrderAnswer) -> list[Fact]:
    """Return the few facts under the answer: the order first, then the stock."""
    found = []
    if answer.order:
        found += _order_facts(answer.order, answer)
    stock = next((s for s in answer.stocks if answer.order is None or s.fuel == answer.order.fuel), None)
    if stock:
        found += _stock_facts(stock, answer)
    return found


def _order_facts(order: ProposedOrder, answer: OrderAnswer) -> list[Fact]:
    notes: list[Value] = [Money(order.cost, answer.currency)] if order.cost is not None else []
    if order.fits_kg is not None and order.fits_kg > order.amount_kg + 0.5:
        notes.append(texts.note_more_fits(amount(order.fits_kg)))
    return [
        Fact(texts.FACT_ORDER_BY, day_of(order.order_by, answer), days_until(order.order_by, answer.as_of)),
        Fact(texts.FACT_DELIVERY, window_of(order.deliver_from, order.deliver_to, answer), texts.NOTE_OFF),
        Fact(
            texts.FACT_AMOUNT,
            amount(order.amount_kg),
            Listed(tuple(notes), "; ") if notes else texts.NOTE_FITS,
        ),
        Fact(
            texts.FACT_RISK,
            Chance(order.risk, answer.weather.draws),
            texts.note_risk(Chance(answer.risk_limit, chosen=True), answer.weather.behind),
        ),
    ]


def _stock_facts(stock: FuelStock, answer: OrderAnswer) -> list[Fact]:
    age = stock.reading_age_days
    near = {None: texts.NOTE_NEVER_READ, 0: texts.NOTE_READ_TODAY, 1: texts.NOTE_READ_YESTERDAY}
    read = near[age] if age is None or age in near else texts.note_read(age)
    found = [Fact(texts.FACT_LEFT, Range(stock.p10_kg, stock.p90_kg, "mass"), read)]
    run_out = next((r for r in answer.run_out if r.fuel == stock.fuel), None)
    if run_out:
        note = texts.note_run_out(day_of(run_out.p02, answer))
        found.append(Fact(texts.FACT_LASTS, day_of(run_out.p50, answer), note))
    return found


def days_until(day: date, as_of: date) -> Message:
    """Return how far a day is away."""
    days = (day - as_of).days
    if days < 0:
        return texts.note_past(-days)
    near = {0: texts.NOTE_TODAY, 1: texts.NOTE_DAY_LEFT}
    return near[days] if days in near else texts.note_days_left(days)


def date_rows(answer: OrderAnswer) -> list[tuple[Shown, ...]]:
    """Return the orders on their way, the next one and those after it, a row each."""
    rows: list[tuple[Shown, ...]] = []
    for placed in answer.on_its_way:
        rows.append(
            (
                texts.dates_on_its_way(Day.relative(placed.ordered_on, answer.as_of)),
                texts.DATES_ORDERED,
                window_of(placed.deliver_from, placed.deliver_to, answer),
                amount(placed.amount_kg),
                "",
            )
        )
    following = [*([answer.order] if answer.order else []), *answer.next_orders]
    for i, order in enumerate(following):
        rows.append(
            (
                texts.DATES_NEXT if i == 0 else texts.DATES_LATER,
                day_of(order.order_by, answer),
                window_of(order.deliver_from, order.deliver_to, answer),
                amount(order.amount_kg),
                Chance(order.risk, answer.weather.draws) if i == 0 else texts.DATES_ANEW,
            )
        )
    return rows


def bill_rows(bill: WholeBill, currency: str) -> list[tuple[Shown, Shown]]:
    """Return the lines of a bill, its total, and what the same amount costs elsewhere."""

    def row(name: Said, money: float) -> tuple[Shown, Shown]:
        return name, Money(money, currency, whole=False)

    return [
        *(row(name, money) for name, money in bill.lines),
        row(texts.bill_total(bill.supplier), bill.total),
        *(row(texts.bill_other(name), money) for name, money in bill.others),
    ]


def way_rows(answer: OrderAnswer) -> list[tuple[Shown, ...]]:
    """Return a row for each way of deciding: the plan first, then simple rules."""
    return [
        (
            texts.WAYS.get(way.name, way.name[:1].upper() + way.name[1:]),
            Money(way.cost, answer.currency),
            Money(way.more_than_plan, answer.currency) if i else "–",
            Number(way.orders, 1),
            Chance(way.empty_risk, answer.weather.draws),
        )
        for i, way in enumerate(answer.advice.policies if answer.advice else ())
    ]


def cautions(answer: OrderAnswer) -> list[tuple[Said, Said]]:
    """Return each caution with its reason; what all of them defer to is said once beside them."""
    return [(undeferred(c.text), c.why) for c in answer.cautions]


def origin(answer: OrderAnswer) -> list[Said]:
    """Return where the numbers come from, a sentence each."""
    weather = answer.weather
    if weather.first_day and weather.last_day:
        first = texts.origin_weather(weather.source, weather.winters, weather.first_day, weather.last_day)
    else:
        first = texts.origin_weather_short(weather.source, weather.winters)
    lines: list[Said] = [first]
    if weather.attribution:
        lines.append(common.origin_attribution(weather.attribution))
    if weather.forecast_days:
        lines.append(texts.origin_forecast(weather.forecast_days))
    winters = texts.origin_winters(weather.winters) if weather.winters else texts.ORIGIN_NONE
    lines.append(paragraph([texts.origin_draws(weather.draws), winters]))
    lines += answer.explanation
    for use in answer.use_kg:
        lines.append(texts.burned(use.days, Quantity(use.p50, "mass"), Range(use.p10, use.p90, "mass")))
    return [*lines, texts.origin_seed(answer.seed)]
