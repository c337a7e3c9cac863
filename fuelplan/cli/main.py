"""The verbs of the command line. Each imports its own work when it runs, so that `--help` stays quick."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import click

from fuelplan import __version__
from fuelplan.cli.outcome import REFETCH, reader_of, report_errors
from fuelplan.units import written_for

if TYPE_CHECKING:
    from fuelplan.messages import Message

US = "--us"
MOST_MOVES = 1_000_000_000  # some days of search
CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 110}


class Said(click.ParamType):  # type: ignore[type-arg, unused-ignore]
    """A number within bounds that are said in words of the trade; "nan" is none."""

    def __init__(self, bounds: Any, said: Callable[[], Message]) -> None:
        """Keep the bounds, and what gives the words of what to write."""
        self.bounds, self.said, self.name = bounds, said, bounds.name

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the number, or tell the bounds."""
        try:
            number = self.bounds.convert(value, param, ctx)
        except click.BadParameter:
            number = float("nan")
        if number != number:
            from fuelplan.messages import Own, message, render

            said = message(
                "cli.cannot_be", '"{written}" cannot be; write {bounds}',
                written=Own(str(value)), bounds=self.said(),
            )  # fmt: skip
            self.fail(render(said), param, ctx)
        return number


def _days() -> Message:
    from fuelplan.messages import message

    return message("cli.days", "1 to 15 working days")


def _seconds() -> Message:
    from fuelplan.messages import message

    return message("cli.seconds", "seconds above 0, up to a day")


def _bases() -> Message:
    from fuelplan.messages import message

    return message("cli.bases", "-60 to 130, e.g. 15.5 with --unit degC or 65 with --unit degF")


PLANNED = Said(click.IntRange(1, 15), _days)
SEARCHED = Said(click.FloatRange(0.001, 86_400), _seconds)
BASES = Said(click.FloatRange(-60, 130), _bases)


class Verbs(click.Group):
    """Lists the verbs in the order a person needs them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the verbs in the order they were added."""
        return list(self.commands)


@click.group(cls=Verbs, context_settings=CONTEXT)
@click.version_option(__version__, prog_name="fuelplan")
def fuelplan() -> None:
    """When to order pellets and logs, how much, and how big a store: from weather data to a date with its
    risk.
    """


as_of_option = click.option(
    "--as-of", metavar="DATE", help="Answer as on the evening of this day, e.g. 2026-01-15. Default: today."
)
seed_option = click.option(
    "--seed", type=click.IntRange(0, 2**31 - 1), default=1, show_default=True, help="Seed of the draws."
)
refetch_option = click.option(
    "--refetch",
    is_flag=True,
    expose_value=False,
    callback=lambda context, _, given: context.meta.update({REFETCH: given}),
    help="Fetch station weather anew, all of it, in the place of what is stored.",
)
workers_option = click.option(
    "--workers", type=click.IntRange(1, 64), help="Let so many processes of this machine do the work."
)
scheduler_option = click.option(
    "--scheduler", metavar="ADDRESS", help="Let the workers of this dask scheduler do it: tcp://HOST:PORT."
)
us_option = click.option(
    US,
    is_flag=True,
    expose_value=False,
    help="Pounds, feet and degrees Fahrenheit; the month before the day.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")


@fuelplan.command()
@click.argument("path", metavar="FOLDER")
@json_option
def check(path: str, as_json: bool) -> int:
    """Is the folder of a site or a round sound? Shows all faults at once, with their lines."""
    from fuelplan.cli.check import run

    return run(path, as_json)


@fuelplan.command()
@click.argument("path", metavar="SITE")
@as_of_option
@seed_option
@json_option
@click.option("--exit-code", is_flag=True, help="Exit with 10 when an order is due.")
@us_option
@click.option("--since", metavar="DATE", help="Also say what changed since the answer of that day, and why.")
@refetch_option
def order(path: str, as_of: str | None, seed: int, as_json: bool, exit_code: bool, since: str | None) -> int:
    """When do I order, and how much?"""
    from fuelplan.cli.order import run

    return run(path, as_of, seed, as_json, exit_code, since)


@fuelplan.command()
@click.argument("path", metavar="SITE")
@click.argument("amount", required=False)
@click.option("--came", is_flag=True, help="It came, or was cut; left out: it is what lies there.")
@click.option("--on", metavar="DATE", help="The day; left out: today.")
@click.option("--fuel", default="", metavar="FUEL", help="Left out: pellets; with --stack, logs.")
@click.option("--stack", default="", metavar="NAME", help="Of logs: which stack, by its name.")
@click.option("--wood", default="", metavar="KIND", help="Of logs that came; left out: that of the stack.")
@click.option("--water", default="", metavar="SHARE", help='Of logs: "18 % wet", "22 % dry" or "green".')
@click.option("--buffer", "of_buffer", is_flag=True, help='Of the buffer: "66 58 50" in °C, top first.')
@click.option("--at", "clock", metavar="TIME", help='Of the buffer: when, as "18:30"; left out: 18:00.')
@click.option("--how", default="", metavar="HOW", help='How it was seen: "measured", "by eye", …')
@click.option("--note", default="", metavar="TEXT", help="Anything worth knowing.")
@click.option("--undo", is_flag=True, help="Take the last change of the folder back.")
@json_option
def note(path: str, amount: str | None, as_json: bool, **given: Any) -> int:
    """Note what lies in the store or a stack, or what came: "4 stacked m3" --stack NAME."""
    from fuelplan.cli.note import NoteGiven, run

    return run(path, amount, as_json, NoteGiven(**given))


@fuelplan.command()
@click.argument("path", metavar="SITE")
@as_of_option
@seed_option
@json_option
@us_option
@refetch_option
def learn(path: str, as_of: str | None, seed: int, as_json: bool) -> int:
    """What does the building really burn? Learned from deliveries and readings."""
    from fuelplan.cli.learn import run

    return run(path, as_of, seed, as_json)


@fuelplan.command()
@click.argument("path", metavar="SITE")
@as_of_option
@seed_option
@json_option
@click.option(
    "--cellar",
    metavar="SIZES",
    help='Is this room enough, and which floor serves best? E.g. "2.1 x 2.6 x 2.2 m".',
)
@us_option
@refetch_option
def size(path: str, as_of: str | None, seed: int, as_json: bool, cellar: str | None) -> int:
    """How big a store, day hopper and buffer?"""
    from fuelplan.cli.size import run

    return run(path, as_of, seed, as_json, cellar)


@fuelplan.command()
@click.argument("path", metavar="SITE")
@as_of_option
@seed_option
@json_option
@click.option("--pdf", metavar="FILE", required=True, help="Where to write the report.")
@click.option("--cellar", metavar="SIZES", help='A room to try, e.g. "2.1 x 2.6 x 2.2 m".')
@us_option
@refetch_option
def report(path: str, as_of: str | None, seed: int, as_json: bool, pdf: str, cellar: str | None) -> int:
    """The answer on size as a PDF to hand on."""
    from fuelplan.cli.report import run

    return run(path, as_of, seed, as_json, pdf, cellar)


@fuelplan.command("import")
@click.argument("path", metavar="ROUND")
@click.argument("file", metavar="FILE")
@click.option(
    "--as",
    "kind",
    required=True,
    help="What it holds.",
    type=click.Choice(["customers", "deliveries", "readings", "orders"]),
)
@click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="OURS=YOURS",
    help='Which column of yours becomes ours, and how it is written: "name=Kunde", "kg=Menge [t]", '
    '"date=Tag [%d.%m.%Y]", "contract=Art [B=top-up; A=on request]".',
)
@click.option(
    "--encoding", metavar="NAME", help='Of a CSV file whose letters come out wrong: "cp1250", "utf-8", …'
)
@click.option("--preview", is_flag=True, help="Show what would be added; write nothing.")
@click.option("--sound-only", is_flag=True, help="Leave faulty rows out instead of refusing the file.")
@click.option("--instead", is_flag=True, help="In the place of the round's file; the old one is kept.")
@json_option
def import_command(path: str, file: str, as_json: bool, **given: Any) -> int:
    """Take a spreadsheet of yours, saved as CSV, into a round."""
    from fuelplan.cli.import_command import ImportAsked, run

    return run(path, file, as_json, ImportAsked(**given))


@fuelplan.command()
@click.argument("path", metavar="ROUND")
@as_of_option
@seed_option
@json_option
@click.option(
    "--days", type=click.IntRange(1, 730), default=90, show_default=True, help="How many days to look ahead."
)
@us_option
@click.option("--out", metavar="FILE", help="Write the customers to this .csv or .parquet file.")
@click.option("--sound-only", is_flag=True, help="Leave faulty rows out instead of refusing the folder.")
@workers_option
@scheduler_option
@refetch_option
def outlook(
    path: str, as_of: str | None, seed: int, as_json: bool, days: int, out: str | None, sound_only: bool,
    workers: int | None, scheduler: str | None,
) -> int:  # fmt: skip
    """When do a supplier's customers run out, and how many tonnes a week will that be?"""
    from fuelplan.cli.outlook import run

    return run(path, as_of, seed, as_json, days, out, sound_only, workers, scheduler)


@fuelplan.command()
@click.argument("path", metavar="ROUND")
@as_of_option
@seed_option
@json_option
@click.option("--days", type=PLANNED, help="Working days to plan, 1 to 15; left out: as round.toml says.")
@click.option(
    "--moves", type=click.IntRange(0, MOST_MOVES), help="Budget of the search: the same plan every time."
)
@click.option("--seconds", type=SEARCHED, help="Budget of the search in seconds instead.")
@click.option(
    "--publish",
    type=click.IntRange(0, 15),
    default=0,
    metavar="DAYS",
    help="Keep the first so many days, up to 15, as published.",
)
@click.option("--plan", metavar="TOKEN", help='Publish only this plan: the "plan" of its --json.')
@click.option("--by", metavar="NAME", help="Who publishes or asks for something; default: your login name.")
@click.option(
    "--happened", multiple=True, metavar="WHAT", help='Such as "tanker out: NAME" or "slow roads: 2".'
)
@click.option("--pin", multiple=True, metavar="CUSTOMER:DATE[:TANKER]", help="Serve a customer on that day.")
@click.option("--move", multiple=True, metavar="CUSTOMER:DATE", help="Serve a customer on another day.")
@click.option("--forbid", multiple=True, metavar="CUSTOMER[:DATE]", help="Do not serve a customer then.")
@click.option(
    "--take-back",
    multiple=True,
    metavar="NAME",
    help='Take out what was noted before, by the name that the plan lists: "wish 2-1f0c9b".',
)
@us_option
@click.option("--pdf", metavar="FILE", help="Write the run sheets.")
@click.option("--csv", metavar="FILE", help="Write the stops as a table.")
@click.option("--geojson", metavar="FILE", help="Write the routes for a map.")
@click.option("--calendar", metavar="FILE", help="Write the runs as a calendar file.")
@click.option("--sound-only", is_flag=True, help="Leave faulty rows out instead of refusing the folder.")
@click.option("--by-depot", is_flag=True, help="Plan each depot by itself, with the customers nearest to it.")
@workers_option
@scheduler_option
@refetch_option
def runs(path: str, as_of: str | None, seed: int, as_json: bool, **given: Any) -> int:
    """Which customers on which day, how much, on which tanker, in which order?"""
    from fuelplan.cli.runs import RunsAsked, run

    wishes = [(w, text) for w in ("pin", "move", "forbid") for text in given[w]]
    files = {kind: given[kind] for kind in ("pdf", "csv", "geojson", "calendar")}
    asked = RunsAsked(
        given["days"], given["moves"], given["seconds"], given["publish"], files, given["happened"], wishes,
        given["sound_only"], given["by_depot"], given["workers"], given["scheduler"],
        take_back=given["take_back"], by=given["by"], plan=given["plan"],
    )  # fmt: skip
    return run(path, as_of, seed, as_json, asked)


@fuelplan.command()
@click.argument("path", metavar="ROUND")
@as_of_option
@seed_option
@json_option
@click.option(
    "--winters",
    type=click.IntRange(2, 60),
    default=10,
    show_default=True,
    help="How many past heating years to play.",
)
@us_option
@click.option("--iterations", type=click.IntRange(1, MOST_MOVES), help="Moves of each evening's search.")
@click.option(
    "--workers", type=click.IntRange(1, 64), default=2, show_default=True, help="Winters played at a time."
)
@scheduler_option
@refetch_option
def replay(
    path: str, as_of: str | None, seed: int, as_json: bool, winters: int, iterations: int | None,
    workers: int, scheduler: str | None,
) -> int:  # fmt: skip
    """What would planning have saved, played over past winters beside two simple rules?"""
    from fuelplan.cli.replay import run

    return run(path, as_of, seed, as_json, winters, iterations, workers, scheduler)


@fuelplan.command("degree-days")
@click.argument("path", metavar="FILE")
@click.option("--base", type=BASES, default=15.5, show_default=True, help="Base temperature.")
@click.option(
    "--unit",
    type=click.Choice(["degC", "degF"]),
    default="degC",
    show_default=True,
    help="Unit of base and result.",
)
@click.option(
    "--method",
    default="daily-mean",
    show_default=True,
    help="How degree-days are counted; `--method list` shows all.",
)
@click.option(
    "--by",
    type=click.Choice(["day", "month", "year"]),
    default="year",
    show_default=True,
    help="Rows to print.",
)
@json_option
def degree_days(path: str, base: float, unit: str, method: str, by: str, as_json: bool) -> int:
    """Degree-days of a weather file (CSV or EPW)."""
    from fuelplan.cli.degree_days import run

    return run(path, base, unit, method, by, as_json)


@fuelplan.command()
@click.argument("path", metavar="[PATH]", required=False)
@click.option(
    "--port", type=click.IntRange(1, 65535), default=8501, show_default=True, help="Port on this machine."
)
def app(path: str | None, port: int) -> int:
    """Open the dashboard in the browser, for this machine only."""
    from fuelplan.cli.app import run

    return run(path, port)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit status."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    as_json = "--json" in given

    def act() -> int:
        try:
            status: Any = fuelplan.main(given, prog_name="fuelplan", standalone_mode=False)
        except click.UsageError as error:
            if not as_json and error.ctx is not None:
                click.echo(error.ctx.get_usage(), err=True)
            raise
        return int(status or 0)

    with written_for(reader_of(US in given)):
        sys.exit(report_errors(act, as_json=as_json))
