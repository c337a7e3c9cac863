"""The letters of a table that comes from elsewhere: in what encoding it is written, and what is no text."""

from __future__ import annotations

import codecs
import re

from fuelplan.messages import Own, Refusal, message

HOME = {
    "cp1250": ("CZ", "SK", "PL", "HU", "SI", "HR", "RO", "BA", "AL"),
    "cp1251": ("BG", "MK", "RS", "UA", "BY"),
    "cp1253": ("GR", "CY"),
    "cp1254": ("TR",),
    "cp1257": ("LT", "LV", "EE"),
}
"""What spreadsheets on Windows write in a country; elsewhere as in Western Europe. Common practice."""
WESTERN = "cp1252"
ENCODINGS = ("utf-8", "utf-16", WESTERN, *HOME)
LONGEST_CELL = 2000
LOOKED_AT = 200_000  # bytes from which letters are guessed
SLACK = 0.1  # by which a guess may look more like noise than the best one, and still be believed
ODD = re.compile("[\u00a1-\u00a3\u00a5-\u00af\u00b1-\u00bf](?=[a-z\u00e0-\u024f])")
"""A sign before a small letter, as in "³ódź": read in the wrong letters."""
OTHER_FILES = (
    (b"%PDF", message("sheet.pdf", "a PDF")),
    (b"\xd0\xcf\x11\xe0", message("sheet.xls", "a spreadsheet of the old kind (.xls)")),
    (b"<", message("sheet.xml", "a web page or XML, whatever its name says")),
    (b"{\\rtf", message("sheet.rtf", "a text document")),
    (b"PAR1", message("sheet.parquet", "a Parquet file")),
)


class SheetError(Refusal):
    """A file that is no table of ours, and what to hand in instead."""


def decoded(content: bytes, country: str = "", encoding: str = "") -> tuple[str, str]:
    """Return the text of a file and the name of its encoding.

    Parameters
    ----------
    country
        Where the table comes from: decides between encodings that fit equally well.
    encoding
        One of :data:`ENCODINGS` where a person has said which; "" where it is to be found.

    Raises
    ------
    SheetError
        Where it is no text, or none in that encoding.
    """
    for start, what in OTHER_FILES:
        if content.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(start):
            raise SheetError.because(
                "sheet.another_kind", "this is {what}; save the sheet as CSV, .xlsx or .ods", what=what
            )
    wide = _wide(content)
    if encoding or wide:
        name = encoding or wide
        if name not in ENCODINGS and not wide:
            raise SheetError.because(
                "sheet.encoding", '"{name}" is not an encoding that is read; one of {encodings}',
                name=Own(name[:40]), encodings=Own(", ".join(ENCODINGS)),
            )  # fmt: skip
        try:
            return content.decode("utf-8-sig" if name == "utf-8" else name).removeprefix("\ufeff"), name
        except UnicodeError:
            raise SheetError.because(
                "sheet.not_in_encoding", "this is no text in {encoding}; choose another encoding",
                encoding=Own(name),
            ) from None  # fmt: skip
    if b"\x00" in content:
        raise SheetError.because("sheet.no_text", "this is no text; save the sheet as CSV, .xlsx or .ods")
    try:
        return content.decode("utf-8-sig"), "utf-8"
    except UnicodeDecodeError:
        found = guesses(content, country)
    if not found:
        raise SheetError.because(
            "sheet.unknown_letters",
            "its letters are of no encoding that is known here; save the table as UTF-8",
        )
    return content.decode(found[0]), found[0]


def guesses(content: bytes, country: str = "") -> tuple[str, ...]:
    """Return the encodings that a text of one byte a letter may be in and that make different texts of it,
    the likeliest first.

    Parameters
    ----------
    country
        Two letters, where the text comes from; "" where nobody knows.
    """
    from charset_normalizer import from_bytes

    home = next((name for name, where in HOME.items() if country[:2].upper() in where), WESTERN)
    names = [home, *(name for name in (WESTERN, *HOME) if name != home)]
    texts, noise = dict[str, str](), dict[str, float]()
    for name in names:
        try:
            texts[name] = content.decode(name)
        except UnicodeDecodeError:
            continue
        match = from_bytes(content[:LOOKED_AT], cp_isolation=[name], threshold=1.0).best()
        noise[name] = (1.0 if match is None else match.percent_chaos / 100) + bool(ODD.search(texts[name]))
    found: dict[str, str] = {}
    for name, text in texts.items():
        if noise[name] <= min(noise.values()) + SLACK:
            found.setdefault(text, name)
    return tuple(found.values())


def sample_of(content: bytes, encoding: str) -> str:
    """Return the first words of a text that hold a letter beyond A to Z, as an encoding reads them."""
    text = content.decode(encoding, errors="replace")
    found = re.search(r"[^\n;,\t]*[^\x00-\x7f][^\n;,\t]*", text)
    return found[0].strip()[:40] if found else ""


def _wide(content: bytes) -> str:
    """Return the encoding of a text of two bytes a letter; "" for any other."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    even, odd = content[:2000:2], content[1:2000:2]
    for name, zeros, letters in (("utf-16-le", odd, even), ("utf-16-be", even, odd)):
        if len(zeros) > 3 and zeros.count(0) > 0.8 * len(zeros) and letters.count(0) == 0:
            return name
    return ""
