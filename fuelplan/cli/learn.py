"""`fuelplan learn`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from fuelplan.cli.outcome import OK, day_asked, progress, refetch_asked, report_errors, show_json, wrapped

if TYPE_CHECKING:
    from fuelplan.answers import LearnAnswer, PriceSeason, Textbook
    from fuelplan.messages import Message


def run(path: str, as_of: str | None, seed: int, as_json: bool) -> int:
    """Print what the building really burns."""
    return report_errors(lambda: _run(path, as_of, seed, as_json), as_json=as_json)


def _run(path: str, as_of: str | None, seed: int, as_json: bool) -> int:
    from fuelplan import answers

    site = answers.open_site(path)
    day = day_asked(site, as_of)
    weather = answers.weather_for(site, day, progress, refetch=refetch_asked([site]))
    answer = answers.learn(site, weather, day, seed)
    if as_json:
        show_json(answer.to_json())
    else:
        click.echo(as_text(answer))
    return OK


def as_text(answer: LearnAnswer) -> str:
    """Return the finding as a person reads it in a terminal."""
    from fuelplan import units
    from fuelplan.messages import render

    lines = [
        f"{answer.site}, {units.show_date(answer.as_of, year=True)}",
        "",
        *map(wrapped, answer.sentences),
        "",
    ]
    for name, found, unit, digits in (
        ("For each degree-day", answer.kg_per_degree_day, "kg", 2),
        ("Hot water and standby", answer.kg_per_day, "kg a day", 1),
        ("Heating begins below", answer.base_c, "°C", 1),
    ):
        lines.append(
            f"  {name + ':':<24}{found.p50:.{digits}f} {unit}  ({found.p10:.{digits}f} to "
            f"{found.p90:.{digits}f})"
        )
    if answer.cv_rmse is not None and answer.nmbe is not None:
        lines.append(
            f"  {'Scatter, bias:':<24}{answer.cv_rmse:.0%}, {answer.nmbe:+.1%} of the use between readings"
        )
    if answer.intervals:
        lines += [
            "",
            "  "
            f"{'from':<12}{'to':<12}{'days':>6}{'K·d':>8}{'burned kg':>11}{'expected':>10}"
            f"{'sum of difference':>19}",
        ]
        for i in answer.intervals:
            flag = "  set aside" if i.flagged else ""
            lines.append(
                "  "
                f"{i.first_day!s:<12}{i.last_day!s:<12}{i.days:>6.0f}{i.degree_days:>8.0f}{i.used_kg:>11,.0f}"
                f"{i.expected_kg:>10,.0f}{i.cusum_kg:>19,.0f}{flag}"
            )
    lines += ["", *textbook_lines(answer)]
    if answer.price_season is not None:
        lines += ["", *price_lines(answer.price_season, answer.price_season_said)]
    if answer.warming_said is not None:
        lines += ["", wrapped(render(answer.warming_said))]
    lines += ["", *(wrapped(f"! {flag.sentence}") for flag in answer.flags)] if answer.flags else []
    lines += [wrapped(note, "! ") for note in answer.notes]
    return "\n".join(lines)


def textbook_lines(answer: LearnAnswer) -> list[str]:
    """Return where the textbook line parts from what was learned, the line, and what it leaves over."""
    from fuelplan.messages import render

    lines = [wrapped(render(answer.textbook_said))]
    if answer.textbook is not None:
        lines += _coefficients(answer.textbook) + _left_over(answer.textbook)
    return lines


def _coefficients(book: Textbook) -> list[str]:
    title = (
        f"The textbook line: kilograms a day against degree-days a day, {book.intervals} stretches, weighted "
        "by their days."
    )
    lines = ["", wrapped(title), ""]
    for name, key, unit, digits in (
        ("For each degree-day", "kg_per_degree_day", "kg", 2),
        ("Hot water and standby", "kg_per_day", "kg a day", 1),
    ):
        value, se, t, p = (getattr(book, key + part) for part in ("", "_se", "_t", "_p"))
        chance = "below 0.001" if p < 0.001 else f"{p:.3f}"
        tested = f"standard error {se:.{digits}f}, t {t:.1f}, p {chance}"
        lines.append(f"  {name + ':':<24}{value:.{digits}f} {unit}  ({tested})")
    return [
        *lines,
        f"  {'Base temperature:':<24}{book.base_c:.1f} °C  "
        f"({book.base_c_low:.1f} to {book.base_c_high:.1f} fit about as well; the errors take it as known)",
        f"  {'A usual year:':<24}{book.year_kg:,.0f} kg  (standard error {book.year_kg_se:,.0f})",
        f"  {'R², CV(RMSE):':<24}{book.r2:.2f}, {book.cv_rmse:.0%}",
        "",
        wrapped(book.verdict),
    ]


def _left_over(book: Textbook) -> list[str]:
    """Return the residuals, each with its place in a plot, and their cumulative sum with its limits."""
    lines = [
        "",
        f"  {'from':<12}{'to':<12}{'kg a day':>9}{'line':>8}{'left over':>11}  {'less':<10}{'more':>11}"
        f"{'sum':>7}{'limit':>7}",
    ]
    most = max(abs(p.residual_kg_per_day) for p in book.points) or 1.0
    for p in book.points:
        sums = "" if p.cusum is None else f"{p.cusum:>+7.1f}{p.cusum_bound:>7.1f}"
        lines.append(
            f"  {p.first_day!s:<12}{p.last_day!s:<12}{p.kg_per_day:>9.1f}{p.line_kg_per_day:>8.1f}"
            f"{p.residual_kg_per_day:>+11.1f}  {_plotted(p.residual_kg_per_day / most)}{sums}"
            f"{'  unusually high' if p.high else ''}"
        )
    return [*lines, "", wrapped(_sum_said(book))]


def _plotted(share: float) -> str:
    """Return a point at −1 to 1 in a line of 21 characters, zero marked in its middle."""
    marks = ["·"] * 21
    marks[10] = "|"
    marks[10 + round(10 * share)] = "o"
    return "".join(marks)


def _sum_said(book: Textbook) -> str:
    """Return what the cumulative sum says."""
    from fuelplan import units

    if book.points[-1].cusum is None:
        return "Too few stretches for a cumulative sum of what is left over."
    if book.left_limits_on is None:
        return (
            "Sum: what each stretch burned beyond the line through those before it, added up, in standard "
            "deviations. It stays within its limits, which chance passes 1 time in 20."
        )
    return (
        "Sum: what each stretch burned beyond the line through those before it, added up, in standard "
        f"deviations. By {units.show_date(book.left_limits_on, year=True)} it is beyond its limits, which "
        "chance passes 1 time in 20. Something may have changed."
    )


def price_lines(season: PriceSeason, said: tuple[Message, ...]) -> list[str]:
    """Return when fuel is cheap by the folder's own prices, month by month with its error."""
    import calendar

    from fuelplan.messages import render

    lines = [*(wrapped(render(one)) for one in said), ""]
    lines.append(f"  {'price against the mean':<24}{'used':>8}{'8 times in 10':>20}{'STL':>9}")
    for m in range(12):
        within = f"{season.factor_p10[m]:.1%} to {season.factor_p90[m]:.1%}"
        robust = "" if season.robust_factor is None else f"{season.robust_factor[m]:>9.1%}"
        lines.append(f"  {calendar.month_name[m + 1]:<24}{season.factor[m]:>8.1%}{within:>20}{robust}")
    return lines
