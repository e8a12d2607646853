"""A text seen as an editor sees it: where each entry begins and ends, with the comments that are its own.

All else in this package asks here. An entry's own comments are the block of comment lines right
above it, indented as it is, and the comment behind its last line. What stands apart by a blank line
is a heading and belongs to nobody.
"""

from dataclasses import dataclass
from typing import Final

from kb.edit.draft import Draft
from kb.text import Places, Span
from kb.value import Items, Pairs, Value

_BLANK: Final = " \t"
_LINE_END: Final = "\r\n"


@dataclass(frozen=True, slots=True)
class Part:
    """One pair of a mapping or one item of a list, in offsets."""

    begin: int
    """Its key, or its dash in a block list."""
    end: int
    """Just past its value."""
    value: Value


@dataclass(frozen=True, slots=True)
class Page:
    """A draft's text with the offsets of its lines."""

    text: str
    places: Places

    @classmethod
    def of(cls, draft: Draft) -> "Page":
        """Find the lines of a draft."""
        return cls(draft.text, Places.of(draft.text))

    def begin(self, span: Span) -> int:
        """Give the offset at which a span begins."""
        return self.places.offset(span.line, span.column)

    def end(self, value: Value) -> int:
        """Give the offset just past a value; of a text that keeps its last line ends, past those."""
        at = self.places.offset(value.span.end_line, value.span.end_column)
        head = self.text[self.begin(value.span) :][:4].split("\n")[0]
        if isinstance(value.data, str) and head[:1] in {"|", ">"} and "+" in head:
            while self.is_blank_line(self.next_line(at)) and self.next_line(at) < len(self.text):
                at = self.line_end(self.next_line(at))
        return at

    def is_flow(self, value: Value) -> bool:
        """Whether a list or a mapping stands between brackets."""
        return isinstance(value.data, Items | Pairs) and self.text[self.begin(value.span)] in "[{"

    def parts(self, value: Value) -> tuple[Part, ...]:
        """Give the parts of a list or a mapping, in the order of the text."""
        match value.data:
            case Pairs(pairs=pairs):
                return tuple(Part(self.begin(p.key_span), self.end(p.value), p.value) for p in pairs)
            case Items(items=items) if self.is_flow(value):
                return tuple(Part(self.begin(item.span), self.end(item), item) for item in items)
            case Items(items=items):
                return tuple(Part(self._dash(value, item), self.end(item), item) for item in items)
            case _:
                return ()

    def _dash(self, whole: Value, item: Value) -> int:
        """Find the dash of an item: it stands in the column of the first."""
        line = item.span.line
        while line > whole.span.line:
            at = self.places.starts[line - 1] + whole.span.column - 1
            before = self.text[self.places.starts[line - 1] : at + 1]
            if before.strip(_BLANK) == "-":
                return at
            line -= 1
        return self.begin(whole.span)

    def column(self, offset: int) -> int:
        """Give the number of characters before `offset` on its line."""
        return offset - self.line_begin(offset)

    def line_begin(self, offset: int) -> int:
        """Give the offset at which the line begins."""
        return self.places.starts[self.places.line(offset) - 1]

    def line_end(self, offset: int) -> int:
        """Give the offset of the line's end, before its line end characters."""
        begin, end = self.line_begin(offset), self.next_line(offset)
        while end > begin and self.text[end - 1] in _LINE_END:
            end -= 1
        return end

    def next_line(self, offset: int) -> int:
        """Give the offset at which the next line begins, or the end of the text."""
        line = self.places.line(offset)
        return self.places.starts[line] if line < len(self.places.starts) else len(self.text)

    def line_at(self, offset: int) -> str:
        """Give the whole line, without its line end."""
        return self.text[self.line_begin(offset) : self.line_end(offset)]

    def is_blank_line(self, offset: int) -> bool:
        """Whether the line holds nothing but blanks."""
        return not self.line_at(offset).strip(_BLANK)

    def begins_line(self, offset: int) -> bool:
        """Whether nothing but blanks stands before `offset` on its line."""
        return not self.text[self.line_begin(offset) : offset].strip(_BLANK)

    def past_comment(self, offset: int) -> int:
        """Give the end of the line when only a comment (or nothing) follows, else `offset`."""
        end = self.line_end(offset)
        rest = self.text[offset:end]
        said = rest.strip(_BLANK)
        return (
            end
            if not said or (said[0] == "#" and (rest[0] in _BLANK or self._after_comma(offset)))
            else offset
        )

    def _after_comma(self, offset: int) -> bool:
        return offset > 0 and self.text[offset - 1] in ",[{"

    def lead(self, begin: int, floor: int = 0) -> int:
        """Give where the comments begin that stand right above and are indented alike; not above `floor`."""
        if not self.begins_line(begin):
            return begin
        column = self.column(begin)
        top = self.line_begin(begin)
        while top > floor:
            above = self.line_begin(top - 1)
            line = self.line_at(above)
            if (
                above < floor
                or len(line) - len(line.lstrip(_BLANK)) != column
                or line[column : column + 1] != "#"
            ):
                break
            top = above
        return top

    def tail(self, part: Part) -> int:
        """Give the end of a block part: past the comment on its last line and deeper ones right below."""
        column = self.column(part.begin)
        end = self.past_comment(part.end)
        while self.is_comment(at := self.next_line(end), column + 1) and at > end:
            end = self.line_end(at)
        return end

    def is_comment(self, offset: int, column: int) -> bool:
        """Whether the line holds nothing but a comment, indented by at least `column`."""
        line = self.line_at(offset)
        bare = line.lstrip(_BLANK)
        return bare.startswith("#") and len(line) - len(bare) >= column

    def skipped(self, offset: int) -> int:
        """Give the place of the next character that is no blank, no line end and no part of a comment."""
        at = offset
        while at < len(self.text):
            letter = self.text[at]
            if letter == "#":
                at = self.line_end(at)
            elif letter in _BLANK or letter in _LINE_END:
                at += 1
            else:
                break
        return at

    def after_colon(self, key: Span) -> int:
        """Give the place just past the colon of a key."""
        end = self.places.offset(key.end_line, key.end_column)
        return self.skipped(end) + 1
