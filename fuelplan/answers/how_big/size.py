"""How big a store, day hopper and buffer? The one way from a folder and its weather to that answer."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from fuelplan.answers.how_big.answer import Assumption, SizeAnswer, SizeWeather, YearUse
from fuelplan.answers.how_big.basis import Basis, basis_of
from fuelplan.answers.how_big.fit import fit_lines, open_questions, shown_cautions
from fuelplan.answers.how_big.hopper import ASSUMED, buffer_part, hopper_part
from fuelplan.answers.how_big.store import cellar_part, drawing, size_stores, worst_winter
from fuelplan.answers.how_big.words import hopper_sentence, present_sentence, sentence
from fuelplan.answers.weather_of_site import (
    SiteWeather,
    attributions,
    if_invented,
    known_weather,
    sources_said,
)
from fuelplan.messages import Limits, Own, Quantity, message, paragraph
from fuelplan.records.schema import CellarTable
from fuelplan.records.site import Site, check_folder
from fuelplan.records.tables import SiteFaults
from fuelplan.sizing import LONGEST_M, WIDEST_M, OrderRule, StoreQuestion
from fuelplan.store.bulk import FlatRoom, SlopedRoom
from fuelplan.weather import DailyWeather

# Faults that stop an order but not the question of size: nothing is in store yet, or the store is too small.
NO_MATTER = frozenset({"store.reserve", "supply.smallest_drop"})


def open_for_sizing(path: Path | str) -> Site:
    """Return the site of a folder that may still be a plan: without readings, its store perhaps too small.

    Raises
    ------
    SiteFaults
        With every other fault.
    """
    site, faults = check_folder(path, with_prices=False)
    left = [
        f
        for f in faults
        if f.key not in NO_MATTER and not (f.line is None and f.file == "readings.csv" and not f.key)
    ]
    if site is None or left:
        raise SiteFaults(left or faults)
    return site


def cellar_of(length_m: float, width_m: float, height_m: float, channel_m: float = 0.2) -> CellarTable:
    """Return a room to try, from its inside measures. [m]"""
    return CellarTable.model_construct(
        length_m=length_m, width_m=width_m, height_m=height_m, channel_m=channel_m
    )


def size(
    site: Site,
    weather: DailyWeather | SiteWeather,
    as_of: date,
    seed: int = 1,
    cellar: CellarTable | None = None,
) -> SizeAnswer:
    """Answer how big a store, day hopper and buffer the building needs.

    Parameters
    ----------
    site
        From :func:`fuelplan.answers.open_for_sizing` or :func:`fuelplan.answers.open_site`.
    weather
        The site's weather, or a bare record; nothing in it dated after `as_of` is read.
    as_of
        The day asked for.
    seed
        Same seed, same answer.
    cellar
        A room to try in place of the folder's.

    Raises
    ------
    ValueError
        Where the folder or the weather cannot give an answer, in one sentence.
    """
    known = known_weather(site, weather, as_of)
    basis = basis_of(site, known, as_of, seed)
    sized = size_stores(basis)
    hopper, buffer = hopper_part(basis), buffer_part(basis)
    fit = fit_lines(basis)
    room = cellar or site.table.sizing.cellar
    answer = sized.answer
    return SizeAnswer(
        site=site.name,
        as_of=as_of,
        seed=seed,
        sentence=paragraph([*if_invented(known.invented), sentence(sized, hopper, buffer)]),
        store=None if answer.best is None else answer.options[answer.best],
        best_range_m3=answer.best_range_m3,
        high_use_range_m3=sized.high_use_range_m3,
        why=answer.why,
        present=sized.present,
        present_said=present_sentence(sized),
        options=answer.options,
        use=YearUse(
            answer.yearly_kg,
            answer.yearly_low_kg,
            answer.yearly_high_kg,
            basis.doubt_low,
            basis.doubt_high,
            answer.rule_kg,
            answer.rule_off_share,
        ),
        load_kw=basis.load_kw,
        load_said=basis.load_said,
        hopper=hopper,
        hopper_said=hopper_sentence(hopper),
        buffer_l=buffer.asked_l,
        buffer=buffer,
        rules_of_thumb=answer.rules_of_thumb,
        order_mark=answer.order_mark,
        cellar=None if room is None else cellar_part(basis, room),
        fit=fit,
        open_questions=(*buffer.questions, *open_questions(basis, fit, hopper)),
        cautions=shown_cautions(basis, hopper),
        warnings=tuple(dict.fromkeys(basis.warnings)),
        assumptions=(*basis.assumptions, *_assumed(basis), *_rooms_taken(sized.asked)),
        weather=_weather_note(basis, known),
        currency=basis.currency,
        worst_winter=worst_winter(basis, sized),
        drawing=drawing(basis),
        thing=sized.asked.thing,
        builds=sized.asked.builds,
        fuel=sized.fuel,
    )


def _rooms_taken(asked: StoreQuestion) -> tuple[Assumption, ...]:
    """Return within what a room was made larger."""
    if not asked.builds:
        return ()
    longest, widest = Quantity(LONGEST_M, "length"), Quantity(WIDEST_M, "length")
    source = message(
        "size.our_choice_pile", "our choice; the pile falls off by 10° from each inlet's far wall"
    )
    if asked.too_large_m3 is None:
        text = message(
            "size.larger_rooms",
            "Larger rooms keep height and floor; they grow to {longest} x {widest} at most, with as many "
            "inlets as their piles need. To use is what can be filled in and conveyed out",
            longest=longest,
            widest=widest,
        )
        return (Assumption(text, source),)
    text = message(
        "size.larger_rooms_up_to",
        "Larger rooms keep height and floor; they grow to {longest} x {widest} at most, with as many inlets "
        "as their piles need. To use is what can be filled in and conveyed out; {too_large} and more would "
        "need a higher room or several",
        longest=longest,
        widest=widest,
        too_large=Quantity(asked.too_large_m3, "volume"),
    )
    return (Assumption(text, source),)


def _assumed(basis: Basis) -> tuple[Assumption, ...]:
    """Return how the winters were played, and what was taken about hopper and building."""
    load = message("size.heat_load", "Heat load {load}", load=Quantity.written(basis.load_kw, "kW", ".0f"))
    found = [
        _rule_assumed(basis.rule),
        _cooling_assumed(basis),
        Assumption(load, basis.load_said),
        _rooms_assumed(basis),
    ]
    if basis.site.table.conveying is None:
        found.append(
            Assumption(
                message(
                    "size.suction_assumed",
                    "The hopper is filled by suction over {length}, never from 22 to 6, the fire burnt out "
                    "first",
                    length=Quantity.written(ASSUMED.line_m, "m", "g"),
                ),
                message("size.our_assumption", "our assumption"),
            )
        )
    return tuple(found)


def _rule_assumed(rule: OrderRule) -> Assumption:
    """Return how somebody orders in the winters that are played."""
    return Assumption(
        message(
            "size.monthly_rule",
            "On the first of each month somebody looks and orders in time for {days} days' lead time, drops "
            "of {drops}, a reserve of {reserve}; no winter is planned with its own weather",
            days=rule.lead_days,
            drops=Limits.written(rule.smallest_drop_kg / 1000, rule.largest_drop_kg / 1000, "t"),
            reserve=Quantity.written(rule.reserve_kg, "kg", ".0f"),
        ),
        message("size.order_up_to", "a monthly order-up-to rule, our choice"),
    )


def _cooling_assumed(basis: Basis) -> Assumption:
    """Return how far rooms and buffer may cool."""
    given = basis.site.table.buffer
    return Assumption(
        message(
            "size.cooling",
            "Before anyone notices, rooms may cool by {sag} with a time constant of {hours} h, and the "
            "buffer by {spread}",
            sag=Quantity.written(given.sag_k, "K", "g"),
            hours=Own(f"{given.time_constant_h:g}"),
            spread=Quantity.written(given.spread_k, "K", "g"),
        ),
        message("size.folder_or_assumption", "the folder, or our assumption"),
    )


def _rooms_assumed(basis: Basis) -> Assumption:
    """Return what each size is taken to be."""
    if isinstance(basis.setting.store.shape, FlatRoom | SlopedRoom):
        return Assumption(
            message("size.own_section", "Each size has the section of the folder's store, longer or shorter"),
            message("size.our_choice", "our choice"),
        )
    return Assumption(
        message(
            "size.two_thirds",
            "Each size is a room of which two thirds hold {fuel}",
            fuel=basis.setting.fuel.word,
        ),
        message("size.associations_guidance", "Austrian and German pellet associations' guidance"),
    )


def _weather_note(basis: Basis, known: SiteWeather) -> SizeWeather:
    record = known.record
    return SizeWeather(
        source=sources_said(record),
        winters=basis.winters.winters,
        attribution=attributions(record),
        first_day=record.first_day,
        last_day=record.last_day,
        years=tuple(int(y) for y in basis.winters.year[: basis.winters.winters]),
        invented=known.invented,
    )
