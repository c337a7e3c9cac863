"""What a newcomer wrote, what it was understood to be, and what was wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from fuelplan.heat import fuels
from fuelplan.messages import Listed, Message, Own, Refusal, Said, as_message, message


def burned_in_bulk() -> dict[str, Message]:
    """Return the fuels that a new house may burn from a bulk store, with what people call them."""
    return {f.name: f.word for f in fuels.fuels() if f.in_bulk}


class FieldFaults(Refusal):
    """Entries that cannot be used; `faults` holds what is wrong with each field by its name."""

    def __init__(self, faults: Mapping[str, Said]) -> None:
        """Keep the faults by field."""
        self.faults = dict(faults)
        each = (
            message("house.field", "{field}: {fault}", field=Own(field), fault=as_message(fault))
            for field, fault in self.faults.items()
        )
        super().__init__(message("house.fields", "{faults}", faults=Listed(tuple(each), "; ")))

    def __reduce__(self) -> tuple[type[FieldFaults], tuple[dict[str, Said]]]:
        """Return how it is made anew in another process."""
        return type(self), (self.faults,)


@dataclass(frozen=True)
class NewHouse:
    """What a newcomer wrote, as text with units; an empty text is left out.

    Attributes
    ----------
    burns
        What `use` is measured for: a fuel of :func:`burned_in_bulk`, or "oil" or "gas" of the heating before.
    weather
        "invented": the file given is the demo valley's; "monthly": `monthly_means`; "file": the file given;
        "stations": open station data, for which latitude and longitude or a town are needed.
    level, delivered_on, delivered, filled_full
        What is in the store today, or the last delivery, or both.
    """

    name: str = ""
    country: str = ""
    town: str = ""
    latitude: str = ""
    longitude: str = ""
    weather: Literal["stations", "monthly", "file", "invented"] = "stations"
    monthly_means: str = ""
    burns: str = fuels.usual().name
    use: str = ""
    store: str = ""
    level: str = ""
    delivered_on: date | None = None
    delivered: str = ""
    filled_full: bool = False
    reserve: str = ""
    lead_time: str = ""
    smallest_drop: str = ""
    price: str = ""
    indoor: str = ""
    people: str = ""
    rated: str = ""
    installed: str = ""
    tested: str = ""
    risk: str = ""


@dataclass(frozen=True)
class ReadHouse:
    """The entries of a :class:`NewHouse` as they were understood. [kg, kWh, m3, degC, degrees]

    `use` and `store` are text for the folder's file, with a unit; None means left out.
    """

    name: str
    country: str | None
    time_zone: str
    latitude: float | None
    longitude: float | None
    town: str
    weather: str
    monthly_means_c: tuple[float, ...]
    fuel: fuels.Fuel
    use_key: str
    use: str
    store: str
    store_note: Message | None
    day: date
    reading: str
    delivered_on: date | None
    delivered: str
    filled_full: bool
    reserve: str
    own_reserve: bool
    more: Mapping[str, str]
    people: int | None
    installed: int | None
