"""The page of one's own house, and that of a spreadsheet: settings, undo, tables, zip files; no dead end."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from fuelplan import answers
from tests.page_texts import my_house as texts
from tests.page_texts import spreadsheet as spreadsheet_texts
from tests.ui_pages import DEMO_SITES, WRONG, click, copy_of, field_faults, opened, words
from tests.xlsx_files import xlsx_of


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A copy of the demo house."""
    return copy_of("family_house", tmp_path / "own_house")


@pytest.fixture
def page(house: Path, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    """The page of that house."""
    st.cache_resource.clear()
    return opened("my_house", house, monkeypatch)


def setting(page: AppTest, name: str) -> object:
    """The field of a setting."""
    (found,) = [w for w in page.text_input if w.key.startswith("settings-") and w.key.endswith(f"-{name}")]
    return found


def test_every_setting_says_what_it_is_for(page: AppTest, house: Path) -> None:
    """Each setting in the file, and each usual one, has its field with a word on it."""
    said = words(page)
    for name, value in answers.settings_of(house).items():
        assert setting(page, name).value == value  # type: ignore[attr-defined]
        assert texts.LABELS[name][1] in said
    assert {s.name for s in answers.HOUSE_SETTINGS} == set(texts.LABELS)


def test_a_setting_is_saved_and_taken_back(page: AppTest, house: Path) -> None:
    """Saved, only its value changes in the file; taken back, the file is as it was."""
    before = (house / "site.toml").read_text()
    setting(page, "store.reserve").set_value("500 kg")  # type: ignore[attr-defined]
    click(page, texts.SAVE)
    assert (house / "site.toml").read_text() == before.replace('"350 kg"', '"500 kg"')
    assert texts.saved(1) in words(page)
    assert setting(page, "store.reserve").value == "500 kg"  # type: ignore[attr-defined]
    click(page, texts.UNDO)
    assert (house / "site.toml").read_text() == before
    assert setting(page, "store.reserve").value == "350 kg"  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", [n for n in answers.settings_of(DEMO_SITES / "family_house") if n != "name"])
def test_wrong_settings_are_said_at_their_field(page: AppTest, house: Path, name: str) -> None:
    """Whatever is typed: a sentence under the field, what was typed stays, no byte of the file changes."""
    before = (house / "site.toml").read_bytes()
    for kind, text in WRONG.items():
        setting(page, name).set_value(text)  # type: ignore[attr-defined]
        click(page, texts.SAVE)
        (fault,) = field_faults(page)
        assert 5 < len(fault) < 500, kind
        field = setting(page, name)
        assert field.value == text[: field.proto.max_chars], kind  # type: ignore[attr-defined]
        assert (house / "site.toml").read_bytes() == before, kind


def test_the_whole_text_is_saved_or_its_faults_are_listed(page: AppTest, house: Path) -> None:
    """A faulty text is not saved, and its lines are named; a sound one is."""
    before = (house / "site.toml").read_text()
    page.text_area[0].set_value(before.replace('"350 kg"', '"350 kW"'))
    click(page, texts.TEXT_SAVE)
    assert "store.reserve" in words(page)
    assert (house / "site.toml").read_text() == before
    page.text_area[0].set_value(before + "# mine\n")
    click(page, texts.TEXT_SAVE)
    assert (house / "site.toml").read_text() == before + "# mine\n"


def test_a_demo_house_is_copied_before_it_is_changed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The demo offers no field; a copy of it does, and can be kept."""
    monkeypatch.setenv("FUELPLAN_HOUSES", str(tmp_path / "houses"))
    page = opened("my_house", DEMO_SITES / "family_house", monkeypatch)
    assert not page.text_input
    click(page, texts.DEMO_COPY)
    assert setting(page, "store.reserve").value == "350 kg"  # type: ignore[attr-defined]
    click(page, texts.KEEP)
    assert (tmp_path / "houses" / "family_house" / "site.toml").exists()


def test_broken_settings_can_still_be_mended(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where site.toml is no TOML, its text is there to be put right."""
    (house / "site.toml").write_text("format = 1\nname = oops\n")
    page = opened("my_house", house, monkeypatch)
    assert "is not TOML" in words(page)
    page.text_area[0].set_value((DEMO_SITES / "family_house" / "site.toml").read_text())
    click(page, texts.TEXT_SAVE)
    assert answers.open_site(house)


def test_a_zip_file_opens_as_a_draft(page: AppTest, house: Path) -> None:
    """What was taken along opens beside the house there is; a strange file is refused in words."""
    content = answers.pack_house(house)
    page.file_uploader(key="open-zip-file").set_value(("a.zip", b"no zip", "application/zip"))
    click(page, texts.OPEN)
    assert "no sound zip file" in field_faults(page)[0]
    page.file_uploader(key="open-zip-file").set_value(("a.zip", content, "application/zip"))
    click(page, texts.OPEN)
    assert texts.opened("own_house") in words(page)
    draft = Path(page.session_state["draft-house"])
    assert draft != house
    assert (draft / "site.toml").read_bytes() == (house / "site.toml").read_bytes()


def test_names_never_become_html(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A house called by a script, and a note that is one, are shown as text."""
    file = house / "site.toml"
    file.write_text(file.read_text().replace("House by the lime tree", "<script>alert(1)</script>"))
    answers.record_reading(house, date(2026, 1, 14), "1.5 t", note="<img src=x onerror=y>")
    page = opened("my_house", house, monkeypatch)
    raw = "".join(piece.proto.body for piece in page.get("html"))
    assert "<script>" not in raw
    assert "<img src=x" not in raw
    assert "&lt;script&gt;" in raw


# A spreadsheet ---------------------------------------------------------------------------------------------

TABLE = "Date,Stand (kg),Note\n2026-01-10,1650,<b>bold</b>\n10.01.2026,x,\n2026-01-12,1600,=1+1\n"


@pytest.fixture
def sheet(house: Path, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    """The page with a table of readings handed in."""
    st.cache_resource.clear()
    page = opened("spreadsheet", house, monkeypatch)
    page.selectbox(key="sheet-into").set_value("readings").run()
    return page.file_uploader(key="sheet-file").set_value(("t.csv", TABLE.encode(), "text/csv")).run()


def test_rows_are_shown_before_any_is_written(sheet: AppTest, house: Path) -> None:
    """Columns are guessed, sound rows shown, the faulty one named by its line; then they are written."""
    before = (house / "readings.csv").read_text()
    said = words(sheet)
    assert spreadsheet_texts.count(2, 0, 1) in said
    assert "1650 kg" in said
    assert (house / "readings.csv").read_text() == before
    raw = "".join(piece.proto.body for piece in sheet.get("html"))
    assert "<b>bold" not in raw
    click(sheet, spreadsheet_texts.write(2))
    after = (house / "readings.csv").read_text()
    assert "2026-01-10,1650 kg" in after
    assert "'=1+1" in after
    answers.undo_change(house, answers.last_change(house))
    assert (house / "readings.csv").read_text() == before


def test_a_date_that_reads_two_ways_and_guessed_letters_are_shown(sheet: AppTest) -> None:
    """By the country of the house 03/04/2025 is 3 April, and says so; doubtful letters are offered."""
    table = "Date,Level,Poznámka\n03/04/2025,1650 kg,příští\n".encode("cp1250")
    sheet.file_uploader(key="sheet-file").set_value(("t.csv", table, "text/csv")).run()
    assert spreadsheet_texts.dates_read("03/04/2025", date(2025, 4, 3)) in words(sheet)
    (letters,) = [w for w in sheet.selectbox if w.label == spreadsheet_texts.LETTERS]
    assert "příští" in words(sheet) or "pøíští" in words(sheet)
    letters.set_value("cp1250").run()
    assert "příští" in words(sheet) and "2025-04-03" in words(sheet)


def test_dates_that_nothing_decides_are_asked(sheet: AppTest) -> None:
    """A column with days first and months first: no row is shown before the person has said which."""
    table = b"Date,Level\n31/12/2024,1650 kg\n12/31/2024,1650 kg\n03/04/2025,1650 kg\n"
    sheet.file_uploader(key="sheet-file").set_value(("t.csv", table, "text/csv")).run()
    assert "3 April 2025 or 4 March 2025" in field_faults(sheet)[0]
    assert not [b for b in sheet.button if b.label.startswith("Write")]
    (dates,) = [w for w in sheet.selectbox if w.label == spreadsheet_texts.DATES]
    dates.set_value("month first").run()
    assert spreadsheet_texts.count(2, 0, 1) in words(sheet)


def test_a_column_taken_away_is_asked_for(sheet: AppTest) -> None:
    """Without a column for the date there is a sentence, and nothing to write."""
    (column,) = [s for s in sheet.selectbox if s.value == "date"]
    column.set_value("").run()
    assert "which column holds date" in field_faults(sheet)[0]
    assert not [b for b in sheet.button if b.key == "sheet-write"]


@pytest.mark.parametrize("content", [b"", b"\x00\x01", b"PK\x03\x04x", b"a\n" * 9000])
def test_files_that_are_no_table_are_said(
    house: Path, monkeypatch: pytest.MonkeyPatch, content: bytes
) -> None:
    """A sentence at the field; no traceback."""
    page = opened("spreadsheet", house, monkeypatch)
    page.file_uploader(key="sheet-file").set_value(("t.csv", content, "text/csv")).run()
    assert len(field_faults(page)) == 1


def test_a_bomb_is_refused_on_the_page(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A small spreadsheet file that unpacks to 70 MB is refused in words."""
    page = opened("spreadsheet", house, monkeypatch)
    page.file_uploader(key="sheet-file").set_value(("t.xlsx", xlsx_of(" " * 70_000_000), "x")).run()
    assert "too large" in field_faults(page)[0]
