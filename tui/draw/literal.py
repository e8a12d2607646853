r"""Text from a ruleset or a log, made safe to print: shown literally, never obeyed.

The reader already refuses control and bidirectional characters in a ruleset; a log or a bundle may
still carry them from elsewhere, and file names can hold anything. What could move the cursor,
colour the screen, reorder a line or hide in it is spelled out (`\x1b`, `\u202e`) where it stands.
"""

import re
from typing import Final

_LINE_ENDS: Final = re.compile(r"\r\n|[\n\r\t\v\f\x85\u2028\u2029]")
_UNSAFE: Final = re.compile(
    "["
    "\x00-\x1f\x7f-\x9f"  # C0, DEL and C1: escape sequences begin here
    "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"  # marks, embeddings, overrides and isolates of direction
    "\u00ad\u200b\u2060-\u2064\u206a-\u206f\ufeff\ufff9-\ufffb"  # invisible, and so able to forge a look
    "\U000e0000-\U000e007f"  # tags: invisible copies of ASCII
    "\ud800-\udfff"  # half a character: a file name that is not UTF-8
    "]"
)


def literal(text: str) -> str:
    r"""Give `text` as one printable line: line ends and tabs as spaces, the unsafe spelled out.

    >>> literal("Clip" + chr(27) + "[2J the tip")
    'Clip\\x1b[2J the tip'
    """
    if text.isascii() and text.isprintable():
        return text
    return _UNSAFE.sub(_spelled, _LINE_ENDS.sub(" ", text))


def literal_lines(text: str) -> list[str]:
    """Give `text` as printable lines, where its author ended them."""
    return [literal(line) for line in re.split(r"\r\n|[\n\r]", text)]


def _spelled(match: re.Match[str]) -> str:
    code = ord(match[0])
    if code <= 0xFF:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"
