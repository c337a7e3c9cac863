"""Files that take their bytes in two pieces, so that something can go wrong between them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any


def torn(really: Callable[..., Any], stepped: Callable[[], None]) -> Callable[..., Any]:
    """Return an `os.fdopen` whose files take their bytes in two pieces, with a step between."""

    class Torn:
        def __init__(self, *given: Any) -> None:
            self.stream = really(*given)

        def __enter__(self) -> Torn:
            return self

        def __exit__(self, *_: object) -> None:
            self.stream.close()

        def __getattr__(self, name: str) -> Any:
            return getattr(self.stream, name)

        def write(self, content: bytes) -> None:
            self.stream.write(content[: len(content) // 2])
            self.stream.flush()
            stepped()
            self.stream.write(content[len(content) // 2 :])

    return Torn
