"""The dispatcher's page: which runs this week? First the answer, then who is at risk, runs and map."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import streamlit as st

from fuelplan import answers
from fuelplan.answers.round import fault_lines
from fuelplan.answers.which_runs import RunsAnswer, presented
from fuelplan.charts.runs import (
    chosen_runs,
    loads_alt,
    loads_chart,
    loads_table,
    map_alt,
    map_chart,
    weeks_alt,
    weeks_chart,
    weeks_table,
)
from fuelplan.messages import Said, as_text, said_by
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
from fuelplan.pages.texts import runs_plan as of_plan
from fuelplan.papers import run_sheets_pdf, runs_calendar, runs_csv, runs_geojson

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
        if st.button(as_text(words.SOUND_ONLY), key="use-sound-rows"):
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
    asked = st.button(as_text(words.PLAN_AGAIN), type="primary", key="plan-again")
    if asked or runs_load.at_work(key):
        try:
            runs_load.planned(key)
        except ValueError as problem:
            pieces.field_fault(words.failed(said_by(problem)))
            return older, True
        st.rerun()
    return older, True


def the_answer(plan: RoundPlan, round_: answers.Round, chosen: Chosen, stale: bool) -> None:
    """Answer the question in one sentence, with the facts and the run sheets."""
    found = plan.runs
    with st.container(key="the-answer"):
        pieces.kicker(texts.as_of(found.round, found.as_of))
        pieces.answer(of_plan.headline(found))
        pieces.facts(runs_words.facts(found, plan.outlook))
        if plan.stopped:
            pieces.notes([(words.STOPPED, "")], "warn")
            if not stale and st.button(as_text(words.PLAN_AGAIN), key="plan-to-the-end"):
                st.session_state.pop(runs_load.SHOWN_KEY, None)
                st.rerun()
        if round_.left_out:
            pieces.notes([(words.left_out(len(round_.left_out)), "")], "warn")
        if round_.emptied:
            pieces.notes([(words.emptied(len(round_.emptied)), "")], "warn")
        st.download_button(
            as_text(words.SHEETS_BUTTON),
            lambda: run_sheets_pdf(found),
            file_name(found, "pdf"),
            "application/pdf",
            type="primary",
            help=as_text(words.SHEETS_HELP),
            on_click="ignore",
            key="sheets",
        )
        if chosen.demo:
            rounds.demo_note(chosen)


def the_lists(plan: RoundPlan) -> None:
    """Show promises in danger, who is at risk, whom to ring, who is on no run."""
    found = plan.runs
    _listed(presented.wishes(found))
    _listed(presented.promises(found), words.PROMISE_NONE)
    _listed(presented.to_ring(found), words.RING_NONE)
    _listed(presented.doubted(found), lead=words.DOUBT_LEAD)
    _at_risk(plan)
    _listed(presented.calls(found))
    _listed(presented.not_served(found))
    _listed(presented.changes(found))


def _listed(listing: presented.Listing, none: Said | None = None, lead: Said | None = None) -> None:
    """Show a list; where it is empty, `none`, and nothing at all without one."""
    if not listing.lines and none is None:
        return
    st.subheader(as_text(listing.title), anchor=False)
    if not listing.lines:
        pieces.small(none or "")
        return
    if lead is not None:
        pieces.small(lead)
    if len(listing.head) == 1:
        pieces.small_list(listing.lines)
    else:
        pieces.table(listing.head, runs_words.shown(listing.rows), stack=True)


def _at_risk(plan: RoundPlan) -> None:
    """Show who is due within the days planned."""
    until = plan.runs.days[-1] if plan.runs.days else plan.runs.as_of
    st.subheader(as_text(words.RISK_TITLE), anchor=False)
    rows = runs_words.risk_rows(plan.runs, plan.outlook)
    if not rows:
        pieces.small(words.risk_none(until))
        return
    pieces.small(words.risk_lead(until))
    pieces.table(words.RISK_HEAD, rows[:RISK_SHOWN], stack=True)
    if len(rows) > RISK_SHOWN:
        with st.expander(as_text(words.risk_all(len(rows)))):
            pieces.table(words.RISK_HEAD, rows, stack=True)


def the_days(plan: RoundPlan) -> None:
    """Show the runs of the chosen day, or of all, and their map."""
    found = plan.runs
    reading.again()
    st.subheader(as_text(words.DAYS_TITLE), anchor=False)
    days = _chosen_days(found)
    with_day = len(days) > 1
    for totals in found.per_day:
        if totals.day in days and (totals.runs or not with_day):
            pieces.say(of_plan.day_line(totals))
    runs = chosen_runs(found, days)
    for number, run in enumerate(runs):
        with st.container(key=f"run-{number}"):
            pieces.short_answer(of_plan.run_title(run, with_day))
            pieces.small(of_plan.run_line(run))
            pieces.notes([(words.fault_on_run(fault), "") for fault in run.faults], "danger")
            pieces.table(words.RUN_HEAD, runs_words.stop_rows(run), stack=True)
    if not runs:
        return
    if not with_day:
        st.download_button(
            as_text(words.DAY_SHEETS),
            lambda: run_sheets_pdf(found, days=days),
            file_name(found, "pdf", days[0]),
            "application/pdf",
            on_click="ignore",
            key="day-sheets",
        )
    st.subheader(as_text(words.MAP_TITLE), anchor=False)
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
            return as_text(words.ALL_DAYS)
        day = presented.day_named(date.fromisoformat(option))
        return as_text(words.day_label(day, stops[option]) if stops[option] else day)

    chosen = st.pills(
        as_text(words.DAY_FILTER),
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
    st.subheader(as_text(words.LOADS_TITLE), anchor=False)
    drawn.chart(
        plan.mark,
        lambda: loads_chart(plan.runs, palette=look.palette()),
        loads_alt(plan.runs),
        key="loads-chart",
    )
    pieces.small(words.LOADS_HOW)
    with st.expander(as_text(words.LOADS_TABLE)):
        pieces.table(words.LOADS_HEAD, runs_words.load_rows(rows), stack=True)


def the_weeks(plan: RoundPlan) -> None:
    """Show the tonnes of the coming weeks."""
    if not plan.outlook.weekly_t.first_day:
        return
    st.subheader(as_text(words.WEEKS_TITLE), anchor=False)
    drawn.chart(
        plan.mark,
        lambda: weeks_chart(plan.outlook, palette=look.palette()),
        weeks_alt(plan.outlook),
        key="weeks-chart",
    )
    pieces.small(words.WEEKS_HOW)
    with st.expander(as_text(words.LOADS_TABLE)):
        pieces.table(words.WEEKS_HEAD, weeks_table(plan.outlook), stack=True)


def the_files(found: RunsAnswer, round_: answers.Round) -> None:
    """Give the plan to other programs."""
    st.subheader(as_text(words.FILES_TITLE), anchor=False)
    zone = round_.table.place.time_zone
    tankers = sorted({run.tanker for run in found.runs})
    who = st.selectbox(
        as_text(words.CALENDAR_OF),
        ["", *tankers],
        format_func=lambda t: str(t) or as_text(words.ALL_TANKERS),
        key="calendar-of",
    )
    with st.container(horizontal=True, key="run-files"):
        _download(words.FILES_CALENDAR, lambda: runs_calendar(found, who or None, zone), found, "ics")
        _download(words.FILES_CSV, lambda: runs_csv(found).encode("utf-8"), found, "csv")
        _download(words.FILES_GEOJSON, lambda: runs_geojson(found).encode("utf-8"), found, "geojson")


MIMES = {"csv": "text/csv", "geojson": "application/geo+json", "ics": "text/calendar"}


def _download(label: Said, make: Any, found: RunsAnswer, ending: str) -> None:
    name = file_name(found, ending)
    st.download_button(as_text(label), make, name, MIMES[ending], on_click="ignore", key=f"file-{ending}")


def file_name(found: RunsAnswer, ending: str, day: date | None = None) -> str:
    """Return a file name without anything that a disk could mind."""
    name = re.sub(r"[^a-z0-9]+", "-", found.round.lower()).strip("-")[:40] or "round"
    return f"runs-{name}-{(day or found.as_of).isoformat()}.{ending}"


def the_rest(plan: RoundPlan) -> None:
    """Show what can hurt someone, and where the numbers come from."""
    st.subheader(as_text(texts.CAUTIONS_TITLE), anchor=False)
    pieces.say(DEFER)
    pieces.notes([(undeferred(c), "") for c in plan.runs.cautions], "danger")
    st.subheader(as_text(words.ORIGIN_TITLE), anchor=False)
    outlook = plan.outlook
    lines = [
        *dict.fromkeys([*plan.runs.notes, *outlook.notes]),
        words.every_draw(outlook.draws, outlook.winters),
        words.origin_moves(plan.runs.iterations),
        *([words.origin_plan(plan.runs.plan)] if plan.runs.plan else []),
        words.origin_seed(plan.runs.seed),
        *(texts.origin_attribution(a) for a in plan.runs.attributions),
    ]
    pieces.small_list(as_text(line) for line in lines)
