"""Does another state of the code give the same answers? `python -m tests.campaigns.same_answers TREE`

TREE is a checkout of the code to compare with, such as the commit before a rebuild. Every verb is asked of
all demo folders; `check`, `order`, `learn` and `size` of houses in which somebody has lived for a while and
of houses written to differ. Each difference between two JSON documents is printed with its place, and how
many commands have it in common. Ends with 1 where there is one.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path
from typing import Any

from tests.campaigns.written_houses import written_houses

ROOT = Path(__file__).parents[2]
HOUSE_VERBS = (("check",), ("order",), ("learn",), ("size",))
ROUND_VERBS = (("check",), ("outlook",), ("runs", "--moves", "300"))
WITHOUT_DAY = {"check", "size"}
LIVED_DAYS = 12
RUNNER = """
import contextlib, io, json, sys
from fuelplan.cli import main
for line in sys.stdin:
    arguments = json.loads(line)
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        try:
            status = main(arguments)
        except SystemExit as stopped:
            status = stopped.code
    print(json.dumps([arguments, status, out.getvalue()]), flush=True)
"""


def questions(place: Path, houses: int) -> Iterator[list[str]]:
    """Yield the arguments of every command that is asked of both; half of the houses are lived in."""
    folders: list[tuple[Path, str]] = [(f, "") for f in sorted((ROOT / "demo_sites").iterdir())]
    folders += [lived(place / f"lived_{seed}", seed) for seed in range(1, houses - houses // 2 + 1)]
    folders += written_houses(place, houses // 2)
    for folder, day in folders:
        for verb, *more in ROUND_VERBS if (folder / "round.toml").exists() else HOUSE_VERBS:
            on_day = ["--as-of", day] if day and verb not in WITHOUT_DAY else []
            yield [verb, str(folder), *more, *on_day, "--json"]


def lived(folder: Path, seed: int) -> tuple[Path, str]:
    """Make a house of the lived world, live in it for some days, and return it with its last day."""
    from tests.campaigns.lived_house.asking import ask
    from tests.campaigns.lived_house.begin import begin
    from tests.campaigns.lived_house.folder import weather_until

    life = begin(seed, LIVED_DAYS, folder, ask)
    first = life.world.today
    for number in range(LIVED_DAYS):
        life.day(first + timedelta(days=number), number)
    last = first + timedelta(days=LIVED_DAYS - 1)
    weather_until(folder, life.world.weather, last)
    return folder, last.isoformat()


def answers_of(tree: Path, asked: list[list[str]]) -> dict[str, list[Any]]:
    """Return status and document of every command, asked of the code in a tree."""
    done = subprocess.run(
        [sys.executable, "-c", RUNNER],
        input="\n".join(json.dumps(one) for one in asked),
        text=True,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(tree)},
        cwd=tree,
        check=True,
    )
    found = {}
    for line in done.stdout.splitlines():
        arguments, status, text = json.loads(line)
        found[" ".join(arguments)] = [status, json.loads(text or "null")]
    return found


def differences(before: Any, after: Any, at: str = "") -> Iterator[str]:
    """Yield the place of every value that is not the same, with both."""
    if isinstance(before, dict) and isinstance(after, dict):
        for key in sorted(before.keys() | after.keys()):
            if key not in before or key not in after:
                yield f"{at}.{key}: only {'after' if key in after else 'before'}"
            else:
                yield from differences(before[key], after[key], f"{at}.{key}")
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for i, (a, b) in enumerate(zip(before, after, strict=True)):
            yield from differences(a, b, f"{at}[{i}]")
    elif before != after:
        yield f"{at}: {str(before)[:90]!r} → {str(after)[:90]!r}"


def main(arguments: list[str] | None = None) -> int:
    """Ask both and print what differs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("tree", type=Path)
    parser.add_argument("--houses", type=int, default=50)
    parser.add_argument("--most", type=int, default=12, help="differences printed of one command")
    given = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as place:
        asked = list(questions(Path(place), given.houses))
        with ThreadPoolExecutor(2) as pool:
            before, after = pool.map(lambda tree: answers_of(tree, asked), (given.tree.resolve(), ROOT))
    wrong = 0
    places: Counter[str] = Counter()
    for command, answer in before.items():
        found = list(differences(answer, after[command]))
        wrong += bool(found)
        verb = command.split()[0]
        places.update({f"{verb} {re.sub(r'[[][0-9]+[]]', '[]', text.split(':')[0])}" for text in found})
        for text in found[: given.most]:
            print(f"{command.replace(str(place), '')}\n    {text}")
        if len(found) > given.most:
            print(f"    and {len(found) - given.most} more")
    for key, count in places.most_common():
        print(f"{count:4} commands: {key}")
    print(f"{len(asked)} commands, {wrong} with a difference")
    return int(bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
