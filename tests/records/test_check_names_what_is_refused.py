"""`check` calls no folder sound that order, learn or size then refuse: each fault is named at its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from fuelplan import answers
from tests.site_folders import make_site

LOG_BOILER = (
    ("[boiler]\n", '[boiler]\nkind = "logs and pellets"\nrated = "20 kW"\n'),
    ("[store]\n", '[logs]\nwood = "beech"\nwater = "18 % wet"\nload = "30 kg"\n'
     '[buffer]\nvolume = "1500 litre"\n[store]\n'),
)  # fmt: skip
DELIVERED = "fuel,ordered_on,ordered,delivered_on,delivered\n"
READ = "date,reading,how,fuel\n2020-11-01,4 t,measured,pellets\n"


@dataclass(frozen=True)
class Case:
    """What is wrong in a folder, and where `check` must say so."""

    file: str
    line: int | None
    key: str
    said: str
    toml: str = ""
    files: Mapping[str, str] = field(default_factory=dict)
    changes: tuple[tuple[str, str], ...] = ()


CASES = {
    **{
        f"logs: delivered in {word}": Case(
            "deliveries.csv", 2, "delivered", "logs are bought in",
            files={"deliveries.csv": f"{DELIVERED}logs,,,2020-10-02,{amount}\n"}, changes=changes,
        )
        for word, amount, changes in (("bags", "10 bags", LOG_BOILER), ("bags, not burned", "10 bags", ()),
                                      ("per cent", "60 %", LOG_BOILER))
    },
    "logs: ordered in bags": Case(
        "deliveries.csv", 2, "ordered", "logs are bought in",
        files={"deliveries.csv": f"{DELIVERED}logs,2020-10-02,10 bags,,\n"}, changes=LOG_BOILER,
    ),
    **{
        f"logs: read as {reading}{how}": Case(
            "readings.csv", 3, "reading", said,
            files={"readings.csv": f"{READ}2020-11-02,{reading},{how},logs\n"}, changes=LOG_BOILER,
        )
        for reading, how, said in (
            ("60 %", "", "logs are bought in"), ("60 cm from top", "", "logs are bought in"),
            ("600 kWh", "", "logs are bought in"), ("6 bags", "", "logs are bought in"),
            ("full", "", "how much lies there"), ("2 stacked m3", "boiler counter", "sees no stack"),
        )
    },
}  # fmt: skip


@pytest.mark.parametrize("name", list(CASES))
def test_what_an_answer_would_refuse_is_a_fault_at_its_place(name: str, tmp_path: Path) -> None:
    """With file, line and key, and so for whoever asks for an answer of that folder."""
    case = CASES[name]
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30, changes=case.changes)
    toml = folder / "site.toml"
    toml.write_text(toml.read_text() + case.toml)
    for file, text in case.files.items():
        (folder / file).write_text(text)
    _, faults = answers.check_folder(folder)
    assert [(f.file, f.line, f.key) for f in faults] == [(case.file, case.line, case.key)]
    assert case.said in faults[0].message
    with pytest.raises(answers.SiteFaults):
        answers.open_site(folder)
