"""Text with places in it. Lines and columns are counted here and nowhere else.

Both count from 1, columns in characters (code points, not bytes and not screen cells); drawing
a caret under them, where cell widths matter, belongs to the front that draws.
"""

from dataclasses import dataclass
from typing import NamedTuple


class Span(NamedTuple):
    """A stretch of a file, from its first character to just past its last.

    A named tuple and no dataclass: a ruleset of 150 KB has twenty thousand of them, and a tuple is
    made four times as fast. Spans of one file sort by place.
    """

    file: str
    line: int
    column: int
    end_line: int
    end_column: int

    def __str__(self) -> str:
        """Give `file:line:column`, as compilers print it and editors open it."""
        return f"{self.file}:{self.line}:{self.column}"


NOWHERE = Span("", 1, 1, 1, 1)
"""The span of what no file says: values made in code, and defaults."""


def whole_file(file: str) -> Span:
    """Give the span for a problem that concerns a file and no place in it."""
    return Span(file, 1, 1, 1, 1)


@dataclass(frozen=True, slots=True)
class SourceText:
    """A file's text under the name by which it is reported."""

    name: str
    text: str
    lines: tuple[str, ...]

    @classmethod
    def of(cls, name: str, text: str) -> "SourceText":
        """Split `text` into lines at LF, CR LF and CR, the line ends that YAML knows."""
        return cls(name, text, tuple(text.replace("\r\n", "\n").replace("\r", "\n").split("\n")))

    def excerpt(self, span: Span) -> str:
        """Give the line on which `span` begins, or nothing when there is no such line."""
        return self.lines[span.line - 1] if 0 < span.line <= len(self.lines) else ""
