"""What is learned of customers in blocks that can be worked out anywhere: each holds all that it needs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from fuelplan.dispatch.outlook.learned import CustomersLearned, learned_of, piece_of
from fuelplan.dispatch.outlook.tables import OutlookError
from fuelplan.learning import CustomerBooks, ManyPosteriors, Priors

CHUNK = 512
"""Customers that are learned together wherever they are: the same last digits in every block."""

CUSTOMERS = 2048
"""Customers of a block: a second of work or more, and little memory."""


@dataclass(frozen=True)
class Block:
    """Some customers from number `begin` on: their books, and what is believed beforehand."""

    begin: int
    customers: CustomerBooks
    priors: Priors

    def __len__(self) -> int:
        """Return the number of customers."""
        return len(self.customers)

    def __str__(self) -> str:
        """Return what a person calls the block."""
        return f"customers {self.begin + 1:,} to {self.begin + len(self):,}"


def ground_of(many: ManyPosteriors) -> ManyPosteriors:
    """Return what all blocks of some customers share: the weather that is learned from, and no customers."""
    return many.rows(slice(0, 0))


def blocks_of(many: ManyPosteriors, customers: int | None = None) -> Iterator[Block]:
    """Yield the customers in blocks.

    Parameters
    ----------
    customers
        Of each block, a multiple of 512; None: :data:`CUSTOMERS`.
    """
    customers = CUSTOMERS if customers is None else customers
    if customers < 1 or customers % CHUNK:
        raise OutlookError(f"blocks of {customers} customers; give a multiple of {CHUNK}")
    n = len(many.customers)
    for begin in range(0, n, customers):
        piece = piece_of(many, np.arange(begin, min(n, begin + customers)))
        yield Block(begin, piece.customers, piece.priors)


def learned_block(ground: ManyPosteriors, block: Block) -> CustomersLearned:
    """Return what is believed of the customers of a block; a chunk at a time is in memory."""
    nothing = np.full((len(block), 4), np.nan)
    own = replace(
        ground,
        mean=nothing,
        sd=nothing,
        noise=nothing[:, :3],
        level_known=np.zeros(len(block), bool),
        customers=block.customers,
        priors=block.priors,
    )
    parts = []
    for begin in range(0, len(block), CHUNK):
        some = np.arange(begin, min(len(block), begin + CHUNK))
        parts.append(learned_of(piece_of(own, some), block.begin + some))
    return CustomersLearned.joined(parts)


def learned_here(
    many: ManyPosteriors, workers: int = 2, progress: Callable[[int, int], None] | None = None
) -> CustomersLearned:
    """Return what is believed of all customers, worked out by threads of this process.

    Parameters
    ----------
    progress
        Called with (customers done, customers).
    """
    ground, parts, done = ground_of(many), [], 0
    with ThreadPoolExecutor(max_workers=max(1, workers)) as pool:
        for part in pool.map(lambda block: learned_block(ground, block), blocks_of(many, CHUNK)):
            parts.append(part)
            done += len(part)
            if progress:
                progress(done, len(many.customers))
    return CustomersLearned.joined(parts)
