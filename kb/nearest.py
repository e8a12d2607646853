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


def only(word: str, known: Iterable[str]) -> str:
    """Give the known word that is plainly meant: one slip of the finger away, or the only near one.

    >>> only("blown-blub", ["blown-bulb", "blown-bush"]), only("wire-3", ["wire-1", "wire-2"])
    ('blown-bulb', '')
    """
    candidates = list(known)
    meant = nearest(word, candidates)
    if not meant:
        return ""
    slipped = [one for one in candidates if _is_one_slip(word, one)]
    if slipped:
        return slipped[0] if len(slipped) == 1 else ""
    return meant if not nearest(word, [one for one in candidates if one != meant]) else ""


def _is_one_slip(word: str, other: str) -> bool:
    """Whether a letter too many, too few or wrong, or two that changed places, is all the difference."""
    if abs(len(word) - len(other)) > 1:
        return False
    at = next(
        (i for i, (a, b) in enumerate(zip(word, other, strict=False)) if a != b), min(len(word), len(other))
    )
    left, right = word[at:], other[at:]
    return (
        left[1:] == right[1:]
        or left[1:] == right
        or left == right[1:]
        or (left[2:] == right[2:] and left[:2] == right[1::-1])
    )


def hint(word: str, known: Iterable[str]) -> str:
    """Give the question "did you mean …?", or nothing.

    >>> hint("usualy", ["usually", "often"])
    "did you mean 'usually'?"
    """
    found = nearest(word, known)
    return f"did you mean {found!r}?" if found else ""
