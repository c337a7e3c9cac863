"""Does another state of the code give the same answers? `python -m tests.campaigns.same_answers TREE`

TREE is a checkout of the code to compare with, such as the commit before a rebuild. Every verb is asked of
all demo folders, and `order`, `learn` and `size` of generated houses in which somebody has lived for a while;
each difference between the two JSON documents is printed with its place. Ends with 1 where there is one.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
HOUSE_VERBS, ROUND_VERBS = (("order",), ("learn",), ("size",)), (("outlook",), ("runs", "--moves", "300"))
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


def questions(place: Path, generated: int) -> Iterator[list[str]]:
    """Yield the arguments of every command that is asked of both."""
    for folder in sorted((ROOT / "demo_sites").iterdir()):
        verbs = ROUND_VERBS if (folder / "round.toml").exists() else HOUSE_VERBS
        for verb, *more in verbs:
            yield [verb, str(folder), *more, "--json"]
    for seed in range(1, generated + 1):
        folder, day = lived(place / f"house_{seed}", seed)
        for verb, *more in HOUSE_VERBS:
            on_day = [] if verb == "size" else ["--as-of", day]
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


def answers_of(tree: Path, asked: list[list[str]]) -> dict[str, tuple[Any, Any]]:
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
        found[" ".join(arguments)] = status, json.loads(text or "null")
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
    parser.add_argument("--generated", type=int, default=50)
    parser.add_argument("--most", type=int, default=12, help="differences printed of one command")
    given = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as place:
        asked = list(questions(Path(place), given.generated))
        with ThreadPoolExecutor(2) as pool:
            before, after = pool.map(lambda tree: answers_of(tree, asked), (given.tree.resolve(), ROOT))
    wrong = 0
    for command, answer in before.items():
        found = list(differences(answer, after[command]))
        wrong += bool(found)
        for text in found[: given.most]:
            print(f"{command.replace(str(place), '')}\n    {text}")
        if len(found) > given.most:
            print(f"    and {len(found) - given.most} more")
    print(f"{len(asked)} commands, {wrong} with a difference")
    return int(bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
