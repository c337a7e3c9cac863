"""Do the beliefs tell the truth? `python -m tests.benchmarks.calibration [--houses N] [--quick] [WORLD …]`.

Invented houses that are not built like the model, in invented weather, are asked about through the door
of a person's folder (`answers.open_site` → `prepare` → `joint_draws`), and the truth is held against the
bands of 50, 80 and 96 %.

A new world
-----------
A world is a function `(house, seed) -> Case` (`case.py`). Write a module in `worlds/` with a mapping
`WORLDS: dict[str, World]` from the world's name to the function, and put the module's name into `MODULES` of
`worlds/__init__.py`. Pieces to build with:

- `climate.climate(house, seed)` gives 22 years of daily means: an autoregression with slow parts and a trend;
- `houses.House.invented(rng, mean_c)` a house, `.burned(mean_c, rng, …)` its use of each day, with the
  factors a world puts on it;
- `books.kept(…)` the owner who orders and the reader who reads: the rows of `readings.csv` and
  `deliveries.csv`, and the true level of each evening;
- `Case.truth` names what is asked: "level", "use 90", "use 365". A world that asks for something else gives
  `Case.ask`, a function from what was prepared to draws of each thing in `truth`.

What a case draws at random comes from `numpy.random.default_rng([seed, house, …])`, so that houses are
independent and two codes are asked about the very same ones.
"""

from __future__ import annotations

from tests.benchmarks.measure import Row


def rows(quick: bool) -> list[Row]:
    """Share of truths in the 80 % band, a row a world; what it took is that of asking."""
    from tests.benchmarks.calibration.run import rows_of

    return rows_of(8 if quick else 400)
