"""Speed of the run plan: the demo round's ten days. Run `python -m tests.benchmarks.runs_speed`."""

from __future__ import annotations

import re
import shutil
import tempfile
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from fuelplan import answers
from fuelplan.answers.round.roads import roads_for_round
from tests.benchmarks.measure import Row, compared, table_of, timed, timed_many

DEMO = Path(__file__).resolve().parents[2] / "demo_sites" / "round_quellmark"
DAY = date(2026, 1, 15)
PAYLOAD_KG = 11_000.0


def plain_plan(table: pd.DataFrame, km: np.ndarray, depot: int) -> tuple[float, float]:
    """Kilometres and kilograms of the first plan to write: each day who is due, to the nearest next one.

    Each customer is filled up on its last safe day and a tanker turns back when it is empty; access, classes,
    hours and the days on which customers take fuel are left out.
    """
    driven = kg = 0.0
    for _, due in table.sort_values("deliver_by").groupby("deliver_by"):
        left = due.index.tolist()
        at, load = depot, PAYLOAD_KG
        while left:
            following = min(left, key=lambda i: km[at, i])
            amount = min(due.fits_kg[following], PAYLOAD_KG)
            if amount > load:
                driven += km[at, depot]
                at, load = depot, PAYLOAD_KG
                continue
            driven += km[at, following]
            at, load, kg = following, load - amount, kg + amount
            left.remove(following)
        driven += km[at, depot]
    return float(driven), float(kg)


def grown(folder: Path, times: int) -> Path:
    """Write the demo round so many times over: customers somewhere near, tankers and stocks in proportion."""
    shutil.copytree(DEMO, folder)
    file = folder / "round.toml"
    head, *blocks = re.split(r"(?m)^(?=\[)", file.read_text(encoding="utf-8"))
    written = [head]
    for block in blocks:
        if block.startswith("[[depot]]"):
            block = re.sub(r'"(\d+) t"', lambda found: f'"{times * int(found[1])} t"', block)
        written.append(block)
        if block.startswith("[[tanker]]"):
            name = re.compile(r'(?m)^name = "(.*)"')
            written += [name.sub(rf'name = "\1 {n}"', block) for n in range(2, times + 1)]
    file.write_text("".join(written), encoding="utf-8")
    rng = np.random.default_rng(1)
    for name in ("customers", "deliveries", "readings", "orders"):
        table = pd.read_csv(folder / f"{name}.csv", dtype=str, na_filter=False)
        copies = []
        for n in range(times):
            copy = table.copy()
            for column in {"customer", "order", "split_with"} & set(copy.columns):
                copy[column] = [f"{n}{text}" if text else "" for text in copy[column]]
            if name == "customers" and n:
                for column in ("latitude", "longitude"):
                    copy[column] = (copy[column].astype(float) + rng.normal(0, 0.05, len(copy))).round(5)
            copies.append(copy)
        pd.concat(copies).to_csv(folder / f"{name}.csv", index=False)
    return folder


def many_customers(times: int) -> Row:
    """The demo round so many times over, ten working days with the usual budget."""
    with tempfile.TemporaryDirectory() as name:
        round_ = answers.open_round(grown(Path(name) / "round", times))
        weather = answers.weather_for_round(round_, DAY)
        found: list[answers.RunsAnswer] = []
        ours = timed(lambda: found.append(answers.runs(round_, weather, DAY, days=10)), 1)
        plan = found[-1]
        what = f"run plan, {len(round_.customers):,} customers × 10 days, {plan.iterations:,} moves"
        return compared(what, ours, km_per_t=1000 * plan.km / plan.kg, runs=len(plan.runs))


def rows(quick: bool) -> list[Row]:
    """120 and 1,080 customers × 10 working days with the usual budget, from the folder's arrays to the
    answer.
    """
    round_ = answers.open_round(DEMO)
    weather = answers.weather_for_round(round_, DAY)
    found: list[answers.RunsAnswer] = []
    answers.runs(round_, weather, DAY, moves=500, days=2)  # compiled where needed
    ours = timed(lambda: found.append(answers.runs(round_, weather, DAY, moves=2_000 if quick else None)), 1)
    plan = found[-1]
    roads = roads_for_round(round_)
    c = answers.outlook(round_, weather, DAY, days=14).customers
    due = pd.DataFrame({"deliver_by": c.deliver_by, "fits_kg": 0.95 * c.store_kg - c.level_kg[:, 1]})
    due = due[c.top_up & (due.deliver_by <= pd.Timestamp(plan.days[-1]))]
    simple: list[tuple[float, float]] = []
    plain = timed(
        lambda: simple.append(plain_plan(due, np.asarray(roads.roads.km, float), roads.depot_place[0])), 3
    )
    driven, kg = simple[-1]
    copies = timed_many(lambda: (roads.roads.km.copy(), roads.roads.hours.copy()))
    words = "pandas, each day who is due and then the nearest, no access, hours or classes"
    return [
        compared(
            f"run plan, 120 customers × 10 days, {plan.iterations:,} moves",
            ours, (words, plain, 1.0), ("distances and hours copied once", copies),
            km_per_t=1000 * plan.km / plan.kg, km_per_t_of_the_plain_way=1000 * driven / kg,
        ),
        *([] if quick else [many_customers(9)]),
    ]  # fmt: skip


if __name__ == "__main__":
    print("\n".join(table_of(rows(quick=False))))
