"""Answers as plain JSON documents: dates in ISO 8601, rounded below what a scale weighs."""

from __future__ import annotations

import dataclasses
from datetime import date
from typing import Any

import numpy as np

from fuelplan.messages import SCHEMA as SCHEMA
from fuelplan.messages import Message, in_document
from fuelplan.messages.cautions import Caution


def plain(value: Any) -> Any:
    """Return `value` as what `json` can write: dataclasses as dicts, dates as text, arrays as lists, NaN as
    None.
    """
    if isinstance(value, Message):
        return in_document(value)
    if isinstance(value, Caution):
        return value.to_json()
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, np.ndarray):
        if value.dtype.kind == "M":
            return [str(v) for v in value.astype("datetime64[D]")]
        return [plain(v) for v in value.tolist()]
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, (float, np.floating)):
        return round(float(value), 6) if np.isfinite(value) else None
    if isinstance(value, np.integer):
        return int(value)
    return value


def order_document(answer: Any) -> dict[str, Any]:
    """Return the JSON document of an order answer."""
    document = {"schema": SCHEMA, **plain(answer)}
    document["reproducible"] = True
    return document
