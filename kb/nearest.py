"""The nearest known word to one that is not known: "did you mean …?".

Separate because ids, keys, words of chance, checks and command lines all ask it, and because
difflib is loaded only when somebody mistyped.
"""

from collections.abc import Iterable

_MOST = 2000
"""Known words looked through; a hostile file could make the comparison take hours."""
_LONGEST = 80


def nearest(word: str, known: Iterable[str]) -> str:
    """Give the known word that looks most like `word`, or nothing when none does.

    >>> nearest("blown-blub", ["blown-bulb", "no-light"])
    'blown-bulb'
    """
    candidates = list(known)
    if len(candidates) > _MOST or len(word) > _LONGEST:
        return ""
    from difflib import get_close_matches  # noqa: PLC0415  (4 ms; most files mistype nothing)

    plain = {candidate.lower(): candidate for candidate in candidates}
    found = get_close_matches(word.lower().replace("_", "-").replace(" ", "-"), plain, 1, 0.6)
    return plain[found[0]] if found else ""


def hint(word: str, known: Iterable[str]) -> str:
    """Give the question "did you mean …?", or nothing.

    >>> hint("usualy", ["usually", "often"])
    "did you mean 'usually'?"
    """
    found = nearest(word, known)
    return f"did you mean {found!r}?" if found else ""
