"""Readings or deliveries from a spreadsheet: hand in, say what each column is, look at the rows, write."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import cast

import streamlit as st

from fuelplan import answers
from fuelplan.answers.house import COLUMNS, IN_COLUMN, UNITS, Dates, Into, dates_of, day_of, example_of_order
from fuelplan.messages import Listed, Message, Own, Said, as_text, said_by
from fuelplan.pages.parts import folders, pieces
from fuelplan.pages.parts.flash import flash
from fuelplan.pages.parts.pieces import named, plain_label
from fuelplan.pages.parts.trouble import show_faults
from fuelplan.pages.parts.ways_in import page_of
from fuelplan.pages.texts import common as texts
from fuelplan.pages.texts import my_house as my_house_texts
from fuelplan.pages.texts import spreadsheet as words

SHOWN = 12


def show() -> None:
    """Show the page for the house that is chosen."""
    chosen = folders.choose()
    pieces.answer(words.TITLE)
    if chosen is None or chosen.demo:
        pieces.say(texts.NO_FOLDER if chosen is None else words.DEMO)
        st.page_link(page_of("my_house", my_house_texts.TITLE), label=as_text(my_house_texts.TITLE))
        return
    pieces.say(words.LEAD)
    into = _chosen(words.INTO, words.INTO_NAMES, "deliveries", "sheet-into")
    file = st.file_uploader(as_text(words.FILE), ["csv", "txt", "tsv", "xlsx", "ods"], key="sheet-file")
    pieces.small(words.FILE_WHY)
    if file is None:
        return
    try:
        sheet = the_letters(file.name, file.getvalue(), chosen.country or "", file.file_id)
    except answers.SheetError as problem:
        pieces.field_fault(said_by(problem))
        return
    plan = the_columns(sheet, cast(Into, into), f"{file.file_id}-{into}", chosen.country or "")
    try:
        rows = answers.preview_sheet(chosen.path, sheet, plan)
    except answers.SiteFaults as problem:
        show_faults(problem.faults)
        return
    except ValueError as problem:
        pieces.field_fault(said_by(problem))
        return
    the_preview(rows, plan)
    the_writing(chosen, rows, plan)


def the_letters(name: str, content: bytes, country: str, key: str) -> answers.Sheet:
    """Return the table; where its letters had to be guessed, show them and let the person choose."""
    sheet = answers.read_sheet(name, content, country=country)
    if not sheet.encodings or sheet.encoding.startswith("utf"):
        return sheet
    labels = {e: words.letters_as(s, e) for e, s in sheet.encodings.items()}
    chosen = _chosen(words.LETTERS, labels, sheet.encoding, f"sheet-letters-{key}")
    if chosen == sheet.encoding:
        return sheet
    return answers.read_sheet(name, content, country=country, encoding=chosen)


def the_columns(sheet: answers.Sheet, into: Into, key: str, country: str) -> answers.SheetPlan:
    """Let the person say what each column is, beginning with a guess; return the plan."""
    guess = answers.guess_plan(sheet, into, country)
    st.subheader(as_text(words.COLUMNS_TITLE), anchor=False)
    options = ["", *COLUMNS[into]]
    taken: dict[int, str] = {}
    fields = st.columns(3)
    for i, name in enumerate(sheet.header):
        with fields[i % 3]:
            column = st.selectbox(
                plain_label(name),
                options,
                index=options.index(guess.columns.get(i, "")),
                format_func=named({"": words.LEAVE_OUT, **words.COLUMN_NAMES}),
                key=f"sheet-column-{key}-{i}",
            )
            seen = list(dict.fromkeys(row[i][:24] for row in sheet.rows[:40] if row[i]))[:2]
            pieces.small(words.column_seen(seen) if seen else "–")
        if column:
            taken[i] = str(column)
    fields = st.columns(3)
    with fields[0]:
        orders = words.DATES_NAMES if guess.dates else {"": words.DATES_ASK, **words.DATES_NAMES}
        dates = cast(Dates, _chosen(words.DATES, orders, guess.dates, f"sheet-dates-{key}"))
        example = example_of_order(dates_of(sheet, taken))
        if example and dates in {"day first", "month first"}:
            pieces.small(words.dates_read(example, date.fromisoformat(day_of(example, dates))))
    with fields[1]:
        decimal = _chosen(words.DECIMAL, words.DECIMAL_NAMES, guess.decimal, f"sheet-decimal-{key}")
    with fields[2]:
        names = {"": words.UNIT_NONE, **{u: words.UNIT_NAMES.get(u, u) for u in UNITS}}
        unit = _chosen(words.UNIT, names, guess.unit, f"sheet-unit-{key}")
    return answers.SheetPlan(into, taken, dates, "," if decimal == "," else ".", unit)


def the_preview(rows: Sequence[answers.SheetRow], plan: answers.SheetPlan) -> None:
    """Show what would be written, and every row that cannot be, with the reason."""
    st.subheader(as_text(words.PREVIEW_TITLE), anchor=False)
    sound = [row for row in rows if row.sound]
    faulty = [row for row in rows if row.faults]
    known = len(rows) - len(sound) - len(faulty)
    pieces.say(words.rows(len(rows)))
    pieces.say(words.count(len(sound), known, len(faulty)))
    columns = list(dict.fromkeys(plan.columns.values()))
    head = (*words.PREVIEW_HEAD, *(words.COLUMN_NAMES[c] for c in columns))
    if sound:
        shown = [(str(r.line), *(r.cells.get(c, "") for c in columns)) for r in sound[:SHOWN]]
        pieces.table(head, shown, stack=True)
        if len(sound) > SHOWN:
            pieces.small(words.more(len(sound) - SHOWN))
    if faulty:
        pieces.short_answer(words.FAULTY_TITLE)
        wrong = [
            (str(r.line), Listed(tuple(_in_words(fault) for fault in r.faults), "; "))
            for r in faulty[: 5 * SHOWN]
        ]
        pieces.table(words.FAULTY_HEAD, wrong, stack=True)
        if len(faulty) > 5 * SHOWN:
            pieces.small(words.more(len(faulty) - 5 * SHOWN))


def the_writing(chosen: folders.Chosen, rows: Sequence[answers.SheetRow], plan: answers.SheetPlan) -> None:
    """Write the sound rows on a click."""
    sound = sum(row.sound for row in rows)
    pressed = st.button(as_text(words.write(sound)), type="primary", disabled=not sound, key="sheet-write")
    if not pressed:
        return
    try:
        count = answers.import_sheet(chosen.path, plan.into, rows)
    except (ValueError, OSError) as problem:
        pieces.field_fault(said_by(problem))
        return
    flash(words.written(count))
    st.switch_page(page_of("my_house", my_house_texts.TITLE))


def _chosen(label: Said, names: Mapping[str, Said], start: str, key: str) -> str:
    options = list(names)
    found = st.selectbox(
        as_text(label), options, index=options.index(start), format_func=named(names), key=key
    )
    return str(found)


def _in_words(fault: Message) -> Message:
    """Return a fault with the name of its column as this page shows it."""
    if fault.code != IN_COLUMN:
        return fault
    column, said = fault.value("column"), fault.value("said")
    assert isinstance(column, Own) and isinstance(said, Message)
    known = words.COLUMN_NAMES.get(column.text)
    return fault if known is None else words.of_column(known, said)
