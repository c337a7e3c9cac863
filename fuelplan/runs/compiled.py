"""How the search is compiled: once a machine, kept on disk where there is a place to write."""

from __future__ import annotations

from typing import Any

import numba


def jit(function: Any) -> Any:
    """Compile a function that Python calls."""
    return _compile(function)


def inner(function: Any) -> Any:
    """Compile a function that compiled code alone calls: without the part that takes Python's arguments apart,
    which for tuples of many arrays takes longer to compile than the function itself.
    """
    return _compile(function, no_cpython_wrapper=True, no_cfunc_wrapper=True)


def _compile(function: Any, **more: bool) -> Any:
    # Divisions by zero give inf or nan, as in numpy: no checks in the loops.
    try:
        return numba.njit(cache=True, nogil=True, error_model="numpy", **more)(function)
    except RuntimeError:  # neither the package's nor the user's folder can be written
        return numba.njit(nogil=True, error_model="numpy", **more)(function)
