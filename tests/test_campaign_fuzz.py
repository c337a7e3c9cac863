"""Odd files for every reader, the short profile of `python -m tests.campaigns.fuzz`."""

from __future__ import annotations

import warnings
from pathlib import Path

import pytest
from hypothesis.errors import NonInteractiveExampleWarning

from tests.campaigns.fuzz import Tried, table_of, try_many, try_one
from tests.campaigns.readers import SOUND, Reader, readers
from tests.campaigns.seeds import gz

SHARE = 5  # tries of a reader of weight 1


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which the readers work."""
    return tmp_path_factory.mktemp("fuzz")


@pytest.fixture(scope="module")
def every_reader(place: Path) -> list[Reader]:
    """All readers of the program."""
    return readers(place)


def test_every_reader_takes_what_it_begins_with(every_reader: list[Reader], place: Path) -> None:
    """The files that are made odd are sound to begin with, so that the oddness is what is tried."""
    for reader in every_reader:
        for content in reader.seeds:
            assert reader.call(place, gz(content) if reader.packed else content) == SOUND, reader.name


def test_odd_files_are_read_or_refused_in_words(every_reader: list[Reader], place: Path) -> None:
    """No reader breaks: each input is read, or refused with a sentence of ours."""
    warnings.simplefilter("ignore", NonInteractiveExampleWarning)
    found = {reader.name: Tried() for reader in every_reader}
    for number, reader in enumerate(every_reader):
        try_many(reader, place, max(2, round(SHARE * reader.weight)), number, found[reader.name])
    assert not any(one.broken for one in found.values()), {n: t.broken for n, t in found.items() if t.broken}
    assert sum(one.refused for one in found.values()) > 60
    assert sum(one.sound for one in found.values()) > 10


@pytest.mark.parametrize(
    ("trouble", "word"),
    [
        (KeyError("a"), "KeyError"),
        (ValueError("could not convert string to float: 'x'"), "could not convert"),
        (RecursionError("too deep"), "RecursionError"),
    ],
)
def test_the_campaign_sees_what_is_no_error_of_ours(tmp_path: Path, trouble: Exception, word: str) -> None:
    """An exception of another kind, or in words of the language, counts as broken, and the table says so."""

    def call(_: Path, __: bytes) -> str:
        raise trouble

    tried = Tried()
    try_one(Reader("a reader", (b"x",), call), tmp_path, b"x", tried)
    assert (tried.sound, tried.refused) == (0, 0)
    assert word in next(iter(tried.broken))
    assert table_of({"a reader": tried}).splitlines()[1].split()[-3] == "1"
