"""The project as it is handed out: the wheel and the source archive, and what they must hold."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

ROOT = Path(__file__).parent.parent
FOLDERS = (".ci", ".streamlit", "demo_sites", "fuelplan", "tests")
FILES = (".gitignore", "DEVELOPERS.md", "README.md", "app.py", "pyproject.toml")
LEFTOVERS = ("__pycache__", "*.py[cod]", "*.nb[ic]", ".fuelplan*", "*.egg-info")
PICTURES = ".png"  # shown by the README, not by the program


def copy_of_source(to: Path) -> Path:
    """Copy the project, so that building leaves nothing behind in it; return the copy."""
    to.mkdir(parents=True)
    for name in FOLDERS:
        shutil.copytree(ROOT / name, to / name, ignore=shutil.ignore_patterns(*LEFTOVERS))
    for name in FILES:
        shutil.copy(ROOT / name, to / name)
    return to


def build(kind: str, source: Path, to: Path) -> Path:
    """Build the "wheel" or the "sdist" with the hatchling that is installed here; needs no network."""
    to.mkdir(parents=True, exist_ok=True)
    code = f"import sys; from hatchling import build; print(build.build_{kind}(sys.argv[1]))"
    done = subprocess.run(
        [sys.executable, "-c", code, str(to)], cwd=source, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise RuntimeError(f"the {kind} cannot be built:\n{done.stdout[-1500:]}{done.stderr[-1500:]}")
    return to / done.stdout.strip().splitlines()[-1]


def files_of(folder: Path) -> set[str]:
    """Return the files below a folder by their path from it."""
    return {str(file.relative_to(folder).as_posix()) for file in folder.rglob("*") if file.is_file()}


def wheel_holds(wheel: Path) -> set[str]:
    """Return the names in a wheel, but for its own records."""
    with zipfile.ZipFile(wheel) as archive:
        return {name for name in archive.namelist() if ".dist-info/" not in name}


def wheel_wanted(source: Path) -> set[str]:
    """Return what the wheel must hold: every file of the package but the README's pictures."""
    return {f"fuelplan/{name}" for name in files_of(source / "fuelplan") if not name.endswith(PICTURES)}


def sdist_holds(sdist: Path) -> set[str]:
    """Return the names in a source archive, but for the record that is added."""
    with tarfile.open(sdist) as archive:
        names = {member.name.split("/", 1)[1] for member in archive.getmembers() if member.isfile()}
    return names - {"PKG-INFO"}


def bounds(end: str) -> list[str]:
    """Return the packages that the project runs on, at the "oldest" version it allows or as "newest"."""
    from packaging.requirements import Requirement

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    found = []
    for text in project["dependencies"]:
        wanted = Requirement(text)
        lowest = [part.version for part in wanted.specifier if part.operator in {">=", "==", "~="}]
        if len(lowest) != 1:
            raise ValueError(f"{text}: a range needs one lower end")
        found.append(f"{wanted.name}=={lowest[0]}" if end == "oldest" else wanted.name)
    return found
