"""The order answer in a person's words: one sentence first, then the cautions that belong to it."""

from __future__ import annotations

from dataclasses import replace

from fuelplan import units
from fuelplan.answers.setting import Setting
from fuelplan.answers.weather_of_site import INVENTED_SAID
from fuelplan.answers.when_to_order.answer import OrderAnswer, ShownCaution
from fuelplan.answers.when_to_order.logs import logs_sentence
from fuelplan.answers.when_to_order.questions import READ_FIRST, READING_DISAGREES, SAME_DAY
from fuelplan.heat import fuels
from fuelplan.messages import cautions


def sentence_of(answer: OrderAnswer) -> OrderAnswer:
    """Return the answer with its sentence, in metric units."""
    return replace(answer, sentence=sentence(answer))


def sentence(answer: OrderAnswer, system: units.System | None = None) -> str:
    """Return the answer in a few plain sentences."""
    logs, gone = answer.stacked_stock, answer.stacked_run_out
    said = [q.text for q in answer.questions]
    said += [INVENTED_SAID] if answer.weather.invented else []
    if not any(q.code == READ_FIRST and not q.about for q in answer.questions):
        said += [_left(answer, system), _lasts(answer, system), _what_to_do(answer, system)]
    if logs is not None and gone is not None:
        said.append(logs_sentence(logs, gone, system))
    return " ".join(said)


def _left(answer: OrderAnswer, system: units.System | None) -> str:
    stock = answer.stocks[0]
    middle = units.show(stock.kg, "mass", system)
    spread = units.show_range(stock.p10_kg, stock.p90_kg, "mass", system)
    if any(q.code == READING_DISAGREES for q in answer.questions):
        age = "the reading and what was expected disagree"
    elif any(q.code == SAME_DAY for q in answer.questions):
        age = "read on the day of a delivery, before or after it"
    elif stock.reading_age_days is None:
        age = "no reading yet, so this rests on deliveries and the house's need"
    elif stock.reading_age_days == 0:
        age = "read today"
    else:
        days = stock.reading_age_days
        age = f"your reading is {days} day{'s' if days != 1 else ''} old"
    of_what = f" of {stock.fuel}" if len(answer.stocks) > 1 else ""
    return f"About {middle}{of_what} left ({spread}; {age})."


def _lasts(answer: OrderAnswer, system: units.System | None) -> str:
    run_out, stock = answer.run_out[0], answer.stocks[0]
    reserve = units.show(stock.reserve_kg, "mass", system)
    if stock.kg < stock.reserve_kg:
        return f"That is already below your reserve of {reserve}."
    on_order = " with what is on order" if answer.on_its_way else ""
    if run_out.p50 is None:
        return f"In a usual winter that lasts{on_order} beyond the next {answer.horizon_days} days."
    text = f"In a usual winter that lasts{on_order}, down to your reserve, until {_date(answer, run_out.p50)}"
    if run_out.coldest_winter is None or answer.weather.winters < 2:
        return f"{text}."
    return (
        f"{text}, in the coldest of {answer.weather.winters} until {_date(answer, run_out.coldest_winter)}."
    )


def _what_to_do(answer: OrderAnswer, system: units.System | None) -> str:
    order = answer.order
    if order is None:
        return (
            "No further order is needed within the horizon."
            if not answer.warnings
            else "No order can be proposed: see below."
        )
    amount = units.show(order.amount_kg, "mass", system, digits=3)
    by = _date(answer, order.order_by)
    fits = order.amount_kg if order.fits_kg is None else order.fits_kg
    room = units.show(fits, "mass", system, digits=3)
    some = f"Only {room} surely fit by then" if fits > 0 else "By then nothing surely fits"
    short = f" {some}: read the store again first." if fits < order.amount_kg else ""
    if answer.decision == "late":
        return f"Order {amount} today: {_how_late(answer, order.risk)}.{short}"
    least = ", which costs least" if _costs_least(answer) else ""
    more = f"; up to {room} will fit" if fits >= 1.05 * order.amount_kg else ""
    if answer.decision == "order":
        last = f" The last safe day is {by}." if order.order_by > answer.as_of else ""
        return f"Order {amount} now{least}{more}.{last}{short}"
    if more:
        return f"Order by {by}{more}, {amount}{' costs least' if least else ' is proposed'}."
    return f"Order {amount} by {by}.{short}" if short else f"Order by {by}; {amount} will fit."


def _costs_least(answer: OrderAnswer) -> bool:
    """Tell whether the plan is the cheapest way known: not when a simple rule does better."""
    advice = answer.advice
    if advice is None or not advice.policies:
        return False
    plan = advice.policies[0]
    return all(p.more_than_plan > -CHEAPER_SHARE * plan.cost for p in advice.policies)


def _how_late(answer: OrderAnswer, risk: float) -> str:
    if risk >= ALMOST_SURE:
        return "the level will almost surely fall below your reserve before it comes"
    odds = units.show_odds(risk, answer.weather.draws)
    return f"the chance of falling below your reserve before it comes is already {odds}"


def _date(answer: OrderAnswer, day: object) -> str:
    from datetime import date

    assert isinstance(day, date)
    return units.show_date(day, year=day.year != answer.as_of.year)


CHEAPER_SHARE = 0.002  # a rule this much cheaper than the plan is cheaper
ALMOST_SURE = 0.95
STORE_KIND = {"fabric bag": "fabric", "buried tank": "buried", "upright tank": "tank"}


def cautions_for_order(setting: Setting) -> tuple[ShownCaution, ...]:
    """Return the cautions that belong to filling this store and living beside it."""
    shape = setting.site.table.store.shape
    shown = cautions.for_situation(
        fuels=[fuels.fuel(name).cautions for name in setting.burned],
        log_water_share_wet=None if setting.log_side is None else setting.log_side.wood.moisture.wet.share,
        store_kind=STORE_KIND.get(shape or "", "room"),
        stock_kg=setting.store.capacity_kg(),
        filling=True,
    )
    return tuple(ShownCaution(c.id, c.text, c.why) for c in shown)
