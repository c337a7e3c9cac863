"""Degree-days of a weather file, by any published method."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np

from fuelplan.messages import Message, Own, Refusal, counted_message, in_document, message
from fuelplan.weather import Place
from fuelplan.weather import degree_days as rooms
from fuelplan.weather.sources import FileRequest, load

KELVIN_PER_DEGREE = {"degC": 1.0, "degF": 5.0 / 9.0}


@dataclass(frozen=True)
class DegreeDayRow:
    """Degree-days of one period; None where no day of it is known."""

    period: str
    value: float | None
    days: int
    missing: int


@dataclass(frozen=True)
class DegreeDays:
    """Degree-days of a file: rows oldest first, in the unit asked for."""

    method: str
    says: Message
    source: Message
    base: float
    unit: str
    by: str
    rows: tuple[DegreeDayRow, ...]
    total: float
    missing_days: int
    notes: tuple[Message, ...]

    @property
    def unit_said(self) -> Message:
        """Unit and base in words; methods with temperatures of their own take no base."""
        letter, unit = ("°C", "K·d") if self.unit == "degC" else ("°F", "°F·d")
        if not rooms.METHODS[self.method].base:
            return message("degree_days.unit", "degree-days in {unit}", unit=Own(unit))
        return message(
            "degree_days.unit_and_base",
            "degree-days in {unit}, base {base} {degree}",
            unit=Own(unit),
            base=Own(f"{self.base:g}"),
            degree=Own(letter),
        )

    @property
    def described(self) -> Message:
        """Unit, base and method in words."""
        return message(
            "degree_days.described",
            "{unit}, method {method}: {says}",
            unit=self.unit_said,
            method=Own(self.method),
            says=self.says,
        )

    def to_json(self) -> dict[str, Any]:
        """Return the published JSON keys."""
        return {
            "method": self.method,
            "source": in_document(self.source),
            "base": self.base,
            "unit": self.unit,
            "by": self.by,
            "total": round(self.total, 6),
            "missing_days": self.missing_days,
            "rows": [
                {
                    "period": r.period,
                    "degree_days": None if r.value is None else round(r.value, 6),
                    "days": r.days,
                    "missing_days": r.missing,
                }
                for r in self.rows
            ],
            "notes": [in_document(note) for note in self.notes],
        }


def degree_day_methods() -> list[tuple[str, Message]]:
    """Return name of every method, and its meaning with its source."""
    return [
        (
            m.name,
            message("degree_days.method_and_source", "{says} ({source})", says=m.says, source=m.source),
        )
        for m in rooms.METHODS.values()
    ]


def degree_days_of_file(
    path: Path | str,
    base: float = 15.5,
    *,
    unit: Literal["degC", "degF"] | str = "degC",
    method: str = rooms.DEFAULT,
    by: Literal["day", "month", "year"] | str = "year",
) -> DegreeDays:
    """Return the degree-days of a CSV or EPW file.

    Parameters
    ----------
    base
        Base temperature. [`unit`]
    unit
        "degC" or "degF", for the base and the result.
    method
        A name of :func:`degree_day_methods`.
    by
        "day", "month" or "year".

    Raises
    ------
    WeatherFault
        Where the file cannot be used.
    Refusal
        On an unknown method, a base that no method can mean, or data the method needs and the file has not.
    """
    if not np.isfinite(base) or not -60 <= base <= 130:
        raise Refusal(
            message(
                "degree_days.impossible_base",
                "a base temperature of {base} cannot be; write e.g. 15.5 with --unit degC or 65 with --unit "
                "degF",
                base=Own(f"{base:g}"),
            )
        )
    path = Path(path)
    if not path.exists():
        raise Refusal(
            message(
                "degree_days.no_file",
                "there is no file {path}; give a weather file (CSV or EPW)",
                path=Own(str(path)),
            )
        )
    per_degree = KELVIN_PER_DEGREE[unit]
    base_c = base if unit == "degC" else (base - 32.0) * per_degree
    loaded = load(FileRequest(path), Place())
    weather = loaded.weather
    data = rooms.DayData(weather.first_day, weather.mean_c, weather.min_c, weather.max_c, weather.hourly_c)
    found = rooms.degree_days(data, base_c, method=method, by=by)  # type: ignore[arg-type]
    size = {"day": 10, "month": 7, "year": 4}[by]
    rows = tuple(
        DegreeDayRow(
            str(start)[:size], None if np.isnan(value) else float(value) / per_degree, int(days), int(missing)
        )
        for start, value, days, missing in zip(
            found.start, found.values, found.days, found.missing, strict=True
        )
    )
    chosen = rooms.METHODS[method]
    missing = int(found.missing.sum())
    notes = list(loaded.notes)
    if missing:
        notes.append(
            counted_message(
                "degree_days.missing",
                "{n} day is missing from these sums; the true sums are larger.",
                "{n} days are missing from these sums; the true sums are larger.",
                missing,
            )
        )
    return DegreeDays(
        method=method,
        says=chosen.says,
        source=chosen.source,
        base=base,
        unit=unit,
        by=by,
        rows=rows,
        total=float(np.nansum(found.values)) / per_degree,
        missing_days=missing,
        notes=tuple(notes),
    )
