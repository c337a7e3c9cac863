"""The store in section, to scale, for drawings: the inside, the fuel in it, the full line and the level
line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fuelplan.store.bulk.shapes import Point, StoreError
from fuelplan.store.bulk.store import Store


@dataclass(frozen=True)
class Section:
    """Closed polygons and lines of a drawing; x is across or along the store, z its height. [m]

    Attributes
    ----------
    outline
        The inside of the store.
    fuel
        The fuel in it under a level surface; empty for an empty store.
    full_line
        Surface of a full store, under its dead height.
    level_line
        Surface of the fuel; None for an empty store.
    residue_line
        Surface of a level residue; None where there is none.
    inlet
        Where the fuel enters; `mat`: upper and lower end of the deflector mat, None for tanks and bags.
    """

    outline: tuple[Point, ...]
    fuel: tuple[Point, ...]
    full_line: tuple[Point, Point]
    level_line: tuple[Point, Point] | None
    residue_line: tuple[Point, Point] | None
    inlet: Point
    mat: tuple[Point, Point] | None


def section_of(store: Store, level_kg: float, view: Literal["across", "along"] = "across") -> Section:
    """Return the store in section with `level_kg` in it.

    Parameters
    ----------
    store
        With a shape.
    level_kg
        All fuel in it. [kg]
    view
        "across" or "along" the conveyor.

    Returns
    -------
    Section
        Polygons and lines in the plane of the view, z from the lowest floor. [m]

    Raises
    ------
    StoreError
        A store of which only the capacity is known, or a level above what it holds up to its ceiling.
    """
    shape = store.shape
    if shape is None:
        raise StoreError("a store of which only the capacity is known cannot be drawn; give its shape")
    brim_kg = float(shape.volume_below_m3(shape.top_m)) * store.bulk_kg_per_m3
    if not 0 <= level_kg <= brim_kg * (1 + 1e-9):
        raise StoreError(
            f"{level_kg:.0f} kg cannot be drawn in a store that holds {brim_kg:.0f} kg up to its ceiling"
        )
    outline = shape.outline() if view == "across" else shape.outline_along()
    full_m = shape.top_m - store.dead_height_m
    level_m = float(shape.height_of_m(level_kg / store.bulk_kg_per_m3))
    residue_m = float(shape.height_of_m(min(store.unusable_kg, store.capacity_kg()) / store.bulk_kg_per_m3))
    inlet, mat = _inlet(store, view)
    return Section(
        outline=outline,
        fuel=below(outline, level_m) if level_kg > 0 else (),
        full_line=_line(outline, full_m),
        level_line=_line(outline, level_m) if level_kg > 0 else None,
        residue_line=_line(outline, residue_m) if store.unusable_kg > 0 else None,
        inlet=inlet,
        mat=mat,
    )


def _inlet(store: Store, view: str) -> tuple[Point, tuple[Point, Point] | None]:
    """Inlet and deflector mat: at opposite ends of a room, the inlet in the middle of the top of others."""
    assert store.shape is not None
    top = store.shape.top_m
    z = top - 0.5 * store.inlet_clearance_m
    if not store.shape.filled_at_wall:
        return (0.0, top), None
    if (view == "across") != (store.inlets_at == "side"):
        return (0.0, z), None
    end = (store.shape.width_x_m if view == "across" else store.shape.length_y_m) / 2
    # the mat hangs a hand's breadth from the wall, from the ceiling to half height (common practice)
    return (-end, z), ((end - 0.15, top), (end - 0.15, top / 2))


def below(polygon: tuple[Point, ...], height_m: float) -> tuple[Point, ...]:
    """Cut a closed polygon off above a height.

    Parameters
    ----------
    polygon
        Closed, (x, z) each. [m]
    height_m
        What lies above it is cut off. [m]

    Returns
    -------
    tuple of (x, z)
        What lies below, closed; empty where nothing does. [m]
    """
    kept: list[Point] = []
    for (x0, z0), (x1, z1) in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        if z0 <= height_m:
            kept.append((x0, z0))
        if (z0 - height_m) * (z1 - height_m) < 0:
            kept.append((x0 + (x1 - x0) * (height_m - z0) / (z1 - z0), height_m))
    return tuple(kept)


def _line(polygon: tuple[Point, ...], height_m: float) -> tuple[Point, Point]:
    """Return the level line inside a convex polygon."""
    cut = [p for p in below(polygon, height_m) if abs(p[1] - height_m) < 1e-9]
    across = [p[0] for p in cut] or [0.0]
    return (min(across), height_m), (max(across), height_m)
