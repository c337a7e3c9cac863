"""`fuelplan order`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import OK, ORDER_DUE, day_asked, guarded, progress, show_json, wrapped

if TYPE_CHECKING:
    from fuelplan.answers import OrderAnswer
    from fuelplan.units import System


def run(path: str, as_of: str | None, seed: int, as_json: bool, *, exit_code: bool, us: bool) -> int:
    """Answer for a folder; with `exit_code` 10 when an order is due."""
    return guarded(lambda: _run(path, as_of, seed, as_json, exit_code, us), as_json=as_json)


def _run(path: str, as_of: str | None, seed: int, as_json: bool, exit_code: bool, us: bool) -> int:
    from fuelplan import answers

    site = answers.open_site(path)
    day = day_asked(site, as_of)
    weather = answers.weather_for(site, day, progress)
    answer = answers.order(site, weather, day, seed)
    if as_json:
        show_json(answer.to_json())
    else:
        click.echo(as_text(answer, "us" if us else "metric"))
    return ORDER_DUE if exit_code and answer.decision in {"order", "late"} else OK


def as_text(answer: OrderAnswer, system: System) -> str:
    """Return the answer as a person reads it in a terminal."""
    from fuelplan import units
    from fuelplan.answers.order_words import sentence

    lines = [f"{answer.site}, {units.show_date(answer.as_of, year=True)}", "", sentence(answer, system), ""]
    order = answer.order
    if order is not None:
        odds = units.show_odds(order.risk, answer.weather.draws)
        lines += [
            _row("Order by", units.show_date(order.order_by, year=True)),
            _row("Delivery", f"{units.show_date(order.deliver_from)} to {units.show_date(order.deliver_to, year=True)}"),
            _row("Amount", units.show(order.amount_kg, "mass", system)),
            _row("Risk of this order", f"{odds} that the level falls below the reserve first"),
        ]
        if order.cost is not None:
            lines.append(_row("Price", units.show_money(order.cost, answer.currency)))
    for placed in answer.placed:
        amount = units.show(placed.amount_kg, "mass", system)
        span = f"{units.show_date(placed.deliver_from)} to {units.show_date(placed.deliver_to, year=True)}"
        lines.append(_row("On order", f"{amount}, due {span}"))
    lines.append(_row("Empty within a year", f"{units.show_odds(answer.empty_risk_per_year, answer.weather.draws)}, if the plan is kept"))
    for later in answer.next_orders:
        amount = units.show(later.amount_kg, "mass", system)
        lines.append(_row("After that", f"{amount} by about {units.show_date(later.order_by, year=True)}"))
    lines += _year(answer, system)
    lines += [wrapped(f"! {warning}") for warning in answer.warnings]
    lines += ["", "Where the numbers come from:", *(wrapped(f"- {text}") for text in (*answer.explanation, _weather_line(answer)))]
    lines += ["", "Cautions:", *_caution_lines(answer)]
    return "\n".join(lines)


def _caution_lines(answer: OrderAnswer) -> list[str]:
    """Return the cautions; what all of them defer to is said once, at the end."""
    from fuelplan.cautions import DEFER

    return [*(wrapped(f"- {caution.text.removesuffix(DEFER).strip()}") for caution in answer.cautions), DEFER]


def _row(name: str, value: str) -> str:
    return f"  {name + ':':<22}{value}"


def _year(answer: OrderAnswer, system: System) -> list[str]:
    from fuelplan import units

    use = answer.use_kg[-1]
    rows = [_row("Next twelve months", f"{units.show_range(use.p10, use.p90, 'mass', system)} of {use.fuel}")]
    cost = answer.cost
    if cost.year_p10 is not None and cost.year_p90 is not None:
        low, high = units.show_money(cost.year_p10, answer.currency), units.show_money(cost.year_p90, answer.currency)
        rows.append(_row("Their cost", f"{low} to {high} at today's price"))
    return rows


def _weather_line(answer: OrderAnswer) -> str:
    note = answer.weather
    text = f"Weather: {note.attribution or note.source}; {note.winters} real winters behind {note.draws:,} draws"
    if note.forecast_days:
        text += f"; the first {note.forecast_days} days led by a forecast"
    return text + "."
