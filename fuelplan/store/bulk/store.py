"""A bulk store: what it holds, what can be used, what a blower tanker can surely fill."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from fuelplan.messages import Own, Quantity, message
from fuelplan.store.bulk.marks import MarkedFrom, MarkedLevel, level_from_marks
from fuelplan.store.bulk.shapes import Point, Shape, StoreError
from fuelplan.store.bulk.surface import (
    CONE_DEG,
    REPOSE_DEG,
    Wall,
    conveyed_volume_m3,
    filled_volume_m3,
    left_behind_m3,
    outlets_along,
)

# What stays in a store whose shape is not known, and the least that stays in any (our assumption).
RESIDUE_SHARE = 0.03
LEAST_RESIDUE_SHARE = 0.01


@dataclass(frozen=True)
class Store:
    """A bulk store and the fuel's bulk density with its range.

    A level in kilograms counts all fuel in the store; usable is what lies above the unusable residue.

    Attributes
    ----------
    shape
        None where only a capacity is known (:meth:`of_capacity`).
    residue_kg
        What the conveying cannot reach [kg]; None works it out from the shape, the outlets and the angle of
        repose.
    bulk_kg_per_m3, bulk_low_kg_per_m3, bulk_high_kg_per_m3
        650 (Austrian and German pellet associations' room rule), 600 to 750 (ENplus table, ISO 17225-2).
        [kg/m3]
    dead_height_m
        Ullage: mean free height under the ceiling of a full store, with the inlet pipe and the cone in it
        (0.3 m: 2 m wide, 2.4 m high, 45 deg then gives the published two thirds of the room). [m]
    inlet_clearance_m
        Least free height under the ceiling where the pile is highest (common practice). [m]
    cone_deg
        Slope of the surface after blowing in, for what surely fits (our assumption). [deg]
    repose_deg
        Angle of repose (value from memory). [deg]
    suction_points
        Points evenly along the length from which fuel is drawn; 0 for what suits the shape. [-]
    stated_kg
        Capacity where the shape is not known. [kg]
    inlets, inlets_at
        How many inlets it is filled through, and in which wall of a room: the end of its length, or a side.
    """

    shape: Shape | None
    residue_kg: float | None = None
    bulk_kg_per_m3: float = 650.0
    bulk_low_kg_per_m3: float = 600.0
    bulk_high_kg_per_m3: float = 750.0
    dead_height_m: float = 0.3
    inlet_clearance_m: float = 0.2
    cone_deg: float = CONE_DEG
    repose_deg: float = REPOSE_DEG
    suction_points: int = 0
    stated_kg: float | None = None
    inlets: int = 1
    inlets_at: Wall = "end"

    def __post_init__(self) -> None:
        """Refuse what cannot be."""
        low, mid, high = self.bulk_low_kg_per_m3, self.bulk_kg_per_m3, self.bulk_high_kg_per_m3
        if not 0 < low <= mid <= high < 2000:
            raise StoreError(
                message(
                    "store.densities",
                    "bulk densities {low}, {usual}, {high} kg/m3 (low, usual, high) must rise, e.g. 600, "
                    "650, 750",
                    low=Own(f"{low:g}"),
                    usual=Own(f"{mid:g}"),
                    high=Own(f"{high:g}"),
                )
            )
        if (self.shape is None) == (self.stated_kg is None):
            raise StoreError(
                message("store.shape_or_capacity", "give a store either a shape or a capacity in kilograms")
            )
        if self.stated_kg is not None and not 0 < self.stated_kg < math.inf:
            raise StoreError(
                message(
                    "store.no_capacity",
                    "a capacity of {capacity} is none; write e.g. 3500 kg",
                    capacity=Quantity.written(self.stated_kg, "kg", "g"),
                )
            )
        if self.shape is not None:
            self._check_free_heights(self.shape.top_m)
        if self.inlets < 1:
            raise StoreError(
                message("store.inlets", "a store has one inlet or more, not {inlets}", inlets=self.inlets)
            )
        for name, angle in (("cone_deg", self.cone_deg), ("repose_deg", self.repose_deg)):
            if not 0 <= angle < 60:
                raise StoreError(
                    message(
                        "store.repose",
                        "{name} is {angle}; pellets at rest stand at 0 to 60 deg, usually 30 to 40",
                        name=Own(name),
                        angle=Own(f"{angle:g}"),
                    )
                )
        if self.residue_kg is not None and not 0 <= self.residue_kg < self.capacity_kg():
            raise StoreError(
                message(
                    "store.all_residue",
                    "a residue of {residue} leaves nothing to use of a capacity of {capacity}",
                    residue=Quantity.written(self.residue_kg, "kg", "g"),
                    capacity=Quantity.written(self.capacity_kg(), "kg", ".0f"),
                )
            )

    def _check_free_heights(self, top_m: float) -> None:
        height = Quantity.written(top_m, "m", "g")
        if not 0 <= self.dead_height_m < top_m:
            raise StoreError(
                message(
                    "store.dead_height",
                    "a dead height of {free} leaves nothing of a store {height} high; it is the free height "
                    "under the ceiling of a full store, usually 0.2 to 0.4 m",
                    free=Quantity.written(self.dead_height_m, "m", "g"),
                    height=height,
                )
            )
        if not 0 <= self.inlet_clearance_m < top_m:
            raise StoreError(
                message(
                    "store.inlet_clearance",
                    "an inlet clearance of {free} leaves nothing of a store {height} high; it is the free "
                    "height under the ceiling of a full store, usually 0.2 to 0.4 m",
                    free=Quantity.written(self.inlet_clearance_m, "m", "g"),
                    height=height,
                )
            )

    @classmethod
    def of_capacity(
        cls, capacity_kg: float, residue_kg: float | None = None, **bulk_kg_per_m3: float
    ) -> Store:
        """Return a store of which only the capacity at the usual bulk density is known.

        Parameters
        ----------
        capacity_kg
            At the usual bulk density. [kg]
        residue_kg
            What cannot be conveyed out; None for 3 % of it. [kg]
        bulk_kg_per_m3
            Any of the three bulk densities by its name. [kg/m3]

        Returns
        -------
        Store
            Without a shape: no level marks, no section.

        Raises
        ------
        StoreError
            No capacity, or a residue that leaves nothing of it.
        """
        return cls(shape=None, stated_kg=capacity_kg, residue_kg=residue_kg, **bulk_kg_per_m3)  # type: ignore[arg-type]

    @cached_property
    def full_m3(self) -> float:
        """Volume of fuel in a full store, under its dead height. [m3]"""
        if self.shape is None:
            return float(self.stated_kg or 0.0) / self.bulk_kg_per_m3
        return float(self.shape.volume_below_m3(self.shape.top_m - self.dead_height_m))

    @cached_property
    def surely_full_m3(self) -> float:
        """Volume that surely goes in: the piles of its inlets, less their clearance and cones. [m3]"""
        if self.shape is None:
            return self.full_m3
        piles_m3 = filled_volume_m3(
            self.shape, self.inlet_clearance_m, self.cone_deg, inlets=self.inlets, along=self.inlets_at
        )
        return min(self.full_m3, piles_m3)

    def capacity_kg(self, bulk_kg_per_m3: float | None = None) -> float:
        """Return what a full store holds at a bulk density, the usual one by default. [kg]

        Parameters
        ----------
        bulk_kg_per_m3
            None for the usual. [kg/m3]

        Returns
        -------
        float
            Up to its dead height, what cannot be conveyed out included. [kg]
        """
        return self.full_m3 * (self.bulk_kg_per_m3 if bulk_kg_per_m3 is None else bulk_kg_per_m3)

    @cached_property
    def unusable_kg(self) -> float:
        """Residue that conveying cannot reach. [kg]"""
        if self.residue_kg is not None:
            return self.residue_kg
        if self.shape is None:
            return RESIDUE_SHARE * self.capacity_kg()
        left = left_behind_m3(self.shape, self.outlets, self.repose_deg) * self.bulk_kg_per_m3
        return min(max(left, LEAST_RESIDUE_SHARE * self.capacity_kg()), self.capacity_kg())

    @property
    def outlets(self) -> tuple[Point, ...]:
        """Points of the plan from which fuel is drawn. [m]"""
        if self.shape is None:
            return ()
        return outlets_along(self.shape, self.suction_points)

    def usable_kg(self) -> float:
        """Return what can be filled in and conveyed out again: its piles, less what stays lying. [kg]

        Returns
        -------
        float
            At the usual bulk density, zero or more. [kg]
        """
        filled_kg = self.surely_full_m3 * self.bulk_kg_per_m3
        if self.residue_kg is not None or self.shape is None:
            return max(0.0, filled_kg - self.unusable_kg)
        moved_m3 = conveyed_volume_m3(
            self.shape,
            self.inlet_clearance_m,
            self.cone_deg,
            self.outlets,
            self.repose_deg,
            inlets=self.inlets,
            along=self.inlets_at,
        )
        return min(moved_m3 * self.bulk_kg_per_m3, (1 - LEAST_RESIDUE_SHARE) * filled_kg)

    def surely_fits_kg(self, level_high_kg: float, step_kg: float = 100.0) -> float:
        """Return what a blower tanker can surely fill at a level.

        Free space at the low bulk density (600 kg/m3) and the high estimate of the stock, less the cone of
        the pile and the clearance of the inlet, rounded down. What is in the store is taken to lie at the
        low density too, so that its doubt is on the safe side.

        Parameters
        ----------
        level_high_kg
            High estimate of all fuel in the store. [kg]
        step_kg
            Orders are made in steps of this; rounded down. [kg]

        Returns
        -------
        float
            Zero where nothing surely fits. [kg]

        Raises
        ------
        StoreError
            A level below zero, or steps of nothing.
        """
        if not level_high_kg >= 0 or not step_kg > 0:
            raise StoreError(
                f"a level of {level_high_kg:g} kg and steps of {step_kg:g} kg: write amounts above zero"
            )
        free_kg = self.surely_full_m3 * self.bulk_low_kg_per_m3 - level_high_kg
        return max(0.0, math.floor(free_kg / step_kg + 1e-9) * step_kg)

    def kg_from_mark(
        self,
        marks_cm: float | tuple[float, ...],
        measured_from: MarkedFrom = "top",
        points: tuple[Point, ...] | None = None,
        mark_sd_cm: float = 2.0,
    ) -> MarkedLevel:
        """Return the fuel that one or several level marks tell of, with its error; see `level_from_marks`.

        Parameters
        ----------
        marks_cm
            One, or several. [cm]
        measured_from, points, mark_sd_cm
            As in `level_from_marks`; how far a mark may be off. [-, m, cm]

        Returns
        -------
        MarkedLevel
            Best estimate and standard deviation. [kg]

        Raises
        ------
        StoreError
            No shape is known, or a mark that lies outside the store.
        """
        if self.shape is None:
            raise StoreError(
                message(
                    "store.mark_without_shape",
                    "a level mark says nothing where only a capacity is known; give the store's shape, or a "
                    "%",
                )
            )
        marks = (marks_cm,) if isinstance(marks_cm, int | float) else tuple(marks_cm)
        return level_from_marks(
            self.shape,
            marks,
            measured_from=measured_from,
            points=points,
            bulk_kg_per_m3=self.bulk_kg_per_m3,
            bulk_sd_kg_per_m3=self.bulk_sd_kg_per_m3,
            repose_deg=self.repose_deg,
            mark_sd_cm=mark_sd_cm,
        )

    @property
    def bulk_sd_kg_per_m3(self) -> float:
        """Standard deviation of the bulk density, its range taken to hold 19 loads in 20. [kg/m3]"""
        return (self.bulk_high_kg_per_m3 - self.bulk_low_kg_per_m3) / 3.92

    def mark_from_kg(self, level_kg: float, measured_from: MarkedFrom = "top") -> float:
        """Return where a level surface of `level_kg` stands: below the ceiling or above the floor. [cm]

        Parameters
        ----------
        level_kg
            All fuel in the store. [kg]
        measured_from
            "top" or "bottom".

        Returns
        -------
        float
            As a tape held to the ceiling ("top") or to the lowest floor ("bottom") reads. [cm]

        Raises
        ------
        StoreError
            No shape is known, or more than the store holds.
        """
        if self.shape is None:
            raise StoreError(
                message(
                    "store.no_mark",
                    "no mark can be given where only a capacity is known; give the store's shape",
                )
            )
        height_m = float(self.shape.height_of_m(level_kg / self.bulk_kg_per_m3))
        return 100 * (self.shape.top_m - height_m if measured_from == "top" else height_m)
