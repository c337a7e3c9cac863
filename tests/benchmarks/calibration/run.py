"""Ask the worlds, and print the table."""

from __future__ import annotations

import multiprocessing
import sys
from collections.abc import Callable, Collection, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from typing import NamedTuple, TypeVar

from tests.benchmarks.calibration.case import asked
from tests.benchmarks.calibration.score import HEAD, Asked, Score, asked_of, score
from tests.benchmarks.calibration.worlds import worlds
from tests.benchmarks.measure import Row, compared, timed

SEED = 1806

T = TypeVar("T")


def one(world: str, seed: int, house: int) -> dict[str, Asked]:
    """Ask about one house of a world."""
    case = worlds()[world](house, seed)
    draws = asked(case)
    found = {}
    for name, true in case.truth.items():
        scale = case.capacity_kg if name == "level" else abs(true)
        found[name] = asked_of(draws[name], true, scale, case.cluster or house)
    return found


def each_house(asking: Callable[[int], T], houses: int, workers: int = 1) -> list[T]:
    """Return what each house tells, by its number."""
    if workers == 1:
        return [asking(h) for h in range(houses)]
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, mp_context=context) as pool:
        return list(pool.map(asking, range(houses), chunksize=8))


def scores_of(world: str, houses: int, seed: int = SEED, workers: int = 1) -> dict[str, Score]:
    """Return the score of each thing asked in a world."""
    found = each_house(partial(one, world, seed), houses, workers)
    return {name: score([f[name] for f in found if name in f]) for name in found[0]}


def table(names: Iterable[str], houses: int, workers: int, seed: int) -> None:
    """Print a line for each world and thing asked as soon as it is known."""
    print(f"{'world':<38}{'asked':<9}{HEAD}", flush=True)
    for name in names:
        for what, found in scores_of(name, houses, seed, workers).items():
            print(f"{name:<38}{what:<9}{found.line()}", flush=True)


def rows_of(houses: int) -> list[Row]:
    """A row for each world."""
    out = []
    for name in worlds():
        found: list[dict[str, Score]] = []
        took = timed(lambda name=name, found=found: found.append(scores_of(name, houses)), 1)  # type: ignore[misc]
        shares = {f"{what}, in 80 % band": s.share[1] for what, s in found[0].items()}
        out.append(compared(f"{houses} houses, {name}", took, **shares))
    return out


class Wanted(NamedTuple):
    """What the words of a command line ask for: names of worlds, and numbers."""

    names: list[str]
    houses: int
    workers: int
    seed: int


def words_given(words: Sequence[str], usual: Iterable[str], known: Collection[str], houses: int) -> Wanted:
    """Return what words of a command line ask for; a word that is no world ends the program."""
    given, number = [w for w in words if not w.startswith("--")], {}
    for w in words:
        if w.startswith(("--houses=", "--workers=", "--seed=")):
            number[w.split("=")[0]] = int(w.split("=")[1])
    unknown = [w for w in given if w not in known]
    if unknown:
        sys.exit(f'there is no world "{unknown[0]}"; name some of: {", ".join(known)}')
    return Wanted(
        given or list(usual), number.get("--houses", houses), number.get("--workers", 1),
        number.get("--seed", SEED),
    )  # fmt: skip


def main(words: list[str]) -> None:
    """Print what is asked for."""
    table(*words_given(words, worlds(), worlds(), 40 if "--quick" in words else 400))
