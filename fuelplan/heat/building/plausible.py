"""Do the figures of a house belong together? If not, which one is most likely wrong, what was meant?

Each pair of figures is held against a range in which houses lie (our assumption, wide enough for every sound
house that we could think of). What lies outside is tested for slips of the pen: a decimal point or a unit
(powers of ten), a forgotten minus sign. The figure whose slip brings the most pairs back into their ranges is
named; where that leaves two, the one further from a usual house.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from fuelplan.messages import Message, Number, Quantity, message

HOURS_A_YEAR = 8760.0
USUAL_HOURS = 2000.0  # full-load hours of heating, common practice in Central Europe
LEAST_TANKER_STORE_KG = 1000.0  # below it a store is a hopper filled from bags, as often as one likes
WARMEST_DESIGN_C = 10.0  # nowhere that is heated with wood is the design day warmer (our assumption)
SLIPS = (0.1, 10.0, 0.01, 100.0, 1e-3, 1e3, 1e-4, 1e4)


@dataclass(frozen=True)
class Stated:
    """Figures of a house as they are stated; None where nobody says one.

    Attributes
    ----------
    year_key, year_kwh, year_stated, year_quantity, year_pellets_kg
        Which figure tells the yearly use, the useful heat of it, its number in the fixed unit of its
        quantity, and the pellets that it takes. [-, kWh, …, -, kg]
    water_kwh
        Usual hot water of a year. [kWh]
    design_kw, outdoor_c, indoor_c
        Design heat loss, the outdoor temperature that it is for, and the rooms. [kW, degC, degC]
    area_m2, rated_kw, store_kg
        Heated floor, rated output of the boiler, what the store holds. [m2, kW, kg]
    kelvin_h
        Degree-hours of a mean year below the base temperature, by the weather record. [K h]
    """

    year_key: str = ""
    year_kwh: float | None = None
    year_stated: float | None = None
    year_quantity: str = "energy"
    year_pellets_kg: float | None = None
    water_kwh: float = 0.0
    design_kw: float | None = None
    outdoor_c: float | None = None
    indoor_c: float = 20.0
    area_m2: float | None = None
    rated_kw: float | None = None
    store_kg: float | None = None
    kelvin_h: float | None = None


@dataclass(frozen=True)
class Doubt:
    """A figure that does not belong to the others: its key, a sentence, and whether it cannot be at all."""

    key: str
    text: Message
    impossible: bool


@dataclass(frozen=True)
class _Clash:
    """Two figures out of their range; `far` says by what factor."""

    between: tuple[str, ...]
    text: Message
    far: float
    impossible: bool


def doubts_of(stated: Stated) -> tuple[Doubt, ...]:
    """Return the figures that do not belong to the others, the most doubtful first; none where all fit.

    Parameters
    ----------
    stated
        The figures side by side; what nobody says is not tested.

    Returns
    -------
    tuple of Doubt
        Each with the key of its figure and a sentence that names what it clashes with.
    """
    clashes = list(_clashes(stated))
    if not clashes:
        return ()
    named, meant = _most_likely(stated, clashes)
    own = [clash for clash in clashes if named in clash.between]
    worst = max(own, key=lambda clash: clash.far)
    figure = _FIGURES[named]
    said = _said(
        worst.text, figure.name, _show(stated, named), None if meant is None else _show(meant, named)
    )
    doubt = Doubt(figure.key or stated.year_key, said, any(clash.impossible for clash in own))
    return doubt, *doubts_of(_without(stated, named))


def _said(clash: Message, figure: Message, stated: Quantity, meant: Quantity | None) -> Message:
    """Return which figure is doubted, and what was perhaps meant."""
    if meant is None:
        return message(
            "plausible.check",
            "{clash}. {figure} is most likely wrong: it says {stated}; please check it.",
            clash=clash,
            figure=figure,
            stated=stated,
        )
    return message(
        "plausible.meant",
        '{clash}. {figure} is most likely wrong: it says {stated}; was "{meant}" meant?',
        clash=clash,
        figure=figure,
        stated=stated,
        meant=meant,
    )


def _clashes(s: Stated) -> Iterator[_Clash]:
    """Go through the pairs of figures that no house has."""
    heating = s.year_kwh
    if heating is not None and heating >= 2 * s.water_kwh:
        heating -= s.water_kwh
    if heating is not None and not _little_but_hot_water(s):
        if s.design_kw is not None:
            yield from _pair(("year", "design"), heating / s.design_kw, 800, 4500, 150, HOURS_A_YEAR,
                             lambda h: message(
                                 "plausible.year_and_design",
                                 "The heat of a year is {hours} hours at the design heat loss; usual are "
                                 "1,500 "
                                 "to 2,500, and a year has 8,760", hours=Number(h)))  # fmt: skip
        if s.area_m2 is not None:
            yield from _pair(("year", "area"), heating / s.area_m2, 10, 450, 2, 1500,
                             lambda e: message(
                                 "plausible.year_and_area",
                                 "The heat of a year is {energy} kWh for each m² of floor; usual are 30 to "
                                 "250",
                                 energy=_three(e)))  # fmt: skip
    if s.year_kwh is not None and s.rated_kw is not None:
        # few hours mean that the boiler is larger than it need be, which is no error
        yield from _pair(("year", "rated"), s.year_kwh / s.rated_kw, 10, 6000, 0, HOURS_A_YEAR,
                         lambda h: message(
                             "plausible.year_and_rated",
                             "The heat of a year is {hours} hours at the boiler's full output; usual are "
                             "1,000 to "
                             "2,000, and a year has 8,760", hours=Number(h)))  # fmt: skip
    if s.year_pellets_kg is not None and s.store_kg is not None:
        most = (26, 52) if s.store_kg >= LEAST_TANKER_STORE_KG else (math.inf, math.inf)
        yield from _pair(("year", "store"), s.year_pellets_kg / s.store_kg, 0.05, most[0], 0, most[1],
                         lambda n: message(
                             "plausible.year_and_store", "A year takes {times} times what the store holds",
                             times=_three(n)))  # fmt: skip
    yield from _of_the_load(s)


def _little_but_hot_water(s: Stated) -> bool:
    return s.year_kwh is not None and 0.25 * s.water_kwh < s.year_kwh < 2 * s.water_kwh


def _of_the_load(s: Stated) -> Iterator[_Clash]:
    """Go through the pairs of the design heat loss, and its outdoor temperature."""
    if s.design_kw is None:
        return
    if s.area_m2 is not None:
        yield from _pair(("design", "area"), 1000 * s.design_kw / s.area_m2, 6, 300, 1, 2000,
                         lambda w: message(
                             "plausible.design_and_area",
                             "The design heat loss is {power} W for each m² of floor; usual are 20 to 150",
                             power=_three(w)))  # fmt: skip
    if s.rated_kw is not None:
        yield from _pair(("design", "rated"), s.design_kw / s.rated_kw, 0, 4, 0, 30,
                         lambda n: message(
                             "plausible.design_and_rated",
                             "The design heat loss is {times} times the boiler's output",
                             times=_three(n)))  # fmt: skip
    if s.outdoor_c is None:
        return
    if s.outdoor_c >= WARMEST_DESIGN_C:
        text = message(
            "plausible.outdoor",
            "{outdoor} is no outdoor temperature of the coldest days",
            outdoor=Quantity(s.outdoor_c, "temperature"),
        )
        yield _Clash(("outdoor",), text, 10.0, True)
    elif s.kelvin_h is not None and s.indoor_c > s.outdoor_c:
        yield from _pair(("outdoor", "outdoor"), s.kelvin_h / (s.indoor_c - s.outdoor_c), 300, 3800, 0,
                         math.inf, lambda h: message(
                             "plausible.outdoor_and_weather",
                             "With {outdoor} on the coldest days, the weather here asks for {hours} hours at "
                             "the design heat loss; usual are 1,500 to 2,500",
                             outdoor=Quantity(s.outdoor_c or 0.0, "temperature"),
                             hours=Number(h)))  # fmt: skip


def _pair(
    between: tuple[str, str],
    ratio: float,
    least: float,
    most: float,
    never_below: float,
    never_above: float,
    text: Callable[[float], Message],
) -> Iterator[_Clash]:
    if least <= ratio <= most:
        return
    far = ratio / most if ratio > most else least / max(ratio, 1e-12)
    yield _Clash(between, text(ratio), far, not never_below <= ratio <= never_above)


def _three(value: float) -> Number:
    """Return a number with three significant digits, and no more decimals than it has."""
    rounded = float(f"{value:.3g}")
    return Number(rounded, len(f"{rounded:f}".rstrip("0").partition(".")[2]))


@dataclass(frozen=True)
class _Figure:
    """A figure: its key (empty for the year, which has several), its name, and its field and quantity."""

    key: str
    name: Message
    field: str
    quantity: str
    usual_kw: float | None  # heat load of a usual house for one of it; None where it tells none [kW]


_FIGURES = {
    "year": _Figure("", message("plausible.figure_year", "The yearly use"), "year_stated", "energy", None),
    "design": _Figure(
        "building.design_loss",
        message("plausible.figure_design", "The design heat loss"),
        "design_kw",
        "power",
        1.0,
    ),
    "outdoor": _Figure(
        "building.design_outdoor",
        message("plausible.figure_outdoor", "The design outdoor temperature"),
        "outdoor_c",
        "temperature",
        None,
    ),
    "area": _Figure(
        "building.floor_area", message("plausible.figure_area", "The floor area"), "area_m2", "area", 0.07
    ),
    "rated": _Figure(
        "boiler.rated",
        message("plausible.figure_rated", "The boiler's rated output"),
        "rated_kw",
        "power",
        0.8,
    ),
    "store": _Figure(
        "store.capacity",
        message("plausible.figure_store", "The size of the store"),
        "store_kg",
        "mass",
        0.002,
    ),
}
USUAL_LOAD_KW = 10.0


def _most_likely(stated: Stated, clashes: list[_Clash]) -> tuple[str, Stated | None]:
    """Return the figure most likely wrong, and the figures with what was meant in its place."""
    tried = []
    for name in dict.fromkeys(name for clash in clashes for name in clash.between):
        left, meant = _best_slip(stated, name)
        hit = sum(name in clash.between for clash in clashes)
        tried.append((left, -hit, -_unusual(stated, name), name, meant if left < len(clashes) else None))
    _, _, _, name, meant = min(tried, key=lambda t: t[:4])
    return name, meant


def _best_slip(stated: Stated, name: str) -> tuple[int, Stated | None]:
    """Return how many clashes stay with the slip of a figure that leaves the fewest, and the figures then."""
    options = [_scaled(stated, name, slip) for slip in SLIPS]
    if name == "outdoor":
        assert stated.outdoor_c is not None
        options = [replace(stated, outdoor_c=-stated.outdoor_c)]
    counted = [
        (len(list(_clashes(option))), _little_but_hot_water(option), i) for i, option in enumerate(options)
    ]
    left, _, best = min(counted)
    return left, options[best]


def _scaled(stated: Stated, name: str, factor: float) -> Stated:
    fields = ("year_kwh", "year_stated", "year_pellets_kg") if name == "year" else (_FIGURES[name].field,)
    return replace(stated, **{f: factor * value for f in fields if (value := getattr(stated, f)) is not None})


def _unusual(stated: Stated, name: str) -> float:
    """Return how far a figure lies from that of a usual house, as powers of ten."""
    if name == "year":
        load = (stated.year_kwh or 0.0) / USUAL_HOURS
    elif name == "outdoor":
        return 10.0 if (stated.outdoor_c or 0.0) > 0 else 0.0
    else:
        figure = _FIGURES[name]
        load = float(getattr(stated, figure.field)) * (figure.usual_kw or 1.0)
    return abs(math.log10(max(load, 1e-9) / USUAL_LOAD_KW))


def _show(stated: Stated, name: str) -> Quantity:
    figure = _FIGURES[name]
    quantity = stated.year_quantity if name == "year" else figure.quantity
    return Quantity(float(getattr(stated, figure.field)), quantity)


def _without(stated: Stated, name: str) -> Stated:
    fields = ("year_kwh", "year_stated", "year_pellets_kg") if name == "year" else (_FIGURES[name].field,)
    return Stated(**{**vars(stated), **dict.fromkeys(fields)})
