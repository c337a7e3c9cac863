"""Messages kept in a file, to be said later, perhaps in another language: only names, numbers and lists."""

from __future__ import annotations

import re
from typing import Any

from fuelplan.messages.message import Message
from fuelplan.messages.values import Listed, Own, Value

_PLACE = re.compile(r"\{(\w+)\}")


def kept(said: Message) -> dict[str, Any]:
    """Return a message as JSON holds it, for :func:`said_again`.

    Raises
    ------
    TypeError
        A value is no person's own text, whole number, list of such, or message: it would have to be
        converted for its reader.
    """
    return {
        "code": said.code,
        "template": said.template,
        "many": said.many,
        "values": {name: _kept(value) for name, value in said.values},
    }


def said_again(data: Any) -> Message:
    """Return the message that :func:`kept` made this of.

    Raises
    ------
    ValueError
        It is none, or its template names a value that it has not.
    """
    match data:
        case {"code": str(code), "template": str(template), "many": None | str() as many, "values": dict()}:
            values = {str(name): _value(value) for name, value in data["values"].items()}
        case _:
            raise ValueError("what was kept is no message")
    missing = {place for words in (template, many or "") for place in _PLACE.findall(words)} - set(values)
    if missing or (many is not None and not isinstance(values.get("n"), int)):
        raise ValueError(f"the message {code!r} lacks a value")
    return Message(code, template, tuple(values.items()), many)


def _kept(value: Value) -> Any:
    match value:
        case Message():
            return kept(value)
        case Own():
            return value.text
        case Listed():
            return {"items": [_kept(item) for item in value.items], "joint": value.joint}
        case int():
            return value
    raise TypeError(f"{value!r} cannot be kept in a file")


def _value(data: Any) -> Value:
    match data:
        case bool():
            raise ValueError("a truth is no value of a message")
        case str():
            return Own(data)
        case int():
            return data
        case {"items": list(items), "joint": str(joint)}:
            return Listed(tuple(_value(item) for item in items), joint)
    return said_again(data)
