"""A rough start where nothing but the floor area and the age of a house is known."""

from __future__ import annotations

from fuelplan.heat.building.need import (
    BuildingError,
    HeatNeed,
    balance_point_c,
    gains_from_floor_area_w,
    no_floor,
)
from fuelplan.messages import Message, Own, Percent, Quantity, message

# Year up to which a band runs (None: to this day) and its loss per m2 of heated floor. [W/(m2 K)]
# Values from memory, in the range of Central-European house typologies: a house may lie a third above or
# below.
LOSS_BY_AGE: tuple[tuple[int | None, float], ...] = (
    (1918, 2.6),
    (1948, 2.6),
    (1978, 2.4),
    (1994, 1.7),
    (2001, 1.3),
    (2014, 0.9),
    (None, 0.6),
)
UNKNOWN_YEAR = 1975  # taken where nobody knows the year a house was built (our assumption)
REL_SD = 0.35  # value from memory: half of such houses lie within about a quarter of the band's figure


def loss_per_m2(built: int, renovated: int | None = None) -> float:
    """Return the loss per m2 of heated floor for a year of building, or of the last full insulation.
    [W/(m2 K)]
    """
    if renovated is not None and renovated < built:
        raise BuildingError(
            message(
                "building.renovated_before_built",
                "renovated in {renovated}, before it was built in {built}; correct one of the years",
                renovated=Own(str(renovated)),
                built=Own(str(built)),
            )
        )
    year = built if renovated is None else renovated
    if not 1000 <= year <= 2100:
        raise BuildingError(
            message(
                "building.year",
                "the year {year} cannot be; write the four digits of the year the house was built, e.g. 1975",
                year=Own(str(year)),
            )
        )
    return next(loss for last, loss in LOSS_BY_AGE if last is None or year <= last)


def from_floor_area(
    floor_area_m2: float,
    built: int | None,
    *,
    renovated: int | None = None,
    indoor_c: float = 20.0,
    gains_w: float | None = None,
    hot_water_kwh_per_day: float = 0.0,
    rel_sd: float = REL_SD,
) -> HeatNeed:
    """Return a rough heat need from floor area and age; `rel_sd` says how rough.

    Parameters
    ----------
    floor_area_m2
        Heated floor. [m2]
    built, renovated
        Year of building, None where it is not known, and of the last full insulation (walls, roof and
        windows).
    indoor_c
        Kept in the house. [degC]
    gains_w
        Free gains; by default 4 W per m2 (common practice). [W]
    hot_water_kwh_per_day
        Mean over the year. [kWh/day]
    rel_sd
        Doubt of the loss, one standard deviation. [0..1]

    Returns
    -------
    HeatNeed
        Loss by age and area, base temperature from the gains, with the hot water given.

    Raises
    ------
    BuildingError
        No floor, years that cannot be, or insulation before the house was built.
    """
    if not floor_area_m2 > 0:
        raise no_floor(floor_area_m2)
    year = UNKNOWN_YEAR if built is None else built
    loss = floor_area_m2 * loss_per_m2(year, renovated)
    gains = gains_from_floor_area_w(floor_area_m2) if gains_w is None else gains_w
    how = message(
        "building.from_floor_area",
        "a rough start from {area} {age}: one house in three lies more than {share} off",
        area=Quantity.written(floor_area_m2, "m2", "g"),
        age=_age(year, renovated, assumed=built is None),
        share=Percent(rel_sd),
    )
    return HeatNeed(loss, balance_point_c(indoor_c, gains, loss), hot_water_kwh_per_day, rel_sd, how)


def _age(year: int, renovated: int | None, *, assumed: bool) -> Message:
    """Return when a house was built, and insulated."""
    built = message("building.built", "built in {year}", year=Own(str(year)))
    if assumed:
        built = message("building.built_assumed", "built in {year} (assumed)", year=Own(str(year)))
    if renovated is None:
        return built
    return message(
        "building.built_and_insulated",
        "{built}, insulated in {renovated}",
        built=built,
        renovated=Own(str(renovated)),
    )
