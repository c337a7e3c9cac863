"""What is said, as data: a code that stays, an English template, and named values."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, TypeAlias

from fuelplan.messages.values import Own, Value

PARAGRAPH = "paragraph"
NOT_CONVERTED = "text"
_strict = False


@dataclass(frozen=True, slots=True)
class Message:
    """One thing that is said; made by :func:`message` or :func:`counted_message`.

    Attributes
    ----------
    code
        What it says, for programs and translators; it stays when the words are mended.
    template
        English, with a `{name}` for each value.
    values
        The named values, in the order in which they were given.
    many
        The English template for any number but one, where the words depend on the value `n`.
    """

    code: str
    template: str
    values: tuple[tuple[str, Value], ...] = ()
    many: str | None = None

    def __str__(self) -> str:
        """Return the message in English and in metric units; refused in :func:`strict` mode."""
        if _strict:
            raise TypeError(f"the message {self.code!r} was made a text where nobody reads it: render it")
        from fuelplan.messages.rendering import render
        from fuelplan.units import Reader

        return render(self, Reader())

    def value(self, name: str) -> Value:
        """Return a value by its name."""
        return dict(self.values)[name]

    def to_json(self) -> dict[str, Any]:
        """Return `{"code", "text", "values"}`; the text is for whom is written now."""
        from fuelplan.messages.documents import in_document

        return in_document(self)


Said: TypeAlias = Message | str
"""What a room says: a message, or the text of one that is not converted yet."""


def message(code: str, template: str, /, **values: Value) -> Message:
    """Return a message.

    Tools for translators find this call in the source: code and template are written out in it as plain
    text.

    Parameters
    ----------
    code
        "room.what_is_said", used once in the whole program.
    template
        One English sentence, or a phrase of one, with a `{name}` for each value.
    values
        What stands at the names; see `fuelplan.messages.values`.
    """
    return Message(code, template, tuple(values.items()))


def counted_message(code: str, one: str, many: str, n: int, /, **values: Value) -> Message:
    """Return a message whose words depend on a number: `one` for 1, `many` for all others; both may hold
    `{n}`. A language with more plurals has them in its catalogue.
    """
    return Message(code, one, (("n", n), *values.items()), many)


def paragraph(said: Iterable[Message]) -> Message:
    """Return sentences one after the other as one message; a single one stays as it is."""
    sentences = tuple(sentence for one in said for sentence in parts(one))
    if len(sentences) == 1:
        return sentences[0]
    named = tuple((f"part_{i}", sentence) for i, sentence in enumerate(sentences, start=1))
    return Message(PARAGRAPH, " ".join(f"{{{name}}}" for name, _ in named), named)


def as_message(said: Said) -> Message:
    """Return what a room says as a message; the text of one that is not converted yet stays as it is."""
    if isinstance(said, Message):
        return said
    return Message(NOT_CONVERTED, "{text}", (("text", Own(said)),))


def parts(said: Message) -> tuple[Message, ...]:
    """Return the sentences of a paragraph; another message is its own only one."""
    if said.code != PARAGRAPH:
        return (said,)
    return tuple(part for _, part in said.values if isinstance(part, Message))


def codes(said: Message) -> tuple[str, ...]:
    """Return the codes of a message, those of a paragraph's sentences one by one."""
    return tuple(part.code for part in parts(said))


@contextmanager
def strict() -> Iterator[None]:
    """Inside a with-block, `str(message)` raises: for tests that nothing looks at the words but a face."""
    global _strict
    before, _strict = _strict, True
    try:
        yield
    finally:
        _strict = before
