"""What all tables of `site.toml` share."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]
Text = Annotated[str, StringConstraints(max_length=2000)]


class Table(BaseModel):
    """Base of all tables: nothing unknown, nothing changed after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False, allow_inf_nan=False)
