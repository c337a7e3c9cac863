"""`fuelplan size`."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import click

from fuelplan.cli.outcome import (
    OK,
    WIDTH,
    day_asked,
    progress,
    reader_of,
    refetch_asked,
    report_errors,
    show_json,
    wrapped,
)

if TYPE_CHECKING:
    from fuelplan.answers import SizeAnswer
    from fuelplan.answers.how_big import HopperPart

MARKS = {"met": "met", "not met": "NOT MET", "ask": "ask"}


def run(path: str, as_of: str | None, seed: int, as_json: bool, cellar: str | None, *, us: bool) -> int:
    """Print how big store, hopper and buffer should be."""
    from fuelplan.units import written_for

    with written_for(reader_of(us)):
        return report_errors(lambda: _run(path, as_of, seed, as_json, cellar), as_json=as_json)


def _run(path: str, as_of: str | None, seed: int, as_json: bool, cellar: str | None) -> int:
    answer = answer_for(path, as_of, seed, cellar)
    if as_json:
        show_json(answer.to_json())
    else:
        click.echo(as_text(answer))
    return OK


def answer_for(path: str, as_of: str | None, seed: int, cellar: str | None) -> SizeAnswer:
    """Return the answer for a folder, with the room that was asked about."""
    from fuelplan import answers

    room = None if cellar is None else cellar_asked(cellar)
    site = answers.open_for_sizing(path)
    day = day_asked(site, as_of)
    weather = answers.weather_for(site, day, progress, refetch=refetch_asked([site]))
    return answers.size(site, weather, day, seed, cellar=room)


def cellar_asked(text: str) -> Any:
    """Return the room of "2.1 x 2.6 x 2.2 m": length, width, height.

    Raises
    ------
    ValueError
        Where it is none.
    """
    from fuelplan import answers, units

    parts = [p.strip() for p in re.split(r"[x×*]", text.strip())]
    unit = re.search(r"[A-Za-z]+$", parts[-1])
    if len(parts) != 3 or unit is None:
        raise ValueError(
            f'"{text}" is not a valid room; '
            f'write length, width and height with their unit, e.g. "2.1 x 2.6 x 2.2 m"'
        )
    sides = [units.parse(p if re.search(r"[A-Za-z]$", p) else f"{p} {unit[0]}", "length") for p in parts]
    return answers.cellar_of(*sides)


def as_text(answer: SizeAnswer) -> str:
    """Return the answer as a person reads it in a terminal."""
    from fuelplan import units
    from fuelplan.messages import as_text as text_of

    lines = [
        f"{answer.site}, {units.show_date(answer.as_of, year=True)}",
        "",
        wrapped(answer.sentence),
        "",
        wrapped(answer.present_said),
    ]
    lines += ["", "Why:", _hung("  ", answer.why), "", *_sizes(answer)]
    if answer.hopper is not None:
        lines += ["", *_hopper(answer.hopper)]
    if answer.cellar is not None:
        lines += ["", "The room in question:", _hung("  ", answer.cellar.sentence), *_builds(answer)]
    thumbs = [wrapped(f"- {t.sentence}") for t in answer.rules_of_thumb]
    thumbs += [wrapped(f"- {answer.order_mark}")] if answer.order_mark else []
    lines += ["", "Rules of thumb beside it:", *thumbs] if thumbs else []
    lines += ["", "Fit for delivery, and the store's own needs (no verdict of law):", *_fit(answer)]
    lines += [wrapped(warning, "! ") for warning in answer.warnings]
    lines += [
        "",
        "Where the numbers come from:",
        *(wrapped(f"- {text_of(a.text)} ({text_of(a.source)}).") for a in answer.assumptions),
        _weather(answer),
    ]
    own = answer.open_questions[
        : len(answer.open_questions) - sum(line.answer == "ask" for line in answer.fit)
    ]
    lines += (
        ["", "Still to ask, besides the lines marked ask:", *(wrapped(q, "- ") for q in own)] if own else []
    )
    return "\n".join([*lines, "", "Cautions:", *caution_lines(answer)])


def _sizes(answer: SizeAnswer) -> list[str]:
    from fuelplan import units
    from fuelplan.answers.how_big import option_said

    cost = f"cost a year, {answer.currency}"
    wide = _width(6, [option_said(answer, o) for o in answer.options])
    full = _width(7, [units.show(o.usable_kg, "mass") for o in answer.options])
    told = _width(14, [o.empty_said for o in answer.options])
    rows = [
        "  "
        f"{answer.thing:>{wide}}{'to use':>{full}}{'lasts':>12}{'deliveries':>12}"
        f"{'winters empty':>{told}}{'lowest':>10}{cost:>20}"
    ]
    hopeless = [o for o in answer.options if o.problem is not None and o.problem.startswith("can never")]
    for o in answer.options:
        if o in hopeless and o is not hopeless[-1]:
            continue  # the largest of those that can never work stands for all
        first = (
            f"  {option_said(answer, o):>{wide}}{units.show(o.usable_kg, 'mass'):>{full}}"
            f"{_years(o.years_stock):>12}"
        )
        if o in hopeless:
            rows.append(
                f"{first}   {'this and less ' if len(hopeless) > 1 else ''}can never work: too small for the "
                "smallest drop"
            )
            continue
        mark = " <- cheapest" if o is answer.store else ""
        rows.append(
            f"{first}{o.deliveries_per_year:>12.1f}{o.empty_said:>{told}}"
            f"{units.show(o.lowest_kg, 'mass'):>10}"
            f"{o.yearly_cost:>20,.0f}{mark}"
        )
    return rows


def _width(least: int, cells: Iterable[str]) -> int:
    """Return how wide a column must be, two blanks before the longest cell included."""
    return 2 + max([least, *map(len, cells)])


def _years(years: float) -> str:
    return f"{12 * years:.0f} months" if years < 1.95 else f"{years:.1f} years"


def _hopper(hopper: HopperPart) -> list[str]:
    from fuelplan import units
    from fuelplan.answers.how_big import hours_words

    lines = ["Day hopper:", _hung("  ", hopper.why)]
    lines += [_hung("  ! ", f"{p[0].upper()}{p[1:]}.") for p in hopper.problems]
    lines.append(f"  {'holds':>8}{'fillings a day':>16}{'coldest week':>14}{'nights empty':>14}   mostly at")
    for o in hopper.options:
        works = "" if o.works_in_coldest_week else "; interrupted in the coldest week"
        lines.append(
            "  "
            f"{units.show(o.size_kg, 'mass'):>8}{o.fillings_per_day:>16.1f}"
            f"{o.fillings_per_day_coldest_week:>14.1f}"
            f"{o.nights_empty_per_winter:>14.0f}   {hours_words(o.main_hours)}{works}"
        )
    if hopper.bags_per_week is not None:
        lines.append(
            f"  Bags to carry: about {hopper.bags_per_day:.1f} a day and {hopper.bags_per_week:.0f} a week "
            "over the year, "
            f"{hopper.bags_per_week_coldest} in the coldest week."
        )
    return lines


def _builds(answer: SizeAnswer) -> Iterable[str]:
    from fuelplan import units

    assert answer.cellar is not None
    full = _width(
        6, [units.show(b.usable_kg, "mass") for b in answer.cellar.builds if b.usable_kg is not None]
    )
    yield f"  {'to use':>{full}}{'winters empty':>16}   floor"
    for i, b in enumerate(answer.cellar.builds):
        if b.usable_kg is not None:
            mark = " <- best" if i == answer.cellar.best else ""
            words = b.words
            yield f"  {units.show(b.usable_kg, 'mass'):>{full}}{b.empty_winters or 0:>16}   {words}{mark}"
    left = sum(b.usable_kg is None for b in answer.cellar.builds)
    if left:
        yield f"  {left} further ways cannot be built: their sloped floors would reach the ceiling."


def _fit(answer: SizeAnswer) -> list[str]:

    return [
        _hung(
            f"  {MARKS[f.answer]:<9}",
            f"{f.question}: {f.guidance} ({f.source}). {f.seen[0].upper()}{f.seen[1:]}.",
        )
        for f in answer.fit
    ]


def _hung(first: str, text: str) -> str:
    """Return a paragraph whose further lines stand under its first word."""
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_on_hyphens=False,
    )


def _weather(answer: SizeAnswer) -> str:
    w = answer.weather
    return wrapped(
        f"- Weather: {w.attribution or w.source}; {w.winters} real winters, {w.first_day.year} to "
        f"{w.last_day.year}."
    )


def caution_lines(answer: SizeAnswer) -> list[str]:
    """Return the cautions; what all of them defer to is said once, at the end."""
    from fuelplan.messages import as_text
    from fuelplan.messages.cautions import DEFER, undeferred

    return [*(wrapped(undeferred(c.text), "- ") for c in answer.cautions), as_text(DEFER)]
