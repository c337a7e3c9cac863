"""Chimney sweeping by the rule of the place: asked for, never assumed."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from fuelplan.messages import Message, counted_message, message, paragraph
from fuelplan.ordering.upkeep.item import UpkeepError, UpkeepItem, said_day

CAUTION_IDS = ("sweeping",)


@dataclass(frozen=True)
class SweepingRule:
    """What the place asks for.

    Attributes
    ----------
    times_a_year
        Sweepings a year, one or more.
    months
        In which months, if the sweep said so; else evenly from the last one.
    said_by
        Who said so, for people, as a phrase.
    """

    times_a_year: int
    months: tuple[int, ...] = ()
    said_by: Message = field(default_factory=lambda: message("sweeping.your_sweep", "your chimney sweep"))

    def __post_init__(self) -> None:
        """Refuse rules that cannot be."""
        if not 1 <= self.times_a_year <= 12:
            raise UpkeepError(
                counted_message(
                    "sweeping.times",
                    "{n} sweeping a year cannot be; write a number from 1 to 12",
                    "{n} sweepings a year cannot be; write a number from 1 to 12",
                    self.times_a_year,
                )
            )
        if self.months and (
            len(self.months) != self.times_a_year or not all(1 <= m <= 12 for m in self.months)
        ):
            raise UpkeepError(
                counted_message(
                    "sweeping.months",
                    "{n} sweeping a year needs one month, from 1 to 12",
                    "{n} sweepings a year need as many months, each from 1 to 12",
                    self.times_a_year,
                )
            )


def sweeping_items(
    as_of: date, until: date, rule: SweepingRule | None, *, last_swept: date | None = None, logs: bool = False
) -> tuple[UpkeepItem, ...]:
    """Return the sweepings due after `as_of` up to `until`, or the question where no rule is known.

    Parameters
    ----------
    rule
        The local rule; None brings the question and no date.
    last_swept
        Last sweeping; None: the first is proposed within a month.
    logs
        Whether logs are fed by hand: some places ask for more then.

    Raises
    ------
    UpkeepError
        A last sweeping after `as_of`.
    """
    if rule is None:
        return (_question(as_of, logs),)
    if last_swept is not None and last_swept > as_of:
        raise UpkeepError(
            message(
                "sweeping.swept_later",
                "last swept on {swept}, after {day}; write a day that has passed",
                swept=said_day(last_swept),
                day=said_day(as_of),
            )
        )
    days = _in_months(as_of, until, rule) if rule.months else _evenly(as_of, until, rule, last_swept)
    return tuple(
        UpkeepItem(
            day,
            "sweeping",
            message("sweeping.sweeping", "Chimney sweeping"),
            counted_message(
                "sweeping.due",
                "Due about {day}: once a year, as {who} asks. The boiler must be cold; arrange the day with "
                "the sweep.",
                "Due about {day}: {n} times a year, as {who} asks. The boiler must be cold; arrange the day "
                "with the sweep.",
                rule.times_a_year,
                day=said_day(day),
                who=rule.said_by,
            ),
            CAUTION_IDS,
            None,
            f"sweeping-{day.year}-{number}",
        )
        for number, day in enumerate(days)
    )


def _question(as_of: date, logs: bool) -> UpkeepItem:
    said = [
        message(
            "sweeping.not_known",
            "How often this chimney must be swept is a rule of your place and is not known here. Twice a "
            "year is common for boilers that burn logs and pellets (common practice).",
        )
    ]
    if logs:
        more = message("sweeping.more_by_hand", "Where logs are fed by hand, some places ask for more.")
        said.append(more)
    said.append(message("sweeping.ask_and_enter", "Ask the chimney sweep and enter the answer."))
    return UpkeepItem(
        as_of,
        "question",
        message("sweeping.ask", "Ask how often the chimney must be swept"),
        paragraph(said),
        CAUTION_IDS,
        None,
        "sweeping-question",
    )


def _evenly(as_of: date, until: date, rule: SweepingRule, last: date | None) -> list[date]:
    gap = timedelta(days=round(365.25 / rule.times_a_year))
    day = as_of + timedelta(days=30) if last is None else last + gap
    day = max(day, as_of + timedelta(days=1))  # overdue: at once
    days = []
    while day <= until:
        days.append(day)
        day += gap
    return days


def _in_months(as_of: date, until: date, rule: SweepingRule) -> list[date]:
    days = (date(y, m, 15) for y in range(as_of.year, until.year + 1) for m in sorted(rule.months))
    return [d for d in days if as_of < d <= until]
