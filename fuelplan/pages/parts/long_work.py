"""Work that takes longer than a moment: what it is at is said, and it can be stopped.

The work runs beside the page. A stop is heeded at its next step; what it has found by then is dropped, what
was on the page before stays. Whoever goes elsewhere meanwhile finds it going on, or done, on coming back.
"""

from __future__ import annotations

import contextvars
import threading
import time
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Generic, TypeVar

import streamlit as st

from fuelplan.messages import Said, as_message, as_text
from fuelplan.pages.parts import pieces
from fuelplan.pages.texts import common as texts

T = TypeVar("T")
JOBS_KEY = "long-work"
AT_ONCE_S = 0.35  # what is done by then is shown without any ado
LOOK_S = 0.15  # how often the page looks at the work


class Stopped(Exception):
    """The person has stopped the work."""


@dataclass
class Job(Generic[T]):
    """One piece of work: where it is, what came of it, whether it is to stop."""

    step: Said = ""
    result: T | None = None
    problem: BaseException | None = None
    stop: bool = False
    done: threading.Event = field(default_factory=threading.Event)
    began: float = field(default_factory=time.monotonic)


_job: ContextVar[Job[object] | None] = ContextVar("job", default=None)


def step(said: Said) -> None:
    """Say what the work is at; ends it here where the person has stopped it. Elsewhere it does nothing."""
    job = _job.get()
    if job is None:
        return
    job.step = said
    if job.stop:
        raise Stopped


def shown(name: str, work: Callable[[], T]) -> T | None:
    """Return what `work` returns; None while it stands stopped.

    Raises what `work` raises.

    Parameters
    ----------
    name
        Tells this work from any other of the visit.
    """
    jobs: dict[str, Job[T]] = st.session_state.setdefault(JOBS_KEY, {})
    job = jobs.get(name)
    if job is not None and job.stop:
        pieces.notes([(texts.STOPPED, "")], "warn")
        if not st.button(as_text(texts.GO_ON), type="primary", key=f"go-on-{name}"):
            return None
        job = None
    if job is None:
        job = jobs[name] = _begin(work)
    if not job.done.wait(AT_ONCE_S):
        _wait(name, job)
    jobs.pop(name, None)
    if job.problem is not None:
        raise job.problem
    return job.result


def _begin(work: Callable[[], T]) -> Job[T]:
    job: Job[T] = Job()
    context = contextvars.copy_context()  # so that it writes for the same reader

    def run() -> None:
        _job.set(job)  # type: ignore[arg-type]
        try:
            job.result = work()
        except BaseException as problem:  # handed to the page, which knows what to show
            job.problem = problem
        finally:
            job.done.set()

    threading.Thread(target=context.run, args=(run,), daemon=True).start()
    return job


def _wait(name: str, job: Job[T]) -> None:
    """Show where the work is until it is done; a click on the button begins the page anew, without it."""
    place = st.empty()
    with place.container():
        said = st.empty()
        st.button(as_text(texts.STOP), key=f"stop-{name}", on_click=_stop, args=(job,))
        while not job.done.wait(LOOK_S):
            seconds = int(time.monotonic() - job.began)
            with said.container():
                pieces.say(texts.at_work(as_message(job.step or texts.WORKING), seconds))
    place.empty()


def _stop(job: Job[T]) -> None:
    job.stop = True
