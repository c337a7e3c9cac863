"""The keys of `round.toml`. Unknown keys are faults; every key's description feeds the reference page."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints, model_validator

from fuelplan.messages import Own, Refusal
from fuelplan.records.schema.fleet import DepotTable, TankerTable
from fuelplan.records.schema.formats import ROUND_STEPS
from fuelplan.records.schema.quantities import Day, Length, PricePerMass
from fuelplan.records.schema.rules import DistancesTable, DriverTable, RulesTable
from fuelplan.records.schema.site import PlaceTable, WeatherTable
from fuelplan.records.schema.table_base import Name, Table, Text

FORMAT = len(ROUND_STEPS)
ROUND_FILE = "round.toml"
Class = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=20, pattern=r"^[^;,|\s]+$")
]


class AreaTable(Table):
    """An area with weather of its own; every customer lies in one."""

    name: Name = Field(description="Name of the area, as `customers.csv` names it.")
    file: str | None = Field(
        None,
        description="Weather file of the area inside the folder; left out: that of [weather].",
        examples=["weather_north.csv"],
    )
    latitude: float | None = Field(
        None, ge=-90, le=90, description="Degrees north; left out: that of [place]."
    )
    longitude: float | None = Field(
        None, ge=-180, le=180, description="Degrees east; left out: that of [place]."
    )
    elevation_m: Length | None = Field(
        None, alias="elevation", description="Height that the area's weather stands for.", examples=["900 m"]
    )


class RoundTable(Table):
    """The whole of `round.toml`."""

    format: int = Field(
        description="Format number of the folder; a folder of an older one is opened all the same."
    )
    name: Name = Field(description="What you call the round.")
    note: Text = Field("", description="Anything worth knowing.")
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")] | None = Field(
        None, description="Three-letter currency code; left out: that of the prices.", examples=["EUR"]
    )
    example_date: Day | None = Field(
        None, description="For example folders only: the day taken as today unless another is asked for."
    )
    classes: tuple[Class, ...] = Field(
        ("A1",),
        min_length=1,
        max_length=12,
        description="Classes of fuel you sell, e.g. A1 and A2.",
        examples=[["A1", "A2"]],
    )
    place: PlaceTable
    weather: WeatherTable
    areas: tuple[AreaTable, ...] = Field(
        (), alias="area", description="Areas with weather of their own; none: one weather for all."
    )
    depots: tuple[DepotTable, ...] = Field(alias="depot", min_length=1, description="Where tankers load.")
    tankers: tuple[TankerTable, ...] = Field(alias="tanker", min_length=1, description="The tankers.")
    rules: RulesTable = Field(default_factory=lambda: RulesTable.model_validate({}))
    driver: DriverTable = Field(default_factory=lambda: DriverTable.model_validate({}))
    distances: DistancesTable = Field(default_factory=lambda: DistancesTable.model_validate({}))
    prices: dict[str, PricePerMass] = Field(
        default_factory=dict,
        description='What a tonne costs you at the depot, by class: A1 = "265 EUR/t".',
        examples=[{"A1": "265 EUR/t"}],
    )

    @model_validator(mode="after")
    def _names_fit(self) -> RoundTable:
        for what, names in (
            ("area", [a.name for a in self.areas]),
            ("depot", [d.name for d in self.depots]),
            ("tanker", [t.name for t in self.tankers]),
            ("class", list(self.classes)),
        ):
            twice = sorted({n for n in names if names.count(n) > 1})
            if twice:
                raise Refusal.because(
                    "round_keys.same_name",
                    'two {entries} entries are called "{name}"; give each its own name',
                    entries=Own(what), name=Own(twice[0]),
                )  # fmt: skip
        return self

    @property
    def money(self) -> str | None:
        """The currency: as said, else that of the first price."""
        if self.currency is not None:
            return self.currency
        said = [money for _, money in self.moneys()]
        return said[0][1] if said else None

    def moneys(self) -> list[tuple[str, tuple[float, str]]]:
        """Return every amount of money with its key."""
        found = [(f"prices.{name}", price) for name, price in self.prices.items()]
        for i, tanker in enumerate(self.tankers):
            found.append((f"tanker.{i}.cost_per_km", tanker.cost_per_km))
            found.append((f"tanker.{i}.cost_per_hour", tanker.cost_per_hour))
        optional = (
            ("rules.overtime", self.rules.overtime_per_hour),
            ("rules.empty_cost", self.rules.empty_cost),
        )
        return found + [(key, money) for key, money in optional if money is not None]


class AreaOfWeather(Table):
    """One area as the weather is asked for: its place and its [weather] table."""

    name: str
    place: PlaceTable
    weather: WeatherTable


def areas_of(table: RoundTable) -> tuple[AreaOfWeather, ...]:
    """Return the areas with what they leave out taken from [place] and [weather]; one where none is named."""
    if not table.areas:
        return (AreaOfWeather(name="", place=table.place, weather=table.weather),)
    found = []
    for area in table.areas:
        own = {
            name: value
            for name in ("latitude", "longitude", "elevation_m")
            if (value := getattr(area, name)) is not None
        }
        weather = table.weather if area.file is None else table.weather.model_copy(update={"file": area.file})
        found.append(AreaOfWeather(name=area.name, place=table.place.model_copy(update=own), weather=weather))
    return tuple(found)
