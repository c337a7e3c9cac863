"""The words of a language: gettext catalogues, extracted from the code and kept beside this module."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gettext import NullTranslations

    from fuelplan.messages.message import Message

DOMAIN = "fuelplan"
_LOCALE = re.compile(r"[A-Za-z]{2,8}(_[A-Za-z0-9]{2,8}){0,3}")  # what a browser says becomes a part of a path
FOLDER = Path(__file__).parent / "catalogues"


def is_english(language: str) -> bool:
    """Tell whether the templates are in this language already."""
    return language == "en" or language.startswith("en_")


def words_of(said: Message, language: str) -> str:
    """Return the template of a message in a language; the English one where its catalogue has none."""
    if is_english(language):
        return said.template if said.many is None or said.value("n") == 1 else said.many
    if said.many is None:
        return _catalogue(language, FOLDER).pgettext(said.code, said.template)
    n = said.value("n")
    assert isinstance(n, int)  # a counted message has no other
    return _catalogue(language, FOLDER).npgettext(said.code, said.template, said.many, n)


def spoken(locale: str | None) -> str:
    """Return the language to write in for a locale such as "de-AT": English where no catalogue has it."""
    import gettext

    language = (locale or "en").replace("-", "_")
    if is_english(language) or not _LOCALE.fullmatch(language):
        return "en"
    return language if gettext.find(DOMAIN, FOLDER, [language, language.partition("_")[0]]) else "en"


@lru_cache(maxsize=16)
def _catalogue(language: str, folder: Path) -> NullTranslations:
    """Read the catalogue of a language, or of its land and then its language: "de_AT", then "de"."""
    import gettext

    wanted = [language, language.partition("_")[0]]
    return gettext.translation(DOMAIN, folder, wanted, fallback=True)
