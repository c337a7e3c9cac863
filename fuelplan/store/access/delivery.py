"""Is the place fit for delivery: from the road to the store, and on to the boiler.

What has not been seen is "ask". Nothing here is a verdict of law: local codes, the maker's manual and
licensed trades decide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from fuelplan import units
from fuelplan.store.access.lines import COMMON, GUIDANCE, GUIDES, AccessError, AccessLine, line

HOSE_LIMIT_M = 30.0
ROAD_WIDTH_M = 3.0
ROAD_HEIGHT_M = 4.0
TANKER_LOAD_T = 15.0
SLOPE_FROM_DEG, SLOPE_TO_DEG = 40.0, 45.0
SUCTION_LIMIT_M, SUCTION_FLOORS = 20.0, 2.0
INLET_CLEAR_M = 0.15  # middle of the inlet pipe below the ceiling, at least (common practice)
COUPLING_LOW_M, COUPLING_HIGH_M = 0.5, 1.8  # where a driver reaches without a ladder (common practice)


@dataclass(frozen=True)
class DeliveryPlace:
    """What has been seen at the place; None where nobody has looked.

    Attributes
    ----------
    hose_m
        From where the tanker stands to the fill coupling. [m]
    road_width_m, road_height_m
        Narrowest and lowest of the way in. [m]
    weight_limit_t, axle_limit_t, tanker_t, tanker_axle_t
        What the road bears in all and on an axle, and what the supplier's tanker weighs. [t]
    trailer_comes, trailer_can_pass
        Whether the supplier comes with a trailer, and whether one gets in and can turn.
    coupling_type, supplier_coupling
        Type of the fill and exhaust couplings here, and the supplier's hoses'.
    fill_height_m, exhaust_height_m
        Of the couplings over the ground. [m]
    fill_outdoors, exhaust_outdoors
        Where the couplings end.
    metal_pipes, pipes_earthed, gentle_bends
        The fill line.
    mat
        A deflector mat hangs opposite the inlet.
    inlet_below_ceiling_m
        Middle of the inlet pipe under the ceiling. [m]
    door_boards
        Boards hold the fuel back behind the door; None also where there is no door.
    slope_deg
        Of the floor; 0 flat. [deg]
    walls_checked
        Somebody competent has said that walls and floor bear the load.
    electrics_inside
        Lamps, switches, sockets or cables in the store.
    socket
        A socket for the driver's fan within reach.
    suction_m, suction_floors
        Length of the suction line to the boiler, and floors it rises. [m, -]
    """

    hose_m: float | None = None
    road_width_m: float | None = None
    road_height_m: float | None = None
    weight_limit_t: float | None = None
    axle_limit_t: float | None = None
    tanker_t: float | None = None
    tanker_axle_t: float | None = None
    trailer_comes: bool | None = None
    trailer_can_pass: bool | None = None
    coupling_type: str | None = None
    supplier_coupling: str | None = None
    fill_height_m: float | None = None
    exhaust_height_m: float | None = None
    fill_outdoors: bool | None = None
    exhaust_outdoors: bool | None = None
    metal_pipes: bool | None = None
    pipes_earthed: bool | None = None
    gentle_bends: bool | None = None
    mat: bool | None = None
    inlet_below_ceiling_m: float | None = None
    door_boards: bool | None = None
    slope_deg: float | None = None
    walls_checked: bool | None = None
    electrics_inside: bool | None = None
    socket: bool | None = None
    suction_m: float | None = None
    suction_floors: float | None = None

    def __post_init__(self) -> None:
        """Refuse lengths and weights below zero."""
        for f in fields(self):
            value = getattr(self, f.name)
            if isinstance(value, int | float) and not isinstance(value, bool) and not 0 <= value < math.inf:
                raise AccessError(
                    f"{f.name} is {value:g}; write an amount from zero up, or leave it out if not seen"
                )


def fit_for_delivery(
    place: DeliveryPlace, *, stock_kg: float, pile_m: float | None = None
) -> tuple[AccessLine, ...]:
    """Return every line of the list, in the order in which one walks from the road to the store.

    Parameters
    ----------
    place
        What has been seen.
    stock_kg
        Most fuel in the store, for the load on floor and walls. [kg]
    pile_m
        Greatest height of the pile; None where not known. [m]
    """
    if not stock_kg > 0:
        raise AccessError(f"a stock of {stock_kg:g} kg: write the most that the store holds, e.g. 4500 kg")
    return (*_road(place), *_couplings(place), *_line_and_store(place, stock_kg, pile_m), *_suction(place))


def _road(p: DeliveryPlace) -> tuple[AccessLine, ...]:
    def at_least(id_: str, what: str, value_m: float | None, least_m: float) -> AccessLine:
        guide = f"at least {units.show_as(least_m, 'm', 'g')}"
        return line(id_, what, guide, GUIDES, None if value_m is None else value_m >= least_m, _m(value_m))

    trailer = p.trailer_can_pass if p.trailer_comes or p.trailer_comes is None else True
    trailer_seen = {True: "a trailer can pass and turn", False: "a trailer cannot pass", None: ""}[
        p.trailer_can_pass
    ]
    if p.trailer_comes is False:
        trailer_seen = "the supplier comes without a trailer"
    return (
        line(
            "hose",
            "Hose from where the tanker stands to the fill coupling",
            f"at most {units.show_as(HOSE_LIMIT_M, 'm', 'g')}; the longer, the more the pellets break",
            GUIDES,
            None if p.hose_m is None else p.hose_m <= HOSE_LIMIT_M,
            _m(p.hose_m),
        ),
        at_least("road-width", "Width of the way in", p.road_width_m, ROAD_WIDTH_M),
        at_least(
            "road-height", "Height of the way in (arches, branches, wires)", p.road_height_m, ROAD_HEIGHT_M
        ),
        _weight(
            "weight",
            "Gross weight that the way in bears",
            p.weight_limit_t,
            p.tanker_t,
            f"; it loads about {units.show_as(TANKER_LOAD_T, 't', 'g')}",
        ),
        _weight("axle", "Axle weight that the way in bears", p.axle_limit_t, p.tanker_axle_t, ""),
        line(
            "trailer",
            "Trailer",
            "if the supplier comes with one, it passes and can turn",
            COMMON,
            trailer,
            trailer_seen,
        ),
    )


def _weight(id_: str, what: str, limit_t: float | None, tanker_t: float | None, more: str) -> AccessLine:
    met = None if limit_t is None or tanker_t is None else limit_t >= tanker_t
    parts = []
    if limit_t is not None:
        parts.append(f"bears {units.show_as(limit_t, 't', 'g')}")
    if tanker_t is not None:
        parts.append(f"the tanker has {units.show_as(tanker_t, 't', 'g')}")
    return line(
        id_,
        what,
        f"no less than the supplier's tanker{more}",
        COMMON if not more else GUIDES,
        met,
        ", ".join(parts),
    )


def _couplings(p: DeliveryPlace) -> tuple[AccessLine, ...]:
    same = None
    if p.coupling_type is not None and p.supplier_coupling is not None:
        same = p.coupling_type.strip().casefold() == p.supplier_coupling.strip().casefold()
    types = ", ".join(t for t in (p.coupling_type, p.supplier_coupling) if t)

    def height(id_: str, what: str, value_m: float | None) -> AccessLine:
        met = None if value_m is None else COUPLING_LOW_M <= value_m <= COUPLING_HIGH_M
        reach = units.show_range_as(COUPLING_LOW_M, COUPLING_HIGH_M, "m")
        guide = f"{reach} over the ground, within the driver's reach"
        return line(id_, what, guide, COMMON, met, _m(value_m))

    def outdoors(id_: str, what: str, value: bool | None) -> AccessLine:
        seen = {True: "outdoors", False: "inside the building", None: ""}[value]
        return line(id_, what, "ends outdoors", GUIDANCE, value, seen)

    return (
        line("coupling-type", "Type of the couplings", "that of the supplier's hoses", COMMON, same, types),
        height("fill-height", "Height of the fill coupling", p.fill_height_m),
        height("exhaust-height", "Height of the exhaust coupling", p.exhaust_height_m),
        outdoors("fill-outdoors", "Fill coupling", p.fill_outdoors),
        outdoors("exhaust-outdoors", "Exhaust coupling", p.exhaust_outdoors),
    )


def _line_and_store(p: DeliveryPlace, stock_kg: float, pile_m: float | None) -> tuple[AccessLine, ...]:
    clear = None if p.inlet_below_ceiling_m is None else p.inlet_below_ceiling_m >= INLET_CLEAR_M
    # a flat floor is no fault: whether fuel is drawn from it in another way must be asked
    slope = SLOPE_FROM_DEG <= p.slope_deg <= SLOPE_TO_DEG if p.slope_deg else None
    electrics = None if p.electrics_inside is None else not p.electrics_inside
    load = f"up to {units.show_as(stock_kg / 1000, 't', '.1f')}"
    if pile_m is not None:
        # weight of the pile on its floor at the greatest bulk density, 750 kg/m3 (physics)
        load += f", {750 * 9.81 * pile_m / 1000:.0f} kPa on the floor under the highest pile"
    return (
        _yes("metal-pipes", "Fill line of metal pipes", "metal, so that no charge builds up", p.metal_pipes),
        _yes("earthed", "Fill line earthed", "connected to earth by an electrician", p.pipes_earthed),
        _yes(
            "bends", "Bends of the fill line", "few and gentle: tight ones break the pellets", p.gentle_bends
        ),
        _yes("mat", "Deflector mat", "hangs opposite the inlet, clear of the wall", p.mat),
        line(
            "inlet-clear",
            "Inlet clear of the ceiling",
            f"middle of the pipe at least {units.show_as(INLET_CLEAR_M, 'm', 'g')} below it",
            COMMON,
            clear,
            _m(p.inlet_below_ceiling_m),
        ),
        _yes(
            "door-boards",
            "Boards behind the door",
            "hold the fuel back; the door opens outwards",
            p.door_boards,
        ),
        line(
            "slope",
            "Slope of the floor",
            f"{SLOPE_FROM_DEG:g} to {SLOPE_TO_DEG:g}°; on flatter floors fuel stays lying",
            GUIDANCE,
            slope,
            _slope_seen(p.slope_deg),
        ),
        line(
            "wall-load",
            "Load on floor and walls",
            "confirmed by somebody competent, blowing in included",
            COMMON,
            True if p.walls_checked else None,
            load,
        ),
        line(
            "electrics",
            "No electrics in the store",
            "no lamps, switches, sockets or cables inside",
            COMMON,
            electrics,
            {True: "there are some", False: "none", None: ""}[p.electrics_inside],
        ),
        _yes("socket", "Socket for the driver's fan", "within reach of the exhaust coupling", p.socket),
    )


def _suction(p: DeliveryPlace) -> tuple[AccessLine, ...]:
    """Say whether the suction line is within guidance; no line where there is none."""
    if p.suction_m is None and p.suction_floors is None:
        return ()
    known = p.suction_m is not None and p.suction_floors is not None
    too_long = (p.suction_m or 0.0) > SUCTION_LIMIT_M or (p.suction_floors or 0.0) > SUCTION_FLOORS
    met = False if too_long else (True if known else None)
    seen = [] if p.suction_m is None else [_m(p.suction_m)]
    seen += [] if p.suction_floors is None else [f"{p.suction_floors:g} floors up"]
    guide = f"at most {_m(SUCTION_LIMIT_M)} and two floors"
    return (line("suction-line", "Suction line to the boiler", guide, GUIDANCE, met, ", ".join(seen)),)


def _yes(id_: str, question: str, guidance: str, value: bool | None) -> AccessLine:
    return line(id_, question, guidance, COMMON, value, {True: "yes", False: "no", None: ""}[value])


def _m(value_m: float | None) -> str:
    return "" if value_m is None else units.show_as(value_m, "m", "g")


def _slope_seen(slope_deg: float | None) -> str:
    if slope_deg == 0:
        return "a flat floor: ask how the fuel is drawn from it"
    return "" if slope_deg is None else f"{slope_deg:g}°"
