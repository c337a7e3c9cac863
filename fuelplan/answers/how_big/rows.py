"""The size answer in rows: facts, sizes, hoppers, rooms, lines to look at, assumptions, for every face.

A cell is a value of messages; None is a cell that has nothing to say.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fuelplan.answers.how_big.answer import Assumption, HopperPart, SizeAnswer
from fuelplan.answers.how_big.words import (
    deliveries,
    hours_words,
    room,
    still_as_likely,
)
from fuelplan.heat import fuels
from fuelplan.messages import (
    Listed,
    Message,
    Money,
    Number,
    Own,
    Percent,
    Quantity,
    Range,
    Value,
    as_message,
    counted_message,
    message,
)
from fuelplan.sizing import SizeOption
from fuelplan.store.access import AccessLine

Mark = Literal["best", "as good", "never", ""]


@dataclass(frozen=True)
class SizeFact:
    """A fact of the answer: what it is, its value, and a few words on it."""

    name: Message
    value: Value
    note: Message | None = None


@dataclass(frozen=True)
class SizeRow:
    """What one size does; `never` is the largest of those that can never work and stands for all of them.

    `fuel`, `store` and `interest` are shown so that they add up to `cost`. [money/year]
    """

    mark: Mark
    mark_said: Message | None
    size: Message
    usable: Quantity
    lasts: Message
    deliveries: Number | None
    empty: Message | None
    lowest: Quantity | None
    fuel: Money | None
    store: Money
    interest: Money | None
    cost: Money | None


@dataclass(frozen=True)
class HopperRow:
    """What one hopper size does; `noted` is what of its result is not as it should be, or singles it out."""

    size: Quantity
    fillings: Number
    fillings_coldest: Number
    nights_empty: Number
    hours: Message
    result: Message
    noted: Message | None


@dataclass(frozen=True)
class RoomRow:
    """One way to build the store into a room."""

    floor: Message
    usable: Quantity
    deliveries: Number | None
    empty: int
    works: Message
    mark: Message | None

    @property
    def best(self) -> bool:
        """Whether it serves best."""
        return self.mark is not None


@dataclass(frozen=True)
class FitRow:
    """One line about delivery and the store."""

    question: Message
    answer: Message
    guidance: Message
    seen: Message
    not_met: bool


def size_facts(found: SizeAnswer) -> list[SizeFact]:
    """Return the few facts that go with the answer."""
    facts = [*_store_facts(found)]
    if found.hopper is not None:
        facts.append(_hopper_fact(found.hopper))
    use, rule = found.use, found.buffer.rules[0]
    asked = Quantity.written(round(found.buffer_l, -1), "l")
    facts.append(
        SizeFact(
            message("size.fact_buffer", "Buffer"),
            _or_more(asked),
            message("size.note_buffer", "strictest rule looked at: {source}", source=rule.source),
        )
    )
    facts.append(
        SizeFact(
            message("size.fact_use", "Burned in a year"),
            Range(use.mean_kg * use.doubt_low, use.mean_kg * use.doubt_high, "mass"),
            message(
                "size.note_use",
                "mildest winter {mildest}, coldest {coldest}",
                mildest=Quantity(use.mildest_kg, "mass"),
                coldest=Quantity(use.coldest_kg, "mass"),
            ),
        )
    )
    return facts


def _store_facts(found: SizeAnswer) -> list[SizeFact]:
    """Return what the best range holds, how often it is filled, and how often it ran empty."""
    best = found.store
    if best is None or found.best_range_m3 is None:
        return []
    inside = [o for o in found.options if _in_range(o, found)]
    drops = [o.deliveries_per_year for o in inside]
    return [
        SizeFact(
            message("size.fact_usable", "Usable {fuel}", fuel=fuels.fuel(found.fuel).word),
            Range(inside[0].usable_kg, inside[-1].usable_kg, "mass"),
            message("size.note_usable", "in the smallest and largest of that range"),
        ),
        SizeFact(message("size.fact_deliveries", "Deliveries"), deliveries(min(drops), max(drops))),
        SizeFact(message("size.fact_empty", "Winters empty"), _empty_of(best), still_as_likely(best)),
    ]


def _hopper_fact(hopper: HopperPart) -> SizeFact:
    name = message("size.fact_hopper", "Day hopper")
    if hopper.smallest_kg is None:
        none = message("size.note_no_hopper", "none alone gets through the coldest week")
        return SizeFact(name, Own("–"), none)
    return SizeFact(
        name,
        _or_more(Quantity(hopper.proposed_kg or 0.0, "mass")),
        message("size.note_hopper", "one cold night takes {night}", night=Quantity(hopper.night_kg, "mass")),
    )


def _or_more(amount: Quantity) -> Message:
    return message("size.or_more", "{amount} or more", amount=amount)


def more_facts(found: SizeAnswer) -> list[SizeFact]:
    """Return what the installer's report adds: the rule for the year, the heat load, the money tied up."""
    use, best = found.use, found.store
    off = Percent(abs(use.rule_off_share))
    if use.rule_off_share > 0:
        note = message("size.rule_too_much", "{share} too much", share=off)
    else:
        note = message("size.rule_too_little", "{share} too little", share=off)
    facts = [
        SizeFact(message("size.fact_rule", "By the kg-per-kW rule"), Quantity(use.rule_kg, "mass"), note),
        SizeFact(
            message("size.fact_load", "Heat load"),
            Quantity.written(found.load_kw, "kW", ".0f"),
            found.load_said,
        ),
    ]
    if best is not None:
        facts.append(
            SizeFact(
                message("size.fact_tied_up", "Money lying in the store, on average"),
                Money(best.tied_up, found.currency),
            )
        )
    return facts


def _empty_of(option: SizeOption) -> Message:
    """Return in how many winters it ran empty, for a cell: "0 of 25", "1 of 30, 24 simulated"."""
    made, of = option.winters - option.real_winters, option.winters
    if not made:
        return message("size.empty_of", "{empty} of {winters}", empty=option.empty_winters, winters=of)
    if made == of:
        return message(
            "size.empty_of_simulated",
            "{empty} of {winters} simulated",
            empty=option.empty_winters,
            winters=of,
        )
    return message(
        "size.empty_of_both",
        "{empty} of {winters}, {simulated} simulated",
        empty=option.empty_winters,
        winters=of,
        simulated=made,
    )


def size_rows(found: SizeAnswer) -> list[SizeRow]:
    """Return a row for every size; the largest of those that can never work stands for all of them."""
    hopeless = [o for o in found.options if o.never_works]
    return [
        _size_row(found, at, option)
        for at, option in enumerate(found.options)
        if not option.never_works or option is hopeless[-1]
    ]


def _size_row(found: SizeAnswer, at: int, option: SizeOption) -> SizeRow:
    never = option.never_works
    mark = _mark(found, option)
    several = sum(o.never_works for o in found.options) > 1
    fuel, store, whole = (round(v) for v in (option.fuel_cost, option.store_cost, option.yearly_cost))
    money = [Money(v, found.currency) for v in (fuel, store, whole - fuel - store, whole)]
    return SizeRow(
        mark=mark,
        mark_said=_NEVER_AND_LESS if never and several else _MARKS.get(mark),
        size=_option_said(found, at, option),
        usable=Quantity(option.usable_kg, "mass"),
        lasts=_lasts(option.years_stock),
        deliveries=None if never else Number(option.deliveries_per_year, 1),
        empty=None if never else _empty_of(option),
        lowest=None if never else Quantity(option.lowest_kg, "mass"),
        fuel=None if never else money[0],
        store=money[1],
        interest=None if never else money[2],
        cost=None if never else money[3],
    )


_MARKS: dict[Mark, Message] = {
    "best": message("size.mark_best", "best"),
    "as good": message("size.mark_as_good", "as good"),
    "never": message("size.mark_never", "can never work"),
}


_NEVER_AND_LESS = message("size.mark_never_and_less", "this and less can never work")


def _mark(found: SizeAnswer, option: SizeOption) -> Mark:
    if option is found.store:
        return "best"
    if _in_range(option, found):
        return "as good"
    return "never" if option.never_works else ""


def _in_range(option: SizeOption, found: SizeAnswer) -> bool:
    return (
        found.best_range_m3 is not None and found.best_range_m3[0] <= option.room_m3 <= found.best_range_m3[1]
    )


def _option_said(found: SizeAnswer, at: int, option: SizeOption) -> Message:
    """Return the size of a row, with its inlets where it needs more than one."""
    inlets = found.builds[at].inlets if found.builds else 1
    if inlets > 1:
        return message(
            "size.option_inlets", "{room}, {inlets} inlets", room=room(option.room_m3), inlets=inlets
        )
    return message("size.option", "{room}", room=room(option.room_m3))


def _lasts(years: float) -> Message:
    """Return how long a full store lasts."""
    if years < 1.95:
        return counted_message("size.lasts_months", "{n} month", "{n} months", round(12 * years))
    return message("size.lasts_years", "{years} years", years=Number(years, 1))


def hopper_rows(hopper: HopperPart) -> list[HopperRow]:
    """Return a row for every hopper size."""
    return [
        HopperRow(
            Quantity(o.size_kg, "mass"),
            Number(o.fillings_per_day, 1),
            Number(o.fillings_per_day_coldest_week, 1),
            Number(o.nights_empty_per_winter),
            hours_words(o.main_hours),
            *_hopper_result(hopper, o.size_kg, o.works_in_coldest_week),
        )
        for o in hopper.options
    ]


def _hopper_result(hopper: HopperPart, size_kg: float, works: bool) -> tuple[Message, Message | None]:
    """Return how a size gets through the coldest week, and whether it is proposed or there already."""
    marks = []
    if size_kg == hopper.proposed_kg:
        marks.append(message("size.hopper_proposed", "proposed"))
    if size_kg == hopper.present_kg:
        marks.append(message("size.hopper_yours", "yours"))
    if not works:
        said = _together([message("size.interrupted", "interrupted"), *marks])
        return said, said
    through = message("size.without_interruption", "without interruption")
    return _together([through, *marks]), _together(marks) if marks else None


def _together(marks: list[Message]) -> Message:
    return message("size.hopper_result", "{marks}", marks=Listed(tuple(marks), ", "))


def room_rows(found: SizeAnswer) -> list[RoomRow]:
    """Return a row for every way to build the room in question that can be built."""
    if found.cellar is None:
        return []
    yes, no = message("size.yes", "yes"), message("size.no", "no")
    return [
        RoomRow(
            b.words,
            Quantity(b.usable_kg, "mass"),
            Number(b.deliveries_per_year, 1) if b.deliveries_per_year else None,
            b.empty_winters or 0,
            yes if b.works else no,
            _MARKS["best"] if i == found.cellar.best else None,
        )
        for i, b in enumerate(found.cellar.builds)
        if b.usable_kg is not None
    ]


def rooms_left_out(found: SizeAnswer) -> Message | None:
    """Return how many ways cannot be built; None where all can."""
    left = 0 if found.cellar is None else sum(b.usable_kg is None for b in found.cellar.builds)
    if not left:
        return None
    return counted_message(
        "size.rooms_left_out",
        "{n} further way cannot be built: its sloped floors would reach the ceiling.",
        "{n} further ways cannot be built: their sloped floors would reach the ceiling.",
        left,
    )


def fit_rows(found: SizeAnswer) -> list[FitRow]:
    """Return a row for every line about delivery and the store."""
    return [
        FitRow(
            line.question,
            _ANSWERS[line.answer],
            message("size.guidance", "{guidance} ({source})", guidance=line.guidance, source=line.source),
            line.seen,
            line.answer == "not met",
        )
        for line in found.fit
    ]


_ANSWERS = {
    "met": message("size.met", "met"),
    "not met": message("size.not_met", "not met"),
    "ask": message("size.ask", "ask"),
}


def fit_count(found: SizeAnswer) -> Message:
    """Return how many lines are met, not met and to ask."""
    return message(
        "size.fit_count",
        "{met} met, {not_met} not met, {ask} to ask.",
        met=_answered(found.fit, "met"),
        not_met=_answered(found.fit, "not met"),
        ask=_answered(found.fit, "ask"),
    )


def _answered(lines: tuple[AccessLine, ...], answer: str) -> int:
    return sum(line.answer == answer for line in lines)


def own_questions(found: SizeAnswer) -> tuple[Message, ...]:
    """Return the open questions beyond the lines marked ask."""
    return found.open_questions[: len(found.open_questions) - _answered(found.fit, "ask")]


def thumbs(found: SizeAnswer) -> list[Message]:
    """Return the rules of thumb, that for the order mark among them."""
    mark = [] if found.order_mark is None else [found.order_mark]
    return [*(thumb.sentence for thumb in found.rules_of_thumb), *mark]


def assumption_said(taken: Assumption) -> Message:
    """Return what was assumed, with where it comes from."""
    if taken.explained:
        return message("size.assumption_explained", "{text}. {source}", text=taken.text, source=taken.source)
    return message("size.assumption", "{text} ({source}).", text=taken.text, source=taken.source)


def weather_said(found: SizeAnswer) -> Message:
    """Return the weather behind the answer, with thanks to its source."""
    weather = found.weather
    return counted_message(
        "size.weather",
        "Weather: {source}; {n} real winter, {first} to {last}.",
        "Weather: {source}; {n} real winters, {first} to {last}.",
        weather.winters,
        source=as_message(weather.attribution or weather.source),
        first=Own(str(weather.first_day.year)),
        last=Own(str(weather.last_day.year)),
    )
