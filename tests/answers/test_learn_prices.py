"""The season of a person's own prices, with its doubt, on the command line, in JSON and on the page."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from fuelplan.charts import season_alt, season_chart
from fuelplan.cli import main
from fuelplan.messages import as_text, codes, render
from tests.answers.test_learn import learned
from tests.ordering.test_prices_season import noisy
from tests.site_folders import make_site

NAMED = ('price = "300 EUR/t"', 'price = "300 EUR/t"\nprice_history = "prices.csv"')
DATE = date(2020, 12, 1)
DAY = ("format = 1", "format = 1\nexample_date = 2020-12-01")


def house(folder: Path, *, crisis: bool = False, months: int = 96) -> Path:
    """A house with eight years of its own prices."""
    made = make_site(folder, changes=[NAMED, DAY])
    rows = ["date,price_per_t"]
    for price in noisy(3, months, 0.005):
        odd = crisis and price.day.year == 2018 and 6 < price.day.month < 10
        rows.append(f"{price.day},{1000 * price.per_kg * (1.9 if odd else 1.0):.2f}")
    (made / "prices.csv").write_text("\n".join(rows) + "\n")
    return made


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command prints."""
    with pytest.raises(SystemExit):
        main(list(arguments))
    return capsys.readouterr().out


def test_the_season_is_told_with_its_error(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`learn` shows every month with its error beside the robust one, in text and JSON; `order` names the
    cheapest month by the same figure, with the same error.
    """
    folder = house(tmp_path / "a")
    document = json.loads(printed(capsys, "learn", str(folder), "--json"))
    season = document["price_season"]
    assert np.mean(season["factor"]) == pytest.approx(1.0, abs=1e-6) and min(season["factor_se"]) > 0
    assert len(season["robust_factor"]) == len(season["robust_factor_p10"]) == 12
    cheapest = int(np.argmin(season["factor"]))
    below = 1 - season["factor"][cheapest]
    error = season["factor_p90"][cheapest] - season["factor"][cheapest]
    told = f"{below:.1%} below the mean of the year"
    assert (
        told in document["price_season_sentences"][0]["text"]
        and f"{error:.1%}" in document["price_season_sentences"][0]["text"]
    )
    text = printed(capsys, "learn", str(folder))
    assert told in text and "  July " in text and f"{season['factor'][6]:.1%}" in text
    assert " ".join(printed(capsys, "order", str(folder)).split()).count("cheapest in July") == 1
    order = json.loads(printed(capsys, "order", str(folder), "--json"))
    assert any(f"{told}, give or take {error:.1%}." in line["text"] for line in order["explanation"])


def test_unusual_prices_are_named(tmp_path: Path) -> None:
    """Where a crisis moved the season that is said, with both figures; in calm years that the two agree."""
    calm, shaken = (learned(house(tmp_path / n, crisis=n == "b"), DATE) for n in "ab")
    assert [codes(said)[0] for said in calm.price_season_said] == [
        "learn.price_season", "learn.price_season_agrees",
    ]  # fmt: skip
    assert [codes(said)[0] for said in shaken.price_season_said] == [
        "learn.price_season", "learn.price_season_odd",
    ]  # fmt: skip
    found = shaken.price_season
    assert found is not None and found.robust_factor is not None
    month = int(np.argmax(np.abs(np.array(found.factor) - np.array(found.robust_factor))))
    said = render(shaken.price_season_said[1])
    assert f"{found.factor[month]:.1%}" in said and f"{found.robust_factor[month]:.1%}" in said


def test_a_short_history_hinders_no_learning(tmp_path: Path) -> None:
    """Two years show no season: what was learned of the house stands, and a note says what is missing."""
    found = learned(house(tmp_path / "a", months=24), DATE)
    assert found.price_season is None and not found.price_season_said
    assert any("the price history holds 24 months" in as_text(note) for note in found.notes)
    assert learned(make_site(tmp_path / "b"), DATE).price_season is None


def _prices_script(path: str) -> None:
    """Show the prices of one folder."""
    from datetime import date
    from pathlib import Path

    from fuelplan.pages.learn import page

    page.the_prices(page.learn_answer(Path(path), date(2020, 12, 1)))


def test_the_page_shows_the_months_with_their_bars(tmp_path: Path) -> None:
    """Sentences, a chart with a bar for each month, its words and its table; nothing without own prices."""
    folder = house(tmp_path / "a", crisis=True)
    page = AppTest.from_function(_prices_script, args=(str(folder),), default_timeout=60).run()
    assert not page.exception and len(page.get("vega_lite_chart")) == 1
    shown = " ".join(str(element.proto.body) for element in page.get("html"))
    found = learned(folder, DATE)
    season = found.price_season
    assert season is not None
    assert all(render(said) in shown for said in found.price_season_said)
    assert all(f"{share:.1%}" in shown for share in season.factor)
    rows = next(iter(json.loads(season_chart(season).to_json())["datasets"].values()))
    assert len(rows) == 24
    july = next(r for r in rows if r["month"] == "Jul" and r["which"] == "what orders go by")
    assert july["high"] == pytest.approx(100 * season.factor_p90[6])
    assert july["low"] == pytest.approx(100 * season.factor_p10[6])
    assert f"{min(season.factor):.1%}" in season_alt(season)
    plain = make_site(tmp_path / "b", changes=[DAY])
    empty = AppTest.from_function(_prices_script, args=(str(plain),), default_timeout=60).run()
    assert not empty.exception and not empty.get("html")
