"""The picture of the house is what the imports are today."""

from __future__ import annotations

from xml.etree import ElementTree

from tests.house_picture import PICTURE, picture, taken
from tests.test_house_order import HOUSE, PACKAGE


def test_the_picture_is_not_stale() -> None:
    """The file is what the script draws; `python -m tests.house_picture` draws it anew."""
    kept = (PACKAGE / PICTURE).read_text(encoding="utf-8")
    assert kept == picture(), "python -m tests.house_picture"


def test_every_room_and_way_is_drawn() -> None:
    """Each room and sub-room has its name in it, and each room that takes from others says from which."""
    root = ElementTree.fromstring(picture())
    words = {element.text for element in root.iter() if element.tag.endswith("text")}
    names = {sub for subs in HOUSE.values() for sub in subs if sub != "."}
    assert set(HOUSE) | names <= words
    titles = {element.text for element in root.iter() if element.tag.endswith("title")}
    assert len(titles) == len([room for room, of in taken().items() if of])
    assert any(str(title).startswith("sizing takes from") and "ordering" in str(title) for title in titles)
