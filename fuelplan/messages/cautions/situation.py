"""What triggers which caution."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from fuelplan.messages.cautions.texts import DEFER, TEXTS
from fuelplan.messages.documents import in_document
from fuelplan.messages.message import Message, Said, as_message, message, paragraph
from fuelplan.messages.values import Percent, Quantity

DRY_ENOUGH_WET_SHARE = 0.20
HEAVY_BAG_KG = 10.0
ASK_FIRE_CODE_KG = 5_000.0  # below the lowest threshold named, so that nobody passes one unasked
NEVER_ENTERED = frozenset({"tank", "fabric", "buried"})
STORE_KINDS = ("room", *sorted(NEVER_ENTERED))


class CautionError(ValueError):
    """A caution or a fact that does not exist; the sentence lists those that do."""


@dataclass(frozen=True)
class Caution:
    """One caution.

    Attributes
    ----------
    id
        Does not change.
    text
        For people; ends by deferring to manual, codes and trades.
    why
        What in the situation brings it.
    """

    id: str
    text: Message
    why: Said

    def to_json(self) -> dict[str, Any]:
        """Return it as documents hold it: the message with its id and reason."""
        return {"id": self.id, **in_document(self.text), "why": in_document(as_message(self.why))}


@dataclass(frozen=True)
class FuelCautions:
    """What a fuel brings: ids of cautions with the reason, each for when it is so.

    Attributes
    ----------
    burned, in_store, filling
        Where it is burned at all, where it lies in a bulk store, and when such a store is filled with it.
    """

    burned: Mapping[str, Message] = field(default_factory=dict)
    in_store: Mapping[str, Message] = field(default_factory=dict)
    filling: Mapping[str, Message] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse ids that there are none of: a slip must not hide a caution."""
        unknown = sorted({*self.burned, *self.in_store, *self.filling} - set(TEXTS))
        if unknown:
            raise CautionError(f"there is no caution {', '.join(unknown)}; there are {', '.join(TEXTS)}")


@dataclass(frozen=True)
class Situation:
    """Facts about a site or a piece of work; what is not said brings no caution of its own.

    Attributes
    ----------
    fuels
        What the fuels that are burned here bring (`fuelplan.heat.fuels` knows it of each).
    store_kind
        "room", "tank", "fabric" or "buried"; None where pellets come in bags only or nothing is known.
    stock_kg
        Most fuel that is kept. [kg]
    couplings
        Whether the store is filled through couplings: not where fuel is tipped in.
    couplings_outdoors
        Whether both filling couplings end outdoors; None where not known.
    filling, cleaning, emptying_ash, sweeping
        Work that is planned or proposed.
    bag_kg
        Mass of a bag where pellets are carried in bags. [kg]
    log_water_share_wet
        Water of the logs that are burned, of the wet mass, 0..1.
    wet_stacks
        Whether logs lie here that are still too wet to burn.
    boiler_smaller_than_load
        Whether the boiler cannot follow on the coldest days.
    """

    fuels: Collection[FuelCautions] = field(default=())
    store_kind: str | None = None
    stock_kg: float | None = None
    couplings: bool = True
    couplings_outdoors: bool | None = None
    filling: bool = False
    cleaning: bool = False
    emptying_ash: bool = False
    sweeping: bool = False
    bag_kg: float | None = None
    log_water_share_wet: float | None = None
    wet_stacks: bool = False
    boiler_smaller_than_load: bool = False

    def __post_init__(self) -> None:
        """Refuse kinds of store that are not known: a slip must not hide a caution."""
        if self.store_kind is not None and self.store_kind not in STORE_KINDS:
            raise CautionError(
                f'"{self.store_kind}" is not a valid kind of store; write one of {", ".join(STORE_KINDS)}'
            )
        if any(not isinstance(f, FuelCautions) for f in self.fuels):
            raise CautionError(f"fuels are a list of what each of them brings, not {self.fuels!r}")


def caution(caution_id: str, why: Said) -> Caution:
    """Return the caution of that id with the reason given."""
    if caution_id not in TEXTS:
        raise CautionError(f'there is no caution "{caution_id}"; there are {", ".join(TEXTS)}')
    return Caution(caution_id, paragraph([TEXTS[caution_id], DEFER]), why)


def for_situation(**facts: Any) -> list[Caution]:
    """Return the cautions that apply, what kills first.

    Parameters
    ----------
    facts
        Attributes of `Situation`.

    Raises
    ------
    CautionError
        A fact that is not known: a misspelt one must not silence a caution.
    """
    known = [f.name for f in fields(Situation)]
    wrong = sorted(set(facts) - set(known))
    if wrong:
        raise CautionError(
            f"{', '.join(wrong)} is not a valid fact of a situation; there are {', '.join(known)}"
        )
    reasons = _reasons(Situation(**facts))
    return [caution(name, reasons[name]) for name in TEXTS if name in reasons]


def _reasons(s: Situation) -> dict[str, Message]:
    reasons: dict[str, Message] = {}
    if s.fuels:
        reasons["co-dwelling"] = message("caution.why_wood", "Wood is burned here.")
    reasons |= _store_work(s)
    for brings in s.fuels:
        for known in (brings.burned, brings.in_store if s.store_kind is not None else {}):
            reasons = {**known, **reasons}
    if s.emptying_ash:
        reasons["hot-ash"] = message("caution.why_ash", "The ash box is emptied.")
    if s.sweeping:
        reasons["sweeping"] = message("caution.why_sweeping", "The chimney is to be swept.")
    if s.log_water_share_wet is not None and s.log_water_share_wet > DRY_ENOUGH_WET_SHARE:
        reasons["wet-wood"] = message(
            "caution.why_wet_logs",
            "The logs hold about {share} water of the wet mass.",
            share=Percent(s.log_water_share_wet),
        )
        reasons["chimney-fire"] = message("caution.why_tar", "Wet logs leave tar in the chimney.")
    elif s.wet_stacks:
        reasons["wet-wood"] = message(
            "caution.why_wet_stacks", "Some logs here are not dry yet, or not surely."
        )
    if s.bag_kg is not None and s.bag_kg >= HEAVY_BAG_KG:
        reasons["heavy-bags"] = message(
            "caution.why_bags",
            "Bags of {mass} are carried here.",
            mass=Quantity(s.bag_kg, "mass", 3, unit="kg"),
        )
    if s.stock_kg is not None and s.stock_kg >= ASK_FIRE_CODE_KG:
        reasons["fire-thresholds"] = message(
            "caution.why_stock",
            "Up to about {mass} of fuel are kept here.",
            mass=Quantity(s.stock_kg, "mass", unit="t", decimals=1),
        )
    if s.boiler_smaller_than_load:
        reasons["boiler-too-small"] = message("caution.why_boiler", "The boiler is smaller than the load.")
    return reasons


def _kind(store_kind: str) -> Message:
    """Return the word for a store that is never entered."""
    if store_kind == "tank":
        return message("caution.kind_tank", "tank")
    if store_kind == "fabric":
        return message("caution.kind_fabric", "fabric")
    return message("caution.kind_buried", "buried")


def _store_work(s: Situation) -> dict[str, Message]:
    reasons: dict[str, Message] = {}
    if s.store_kind is not None and s.store_kind in NEVER_ENTERED:
        reasons["store-never-enter"] = message(
            "caution.why_kind", "The store is of the kind: {kind}.", kind=_kind(s.store_kind)
        )
    if s.cleaning:
        cleaned = message("caution.why_cleaned", "The store is to be cleaned.")
        if s.store_kind not in NEVER_ENTERED:
            reasons["store-entry"] = cleaned
        reasons["co-store"] = cleaned
        reasons["dust"] = message("caution.why_cleaning_dust", "Cleaning raises dust.")
        reasons["boiler-off-before-filling"] = message(
            "caution.why_worked_on", "Boiler and conveyors stand still while the store is worked on."
        )
    if s.filling:
        reasons["boiler-off-before-filling"] = message(
            "caution.why_delivery", "A delivery is on its way or proposed."
        )
        for brings in s.fuels:
            reasons |= brings.filling
    if s.store_kind is not None and s.couplings and s.couplings_outdoors is not True:
        reasons["vented-caps"] = (
            message("caution.why_coupling_inside", "A filling coupling ends inside the building.")
            if s.couplings_outdoors is False
            else message(
                "caution.why_couplings_unknown",
                "It is not known whether both filling couplings end outdoors.",
            )
        )
    return reasons
