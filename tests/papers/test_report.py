"""The report on size: two to four pages, same bytes for the same answer, all of the answer in it."""

from __future__ import annotations

import re
from datetime import date
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import pytest

from fuelplan import answers
from fuelplan.answers import SizeAnswer
from fuelplan.charts.store import section_chart
from fuelplan.cli import main
from fuelplan.messages import as_text
from fuelplan.papers import report_pages, report_pdf
from fuelplan.papers.document import document_of
from fuelplan.papers.pictures import pictures_of, section_widths_pt
from tests.site_folders import make_site

SITES = Path(__file__).parents[2] / "demo_sites"
SCHOOL = SITES / "village_school"
DAY = date(2026, 1, 20)


def answer_for(folder: Path, day: date = DAY) -> SizeAnswer:
    """The size answer of a folder."""
    site = answers.open_for_sizing(folder)
    return answers.size(site, answers.weather_for(site, day), day)


@pytest.fixture(scope="module")
def school() -> SizeAnswer:
    """The answer for the demo school."""
    return answer_for(SCHOOL)


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory) -> SizeAnswer:
    """The answer for a folder that says as little as it may: a capacity, no hopper, nothing seen."""
    return answer_for(make_site(tmp_path_factory.mktemp("bare") / "site"), date(2020, 12, 1))


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    """Exit status and everything printed by one call."""
    with pytest.raises(SystemExit) as left:
        main(arguments)
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return int(left.value.code or 0), out + err


def test_same_answer_same_bytes(school: SizeAnswer) -> None:
    """Twice the same bytes, without a clock in them: the date is that of the answer."""
    first = report_pdf(school)
    assert first == report_pdf(school)
    assert first.startswith(b"%PDF-")
    assert b"D:20260120" in first


@pytest.mark.parametrize("which", ["school", "bare"])
def test_two_to_four_pages(which: str, request: pytest.FixtureRequest) -> None:
    """Whoever hands it on need not staple a book."""
    pages = report_pages(request.getfixturevalue(which))
    assert 2 <= len(pages) <= 4
    assert all(page.startswith(b"\x89PNG") for page in pages)


def test_everything_of_the_answer_is_in_it(school: SizeAnswer) -> None:
    """Question, answer, sizes, assumptions with sources, each line about delivery, questions, cautions."""
    data = document_of(school)
    assert (data["question"], data["answer"]) == (as_text(school.question), as_text(school.sentence))
    assert len(data["fit"]) == len(school.fit)
    assert {row[0] for row in data["fit"]} == {"met", "not met", "ask"}
    assert all(row[2].endswith(")") for row in data["fit"]), "each line names its source or common practice"
    assert len(data["assumptions"]) == len(school.assumptions)
    assert all("(" in taken for taken in data["assumptions"]), "each with its source"
    assert len(data["cautions"]) == len(school.cautions)
    assert sum(row[-1] == "best" for row in data["sizes"]) == 1
    asks = sum(line.answer == "ask" for line in school.fit)
    assert len(data["questions"]) - 1 + asks == len(school.open_questions)
    assert data["questions"][-1] == f"{asks} lines of the table above are marked ask."


def test_the_template_leaves_nothing_out(school: SizeAnswer) -> None:
    """Every piece of the document is used by the template."""
    template = files("fuelplan.papers").joinpath("size.typ").read_text(encoding="utf-8")
    for key in document_of(school):
        assert re.search(rf"\bd\.{key}\b", template), key


def test_pictures_are_vectors_with_their_words(school: SizeAnswer) -> None:
    """Each chart is SVG without a bitmap; the section names its fill line, the worst winter its reserve."""
    pictures = pictures_of(school)
    assert set(pictures) == {"cost", "winter", "hopper", "across", "along"}
    for svg in pictures.values():
        root = ElementTree.fromstring(svg)
        assert root.tag.endswith("svg")
        assert "<image" not in svg
    assert "full: " in pictures["across"]
    assert "now about " in pictures["across"]
    assert "reserve" in pictures["winter"]


def test_both_sections_are_in_one_scale(school: SizeAnswer) -> None:
    """A metre of height is as long in both drawings, on paper too; and a metre across is a metre up."""
    drawing = school.drawing
    assert drawing is not None
    pictures = pictures_of(school)
    across, along = section_widths_pt(pictures)
    heights = {}
    for view, width_pt in (("across", across), ("along", along)):
        root = ElementTree.fromstring(pictures[view])
        heights[view] = width_pt * float(root.attrib["height"]) / float(root.attrib["width"])
    assert heights["across"] == pytest.approx(heights["along"], rel=0.02)
    assert across + along < 487
    for view in ("across", "along"):
        spec = section_chart(drawing, view, px_per_m=50.0).to_dict()
        for side, axis in (("width", "x"), ("height", "y")):
            low, high = next(layer["encoding"][axis]["scale"]["domain"] for layer in spec["layer"])
            assert spec[side] / (high - low) == pytest.approx(50.0, rel=0.01)


def test_a_folder_that_says_little_still_gives_a_report(bare: SizeAnswer) -> None:
    """No drawing where only a capacity is known; what was assumed is said to be so."""
    assert bare.drawing is None
    data = document_of(bare)
    assert data["section_alt"] is None
    assert any("our assumption" in taken for taken in data["assumptions"])
    assert any("line" in q and "quiet" in q for q in data["questions"])


def test_hostile_words_stay_words(bare: SizeAnswer) -> None:
    """A name full of markup is printed as it stands, and runs nothing."""
    from dataclasses import replace

    odd = replace(bare, site='#read("/etc/passwd") $x$ *b* <tag> \\ "')
    assert report_pdf(odd).startswith(b"%PDF-")
    assert document_of(odd)["site"] == odd.site


def test_report_on_the_command_line(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """It writes the file whole and nothing beside it; a place that is none is refused with exit 2."""
    file = tmp_path / "school.pdf"
    status, out = run(capsys, "report", str(SCHOOL), "--pdf", str(file))
    assert (status, "school.pdf" in out) == (0, True)
    first = file.read_bytes()
    assert run(capsys, "report", str(SCHOOL), "--pdf", str(file), "--json")[0] == 0
    assert file.read_bytes() == first
    assert [p.name for p in tmp_path.iterdir()] == ["school.pdf"]
    for place in (tmp_path, tmp_path / "nowhere" / "a.pdf"):
        status, out = run(capsys, "report", str(SCHOOL), "--pdf", str(place))
        assert (status, "folder that exists" in out) == (2, True)


@pytest.mark.parametrize("which", ["school", "bare"])
def test_fuel_store_and_interest_are_the_total(which: str, request: pytest.FixtureRequest) -> None:
    """In every row of the sizes the shown costs add up to the shown total."""
    answer = request.getfixturevalue(which)
    rows = [row for row in document_of(answer)["sizes"] if row[6] != "–"]
    assert len(rows) > 3
    for row in rows:
        fuel, store, interest, whole = (int(re.sub(r"[^0-9-]", "", cell)) for cell in row[6:10])
        assert fuel + store + interest == whole
        assert interest >= 0
    best = next(row for row in rows if row[-1] == "best")
    assert answer.store is not None and int(re.sub(r"[^0-9]", "", best[9])) == round(answer.store.yearly_cost)


@pytest.fixture(scope="module")
def simulated(tmp_path_factory: pytest.TempPathFactory) -> SizeAnswer:
    """The answer from twelve monthly means, with no real winter behind it."""
    means = "monthly_means = [-2, 0, 4, 9, 13, 17, 19, 18, 14, 9, 3, -1]"
    changes = [('source = "file"\nfile = "weather.csv"', f'source = "monthly"\n{means}')]
    folder = make_site(tmp_path_factory.mktemp("monthly") / "site", changes=changes)
    return answer_for(folder, date(2020, 12, 1))


def test_simulated_winters_are_never_called_winters(simulated: SizeAnswer) -> None:
    """Without one real winter every count of winters says that they are simulated: sentence, why, cellar,
    warnings, the page's facts and the report.
    """
    from fuelplan.cli.size import text_of
    from fuelplan.pages.size.words import facts, size_rows

    assert simulated.weather.winters == 0 and simulated.store is not None
    assert simulated.store.empty_risk_high == 1.0
    shown = document_of(simulated)
    told = [
        as_text(simulated.sentence),
        as_text(simulated.why),
        as_text(simulated.present_said),
        *(value for _, value in shown["facts"]),
        *(f"{as_text(fact.value)} {as_text(fact.note)}" for fact in facts(simulated)),
        *(row[4] for row in shown["sizes"]),
        *(as_text(row[4]) for row in size_rows(simulated)),
        *text_of(simulated).splitlines(),
    ]
    counted = [text for text in told if re.search(r"\b30 (simulated )?winters|\bof 30\b", text)]
    assert len(counted) >= 4
    assert [text for text in counted if "30 simulated" not in text] == []
    assert "no past winter stands behind it" in as_text(simulated.sentence)
    assert any("30 simulated winters were played" in as_text(w) for w in simulated.warnings)


def test_real_winters_are_told_as_before(school: SizeAnswer) -> None:
    """With real winters alone nothing is called simulated."""
    assert "simulated" not in as_text(school.sentence) + as_text(school.why)
    assert school.store is not None and school.store.real_winters == school.store.winters
