"""`python -m tests.forecast_check FILE`: the coverage table of a weather file."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from fuelplan.weather import Place, TooLittleWeather, WeatherTooThin, fill_gaps
from fuelplan.weather.sources import FileRequest, WeatherFault, load
from tests.forecast_check import by_year, check_record, in_plain_words, table


def _say(text: str) -> None:
    """Show progress beside the result."""
    sys.stderr.write(text + "\n")


def main(arguments: list[str] | None = None) -> int:
    """Print the table; return 0, or 2 for a file that cannot be used."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.forecast_check",
        description="Hold back each year of a weather file and see whether its degree-days lie in "
        "the band drawn "
        "from the other years.",
    )
    parser.add_argument(
        "file", type=Path, help="CSV with date and mean_c (or min_c and max_c), or time and temp_c"
    )
    parser.add_argument(
        "--column", action="append", default=[], metavar="OURS=THEIRS", help="e.g. min_c=temp_min"
    )
    parser.add_argument("--unit", default="degC", help="degC, degF or K")
    parser.add_argument("--time-zone", default="UTC", help="of hourly files, e.g. Europe/Zurich")
    parser.add_argument("--base", type=float, default=15.5, help="base temperature in degC")
    parser.add_argument("--every", type=int, default=1, help="start a window every so many days")
    parser.add_argument("--seed", type=int, default=0)
    chosen = parser.parse_args(arguments)
    columns = dict(pair.split("=", 1) for pair in chosen.column if "=" in pair)
    try:
        request = FileRequest(chosen.file, columns or None, chosen.unit)
        loaded = load(request, Place(time_zone=chosen.time_zone))
        weather = loaded.weather if loaded.weather.reference_year else fill_gaps(loaded.weather)[0]
        if weather.reference_year:
            raise TooLittleWeather(
                "a reference year has no real years to hold back; give a file of several real years"
            )
        found = check_record(
            weather, base_c=chosen.base, every_days=chosen.every, seed=chosen.seed,
            progress=_say,
        )  # fmt: skip
    except (WeatherFault, WeatherTooThin, TooLittleWeather) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    lines = [
        f"Degree-days of base {chosen.base:g} °C, every year held back in turn (start every "
        f"{chosen.every} d, heating "
        "season only)",
        *map(str, (*loaded.notes, *found.notes)), "",
        table(found), "", by_year(found), "", in_plain_words(found),
    ]  # fmt: skip
    sys.stdout.write("\n".join(lines) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
