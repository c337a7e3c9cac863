"""What a supplier's books tell of each customer: signature and level with their doubt, and what may come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.who_is_due.books import customers_of, last_told
from fuelplan.answers.who_is_due.priors import priors_of
from fuelplan.answers.who_is_due.weather import (
    LEARN_DAYS,
    RoundWeather,
    known_for_round,
    rows_agree,
    winters_of_areas,
)
from fuelplan.dispatch import outlook
from fuelplan.dispatch.outlook import CustomerDraws, CustomerStores, Doubted, WinterTables
from fuelplan.learning import ManyPosteriors
from fuelplan.records.round import UNKNOWN, Round
from fuelplan.weather import Winters

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_TOLD = 3
MOST_SETTLED = 3
LEAST_DRAWS, MANY = 1000, 5000
"""Draws of each customer, and customers beyond which each winter is drawn once only."""


class OutlookInputError(ValueError):
    """A question that the round's books cannot answer, and what to ask instead."""


@dataclass(frozen=True)
class Beliefs:
    """What is believed about all customers of a round on one evening, and the winters they share.

    Attributes
    ----------
    many
        Posteriors, worked out when drawn from. Base temperatures are those of the area's weather record:
        what a house lies higher or lower is part of them. The emptier ones where a reading is open to doubt.
    doubted
        Readings that disagree with what was expected and that nothing has settled.
    winters
        Possible winters of each area.
    tables
        The same as accumulated degree-days for every base temperature that can be drawn.
    told_day
        Shape (N,): when last something told of the level, datetime64[D]; NaT for never.
    notes
        What should be known about the weather.
    """

    round: Round
    as_of: date
    seed: int
    days: int
    many: ManyPosteriors
    doubted: Doubted
    winters: tuple[Winters, ...]
    tables: WinterTables
    store: CustomerStores
    draws: int
    told_day: NDArray[np.datetime64]
    weather: RoundWeather
    notes: tuple[str, ...]

    def draw(self, part: slice) -> CustomerDraws:
        """Return the joint draws of the customers of a slice."""
        return outlook.draws_of(self.many, part, self.draws, self.seed)

    @cached_property
    def evenings(self) -> NDArray[np.datetime64]:
        """Shape (days + 1,): the evening of `as_of` and those after it."""
        return np.datetime64(self.as_of, "D") + np.arange(self.days + 1)


def believe(
    round_: Round, weather: RoundWeather, as_of: date, seed: int = 1, days: int = 90,
    draws: int | None = None, learned: Beliefs | None = None,
) -> Beliefs:  # fmt: skip
    """Return what is believed on the evening of `as_of`; nothing dated later is looked at.

    Parameters
    ----------
    days
        How far ahead, 1 to 730. [days]
    draws
        Draws of each customer, raised to a multiple of the winters; None: about a thousand, or one for each
        winter where there are very many customers.
    learned
        Beliefs of the same round, weather and evening for other days ahead: nothing is learned anew.
    """
    if not 1 <= days <= 730:
        raise OutlookInputError(f"{days} days ahead; ask for 1 to 730")
    known = known_for_round(round_, weather, as_of)
    winters = winters_of_areas(known, as_of, days, seed)
    paths = len(winters[0].year)
    if draws is None:
        draws = LEAST_DRAWS if len(round_.customers) <= MANY else paths
    draws = -(-draws // paths) * paths
    if learned is None:
        many, doubted, told_day = _learn(round_, known, as_of)
    else:
        many, doubted, told_day = learned.many, learned.doubted, learned.told_day
    tables = outlook.winter_tables(np.stack([w.mean_c for w in winters]), many.sums.base_c)
    c = round_.customers
    reserve = np.minimum(c.reserve_kg, 0.9 * c.store_kg)
    of_weather = [*known.notes, *(str(note) for w in winters for note in w.notes)]
    notes = _left_out(round_) + _gone(round_) + _settled(round_, many.first_day, doubted) + _once(of_weather)
    if not rows_agree(winters):
        notes.append(
            "The areas' weather records hold different years, so their cold spells are not the same ones."
        )
    return Beliefs(
        round=round_,
        as_of=as_of,
        seed=seed,
        days=days,
        many=many,
        doubted=doubted,
        winters=winters,
        tables=tables,
        store=CustomerStores(c.area, reserve, c.store_kg, _groups(round_, as_of)),
        draws=draws,
        told_day=told_day,
        weather=known,
        notes=tuple(notes),
    )


def _learn(
    round_: Round, known: RoundWeather, as_of: date
) -> tuple[ManyPosteriors, Doubted, NDArray[np.datetime64]]:
    """Return the posteriors, the readings open to doubt, and when last something told of each level."""
    first_day, mean_c = _learning_weather(known, as_of)
    books = customers_of(round_, first_day, as_of)
    priors = priors_of(round_, first_day, mean_c, books, as_of)
    many, doubted = outlook.weigh_readings(outlook.unsolved(priors, first_day, mean_c, books, as_of))
    return many, doubted, last_told(round_, first_day, books)


def _groups(round_: Round, as_of: date) -> Ints:
    """Return the class that each customer's fuel is counted with; those who left are a group beyond these."""
    classes = round_.customers.takes.argmax(axis=1)
    left = round_.customers.gone(as_of + timedelta(days=1))
    return np.where(left, len(round_.table.classes), classes).astype(np.int64)


def _left_out(round_: Round) -> list[str]:
    """Return what was left out or read as empty because of faults, where only sound rows were asked for."""
    out = []
    for faults, what, done in (
        (round_.left_out, "row", "left out"),
        (round_.emptied, "cell", "read as empty"),
    ):
        if faults:
            many = "" if len(faults) == 1 else "s"
            verb = "is" if len(faults) == 1 else "are"
            out.append(f"{len(faults):,} faulty {what}{many} {verb} {done}, such as {faults[0]}")
    return out


def _gone(round_: Round) -> list[str]:
    """Return whose rows are left out because the customers' file does not name them any more."""
    told = [f for f in round_.warnings if f.rule == UNKNOWN]
    more = f"; and {len(told) - MOST_TOLD} more like it" if len(told) > MOST_TOLD else ""
    return [f"{'; '.join(str(f) for f in told[:MOST_TOLD])}{more}"] if told else []


def _once(notes: list[str]) -> list[str]:
    """Return the notes, those of further areas that differ in their figures alone left out."""
    first = {"".join(c for c in note if not c.isdigit()): note for note in reversed(notes)}
    return [note for note in dict.fromkeys(notes) if note in first.values()]


def _learning_weather(known: RoundWeather, as_of: date) -> tuple[date, Floats]:
    """Return the first day and the daily means of each area, (areas, days), up to `as_of`. [degC]"""
    first = max(area.weather.first_day for area in known.areas)
    first = max(first, as_of - timedelta(days=LEARN_DAYS - 1))
    days = (as_of - first).days + 1
    rows = [a.weather.mean_c[a.weather.index_of(first) :][:days] for a in known.areas]
    return first, np.stack(rows)


def _settled(round_: Round, first_day: date, found: Doubted) -> list[str]:
    """Return which readings a later one has settled, the newest first."""
    if not len(found.settled):
        return []
    c, newest = round_.customers, np.argsort(-found.settled[:, 1], kind="stable")
    told = []
    for k in newest[:MOST_SETTLED]:
        i, day = (int(x) for x in found.settled[k])
        how = "set aside" if found.set_aside[k] else "taken as right"
        told.append(f"{c.id[i]} {(first_day + timedelta(days=day)).isoformat()} {how}")
    rest = len(newest) - len(told)
    more = f", and {rest} more" if rest else ""
    return [
        "Readings that disagree with what came before them, settled by a later one or by a person: "
        f"{'; '.join(told)}{more}."
    ]
