"""What the level chart shows, in words, as a table and as a file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fuelplan.answers.when_to_order import LevelBand, OrderAnswer, amount
from fuelplan.messages import Day, Message, Own, Quantity, Range, message, paragraph

RESERVE = message("chart.level_reserve", "reserve")
FULL = message("chart.level_full", "store full")
DELIVERY = message("chart.level_delivery", "delivery")
TIP_DAY = message("chart.level_tip_day", "Day")
TIP_USUAL = message("chart.level_tip_usual", "Usual")
TIP_RANGE = message("chart.level_tip_range", "8 in 10 winters")
TIP_LOW = message("chart.level_tip_low", "Only 1 in 50 is lower")


def order_by(day: date) -> Message:
    """Return the name of the line on the last day to order."""
    return message("chart.level_order_by", "order by {day}", day=Day(day))


def band_of(answer: OrderAnswer, fuel: str | None, with_plan: bool) -> LevelBand | None:
    """Return the level band of a fuel with or without the plan, where the answer holds one.

    `fuel` is None for that of the bulk store.
    """
    fuel = fuel or answer.stocks[0].fuel
    return next((b for b in answer.levels if b.fuel == fuel and b.with_plan is with_plan), None)


def near_days(answer: OrderAnswer, fuel: str | None = None) -> int:
    """Return how many days show the decision: past the delivery and the run-out range, at least 120."""
    fuel = fuel or answer.stocks[0].fuel
    ends = [p.deliver_to for p in answer.on_its_way if p.fuel == fuel]
    if answer.order and answer.order.fuel == fuel:
        ends.append(answer.order.deliver_to)
    run_out = next((r for r in answer.run_out if r.fuel == fuel), None)
    if run_out and run_out.p50:
        ends.append(run_out.p90 or run_out.p50)
    furthest = max(((end - answer.as_of).days for end in ends), default=0)
    return min(max(120, furthest + 28), answer.horizon_days)


def level_alt(answer: OrderAnswer, fuel: str | None = None) -> Message:
    """Return in words what the level chart shows, for people who cannot see it."""
    fuel = fuel or answer.stocks[0].fuel
    stock = next(s for s in answer.stocks if s.fuel == fuel)
    said = [
        message(
            "chart.level",
            "Level of {fuel} in the store from {day} on. It starts at {range}; the reserve is {reserve}, the "
            "full store {full}.",
            fuel=Own(fuel),
            day=Day(answer.as_of, year=True),
            range=Range(stock.p10_kg, stock.p90_kg, "mass"),
            reserve=Quantity(stock.reserve_kg, "mass"),
            full=Quantity(stock.capacity_kg, "mass"),
        )
    ]
    run_out = next((r for r in answer.run_out if r.fuel == fuel), None)
    if run_out and run_out.p50:
        said.append(_falls(run_out.p50, run_out.p02))
    for placed in answer.on_its_way:
        said.append(
            message(
                "chart.level_ordered",
                "{amount} already ordered may come from {first} to {last}.",
                amount=amount(placed.amount_kg),
                first=Day(placed.deliver_from),
                last=Day(placed.deliver_to, year=True),
            )
        )
    if answer.order:
        said.append(
            message(
                "chart.level_to_order",
                "Ordered by {day}, {amount} come between {first} and {last}.",
                day=Day(answer.order.order_by, year=True),
                amount=amount(answer.order.amount_kg),
                first=Day(answer.order.deliver_from),
                last=Day(answer.order.deliver_to, year=True),
            )
        )
    return paragraph(said)


def _falls(usual: date, hard: date | None) -> Message:
    day = Day(usual, year=True)
    if hard is None:
        return message(
            "chart.level_falls", "If nothing is ordered it falls to the reserve around {day}.", day=day
        )
    return message(
        "chart.level_falls_hard",
        "If nothing is ordered it falls to the reserve around {day}, in 1 of 50 cases by {hard}.",
        day=day,
        hard=Day(hard, year=True),
    )


@dataclass(frozen=True)
class LevelRow:
    """One line of the level table: the level at the end of a day."""

    day: date
    usual: Quantity
    usual_range: Range
    low: Quantity
    without: Quantity | str


def level_table(answer: OrderAnswer, fuel: str | None = None) -> tuple[LevelRow, ...]:
    """Return the level on the day of the answer and on the first of every month after it.

    "without" is the middle level if nothing more were ordered; "" where the answer does not hold it.
    """
    planned, bare = band_of(answer, fuel, True), band_of(answer, fuel, False)
    if planned is None:
        return ()
    rows = []
    for i, stamp in enumerate(planned.dates):
        day = stamp.astype("datetime64[D]").item()
        if i and day.day != 1:
            continue
        rows.append(
            LevelRow(
                day,
                Quantity(float(planned.p50[i]), "mass"),
                Range(float(planned.p10[i]), float(planned.p90[i]), "mass"),
                Quantity(float(planned.p02[i]), "mass"),
                Quantity(float(bare.p50[i]), "mass") if bare is not None else "",
            )
        )
    return tuple(rows)


def level_csv(answer: OrderAnswer, fuel: str | None = None) -> str:
    """Return the level of every day as CSV text with kilograms, for a spreadsheet."""
    lines = ["date,p02_kg,p10_kg,p50_kg,p90_kg,nothing_ordered_p50_kg"]
    planned, bare = band_of(answer, fuel, True), band_of(answer, fuel, False)
    if planned is None:
        return lines[0] + "\n"
    for i, stamp in enumerate(planned.dates):
        values = [planned.p02[i], planned.p10[i], planned.p50[i], planned.p90[i]]
        cells = [f"{v:.1f}" for v in values] + [f"{bare.p50[i]:.1f}" if bare is not None else ""]
        lines.append(",".join([str(stamp.astype("datetime64[D]")), *cells]))
    return "\n".join(lines) + "\n"
