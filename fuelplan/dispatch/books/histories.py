"""Deliveries and readings of a supplier as arrays, each with the number of its customer."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Self

from fuelplan.dispatch.books.customers import Bools, Dates, Floats, Ints, Texts


@dataclass(frozen=True)
class RowsOfCustomers:
    """Arrays with one value for each row of a table, which names its customer by a number.

    `row` has its own number in the file.
    """

    row: Ints
    customer: Ints

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.row)

    def rows(self, which: Ints | Bools | slice) -> Self:
        """Return some of the rows."""
        return type(self)(*(getattr(self, field.name)[which] for field in fields(self)))

    def renumbered(self, new: Ints) -> Self:
        """Return the rows of the customers who have a new number, with it; −1 for who has none."""
        number = new[self.customer] if len(new) else self.customer
        return replace(self.rows(number >= 0), customer=number[number >= 0])


@dataclass(frozen=True)
class Deliveries(RowsOfCustomers):
    """M deliveries in the order of their files.

    Attributes
    ----------
    row
        Shape (M,), row in its file.
    customer
        Shape (M,), number of the customer.
    day
        Shape (M,). [datetime64[D]]
    kg
        Shape (M,), what the weigh note says. [kg]
    grade
        Shape (M,), number of the class of fuel, −1 where nothing is written.
    tanker
        Shape (M,), text: it may be one that has been sold.
    filled_full
        Shape (M,), whether the store was full afterwards.
    """

    day: Dates
    kg: Floats
    grade: Ints
    tanker: Texts
    filled_full: Bools


@dataclass(frozen=True)
class Readings(RowsOfCustomers):
    """M readings in the order of their files, taken in the evening.

    Attributes
    ----------
    row, customer, day
        As in :class:`Deliveries`.
    kg
        Shape (M,), what lay in the store; percents are of the customer's store. [kg]
    by_eye
        Shape (M,), whether it was given in per cent.
    right, wrong
        Shape (M,), whether somebody has confirmed it, or taken it back.
    """

    day: Dates
    kg: Floats
    by_eye: Bools
    right: Bools
    wrong: Bools
