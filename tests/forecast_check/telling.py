"""The check as a table and a plain sentence."""

from __future__ import annotations

from tests.forecast_check.held_back import Check, Line


def table(check: Check) -> str:
    """Return the table: hits of the 80 % and 96 % band by length of window, with clustered intervals and
    scores."""
    head = (
        "window   inside 80 % band          inside 96 % band          years   CRPS     pinball 2 % / 98 %\n"
        "                                                                     K·d      K·d"
    )
    rows = [head]
    for line in check.lines:
        rows.append(
            f"{line.days:4d} d   {_band(line, 80):<24}  {_band(line, 96):<24}  {line.years:5d}  "
            f"{line.crps:6.1f}"
            f"   {line.pinball_02:5.2f} / {line.pinball_98:5.2f}"
        )
    return "\n".join(rows)


def by_year(check: Check) -> str:
    """Return the hits of each held-back year, a row per year: windows inside the 80 % band of those
    judged."""
    years = sorted({year for line in check.lines for year in line.by_year})
    rows = ["year   " + "".join(f"{line.days:>4d} d 80 % / 96 % of n   " for line in check.lines)]
    for year in years:
        cells = []
        for line in check.lines:
            n, a, b = line.by_year.get(year, (0, 0, 0))
            cells.append(f"{a:6d} / {b:4d} of {n:4d}     ")
        rows.append(f"{year}   " + "".join(cells))
    return "\n".join(rows)


def _band(line: Line, band: int) -> str:
    hits = line.hits_80 if band == 80 else line.hits_96
    if not line.n:
        return "no windows"
    interval = line.interval(band)
    between = "" if interval is None else f" ({100 * interval[0]:.0f}–{100 * interval[1]:.0f} %)"
    return f"{hits}/{line.n} = {100 * hits / line.n:.0f} %{between}"


def in_plain_words(check: Check) -> str:
    """Return what the table proves, and how little."""
    years = max((line.years for line in check.lines), default=0)
    least = 100.0 * (1.0 - 0.05 ** (1.0 / max(years, 1)))
    return (
        f"{years} {'year stands' if years == 1 else 'years stand'} behind this table. All windows of "
        "one year share "
        f"that year's weather, so thousands of windows still count as {years}. Even if no year had "
        "gone wrong, a "
        f"failure in up to {least:.0f} % of years could not be ruled out (95 % confidence): such a "
        "record can show that "
        "a band is badly too narrow, but not that a risk of 1 in 50 is right."
    )
