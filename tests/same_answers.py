"""Whether two checkouts give the same answers: `python -m tests.same_answers OTHER_CHECKOUT`.

Asks `check`, `order`, `learn` and `size` of every demo house and of generated ones – pellets alone, logs and
pellets, every way of reading, open orders, faults – in both checkouts, and says which keys differ.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.site_folders import make_site

HERE = Path(__file__).parent.parent
DEMOS = ("family_house", "farmhouse", "village_school")
VERBS = ("check", "order", "learn", "size")

ASK = """
import contextlib, io, json, sys
from fuelplan.cli import main
found = {}
for verb, folder, day in json.load(sys.stdin):
    out, err = io.StringIO(), io.StringIO()
    more = [] if verb == "check" else ["--seed", "3", "--as-of", day] if day else ["--seed", "3"]
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = main([verb, folder, *more, "--json"])
        except SystemExit as end:
            code = end.code
    found[f"{verb} {folder.rpartition('/')[2]}"] = [code, out.getvalue()]
json.dump(found, sys.stdout)
"""

LOGS = (
    ('[boiler]\nseasonal_efficiency = "80 %"', '[boiler]\nkind = "logs and pellets"\nrated = "25 kW"'),
    (
        "[pellets]",
        '[buffer]\nvolume = "1500 litre"\n[logs]\nwood = "{wood}"\nwater = "{water}"\nload = "25 kg"\n'
        "[pellets]",
    ),
)
READINGS = (
    "2020-11-01,4 t,measured,,",
    "2020-10-20,60 %,by eye,,\n2020-11-03,45 %,,pellets,after delivery",
    "2020-10-01,full,,,\n2020-11-02,160 bags,,,",
    "2020-09-01,1200 kg,boiler counter,,\n2020-10-15,3 t,,,\n2020-11-05,2000 kg,boiler counter,,",
    "2020-10-10,empty,,,\n2020-11-04,8000 lb,estimated,,",
)
DELIVERIES = (
    "pellets,,,,,2020-10-12,3 t,yes,,",
    ",2020-10-25,2020-11-12,2020-11-16,2 t,,,,,",
    "pellets,2020-09-01,,,2 t,2020-09-12,1980 kg,no,,\npellets,2020-10-01,,,3 t,,,,failed,",
    ",2020-10-05,,,2500 kg,,,,,",
)
PRICES = """
[[fuel_price]]
name = "pellets"
fuel = "pellets"
price = "320 EUR/t"
[[fuel_price]]
name = "chips"
fuel = "chips"
wood = "spruce"
water = "30 % wet"
price = "28 EUR/loose m3"
[[fuel_price]]
name = "logs"
fuel = "logs"
wood = "beech"
water = "18 % wet"
price = "95 EUR/stacked m3"
[upkeep]
ash_box = "40 litre"
"""


def generated(parent: Path, count: int = 20) -> Iterator[tuple[Path, str]]:
    """Yield folders that differ in boiler, fuel, readings, deliveries and prices, and the day to ask for."""
    for number in range(count):
        changes: list[tuple[str, str]] = []
        readings = READINGS[number % len(READINGS)]
        deliveries = DELIVERIES[number % len(DELIVERIES)]
        if number % 3 == 1:
            wood, water = ("beech", "18 % wet") if number % 2 else ("spruce", "22 % dry")
            changes += [(old, new.format(wood=wood, water=water)) for old, new in LOGS]
            readings += "\n2020-11-06,8 stacked m3,,logs," if number % 2 else "\n2020-11-06,2 cord,,logs,"
            deliveries += "\nlogs,,,,,2020-11-07,3 stacked m3,no,,"
        if number % 4 == 2:
            changes.append(('energy = "4.8 kWh/kg"', 'class = "A2"\nbulk_density = "620 kg/m3"'))
        if number % 5 == 3 and number % 3 != 1:
            changes.append(('seasonal_efficiency = "80 %"', f"installed = {1990 + 2 * number}"))
        if number % 7 == 6:
            deliveries += "\nchips,,,,,2020-11-08,4 loose m3,no,,"
        if number % 2:
            changes.append(('price = "300 EUR/t"\n', f'price = "300 EUR/t"\n{PRICES}'))
        made = make_site(
            parent / f"generated_{number:02d}",
            readings="date,reading,how,fuel,when\n" + readings + "\n",
            deliveries="fuel,ordered_on,due_from,due_to,ordered,delivered_on,delivered,weighed,outcome,note\n"
            + deliveries
            + "\n",
            changes=changes,
        )
        yield made, "2020-11-09"


def answers_of(checkout: Path, asked: list[tuple[str, str, str]]) -> dict[str, Any]:
    """Return exit code and document of everything asked, as the code of a checkout answers it."""
    ran = subprocess.run(
        [sys.executable, "-c", ASK],
        input=json.dumps(asked),
        capture_output=True,
        text=True,
        check=True,
        cwd=checkout,
        env={**os.environ, "PYTHONPATH": str(checkout)},
    )
    found: dict[str, Any] = json.loads(ran.stdout)
    return found


def differing(one: Any, other: Any, key: str = "") -> list[str]:
    """Return the keys at which two documents differ."""
    if isinstance(one, dict) and isinstance(other, dict):
        keys = dict.fromkeys((*one, *other))
        return [d for k in keys for d in differing(one.get(k), other.get(k), f"{key}.{k}".lstrip("."))]
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        pairs = enumerate(zip(one, other, strict=True))
        return [d for i, (a, b) in pairs for d in differing(a, b, f"{key}[{i}]")]
    return [] if one == other else [f"{key}: {one!r:.160} | {other!r:.160}"]


def main(arguments: list[str]) -> int:
    """Compare this checkout with another one; 1 where anything differs."""
    (other,) = arguments
    with tempfile.TemporaryDirectory() as place:
        folders = [(Path(shutil.copytree(HERE / "demo_sites" / d, Path(place) / d)), "") for d in DEMOS]
        folders += generated(Path(place))
        asked = [(verb, str(folder), day) for folder, day in folders for verb in VERBS]
        before, after = answers_of(Path(other).resolve(), asked), answers_of(HERE, asked)
    differ = 0
    for question, (code, text) in before.items():
        now_code, now = after[question]
        if (code, text) == (now_code, now):
            continue
        differ += 1
        print(f"{question}: exit {code}, now {now_code}")
        try:
            found = differing(json.loads(text), json.loads(now))
        except ValueError:
            found = [f"{text[:300]!r} | {now[:300]!r}"]
        print(*(f"    {line}" for line in found), sep="\n")
    ok = sum(code == 0 for code, _ in after.values())
    print(f"{len(before)} documents ({ok} answers, {len(before) - ok} with faults), {differ} differ")
    return 1 if differ else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
