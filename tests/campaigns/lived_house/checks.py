"""What must hold whenever somebody asks; each check returns what is wrong, and counts that it looked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from fuelplan.answers.when_to_order.answer import OrderAnswer
from tests.campaigns.lived_house import faces
from tests.campaigns.lived_house.asking import Seen, moved, questions, seen, set_aside
from tests.campaigns.lived_house.entries import Entry

JUMP_DAYS = 7
BEYOND_DAYS = 400  # an order this far off may come into sight or leave it
FOLLOWS_DAYS = 7
TITLES = (
    "entry without effect",
    "blended in silence",
    "date follows the fuller",
    "order-by date jumps",
    "faces differ",
    "empty without warning",
    "needless question",
    "question without effect",
    "sound entry refused",
    "no answer",
)


@dataclass(frozen=True)
class Violation:
    """Something that must never be."""

    kind: str
    day: date
    text: str
    why: str = ""


@dataclass
class Found:
    """What the checks of one life counted."""

    made: dict[str, int] = field(default_factory=dict)
    wrong: list[Violation] = field(default_factory=list)

    def look(self, kind: str, day: date, said: list[str], why: str = "") -> None:
        """Count one check and keep what is wrong."""
        assert kind in TITLES, kind
        self.made[kind] = self.made.get(kind, 0) + 1
        self.wrong += [Violation(kind, day, text, why) for text in said]


def entry_effect(
    entry: Entry, before: OrderAnswer | None, after: OrderAnswer, line_of: Callable[[str, int], str]
) -> list[str]:
    """An entry moves the answer, or the answer names it with a reason."""
    if before is None or moved(seen(before), seen(after)):
        return []
    if is_named(entry, after, line_of):
        return []
    return [f"{entry} changes nothing, and nothing is said of it"]


def blended(
    entry: Entry, before: OrderAnswer | None, after: OrderAnswer, line_of: Callable[[str, int], str]
) -> list[str]:
    """A level more than two of its own errors from what was expected is asked about, or named."""
    if before is None or not entry.is_level or entry.day != after.as_of or not far_off(entry, before):
        return []
    if is_named(entry, after, line_of) or entry.when == "before delivery":
        return []  # what lay there before a tanker says nothing against what lies there after it
    low, _, high = seen(before).level
    return [
        f"{entry} = {entry.said_kg:.0f} kg, where {low:.0f} to {high:.0f} kg was expected: taken in silence"
    ]


def far_off(entry: Entry, before: OrderAnswer) -> bool:
    """Whether a reading lies further than two of its own errors outside the range that was expected."""
    low, _, high = seen(before).level
    return entry.said_kg < low - 2 * entry.doubt_kg or entry.said_kg > high + 2 * entry.doubt_kg


def follows_emptier(
    entry: Entry, before: OrderAnswer | None, after: OrderAnswer, line_of: Callable[[str, int], str]
) -> list[str]:
    """While a reading is asked about, the date is not later than the emptier of the two has it."""
    if before is None or not entry.is_level or entry.day != after.as_of:
        return []
    if not is_asked(entry, after, line_of):
        return []
    was, now = seen(before).order_by, seen(after).order_by
    if was is None or (now is not None and now <= was + timedelta(days=FOLLOWS_DAYS)):
        return []
    return [f"{entry} is asked about, and the date moves from {was} to {now}"]


def jump(yesterday: OrderAnswer, today: OrderAnswer) -> list[str]:
    """Without a new entry the order-by date does not move by more than seven days overnight.

    Where the date hangs on a hair the answer may say so, with the other date in its words.
    """
    a, b = seen(yesterday), seen(today)
    if _names(yesterday, b.order_by) or _names(today, a.order_by):
        return []
    first, second = a.order_by, b.order_by
    if first is None and second is None:
        return []
    if first is None or second is None:
        there = first or second
        assert there is not None
        if there >= a.day + timedelta(days=BEYOND_DAYS):
            return []
        return [f"order by {first} and, a day later, {second}"]
    off = (second - first).days
    return [] if abs(off) <= JUMP_DAYS else [f"order by {first} and, a day later, {second} ({off:+d} days)"]


def _names(answer: OrderAnswer, day: date | None) -> bool:
    """Whether a warning names two dates, one of them within seven days of this; None is far off."""
    for warning in map(str, answer.warnings):
        named = [date.fromisoformat(d) for d in faces.dates_in(warning, answer.as_of)]
        if day is None:
            fits = any(d >= answer.as_of + timedelta(days=BEYOND_DAYS) for d in named)
        else:
            fits = any(abs((d - day).days) <= JUMP_DAYS for d in named)
        if len(named) > 1 and fits:
            return True
    return False


def why_jump(yesterday: OrderAnswer, today: OrderAnswer) -> str:
    """Return what else changed overnight, to sort the jumps by."""
    a, b = seen(yesterday), seen(today)
    said: list[str] = []
    if set(_flags(yesterday)) != set(_flags(today)):
        said.append("another reading or spell doubted")
    if a.decision != b.decision:
        said.append(f"decision {a.decision} to {b.decision}")
    if (a.order_by is None) != (b.order_by is None):
        said.append("order comes or goes")
    if (yesterday.weather.winters, yesterday.weather.draws) != (today.weather.winters, today.weather.draws):
        said.append("other winters")
    if yesterday.weather.forecast_days != today.weather.forecast_days:
        said.append("forecast")
    if abs(a.level[1] - b.level[1]) > 100 + 0.02 * a.level[1]:
        said.append("level moved")
    if a.placed != b.placed:
        said.append("orders on their way")
    return ", ".join(said) or "nothing else changed"


def _flags(answer: OrderAnswer) -> list[str]:
    said = map(str, answer.warnings)
    return [w for w in said if "reading of" in w or "between" in w or "last reading" in w]


def face_check(answer: OrderAnswer) -> list[str]:
    """All faces of an answer say the same."""
    return faces.disagreements(answer)


def is_named(entry: Entry, answer: OrderAnswer, line_of: Callable[[str, int], str]) -> bool:
    """Whether an answer names an entry: asks about it, sets it aside, or speaks of its day."""
    if is_asked(entry, answer, line_of) or is_aside(entry, answer, line_of):
        return True
    day = f"{entry.day.day} {faces.MONTHS[entry.day.month - 1]}"
    return any(day in str(text) for text in (*answer.warnings, *answer.explanation))


def is_asked(entry: Entry, answer: OrderAnswer, line_of: Callable[[str, int], str]) -> bool:
    """Whether a question is about the entry."""
    return any(_is(entry, row, line_of) for q in questions(answer) for row in q["about"])


def is_aside(entry: Entry, answer: OrderAnswer, line_of: Callable[[str, int], str]) -> bool:
    """Whether the entry is named as not counted, with a reason."""
    return any(_is(entry, row, line_of) and row.get("reason") for row in set_aside(answer))


def _is(entry: Entry, row: dict[str, Any], line_of: Callable[[str, int], str]) -> bool:
    """Whether a row named by file and line is the entry."""
    text = line_of(row["file"], int(row["line"] or 0))
    return row["file"] == entry.file and entry.day.isoformat() in text and entry.text in text


def unwarned(
    empty_on: date, told: list[tuple[date, Seen]], longest_days: int, promised: date | None
) -> list[str]:
    """An empty store was foretold in time for the longest lead time the supplier names.

    Foretold is: an answer, old enough for an order with that lead time to have come, asked for an order by
    then, or gave a day in 2 of 100 cases at the latest on which the level would be below the reserve; or the
    supplier broke his word on an order that was placed as the answers asked.
    """
    if promised is not None and promised < empty_on:
        return []
    in_time = empty_on - timedelta(days=longest_days)
    heard = [s for day, s in told if day <= in_time]
    if not heard:
        return []  # the house was not asked about so long before
    if any(
        s.order_by is not None and s.order_by <= in_time and s.day >= in_time - timedelta(days=120)
        for s in heard
    ):
        return []
    last = heard[-1]
    gone = last.run_out[0]
    if gone is not None and gone <= empty_on:
        return []
    return [
        f"empty on {empty_on}; the answer of {last.day} said order by {last.order_by}, 2 in 100 from {gone}"
    ]
