"""Round, weather, outlook and run plan, kept between clicks for as long as no file of the folder changes.

A plan takes many seconds, so it is made beside the page, tells where it is, and can be stopped: what it has
found by then is kept. Where the folder changes, the old plan stays until the person plans again.
"""

from __future__ import annotations

import contextvars
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

import streamlit as st

from fuelplan import answers
from fuelplan.answers.which_runs import RunsAnswer
from fuelplan.answers.who_is_due import OutlookAnswer
from fuelplan.messages import Said, as_message, as_text
from fuelplan.pages.parts import pieces
from fuelplan.pages.parts.load import Fingerprint, fingerprint
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import runs as words
from fuelplan.units import Reader, written_for

SEED = 1
MOST_KEPT = 8
LOOK_S = 0.15
SHOWN_KEY, JOBS_KEY = "plan-shown", "plan-jobs"
Key = tuple[str, Fingerprint, date, int, bool]


@dataclass(frozen=True)
class RoundPlan:
    """A run plan with what lies ahead of all customers, and the folder as it was."""

    key: Key
    runs: RunsAnswer
    outlook: OutlookAnswer
    stopped: bool = False

    @property
    def mark(self) -> str:
        """What tells this plan from every other one."""
        frozen = sum(run.frozen for run in self.runs.runs)
        return repr((self.key, self.stopped, self.runs.iterations, frozen))


@dataclass
class RunsJob:
    """One plan being made."""

    key: Key
    what: Said = ""
    share: float = 0.0
    stop: bool = False
    plan: RoundPlan | None = None
    problem: BaseException | None = None
    done: threading.Event = field(default_factory=threading.Event)
    began: float = field(default_factory=time.monotonic)


def _open(path: str, files: Fingerprint, sound_only: bool) -> answers.Round:
    return answers.open_round(Path(path), sound_only=sound_only)


_round = st.cache_resource(_open, max_entries=8, show_spinner=False)


def the_round(path: Path, sound_only: bool = False) -> answers.Round:
    """Return the round of a folder, from the cache where nothing has changed.

    Raises
    ------
    answers.SiteFaults
        If the folder cannot be used, with all of its faults.
    """
    found: answers.Round = _round(str(path), fingerprint(path), sound_only)
    return found


class _Kept:
    """The last plans, shared by everybody who looks at the same folder."""

    def __init__(self) -> None:
        self.plans: OrderedDict[Key, RoundPlan] = OrderedDict()
        self.guard, self.planning = threading.Lock(), threading.Lock()

    def get(self, key: Key) -> RoundPlan | None:
        with self.guard:
            if key in self.plans:
                self.plans.move_to_end(key)
            return self.plans.get(key)

    def put(self, plan: RoundPlan) -> None:
        with self.guard:
            self.plans[plan.key] = plan
            while len(self.plans) > MOST_KEPT:
                self.plans.popitem(last=False)


def _made_once() -> _Kept:
    return _Kept()


_shared = st.cache_resource(_made_once, show_spinner=False)


def _kept() -> _Kept:
    found: _Kept = _shared()
    return found


def key_of(path: Path, as_of: date, sound_only: bool) -> Key:
    """Return what tells one plan from another: the folder as it is now, the day, the seed."""
    return str(path), fingerprint(path), as_of, SEED, sound_only


def known_plan(key: Key) -> RoundPlan | None:
    """Return the plan of just these inputs: the one on this page or one that is kept; None where none is."""
    shown: RoundPlan | None = st.session_state.get(SHOWN_KEY)
    return shown if shown is not None and shown.key == key else _kept().get(key)


def older_plan(key: Key) -> RoundPlan | None:
    """Return the plan on this page where it is of the same folder and day, though the folder has changed."""
    shown: RoundPlan | None = st.session_state.get(SHOWN_KEY)
    same = shown is not None and (shown.key[0], *shown.key[2:]) == (key[0], *key[2:])
    return shown if same else None


def take(plan: RoundPlan) -> None:
    """Keep a plan on this page."""
    st.session_state[SHOWN_KEY] = plan


def carried_over(plan: RoundPlan, days: list[date], key: Key) -> RoundPlan:
    """Return the plan after some of its days have been published: the same, and those days frozen."""
    runs = tuple(replace(run, frozen=run.frozen or run.day in days) for run in plan.runs.runs)
    return replace(plan, key=key, runs=replace(plan.runs, runs=runs))


def planned(key: Key) -> RoundPlan:
    """Make a plan, tell where it is, and let the person stop it; a stop keeps what was found.

    Raises what planning raises.
    """
    jobs: dict[Key, RunsJob] = st.session_state.setdefault(JOBS_KEY, {})
    job = jobs.get(key)
    if job is None:
        job = jobs[key] = _begin(key)
    _wait(job)
    jobs.pop(key, None)
    if job.problem is not None:
        raise job.problem
    assert job.plan is not None
    take(job.plan)
    return job.plan


def at_work(key: Key) -> bool:
    """Tell whether this visit's plan is being made just now."""
    return key in st.session_state.get(JOBS_KEY, {})


def _begin(key: Key) -> RunsJob:
    job = RunsJob(key)
    kept = _kept()
    round_ = the_round(Path(key[0]), key[4])

    def run() -> None:
        try:
            # Texts of a plan are written one way for all readers; the page turns units and dates.
            with written_for(Reader()):
                job.plan = _made(job, round_, kept)
        except BaseException as problem:  # handed to the page, which knows what to show
            job.problem = problem
        finally:
            job.done.set()

    threading.Thread(target=contextvars.copy_context().run, args=(run,), daemon=True).start()
    return job


def _made(job: RunsJob, round_: answers.Round, kept: _Kept) -> RoundPlan:
    while not kept.planning.acquire(timeout=LOOK_S):
        job.what = words.WAITING
        found = kept.get(job.key)
        if found is not None:
            return found
    try:
        found = kept.get(job.key)
        if found is not None:
            return found
        _, _, as_of, seed, _ = job.key
        job.what = texts.READING_WEATHER
        weather = answers.weather_for_round(round_, as_of)
        job.what = words.LOOKING_AHEAD
        outlook = answers.outlook(round_, weather, as_of, seed)
        runs = answers.runs(round_, weather, as_of, seed, progress=_teller(job))
        plan = RoundPlan(job.key, runs, outlook, stopped=job.stop)
        if not job.stop:
            kept.put(plan)
        return plan
    finally:
        kept.planning.release()


def _teller(job: RunsJob) -> Callable[[float, Said], bool]:
    def tell(share: float, what: Said) -> bool:
        job.share, job.what = share, what
        return not job.stop

    return tell


def _wait(job: RunsJob) -> None:
    """Show where the work is until it is done."""
    if job.done.wait(0.3):
        return
    place = st.empty()
    with place.container():
        said = st.empty()
        st.button(as_text(words.STOP), key="stop-plan", on_click=_stop, args=(job,), disabled=job.stop)
        while not job.done.wait(LOOK_S):
            seconds = int(time.monotonic() - job.began)
            what = job.what or words.READING_ROUND
            step = words.planning(as_message(what), job.share) if job.share > 0 else as_message(what)
            with said.container():
                pieces.say(texts.at_work(step, seconds))
    place.empty()


def _stop(job: RunsJob) -> None:
    job.stop = True
