"""The house as a picture: rooms in their order, their sub-rooms, and which room takes names from which.

`python -m tests.house_picture` writes `fuelplan/docs/house.svg`; a test says when it is stale.
"""

from __future__ import annotations

from html import escape
from pathlib import Path

from tests.test_house_order import FACES, HOUSE, PACKAGE, all_imports, place_of

PICTURE = Path("docs") / "house.svg"
LEFT, TOP, WIDTH, GAP = 24, 88, 560, 12
LINE, CHIP_H, LETTER = 24, 20, 6.6
FILLS = {"face": "#fdf1dc", "join": "#e3f0e4", "records": "#e6edf7", "model": "#f4f2ee"}
INK, LINES = "#2b2a27", "#8a8375"
KEY = (
    "A room takes names only from rooms above it. A line runs from the room that takes to the one that gives."
)


def taken() -> dict[str, set[str]]:
    """Return for each room the rooms whose names it takes."""
    found: dict[str, set[str]] = {room: set() for room in HOUSE}
    for one in all_imports():
        by, of = place_of(one.by)[0], place_of(one.of)[0]
        if by != of:
            found[by].add(of)
    return found


def chips(room: str) -> list[list[tuple[str, float, float]]]:
    """Return a room's sub-rooms in lines, each with its left end and its width. [px]"""
    lines: list[list[tuple[str, float, float]]] = [[]]
    x = 150.0
    for name in (sub for sub in HOUSE[room] if sub != "."):
        width = LETTER * len(name) + 14
        if x + width > WIDTH - 10:
            lines.append([])
            x = 150.0
        lines[-1].append((name, x, width))
        x += width + 6
    return lines


def fill_of(room: str) -> str:
    """Return the colour of a room by its kind."""
    kind = "face" if room in FACES else {"answers": "join", "records": "records"}.get(room, "model")
    return FILLS[kind]


def places() -> dict[str, tuple[float, float]]:
    """Return the top and the height of each room's box. [px]"""
    found, y = {}, float(TOP)
    for room in HOUSE:
        height = 12.0 + LINE * len(chips(room))
        found[room] = (y, height)
        y += height + GAP
    return found


def picture() -> str:
    """Return the picture as SVG text, the same for the same imports."""
    at, rooms = places(), list(HOUSE)
    high = max(y + h for y, h in at.values()) + 24
    wide = LEFT + WIDTH + 30 + 11 * len(rooms)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {high:.0f}" '
        f'width="{wide:.0f}" height="{high:.0f}" role="img" aria-label="{escape(KEY)}" '
        'font-family="sans-serif" font-size="13">',
        '<rect width="100%" height="100%" fill="#ffffff"/>',
        f'<text x="{LEFT}" y="34" font-size="18" font-weight="bold" fill="{INK}">The house</text>',
        f'<text x="{LEFT}" y="58" fill="{INK}">{escape(KEY)}</text>',
        f'<text x="{LEFT}" y="76" fill="{INK}">The small boxes are sub-rooms, in their order.</text>',
    ]
    out += [line for by, of_all in taken().items() for line in _lines(by, of_all, at)]
    out += [line for room in rooms for line in _room(room, at[room])]
    return "\n".join([*out, "</svg>", ""])


def _lines(by: str, of_all: set[str], at: dict[str, tuple[float, float]]) -> list[str]:
    """Return a room's way to the rooms it takes from: one upright for each room, a branch for each giver."""
    rooms = list(HOUSE)
    givers = sorted(of_all, key=rooms.index)
    if not givers:
        return []
    right, x = LEFT + WIDTH, LEFT + WIDTH + 20 + 11 * rooms.index(by)
    start = at[by][0] + at[by][1] / 2
    ends = [at[of][0] + at[of][1] / 2 + 5 for of in givers]
    stroke = f'fill="none" stroke="{LINES}" stroke-width="1.2"'
    title = f"<title>{escape(by)} takes from {escape(', '.join(givers))}</title>"
    out = [f'<path d="M{right} {start:.0f} H{x} V{min(ends):.0f}" {stroke}>{title}</path>']
    for y in ends:
        out.append(f'<path d="M{x} {y:.0f} H{right}" {stroke} stroke-dasharray="2 2"/>')
        out.append(f'<circle cx="{x}" cy="{y:.0f}" r="2.2" fill="{LINES}"/>')
    return out


def _room(room: str, place: tuple[float, float]) -> list[str]:
    top, height = place
    out = [
        f'<rect x="{LEFT}" y="{top:.0f}" width="{WIDTH}" height="{height:.0f}" rx="7" '
        f'fill="{fill_of(room)}" stroke="{INK}"/>',
        f'<text x="{LEFT + 14}" y="{top + 22:.0f}" font-weight="bold" fill="{INK}">{escape(room)}</text>',
    ]
    for number, line in enumerate(chips(room)):
        y = top + 8 + number * LINE
        for name, x, width in line:
            out.append(
                f'<rect x="{LEFT + x:.0f}" y="{y:.0f}" width="{width:.0f}" height="{CHIP_H}" rx="4" '
                f'fill="#ffffff" stroke="{LINES}"/>'
            )
            text = f'x="{LEFT + x + 7:.0f}" y="{y + 14:.0f}" font-size="11.5" fill="{INK}"'
            out.append(f"<text {text}>{escape(name)}</text>")
    return out


def main() -> None:
    """Write the picture."""
    (PACKAGE / PICTURE).write_text(picture(), encoding="utf-8")


if __name__ == "__main__":
    main()
