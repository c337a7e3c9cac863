"""Valid files made odd: what careless hands, odd programs, broken disks and malice do to a file."""

from __future__ import annotations

import io
import re
import zipfile

from hypothesis import strategies as st

ODD_CELLS = (
    "", " ", "nan", "inf", "-inf", "1e999", "-0", "9" * 400, "9" * 5000, "0x10", "1_000", "1,5", "1.000,5",
    "٣", "½", "²", "=1+1", "@SUM(A1)", "'", '"', '""', "A1;;A2", "2026-02-30", "0000-00-00", "0001-01-01",
    "9999-12-31",
    "99999-01-01", "2026-01-04T25:00", "24:00", "true", "full", "K-01", "K-99", "12 kg", "3 t", "7 kWh",
    "-5 %",
    "1e308 t", "5 cords", "9**9**9 t", "\x0b", "\x1b[31m", "\u2028", "\ufeff", "\u202e", "🔥",
    "a\nb", "a\rb",
    "<b>x</b>", "../../etc/passwd", "%s%n{0}", "x" * 12_000, "Mon;Mon", "1 in 0", "100 cm from top", "empty",
    "2026-01-04+99:99", "1970-01-01T00:00:00Z", "99.9", "1e-320", "NaT", "None", "-1",
)  # fmt: skip
ODD_PIECES = (
    b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"\x80", b"\xc3", b"\r", b"\n", b"\r\n", b"\n\n\n", b'"', b"'",
    b",", b";", b"\t", b"#", b"=", b"[", b"]", b"[[", b"{", b"'''", b'"""', b"[" * 3000, b"{a=" * 3000,
    b"a." * 3000, b"\x1a", b"9" * 5000, b"x" * 25_000, b"sep=;\n", b"\xe2\x80\xa8", b"1979-05-27T07:32:00Z",
    b"0b1", b"0o7", b"+", b"PK\x03\x04", b"PAR1", b"\x1f\x8b", b"<!DOCTYPE a>", b"</row>", b"&#0;", b"inf",
    b"nan", b"-", b"\\u0000",
)  # fmt: skip
ENCODINGS = ("utf-8-sig", "utf-16", "utf-16-le", "utf-32", "latin-1", "cp1252", "cp037")
_CELL = re.compile(rb"[^,;\t\r\n=]+")
_NUMBER = re.compile(rb"-?[0-9]+(?:\.[0-9]+)?")


@st.composite
def mutated(draw: st.DrawFn, seeds: tuple[bytes, ...]) -> bytes:
    """Draw a valid file and change it in one to five places."""
    data = draw(st.sampled_from(seeds))
    for _ in range(draw(st.integers(1, 5))):
        data = _changed(draw, data)
    return data[:2_000_000]


def _changed(draw: st.DrawFn, data: bytes) -> bytes:
    kind = draw(st.integers(0, 11))
    if kind in (0, 1):
        return _other_piece(draw, data, _CELL, st.sampled_from(ODD_CELLS))
    if kind == 2:
        return _other_piece(draw, data, _NUMBER, st.sampled_from(ODD_CELLS))
    if kind == 3:
        return _other_piece(draw, data, _CELL, st.text(max_size=20))
    at = draw(st.integers(0, max(len(data), 1)))
    if kind == 4:
        return data[:at] + draw(st.sampled_from(ODD_PIECES)) + data[at:]
    if kind == 5:
        return data[:at] + data[at + draw(st.integers(1, 40)) :]
    if kind == 6:
        return data[:at]
    if kind == 7 and data:
        at %= len(data)
        return data[:at] + bytes([data[at] ^ draw(st.integers(1, 255))]) + data[at + 1 :]
    if kind in (8, 9):
        return _other_lines(draw, data)
    if kind == 10:
        return data.replace(b"\n", draw(st.sampled_from([b"\r\n", b"\r", b"\n\n", b"\x0b", b" \n"])))
    text = data.decode("utf-8", "replace")
    return text.encode(draw(st.sampled_from(ENCODINGS)), "replace")


def _other_piece(
    draw: st.DrawFn, data: bytes, pattern: re.Pattern[bytes], texts: st.SearchStrategy[str]
) -> bytes:
    """Put an odd text in the place of one cell or number."""
    at = draw(st.integers(0, max(len(data), 1)))
    found = pattern.search(data, at) or pattern.search(data)
    odd = draw(texts).encode("utf-8", "surrogatepass")
    return data + odd if found is None else data[: found.start()] + odd + data[found.end() :]


def _other_lines(draw: st.DrawFn, data: bytes) -> bytes:
    """Repeat, drop or exchange lines."""
    lines = data.split(b"\n")
    i, j = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
    what = draw(st.integers(0, 3))
    if what == 0:
        return b"\n".join([*lines[:i], *[lines[i]] * draw(st.sampled_from([2, 3, 100])), *lines[i + 1 :]])
    if what == 1:
        return b"\n".join([*lines[:i], *lines[i + 1 :]])
    if what == 2:
        lines[i], lines[j] = lines[j], lines[i]
        return b"\n".join(lines)
    return b"\n".join([*lines[:i], lines[i] + lines[j], *lines[i + 1 :]])


@st.composite
def mutated_zip(draw: st.DrawFn, seeds: tuple[bytes, ...]) -> bytes:
    """Draw a zip file whose members are changed and packed again, or whose own bytes are."""
    data = draw(st.sampled_from(seeds))
    if draw(st.booleans()):
        return draw(mutated((data,)))
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    stream = io.BytesIO()
    kinds = [
        zipfile.ZIP_STORED,
        zipfile.ZIP_DEFLATED,
        zipfile.ZIP_DEFLATED,
        zipfile.ZIP_BZIP2,
        zipfile.ZIP_LZMA,
    ]
    with zipfile.ZipFile(stream, "w", draw(st.sampled_from(kinds))) as archive:
        for name, content in members.items():
            if draw(st.integers(0, 3)) == 0:
                content = draw(mutated((content,)))
            if draw(st.integers(0, 9)) == 0:
                name = draw(
                    st.sampled_from(
                        ["../x", "/etc/x", "a\\b", "C:x", ".hidden", "a/" * 40 + "x", "é\u202e", " "]
                    )
                )
            archive.writestr(name, content)
    packed = stream.getvalue()
    return draw(mutated((packed,))) if draw(st.integers(0, 2)) == 0 else packed
