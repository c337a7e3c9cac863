"""What a supplier's books tell of each customer: signature and level with their doubt, and what may come."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fuelplan.answers.who_is_due.books import customers_of, stated_of
from fuelplan.answers.who_is_due.notes import notes_on_books, once, settled_readings, this_winter
from fuelplan.answers.who_is_due.weather import RoundWeather, area_records, known_for_round, learning_weather
from fuelplan.dispatch import outlook
from fuelplan.dispatch.outlook import (
    CustomerDraws,
    CustomersLearned,
    CustomerStores,
    Doubted,
    Season,
    Summary,
    WinterTables,
)
from fuelplan.learning import ManyPosteriors
from fuelplan.messages import Message, Refusal, message
from fuelplan.records.round import Round
from fuelplan.weather import Winters
from fuelplan.workers import HERE, Crew, done_in_order

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_DAYS = 730


class OutlookInputError(Refusal):
    """A question that the round's books cannot answer, and what to ask instead."""


@dataclass(frozen=True)
class Beliefs:
    """What is believed about all customers of a round on one evening, and the winters they share.

    Attributes
    ----------
    many
        The books and what is believed before they are looked at. Base temperatures are those of the area's
        weather record: what a house lies higher or lower is part of them.
    season
        By how much more than usual the customers of each area burn this winter.
    learned, learned_fuller
        What the books tell of each customer, the season of its area counted: the emptier of the two where a
        reading is open to doubt; and the fuller of the two for those of `doubted`.
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
    season: Season
    learned: CustomersLearned
    learned_fuller: CustomersLearned
    doubted: Doubted
    winters: tuple[Winters, ...]
    tables: WinterTables
    store: CustomerStores
    draws: int
    told_day: NDArray[np.datetime64]
    weather: RoundWeather
    notes: tuple[Message, ...]

    def draw(self, part: slice) -> CustomerDraws:
        """Return the joint draws of the customers of a slice."""
        return self._drawn(self.summary.rows(part))

    @cached_property
    def summary(self) -> Summary:
        """What all draws are made from, with the same random numbers for the same customer and draw."""
        return outlook.summary_of(self.learned, self.days)

    def draw_fuller(self, part: slice) -> CustomerDraws:
        """Return the same of those with a doubted reading, if the fuller of the two is right."""
        return self._drawn(outlook.summary_of(self.learned_fuller.rows(part), self.days))

    def _drawn(self, summary: Summary) -> CustomerDraws:
        base_c = self.tables.base_c
        table = outlook.deviates(self.seed)
        return outlook.draws_of_summary(summary, table, self.draws, float(base_c[0]), float(base_c[-1]))

    @cached_property
    def evenings(self) -> NDArray[np.datetime64]:
        """Shape (days + 1,): the evening of `as_of` and those after it."""
        return np.datetime64(self.as_of, "D") + np.arange(self.days + 1)


def believe(
    round_: Round, weather: RoundWeather, as_of: date, seed: int = 1, days: int = 90,
    draws: int | None = None, learned: Beliefs | None = None, *,
    workers: int = 2, crew: Crew = HERE, progress: Callable[[int, int], None] | None = None,
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
    workers
        Threads of this process, where it does the work.
    crew
        Other processes or machines that learn, in blocks of customers; the answer is the same to the bit.
    progress
        Called with (customers learned, customers).
    """
    if not 1 <= days <= MOST_DAYS:
        raise OutlookInputError(
            message("outlook.days_ahead", "{days} days ahead; ask for 1 to {most}", days=days, most=MOST_DAYS)
        )
    known = known_for_round(round_, weather, as_of)
    winters = outlook.shared_winters(area_records(known), as_of, days, seed)
    draws = outlook.draws_for(len(round_.customers), len(winters[0].year), draws)
    if learned is None:
        many, doubted, told_day = _books(round_, known, as_of)
        alone = _learn(many, workers, crew, progress)
        season = outlook.season_of(alone, round_.customers.area)
        all_ = season.with_it(alone)
        fuller = season.with_it(outlook.learned_of(doubted.fuller, doubted.customer))
    else:
        many, doubted, told_day = learned.many, learned.doubted, learned.told_day
        season, all_, fuller = learned.season, learned.learned, learned.learned_fuller
    tables = outlook.winter_tables(np.stack([w.mean_c for w in winters]), many.sums.base_c)
    c = round_.customers
    reserve = np.minimum(c.reserve_kg, 0.9 * c.store_kg)
    of_weather = [*known.notes, *(note for w in winters for note in w.notes)]
    notes = [
        *this_winter(round_, season),
        *notes_on_books(round_),
        *settled_readings(round_, many.first_day, doubted),
        *once(of_weather),
    ]
    if not outlook.rows_agree(winters):
        notes.append(
            message(
                "outlook.years_differ",
                "The areas' weather records hold different years, so their cold spells are not the same "
                "ones.",
            )
        )
    return Beliefs(
        round=round_,
        as_of=as_of,
        seed=seed,
        days=days,
        many=many,
        season=season,
        learned=all_,
        learned_fuller=fuller,
        doubted=doubted,
        winters=winters,
        tables=tables,
        store=CustomerStores(c.area, reserve, c.store_kg, _groups(round_, as_of)),
        draws=draws,
        told_day=told_day,
        weather=known,
        notes=tuple(notes),
    )


def _books(
    round_: Round, known: RoundWeather, as_of: date
) -> tuple[ManyPosteriors, Doubted, NDArray[np.datetime64]]:
    """Return what is to be learned from, the readings open to doubt, and when last something told of each
    level.
    """
    first_day, mean_c = learning_weather(known, as_of)
    books = customers_of(round_, first_day, as_of)
    priors = outlook.priors_of(stated_of(round_), first_day, mean_c, books, as_of)
    many, doubted = outlook.weigh_readings(outlook.unsolved(priors, first_day, mean_c, books, as_of))
    return many, doubted, outlook.last_told(first_day, books)


def _learn(
    many: ManyPosteriors, workers: int, crew: Crew, progress: Callable[[int, int], None] | None
) -> CustomersLearned:
    """Return what the books tell of every customer."""
    if crew.here:
        return outlook.learned_here(many, workers, progress)
    parts, done = [], 0
    for part in done_in_order(crew, outlook.learned_block, outlook.ground_of(many), outlook.blocks_of(many)):
        parts.append(part)
        done += len(part)
        if progress:
            progress(done, len(many.customers))
    return CustomersLearned.joined(parts)


def _groups(round_: Round, as_of: date) -> Ints:
    """Return the class that each customer's fuel is counted with; those who left are a group beyond these."""
    classes = round_.customers.takes.argmax(axis=1)
    left = round_.customers.gone(as_of + timedelta(days=1))
    return np.where(left, len(round_.table.classes), classes).astype(np.int64)
