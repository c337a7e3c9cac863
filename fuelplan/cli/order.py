"""`fuelplan order`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import (
    OK,
    ORDER_DUE,
    day_asked,
    hung,
    progress,
    refetch_asked,
    show_json,
    wrapped,
)

UPKEEP_SHOWN = 5
NAMES_WIDE, CELLS_WIDE = 30, (34, 14, 20, 16)

if TYPE_CHECKING:
    from fuelplan.answers import Changes, OrderAnswer
    from fuelplan.messages import Message, Value


def run(path: str, as_of: str | None, seed: int, as_json: bool, exit_code: bool, since: str | None) -> int:
    """Answer for a folder; with `exit_code` 10 when an order is due."""
    from fuelplan import answers, units
    from fuelplan.answers import plain

    site = answers.open_site(path)
    day = day_asked(site, as_of)
    weather = answers.weather_for(site, day, progress, refetch=refetch_asked([site]))
    answer = answers.order(site, weather, day, seed)
    changes = None if since is None else answers.what_changed(site, weather, answer, units.parse_date(since))
    if as_json:
        document = answer.to_json()
        show_json(document if changes is None else document | {"changes": plain(changes)})
    else:
        click.echo(as_text(answer, changes))
    return ORDER_DUE if exit_code and answer.decision in {"order", "late"} else OK


def as_text(answer: OrderAnswer, changes: Changes | None = None) -> str:
    """Return the answer as a person reads it in a terminal."""
    from fuelplan.answers.when_to_order import date_rows, facts, origin, year_rows
    from fuelplan.messages import Day, message
    from fuelplan.messages import as_text as text_of

    lines = [f"{answer.site}, {text_of(Day(answer.as_of, year=True))}", "", text_of(answer.sentence), ""]
    if changes is not None:
        lines += [*map(wrapped, changes.sentences), ""]
    lines += [_row(row.name, row.value, row.note) for row in facts(answer)]
    to_place = len(answer.on_its_way)
    lines += [
        _row(row.name, row.said)
        for i, row in enumerate(date_rows(answer))
        if i != to_place or answer.order is None  # the next order stands above
    ]
    lines += [_row(row.name, row.value, row.note) for row in year_rows(answer)]
    lines += [*_money(answer), *_heat_prices(answer), *_logs(answer), *_upkeep(answer)]
    lines += [wrapped(warning, "! ") for warning in answer.warnings]
    lines += _asked(answer)
    lines += [
        *_titled(message("order_cli.origin", "Where the numbers come from:")),
        *(wrapped(said, "- ") for said in origin(answer)),
    ]
    lines += [*_titled(message("order_cli.cautions", "Cautions:")), *_caution_lines(answer)]
    return "\n".join(lines)


def _titled(title: Message) -> list[str]:
    """Return the heading of a part, with a line left free before it."""
    from fuelplan.messages import as_text as text_of

    return ["", text_of(title)]


def _caution_lines(answer: OrderAnswer) -> list[str]:
    """Return the cautions; what all of them defer to is said once, at the end."""
    from fuelplan.messages import as_text as text_of
    from fuelplan.messages.cautions import DEFER, undeferred

    return [*(wrapped(undeferred(c.text), "- ") for c in answer.cautions), text_of(DEFER)]


def _row(name: Message, value: Value, note: Value | str = "") -> str:
    """Return a name with its value, and its note in brackets."""
    from fuelplan.messages import as_message, message
    from fuelplan.messages import as_text as text_of

    if note != "":
        beside = as_message(note) if isinstance(note, str) else note
        value = message("cli.value_with_note", "{value} ({note})", value=value, note=beside)
    return hung(f"  {text_of(name) + ':':<{NAMES_WIDE}} ", value)


def _cells(row: Sequence[Value | str]) -> str:
    """Return a row of a table, figures on the right."""
    from fuelplan.messages import as_text as text_of

    texts = [text_of(cell) for cell in row]
    figures = [f"{text:>{wide}}" for text, wide in zip(texts[1:], CELLS_WIDE[1:], strict=False)]
    rest = [f"   {text}" for text in texts[len(CELLS_WIDE) :]]
    return f"  {texts[0]:<{CELLS_WIDE[0] - 2}}{''.join([*figures, *rest])}"


def _money(answer: OrderAnswer) -> list[str]:
    """Return what a year costs, today's choice with its reason, the bill, and the year under simple rules."""
    from fuelplan.answers.when_to_order import (
        WAYS_HEAD,
        WAYS_LEAD,
        bill_head,
        bill_rows,
        way_notes,
        way_rows,
        year_cost,
    )
    from fuelplan.messages import as_text as text_of

    advice, cost = answer.advice, year_cost(answer)
    lines = [] if cost is None else ["", wrapped(cost)]
    if advice is None:
        return lines
    lines += ["", wrapped(advice.reason)]
    bill = advice.bill
    if bill is not None:
        rows = [(text_of(said), text_of(money)) for said, money in bill_rows(bill, answer.currency)]
        lines += ["", f"{text_of(bill_head(bill))}:", *(f"  {name:<52}{money:>14}" for name, money in rows)]
        lines += [wrapped(said, "  ") for said in (*bill.notes, *bill.refused)]
    if advice.policies:
        lines += ["", wrapped(WAYS_LEAD), *map(_cells, (WAYS_HEAD, *way_rows(answer)))]
        lines += [wrapped(said, "  ") for said in way_notes(answer)]
    return lines


def _heat_prices(answer: OrderAnswer) -> list[str]:
    """Return what a kilowatt-hour of heat costs with each fuel entered."""
    from fuelplan.answers.when_to_order import HEAT_TITLE, heat_head, heat_how, heat_rows
    from fuelplan.messages import as_text as text_of

    if not answer.heat_prices:
        return []
    rows = [tuple(map(text_of, row)) for row in (heat_head(answer), *heat_rows(answer))]
    table = [f"  {name:<32}{cost:>30}{co2:>12}" for name, cost, co2 in rows]
    return ["", f"{text_of(HEAT_TITLE)}:", *table, wrapped(heat_how(answer), "  ")]


def _logs(answer: OrderAnswer) -> list[str]:
    """Return what is to be said about logs."""
    from fuelplan.answers.when_to_order import log_lines, log_rows, tonight_rows
    from fuelplan.messages import message

    logs = answer.logs
    if logs is None:
        return []
    now = [_row(row.name, row.value, row.note) for row in tonight_rows(answer)]
    tonight = [*_titled(message("order_cli.tonight", "Tonight:")), *now] if now else []
    rows = [_row(row.name, row.value, row.note) for row in log_rows(answer)]
    said = (wrapped(line, "- ") for line in log_lines(answer))
    title = _titled(message("order_cli.logs", "Logs:"))
    return [*tonight, *title, wrapped(logs.loading), *rows, *said]


def _upkeep(answer: OrderAnswer) -> list[str]:
    """Return the next upkeep entries."""
    from fuelplan.answers.when_to_order import upkeep_rows
    from fuelplan.messages import as_text as text_of
    from fuelplan.messages import counted_message, message

    if not answer.upkeep:
        return []
    rows = [tuple(map(text_of, row)) for row in upkeep_rows(answer)]
    lines = [wrapped(f"- {when}: {what}. {why}") for when, what, why in rows[:UPKEEP_SHOWN]]
    more = len(rows) - UPKEEP_SHOWN
    if more > 0:
        said = counted_message(
            "order.more_upkeep",
            "and {n} more entry within a year",
            "and {n} more entries within a year",
            more,
        )
        lines.append(wrapped(said, "  "))
    return [*_titled(message("order_cli.upkeep", "Upkeep:")), *lines]


def _asked(answer: OrderAnswer) -> list[str]:
    """Return how each question is answered in the files, and the entries that did not move the answer."""
    from fuelplan.messages import Listed, Own, message, paragraph

    lines = []
    for question in answer.questions:
        if question.choices:
            rows = Listed(tuple(Own(f"{row.file}:{row.line} ({row.text})") for row in question.about))
            answered = message(
                "order.answer_in_files",
                "Answer on the page, or in {rows}: {how}",
                rows=rows,
                how=_how_in_files(question.code),
            )
            lines.append(wrapped(paragraph([question.headline, answered]), "? "))
    if answer.set_aside:
        lines += _titled(message("order_cli.set_aside", "Entries that do not count:"))
        lines += [wrapped(e.reason, f"- {e.file}:{e.line} ({e.text}): ") for e in answer.set_aside]
    return lines


def _how_in_files(code: str) -> Message:
    """Return how a question is answered in the folder's own files."""
    from fuelplan.messages import message

    if code == "reading_disagrees":
        return message("order.write_checked", 'write "right", "wrong" or "look again" under checked.')
    if code == "same_day":
        return message("order.write_when", 'write "before delivery" or "after delivery" under when.')
    return message(
        "order.write_delivered",
        'fill in delivered_on and delivered, a later due_to, or the outcome "cancelled".',
    )
