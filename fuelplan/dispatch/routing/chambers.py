"""Which class goes into which chamber: exact, by trying all ways."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache


@lru_cache(maxsize=65_536)
def _pack(kg: tuple[int, ...], chambers: tuple[int, ...]) -> tuple[int, ...] | None:
    """Return the class of each chamber (−1 = empty) so that every class fits; None where there is no way.

    `chambers` is in descending order. Depth first, largest chamber first; equal chambers are not tried twice.
    """
    if not chambers:
        return None if any(k > 0 for k in kg) else ()
    if sum(k for k in kg if k > 0) > sum(chambers):
        return None
    tried = set()
    for c, need in enumerate(kg):
        if need <= 0 or need in tried:
            continue
        tried.add(need)
        rest = (*kg[:c], max(0, need - chambers[0]), *kg[c + 1 :])
        way = _pack(rest, chambers[1:])
        if way is not None:
            return (c, *way)
    if tried:  # a chamber left empty while something remains never helps
        return None
    return (-1,) * len(chambers)


def fits(kg_by_class: Mapping[str, int], chambers_kg: tuple[int, ...], payload_kg: int) -> bool:
    """Tell whether a load fits: no more than the payload in all, and one class per chamber. [kg]"""
    total = sum(kg_by_class.values())
    if total > payload_kg:
        return False
    if len(kg_by_class) == 1:
        return total <= sum(chambers_kg)
    ordered = tuple(sorted(chambers_kg, reverse=True))
    return _pack(tuple(k for k in kg_by_class.values() if k > 0), ordered) is not None


def pack(
    kg_by_class: Mapping[str, int], chambers_kg: tuple[int, ...], payload_kg: int
) -> tuple[tuple[str, int], ...] | None:
    """Return class and kilograms of each chamber, or None where the load does not fit.

    Parameters
    ----------
    kg_by_class
        What must be aboard. A class may be spread over several chambers, a chamber holds one class. [kg]
    chambers_kg
        In the order of the tanker. [kg]
    payload_kg
        What all chambers together may hold. [kg]
    """
    if sum(kg_by_class.values()) > payload_kg:
        return None
    names = sorted(k for k, v in kg_by_class.items() if v > 0)
    order = sorted(range(len(chambers_kg)), key=lambda i: -chambers_kg[i])
    way = _pack(tuple(kg_by_class[k] for k in names), tuple(chambers_kg[i] for i in order))
    if way is None:
        return None
    left = {k: kg_by_class[k] for k in names}
    out: list[tuple[str, int]] = [("", 0)] * len(chambers_kg)
    for i, c in zip(order, way, strict=True):
        if c >= 0:
            name = names[c]
            part = min(left[name], chambers_kg[i])
            left[name] -= part
            out[i] = (name, part)
    return tuple(out)
