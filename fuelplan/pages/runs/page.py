"""The dispatcher's page: which runs this week? First the answer, then who is at risk, runs and map."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from typing import Any

import streamlit as st

from fuelplan import answers
from fuelplan.answers.round import fault_lines
from fuelplan.answers.which_runs import RunsAnswer
from fuelplan.charts.runs import (
    chosen_runs,
    day_name,
    loads_alt,
    loads_chart,
    loads_table,
    map_alt,
    map_chart,
    weeks_alt,
    weeks_chart,
    weeks_table,
)
from fuelplan.messages import as_text
from fuelplan.messages.cautions import DEFER, undeferred
from fuelplan.pages.parts import drawn, look, pieces, reading
from fuelplan.pages.parts.flash import show_flash
from fuelplan.pages.parts.folders import Chosen
from fuelplan.pages.parts.trouble import look_again, or_trouble, report_our_mistakes
from fuelplan.pages.runs import came as runs_came
from fuelplan.pages.runs import load as runs_load
from fuelplan.pages.runs import record as runs_record
from fuelplan.pages.runs import rounds
from fuelplan.pages.runs import words as runs_words
from fuelplan.pages.runs.load import RoundPlan
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import runs as words
from fuelplan.papers import dated, run_sheets_pdf, runs_calendar, runs_csv, runs_geojson
from fuelplan.units import as_read, show_date

RISK_SHOWN = 6
SOUND_KEY = "sound-rows-only"
DAY_KEY = "runs-day"


def show() -> None:
    """Show the page for the round and the day that are chosen."""
    chosen = rounds.choose()
    show_flash()
    if chosen is None:
        pieces.answer(words.NO_ROUND_TITLE)
        pieces.say(words.NO_ROUND)
        return
    round_ = _opened(chosen)
    if round_ is None:
        return
    sound_only = bool(st.session_state.get(SOUND_KEY))
    found = or_trouble(lambda: the_plan(runs_load.key_of(chosen.path, chosen.as_of, sound_only)))
    if found is None:
        return
    plan, stale = found
    the_answer(plan, round_, chosen, stale)
    runs_came.show(plan.runs, round_, chosen)
    the_lists(plan)
    st.fragment(lambda: report_our_mistakes(lambda: the_days(plan)))()
    the_loads(plan)
    the_weeks(plan)
    runs_record.show(plan, round_, chosen, stale)
    the_files(plan.runs, round_)
    the_rest(plan)


def _opened(chosen: Chosen) -> answers.Round | None:
    """Return the round; where rows are faulty, list them and offer to go on without them."""
    try:
        return runs_load.the_round(chosen.path, bool(st.session_state.get(SOUND_KEY)))
    except answers.SiteFaults as problem:
        pieces.answer(words.FAULTY_ROWS)
        pieces.say(words.FAULTY_LEAD)
        look_again()
        if st.button(words.SOUND_ONLY, key="use-sound-rows"):
            st.session_state[SOUND_KEY] = True
            st.rerun()
        pieces.small_list(fault_lines(problem.faults))
    return None


def the_plan(key: runs_load.Key) -> tuple[RoundPlan, bool]:
    """Return the plan to show, and whether the folder has changed since it was made.

    Nothing is planned again on its own once there is a plan: several things can be noted first.
    """
    known = runs_load.known_plan(key)
    if known is not None and not runs_load.at_work(key):
        runs_load.take(known)
        return known, False
    older = runs_load.older_plan(key)
    if older is None:
        return runs_load.planned(key), False
    pieces.notes([(words.STALE, "")], "warn")
    asked = st.button(words.PLAN_AGAIN, type="primary", key="plan-again")
    if asked or runs_load.at_work(key):
        try:
            runs_load.planned(key)
        except ValueError as problem:
            pieces.field_fault(words.FAILED.format(why=problem))
            return older, True
        st.rerun()
    return older, True


def the_answer(plan: RoundPlan, round_: answers.Round, chosen: Chosen, stale: bool) -> None:
    """Answer the question in one sentence, with the facts and the run sheets."""
    found = plan.runs
    with st.container(key="the-answer"):
        pieces.kicker(texts.as_of(found.round, found.as_of))
        pieces.answer(runs_words.headline(found))
        pieces.facts(runs_words.facts(found, plan.outlook))
        if plan.stopped:
            pieces.notes([(words.STOPPED, "")], "warn")
            if not stale and st.button(words.PLAN_AGAIN, key="plan-to-the-end"):
                st.session_state.pop(runs_load.SHOWN_KEY, None)
                st.rerun()
        if round_.left_out:
            pieces.notes([(words.LEFT_OUT.format(count=f"{len(round_.left_out):,}"), "")], "warn")
        if round_.emptied:
            pieces.notes([(words.EMPTIED.format(count=f"{len(round_.emptied):,}"), "")], "warn")
        st.download_button(
            words.SHEETS_BUTTON,
            lambda: run_sheets_pdf(found),
            file_name(found, "pdf"),
            "application/pdf",
            type="primary",
            help=words.SHEETS_HELP,
            on_click="ignore",
            key="sheets",
        )
        if chosen.demo:
            rounds.demo_note(chosen)


def the_lists(plan: RoundPlan) -> None:
    """Show promises in danger, who is at risk, whom to ring, who is on no run."""
    found = plan.runs
    until = show_date(found.days[-1] if found.days else found.as_of)
    if found.wishes_not_kept:
        st.subheader(words.WISHES_TITLE, anchor=False)
        pieces.table(words.WISHES_HEAD, runs_words.wish_rows(found), stack=True)
    st.subheader(words.PROMISE_TITLE, anchor=False)
    _list(words.PROMISE_HEAD, runs_words.promise_rows(found), words.PROMISE_NONE)
    st.subheader(words.RING_TITLE, anchor=False)
    _list(words.RING_HEAD, runs_words.ring_rows(found), words.RING_NONE)
    if found.readings_doubted:
        st.subheader(words.DOUBT_TITLE, anchor=False)
        pieces.small(words.DOUBT_LEAD)
        pieces.table(words.DOUBT_HEAD, runs_words.doubt_rows(found), stack=True)
    st.subheader(words.RISK_TITLE, anchor=False)
    rows = runs_words.risk_rows(found, plan.outlook)
    if rows:
        pieces.small(words.RISK_LEAD.format(day=until))
    _list(words.RISK_HEAD, rows[:RISK_SHOWN], words.RISK_NONE.format(day=until))
    if len(rows) > RISK_SHOWN:
        with st.expander(words.RISK_ALL.format(count=len(rows))):
            pieces.table(words.RISK_HEAD, rows, stack=True)
    if found.calls:
        st.subheader(words.CALLS_TITLE, anchor=False)
        pieces.table(words.CALLS_HEAD, runs_words.call_rows(found), stack=True)
    if found.not_served:
        st.subheader(words.LEFT_TITLE, anchor=False)
        pieces.table(words.LEFT_HEAD, runs_words.left_rows(found), stack=True)
    if found.changes:
        st.subheader(words.CHANGES_TITLE, anchor=False)
        pieces.small_list([dated(text) for text in found.changes])


def _list(head: Sequence[str], rows: Sequence[Sequence[str]], none: str) -> None:
    if rows:
        pieces.table(head, rows, stack=True)
    else:
        pieces.small(none)


def the_days(plan: RoundPlan) -> None:
    """Show the runs of the chosen day, or of all, and their map."""
    found = plan.runs
    reading.again()
    st.subheader(words.DAYS_TITLE, anchor=False)
    days = _chosen_days(found)
    with_day = len(days) > 1
    for totals in found.per_day:
        if totals.day in days and (totals.runs or not with_day):
            pieces.say(f"{day_name(totals.day)}: {runs_words.day_line(totals)}")
    runs = chosen_runs(found, days)
    for number, run in enumerate(runs):
        with st.container(key=f"run-{number}"):
            pieces.short_answer(runs_words.run_title(run, with_day))
            pieces.small(runs_words.run_line(run))
            pieces.notes([(words.FAULTS_ON_RUN.format(text=as_read(t)), "") for t in run.faults], "danger")
            pieces.table(words.RUN_HEAD, runs_words.stop_rows(run), stack=True)
    if not runs:
        return
    if not with_day:
        st.download_button(
            words.DAY_SHEETS,
            lambda: run_sheets_pdf(found, days=days),
            file_name(found, "pdf", days[0]),
            "application/pdf",
            on_click="ignore",
            key="day-sheets",
        )
    st.subheader(words.MAP_TITLE, anchor=False)
    drawn.chart(
        (plan.mark, days),
        lambda: map_chart(found, days, palette=look.palette()),
        map_alt(found, days),
        key="runs-map",
    )
    pieces.small(words.MAP_HOW)


def _chosen_days(found: RunsAnswer) -> list[date]:
    """Let the person choose a day; the first one with runs at the start."""
    stops = {d.day.isoformat(): d.stops for d in found.per_day}
    options = ["all", *stops]
    first = next((d.day.isoformat() for d in found.per_day if d.runs), "all")
    kept = st.session_state.get(DAY_KEY)

    def label(option: str) -> str:
        if option == "all":
            return words.ALL_DAYS
        day = day_name(date.fromisoformat(option))
        return words.DAY_LABEL.format(day=day, stops=stops[option]) if stops[option] else day

    chosen = st.pills(
        words.DAY_FILTER,
        options,
        default=kept if kept in options else first,
        format_func=lambda o: label(str(o)),
        key=f"day-filter-{found.as_of}",
    )
    st.session_state[DAY_KEY] = chosen
    if chosen in (None, "all"):
        return list(found.days)
    return [date.fromisoformat(str(chosen))]


def the_loads(plan: RoundPlan) -> None:
    """Show how full the tankers go out."""
    rows = loads_table(plan.runs)
    if not rows:
        return
    st.subheader(words.LOADS_TITLE, anchor=False)
    drawn.chart(
        plan.mark,
        lambda: loads_chart(plan.runs, palette=look.palette()),
        loads_alt(plan.runs),
        key="loads-chart",
    )
    pieces.small(words.LOADS_HOW)
    with st.expander(words.LOADS_TABLE):
        pieces.table(words.LOADS_HEAD, runs_words.load_rows(rows), stack=True)


def the_weeks(plan: RoundPlan) -> None:
    """Show the tonnes of the coming weeks."""
    if not plan.outlook.weekly_t.first_day:
        return
    st.subheader(words.WEEKS_TITLE, anchor=False)
    drawn.chart(
        plan.mark,
        lambda: weeks_chart(plan.outlook, palette=look.palette()),
        weeks_alt(plan.outlook),
        key="weeks-chart",
    )
    pieces.small(words.WEEKS_HOW)
    with st.expander(words.LOADS_TABLE):
        pieces.table(words.WEEKS_HEAD, weeks_table(plan.outlook), stack=True)


def the_files(found: RunsAnswer, round_: answers.Round) -> None:
    """Give the plan to other programs."""
    st.subheader(words.FILES_TITLE, anchor=False)
    zone = round_.table.place.time_zone
    tankers = sorted({run.tanker for run in found.runs})
    who = st.selectbox(
        words.CALENDAR_OF,
        ["", *tankers],
        format_func=lambda t: str(t) or words.ALL_TANKERS,
        key="calendar-of",
    )
    with st.container(horizontal=True, key="run-files"):
        _download(words.FILES_CALENDAR, lambda: runs_calendar(found, who or None, zone), found, "ics")
        _download(words.FILES_CSV, lambda: runs_csv(found).encode("utf-8"), found, "csv")
        _download(words.FILES_GEOJSON, lambda: runs_geojson(found).encode("utf-8"), found, "geojson")


MIMES = {"csv": "text/csv", "geojson": "application/geo+json", "ics": "text/calendar"}


def _download(label: str, make: Any, found: RunsAnswer, ending: str) -> None:
    name = file_name(found, ending)
    st.download_button(label, make, name, MIMES[ending], on_click="ignore", key=f"file-{ending}")


def file_name(found: RunsAnswer, ending: str, day: date | None = None) -> str:
    """Return a file name without anything that a disk could mind."""
    name = re.sub(r"[^a-z0-9]+", "-", found.round.lower()).strip("-")[:40] or "round"
    return words.FILE.format(round=name, day=(day or found.as_of).isoformat(), ending=ending)


def the_rest(plan: RoundPlan) -> None:
    """Show what can hurt someone, and where the numbers come from."""
    st.subheader(as_text(texts.CAUTIONS_TITLE), anchor=False)
    pieces.say(DEFER)
    pieces.notes([(undeferred(c), "") for c in plan.runs.cautions], "danger")
    st.subheader(words.ORIGIN_TITLE, anchor=False)
    outlook = plan.outlook
    lines = [
        *dict.fromkeys([*plan.runs.notes, *outlook.notes]),
        words.EVERY_DRAW.format(draws=outlook.draws, winters=outlook.winters),
        words.ORIGIN_MOVES.format(moves=plan.runs.iterations),
        *([words.ORIGIN_PLAN.format(plan=plan.runs.plan)] if plan.runs.plan else []),
        words.ORIGIN_SEED.format(seed=plan.runs.seed),
        *(as_text(texts.origin_attribution(a)) for a in plan.runs.attributions),
    ]
    pieces.small_list(dated(line) for line in lines)
