"""The facts of an order answer as rows: a name, a value and a note, for every face that lists them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from fuelplan.answers.when_to_order.answer import FuelStock, OrderAnswer, ProposedOrder, Tonight
from fuelplan.answers.when_to_order.headline import horizon_end
from fuelplan.answers.when_to_order.logs import LEAST_M3
from fuelplan.heat import fuels
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
    TimeOfDay,
    Value,
    counted_message,
    message,
)

ORDER_BY = message("order.row_order_by", "Order by")
DELIVERY = message("order.row_delivery", "Delivery between")
AMOUNT = message("order.row_amount", "Amount")
RISK = message("order.row_risk", "Risk of this order")
LEFT = message("order.row_left", "In store")
LASTS = message("order.row_lasts", "Lasts until")
EMPTY = message("order.row_empty", "Empty within a year")
YEAR_COST = message("order.row_year_cost", "Fuel for a year")


@dataclass(frozen=True)
class Row:
    """One fact: what it is, its value, and a few words beside it; "" where there are none."""

    name: Message
    value: Value
    note: Value | str = ""


@dataclass(frozen=True)
class DateRow:
    """An order that was placed or is to be placed; `said` is its row in one phrase.

    `order_by` says so where it was placed, and `risk` where it is decided anew or, "", is not asked for.
    """

    name: Message
    order_by: Day | Message
    delivery: Days
    amount: Quantity
    risk: Chance | Message | str
    said: Message


def amount(kg: float) -> Quantity:
    """Return an amount to order or delivered; it has three digits because a supplier is told it. [kg]"""
    return Quantity(kg, "mass", digits=3)


def day_of(day: date | None, answer: OrderAnswer) -> Day | Message:
    """Return a date with its year where that is not the year of the answer; beyond the horizon it says so."""
    if day is None:
        return message("order.row_beyond", "after {day}", day=Day(horizon_end(answer), year=True))
    return Day.relative(day, answer.as_of)


def window_of(first: date, last: date, answer: OrderAnswer) -> Days:
    """Return the days of a delivery window."""
    return Days(first, last, year=last.year != answer.as_of.year)


def facts(answer: OrderAnswer) -> tuple[Row, ...]:
    """Return the few facts under the answer: the order first, then the stock."""
    found: list[Row] = []
    if answer.order:
        found += _of_order(answer.order, answer)
    stock = next((s for s in answer.stocks if answer.order is None or s.fuel == answer.order.fuel), None)
    if stock:
        found += _of_stock(stock, answer)
    return tuple(found)


def _of_order(order: ProposedOrder, answer: OrderAnswer) -> list[Row]:
    off = message("order.row_boiler_off", "boiler off before filling")
    note_risk = message(
        "order.row_risk_note",
        "of reaching the reserve before the tanker; you accept {limit}; {winters}",
        limit=Chance(answer.risk_limit, chosen=True),
        winters=answer.weather.behind,
    )
    return [
        Row(ORDER_BY, day_of(order.order_by, answer), days_until(order.order_by, answer.as_of)),
        Row(DELIVERY, window_of(order.deliver_from, order.deliver_to, answer), off),
        Row(AMOUNT, amount(order.amount_kg), _cost_and_room(order, answer.currency)),
        Row(RISK, Chance(order.risk, answer.weather.draws), note_risk),
    ]


def _cost_and_room(order: ProposedOrder, currency: str) -> Value:
    """Return what the order costs, and what would fit besides; where neither is known, that it fits."""
    notes: list[Value] = [Money(order.cost, currency)] if order.cost is not None else []
    if order.fits_kg is not None and order.fits_kg > order.amount_kg + 0.5:
        fits = amount(order.fits_kg)
        notes.append(message("order.row_more_fits", "up to {amount} would fit", amount=fits))
    if not notes:
        return message("order.row_fits", "surely fits by then")
    return Listed(tuple(notes), "; ")


def _of_stock(stock: FuelStock, answer: OrderAnswer) -> list[Row]:
    found = [Row(LEFT, Range(stock.p10_kg, stock.p90_kg, "mass"), _read(stock.reading_age_days))]
    run_out = next((r for r in answer.run_out if r.fuel == stock.fuel), None)
    if run_out:
        hard = day_of(run_out.p02, answer)
        note = message("order.row_hard_winter", "usual winter; 1 in 50 by {day}", day=hard)
        found.append(Row(LASTS, day_of(run_out.p50, answer), note))
    return found


def _read(days: int | None) -> Message:
    """Return how old the reading of a stock is."""
    if days is None:
        return message("order.row_never_read", "nobody has read the store yet")
    if days == 0:
        return message("order.row_read_today", "read today")
    if days == 1:
        return message("order.row_read_yesterday", "read yesterday")
    return counted_message(
        "order.row_reading_age", "your reading is {n} day old", "your reading is {n} days old", days
    )


def days_until(day: date, as_of: date) -> Message:
    """Return how far a day is away."""
    days = (day - as_of).days
    if days < 0:
        return counted_message("order.row_days_ago", "{n} day ago", "{n} days ago", -days)
    if days == 0:
        return message("order.row_today", "today")
    if days == 1:
        return message("order.row_tomorrow", "tomorrow")
    return counted_message("order.row_in_days", "in {n} day", "in {n} days", days)


def date_rows(answer: OrderAnswer) -> tuple[DateRow, ...]:
    """Return the orders on their way, the next one and those after it, a row each."""
    rows = []
    for placed in answer.on_its_way:
        window, kg = window_of(placed.deliver_from, placed.deliver_to, answer), amount(placed.amount_kg)
        ordered = Day.relative(placed.ordered_on, answer.as_of)
        rows.append(
            DateRow(
                message("order.row_on_its_way", "On its way, ordered {day}", day=ordered),
                message("order.row_ordered", "ordered"),
                window,
                kg,
                "",
                message("order.row_due", "{amount}, due {window}", amount=kg, window=window),
            )
        )
    following = [*([answer.order] if answer.order else []), *answer.next_orders]
    return (*rows, *(_to_place(order, answer, first=i == 0) for i, order in enumerate(following)))


def _to_place(order: ProposedOrder, answer: OrderAnswer, *, first: bool) -> DateRow:
    by, kg = Day.relative(order.order_by, answer.as_of), amount(order.amount_kg)
    window = window_of(order.deliver_from, order.deliver_to, answer)
    if first:
        return DateRow(
            message("order.row_next", "Next order"),
            by,
            window,
            kg,
            Chance(order.risk, answer.weather.draws),
            message("order.row_by", "{amount} by {day}", amount=kg, day=by),
        )
    return DateRow(
        message("order.row_later", "After that"),
        by,
        window,
        kg,
        message("order.row_anew", "decided anew then"),
        message("order.row_by_about", "{amount} by about {day}", amount=kg, day=by),
    )


def year_rows(answer: OrderAnswer) -> tuple[Row, ...]:
    """Return the chance of an empty store, and what is burned in the longest time looked at."""
    empty = message(
        "order.row_if_kept",
        "{chance}, if the plan is kept",
        chance=Chance(answer.empty_risk_per_year, answer.weather.draws),
    )
    found = [Row(EMPTY, empty, answer.weather.behind)]
    if answer.use_kg:
        days = max(use.days for use in answer.use_kg)
        burned = tuple(
            message(
                "order.row_of_fuel",
                "{range} of {fuel}",
                range=Range(use.p10, use.p90, "mass"),
                fuel=fuels.fuel(use.fuel).word,
            )
            for use in answer.use_kg
            if use.days == days
        )
        found.append(Row(burned_in(days), Listed(burned, "and")))
    return tuple(found)


def burned_in(days: int) -> Message:
    """Return the name of the row on what is burned."""
    return counted_message(
        "order.row_burned", "Burned in the next {n} day", "Burned in the next {n} days", days
    )


def tonight_rows(answer: OrderAnswer) -> tuple[Row, ...]:
    """Return what to do about the next fire where the buffer's temperatures are known, and a week's loads."""
    logs = answer.logs
    if logs is None or logs.tonight is None:
        return ()
    now = logs.tonight
    low, high = logs.week_loads
    found = [
        Row(
            message("order.row_tonight_load", "Load now, at most"),
            _kg(math.floor(now.kg_now + 1e-9)),
            message("order.row_tonight_takes", "as much as the buffer takes by itself"),
        ),
        Row(
            message("order.row_tonight_full", "A full load of {full}", full=_kg(now.full_kg)),
            _light_at(now),
            message("order.row_tonight_meanwhile", "with what the house takes while it burns"),
        ),
    ]
    if now.over_at_h is not None:
        lasts = message("order.row_tonight_lasts", "The buffer's heat lasts until")
        bulk = fuels.fuel(answer.stocks[0].fuel).word
        then = message("order.row_tonight_then", "then {fuel} take over", fuel=bulk)
        found.append(Row(lasts, _at(now.read_on, now.over_at_h), then))
    found.append(
        Row(message("order.row_logs_week", "Loads this week"), _loads_a_day(low, high), _if_logs_alone())
    )
    return tuple(found)


def _light_at(now: Tonight) -> Message:
    if now.light_at_h is None:
        return message("order.row_tonight_not", "not within three days")
    if now.light_at_h <= now.read_at_h:
        return message("order.row_tonight_now", "fits now")
    return _at(now.read_on, now.light_at_h)


def _kg(kg: float) -> Quantity:
    return Quantity.written(kg, "kg", ".0f")


def _at(day: date, hours: float) -> Message:
    """Return a time of the clock with its day, to the half hour that lies not before it."""
    half = math.ceil(2.0 * hours - 1e-9) / 2.0
    return message(
        "order.row_tonight_at",
        "{day}, {time}",
        day=Day(day + timedelta(days=int(half // 24))),
        time=TimeOfDay(half % 24),
    )


def _loads_a_day(low: float, high: float) -> Message:
    return message("order.row_logs_loads", "{low} to {high} a day", low=Number(low, 1), high=Number(high, 1))


def _if_logs_alone() -> Message:
    return message("order.row_logs_alone", "if logs gave all the heat")


def log_rows(answer: OrderAnswer) -> tuple[Row, ...]:
    """Return the facts about the logs, where the boiler burns them."""
    logs, stock, gone = answer.logs, answer.stacked_stock, answer.stacked_run_out
    if logs is None or stock is None or gone is None or stock.stacked_m3 is None:
        return ()
    stacked = message("order.row_logs_stacked", "stacked")
    until: Value = message("order.row_logs_beyond", "beyond the horizon")
    if gone.p50 is not None:
        until = Day(gone.p50, year=True)
    early: Value | str = ""
    if gone.p10 is not None:
        day = Day(gone.p10, year=True)
        early = message("order.row_logs_early", "in a hard winter {day}", day=day)
    some = stock.stacked_m3 >= LEAST_M3
    year = next((u for u in answer.use_kg if u.fuel == stock.fuel and u.days == 365), None)
    found = [
        Row(
            message("order.row_logs_left", "Dry logs left"),
            Quantity(stock.stacked_m3, "volume"),
            stacked,
        ),
        *_waiting(stock),
        *([Row(message("order.row_logs_last", "They last until"), until, early)] if some else []),
        Row(
            message("order.row_logs_year", "A year of your loading takes"),
            Range(*logs.winter_stacked_m3, "volume"),
            stacked,
        ),
    ]
    low, high = logs.coldest_week_loads
    found.append(
        Row(
            message("order.row_logs_coldest_week", "Loads in the coldest week"),
            _loads_a_day(low, high),
            _if_logs_alone(),
        )
    )
    if year is not None:
        found.append(
            Row(
                message("order.row_logs_burned", "Burned in the next year"),
                Range(year.p10, year.p90, "mass"),
                message("order.row_logs_as_far", "as far as there are dry logs"),
            )
        )
    return tuple(found)


def _waiting(stock: FuelStock) -> tuple[Row, ...]:
    """Return the logs that are not counted on, where there are some, and all together."""
    if not stock.waiting_m3 or stock.stacked_m3 is None:
        return ()
    name = message("order.row_logs_waiting", "Not dry yet, or not surely")
    both = message(
        "order.row_logs_all",
        "stacked; {all} with the dry ones",
        all=Quantity(stock.stacked_m3 + stock.waiting_m3, "volume"),
    )
    return (Row(name, Quantity(stock.waiting_m3, "volume"), both),)


def log_lines(answer: OrderAnswer) -> tuple[Message, ...]:
    """Return what else is to be said about logs: when to light next, how much is loaded, the stacks, when to
    cut.
    """
    logs = answer.logs
    if logs is None:
        return ()
    first = (said for said in (logs.light_next, logs.loaded_said) if said is not None)
    return (*first, *logs.stacks, *logs.cut_by)


def upkeep_rows(answer: OrderAnswer) -> tuple[tuple[Day | Message, Message, Message], ...]:
    """Return what is to be done within a year: when, what, and why and how."""
    answered = message("order.row_to_answer", "to answer")
    return tuple(
        (answered if e.kind == "question" else Day(e.day, year=True), e.title, e.text) for e in answer.upkeep
    )
