"""Bounded reading of text files that people made: never a huge line, never a binary file, never a
surprise."""

from __future__ import annotations

import csv
import os
from collections.abc import Iterator
from pathlib import Path

from fuelplan import files
from fuelplan.messages import Fault, Message, Number, Own, message
from fuelplan.weather.sources.requests import WeatherFault

LONGEST_LINE = 20_000
LARGEST_FILE = 100_000_000
MOST_LINES = 1_000_000  # of hours, 114 years
UTF_16 = message("weather_file.is_utf_16", "this is text in UTF-16; save it as UTF-8")
KNOWN_KINDS = {
    b"PK\x03\x04": message(
        "weather_file.is_spreadsheet", "this is a spreadsheet or zip file; save the sheet as CSV"
    ),
    b"\xd0\xcf\x11\xe0": message(
        "weather_file.is_old_spreadsheet", "this is an old spreadsheet file; save the sheet as CSV"
    ),
    b"\x1f\x8b": message("weather_file.is_gzip", "this is a gzip file; unpack it first"),
    b"SQLite format 3": message("weather_file.is_database", "this is a database; write its table as CSV"),
    b"PAR1": message("weather_file.is_parquet", "this is a Parquet file; write it as CSV"),
    b"\xff\xfe": UTF_16,
    b"\xfe\xff": UTF_16,
}
NOT_TEXT = message("weather_file.not_text", "the file is not text; write the table as CSV")


def lines_of(path: Path, folder: Path | None = None) -> Iterator[tuple[int, str]]:
    """Yield line number and text of each line, without its end; blank lines and `#` remarks are left out.

    In a `folder` nothing is read that is a link or leads out of it; a file that a person names may lie
    anywhere.

    Raises
    ------
    WeatherFault
        If the file is missing, empty, binary, or has a line beyond reason; read in pieces, so that even a
        line of many megabytes takes no memory.
    """
    try:
        with files.open_file(path, folder=folder, anywhere=folder is None) as file:
            before = os.fstat(file.fileno())
            _refuse_what_is_no_text(path, file.read(4096), before.st_size)
            file.seek(0)
            number = 0
            while raw := file.readline(LONGEST_LINE + 2):
                number += 1
                if number > MOST_LINES:
                    raise _fault(path, number, _too_many_lines())
                if len(raw) > LONGEST_LINE + 1:
                    raise _fault(path, number, _line_too_long())
                if b"\0" in raw:
                    raise _fault(path, number, NOT_TEXT)
                text = _decoded(raw).rstrip("\r\n")
                if text.strip() and not text.startswith("#"):
                    yield number, text
            after = os.fstat(file.fileno())
            if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns):
                raise _fault(
                    path,
                    0,
                    message(
                        "weather_file.changed", "the file changed while it was read; try again in a moment"
                    ),
                )
    except files.NotAFile as error:
        said = message(
            "weather_file.not_a_file",
            "it cannot be read: {why}; give a CSV or EPW file",
            why=Own(str(error.strerror)),
        )
        raise _fault(path, 0, said) from None
    except OSError as error:
        said = message(
            "weather_file.unreadable",
            "the file cannot be read ({why}); check its name and rights",
            why=Own(str(error.strerror)),
        )
        raise _fault(path, 0, said) from None


def _fault(path: Path, line: int, said: Message) -> WeatherFault:
    return WeatherFault(path, [Fault(path.name, line or None, "", said)])


def _too_many_lines() -> Message:
    return message(
        "weather_file.too_many_lines",
        "the file has more than {most} lines; a century of hours has fewer: give a smaller one",
        most=MOST_LINES,
    )


def _line_too_long() -> Message:
    return message(
        "weather_file.line_too_long",
        "the line is longer than {most} characters, so this is no table; write one day or hour a line",
        most=LONGEST_LINE,
    )


def _decoded(raw: bytes) -> str:
    """Read UTF-8, with or without its mark; Latin-1 for files of older programs."""
    try:
        return raw.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError:
        return raw.decode("latin-1")


def _refuse_what_is_no_text(path: Path, head: bytes, size: int) -> None:
    if not head.strip():
        said = message("weather_file.empty", "the file is empty; give a header line and a line per day")
        raise _fault(path, 0, said)
    if size > LARGEST_FILE:
        said = message(
            "weather_file.too_large",
            "the file has {size} MB; a century of hours has less than 100: give a smaller one",
            size=Number(size / 1e6),
        )
        raise _fault(path, 0, said)
    for mark, kind in KNOWN_KINDS.items():
        if head.startswith(mark):
            raise _fault(path, 0, kind)
    if b"\0" in head:
        raise _fault(path, 0, NOT_TEXT)


def guess_separator(header: str) -> str:
    """Return the separator that cuts the header into most pieces: comma, semicolon or tab.

    Parameters
    ----------
    header
        The first line of a table.

    Returns
    -------
    str
        One character; a comma where none of the three is there.
    """
    return max(",;\t", key=header.count)


def cells(text: str, separator: str) -> list[str]:
    """Return the cells of one line, quotes and blanks taken off.

    Parameters
    ----------
    text
        One line of a file, without its end.
    separator
        One character.

    Returns
    -------
    list of str
        At least one; of an empty line an empty text.
    """
    if '"' not in text:
        return [cell.strip() for cell in text.split(separator)]
    try:
        return [cell.strip() for cell in next(csv.reader([text], delimiter=separator), [])]
    except csv.Error:  # a line end of old kind within the line
        return [cell.strip(' "\r') for cell in text.split(separator)]
