"""The outlook in blocks of customers that can be worked out anywhere: each holds all that it needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fuelplan.dispatch.outlook.ahead import CHUNK, ChunkOutlook, OutlookSettings, chunk_outlook
from fuelplan.dispatch.outlook.draws import CustomerStores
from fuelplan.dispatch.outlook.learned import BLOCK, books_of, draws_of
from fuelplan.dispatch.outlook.tables import Floats, OutlookError, WinterTables
from fuelplan.learning import CustomerBooks, ManyPosteriors, Priors

CUSTOMERS = 2048
"""Customers of a block: a second of work or more, and little memory."""


@dataclass(frozen=True)
class Ground:
    """What all blocks share: winters, the weather that is learned from, and how the outlook is worked out.

    `many` holds no customers. `level_shares` are the shares at which levels are told.
    """

    tables: WinterTables
    many: ManyPosteriors
    asked: OutlookSettings
    seed: int
    level_shares: tuple[float, ...]


@dataclass(frozen=True)
class Block:
    """Some customers from number `begin` on: their books, what is believed beforehand, their stores."""

    begin: int
    customers: CustomerBooks
    priors: Priors
    store: CustomerStores

    def __len__(self) -> int:
        """Return the number of customers."""
        return len(self.store)

    def __str__(self) -> str:
        """Return what a person calls the block."""
        return f"customers {self.begin + 1:,} to {self.begin + len(self):,}"


@dataclass(frozen=True)
class BlockOutlook:
    """What lies ahead of a block, chunk by chunk so that sums are made in one order, and levels now.

    `level_kg` has the shape (customers of the block, level shares). [kg]
    """

    chunks: tuple[ChunkOutlook, ...]
    level_kg: Floats


def ground_of(
    tables: WinterTables,
    many: ManyPosteriors,
    asked: OutlookSettings,
    seed: int,
    level_shares: tuple[float, ...],
) -> Ground:
    """Return what all blocks of some customers share."""
    customers, priors = books_of(many, slice(0, 0))
    return Ground(tables, replace(many, customers=customers, priors=priors), asked, seed, level_shares)


def blocks_of(many: ManyPosteriors, store: CustomerStores, customers: int | None = None) -> Iterator[Block]:
    """Yield the customers in blocks.

    Parameters
    ----------
    customers
        Of each block, a multiple of 512, so that random numbers and sums are those of all in one piece; None:
        :data:`CUSTOMERS`.
    """
    customers = CUSTOMERS if customers is None else customers
    if customers < 1 or customers % BLOCK or customers % CHUNK:
        raise OutlookError(f"blocks of {customers} customers; give a multiple of {max(BLOCK, CHUNK)}")
    for begin in range(0, len(store), customers):
        part = slice(begin, min(len(store), begin + customers))
        yield Block(begin, *books_of(many, part), store.rows(part))


def block_outlook(ground: Ground, block: Block) -> BlockOutlook:
    """Return what lies ahead of a block; a chunk at a time is in memory."""
    own = replace(ground.many, customers=block.customers, priors=block.priors)
    chunks, levels = [], []
    for begin in range(0, len(block), CHUNK):
        part = slice(begin, min(len(block), begin + CHUNK))
        drawn = draws_of(own, part, ground.asked.draws, ground.seed, block.begin)
        levels.append(np.quantile(drawn.level_kg, ground.level_shares, axis=1).T)
        chunks.append(
            chunk_outlook(ground.tables, block.store.rows(part), drawn, ground.asked, block.begin + begin)
        )
    return BlockOutlook(tuple(chunks), np.concatenate(levels))
