"""`fuelplan order`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import (
    OK,
    ORDER_DUE,
    day_asked,
    progress,
    reader_of,
    refetch_asked,
    report_errors,
    show_json,
    wrapped,
)

UPKEEP_SHOWN = 5
HOW = {
    "reading_disagrees": 'write "right", "wrong" or "look again" under checked.',
    "same_day": 'write "before delivery" or "after delivery" under when.',
    "order_overdue": 'fill in delivered_on and delivered, a later due_to, or the outcome "cancelled".',
}

if TYPE_CHECKING:
    from fuelplan.answers import Changes, OrderAnswer


def run(
    path: str, as_of: str | None, seed: int, as_json: bool, *, exit_code: bool, us: bool, since: str | None
) -> int:
    """Answer for a folder; with `exit_code` 10 when an order is due."""
    from fuelplan.units import written_for

    with written_for(reader_of(us)):
        return report_errors(lambda: _run(path, as_of, seed, as_json, exit_code, since), as_json=as_json)


def _run(path: str, as_of: str | None, seed: int, as_json: bool, exit_code: bool, since: str | None) -> int:
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
    from fuelplan import units
    from fuelplan.messages import as_text as as_text_of

    title = f"{answer.site}, {units.show_date(answer.as_of, year=True)}"
    lines = [title, "", as_text_of(answer.sentence), ""]
    if changes is not None:
        lines += [*map(wrapped, changes.sentences), ""]
    order = answer.order
    if order is not None:
        odds = units.show_odds(order.risk, answer.weather.draws)
        lines += [
            _row("Order by", units.show_date(order.order_by, year=True)),
            _row(
                "Delivery",
                f"{units.show_date(order.deliver_from)} to {units.show_date(order.deliver_to, year=True)}",
            ),
            _row("Amount", units.show(order.amount_kg, "mass", digits=3)),
            _row("Risk of this order", f"{odds} that the level falls below the reserve first"),
        ]
        if order.cost is not None:
            lines.append(_row("Whole bill", units.show_money(order.cost, answer.currency)))
    for placed in answer.on_its_way:
        amount = units.show(placed.amount_kg, "mass", digits=3)
        span = f"{units.show_date(placed.deliver_from)} to {units.show_date(placed.deliver_to, year=True)}"
        lines.append(_row("On order", f"{amount}, due {span}"))
    lines.append(
        _row(
            "Empty within a year",
            f"{units.show_odds(answer.empty_risk_per_year, answer.weather.draws)}, if the plan is kept "
            f"({answer.weather.behind})",
        )
    )
    for later in answer.next_orders:
        amount = units.show(later.amount_kg, "mass", digits=3)
        lines.append(_row("After that", f"{amount} by about {units.show_date(later.order_by, year=True)}"))
    lines += _year(answer)
    lines += _money(answer)
    lines += _heat_prices(answer) + _logs(answer) + _upkeep(answer)
    lines += [wrapped(warning, "! ") for warning in answer.warnings]
    lines += _asked(answer)
    lines += [
        "",
        "Where the numbers come from:",
        *(wrapped(text, "- ") for text in answer.explanation),
        wrapped(_weather_line(answer), "- "),
    ]
    lines += ["", "Cautions:", *_caution_lines(answer)]
    return "\n".join(lines)


def _caution_lines(answer: OrderAnswer) -> list[str]:
    """Return the cautions; what all of them defer to is said once, at the end."""
    from fuelplan.messages import as_text as as_text_of
    from fuelplan.messages.cautions import DEFER, undeferred

    return [*(wrapped(undeferred(c.text), "- ") for c in answer.cautions), as_text_of(DEFER)]


def _row(name: str, value: str) -> str:
    return f"  {name + ':':<22}{value}"


def _year(answer: OrderAnswer) -> list[str]:
    from fuelplan import units

    year = [use for use in answer.use_kg if use.days == 365]
    said = " and ".join(f"{units.show_range(use.p10, use.p90, 'mass')} of {use.fuel}" for use in year)
    rows = [_row("Next twelve months", said)]
    cost = answer.cost
    if cost.year_p10 is not None and cost.year_p90 is not None:
        low, high = (
            units.show_money(cost.year_p10, answer.currency),
            units.show_money(cost.year_p90, answer.currency),
        )
        rows.append(_row("Their cost", f"{low} to {high} at today's price"))
    return rows


def _money(answer: OrderAnswer) -> list[str]:
    """Return today's choice with its reason, and the year beside simple rules."""
    from fuelplan import units
    from fuelplan.messages import as_text as as_text_of

    advice = answer.advice
    if advice is None:
        return []
    lines = ["", wrapped(advice.reason)]
    if advice.bill is not None and (advice.bill.others or len(advice.bill.lines) > 1):
        bill = advice.bill
        lines += [
            "",
            f"The cheapest bill for {units.show(bill.amount_kg, 'mass', digits=3)} is from {bill.supplier}:",
        ]
        lines += [
            f"  {as_text_of(text):<52}{units.show_money(amount, answer.currency):>14}"
            for text, amount in bill.lines
        ]
        lines += [
            f"  {'instead from ' + name:<52}{units.show_money(total, answer.currency):>14}"
            for name, total in bill.others
        ]
        lines += [wrapped(text, "  not offered: ") for text in bill.refused]
    name, cost, more = "Ways to decide, over a year", "cost", "more"
    lines += ["", f"{name:<34}{cost:>14}{more:>12}{'orders':>9}   empty in a year"]
    for policy in advice.policies:
        title = "this plan" if policy.name == "optimum" else policy.name
        odds = units.show_odds(policy.empty_risk, answer.weather.draws)
        lines.append(
            f"  {title:<32}{units.show_money(policy.cost, answer.currency):>14}"
            f"{units.show_money(policy.more_than_plan, answer.currency):>12}{policy.orders:>9.1f}   {odds}"
        )
    return lines


def _heat_prices(answer: OrderAnswer) -> list[str]:
    """Return what a kilowatt-hour of heat costs with each fuel entered."""
    if not answer.heat_prices:
        return []
    currency = answer.heat_prices[0].currency
    lines = ["", f"{'A kWh of heat costs':<34}{'100ths of ' + currency:>18}{'kg CO2':>10}"]
    for p in answer.heat_prices:
        same = p.high_per_kwh - p.low_per_kwh < 0.0005
        cost = (
            f"{100 * p.per_kwh:.1f}" if same else f"{100 * p.low_per_kwh:.0f} to {100 * p.high_per_kwh:.0f}"
        )
        co2 = "–" if p.co2_kg_per_kwh is None else f"{p.co2_kg_per_kwh:.2f}"
        lines.append(f"  {p.name:<32}{cost:>18}{co2:>10}")
    return [*lines, f"  CO2 by {answer.heat_prices[0].co2_source}; logs by the pile are known to 15 % only"]


def _logs(answer: OrderAnswer) -> list[str]:
    """Return what is to be said about logs."""
    logs = answer.logs
    if logs is None:
        return []
    said = [logs.loading, *([logs.light_next] if logs.light_next else []), *logs.stacks, *logs.cut_by]
    return ["", "Logs:", *(wrapped(text, "- ") for text in said)]


def _upkeep(answer: OrderAnswer) -> list[str]:
    """Return the next upkeep entries."""
    from fuelplan import units
    from fuelplan.messages import as_text as as_text_of

    if not answer.upkeep:
        return []
    rows = []
    for entry in answer.upkeep[:UPKEEP_SHOWN]:
        day = "to answer" if entry.kind == "question" else units.show_date(entry.day, year=True)
        rows.append(wrapped(f"- {day}: {as_text_of(entry.title)}. {as_text_of(entry.text)}"))
    more = len(answer.upkeep) - UPKEEP_SHOWN
    return ["", "Upkeep:", *rows, *([f"  and {more} more entries within a year"] if more > 0 else [])]


def _asked(answer: OrderAnswer) -> list[str]:
    """Return how each question is answered in the files, and the entries that did not move the answer."""
    from fuelplan.messages import as_message, paragraph

    lines = []
    for question in answer.questions:
        rows = " and ".join(f"{row.file}:{row.line} ({row.text})" for row in question.about)
        if question.choices:
            how = f"Answer on the page, or in {rows}: {HOW[question.code]}"
            lines.append(wrapped(paragraph([question.headline, as_message(how)]), "? "))
    if answer.set_aside:
        lines += ["", "Entries that do not count:"]
        lines += [wrapped(e.reason, f"- {e.file}:{e.line} ({e.text}): ") for e in answer.set_aside]
    return lines


def _weather_line(answer: OrderAnswer) -> str:
    note = answer.weather
    text = (
        f"Weather: {note.attribution or note.source}; {note.winters} real winters behind {note.draws:,} draws"
    )
    if note.forecast_days:
        text += f"; the first {note.forecast_days} days led by a forecast"
    return text + "."
