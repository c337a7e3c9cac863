"""What `site.toml` says about a fuel: a table of its name, made from the keys that its module names."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, create_model

from fuelplan import units
from fuelplan.heat import fuels
from fuelplan.messages import Own, Refusal, as_message, said_by
from fuelplan.records.schema.quantities import Density, EnergyPerMass
from fuelplan.records.schema.table_base import Table


def _water(value: Any) -> fuels.Moisture:
    if isinstance(value, fuels.Moisture):
        return value
    if not isinstance(value, str):
        raise Refusal.because(
            "value.water",
            'write the water content with its basis in quotes, e.g. "18 % wet" or "22 % dry"',
        )
    return fuels.parse_moisture(value)


Water = Annotated[
    Any,
    BeforeValidator(_water),
    WithJsonSchema(
        {"type": "string", "description": "water content with its basis", "examples": ["18 % wet"]}
    ),
]


def _wood(value: Any) -> str:
    if not isinstance(value, str):
        raise Refusal.because("value.wood", 'write a kind of wood in quotes, e.g. "beech"')
    return fuels.species(value).name


WoodName = Annotated[
    str,
    BeforeValidator(_wood),
    WithJsonSchema({"type": "string", "description": "kind of wood", "examples": ["beech"]}),
]

_KINDS: dict[str, Any] = {
    "energy_per_mass": EnergyPerMass,
    "density": Density,
    "wood": WoodName,
    "water": Water,
}


def amount_of(fuel: fuels.Fuel) -> Any:
    """Return the type of an amount of a fuel, in one of the measures that it is bought in."""

    def read(value: Any) -> units.Amount:
        if not isinstance(value, str):
            raise Refusal.because(
                "value.amount_of_fuel", 'write an amount of {fuel} in quotes, e.g. "{example}"',
                fuel=fuel.word, example=Own(fuel.example),
            )  # fmt: skip
        amount = units.parse_amount(value)
        if amount.measure not in fuel.measures:
            raise Refusal.because(
                "value.measured_in", "{fuel} are measured in {measures}, not in {measure}",
                fuel=fuel.word, measures=as_message(fuel.sold_in),
                measure=said_by(units.MEASURES[amount.measure]),
            )  # fmt: skip
        return amount

    shown = {"type": "string", "description": f"amount of {fuel.name}", "examples": [fuel.example]}
    return Annotated[Any, BeforeValidator(read), WithJsonSchema(shown)]


def table_of_fuel(fuel: fuels.Fuel) -> type[Table]:
    """Return the model of a fuel's table."""
    fields: dict[str, Any] = {}
    for key in fuel.keys:
        kind = Literal[key.choices] if key.kind == "class" else _KINDS[key.kind]
        field = Field(key.default, alias=key.name, description=key.description, validate_default=True)
        fields[key.field] = (kind if key.default is not None else kind | None, field)
    name = f"{fuel.name.title()}Table"
    return create_model(name, __base__=Table, __doc__=f"The {fuel.name} burned.", **fields)
