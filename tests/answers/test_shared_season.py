"""Customers of one valley share what this winter is like, in the outlook and in the run plan alike."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import numpy as np

from fuelplan import answers
from fuelplan.answers.who_is_due.beliefs import Beliefs
from fuelplan.answers.who_is_due.outlook import answer_of
from fuelplan.dispatch import outlook
from fuelplan.messages import render
from tests.benchmarks.calibration.valleys import Valley, ValleyWorld, valley

HOUSES = 40
SAID = "outlook.all_burn_more"


@cache
def asked(more: float) -> tuple[Valley, Beliefs]:
    """A valley of new customers with three looks since autumn, and what is believed of it."""
    made = valley(ValleyWorld(more, winters=1), 3, 11, Path(mkdtemp()), HOUSES)
    round_ = answers.open_round(made.folder)
    weather = answers.weather_for_round(round_, made.as_of)
    return made, answers.believe(round_, weather, made.as_of, 1, 90, draws=250)


def test_a_valley_that_burns_more_is_told_so_and_counted() -> None:
    """Where all burn 25 % more, customers are told, and the use of most is foreseen better than alone."""
    made, beliefs = asked(0.25)
    (said,) = (note for note in answer_of(beliefs).notes if note.code == SAID)
    assert "more than in a usual winter" in render(said)
    alone = replace(beliefs, learned=outlook.learned_here(beliefs.many))
    true = made.burned_kg[:, made.now + 1 : made.now + 91].sum(axis=1)
    every = slice(0, HOUSES)
    together, by_itself = (
        np.median(outlook.use_paths(b.tables, b.store.area, b.draw(every))[..., 90], axis=1)
        for b in (beliefs, alone)
    )
    off, off_alone = (np.abs(x / true - 1).mean() for x in (together, by_itself))
    assert off < 0.8 * off_alone, (off, off_alone)


def test_a_usual_valley_is_told_nothing() -> None:
    """Where nothing is unusual nothing is said, and nobody's doubt grows much."""
    _, beliefs = asked(0.0)
    said = [note.code for note in answer_of(beliefs).notes]
    assert not [code for code in said if code.startswith(("outlook.all_burn", "outlook.area_burns"))]
    alone = outlook.summary_of(outlook.learned_here(beliefs.many), 90)
    own, shared = (
        np.sqrt((s.root[:, 0] ** 2).sum(axis=1)) / s.mean[:, 0] for s in (alone, beliefs.summary)
    )
    assert np.median(shared / own) < 1.02


def test_one_customer_with_nonsense_moves_nobody_else() -> None:
    """Looks of one customer that cannot be true leave every other customer's belief where it was."""
    _, beliefs = asked(0.0)
    books = beliefs.many.customers
    kg = books.reading_kg.copy()
    kg[0] = np.where(np.arange(kg.shape[1]) % 2, 0.98, 0.02) * books.capacity_kg[0]
    lied = replace(beliefs.many, customers=replace(books, reading_kg=kg))
    before, after = (outlook.learned_here(m) for m in (beliefs.many, lied))
    area = beliefs.store.area
    honest, moved = (outlook.season_of(x, area).with_it(x) for x in (before, after))
    sd = np.sqrt(honest.cov[1:, outlook.SEASON, outlook.SEASON])
    shift = moved.mean[1:, outlook.SEASON] - honest.mean[1:, outlook.SEASON]
    assert np.abs(shift / sd).max() < 0.25
