"""What a folder would be with another `site.toml`, before that is kept."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from fuelplan.records.folder import folder_files, write_bytes
from fuelplan.records.schema import SITE_FILE
from fuelplan.records.site.checks import check_folder
from fuelplan.records.tables import Fault


def faults_with(folder: Path, text: str) -> list[Fault]:
    """Return the faults that the folder would have with this `site.toml` and does not have now."""
    _, before = check_folder(folder)
    known = {(f.file, f.key, f.said) for f in before}
    place = Path(tempfile.mkdtemp(prefix="fuelplan-trial-"))
    try:
        trial = place / folder.name
        trial.mkdir()
        for name, content in {**folder_files(folder), SITE_FILE: text.encode("utf-8")}.items():
            write_bytes(trial / name, content)
        _, faults = check_folder(trial)
    finally:
        shutil.rmtree(place, ignore_errors=True)
    return [f for f in faults if (f.file, f.key, f.said) not in known]
