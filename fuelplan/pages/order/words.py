"""An order answer in the words of the page: headline, facts, rows. Plain functions without any widget."""

from __future__ import annotations

from datetime import date

from fuelplan.answers.when_to_order import FuelStock, OrderAnswer, ProposedOrder, WholeBill, horizon_end
from fuelplan.answers.when_to_order import headline as headline
from fuelplan.messages import Said
from fuelplan.messages.cautions import undeferred
from fuelplan.pages.parts.pieces import Fact
from fuelplan.pages.texts import common as texts
from fuelplan.units import System, reader, show, show_date, show_money, show_odds, show_range


def amount(kg: float, system: System | None = None) -> str:
    """Return an amount to order or delivered; it has three digits because a supplier is told it."""
    return show(kg, "mass", system, digits=3)


def day_text(day: date | None, answer: OrderAnswer) -> str:
    """Return a date with its year where that is not the year of the answer; beyond the horizon it says so."""
    if day is None:
        return texts.BEYOND.format(day=show_date(horizon_end(answer), year=True))
    return show_date(day, year=day.year != answer.as_of.year)


def window_text(first: date, last: date, answer: OrderAnswer) -> str:
    """Return the days of a delivery window; a month that both share is said once."""
    if first == last:
        return day_text(first, answer)
    same_month = (first.year, first.month) == (last.year, last.month)
    short = same_month and reader().dates == "day first"
    begin = str(first.day) if short else show_date(first)
    return texts.DATE_RANGE.format(first=begin, last=day_text(last, answer))


def facts(answer: OrderAnswer, system: System | None = None) -> list[Fact]:
    """Return the few facts under the answer: the order first, then the stock."""
    found = []
    if answer.order:
        found += _order_facts(answer.order, answer, system)
    stock = next((s for s in answer.stocks if answer.order is None or s.fuel == answer.order.fuel), None)
    if stock:
        found += _stock_facts(stock, answer, system)
    return found


def _order_facts(order: ProposedOrder, answer: OrderAnswer, system: System | None) -> list[Fact]:
    notes = [show_money(order.cost, answer.currency)] if order.cost is not None else []
    if order.fits_kg is not None and order.fits_kg > order.amount_kg + 0.5:
        notes.append(texts.NOTE_MORE_FITS.format(amount=amount(order.fits_kg, system)))
    return [
        Fact(texts.FACT_ORDER_BY, day_text(order.order_by, answer), days_until(order.order_by, answer.as_of)),
        Fact(texts.FACT_DELIVERY, window_text(order.deliver_from, order.deliver_to, answer), texts.NOTE_OFF),
        Fact(texts.FACT_AMOUNT, amount(order.amount_kg, system), "; ".join(notes) or texts.NOTE_FITS),
        Fact(
            texts.FACT_RISK,
            show_odds(order.risk, answer.weather.draws),
            texts.NOTE_RISK.format(
                limit=show_odds(answer.risk_limit).removeprefix("about "),
                winters=answer.weather.behind,
            ),
        ),
    ]


def _stock_facts(stock: FuelStock, answer: OrderAnswer, system: System | None) -> list[Fact]:
    age = stock.reading_age_days
    near = {None: texts.NOTE_NEVER_READ, 0: texts.NOTE_READ_TODAY, 1: texts.NOTE_READ_YESTERDAY}
    read = near[age] if age in near else texts.NOTE_READ.format(days=age)
    found = [Fact(texts.FACT_LEFT, show_range(stock.p10_kg, stock.p90_kg, "mass", system), read)]
    run_out = next((r for r in answer.run_out if r.fuel == stock.fuel), None)
    if run_out:
        note = texts.NOTE_RUN_OUT.format(day=day_text(run_out.p02, answer))
        found.append(Fact(texts.FACT_LASTS, day_text(run_out.p50, answer), note))
    return found


def days_until(day: date, as_of: date) -> str:
    """Return how far a day is away."""
    days = (day - as_of).days
    if days < 0:
        return texts.NOTE_PAST.format(days=-days)
    near = {0: texts.NOTE_TODAY, 1: texts.NOTE_DAY_LEFT}
    return near.get(days, texts.NOTE_DAYS_LEFT.format(days=days))


def date_rows(answer: OrderAnswer, system: System | None = None) -> list[tuple[str, ...]]:
    """Return the orders on their way, the next one and those after it, a row each."""
    rows: list[tuple[str, ...]] = []
    for placed in answer.on_its_way:
        rows.append(
            (
                texts.DATES_ON_ITS_WAY.format(day=day_text(placed.ordered_on, answer)),
                texts.DATES_ORDERED,
                window_text(placed.deliver_from, placed.deliver_to, answer),
                amount(placed.amount_kg, system),
                "",
            )
        )
    following = [*([answer.order] if answer.order else []), *answer.next_orders]
    for i, order in enumerate(following):
        rows.append(
            (
                texts.DATES_NEXT if i == 0 else texts.DATES_LATER,
                day_text(order.order_by, answer),
                window_text(order.deliver_from, order.deliver_to, answer),
                amount(order.amount_kg, system),
                show_odds(order.risk, answer.weather.draws) if i == 0 else texts.DATES_ANEW,
            )
        )
    return rows


def bill_rows(bill: WholeBill, currency: str) -> list[tuple[str, str]]:
    """Return the lines of a bill, its total, and what the same amount costs elsewhere."""
    rows = [(name, show_money(money, currency, whole=False)) for name, money in bill.lines]
    rows.append(
        (texts.BILL_TOTAL.format(supplier=bill.supplier), show_money(bill.total, currency, whole=False))
    )
    others = [
        (texts.BILL_OTHER.format(supplier=name), show_money(money, currency, whole=False))
        for name, money in bill.others
    ]
    return rows + others


def way_rows(answer: OrderAnswer) -> list[tuple[str, ...]]:
    """Return a row for each way of deciding: the plan first, then simple rules."""
    return [
        (
            texts.WAYS.get(way.name, way.name[:1].upper() + way.name[1:]),
            show_money(way.cost, answer.currency),
            show_money(way.more_than_plan, answer.currency) if i else texts.NO_MORE,
            f"{way.orders:.1f}",
            show_odds(way.empty_risk, answer.weather.draws),
        )
        for i, way in enumerate(answer.advice.policies if answer.advice else ())
    ]


def cautions(answer: OrderAnswer) -> list[tuple[Said, Said]]:
    """Return each caution with its reason; what all of them defer to is said once beside them."""
    return [(undeferred(c.text), c.why) for c in answer.cautions]


def origin(answer: OrderAnswer, system: System | None = None) -> list[Said]:
    """Return where the numbers come from, a sentence each."""
    weather = answer.weather
    if weather.first_day and weather.last_day:
        first = texts.ORIGIN_WEATHER.format(
            source=weather.source,
            winters=weather.winters,
            first=show_date(weather.first_day, year=True),
            last=show_date(weather.last_day, year=True),
        )
    else:
        first = texts.ORIGIN_WEATHER_SHORT.format(source=weather.source, winters=weather.winters)
    lines: list[Said] = [first]
    if weather.attribution:
        lines.append(texts.ORIGIN_ATTRIBUTION.format(attribution=weather.attribution))
    if weather.forecast_days:
        lines.append(texts.ORIGIN_FORECAST.format(days=weather.forecast_days))
    winters = texts.ORIGIN_WINTERS.format(winters=weather.winters) if weather.winters else texts.ORIGIN_NONE
    lines.append(f"{texts.ORIGIN_DRAWS.format(draws=f'{weather.draws:,}')} {winters}")
    lines += answer.explanation
    for use in answer.use_kg:
        lines.append(
            texts.USE.format(
                amount=show(use.p50, "mass", system),
                days=use.days,
                range=show_range(use.p10, use.p90, "mass", system),
            )
        )
    return [*lines, texts.ORIGIN_SEED.format(seed=answer.seed)]
