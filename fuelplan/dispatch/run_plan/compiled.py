"""How the search is compiled: once a machine, kept on disk where there is a place to write."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import numba

COMPILED = ("compiled", "problem", "state", "pattern", "tours", "moves")


def _fingerprint() -> str:
    """Return a hash of the sources of what is compiled."""
    files = (Path(__file__).with_name(f"{name}.py") for name in COMPILED)
    return hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()


SOURCES = _fingerprint()


def jit(function: Any) -> Any:
    """Compile a function that Python calls."""
    return _compile(function)


def inner(function: Any) -> Any:
    """Compile a function that compiled code alone calls: without the part that takes Python's arguments
    apart,
    which for tuples of many arrays takes longer to compile than the function itself.
    """
    return _compile(function, no_cpython_wrapper=True, no_cfunc_wrapper=True)


def _compile(function: Any, **more: bool) -> Any:
    # Divisions by zero give inf or nan, as in numpy: no checks in the loops.
    try:
        compiled = numba.njit(cache=True, nogil=True, error_model="numpy", **more)(function)
    except RuntimeError:  # neither the package's nor the user's folder can be written
        return numba.njit(nogil=True, error_model="numpy", **more)(function)
    # What is kept holds the functions it calls and names the classes they take, and numba looks at one file
    # alone: after an update that changes another file of this package it would go on running the old code, or
    # stumble over a class that is gone. What another version wrote it leaves unread.
    file: Any = getattr(getattr(compiled, "_cache", None), "_cache_file", None)
    if hasattr(file, "_version"):
        file._version = f"{file._version} {SOURCES}"
    return compiled
