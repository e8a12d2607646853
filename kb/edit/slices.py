"""The text of one entry, with its comments, as one piece: to keep, to compare, to carry over.

What a merge and the rules screen need: they move entries as their authors wrote them, and never
write them anew.
"""

from dataclasses import dataclass

from kb.edit.adding import between_brackets, between_lines
from kb.edit.changing import key_span
from kb.edit.draft import Cut, Draft, redrawn
from kb.edit.made import put, put_before
from kb.edit.page import Page
from kb.edit.verbs import LIST_SECTIONS, with_entry
from kb.edit.writing import STEP, in_flow, key_of
from kb.problem import Problem, in_order
from kb.source import read
from kb.text import Places, SourceText
from kb.value import Items, Pairs, Value


def number_of(draft: Draft, section: str, entry: str) -> int | None:
    """Give the place of an entry in its section, from 0; None when it is not there."""
    whole = draft.tree.get(section)
    if whole is None:
        return None
    if isinstance(whole.data, Items):
        names = [_name(item) for item in whole.data.items]
    else:
        names = [pair.key for pair in whole.pairs()]
    return names.index(entry) if entry in names else None


def _name(item: Value) -> str:
    named = item.get("id") or item.get("title")
    return "" if named is None else str(named.data)


def entry_text(draft: Draft, section: str, entry: str) -> str | Problem:
    """Give the text of an entry: its own comments, its key, its value, as it stands, line end left out.

    In a block the text is whole lines with their indentation; between brackets it is the pair alone.
    """
    number, whole = number_of(draft, section, entry), draft.tree.get(section)
    if number is None or whole is None:
        return draft.refuse(f"{section!r} has no entry {entry!r}")
    page = Page.of(draft)
    begin, end = _stretch(page, whole, number)
    return draft.text[begin:end]


def _stretch(page: Page, whole: Value, number: int) -> tuple[int, int]:
    parts = page.parts(whole)
    part = parts[number]
    if page.is_flow(whole):
        return part.begin, part.end
    return page.lead(part.begin, page.tail(parts[number - 1]) if number else 0), page.tail(part)


def with_entry_text(
    draft: Draft, section: str, entry: str, text: str, *, before: int | None = None
) -> Draft | Problem:
    """Put an entry's text, with its comments, where that entry stands, or in a new place if it is new.

    The text may come from another file: it is indented as this one is, and keeps all else. A section
    between brackets is opened into lines when comments come into it. `before` is the place of a new
    entry among its neighbours; it is the last if nothing is said.
    """
    given = _given(draft, entry, text, is_list=section in LIST_SECTIONS)
    if isinstance(given, Problem):
        return given
    whole, number = draft.tree.get(section), number_of(draft, section, entry)
    if whole is None or not (whole.pairs() or (isinstance(whole.data, Items) and whole.data.items)):
        return _first_text(draft, section, entry, given)
    page = Page.of(draft)
    if page.is_flow(whole) and given.needs_lines and not page.is_flow(draft.tree):
        opened = in_lines(draft, section)
        return (
            opened
            if isinstance(opened, Problem)
            else with_entry_text(opened, section, entry, text, before=before)
        )
    key = None if isinstance(whole.data, Items) else entry
    if number is None:
        place = len(page.parts(whole)) if before is None else before
        meant = put_before(whole, key, given.value, place)
    else:
        place = number
        meant = put(whole, (number if key is None else key,), given.value)
    cuts = _cuts(page, whole, given, place, is_new=number is None)
    return redrawn(draft, cuts, put(draft.tree, (section,), meant))


def _cuts(page: Page, whole: Value, given: "_Given", place: int, *, is_new: bool) -> tuple[Cut, ...]:
    is_flow = page.is_flow(whole)
    column = page.column(page.parts(whole)[0].begin)
    text = given.in_flow if is_flow else shifted(given.in_lines, column)
    if not is_new:
        return (Cut(*_stretch(page, whole, place), text),)
    return (
        between_brackets(page, whole, place, text)
        if is_flow
        else between_lines(page, whole, place, text.lstrip(" "))
    )


@dataclass(frozen=True, slots=True)
class _Given:
    """The text of one entry, as it was given."""

    text: str
    """With its comments, lines ending with LF, its key at the left margin."""
    key: str | None
    """None for an item of a list."""
    value: Value
    begin: int
    """Where in the text its key begins, or the value of an item."""
    end: int
    has_dash: bool

    @property
    def is_flow(self) -> bool:
        """Whether it may stand between brackets as it is written."""
        page = Page(self.text, Places.of(self.text))
        return page.is_flow(self.value)

    @property
    def needs_lines(self) -> bool:
        """Whether it has comments that cannot stand between brackets."""
        outside = self.text[: self.begin] + self.text[self.end :]
        return _has_comments(outside if self.is_flow else self.text)

    @property
    def in_flow(self) -> str:
        """The pair or item, to stand between brackets."""
        if self.is_flow:
            return self.text[self.begin : self.end]
        return in_flow(self.value) if self.key is None else f"{key_of(self.key)}: {in_flow(self.value)}"

    @property
    def in_lines(self) -> str:
        """The whole text, to stand in a block."""
        dash = "- " if self.key is None and not self.has_dash else ""
        return self.text[: self.begin] + dash + self.text[self.begin :]


def _first_text(draft: Draft, section: str, entry: str, given: _Given) -> Draft | Problem:
    """Begin a section with an entry's text."""
    made = with_entry(draft, section, entry, given.value)
    if isinstance(made, Problem):
        return made
    return with_entry_text(made, section, entry, given.text)


def _given(draft: Draft, entry: str, text: str, *, is_list: bool) -> _Given | Problem:
    """Read the text of an entry; a problem when it is not that entry and nothing else."""
    text = shifted(text.replace("\r\n", "\n").replace("\r", "\n").strip("\n"), 0)
    found = read(SourceText.of(draft.name, text))
    if found.problems:
        return in_order(found.problems)[0]
    tree = found.tree
    page = Page(text, Places.of(text))
    if tree is not None and is_list:
        has_dash = isinstance(tree.data, Items) and len(tree.items()) == 1
        value = tree.items()[0] if has_dash else tree
        if isinstance(value.data, Pairs):
            return _Given(text, None, value, page.begin(value.span), page.end(value), has_dash)
    elif tree is not None and [pair.key for pair in tree.pairs()] == [entry]:
        part = page.parts(tree)[0]
        return _Given(text, entry, part.value, part.begin, part.end, has_dash=False)
    return draft.refuse(
        f"this text is not the entry {entry!r} alone", "give its key, its value and its comments"
    )


def shifted(text: str, column: int) -> str:
    """Indent a text so that its first line that is no comment begins at `column`."""
    lines = text.split("\n")
    first = next((line for line in lines if line.strip() and line.lstrip()[0] != "#"), lines[0])
    by = column - (len(first) - len(first.lstrip(" ")))
    if by >= 0:
        return "\n".join(" " * by + line if line.strip() else line for line in lines)
    return "\n".join(line[min(-by, len(line) - len(line.lstrip(" "))) :] for line in lines)


def _has_comments(text: str) -> bool:
    """Whether a text may hold a comment; a sign in quotes counts, which does no harm."""
    return any(line.lstrip().startswith("#") or " #" in line for line in text.split("\n"))


def in_lines(draft: Draft, section: str) -> Draft | Problem:
    """Open a section between brackets into one entry a line, each as it was written, with all comments."""
    page, whole = Page.of(draft), draft.tree[section]
    parts = page.parts(whole)
    key = key_span(draft.tree, (section,))
    if key is None or not parts or not page.is_flow(whole):
        return draft
    begin, close = page.begin(whole.span), page.end(whole)
    indent = " " * (page.column(page.begin(key)) + STEP)
    dash = "- " if isinstance(whole.data, Items) else ""
    lines: list[str] = []
    at = begin + 1
    for part in (*parts, None):
        until = close - 1 if part is None else part.begin
        lines += _comments(page, at, until, lines, indent)
        if part is not None:
            lines.append(indent + dash + page.text[part.begin : part.end].replace("\r\n", "\n"))
            at = part.end
    end = page.past_comment(close)
    cut = Cut(page.after_colon(key), end, "\n".join((page.text[close:end], *lines)))
    return redrawn(draft, (cut,), draft.tree)


def _comments(page: Page, begin: int, end: int, lines: list[str], indent: str) -> list[str]:
    """Take the comments between two parts; one on the line of the part before is put behind it."""
    found: list[str] = []
    at = begin
    while (at := page.text.find("#", at, end)) >= 0:
        comment = page.text[at : page.line_end(at)].rstrip()
        if lines and page.places.line(at) == page.places.line(begin):
            lines[-1] += "  " + comment
        else:
            found.append(indent + comment)
        at = page.line_end(at)
    return found
