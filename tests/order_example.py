"""A made-up order answer for tests of the faces: plausible, small, made without any room of the model."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from fuelplan.answers.when_to_order.answer import (
    FuelStock,
    FuelUse,
    LevelBand,
    OrderAnswer,
    PlacedOrder,
    ProposedOrder,
    RunOut,
    WeatherNote,
    YearCost,
)
from fuelplan.messages import as_message
from fuelplan.messages.cautions import Caution

AS_OF = date(2026, 1, 15)
ORDER_BY = date(2026, 1, 28)
CAPACITY_KG = 5200.0
RESERVE_KG = 350.0


def _caution(name: str, text: str, why: str = "") -> Caution:
    return Caution(name, as_message(text), why)


def example_levels(with_plan: bool, colder: float = 0.0) -> LevelBand:
    """A year of levels falling by a seasonal use, with a delivery of 3.5 t after 26 days where planned."""
    days = np.arange(366)
    dates = np.datetime64(AS_OF, "D") + days
    day_of_year = (dates - dates.astype("datetime64[Y]")).astype(int)
    use_kg = (18 + 2 * colder) * (1 + np.cos(2 * np.pi * (day_of_year - 15) / 365)) / 2 + 3
    burned_kg = np.cumsum(use_kg)
    arrived_kg = np.where(days >= 26, 3500.0, 0.0) if with_plan else np.zeros(366)

    def quantile(start_kg: float, faster: float) -> np.ndarray:
        return np.clip(start_kg + arrived_kg - burned_kg * faster, 0, CAPACITY_KG)

    return LevelBand(
        fuel="pellets",
        dates=dates,
        p02=quantile(1600, 1.22),
        p10=quantile(1750, 1.12),
        p50=quantile(2100, 1.0),
        p90=quantile(2450, 0.89),
        with_plan=with_plan,
    )


def example_answer(**changes: object) -> OrderAnswer:
    """An answer of the kind "order soon"; keyword arguments replace its fields."""
    order = ProposedOrder("pellets", ORDER_BY, date(2026, 2, 4), date(2026, 2, 13), 3500.0, 0.019, 1085.0)
    answer = OrderAnswer(
        site="House by the mill",
        as_of=AS_OF,
        seed=1,
        sentence=(
            "About 2.1 t left (1.7 to 2.5; your reading is 12 days old). In a usual winter that lasts "
            "until 14 March, "
            "in the coldest of 25 until 22 February. Order by 28 January; 3.5 t will fit."
        ),
        stocks=(
            FuelStock(
                "pellets",
                2100.0,
                1750.0,
                2450.0,
                1980.0,
                CAPACITY_KG,
                RESERVE_KG,
                12,
                AS_OF - timedelta(days=12),
            ),
        ),
        use_kg=(FuelUse("pellets", 30, 560.0, 640.0, 730.0), FuelUse("pellets", 365, 4300.0, 4900.0, 5600.0)),
        run_out=(
            RunOut(
                "pellets",
                date(2026, 2, 20),
                date(2026, 3, 1),
                date(2026, 3, 14),
                date(2026, 4, 2),
                date(2026, 2, 22),
            ),
        ),
        decision="wait",
        order=order,
        placed=(),
        risk_limit=0.02,
        empty_risk_per_year=0.002,
        next_orders=(
            replace(
                order, order_by=date(2026, 9, 7), deliver_from=date(2026, 9, 14), deliver_to=date(2026, 9, 23)
            ),
        ),
        cost=YearCost(0.31, 1085.0, 1330.0, 1520.0, 1740.0),
        currency="EUR",
        horizon_days=365,
        cautions=(
            _caution(
                "filling",
                "Switch the boiler off before the delivery. If it is not off: do not fill.",
                "a delivery",
            ),
            _caution("co", "Any store can become deadly through carbon monoxide; only measuring tells."),
        ),
        warnings=(as_message("Your last reading is 12 days old; a new one would narrow the range."),),
        weather=WeatherNote(
            "invented weather of the demo valley",
            25,
            1000,
            0,
            "Invented for the demo; not a real place.",
            date(2000, 1, 1),
            date(2026, 1, 14),
        ),
        explanation=("Use is learned from 6 deliveries.", "25 past winters stand behind the draws."),
        levels=(example_levels(True), example_levels(False)),
    )
    return replace(answer, **changes)  # type: ignore[arg-type]


def with_placed_order() -> OrderAnswer:
    """An answer in which an order is on its way and no new one is due within the horizon."""
    placed = PlacedOrder("pellets", date(2026, 1, 10), date(2026, 1, 20), date(2026, 1, 28), 3000.0)
    return example_answer(order=None, next_orders=(), placed=(placed,), decision="wait")
