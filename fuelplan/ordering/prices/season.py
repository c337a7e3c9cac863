"""The season of prices over the year, published or from a person's own history; drop-size factors."""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fuelplan.messages import (
    Day,
    Listed,
    Message,
    Own,
    Refusal,
    counted_message,
    message,
)

Floats = NDArray[np.float64]

SWISS_SEASON = (1.026, 1.028, 1.029, 1.011, 0.971, 0.974, 0.970, 0.976, 0.988, 1.000, 1.008, 1.018)
"""Swiss monthly pellet prices 2008–2019 against their centred 12-month mean, January to December
(computed from published monthly prices)."""

DROP_SIZE_FACTORS: tuple[tuple[float, float], ...] = ((3000.0, 1.069), (5000.0, 1.028), (8000.0, 1.0))
"""Price per tonne by drop size against 8 t (computed from published prices). [kg, share]"""

FULL_LOAD_KG, FULL_LOAD_AGAINST_6_T = 26000.0, 0.951
"""German 26 t loads cost this share of 6 t loads (computed from the association's 30 months of prices)."""

STUDENT_90 = (3.078, 1.886, 1.638, 1.533, 1.476, 1.440, 1.415, 1.397, 1.383, 1.372)
"""Student's t that 9 in 10 lie below, for 1 to 10 degrees of freedom (any printed table)."""

NORMAL_90 = 1.282

LONGEST_GAP_MONTHS = 2
LEAST_RATIOS_PER_MONTH = 2


class HistoryError(Refusal):
    """A price history that cannot be read; `faults` lists (line, what is wrong), line 0 for the whole."""

    def __init__(self, faults: Sequence[tuple[int, Message]]) -> None:
        """Put all faults into one message."""
        self.faults = tuple(faults)
        said = (_at_line(line, fault) if line else fault for line, fault in self.faults)
        super().__init__(message("history.faults", "{faults}", faults=Listed(tuple(said), "; ")))

    def __reduce__(self) -> tuple[type[HistoryError], tuple[tuple[tuple[int, Message], ...]]]:
        """Return how it is made anew in another process."""
        return type(self), (self.faults,)


def _at_line(line: int, fault: Message) -> Message:
    return message("history.line", "line {line}: {fault}", line=Own(str(line)), fault=fault)


class HistoryTooShort(Refusal):
    """A price history that does not reach over enough years for a season."""


@dataclass(frozen=True)
class PastPrice:
    """What a kilogram cost on a day. [money/kg]"""

    day: date
    per_kg: float


@dataclass(frozen=True)
class SeasonFactors:
    """Price by calendar month against the mean of the year.

    Attributes
    ----------
    factor
        Shape (12,), January first, mean 1.
    sd
        Shape (12,): standard error of each month's factor, 0 where not known.
    years
        Years of prices behind it.
    how
        Where it comes from, as a phrase.
    filled_months
        Months of the history that had no price and were filled from their neighbours.
    """

    factor: Floats
    sd: Floats
    years: float
    how: Message
    filled_months: int = 0

    def of(self, days: ArrayLike) -> Floats:
        """Return the factor on days (datetime64 of any shape); smooth between the middles of the months."""
        day = np.asarray(days, dtype="datetime64[D]")
        month = day.astype("datetime64[M]")
        start = month.astype("datetime64[D]")
        length = ((month + 1).astype("datetime64[D]") - start).astype(float)
        position = month.astype(int) % 12 + ((day - start).astype(float) + 0.5) / length - 0.5
        wrapped = np.concatenate(([self.factor[-1]], self.factor, [self.factor[0]]))
        out: Floats = np.interp(position, np.arange(-1, 13), wrapped)
        return out

    def give_or_take(self) -> Floats:
        """Return how far to either side the truth lies 8 times in 10, shape (12,): Student's t with one year
        less than there are.
        """
        spare = np.array([np.inf, *range(len(STUDENT_90), 0, -1)])
        t = np.interp(1 / max(self.years - 1.0, 1.0), 1 / spare, [NORMAL_90, *STUDENT_90[::-1]])
        out: Floats = float(t) * self.sd
        return out

    def cheapest_month(self) -> int:
        """Calendar month with the lowest factor, 1 for January."""
        return int(np.argmin(self.factor)) + 1

    def dearest_month(self) -> int:
        """Calendar month with the highest factor, 1 for January."""
        return int(np.argmax(self.factor)) + 1


def default_season() -> SeasonFactors:
    """Return the Swiss months 2008–2019, scaled to mean 1."""
    factor = np.array(SWISS_SEASON)
    how = message("season.swiss", "Swiss monthly pellet prices 2008–2019")
    return SeasonFactors(factor / factor.mean(), np.zeros(12), 12.0, how)


def _monthly(prices: Sequence[PastPrice]) -> tuple[int, Floats]:
    """First month, counted from January of year 0, and each month's mean price from there, NaN in gaps."""
    month = np.array([p.day.year * 12 + p.day.month - 1 for p in prices])
    value = np.array([p.per_kg for p in prices])
    first = int(month.min())
    counts = np.bincount(month - first)
    sums = np.bincount(month - first, weights=value)
    means = np.full(len(counts), np.nan)
    np.divide(sums, counts, out=means, where=counts > 0)
    return first, means


def _fill_short_gaps(monthly: Floats) -> tuple[Floats, int]:
    """Fill gaps of up to two months on a straight line of log prices; longer gaps stay open."""
    known = np.flatnonzero(~np.isnan(monthly))
    filled = monthly.copy()
    count = 0
    for a, b in itertools.pairwise(known):
        if 1 < b - a <= LONGEST_GAP_MONTHS + 1:
            at = np.arange(a + 1, b)
            filled[at] = np.exp(np.interp(at, [a, b], np.log(monthly[[a, b]])))
            count += len(at)
    return filled, count


def season_from_history(prices: Sequence[PastPrice]) -> SeasonFactors:
    """Return the season of a price history: months over their centred 12-month mean, by calendar month.

    The centred mean of month t weighs the months t−6 and t+6 by one half (the classical decomposition of a
    monthly series, common practice: without gaps the factors are those of statsmodels' `seasonal_decompose`,
    multiplicative, which takes a second to load and no gaps). Gaps of up to two months are filled, and
    counted; across longer gaps no mean is taken.

    Raises
    ------
    HistoryTooShort
        Fewer than two ratios for some calendar month: about three years of prices are needed.
    """
    if not prices:
        raise HistoryTooShort(
            message(
                "history.empty",
                "the price history is empty; about three years of prices are needed for a season",
            )
        )
    if min(p.per_kg for p in prices) <= 0:
        raise HistoryTooShort(
            message(
                "history.price_of_zero",
                "a price of zero or less stands in the price history; correct or remove that row",
            )
        )
    first, monthly = _monthly(prices)
    filled, count = _fill_short_gaps(monthly)
    weights = np.array([0.5] + [1.0] * 11 + [0.5]) / 12
    ratios: list[list[float]] = [[] for _ in range(12)]
    for t in range(6, len(filled) - 6):
        mean = float(filled[t - 6 : t + 7] @ weights)
        if not np.isnan(mean) and not np.isnan(monthly[t]):
            ratios[(first + t) % 12].append(float(monthly[t]) / mean)
    thin = [i + 1 for i in range(12) if len(ratios[i]) < LEAST_RATIOS_PER_MONTH]
    if thin:
        raise HistoryTooShort(_too_short(prices, int((~np.isnan(monthly)).sum()), thin))
    factor = np.array([np.mean(r) for r in ratios])
    sd = np.array([np.std(r, ddof=1) / np.sqrt(len(r)) for r in ratios])
    years = min(len(r) for r in ratios)
    return SeasonFactors(factor / factor.mean(), sd, float(years), _own(prices), count)


LEFT_BY_WEIGHTS = 0.78
"""Share of the variance of normal errors that the bisquare weights of STL leave (6 median absolute
deviations; computed)."""

LEAST_RUN_MONTHS = 36
"""Months in a row, short gaps filled, from which a robust season is drawn: three of each (our choice)."""


def robust_season(prices: Sequence[PastPrice]) -> SeasonFactors | None:
    """Return the season of a price history in which odd prices count less; None where the longest stretch
    without a long gap is below :data:`LEAST_RUN_MONTHS`.

    Log prices are split into trend, season and remainder by STL with robustness weights (Cleveland,
    Cleveland, McRae & Terpenning, Journal of Official Statistics 6, 1990), the season the same in every year;
    a price of a crisis that :func:`season_from_history` counts in full hardly moves it. The standard errors
    are those of a weighted mean of the month's remainders, what weights, season and trend take from their
    scatter put back.
    """
    from statsmodels.tsa.seasonal import STL

    first, monthly = _monthly(prices)
    filled, count = _fill_short_gaps(monthly)
    start, end = _longest_run(np.isfinite(filled))
    length = end - start
    if length < LEAST_RUN_MONTHS:
        return None
    window = 10 * length + 1 - length % 2  # so wide, and of degree 0, that the season stays the same
    found = STL(np.log(filled[start:end]), period=12, seasonal=window, seasonal_deg=0, robust=True).fit()
    month = (first + start + np.arange(length)) % 12
    factor, sd = np.empty(12), np.empty(12)
    taken = length / (length - 12 - length / 8) / LEFT_BY_WEIGHTS
    for m in range(12):
        mine = month == m
        weight = np.asarray(found.weights)[mine]
        total = max(float(weight.sum()), 1e-9)
        centre = float(weight @ np.asarray(found.resid)[mine]) / total
        factor[m] = np.exp(float(np.asarray(found.seasonal)[mine].mean()) + centre)
        off = np.asarray(found.resid)[mine] - centre
        sd[m] = factor[m] * np.sqrt(taken * float(weight @ off**2) / total**2)
    mean = factor.mean()
    return SeasonFactors(factor / mean, sd / mean, length / 12, _own(prices), count)


def _longest_run(known: NDArray[np.bool_]) -> tuple[int, int]:
    """Return first place and end of the longest row of months with a price."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], known.astype(int), [0]))))
    runs = edges.reshape(-1, 2)
    first, end = runs[int(np.argmax(runs[:, 1] - runs[:, 0]))]
    return int(first), int(end)


def _too_short(prices: Sequence[PastPrice], months: int, thin: Sequence[int]) -> Message:
    first, last = _ends(prices)
    return counted_message(
        "history.too_short",
        "the price history holds {n} month with a price, from {first} to {last}; a season needs every "
        "calendar month in at least two years with six months around it (about three years without long "
        "gaps), and that is missing for the months {thin}; until then leave out price_history, and the usual "
        "season is used",
        "the price history holds {n} months with a price, from {first} to {last}; a season needs every "
        "calendar month in at least two years with six months around it (about three years without long "
        "gaps), and that is missing for the months {thin}; until then leave out price_history, and the usual "
        "season is used",
        months,
        first=first,
        last=last,
        thin=Listed(tuple(thin), ", "),
    )


def _own(prices: Sequence[PastPrice]) -> Message:
    """Return where a season of one's own comes from."""
    first, last = _ends(prices)
    return message("season.own", "own price history, {first} to {last}", first=first, last=last)


def _ends(prices: Sequence[PastPrice]) -> tuple[Day, Day]:
    """Return first and last day of a history."""
    days = [p.day for p in prices]
    return Day(min(days), year=True), Day(max(days), year=True)


_NUMBER = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*$")


def history_from_csv(text: str) -> list[PastPrice]:
    """Read a price history: header `date,price_per_t`, then an ISO date and money per tonne in each row.

    Empty lines and lines that begin with # are passed over. Rows need not be in order or complete.

    Parameters
    ----------
    text
        The whole file.

    Raises
    ------
    HistoryError
        All faulty lines at once.
    """
    faults: list[tuple[int, Message]] = []
    found: list[PastPrice] = []
    header_seen = False
    for number, row in _rows(text):
        if not row or not "".join(row).strip() or row[0].lstrip().startswith("#"):
            continue
        cells = [c.strip() for c in row]
        if not header_seen:
            header_seen = True
            if cells[:2] != ["date", "price_per_t"]:
                said = message("history.first_line", 'the first line must be "date,price_per_t"')
                raise HistoryError([(number, said)])
            continue
        price = _one_row(number, cells, faults)
        if price is not None:
            found.append(price)
    if faults:
        raise HistoryError(faults)
    return found


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield number and cells of each row."""
    reader = csv.reader(io.StringIO(text, newline=""))
    try:
        for row in reader:
            yield reader.line_num, row
    except csv.Error as error:
        said = message("history.not_csv", "this line is not CSV: {why}", why=Own(str(error)))
        raise HistoryError([(reader.line_num, said)]) from None


def _one_row(number: int, cells: list[str], faults: list[tuple[int, Message]]) -> PastPrice | None:
    """Read one row or note what is wrong with it."""
    read = _price_in(cells)
    if isinstance(read, PastPrice):
        return read
    faults.append((number, read))
    return None


def _price_in(cells: list[str]) -> PastPrice | Message:
    """Return the price of a row, or what is wrong with it."""
    if len(cells) != 2:
        return message(
            "history.two_cells",
            'two cells are needed, e.g. "2024-05-14,289.50", not {cells}',
            cells=len(cells),
        )
    try:
        day = date.fromisoformat(cells[0])
    except ValueError:
        said = Own(cells[0][:40])
        return message("history.date", '"{said}" is not a valid date; write it as 2024-05-14', said=said)
    match = _NUMBER.match(cells[1])
    if match is None or "," in cells[1]:
        return message(
            "history.price",
            '"{said}" is not a valid price per tonne; write a number such as 289.50',
            said=Own(cells[1][:40]),
        )
    value = float(match.group(1))
    if not 20 <= value <= 5000:
        return message(
            "history.not_a_price",
            "{price} a tonne cannot be a fuel price; the column is in money per tonne",
            price=Own(cells[1]),
        )
    return PastPrice(day, value / 1000)


def drop_size_factor(kg: ArrayLike) -> Floats:
    """Return the price per tonne of a drop against an 8 t drop, for where only one price is known, shape of
    `kg`. [share]

    Straight lines in 1/kg between the published points, as a fixed cost per drop gives; below 3 t the first
    line is carried on (a modelling choice), above 26 t the factor stays.
    """
    drop = np.asarray(kg, dtype=float)
    if np.any(drop <= 0):
        raise ValueError("a drop needs an amount above zero")
    sizes = [p[0] for p in DROP_SIZE_FACTORS]
    factors = [p[1] for p in DROP_SIZE_FACTORS]
    at_6_t = float(np.interp(-1 / 6000.0, [-1 / s for s in sizes], factors))
    x = np.array([-1 / s for s in [*sizes, FULL_LOAD_KG]])
    y = np.array([*factors, at_6_t * FULL_LOAD_AGAINST_6_T])
    inside = np.interp(-1 / drop, x, y)
    slope = (y[1] - y[0]) / (x[1] - x[0])
    out: Floats = np.where(drop < sizes[0], y[0] + slope * (-1 / drop - x[0]), inside)
    return out
