"""Logs and chips as people measure them: kilograms, solid, stacked and loose cubic metres, cords."""

from __future__ import annotations

from dataclasses import dataclass

from fuelplan.heat.fuels.fuel import NOW, AgeLine, Fuel
from fuelplan.heat.fuels.moisture import FuelError, Moisture, net_kwh_per_kg
from fuelplan.heat.fuels.species import Species, species
from fuelplan.messages import Listed, Message, Own, Percent, Quantity, message
from fuelplan.messages.cautions import FuelCautions

STACKED_PER_SOLID = 1.4  # LWF, Heidenheim
LOOSE_PER_SOLID = 2.5
CORD_FT3 = 128.0
CORD_WOOD_FT3 = 85.0
FT3_M3 = 0.3048**3
VOLUME_REL_RANGE = 0.15  # printed tables of energy per stacked metre differ by this much either way

LOG_ASH_SHARE = 0.015  # common practice: stem wood with its bark; without it about 0.005
CHIP_ASH_SHARE = 0.010  # common practice

MEASURES = ("kg", "solid_m3", "stacked_m3", "loose_m3", "cord")


@dataclass(frozen=True)
class WoodAmount:
    """An amount of logs or chips in every measure, with the shares and densities that were used.

    Attributes
    ----------
    kg, kwh
        Mass as it lies, and net energy in it. [kg, kWh]
    solid_m3, stacked_m3, loose_m3
        The same wood by volume. [m3]
    solid_share
        Solid wood in the cubic metre that was asked about (1 for solid metres and for kilograms).
    kg_per_solid_m3
        Mass of a solid cubic metre at this water content. [kg/m3]
    kwh_low, kwh_high
        Range of the energy: 15 % either way where a pile was measured, none where it was weighed. [kWh]
    how
        One sentence with the share and density used.
    """

    kg: float
    kwh: float
    solid_m3: float
    stacked_m3: float
    loose_m3: float
    solid_share: float
    kg_per_solid_m3: float
    kwh_low: float
    kwh_high: float
    how: Message

    @property
    def cord(self) -> float:
        """The same wood in cords of 85 cubic feet of wood."""
        return self.solid_m3 / (CORD_WOOD_FT3 * FT3_M3)


@dataclass(frozen=True)
class Wood:
    """Logs (or chips) of one kind at one water content.

    Attributes
    ----------
    species
        Kind of wood.
    moisture
        Water, on a basis that says its name.
    stacked_solid_share, loose_solid_share
        Solid wood in a stacked and in a loose cubic metre, 0..1.
    form
        "logs" or "chips".
    """

    species: Species
    moisture: Moisture
    stacked_solid_share: float = 1.0 / STACKED_PER_SOLID
    loose_solid_share: float = 1.0 / LOOSE_PER_SOLID
    form: str = "logs"

    def __post_init__(self) -> None:
        """Refuse shares of nothing, and forms that are no wood fuel."""
        for what, share in (("stacked", self.stacked_solid_share), ("loose", self.loose_solid_share)):
            if not 0.2 <= share <= 1:
                raise FuelError(
                    message(
                        "wood.solid_share",
                        "a solid share of {share} in a {what} m3 cannot be; write e.g. 0.65",
                        share=Own(f"{share:g}"),
                        what=Own(what),
                    )
                )
        if self.form not in ("logs", "chips"):
            raise FuelError(
                message(
                    "wood.form",
                    '"{form}" is not a valid form of wood here; write "logs" or "chips"',
                    form=Own(self.form),
                )
            )

    @property
    def kwh_per_kg(self) -> float:
        """Net energy as received. [kWh/kg]"""
        return net_kwh_per_kg(self.species.dry_kwh_per_kg, self.moisture)

    @property
    def kg_per_solid_m3(self) -> float:
        """Mass of a solid cubic metre, water included. [kg/m3]"""
        return self.species.dry_kg_per_solid_m3 / (1.0 - self.moisture.wet.share)

    @property
    def kg_per_stacked_m3(self) -> float:
        """Mass of a stacked cubic metre. [kg/m3]"""
        return self.kg_per_solid_m3 * self.stacked_solid_share

    @property
    def kwh_per_stacked_m3(self) -> float:
        """Energy in a stacked cubic metre. [kWh/m3]"""
        return self.kg_per_stacked_m3 * self.kwh_per_kg

    @property
    def kwh_per_loose_m3(self) -> float:
        """Energy in a loose cubic metre. [kWh/m3]"""
        return self.kg_per_solid_m3 * self.loose_solid_share * self.kwh_per_kg

    @property
    def ash_share(self) -> float:
        """Ash of the mass as burned, 0..1 (common practice)."""
        return LOG_ASH_SHARE if self.form == "logs" else CHIP_ASH_SHARE

    def amount(self, value: float, measure: str) -> WoodAmount:
        """Return so much of this wood in every measure.

        Parameters
        ----------
        value
            How much, zero or more. [the unit of `measure`]
        measure
            One of `MEASURES`; a cord is 128 cubic feet stacked, of which 85 are wood.

        Returns
        -------
        WoodAmount
            The same wood by mass, energy and each volume, with the shares used.

        Raises
        ------
        FuelError
            Negative, or a measure that is not in the list.
        """
        if measure not in MEASURES:
            raise FuelError(
                message(
                    "wood.measure",
                    '"{measure}" is not a valid measure of wood; write one of {measures}',
                    measure=Own(measure),
                    measures=Listed(tuple(map(Own, MEASURES)), ", "),
                )
            )
        if not 0 <= value < float("inf"):
            raise FuelError(
                message(
                    "wood.amount",
                    "{amount} of wood cannot be; write zero or more",
                    amount=Own(f"{value:g} {measure}"),
                )
            )
        share = {
            "kg": 1.0,
            "solid_m3": 1.0,
            "stacked_m3": self.stacked_solid_share,
            "loose_m3": self.loose_solid_share,
            "cord": CORD_WOOD_FT3 / CORD_FT3,
        }[measure]
        if measure == "kg":
            solid = value / self.kg_per_solid_m3
        else:
            solid = value * share * (CORD_FT3 * FT3_M3 if measure == "cord" else 1.0)
        return self._of_solid(solid, share, measured=measure != "kg")

    def _of_solid(self, solid_m3: float, share: float, measured: bool) -> WoodAmount:
        kg = solid_m3 * self.kg_per_solid_m3
        kwh = kg * self.kwh_per_kg
        doubt = VOLUME_REL_RANGE if measured else 0.0
        how = message(
            "wood.how",
            "{wood} at {water}: {dry} of dry wood in a solid m³ ({source}), {share} of the measured volume "
            "is wood",
            wood=self.species.word,
            water=self.moisture.said,
            dry=Quantity.written(self.species.dry_kg_per_solid_m3, "kg", "g"),
            source=self.species.source,
            share=Percent(share),
        )
        return WoodAmount(
            kg=kg,
            kwh=kwh,
            solid_m3=solid_m3,
            stacked_m3=solid_m3 / self.stacked_solid_share,
            loose_m3=solid_m3 / self.loose_solid_share,
            solid_share=share,
            kg_per_solid_m3=self.kg_per_solid_m3,
            kwh_low=kwh * (1.0 - doubt),
            kwh_high=kwh * (1.0 + doubt),
            how=how,
        )


def logs(name: str, moisture: Moisture) -> Wood:
    """Return logs of a kind of wood at a water content.

    Parameters
    ----------
    name
        Kind of wood, see `species`.
    moisture
        Water, on a basis that says its name.

    Returns
    -------
    Wood
        With the solid shares of the stacked and the loose cubic metre that are usual.

    Raises
    ------
    FuelError
        A kind of wood that is not in the table.
    """
    return Wood(species(name), moisture)


# Logs after 2019 are printed (French 3CL-DPE 2021, §13.2; above 20 kW the nearest line). Of older log boilers
# one season is known, 64.59 % for 25 kW of 2004 to 2012; the lines 57 + 6 lg P and 58 + 6 lg P give it, those
# of the EN 303-5 class below the pellet boilers of these years. The other years are taken one class below the
# pellets, too, never below class 1: inferred, none of them printed.
_BY_AGE: tuple[AgeLine, ...] = (
    (1994, (47.0, 6.0), (47.0, 6.0)),
    (2003, (47.0, 6.0), (48.0, 6.0)),
    (2012, (57.0, 6.0), (58.0, 6.0)),
    (2019, (67.0, 6.0), (68.0, 6.0)),
    (NOW, (89.0, 2.0), (84.0, 2.0)),
)


def kg_of_wood(value: float, measure: str, wood: Wood) -> float:
    """Return the mass of so much of a wood in one of `MEASURES`. [kg]"""
    return wood.amount(value, measure).kg


def kwh_per_unit_of_wood(unit: str, each_kg: float | None, wood: Wood | None) -> float:
    """Return the net energy in the unit of a price. [kWh]"""
    if wood is None:
        raise FuelError(
            message(
                "wood.say_wood_and_water",
                'say wood and water, e.g. wood = "beech" and water = "18 % wet"',
            )
        )
    return wood.amount(1.0, unit).kwh


LOGS = Fuel(
    name="logs",
    one=message("fuel.log", "log"),
    kept="stack",
    by_wood=True,
    comes="stacked",
    usual_kwh_per_kg=4.1,
    usual_source=message("fuel.logs_source", "HeizkostenV §9(3), air-dry"),
    measures=("stacked_m3", "solid_m3", "loose_m3", "kg"),
    sold_in=message("fuel.logs_sold_in", "stacked m3, solid m3, loose m3, cord, kg or t"),
    example="6 stacked m3",
    material=logs,
    kg_of=kg_of_wood,
    kwh_per_unit=kwh_per_unit_of_wood,
    lines=lambda rated_kw: _BY_AGE,
    inferred_until=2019,
    least_share=0.5,
    cautions=FuelCautions(
        burned={
            "over-temperature": message("caution.why_logs_burn_on", "Logs cannot be switched off."),
            "untreated-wood": message("caution.why_logs_loaded", "Logs are loaded by hand."),
            "log-stack": message("caution.why_logs_stacked", "Logs are stacked here."),
            "chimney-fire": message("caution.why_log_tar", "Log fires can leave tar in the chimney."),
            "hot-ash": message("caution.why_log_embers", "Log fires leave embers in the ash."),
        }
    ),
    said=message("fuel.logs", "logs"),
)
