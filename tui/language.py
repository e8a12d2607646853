"""The interface's own texts: English as written here, or another language where a catalogue was asked for.

Every text that people see and that no ruleset, log or file brings along goes through `worded`, so that a
translation reaches it. The catalogues are those of gettext: `tui.catalogue` reads one. Without one nothing
is looked up and nothing loaded. A part of a text is named (`"{count} of {all}"`), never put in before: the
sentence is looked up with its holes, and another language may want them in another order.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Final, Protocol


class Catalogue(Protocol):
    """Texts in another language, as gettext keeps them."""

    def gettext(self, message: str, /) -> str:
        """Give a text in that language; itself where it is not translated."""

    def ngettext(self, one: str, many: str, count: int, /) -> str:
        """Give the form that goes with `count`."""


_CATALOGUE: Final[ContextVar[Catalogue | None]] = ContextVar("catalogue", default=None)
_PART: Final = re.compile(r"\{(\w+)\}")


@contextmanager
def texts_from(catalogue: Catalogue | None) -> Iterator[None]:
    """Take the texts from `catalogue`, while this lasts; None: in English, as they are written."""
    was = _CATALOGUE.set(catalogue)
    try:
        yield
    finally:
        _CATALOGUE.reset(was)


def worded(text: str, /, **parts: object) -> str:
    """Give one of our own texts in the reader's language, its named parts put in.

    Numbers are made into words or figures before, so that a text holds names alone and a catalogue
    cannot ask for more than they say.

    >>> worded("{title}, all in all", title="Response")
    'Response, all in all'
    """
    catalogue = _CATALOGUE.get()
    # The empty text is not asked for: under it a catalogue keeps what it says of itself.
    return _filled(text if catalogue is None or not text else catalogue.gettext(text), parts)


def worded_count(one: str, many: str, count: int, /, **parts: object) -> str:
    """Give the form of a text that goes with `count`, which may stand in it as a part of that name.

    >>> worded_count("{count} sitting", "{count} sittings", 2)
    '2 sittings'
    """
    catalogue = _CATALOGUE.get()
    english = one if count == 1 else many
    said = english if catalogue is None else catalogue.ngettext(one, many, count)
    return _filled(said, {"count": count, **parts})


def worded_later(text: str) -> str:
    """Mark a text that is made when a module is imported, before the language is known.

    It stays English. Whoever shows it gives it to `worded`.
    """
    return text


def _filled(text: str, parts: dict[str, object]) -> str:
    # Not `str.format`: a catalogue comes from somebody else, and a format can read attributes.
    return _PART.sub(lambda part: str(parts.get(part[1], part[0])), text) if parts else text
