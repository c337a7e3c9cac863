"""The command line: documents on stdout, exit statuses, no traceback."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from fuelplan.cli import main
from tests.site_folders import make_site

DEMO = Path(__file__).parents[2] / "demo_sites" / "family_house"


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Exit status, stdout and stderr of one call."""
    with pytest.raises(SystemExit) as left:
        main(arguments)
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return int(left.value.code or 0), out, err


def document(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, Any]]:
    """Exit status and the one JSON document on stdout."""
    status, out, _ = run(capsys, *arguments, "--json")
    found: dict[str, Any] = json.loads(out)
    assert found["schema"] == 2
    return status, found


def test_order_holds_the_promised_keys(capsys: pytest.CaptureFixture[str]) -> None:
    """Every key of the contract is there, with units in its name and dates in ISO 8601."""
    status, found = document(capsys, "order", str(DEMO), "--as-of", "2026-01-15")
    assert status == 0
    promised = {
        "stocks", "use_kg", "run_out", "decision", "order", "risk_limit",
        "empty_risk_per_year", "next_orders",
        "cost", "currency",
        "horizon_days", "cautions", "warnings", "weather", "reproducible",
    }  # fmt: skip
    assert promised <= set(found)
    assert {"fuel", "kg", "p10_kg", "p90_kg", "usable_kg", "reading_age_days"} <= set(found["stocks"][0])
    assert {"fuel", "days", "p10", "p50", "p90"} <= set(found["use_kg"][0])
    assert {"fuel", "p02", "p10", "p50", "p90"} <= set(found["run_out"][0])
    assert {"fuel", "order_by", "deliver_from", "deliver_to", "amount_kg", "risk"} <= set(found["order"])
    assert {"source", "winters", "draws", "forecast_days", "attribution"} <= set(found["weather"])
    assert found["decision"] in {"wait", "order", "late"}
    assert found["order"]["order_by"].count("-") == 2
    assert found["weather"]["draws"] >= 1000
    assert len(found["next_orders"]) == 2
    assert found["stocks"][0]["reading_age_days"] == 12


def test_the_same_call_gives_the_same_bytes(capsys: pytest.CaptureFixture[str]) -> None:
    """Two calls in two processes print the same bytes."""
    call = [sys.executable, "-m", "fuelplan.cli", "order", str(DEMO), "--as-of", "2026-01-15", "--json"]
    first, second = (subprocess.run(call, capture_output=True, check=True).stdout for _ in range(2))
    assert first == second
    assert len(first) > 1000


def test_example_folders_answer_for_their_own_day(capsys: pytest.CaptureFixture[str]) -> None:
    """Without --as-of the demo answers for its example date, so that what is read about it stays true."""
    assert (
        document(capsys, "order", str(DEMO))[1]
        == document(capsys, "order", str(DEMO), "--as-of", "2026-01-15")[1]
    )


def test_order_for_people_says_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    """The text holds the sentence, the date, the odds in words and where the weather comes from; US units on
    request.
    """
    status, out, _ = run(capsys, "order", str(DEMO), "--as-of", "2026-01-15")
    assert status == 0
    for words in (
        "Order by",
        "about 1 in",
        "working" if "working" in out else "Delivery",
        "Invented weather",
        "boiler off",
    ):
        assert words in out
    assert " lb" in run(capsys, "order", str(DEMO), "--as-of", "2026-01-15", "--us")[1]


def test_exit_code_ten_when_an_order_is_due(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """`--exit-code` tells a script that it is time; without it the status is 0."""
    folder = str(make_site(tmp_path / "low", readings="date,reading,how\n2021-01-02,420 kg,measured\n"))
    assert run(capsys, "order", folder, "--as-of", "2021-01-03", "--exit-code")[0] == 10
    assert run(capsys, "order", folder, "--as-of", "2021-01-03")[0] == 0
    assert run(capsys, "order", str(DEMO), "--as-of", "2026-01-15", "--exit-code")[0] == 0


def test_check_shows_all_faults_with_lines(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Exit 2 with every fault, in text and in JSON; 0 and a plain line for a sound folder."""
    folder = make_site(
        tmp_path / "a",
        changes=[('capacity = "6 t"', 'capacity = "6 kW"')],
        readings="date,reading\n2020-11-01,x\n",
    )
    status, out, _ = run(capsys, "check", str(folder))
    assert status == 2
    assert "site.toml:" in out and "readings.csv:2:" in out
    status, found = document(capsys, "check", str(folder))
    assert status == 2
    assert [(f["file"], f["line"]) for f in found["faults"]] == [("readings.csv", 2), ("site.toml", 19)]
    status, out, _ = run(capsys, "check", str(DEMO))
    assert (status, "sound" in out) == (0, True)


def test_check_reads_the_weather_file_too(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A broken row of the weather file is a fault of the folder."""
    folder = make_site(tmp_path / "a")
    lines = (folder / "weather.csv").read_text().splitlines()
    lines[40] = "2000-02-23,12;3"
    (folder / "weather.csv").write_text("\n".join(lines))
    status, found = document(capsys, "check", str(folder))
    assert status == 2
    assert [(f["file"], f["line"]) for f in found["faults"]] == [("weather.csv", 41)]


def test_errors_are_documents_too(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A faulty folder, a bad date and bad usage each print an error document and exit with 2."""
    status, found = document(capsys, "order", str(tmp_path / "nowhere"))
    assert (status, found["error"]["kind"]) == (2, "site")
    assert found["error"]["faults"]
    status, found = document(capsys, "order", str(DEMO), "--as-of", "15.1.2026")
    assert (status, found["error"]["kind"]) == (2, "input")
    assert "2026-01-15" in found["error"]["message"]
    status, found = document(capsys, "order", str(DEMO), "--sed", "3")
    assert (status, found["error"]["kind"]) == (2, "usage")


def test_weather_that_cannot_be_had_exits_with_three(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a network and with an empty store of weather the status is 3, and what to do is said."""
    monkeypatch.setenv("FUELPLAN_WEATHER_STORE", str(tmp_path / "store.sqlite"))
    _cut_off(monkeypatch)
    changes = [
        ('source = "file"\nfile = "weather.csv"', 'source = "meteostat"'),
        ('country = "DE"', 'country = "DE"\nlatitude = 50.0\nlongitude = 8.6'),
    ]
    folder = make_site(tmp_path / "a", changes=changes)
    status, found = document(capsys, "order", str(folder), "--as-of", "2020-12-05")
    assert (status, found["error"]["kind"]) == (3, "weather")


def _cut_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """Refuse every connection, as a machine without a network does."""
    import socket

    def refused(*_: object, **__: object) -> None:
        raise OSError(101, "Network is unreachable")

    monkeypatch.setattr(socket, "create_connection", refused)
    monkeypatch.setattr(socket, "getaddrinfo", refused)


def test_degree_days_of_a_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Three days by hand: base 15.5 °C at 5.5, 15.5 and 20 °C is 10 K·d; 18 °F in Fahrenheit's degrees."""
    file = tmp_path / "w.csv"
    file.write_text("date,mean_c\n2020-01-01,5.5\n2020-01-02,15.5\n2020-02-01,20\n")
    status, found = document(capsys, "degree-days", str(file), "--by", "month")
    assert status == 0
    assert found["total"] == pytest.approx(10.0)
    assert found["method"] == "daily-mean"
    assert [r["period"] for r in found["rows"]] == ["2020-01", "2020-02"]
    assert found["missing_days"] == 29  # days of the record without a value never count as warm
    status, found = document(capsys, "degree-days", str(file), "--base", "59.9", "--unit", "degF")
    assert found["total"] == pytest.approx(18.0)
    assert document(capsys, "degree-days", str(file), "--method", "nonsense")[0] == 2
    assert document(capsys, "degree-days", str(tmp_path / "none.csv"))[0] == 2
    assert "daily-mean" in run(capsys, "degree-days", "x", "--method", "list")[1]


def test_help_needs_nothing_heavy() -> None:
    """`--help` imports neither numpy nor pandas, which is what keeps it quick."""
    code = (
        "import sys\nfrom fuelplan.cli import main\n"
        "try:\n main(['--help'])\nexcept SystemExit:\n pass\n"
        "heavy = {'numpy', 'pandas', 'pydantic', 'statsmodels', 'streamlit', 'pint', 'scipy'} & "
        "set(sys.modules)\n"
        "sys.exit(f'imported {heavy}' if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "order" in done.stdout


def test_order_needs_no_statistics_library() -> None:
    """The way to an order date loads neither statsmodels nor scipy, pandas, streamlit or meteostat."""
    code = (
        "import sys\nfrom fuelplan.cli import main\n"
        f"try:\n main(['order', {str(DEMO)!r}, '--json'])\nexcept SystemExit as left:\n assert not "
        "left.code, left.code\n"
        "heavy = {'pandas', 'statsmodels', 'streamlit', 'meteostat', 'pyvrp', 'numba'} & set(sys.modules)\n"
        # pint asks for the bare package, which is cheap; what costs are the parts of it
        "heavy |= {f'scipy.{part}' for part in __import__('scipy').__all__} & set(sys.modules)\n"
        "sys.exit(f'imported {heavy}' if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_demo_folder_is_what_its_generator_writes(tmp_path: Path) -> None:
    """The committed demo folder is made by the seeded generator, byte for byte."""
    from tests.demo_folders.__main__ import FOLDERS
    from tests.demo_folders.__main__ import main as make

    assert make([str(tmp_path)]) == 0
    for name in FOLDERS:
        committed = DEMO.parent / name
        for file in sorted(p.name for p in (tmp_path / name).iterdir()):
            assert (tmp_path / name / file).read_bytes() == (committed / file).read_bytes(), f"{name}/{file}"
        assert {p.name for p in committed.iterdir() if not p.name.startswith(".")} == {
            p.name for p in (tmp_path / name).iterdir()
        }


def test_a_copy_of_the_demo_elsewhere_answers_the_same(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Nothing in a folder depends on where it lies."""
    shutil.copytree(DEMO, tmp_path / "moved")
    assert document(capsys, "order", str(tmp_path / "moved")) == document(capsys, "order", str(DEMO))
