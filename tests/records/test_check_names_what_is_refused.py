"""`check` calls no folder sound that order, learn or size then refuse: each fault is named at its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from fuelplan import answers
from tests.site_folders import make_site

PRICE = 'price = "300 EUR/t"\n'
HISTORY = ((PRICE, PRICE + 'price_history = "prices.csv"\n'),)
YEARS = "date,price_per_t\n" + "".join(
    f"{year}-{month:02d}-01,{300 + month}\n" for year in range(2014, 2020) for month in range(1, 13)
)
LOG_BOILER = (
    ("[boiler]\n", '[boiler]\nkind = "logs and pellets"\nrated = "20 kW"\n'),
    ("[store]\n", '[logs]\nwood = "beech"\nwater = "18 % wet"\nload = "20 kg"\n'
     '[buffer]\nvolume = "1500 litre"\n[store]\n'),
)  # fmt: skip
DELIVERED = "fuel,ordered_on,ordered,delivered_on,delivered\n"
READ = "date,reading,how,fuel\n2020-11-01,4 t,measured,pellets\n"


def offer(prices: str = 'from = "2 t", price = "300 EUR/t"', more: str = "", name: str = "Mill") -> str:
    """An offer as `site.toml` has it."""
    return f'[[offer]]\nsupplier = "{name}"\nprices = [{{{prices}}}]\n{more}'


def heat_price(more: str, fuel: str = "heating oil", name: str = "oil") -> str:
    """A price to compare as `site.toml` has it."""
    return f'[[fuel_price]]\nname = "{name}"\nfuel = "{fuel}"\n{more}\n'


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


def _history(text: str, line: int | None, said: str, file: str = "prices.csv") -> Case:
    return Case(file, line, "", said, files={"prices.csv": text}, changes=HISTORY)


CASES = {
    "history: first line": _history("day,price\n2020-01-01,3\n", 1, "first line must be"),
    "history: row": _history(YEARS + "2020-13-01,x\n", 74, "not a valid date"),
    "history: price": _history(YEARS + "2020-01-01,-5\n", 74, "not a valid price"),
    "history: short": _history("date,price_per_t\n2020-01-01,300\n", None, "the price history holds 1 month"),
    "history: empty": _history("", None, "the price history is empty"),
    "history: binary": _history("\x00", None, "binary file"),
    "offer: two moneys": Case(
        "site.toml", 26, "offer.0", "prices in EUR and USD",
        offer('from = "2 t", price = "300 EUR/t"}, {from = "4 t", price = "290 USD/t"'),
    ),
    "offers: two moneys": Case(
        "site.toml", 29, "offer.1", "EUR and USD",
        offer() + offer('from = "2 t", price = "300 USD/t"', name="Other"),
    ),
    "offer: brackets fall": Case(
        "site.toml", 26, "offer.0", "must rise",
        offer('from = "4 t", price = "300 EUR/t"}, {from = "2 t", price = "290 EUR/t"'),
    ),
    "offer: for nothing": Case(
        "site.toml", 26, "offer.0", "above zero", offer('from = "2 t", price = "0 EUR/t"')
    ),
    "price: for nothing": Case(
        "site.toml", 25, "supply.price", "above zero", changes=((PRICE, 'price = "0 EUR/t"\n'),)
    ),
    "offer: all of it tax": Case("site.toml", 26, "offer.0", "VAT", offer(more='vat = "100 %"\n')),
    "offer: ends before it begins": Case(
        "site.toml", 26, "offer.0", "validity",
        offer(more="valid_from = 2021-01-01\nvalid_until = 2020-01-01\n"),
    ),
    "offer: delivers before it begins": Case(
        "site.toml", 26, "offer.0", "delivery weeks",
        offer(more="deliver_from = 2021-01-01\ndeliver_until = 2020-01-01\n"),
    ),
    "offer: tax of nowhere": Case(
        "site.toml", 26, "offer.0", "VAT", offer(more="with_vat = false\n"),
        changes=(('country = "DE"\n', 'country = "BR"\n'),),
    ),
    "offer: largest drop too small": Case(
        "site.toml", 26, "offer.0", "no offer serves", offer(more='largest = "1 t"\n')
    ),
    "offer: smallest drop too large": Case(
        "site.toml", 26, "offer.0", "no offer serves", offer('from = "20 t", price = "300 EUR/t"')
    ),
    "neighbour: nothing": Case(
        "site.toml", 26, "supply.neighbour", "neighbour",
        changes=((PRICE, f'{PRICE}neighbour = "0 kg"\n'),),
    ),
    "heat price: unit": Case(
        "site.toml", 26, "fuel_price.0", "per litre", heat_price('price = "1 EUR/kWh"\nefficiency = 0.9')
    ),
    "heat price: efficiency": Case(
        "site.toml", 26, "fuel_price.0", "efficiency", heat_price('price = "1 EUR/litre"')
    ),
    "heat price: wood": Case(
        "site.toml", 26, "fuel_price.0", "wood and water",
        heat_price('price = "90 EUR/stacked m3"', fuel="logs"),
    ),
    "heat prices: two moneys": Case(
        "site.toml", 31, "fuel_price.1", "EUR and USD",
        heat_price('price = "1 EUR/litre"\nefficiency = 0.9')
        + heat_price('price = "0.3 USD/kWh"\nefficiency = 1', fuel="electricity", name="heater"),
    ),
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
    """With file, line and key. What is wrong with prices alone hinders no learning."""
    case = CASES[name]
    folder = make_site(tmp_path / "house", mean_c=[3.0] * 30, changes=case.changes)
    toml = folder / "site.toml"
    toml.write_text(toml.read_text() + case.toml)
    for file, text in case.files.items():
        (folder / file).write_text(text)
    _, faults = answers.check_folder(folder)
    assert [(f.file, f.line, f.key) for f in faults] == [(case.file, case.line, case.key)]
    assert case.said in faults[0].message
    if name.startswith("logs"):
        with pytest.raises(answers.SiteFaults):
            answers.open_site(folder)
    else:
        assert answers.open_site(folder).name == "Test house"
