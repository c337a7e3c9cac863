"""The words of the order page, and that a person's own words never become HTML or Markdown."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from html import escape
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import fuelplan.answers.when_to_order as order_words
import fuelplan.pages
from fuelplan.answers.when_to_order.answer import Advice, PolicyYear, WholeBill
from fuelplan.messages import as_text, message
from fuelplan.messages.cautions import DEFER, TEXTS, caution
from fuelplan.pages import serve
from fuelplan.pages.order import what_if as order_what_if
from fuelplan.pages.order.page import cautions_of
from fuelplan.pages.parts import pieces
from fuelplan.pages.parts.pieces import Shown
from tests.order_example import AS_OF, example_answer, with_placed_order

UI = Path(fuelplan.pages.__file__).parent
ROOT = UI.parent.parent


def texts_of(rows: Sequence[Sequence[Shown]]) -> list[tuple[str, ...]]:
    """The cells of rows as a page writes them."""
    return [tuple(as_text(cell) for cell in row) for row in rows]


def test_headline_says_wait_with_amount_and_day() -> None:
    """While there is time the headline says so, with the amount and the last day."""
    assert str(order_words.headline(example_answer())) == "Order 3.5 t by 28 January. Nothing to do today."


def test_headline_says_order_when_it_is_due() -> None:
    """When the order is due the headline asks for it, with the last day."""
    answer = example_answer(decision="order")
    assert str(order_words.headline(answer)) == "Order 3.5 t now, by 28 January at the latest."


def test_headline_says_late() -> None:
    """When even today is too late the headline says that it is late."""
    assert str(order_words.headline(example_answer(decision="late"))) == "Order 3.5 t today: it is late."


def test_headline_remembers_an_order_on_its_way() -> None:
    """With an order placed and none due, the headline tells when the tanker comes."""
    assert str(order_words.headline(with_placed_order())) == "3 t on its way: 20 January to 28 January."


def test_headline_without_any_order_names_the_horizon() -> None:
    """With nothing to order the headline says until when that holds."""
    assert str(order_words.headline(example_answer(order=None))) == "Nothing to order before 15 January 2027."


def test_amounts_keep_the_step_of_the_supplier() -> None:
    """An amount that goes to a supplier is not rounded to two digits: 3,250 kg stay 3.25 t."""
    assert as_text(order_words.amount(3250)) == "3.25 t"


def test_facts_hold_order_and_stock() -> None:
    """Six facts: day, delivery, amount, risk, stock and how long it lasts, none with false precision."""
    facts = {
        as_text(fact.name): (as_text(fact.value), as_text(fact.note))
        for fact in order_words.facts(example_answer())
    }
    assert facts["Order by"] == ("28 January", "in 13 days")
    assert facts["Delivery between"] == ("4 to 13 February", "boiler off before filling")
    assert facts["Amount"] == ("3.5 t", "1,085 EUR")
    assert facts["Risk of this order"][0] == "about 1 in 55"
    assert "you accept 1 in 50" in facts["Risk of this order"][1]
    assert facts["In store"] == ("1.7 to 2.5 t", "your reading is 12 days old")
    assert facts["Lasts until"] == ("14 March", "usual winter; 1 in 50 by 20 February")


def test_stock_nobody_has_read_is_said_to_be_unread() -> None:
    """Without a reading the page does not pretend to know its age."""
    answer = example_answer()
    unread = replace(answer.stocks[0], reading_age_days=None, reading_on=None)
    facts = {as_text(f.name): as_text(f.note) for f in order_words.facts(replace(answer, stocks=(unread,)))}
    assert facts["In store"] == "nobody has read the store yet"


def test_date_beyond_the_horizon_says_so() -> None:
    """A date that the answer cannot see is "after" its horizon, never a made-up day."""
    assert as_text(order_words.day_of(None, example_answer())) == "after 15 January 2027"


@pytest.mark.parametrize(
    ("first", "last", "text"),
    [
        (date(2026, 2, 4), date(2026, 2, 13), "4 to 13 February"),
        (date(2026, 1, 29), date(2026, 2, 6), "29 January to 6 February"),
        (date(2026, 2, 4), date(2026, 2, 4), "4 February"),
        (date(2026, 12, 29), date(2027, 1, 8), "29 December to 8 January 2027"),
    ],
)
def test_windows_read_like_a_person_says_them(first: date, last: date, text: str) -> None:
    """A shared month is said once, another year is said."""
    assert as_text(order_words.window_of(first, last, example_answer())) == text


@pytest.mark.parametrize(
    ("days", "text"), [(-3, "3 days ago"), (0, "today"), (1, "tomorrow"), (13, "in 13 days")]
)
def test_how_far_a_day_is_away(days: int, text: str) -> None:
    """Days ahead and behind in plain words."""
    assert as_text(order_words.days_until(date.fromordinal(AS_OF.toordinal() + days), AS_OF)) == text


def test_origin_names_the_weather_and_thanks_its_source() -> None:
    """The end of the page names source, years, draws and the thanks that a licence asks for."""
    text = "\n".join(map(as_text, order_words.origin(example_answer())))
    assert "invented weather of the demo valley" in text
    assert "25 past winters from 1 January 2000" in text
    assert "Invented for the demo" in text
    assert "cannot prove a chance as small as 1 in 1,000" in text
    assert "Use is learned from 6 deliveries." in text


ADVICE = Advice(
    message("test.waiting", "Waiting costs less on average."),
    12.0,
    (),
    (
        PolicyYear(
            "optimum", 1558.0, 1400.0, 1700.0, 0.0, 2.0, 0.0, 0.0, True, message("test.plan", "This plan")
        ),
        PolicyYear(
            *("fill up every June", 1598.0, 1450.0, 1750.0, 40.0, 1.5, 0.004, 0.0, True),
            message("test.june", "Fill up every June"),
        ),
    ),
    WholeBill(
        "Northern Fuels",
        3500.0,
        1123.5,
        (("3.5 t at 300 EUR/t", 1050.0), ("tax", 73.5)),
        (("Other", 1150.0),),
        (),
        (),
    ),
)


def test_bill_lists_lines_total_and_other_offers() -> None:
    """A bill shows its lines, what they add up to and what another supplier asks, to the cent."""
    assert ADVICE.bill is not None
    assert texts_of(order_words.bill_rows(ADVICE.bill, "EUR")) == [
        ("3.5 t at 300 EUR/t", "1,050.00 EUR"),
        ("tax", "73.50 EUR"),
        ("In all, from Northern Fuels", "1,123.50 EUR"),
        ("The same from Other", "1,150.00 EUR"),
    ]


def test_a_bill_of_the_folder_s_own_price_names_no_supplier() -> None:
    """With one price in the folder nobody else asks for money: the total says where the price stands."""
    assert ADVICE.bill is not None
    rows = texts_of(order_words.bill_rows(replace(ADVICE.bill, supplier="", others=()), "EUR"))
    assert rows[-1][0] == "In all, at the price in the folder"


def test_ways_of_deciding_are_compared_with_the_plan() -> None:
    """The plan stands first, compared with nothing; a rule shows what it costs more, and its risk."""
    rows = texts_of(order_words.way_rows(example_answer(advice=ADVICE)))
    assert rows == [
        ("This plan", "1,558 EUR", "–", "2.0", "less than 1 in 1,000"),
        ("Fill up every June", "1,598 EUR", "40 EUR", "1.5", "about 1 in 250"),
    ]
    assert order_words.way_rows(example_answer()) == ()


def test_what_more_would_fit_is_said_with_the_amount() -> None:
    """Where less is proposed than would fit, the amount says so."""
    order = example_answer().order
    assert order is not None
    answer = example_answer(order=replace(order, fits_kg=4100.0))
    notes = {as_text(fact.name): as_text(fact.note) for fact in order_words.facts(answer)}
    assert notes["Amount"] == "1,085 EUR; up to 4.1 t would fit"


def test_what_all_cautions_end_with_is_said_once() -> None:
    """The page says once what every caution defers to, and no word of the rest is lost."""
    made = [caution(name, "a reason") for name in ("boiler-off-before-filling", "co-store")]
    shown = tuple(made)
    found = [(str(text), why) for text, why in cautions_of(example_answer(cautions=shown))]
    assert found == [(str(TEXTS[c.id]), "a reason") for c in made]
    assert [str(c.text) for c in made] == [f"{text} {DEFER}" for text, _ in found]


def test_comparison_names_every_difference() -> None:
    """Side by side, each row says in words how far the other plan is from today's."""
    plan = example_answer()
    assert plan.order is not None
    other = replace(plan, order=replace(plan.order, order_by=date(2026, 1, 20), amount_kg=3200.0))
    rows = {row[0]: row[1:] for row in texts_of(order_what_if.rows_of(plan, other))}
    assert rows["Order by"] == ("28 January", "20 January", "8 days earlier")
    assert rows["Amount"] == ("3.5 t", "3.2 t", "300 kg less")
    assert rows["Reserve reached, usual winter"][2] == "the same"
    assert rows["Burned in the next 365 days"] == ("4.9 t", "4.9 t", "the same")


def test_comparison_with_nothing_to_order() -> None:
    """A plan without an order is compared, too: the missing day shows as a dash."""
    found = order_what_if.rows_of(example_answer(), example_answer(order=None))
    rows = {row[0]: row[1:] for row in texts_of(found)}
    assert rows["Order by"] == ("28 January", "–", "changed")


# A person's own words --------------------------------------------------------------------------------------


class Tags(HTMLParser):
    """Collects the tags of a piece of HTML."""

    def __init__(self) -> None:
        """Start with none."""
        super().__init__()
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: object) -> None:
        """Keep the tag."""
        self.tags.add(tag)


OURS = {"p", "h1", "dl", "div", "dt", "dd", "small", "table", "thead", "tbody", "tr", "th", "td", "ul", "li"}
HOSTILE = '<script>alert(1)</script><img src="http://192.0.2.1/x.png" onerror=alert(1)>"\'&'


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=80) | st.just(HOSTILE))
def test_no_piece_of_the_page_lets_html_through(text: str) -> None:
    """Whatever stands in a site's name, a CSV cell or an error, only our own tags reach the page."""
    written: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pieces.st, "html", lambda body, **_: written.append(str(body)))
        pieces.kicker(text)
        pieces.answer(text)
        pieces.say(text)
        pieces.small(text)
        pieces.small_list([text])
        pieces.facts([pieces.Fact(text, text, text)])
        pieces.table((text, text), [(text, text)], changed=[True], stack=True)
        pieces.notes([(text, text)], "danger")
    assert len(written) == 8
    for body in written:
        parser = Tags()
        parser.feed(body)
        assert parser.tags <= OURS, body


def test_drawings_are_images_with_words() -> None:
    """A drawing is shown as an image, so that nothing inside it can act, with its words made harmless."""
    written: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pieces.st, "html", lambda body, **_: written.append(str(body)))
        pieces.drawings([f"<svg>{HOSTILE}</svg>", "<svg/>"], HOSTILE)
    parser = Tags()
    parser.feed(written[0])
    assert parser.tags == {"div", "img"}
    assert "192.0.2.1" not in written[0].replace(escape(HOSTILE), "")
    assert written[0].count("data:image/svg+xml;base64,") == 2
    assert written[0].count(escape(HOSTILE)) == 1


def test_labels_read_no_markdown() -> None:
    """In a widget's label every sign that Markdown would read is made harmless."""
    assert pieces.plain_label("![x](http://192.0.2.1/x.png)") == r"\!\[x\]\(http\://192\.0\.2\.1/x\.png\)"
    assert pieces.plain_label("House 7") == "House 7"


def test_pages_write_text_through_the_pieces_only() -> None:
    """No page hands text to Markdown, to raw HTML or to what asks another machine for something."""
    banned = {
        "markdown",
        "write",
        "map",
        "pydeck_chart",
        "iframe",
        "image",
        "info",
        "warning",
        "success",
        "text",
    }
    files = sorted(UI.rglob("*.py"))
    assert len(files) > 8
    for file in files:
        source = file.read_text(encoding="utf-8")
        assert "unsafe_allow" not in source, file
        assert ":material" not in source, file
        for node in ast.walk(ast.parse(source)):
            if not (isinstance(node, ast.Attribute) and ast.unparse(node.value) == "st"):
                continue
            assert node.attr not in banned, f"{file}: st.{node.attr}"
            assert node.attr != "html" or file.name in {"pieces.py", "look.py"}, f"{file}: st.html"


# Closed by default -----------------------------------------------------------------------------------------


def test_settings_are_closed_by_default() -> None:
    """This machine only, no statistics, small uploads, no traceback to the person."""
    config = tomllib.loads((UI / "settings.toml").read_text(encoding="utf-8"))
    assert config["server"]["address"] == "127.0.0.1"
    assert config["server"]["allowedHosts"] == ["localhost", "127.0.0.1"]
    assert config["server"]["enableXsrfProtection"] is True
    assert config["server"]["maxUploadSize"] <= 5
    assert config["browser"]["gatherUsageStats"] is False
    assert config["client"]["showErrorDetails"] == "type"


def test_both_settings_files_are_the_same() -> None:
    """`streamlit run app.py` and `fuelplan app` have the same settings."""
    here = (UI / "settings.toml").read_bytes()
    assert here == (ROOT / ".streamlit" / "config.toml").read_bytes()


def test_server_command_keeps_to_this_machine() -> None:
    """The command that starts the pages repeats the closed settings, and ends with the folder."""
    command = serve.server_command("demo_sites", 8600)
    assert "--server.address=127.0.0.1" in command
    assert "--server.port=8600" in command
    assert "--browser.gatherUsageStats=false" in command
    assert [part for part in command if "allowedHosts" in part] == [
        "--server.allowedHosts=localhost",
        "--server.allowedHosts=127.0.0.1",
    ]
    assert command[-2:] == ["--", str(Path("demo_sites").resolve())]
    assert Path(command[4]).is_file()
    assert "--" not in serve.server_command()
