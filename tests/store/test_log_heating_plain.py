"""Log heating against the same winter written down as a plain loop."""

from __future__ import annotations

import pytest

from fuelplan.store.log_heating import run
from tests.benchmarks.heating import DATES, RULE, invented_plant, invented_year, plain


def test_a_plain_loop_agrees() -> None:
    """Two winters among three, written down hour by hour with its own formula of the buffer's loss, burn
    the same.
    """
    plant = invented_plant()
    mean, load = invented_year(3, seed=5)
    may = RULE.may_load(DATES, mean, 24)
    together = run(plant, load, may)
    for i in (0, 2):
        logs_kg, pellets_kg, loads = plain(plant, load[i].tolist(), may[i].tolist())
        assert together.logs_kg[i].sum() == pytest.approx(logs_kg, rel=1e-9)
        assert together.pellets_kg[i].sum() == pytest.approx(pellets_kg, rel=1e-9)
        assert together.loads[i].sum() == pytest.approx(loads)
        assert logs_kg > 1000 and pellets_kg > 300
