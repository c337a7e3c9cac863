"""One life: a house, its weather, its reader and its supplier, day by day, and what the answers said."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np

from fuelplan import answers
from fuelplan.answers.when_to_order.answer import OrderAnswer
from tests.campaigns.lived_house import asking, checks, faces, folder
from tests.campaigns.lived_house.asking import seen
from tests.campaigns.lived_house.checks import Found
from tests.campaigns.lived_house.entries import Entry
from tests.campaigns.lived_house.person import Person
from tests.campaigns.lived_house.supplier import later
from tests.campaigns.lived_house.world import World

RHYTHM_DAYS = 5
PAGE_EVERY_DAYS = 90
COMMAND_EVERY_DAYS = 45


@dataclass
class Counted:
    """What is counted and shown, and no violation: bands that hold, stores that run empty."""

    asks: int = 0
    inside: int = 0
    below: int = 0
    entries: int = 0
    slips: int = 0
    refused: int = 0
    orders: int = 0
    late_orders: int = 0
    empty: int = 0
    asked_back: int = 0
    needless: int = 0
    asked_again: int = 0
    moved_again: int = 0


@dataclass
class Life:
    """One seed's life so far."""

    seed: int
    path: Path
    world: World
    person: Person
    rng: np.random.Generator
    ask: asking.Ask = asking.ask
    found: Found = field(default_factory=Found)
    counted: Counted = field(default_factory=Counted)
    written: list[Entry] = field(default_factory=list)
    told: list[tuple[date, Any]] = field(default_factory=list)
    last: OrderAnswer | None = None
    days_before: OrderAnswer | None = None
    moved_why: list[str] = field(default_factory=list)
    next_look: date = date.min
    look_after: date | None = None
    to_book: list[tuple[date, Entry]] = field(default_factory=list)
    known_questions: dict[str, date] = field(default_factory=dict)
    needless_on: list[date] = field(default_factory=list)

    # --- a day ----------------------------------------------------------------------------------------------

    def day(self, day: date, number: int) -> None:
        """Live one day: the world first, then what the person does in the evening."""
        happened = self.world.step(day)
        if happened.emptied:
            self._emptied(day)
        todo = self._entries_of(day, happened)
        on_rhythm = number % RHYTHM_DAYS in (0, 1)
        if not todo and not on_rhythm:
            self.last = None
            return
        folder.weather_until(self.path, self.world.weather, day)
        looks_closely = bool(todo) or number % RHYTHM_DAYS == 0
        answer = self._asked(day, whole=looks_closely and not todo)
        if answer is not None and self.last is not None and self.last.as_of == day - timedelta(days=1):
            why = checks.why_jump(self.last, answer)
            self.found.look("order-by date jumps", day, checks.jump(self.last, answer), why)
        self._asked_again(answer, bool(todo), number)
        for i, entry in enumerate(todo):
            answer = self._write(day, entry, answer, whole=i == len(todo) - 1)
        answer = self._answer_questions(day, answer)
        if answer is not None and looks_closely:
            self._look_at(day, answer)
            if number % PAGE_EVERY_DAYS == RHYTHM_DAYS:
                self._page(day, answer)
            if number % COMMAND_EVERY_DAYS == RHYTHM_DAYS:
                self._command_line(day, answer)
            told = answer
            answer = self._act(day, answer)
            if answer is not told:
                self.days_before = None
        self.last = answer

    def _asked_again(self, answer: OrderAnswer | None, entered: bool, number: int) -> None:
        """Count how often the date moves by more than a week from one ask to the next, days later."""
        if number % RHYTHM_DAYS == 0:
            if answer is not None and self.days_before is not None:
                self.counted.asked_again += 1
                if checks.jump(self.days_before, answer):
                    self.counted.moved_again += 1
                    self.moved_why.append(checks.why_jump(self.days_before, answer))
            self.days_before = answer
        if entered:
            self.days_before = None

    def _asked(self, day: date, whole: bool) -> OrderAnswer | None:
        """Ask; a program that cannot answer a sound folder is a violation."""
        self.counted.asks += 1
        try:
            answer = self.ask(self.path, day, whole)
        except Exception as error:  # whatever it is, the person stands there without an answer
            self.found.look("no answer", day, [f"{type(error).__name__}: {str(error)[:200]}"])
            return None
        self.found.look("no answer", day, [])
        return answer

    # --- what is written ------------------------------------------------------------------------------------

    def _entries_of(self, day: date, happened: Any) -> list[Entry]:
        """Return what the person writes down today, in the order of writing."""
        todo = []
        due = [e for when, e in self.to_book if when <= day]
        self.to_book = [(when, e) for when, e in self.to_book if when > day]
        todo += due
        came = happened.delivery
        if came is not None:
            note = self.note_of(day, came)
            if note.kind == "delivery" and self.rng.random() < self.person.books_late:
                self.to_book.append((day + timedelta(days=int(self.rng.integers(2, 30))), note))
            else:
                todo.append(note)
        looks = day >= self.next_look or (self.look_after is not None and day >= self.look_after)
        looks = looks or (came is not None and self.rng.random() < self.person.looks_at_delivery)
        if looks or happened.emptied:
            todo = self._with_look(day, todo, came is not None)
        return todo

    def note_of(self, day: date, came: Any) -> Entry:
        if came.kg <= 0:
            return Entry("failed", day, "", ordered_on=came.ordered_on)
        noted = 20 * round(came.kg / 20) if self.rng.random() < self.person.weigh_note else came.ordered_kg
        weighed = noted != came.ordered_kg
        full = came.full if self.rng.random() > 0.05 else not came.full
        return Entry(
            "delivery", day, f"{noted / 1000:g} t", ordered_on=came.ordered_on, said_kg=noted,
            true_kg=came.kg, doubt_kg=max(0.01 * noted, 20.0) if weighed else max(0.1 * noted, 200.0),
            weighed=weighed,
            filled_full=full, slip="" if full == came.full else "“full” wrongly",
        )  # fmt: skip

    def _with_look(self, day: date, todo: list[Entry], tanker: bool) -> list[Entry]:
        """Put a look before or after the tanker's entry, written in either order."""
        self.next_look = day + timedelta(days=int(self.person.every_days * self.rng.uniform(0.6, 1.4)))
        self.look_after = None
        before = tanker and self.rng.random() < 0.5
        level = self.world.before_kg if before else self.world.level_kg
        look = self.person.slipped(
            self.person.look(day, level, self.world.store, self.rng), self.world.store, self.rng
        )
        if tanker:
            moment = "before delivery" if before else "after delivery"
            look = replace(look, moment=moment, when=moment if self.rng.random() < 0.5 else "")
        return [look, *todo] if self.rng.random() < 0.5 else [*todo, look]

    def _write(self, day: date, entry: Entry, before: OrderAnswer | None, whole: bool) -> OrderAnswer | None:
        """Write an entry, correct what is refused, and look at what it does to the answer."""
        refused = folder.write(self.path, entry, day)
        if refused and entry.slip in {"", "“full” wrongly"}:
            self.found.look("sound entry refused", day, [f"{entry}: {refused[:200]}"])
            return self._asked(day, whole)
        if refused:
            self.counted.refused += 1
            return self._asked(day, whole)  # a slip that is refused is thought over, and not written again
        self.found.look("sound entry refused", day, [])
        self.counted.entries += 1
        self.counted.slips += bool(entry.slip)
        self.written.append(entry)
        after = self._asked(day, whole)
        if after is not None:
            given = entry, before, after, self._line
            self.found.look("entry without effect", day, checks.entry_effect(*given))
            if entry.is_level:
                self.found.look("blended in silence", day, checks.blended(*given))
                self.found.look("date follows the fuller", day, checks.follows_emptier(*given))
        return after

    def _line(self, file: str, line: int) -> str:
        return folder.line_of(self.path, file, line)

    # --- what the answer asks and says ----------------------------------------------------------------------

    def _answer_questions(self, day: date, answer: OrderAnswer | None) -> OrderAnswer | None:
        """Answer what is asked, from what really was; a question that is answered does not come again."""
        for _ in range(3):
            new = [q for q in asking.questions(answer) if self._key(q) not in self.known_questions]
            if not new:
                return answer
            answer = self._settle(day, new[0], answer)
        return answer

    def _key(self, question: dict[str, Any]) -> str:
        rows = [self._line(r["file"], int(r["line"] or 0))[:24] for r in question["about"]]
        return f"{question['code']} {rows}"

    def _about(self, question: dict[str, Any]) -> list[Entry]:
        """Return the entries that a question is about."""
        found = []
        for row in question["about"]:
            text = self._line(row["file"], int(row["line"] or 0))
            found += [
                e
                for e in self.written
                if e.file == row["file"] and e.day.isoformat() in text and e.text in text
            ]
        return found

    def _settle(self, day: date, question: dict[str, Any], answer: OrderAnswer | None) -> OrderAnswer | None:
        self.known_questions[self._key(question)] = day
        self.counted.asked_back += 1
        about = self._about(question)
        needless = question["code"] == "reading_disagrees" and bool(about) and all(e.sound for e in about)
        if needless:
            self.counted.needless += 1
            recent = [d for d in self.needless_on if d > day - timedelta(days=365)]
            self.needless_on.append(day)
            said = [f"{question['text'][:160]}; also on {recent[-1]}"] if recent else []
            self.found.look("needless question", day, said)
        else:
            self.found.look("needless question", day, [])
        choice = self._choice(day, question, about)
        if choice is None or answer is None:
            return answer
        try:
            self._say(day, answer.questions[asking.questions(answer).index(question)], choice)
        except ValueError as error:
            self.found.look("question without effect", day, [f"{question['code']}, {choice}: {error}"])
            return answer
        after = self._asked(day, whole=True)
        still = [] if after is None else [q for q in asking.questions(after) if q["code"] == question["code"]]
        again = [q for q in still if self._key(q) == self._key(question) and choice != "look_again"]
        said = [f"{question['code']} asked again after “{choice}”"] if again else []
        self.found.look("question without effect", day, said)
        return after

    def _say(self, day: date, question: Any, choice: str) -> None:
        """Give an answer to a question, with what the weigh note says where a tanker came."""
        if question.code != "order_overdue":
            answers.settle(self.path, question, choice, as_of=day, today=day)
        elif choice == "came":
            _, note = self.to_book.pop(0)
            self.written.append(note)
            answers.settle(self.path, question, choice, as_of=day, amount=note.text, day=note.day, today=day)
        else:
            until = max([o.comes_on for o in self.world.on_its_way], default=day + timedelta(days=7))
            answers.settle(self.path, question, choice, as_of=day, until=until, today=day)

    def _choice(self, day: date, question: dict[str, Any], about: list[Entry]) -> str | None:
        """Return what the person answers, as it really was."""
        codes = [c["code"] for c in question["choices"]]
        if question["code"] == "reading_disagrees":
            if self.rng.random() < self.person.look_again and "look_again" in codes:
                self.look_after = day + timedelta(days=1)
                return "look_again"
            newest = [e for e in about if e.is_level][-1:]
            return "right" if not newest or newest[0].sound else "wrong"
        if question["code"] == "same_day":
            looks = [e for e in about if e.is_level]
            return "before" if looks and looks[0].moment == "before delivery" else "after"
        if question["code"] == "order_overdue":
            return "came" if self.to_book else "not_yet"
        self.look_after = day + timedelta(days=1)  # only a new reading tells
        return None

    def _look_at(self, day: date, answer: OrderAnswer) -> None:
        """Check one answer, and count its band against the truth."""
        now = seen(answer)
        low, _, high = now.level
        self.counted.inside += low <= self.world.level_kg <= high
        self.counted.below += self.world.level_kg < low
        self.found.look("faces differ", day, checks.face_check(answer))
        self.told.append((day, now))

    def _page(self, day: date, answer: OrderAnswer) -> None:
        words = " ".join(faces.page_of(self.path, day).split())
        said = (
            []
            if " ".join(str(answer.sentence).split()) in words
            else [f"page: another sentence than “{answer.sentence}”"]
        )
        said += [
            f"page: the question “{q['text']}” is not there"
            for q in asking.questions(answer)
            if q["text"] not in words
        ]
        self.found.look("faces differ", day, said)

    def _command_line(self, day: date, answer: OrderAnswer) -> None:
        import json

        document = json.loads(faces.command_line_of(self.path, day, "--json"))
        mine = json.loads(json.dumps(answer.to_json()))
        said = [f"command line: JSON differs in {k}" for k in mine if document.get(k) != mine[k]]
        self.found.look("faces differ", day, said)

    # --- what the person does -------------------------------------------------------------------------------

    def _act(self, day: date, answer: OrderAnswer) -> OrderAnswer | None:
        """Order when the answer says so, or when its date comes before the next look at it."""
        order = answer.order
        if order is None or self.world.on_its_way or self.to_book:
            return answer
        until = day + timedelta(days=RHYTHM_DAYS - 1)
        if answer.decision not in {"order", "late"} and order.order_by > until:
            return answer
        self.counted.orders += 1
        tells = self.rng.random() < self.world.supplier.tells_window
        self.world.place(day, order.amount_kg, self.rng)
        window = self.world.supplier.window(day) if tells else None
        text = f"{order.amount_kg / 1000:g} t"
        return self._write(
            day, Entry("order", day, text, window=window, said_kg=order.amount_kg), answer, whole=True
        )

    def _emptied(self, day: date) -> None:
        """Count an empty store, and look whether anybody had said so in time."""
        self.counted.empty += 1
        longest = (later(day, self.world.supplier.most_days) - day).days + RHYTHM_DAYS
        promised = None
        if self.world.on_its_way:
            promised = later(self.world.on_its_way[0].ordered_on, self.world.supplier.most_days)
        self.found.look("empty without warning", day, checks.unwarned(day, self.told, longest, promised))


def live(seed: int, days: int, ask: asking.Ask = asking.ask) -> Life:
    """Live one house for some days and return what was found."""
    from tests.campaigns.lived_house.begin import begin

    with tempfile.TemporaryDirectory() as place:
        life = begin(seed, days, Path(place) / "house", ask)
        first = life.world.today
        for number in range(days):
            life.day(first + timedelta(days=number), number)
        life.counted.late_orders = life.world.late_orders
        shutil.rmtree(life.path)
    return life
