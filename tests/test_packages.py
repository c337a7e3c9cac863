"""The wheel and the source archive hold what they must, and every range of a package has two ends."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from tests import packages


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the project to build from."""
    return packages.copy_of_source(tmp_path_factory.mktemp("packages") / "source")


def test_the_wheel_holds_the_whole_package_and_nothing_else(source: Path, tmp_path: Path) -> None:
    """Every module and every file of data goes into the wheel; tests, demo folders and pictures stay out."""
    held = packages.wheel_holds(packages.build("wheel", source, tmp_path))
    assert held == packages.wheel_wanted(source)
    ends = {Path(name).suffix or Path(name).name for name in held}
    assert {".py", ".md", ".json", ".csv", ".toml", ".typ"} <= ends
    assert "fuelplan/py.typed" in held
    assert {name.split("/")[0] for name in held} == {"fuelplan"}


def test_the_source_archive_holds_the_whole_project(source: Path, tmp_path: Path) -> None:
    """Tests with their helpers, demo folders, documents and settings are in the source archive."""
    wanted = packages.files_of(source)
    assert packages.sdist_holds(packages.build("sdist", source, tmp_path)) == wanted
    assert {"tests/conftest.py", "demo_sites/family_house/site.toml", ".streamlit/config.toml"} <= wanted


def test_every_package_has_a_lowest_version() -> None:
    """Each package names the lowest version that works, so that it can be tried; see tests/packaging.py."""
    oldest = packages.bounds("oldest")
    assert len(oldest) > 15
    assert all(line.count("==") == 1 for line in oldest)
    text = (packages.ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert len(oldest) == len(tomllib.loads(text)["project"]["dependencies"])
