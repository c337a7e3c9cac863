"""Many faults of one kind kept together: a hundred thousand wrong cells cost little until they are listed."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fuelplan.messages import Message, Own, as_message, message
from fuelplan.records.tables.faults import Fault as Fault
from fuelplan.records.tables.faults import SiteFaults

Ints = NDArray[np.int64]
SHOWN_AT_MOST = 200
Says = Message | Callable[[int], Message] | tuple[Sequence[Message], Ints]
"""One message for all faults of a group, one for each, or those there are and which of them each one says."""


@dataclass(frozen=True)
class FaultGroup:
    """Faults of one column by one rule.

    Attributes
    ----------
    at
        Shape (k,), index of each faulty row in its sheet.
    row
        Shape (k,), row number as a spreadsheet shows it.
    messages, which
        What is said, and shape (k,) the number of what each fault says.
    """

    file: str
    key: str
    rule: Message
    warning: bool
    at: Ints
    row: Ints
    messages: tuple[Message, ...]
    which: Ints

    def __len__(self) -> int:
        """Return the number of faults."""
        return len(self.row)

    def faults(self) -> list[Fault]:
        """Return the faults one by one."""
        file, key, rule, warning, messages = self.file, self.key, self.rule, self.warning, self.messages
        return [
            Fault(file, row, key, messages[m], warning, rule)
            for row, m in zip(self.row.tolist(), self.which.tolist(), strict=True)
        ]


def group(
    file: str, key: str, rule: Message, at: Ints, row: Ints, say: Says, *, warning: bool = False
) -> FaultGroup:
    """Return the faults of the rows `at`; `say` is what all of them say, or gives it for the i-th of them."""
    at = np.asarray(at, np.int64)
    if isinstance(say, Message):
        return FaultGroup(file, key, rule, warning, at, row[at], (say,), np.zeros(len(at), np.int64))
    if isinstance(say, tuple):
        return FaultGroup(file, key, rule, warning, at, row[at], tuple(say[0]), say[1])
    messages = tuple(say(i) for i in range(len(at)))
    return FaultGroup(file, key, rule, warning, at, row[at], messages, np.arange(len(at)))


@contextmanager
def everything_kept() -> Iterator[None]:
    """Within, Python looks for no garbage: a hundred thousand faults are kept, and looking through them again
    and again would take longer than making them.
    """
    looked = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if looked:
            gc.enable()


def all_faults(groups: Iterable[FaultGroup]) -> list[Fault]:
    """Return the faults of all groups, by file and row."""
    found = [fault for one in groups for fault in one.faults()]
    return in_order(found)


def in_order(faults: Iterable[Fault]) -> list[Fault]:
    """Return faults by file and line."""
    return sorted(faults, key=lambda f: (f.file, f.line or 0))


def counted(faults: Sequence[Fault]) -> list[tuple[str, str, Message, int]]:
    """Return (file, key, rule, how many), the most frequent first."""
    counts: dict[tuple[str, str, Message], int] = {}
    for fault in faults:
        kind = (fault.file, fault.key, as_message(fault.rule or fault.said))
        counts[kind] = counts.get(kind, 0) + 1
    return sorted(((*kind, n) for kind, n in counts.items()), key=lambda found: (-found[3], found[:2]))


def fault_lines(faults: Sequence[Fault], most: int = SHOWN_AT_MOST) -> list[Message]:
    """Return lines for a person: every fault, or beyond `most` the first of them and how many there are of
    each kind.
    """
    lines = [_line(fault) for fault in faults[:most]]
    if len(faults) <= most:
        return lines
    lines.append(message("fault.more", "… and {n} more. In all:", n=len(faults) - most))
    lines += [_of_a_kind(*kind) for kind in counted(faults)[:50]]
    return lines


def _line(fault: Fault) -> Message:
    said = fault.as_line()
    if not fault.warning:
        return said
    return message("fault.remark", "{fault} (a remark; the rest is used all the same)", fault=said)


def _of_a_kind(file: str, key: str, rule: Message, n: int) -> Message:
    if not key:
        return message("fault.kind", "  {n} × {file}: {rule}", n=n, file=Own(file), rule=rule)
    return message(
        "fault.kind_of_key", "  {n} × {file}: {key}: {rule}", n=n, file=Own(file), key=Own(key), rule=rule
    )


class RoundFaults(SiteFaults):
    """A round folder cannot be used; `faults` holds all of its faults at once."""
