"""Text with places in it. Lines and columns are counted here and nowhere else.

Both count from 1, columns in characters (code points, not bytes and not screen cells); drawing
a caret under them, where cell widths matter, belongs to the front that draws.
"""

import re
from bisect import bisect_right
from dataclasses import dataclass
from typing import Final, NamedTuple


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
class Places:
    """Where the lines of a text begin, to turn lines and columns into offsets and back."""

    text: str
    starts: tuple[int, ...]
    """The offset of each line's first character, lines ending as `SourceText.of` says."""

    @classmethod
    def of(cls, text: str) -> "Places":
        """Find the lines of `text`."""
        return cls(text, (0, *(match.end() for match in _LINE_END.finditer(text))))

    def offset(self, line: int, column: int) -> int:
        """Turn a line and a column into an offset. Raises `ValueError` for a place outside the text."""
        if not 1 <= line <= len(self.starts):
            raise ValueError(f"there is no line {line}")
        end = self.starts[line] if line < len(self.starts) else len(self.text) + 1
        at = self.starts[line - 1] + column - 1
        if not self.starts[line - 1] <= at < end:
            raise ValueError(f"line {line} has no column {column}")
        return at

    def line(self, offset: int) -> int:
        """Give the number of the line that holds `offset`."""
        return bisect_right(self.starts, offset)

    def span(self, file: str, begin: int, end: int) -> Span:
        """Turn two offsets into a span of `file`."""
        first, last = self.line(begin), self.line(end)
        return Span(file, first, begin - self.starts[first - 1] + 1, last, end - self.starts[last - 1] + 1)


_LINE_END: Final = re.compile(r"\r\n|\r|\n")


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
