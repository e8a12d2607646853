"""A language in which every letter is another sign that looks like it.

What is shown in plain letters all the same was never given to a translation. Each sign takes as many
cells as the letter, so that screens are laid out as in English.
"""

import re
from dataclasses import fields, is_dataclass, replace
from typing import Any, Final

_PART: Final = re.compile(r"\{\w+\}|[A-Za-z]")
_FIRST: Final = {True: 0x1D5A0, False: 0x1D5BA}
"""Sans-serif capitals and small letters of Unicode's mathematical alphabets."""
_WRITTEN: Final = frozenset(
    {"title", "ask", "help", "goal", "do", "caution", "too_far", "why", "says", "word", "dynamic"}
)
"""Fields in which an author of a ruleset writes to people."""
_WORD: Final = re.compile(r"[A-Za-z][A-Za-z'’-]*…?")


def alike(text: str) -> str:
    """Give a text in the other letters, its named parts untouched."""
    return _PART.sub(lambda part: part[0] if part[0][0] == "{" else _sign(part[0]), text)


def _sign(letter: str) -> str:
    return chr(_FIRST[letter.isupper()] + ord(letter) - ord("A" if letter.isupper() else "a"))


class Lookalike:
    """A catalogue that holds every text."""

    def gettext(self, message: str, /) -> str:
        """Give a text in the other letters."""
        return alike(message)

    def ngettext(self, one: str, many: str, count: int, /) -> str:
        """Give the form that goes with `count`."""
        return alike(one if count == 1 else many)


def written_alike(value: Any) -> Any:
    """Give a ruleset, or a part of one, with all that its author writes to people in the other letters."""
    if isinstance(value, tuple):
        return tuple(written_alike(one) for one in value)
    if not is_dataclass(value) or isinstance(value, type):
        return value
    said = {one.name: getattr(value, one.name) for one in fields(value) if one.init}
    return replace(
        value,
        **{
            name: alike(part) if name in _WRITTEN and isinstance(part, str) else written_alike(part)
            for name, part in said.items()
        },
    )


def in_plain_letters(shown: str, *may: str) -> set[str]:
    """Give the words that are shown in plain letters and are none of those that `may` be, whole or cut."""
    known = {word for text in may for word in _WORD.findall(text)}
    found = set(_WORD.findall(shown)) - known
    return {
        word for word in found if not (word.endswith("…") and any(one.startswith(word[:-1]) for one in known))
    }
