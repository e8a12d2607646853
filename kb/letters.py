r"""Bytes to text: which letters a ruleset may hold.

Separate from the YAML reader because two things use it: the bytes of a file, and the text that
escapes such as `"\e[31m"` make inside it. A ruleset may come from anyone and its text is shown
at the desk, so what could move a cursor, colour a screen or turn a line round is refused.
"""

import re
from typing import Final

from kb.disk import LIMIT
from kb.patch import Replacement
from kb.problem import CheckName, Problem
from kb.text import SourceText, Span, whole_file

NOT_UTF8: Final = CheckName("not-utf8")
TOO_BIG: Final = CheckName("too-big")
HIDDEN_CHARACTER: Final = CheckName("hidden-character")

HIDDEN: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"  # C0 without tab and line ends; delete; C1 with U+0085
    "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"  # marks and overrides of writing direction
    "\u2028\u2029"  # line ends that only some programs know
    "\ufeff\ufff9-\ufffb\ufffe\uffff"  # byte order marks inside the text, annotations, no characters
    "\ud800-\udfff"  # halves of characters
    "\U000e0000-\U000e007f]"  # invisible tags
)
"""One character that may not stand in a ruleset, neither written nor escaped."""

_REPORTED: Final = 50
"""Hidden characters named one by one; a binary file has thousands and would bury all else."""


def decode(name: str, content: bytes) -> tuple[SourceText | None, tuple[Problem, ...]]:
    """Give a file's text, with what is wrong with its letters.

    There is text even when some letters are refused: each is replaced by one other character, so
    that places stay where they are and the rest of the file can still be judged.
    """
    if len(content) > LIMIT:
        return None, (
            Problem(
                whole_file(name),
                TOO_BIG,
                f"this file is larger than {LIMIT // (1024 * 1024)} MiB",
                "a ruleset is text that a person wrote; is it the right file?",
            ),
        )
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return None, (_not_utf8(name, content, error.start),)
    if _mostly_nul(content):
        return None, (_not_utf8(name, content, content.index(0)),)
    source = SourceText.of(name, text)
    problems = tuple(_hidden(source)) if HIDDEN.search(text) else ()
    if problems:
        source = SourceText.of(name, HIDDEN.sub("\ufffd", text))
    return source, problems


def _mostly_nul(content: bytes) -> bool:
    """Whether the file begins as UTF-16 does or a program: every fourth byte or more is a NUL.

    Those are valid UTF-8 and would be told one by one, in place of the one thing that is wrong.
    """
    begin = content[:_LOOKED_AT]
    return begin.count(0) * 4 >= len(begin) > 0


_LOOKED_AT: Final = 4096


def named(character: str) -> str:
    """Give a character's number as Unicode writes it: it cannot be shown.

    >>> named(chr(0x202E))
    'U+202E'
    """
    return f"U+{ord(character):04X}"


def _hidden(source: SourceText) -> list[Problem]:
    """Make a problem of each hidden character, and a last one of how many more there are."""
    problems: list[Problem] = []
    count = 0
    for number, line in enumerate(source.lines, 1):
        for match in HIDDEN.finditer(line):
            count += 1
            if count <= _REPORTED:
                column = match.start() + 1
                span = Span(source.name, number, column, number, column + 1)
                problems.append(refused_character(span, match[0]))
    if count > _REPORTED:
        last = problems[-1]
        more = f"{last.message}; the file holds {count - _REPORTED} more such characters"
        problems[-1] = Problem(last.span, HIDDEN_CHARACTER, more, "is it a text file at all?", mend=last.mend)
    return problems


def refused_character(span: Span, character: str) -> Problem:
    """Say that this character may not stand in a ruleset."""
    return Problem(
        span,
        HIDDEN_CHARACTER,
        f"the invisible character {named(character)} stands here",
        "delete it; if a program put it there, type the line anew",
        mend=(Replacement(span, " " if character in _PARTING else ""),),
    )


_PARTING: Final = frozenset("\x85\u2028\u2029")
"""Line ends that only some programs know: words stand to both sides of them."""


def _not_utf8(name: str, content: bytes, at: int) -> Problem:
    before = content[:at].decode("utf-8-sig", "replace")
    lines = SourceText.of(name, before).lines
    line, column = len(lines), len(lines[-1]) + 1
    span = Span(name, line, column, line, column + 1)
    if content.startswith((b"\xff\xfe", b"\xfe\xff")) or _mostly_nul(content):
        kind = "this file is UTF-16 or no text at all"
    else:
        kind = f"the byte {content[at]:#04x} here is not UTF-8"
    return Problem(span, NOT_UTF8, kind, "save the file as UTF-8 (your editor's 'save as' can)")
