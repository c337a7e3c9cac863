"""Is the place fit for delivery: from the road to the store, and on to the boiler.

What has not been seen is "ask". Nothing here is a verdict of law: local codes, the maker's manual and
licensed trades decide.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

from fuelplan.messages import Limits, Listed, Message, Number, Own, Quantity, counted_message, message
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
                    message(
                        "access.below_zero",
                        "{name} is {value}; write an amount from zero up, or leave it out if not seen",
                        name=Own(f.name),
                        value=Own(f"{value:g}"),
                    )
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

    Returns
    -------
    tuple of AccessLine
        Road, couplings, filling line and store, suction.

    Raises
    ------
    AccessError
        No stock.
    """
    if not stock_kg > 0:
        raise AccessError(f"a stock of {stock_kg:g} kg: write the most that the store holds, e.g. 4500 kg")
    return (*_road(place), *_couplings(place), *_line_and_store(place, stock_kg, pile_m), *_suction(place))


def _road(p: DeliveryPlace) -> tuple[AccessLine, ...]:
    def at_least(id_: str, what: Message, value_m: float | None, least_m: float) -> AccessLine:
        guide = message("access.at_least", "at least {length}", length=_length(least_m))
        return line(id_, what, guide, GUIDES, None if value_m is None else value_m >= least_m, _m(value_m))

    return (
        line(
            "hose",
            message("access.hose", "Hose from where the tanker stands to the fill coupling"),
            message(
                "access.hose_guide",
                "at most {length}; the longer, the more the pellets break",
                length=_length(HOSE_LIMIT_M),
            ),
            GUIDES,
            None if p.hose_m is None else p.hose_m <= HOSE_LIMIT_M,
            _m(p.hose_m),
        ),
        at_least(
            "road-width", message("access.road_width", "Width of the way in"), p.road_width_m, ROAD_WIDTH_M
        ),
        at_least(
            "road-height",
            message("access.road_height", "Height of the way in (arches, branches, wires)"),
            p.road_height_m,
            ROAD_HEIGHT_M,
        ),
        line(
            "weight",
            message("access.weight", "Gross weight that the way in bears"),
            message(
                "access.weight_guide",
                "no less than the supplier's tanker; it loads about {load}",
                load=Quantity.written(TANKER_LOAD_T, "t", "g"),
            ),
            GUIDES,
            *_weight(p.weight_limit_t, p.tanker_t),
        ),
        line(
            "axle",
            message("access.axle", "Axle weight that the way in bears"),
            message("access.axle_guide", "no less than the supplier's tanker"),
            COMMON,
            *_weight(p.axle_limit_t, p.tanker_axle_t),
        ),
        line(
            "trailer",
            message("access.trailer", "Trailer"),
            message("access.trailer_guide", "if the supplier comes with one, it passes and can turn"),
            COMMON,
            *_trailer(p),
        ),
    )


def _trailer(p: DeliveryPlace) -> tuple[bool | None, Message | None]:
    """Return whether a trailer gets in, and what has been seen."""
    if p.trailer_comes is False:
        return True, message("access.no_trailer", "the supplier comes without a trailer")
    if p.trailer_can_pass is None:
        return None, None
    if p.trailer_can_pass:
        return True, message("access.trailer_passes", "a trailer can pass and turn")
    return False, message("access.trailer_stuck", "a trailer cannot pass")


def _weight(limit_t: float | None, tanker_t: float | None) -> tuple[bool | None, Message | None]:
    """Return whether the way bears the tanker, and what is known of both."""
    seen = []
    if limit_t is not None:
        seen.append(message("access.bears", "bears {weight}", weight=Quantity.written(limit_t, "t", "g")))
    if tanker_t is not None:
        weight = Quantity.written(tanker_t, "t", "g")
        seen.append(message("access.tanker_has", "the tanker has {weight}", weight=weight))
    return (None if limit_t is None or tanker_t is None else limit_t >= tanker_t), _together(seen)


def _together(seen: Sequence[Message]) -> Message | None:
    """Return several things seen as one."""
    return message("access.seen", "{seen}", seen=Listed(tuple(seen), ", ")) if seen else None


def _couplings(p: DeliveryPlace) -> tuple[AccessLine, ...]:
    same = None
    if p.coupling_type is not None and p.supplier_coupling is not None:
        same = p.coupling_type.strip().casefold() == p.supplier_coupling.strip().casefold()
    types = [
        message("access.type", "{type}", type=Own(t)) for t in (p.coupling_type, p.supplier_coupling) if t
    ]

    def height(id_: str, what: Message, value_m: float | None) -> AccessLine:
        met = None if value_m is None else COUPLING_LOW_M <= value_m <= COUPLING_HIGH_M
        guide = message(
            "access.coupling_height",
            "{reach} over the ground, within the driver's reach",
            reach=Limits.written(COUPLING_LOW_M, COUPLING_HIGH_M, "m"),
        )
        return line(id_, what, guide, COMMON, met, _m(value_m))

    def outdoors(id_: str, what: Message, value: bool | None) -> AccessLine:
        seen = None
        if value is not None:
            inside = message("access.inside", "inside the building")
            seen = message("access.outdoors", "outdoors") if value else inside
        guide = message("access.ends_outdoors", "ends outdoors")
        return line(id_, what, guide, GUIDANCE, value, seen)

    return (
        line(
            "coupling-type",
            message("access.coupling_type", "Type of the couplings"),
            message("access.coupling_type_guide", "that of the supplier's hoses"),
            COMMON,
            same,
            _together(types),
        ),
        height("fill-height", message("access.fill_height", "Height of the fill coupling"), p.fill_height_m),
        height(
            "exhaust-height",
            message("access.exhaust_height", "Height of the exhaust coupling"),
            p.exhaust_height_m,
        ),
        outdoors("fill-outdoors", message("access.fill_coupling", "Fill coupling"), p.fill_outdoors),
        outdoors(
            "exhaust-outdoors", message("access.exhaust_coupling", "Exhaust coupling"), p.exhaust_outdoors
        ),
    )


def _line_and_store(p: DeliveryPlace, stock_kg: float, pile_m: float | None) -> tuple[AccessLine, ...]:
    return (
        _yes(
            "metal-pipes",
            message("access.metal_pipes", "Fill line of metal pipes"),
            message("access.metal_pipes_guide", "metal, so that no charge builds up"),
            p.metal_pipes,
        ),
        _yes(
            "earthed",
            message("access.earthed", "Fill line earthed"),
            message("access.earthed_guide", "connected to earth by an electrician"),
            p.pipes_earthed,
        ),
        _yes(
            "bends",
            message("access.bends", "Bends of the fill line"),
            message("access.bends_guide", "few and gentle: tight ones break the pellets"),
            p.gentle_bends,
        ),
        _yes(
            "mat",
            message("access.mat", "Deflector mat"),
            message("access.mat_guide", "hangs opposite the inlet, clear of the wall"),
            p.mat,
        ),
        *_store(p, stock_kg, pile_m),
        _yes(
            "socket",
            message("access.socket", "Socket for the driver's fan"),
            message("access.socket_guide", "within reach of the exhaust coupling"),
            p.socket,
        ),
    )


def _store(p: DeliveryPlace, stock_kg: float, pile_m: float | None) -> tuple[AccessLine, ...]:
    clear = None if p.inlet_below_ceiling_m is None else p.inlet_below_ceiling_m >= INLET_CLEAR_M
    # a flat floor is no fault: whether fuel is drawn from it in another way must be asked
    slope = SLOPE_FROM_DEG <= p.slope_deg <= SLOPE_TO_DEG if p.slope_deg else None
    return (
        line(
            "inlet-clear",
            message("access.inlet_clear", "Inlet clear of the ceiling"),
            message(
                "access.inlet_clear_guide",
                "middle of the pipe at least {length} below it",
                length=_length(INLET_CLEAR_M),
            ),
            COMMON,
            clear,
            _m(p.inlet_below_ceiling_m),
        ),
        _yes(
            "door-boards",
            message("access.door_boards", "Boards behind the door"),
            message("access.door_boards_guide", "hold the fuel back; the door opens outwards"),
            p.door_boards,
        ),
        line(
            "slope",
            message("access.slope", "Slope of the floor"),
            message(
                "access.slope_guide",
                "{slopes}; on flatter floors fuel stays lying",
                slopes=Limits.written(SLOPE_FROM_DEG, SLOPE_TO_DEG, "deg"),
            ),
            GUIDANCE,
            slope,
            _slope_seen(p.slope_deg),
        ),
        line(
            "wall-load",
            message("access.wall_load", "Load on floor and walls"),
            message("access.wall_load_guide", "confirmed by somebody competent, blowing in included"),
            COMMON,
            True if p.walls_checked else None,
            _load(stock_kg, pile_m),
        ),
        _electrics(p.electrics_inside),
    )


def _electrics(inside: bool | None) -> AccessLine:
    seen = None
    if inside is not None:
        none = message("access.no_electrics_seen", "none")
        seen = message("access.electrics_seen", "there are some") if inside else none
    return line(
        "electrics",
        message("access.no_electrics", "No electrics in the store"),
        message("access.no_electrics_guide", "no lamps, switches, sockets or cables inside"),
        COMMON,
        None if inside is None else not inside,
        seen,
    )


def _load(stock_kg: float, pile_m: float | None) -> Message:
    """Return what floor and walls have to bear."""
    stock = Quantity.written(stock_kg / 1000, "t", ".1f")
    if pile_m is None:
        return message("access.load", "up to {stock}", stock=stock)
    # weight of the pile on its floor at the greatest bulk density, 750 kg/m3 (physics)
    return message(
        "access.load_on_floor",
        "up to {stock}, {pressure} kPa on the floor under the highest pile",
        stock=stock,
        pressure=Number(750 * 9.81 * pile_m / 1000),
    )


def _suction(p: DeliveryPlace) -> tuple[AccessLine, ...]:
    """Say whether the suction line is within guidance; no line where there is none."""
    if p.suction_m is None and p.suction_floors is None:
        return ()
    known = p.suction_m is not None and p.suction_floors is not None
    too_long = (p.suction_m or 0.0) > SUCTION_LIMIT_M or (p.suction_floors or 0.0) > SUCTION_FLOORS
    met = False if too_long else (True if known else None)
    seen = []
    if p.suction_m is not None:
        seen.append(message("access.length", "{length}", length=_length(p.suction_m)))
    if p.suction_floors is not None:
        seen.append(_floors_up(p.suction_floors))
    guide = message(
        "access.suction_guide", "at most {length} and two floors", length=_length(SUCTION_LIMIT_M)
    )
    what = message("access.suction_line", "Suction line to the boiler")
    return (line("suction-line", what, guide, GUIDANCE, met, _together(seen)),)


def _floors_up(floors: float) -> Message:
    if floors == int(floors):
        return counted_message("access.floors_up", "{n} floor up", "{n} floors up", int(floors))
    parts = Number(floors, len(f"{floors:g}".partition(".")[2]))
    return message("access.part_floors_up", "{floors} floors up", floors=parts)


def _yes(id_: str, question: Message, guidance: Message, value: bool | None) -> AccessLine:
    seen = None
    if value is not None:
        seen = message("access.yes", "yes") if value else message("access.no", "no")
    return line(id_, question, guidance, COMMON, value, seen)


def _length(length_m: float) -> Quantity:
    return Quantity.written(length_m, "m", "g")


def _m(value_m: float | None) -> Message | None:
    return None if value_m is None else message("access.measured", "{length}", length=_length(value_m))


def _slope_seen(slope_deg: float | None) -> Message | None:
    if slope_deg == 0:
        return message("access.flat_floor", "a flat floor: ask how the fuel is drawn from it")
    if slope_deg is None:
        return None
    return message("access.slope_seen", "{slope}", slope=Quantity.written(slope_deg, "deg", "g"))
