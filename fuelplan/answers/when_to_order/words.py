"""The order answer in a person's words: one sentence first, then the cautions that belong to it."""

from __future__ import annotations

from dataclasses import replace

from fuelplan.answers.setting import Setting
from fuelplan.answers.weather_of_site import if_invented
from fuelplan.answers.when_to_order.answer import OrderAnswer
from fuelplan.answers.when_to_order.headline import horizon_end
from fuelplan.answers.when_to_order.logs import logs_sentence
from fuelplan.answers.when_to_order.questions import READ_FIRST, READING_DISAGREES, SAME_DAY
from fuelplan.heat import fuels
from fuelplan.messages import (
    Chance,
    Day,
    Message,
    Quantity,
    Range,
    cautions,
    counted_message,
    message,
    paragraph,
)


def sentence_of(answer: OrderAnswer) -> OrderAnswer:
    """Return the answer with its sentence."""
    return replace(answer, sentence=sentence(answer))


def sentence(answer: OrderAnswer) -> Message:
    """Return the answer in a few plain sentences."""
    logs, gone = answer.stacked_stock, answer.stacked_run_out
    said = [q.text for q in answer.questions]
    said += if_invented(answer.weather.invented)
    if not any(q.code == READ_FIRST and not q.about for q in answer.questions):
        said += [_left(answer), _lasts(answer), *_what_to_do(answer)]
    if logs is not None and gone is not None:
        bulk = fuels.fuel(answer.stocks[0].fuel).word
        said.append(logs_sentence(logs, gone, bulk, more_later=_more_later(answer)))
    return paragraph(said)


def _more_later(answer: OrderAnswer) -> bool:
    """Tell whether logs that are not dry yet are counted within the horizon."""
    end = horizon_end(answer)
    stacks = () if answer.logs is None else answer.logs.yard
    return any(not s.is_dry and s.counts_from is not None and s.counts_from <= end for s in stacks)


def _left(answer: OrderAnswer) -> Message:
    stock = answer.stocks[0]
    middle, spread = Quantity(stock.kg, "mass"), Range(stock.p10_kg, stock.p90_kg, "mass")
    if len(answer.stocks) > 1:
        return message(
            "order.fuel_left",
            "About {middle} of {fuel} left ({range}; {age}).",
            middle=middle,
            fuel=fuels.fuel(stock.fuel).word,
            range=spread,
            age=_age(answer),
        )
    return message(
        "order.left", "About {middle} left ({range}; {age}).", middle=middle, range=spread, age=_age(answer)
    )


def _age(answer: OrderAnswer) -> Message:
    """Return what the level rests on, as it stands in brackets."""
    days = answer.stocks[0].reading_age_days
    if any(q.code == READING_DISAGREES for q in answer.questions):
        return message("order.reading_disagrees", "the reading and what was expected disagree")
    if any(q.code == SAME_DAY for q in answer.questions):
        return message("order.read_on_day_of_delivery", "read on the day of a delivery, before or after it")
    if days is None:
        return message("order.never_read", "no reading yet, so this rests on deliveries and the house's need")
    if days == 0:
        return message("order.read_today", "read today")
    return counted_message(
        "order.reading_old", "your reading is {n} day old", "your reading is {n} days old", days
    )


def _lasts(answer: OrderAnswer) -> Message:
    run_out, stock, ordered = answer.run_out[0], answer.stocks[0], bool(answer.on_its_way)
    if stock.kg < stock.reserve_kg:
        return message(
            "order.below_reserve",
            "That is already below your reserve of {reserve}.",
            reserve=Quantity(stock.reserve_kg, "mass"),
        )
    if run_out.p50 is None:
        return _lasts_beyond(answer.horizon_days, ordered)
    usual = Day.relative(run_out.p50, answer.as_of)
    if run_out.coldest_winter is None or answer.weather.winters < 2:
        return _lasts_until(usual, ordered)
    coldest, winters = Day.relative(run_out.coldest_winter, answer.as_of), answer.weather.winters
    if ordered:
        return message(
            "order.lasts_with_ordered_until_or_coldest",
            "In a usual winter that lasts with what is on order, down to your reserve, until {usual}, in the "
            "coldest of {winters} until {coldest}.",
            usual=usual,
            winters=winters,
            coldest=coldest,
        )
    return message(
        "order.lasts_until_or_coldest",
        "In a usual winter that lasts, down to your reserve, until {usual}, in the coldest of {winters} "
        "until {coldest}.",
        usual=usual,
        winters=winters,
        coldest=coldest,
    )


def _lasts_beyond(days: int, ordered: bool) -> Message:
    if ordered:
        return message(
            "order.lasts_with_ordered_beyond",
            "In a usual winter that lasts with what is on order beyond the next {days} days.",
            days=days,
        )
    return message(
        "order.lasts_beyond", "In a usual winter that lasts beyond the next {days} days.", days=days
    )


def _lasts_until(usual: Day, ordered: bool) -> Message:
    if ordered:
        return message(
            "order.lasts_with_ordered_until",
            "In a usual winter that lasts with what is on order, down to your reserve, until {usual}.",
            usual=usual,
        )
    return message(
        "order.lasts_until",
        "In a usual winter that lasts, down to your reserve, until {usual}.",
        usual=usual,
    )


def _what_to_do(answer: OrderAnswer) -> list[Message]:
    order = answer.order
    if order is None and _cannot_order(answer):
        return [message("order.none_possible", "No order can be proposed: see below.")]
    if order is None:
        return [message("order.none_needed", "No further order is needed within the horizon.")]
    amount, by = Quantity(order.amount_kg, "mass", 3), Day.relative(order.order_by, answer.as_of)
    fits_kg = order.amount_kg if order.fits_kg is None else order.fits_kg
    fits = Quantity(fits_kg, "mass", 3) if fits_kg >= 1.05 * order.amount_kg else None
    short = [_short(fits_kg)] if fits_kg < order.amount_kg else []
    cheapest = _costs_least(answer)
    if answer.decision == "late":
        return [_late(answer, amount, order.risk), *short]
    if answer.decision == "order":
        last = message("order.last_safe_day", "The last safe day is {by}.", by=by)
        return [_now(amount, fits, cheapest), *([last] if order.order_by > answer.as_of else []), *short]
    if fits is not None:
        return [_by(amount, by, fits, cheapest)]
    if short:
        return [message("order.amount_by", "Order {amount} by {by}.", amount=amount, by=by), *short]
    said = message("order.by_amount_fits", "Order by {by}; {amount} will fit.", by=by, amount=amount)
    return [said]


def _cannot_order(answer: OrderAnswer) -> bool:
    """Tell whether an order is missing because none can be named, not because none is needed."""
    read_first = any(q.code == READ_FIRST and not q.about for q in answer.questions)
    return read_first or any(w.code == "order.smallest_drop_never_fits" for w in answer.warnings)


def _short(fits_kg: float) -> Message:
    """Return what is to be said where less surely fits than is to be ordered."""
    if fits_kg <= 0:
        return message(
            "order.nothing_fits_by_then", "By then nothing surely fits: read the store again first."
        )
    return message(
        "order.only_fits_by_then",
        "Only {fits} surely fit by then: read the store again first.",
        fits=Quantity(fits_kg, "mass", 3),
    )


def _now(amount: Quantity, fits: Quantity | None, cheapest: bool) -> Message:
    if fits is None and cheapest:
        return message("order.now_cheapest", "Order {amount} now, which costs least.", amount=amount)
    if fits is None:
        return message("order.now", "Order {amount} now.", amount=amount)
    if cheapest:
        return message(
            "order.now_cheapest_more_fits",
            "Order {amount} now, which costs least; up to {fits} will fit.",
            amount=amount,
            fits=fits,
        )
    return message(
        "order.now_more_fits", "Order {amount} now; up to {fits} will fit.", amount=amount, fits=fits
    )


def _by(amount: Quantity, by: Day, fits: Quantity, cheapest: bool) -> Message:
    if cheapest:
        return message(
            "order.by_cheapest",
            "Order by {by}; up to {fits} will fit, {amount} costs least.",
            by=by,
            fits=fits,
            amount=amount,
        )
    return message(
        "order.by_proposed",
        "Order by {by}; up to {fits} will fit, {amount} is proposed.",
        by=by,
        fits=fits,
        amount=amount,
    )


def _costs_least(answer: OrderAnswer) -> bool:
    """Tell whether money was compared: the plan is then the cheapest way known."""
    return answer.advice is not None and bool(answer.advice.policies)


def _late(answer: OrderAnswer, amount: Quantity, risk: float) -> Message:
    if risk >= ALMOST_SURE:
        return message(
            "order.today_almost_surely_late",
            "Order {amount} today: the level will almost surely fall below your reserve before it comes.",
            amount=amount,
        )
    return message(
        "order.today_late",
        "Order {amount} today: the chance of falling below your reserve before it comes is already {chance}.",
        amount=amount,
        chance=Chance(risk, answer.weather.draws),
    )


ALMOST_SURE = 0.95
STORE_KIND = {"fabric bag": "fabric", "buried tank": "buried", "upright tank": "tank"}


def cautions_for_order(setting: Setting) -> tuple[cautions.Caution, ...]:
    """Return the cautions that belong to filling this store and living beside it."""
    shape = setting.site.table.store.shape
    shown = cautions.for_situation(
        fuels=[fuels.fuel(name).cautions for name in setting.burned],
        log_water_share_wet=None if setting.log_side is None else setting.log_side.wood.moisture.wet.share,
        wet_stacks=setting.log_side is not None and setting.log_side.waiting_m3 > 0,
        store_kind=STORE_KIND.get(shape or "", "room"),
        stock_kg=setting.store.capacity_kg(),
        filling=True,
        couplings=setting.fuel.comes == "blown in",
    )
    return tuple(shown)
