"""What is refused, and why: errors that carry a message, and the faults of a file at their places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Self

from fuelplan.messages.documents import in_document
from fuelplan.messages.message import Message, Said, as_message, counted_message, message
from fuelplan.messages.rendering import as_text, render
from fuelplan.messages.values import Listed, Own, Value
from fuelplan.units import UnitError, one_line

FIRST = 3


class Refusal(ValueError):
    """Something a person asked for or wrote cannot be; `said` is the message with what to do instead.

    The base of the errors of all rooms. Its text is the message for whom is written when it is asked for.
    """

    def __init__(self, said: Said) -> None:
        """Keep the message."""
        super().__init__(said)

    @classmethod
    def because(cls, code: str, template: str, /, **values: Value) -> Self:
        """Return what is refused with a message; parameters as those of :func:`message`."""
        return cls(Message(code, template, tuple(values.items())))

    @property
    def said(self) -> Message:
        """What is said."""
        return as_message(self.args[0])

    def __str__(self) -> str:
        """Return the text, for a face."""
        return render(self.said)


@dataclass(frozen=True)
class Fault:
    """One fault of one file.

    Attributes
    ----------
    line
        From 1 on; None where the whole file is meant.
    key
        The TOML key or the column; "" where the whole line is meant.
    said
        What is wrong and what to write instead.
    warning
        Whether what it is about is used all the same.
    rule
        What many faults of one kind have in common, "" where that is what is said.
    """

    file: str
    line: int | None
    key: str
    said: Said
    warning: bool = False
    rule: Said = ""

    @property
    def message(self) -> str:
        """The text of what is wrong, for whom is written now."""
        return as_text(self.said)

    def as_line(self) -> Message:
        """Return place and fault in one line: "readings.csv:12: level: …"."""
        file, said = Own(self.file), as_message(self.said)
        line = Own(str(self.line))
        if self.line is None:
            if not self.key:
                return message("fault.file", "{file}: {fault}", file=file, fault=said)
            return message("fault.key", "{file}: {key}: {fault}", file=file, key=Own(self.key), fault=said)
        if not self.key:
            return message("fault.line", "{file}:{line}: {fault}", file=file, line=line, fault=said)
        return message(
            "fault.cell", "{file}:{line}: {key}: {fault}",
            file=file, line=line, key=Own(self.key), fault=said,
        )  # fmt: skip

    def to_json(self) -> dict[str, Any]:
        """Return it as documents hold it: the message with its place; its text under `message`, too."""
        said = in_document(as_message(self.said))
        return {"file": self.file, "line": self.line, "key": self.key, "message": said["text"], **said}

    def __str__(self) -> str:
        """Return the line as a person reads it."""
        return one_line(render(self.as_line()))


class Faults(Refusal):
    """Files cannot be used; `faults` holds all of their faults at once, by file and line."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        """Keep the faults in the order of files and lines."""
        self.faults = tuple(sorted(faults, key=lambda f: (f.file, f.line or 0)))
        first = Listed(tuple(fault.as_line() for fault in self.faults[:FIRST]), "; ")
        super().__init__(
            counted_message(
                "fault.count", "{n} fault: {first}", "{n} faults: {first}", len(self.faults), first=first
            )
        )

    def __reduce__(self) -> tuple[type[Faults], tuple[Sequence[Fault]]]:
        """Return how it is made anew in another process."""
        return type(self), (self.faults,)


def said_by(error: Exception) -> Message:
    """Return what an error says; the text of one that carries no message stays as it is."""
    if isinstance(error, Refusal):
        return error.said
    return _of_units(error) if isinstance(error, UnitError) else as_message(str(error))


def _of_units(error: UnitError) -> Message:
    """Return the message of an error of `units`, which stands above this room and so holds plain data."""
    values = tuple((name, _value(part)) for name, part in error.values.items())
    return Message(error.code, error.template, values)


def _value(part: str | int | tuple[str, ...] | UnitError) -> Value:
    if isinstance(part, UnitError):
        return _of_units(part)
    if isinstance(part, tuple):
        return Listed(tuple(Own(text) for text in part), "or")
    return part if isinstance(part, int) else Own(part)
