"""YAML text to values that know where they stand: a small reader over libyaml's events.

Why our own: a loader that builds plain Python values keeps the last of two equal keys without a
word, turns `no` and `12:30` into other things and forgets where everything stood. One pass over
the events gives values, places, duplicate keys and limits together. What YAML can do beyond
plain lists and mappings (anchors, aliases, tags, several documents) is refused: a ruleset has no
use for it, and a few hundred bytes of aliases can stand for more text than any machine holds.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, NoReturn, Protocol, cast

from kb.letters import HIDDEN, TOO_BIG, refused_character
from kb.problem import CheckName, Problem
from kb.scalar import ImpossibleNumberError, meaning
from kb.text import SourceText, Span, whole_file
from kb.value import Items, Pair, Pairs, Scalar, Value

BROKEN_YAML: Final = CheckName("broken-yaml")
REFUSED_YAML: Final = CheckName("refused-yaml")
DUPLICATE_KEY: Final = CheckName("duplicate-key")
EMPTY_FILE: Final = CheckName("empty-file")
IMPOSSIBLE_NUMBER: Final = CheckName("impossible-number")

DEEPEST: Final = 40
"""Lists and mappings inside one another."""
MOST: Final = 500_000
"""Values in one file; a ruleset of ten thousand entries holds a fifth of that."""
_REPORTED: Final = 500
"""Faults of reading after which reading stops."""

_ESCAPE: Final = re.compile(r"\\(?:x[0-9a-fA-F]{2}|u[0-9a-fA-F]{4}|U[0-9a-fA-F]{8}|[^xuU])", re.DOTALL)
_SIMPLE_ESCAPES: Final = {
    "0": "\0", "a": "\a", "b": "\b", "v": "\v", "f": "\f", "e": "\x1b", "N": "\x85", "L": "\u2028",
    "P": "\u2029",
}  # fmt: skip


class LibyamlMissingError(RuntimeError):
    """PyYAML came without libyaml. Its pure reader reads another language, so we stop."""


class _Stop(Exception):  # noqa: N818  (no error of ours: a fault of the file that ends reading)
    """No value can be made of the rest."""


class _Mark(Protocol):
    """A place in the text, as libyaml counts it: from 0, in characters."""

    line: int
    column: int
    index: int


@dataclass(frozen=True, slots=True)
class Read:
    """A document, or None when there is none to speak of, and the faults of reading it."""

    tree: Value | None
    problems: tuple[Problem, ...]


def read(source: SourceText) -> Read:
    """Read one YAML document. Never raises for anything that the text says.

    After a refused construct reading goes on where that is possible, so that all faults are told
    in one run: of two equal keys the first is kept, an alias counts as nothing.
    """
    reader = _Reader(source)
    from yaml.error import YAMLError  # noqa: PLC0415  (yaml is imported with the parser, in _Reader)

    try:
        tree = reader.document()
    except _Stop:
        tree = None
    except YAMLError as error:
        tree = None
        reader.problems.append(_broken(source, error))
    return Read(tree, tuple(reader.problems))


class _Event(Protocol):
    """An event of libyaml's; each kind has only some of these."""

    start_mark: _Mark
    end_mark: _Mark
    anchor: str | None
    tag: str | None
    value: str
    style: str | None
    flow_style: bool
    version: tuple[int, int] | None
    tags: object


class _Reader:
    """One pass over the events of one document. Lives only inside `read`."""

    def __init__(self, source: SourceText) -> None:
        try:
            from yaml import cyaml, events  # noqa: PLC0415  (15 ms; commands that read no YAML skip it)
        except ImportError as error:  # pragma: no cover  (every wheel of PyYAML brings libyaml)
            raise LibyamlMissingError(
                "PyYAML was built without libyaml, which canebrake needs: reinstall PyYAML from a wheel"
            ) from error
        self.source = source
        self.file = source.name
        self.text = source.text
        self.problems: list[Problem] = []
        self.count = 0
        self.next = cast("Callable[[], _Event]", cyaml.CParser(source.text).get_event)  # type: ignore[attr-defined]
        self.stream_end: type = events.StreamEndEvent
        self.scalar: type = events.ScalarEvent
        self.alias: type = events.AliasEvent
        self.mapping_start: type = events.MappingStartEvent
        self.mapping_end: type = events.MappingEndEvent
        self.sequence_end: type = events.SequenceEndEvent

    def document(self) -> Value | None:
        """Read the only document there may be."""
        self.next()  # the stream's start
        start = self.next()
        if isinstance(start, self.stream_end):
            where = whole_file(self.file)
            self._problem(
                where, EMPTY_FILE, "nothing is written in this file", "a ruleset begins with canebrake: 1"
            )
            return None
        if start.version not in {None, (1, 2)} or start.tags:
            where = self._span(start.start_mark, start.end_mark)
            hint = "delete the line that begins with %"
            self._problem(where, REFUSED_YAML, "a ruleset takes no YAML directives", hint)
        tree = self._value(self.next(), 0)
        self.next()  # the document's end
        after = self.next()
        if not isinstance(after, self.stream_end):
            where = self._span(after.start_mark, after.end_mark)
            self._problem(
                where, REFUSED_YAML, "a second document begins here", "keep one ruleset in each file"
            )
            # What the first lacks may stand in the second: nothing is concluded from half a file.
            return None
        return tree

    def _value(self, event: _Event, depth: int) -> Value:
        """Read the value that `event` begins."""
        kind: type = type(event)
        if kind is self.scalar:
            return Value(*self._scalar(event))
        where = self._span(event.start_mark, event.end_mark)
        if kind is self.alias:
            hint = "write out what it stands for: a ruleset takes no anchors and aliases"
            self._problem(where, REFUSED_YAML, "an alias stands here", hint)
            return Value(None, where)
        if depth >= DEEPEST:
            what = f"lists and mappings are nested more than {DEEPEST} deep here"
            self._problem(
                where, TOO_BIG, what, "no ruleset needs that; look for brackets that were not closed"
            )
            raise _Stop
        self.count += 1
        if self.count > MOST:
            self._too_many(event)
        if event.anchor is not None or event.tag is not None:
            self._refuse_extras(event)
        return self._mapping(event, depth) if kind is self.mapping_start else self._list(event, depth)

    def _list(self, start: _Event, depth: int) -> Value:
        items: list[Value] = []
        end = self.sequence_end
        while type(event := self.next()) is not end:
            items.append(self._value(event, depth + 1))
        return Value(Items(tuple(items)), self._around(start, event, items[-1].span if items else None))

    def _mapping(self, start: _Event, depth: int) -> Value:
        pairs: dict[str, Pair] = {}
        last: Span | None = None
        end = self.mapping_end
        while type(event := self.next()) is not end:
            key, key_span = self._key(event, depth)
            value = self._value(self.next(), depth + 1)
            last = value.span
            if key is None:
                continue
            earlier = pairs.get(key)
            if earlier is None:
                pairs[key] = Pair(key, key_span, value)
                continue
            what = f"{key!r} is written twice in the same place"
            hint = f"it stands on line {earlier.key_span.line} already; keep one of the two"
            self._problem(key_span, DUPLICATE_KEY, what, hint)
        return Value(Pairs(tuple(pairs.values())), self._around(start, event, last))

    def _key(self, event: _Event, depth: int) -> tuple[str | None, Span]:
        """Read a key. None when it is a list or a mapping and cannot name anything."""
        if type(event) is not self.scalar:
            value = self._value(event, depth + 1)
            self._problem(value.span, REFUSED_YAML, "a key that is not text stands here", "a key is one word")
            return None, value.span
        data, span = self._scalar(event)
        if isinstance(data, str):
            return data, span
        written = event.value
        hint = f"put it in quotes: '{written}'" if written else "write a word before the colon"
        what = f"the key {written} is not text" if written else "a key is missing before this colon"
        self._problem(span, REFUSED_YAML, what, hint)
        return written, span

    def _scalar(self, event: _Event) -> tuple[Scalar, Span]:
        """Give what a word or text stands for, and where it stands."""
        self.count += 1
        if self.count > MOST:
            self._too_many(event)
        start, end, style = event.start_mark, event.end_mark, event.style
        data: Scalar = event.value
        span = Span(self.file, start.line + 1, start.column + 1, end.line + 1, end.column + 1)
        if event.anchor is not None or event.tag is not None:
            self._refuse_extras(event)
        if not style:
            try:
                data = meaning(event.value)
            except ImpossibleNumberError as fault:
                self._problem(span, IMPOSSIBLE_NUMBER, str(fault), "write a plain number")
                data = 0
        elif style == '"':
            if HIDDEN.search(event.value):
                self._refuse_escapes(start, end)
                data = HIDDEN.sub("\ufffd", event.value)
        elif style in {"|", ">"}:
            span = self._trimmed(start, end)
        return data, span

    def _too_many(self, event: _Event) -> NoReturn:
        where = self._span(event.start_mark, event.end_mark)
        self._problem(where, TOO_BIG, f"this file holds more than {MOST} values", "split it")
        raise _Stop

    def _refuse_extras(self, event: _Event) -> None:
        """Refuse an anchor or a tag; the value itself is then read as if it had none."""
        if event.anchor is not None:
            what, sign, them = "an anchor", "&", "anchors and aliases"
        else:
            what, sign, them = "a tag", "!", "tags"
        mark = event.start_mark
        end = next(
            (i for i in range(mark.index, len(self.text)) if self.text[i] in " \t\r\n"), len(self.text)
        )
        width = max(end - mark.index, 1)
        span = Span(self.file, mark.line + 1, mark.column + 1, mark.line + 1, mark.column + 1 + width)
        hint = f"delete the word that begins with {sign}: a ruleset takes no {them}"
        self._problem(span, REFUSED_YAML, f"{what} stands here", hint)

    def _refuse_escapes(self, start: _Mark, end: _Mark) -> None:
        """Point at each escape of a quoted text that makes a hidden character."""
        for match in _ESCAPE.finditer(self.text, start.index, end.index):
            digits = match[0][2:]
            code = match[0][1]
            made = _SIMPLE_ESCAPES.get(code, "") if code not in "xuU" else chr(int(digits, 16))
            if not made or not HIDDEN.match(made):
                continue
            line, column = start.line + 1, start.column + 1 + match.start() - start.index
            before = SourceText.of("", self.text[start.index : match.start()]).lines
            if len(before) > 1:
                line, column = line + len(before) - 1, len(before[-1]) + 1
            span = Span(self.file, line, column, line, column + len(match[0]))
            self._make_room()
            self.problems.append(refused_character(span, made))

    def _trimmed(self, start: _Mark, end: _Mark) -> Span:
        """Give the span of a block text without the empty lines that follow it."""
        lines = SourceText.of("", self.text[start.index : end.index].rstrip()).lines
        if len(lines) == 1:
            return Span(
                self.file, start.line + 1, start.column + 1, start.line + 1, start.column + 1 + len(lines[0])
            )
        return Span(self.file, start.line + 1, start.column + 1, start.line + len(lines), len(lines[-1]) + 1)

    def _around(self, start: _Event, end: _Event, last: Span | None) -> Span:
        """Give the span of a list or mapping: to its bracket, or to the end of its last value.

        The end of a block is not written anywhere; libyaml puts it where the next thing begins.
        """
        first = start.start_mark
        if start.flow_style or last is None:
            return self._span(first, end.end_mark)
        return Span(self.file, first.line + 1, first.column + 1, last.end_line, last.end_column)

    def _span(self, start: _Mark, end: _Mark) -> Span:
        return Span(self.file, start.line + 1, start.column + 1, end.line + 1, end.column + 1)

    def _problem(self, span: Span, check: CheckName, message: str, hint: str) -> None:
        self._make_room()
        self.problems.append(Problem(span, check, message, hint))

    def _make_room(self) -> None:
        """Stop reading a file that is all faults: nobody reads the five-hundredth."""
        if len(self.problems) >= _REPORTED:
            raise _Stop


_TOO_DEEP: Final = "exceeded maximum nesting depth"
"""What libyaml says of a thousand brackets, before it hands over the forty-first."""

_SAYINGS: Final = {
    _TOO_DEEP: (
        f"lists and mappings are nested more than {DEEPEST} deep here",
        "no ruleset needs that; look for brackets that were not closed",
    ),
    "mapping values are not allowed in this context": (
        "a second ': ' stands in the same text here",
        "put the text in quotes, or begin a new line",
    ),
    "found character that cannot start any token": (
        "nothing can begin with this character here",
        "put the text in quotes; a tab cannot be used to indent",
    ),
    "found unexpected end of stream": ("the file ends inside a text in quotes", "close the quotes"),
    "did not find expected node content": (
        "a value is missing here",
        "look for a bracket that was not closed",
    ),
    "did not find expected ',' or '}'": (
        "this '{' is not closed",
        "a comma or a '}' is missing, or quotes round a text that holds ': '",
    ),
    "did not find expected ',' or ']'": ("this '[' is not closed", "a comma or a ']' is missing"),
    "did not find expected key": (
        "this line does not go on from the one before it",
        "indent it like its neighbours; a text that begins with a quote must end with it",
    ),
    "could not find expected ':'": ("a colon is missing after this key", "write key: value"),
    "did not find expected '-' indicator": (
        "a list stops here without its end",
        "each item of a list begins with '- ', indented alike",
    ),
    "found a tab character that violates indentation": ("a tab indents this line", "indent with spaces"),
    "did not find expected <document start>": (
        "this stands after the end of the ruleset",
        "take out the line '...' before it, or what follows it",
    ),
    "found invalid Unicode character escape code": (
        "this escape stands for no character",
        "type the character itself",
    ),
}
"""What libyaml says most, in the words of someone who writes rules and not YAML."""


def _broken(source: SourceText, error: Exception) -> Problem:
    """Say where the text stops being YAML."""
    mark = getattr(error, "problem_mark", None)
    said = getattr(error, "problem", None) or "this is not YAML"
    message, hint = _SAYINGS.get(said, (said, "look at this line and the one before it"))
    if mark is None:
        return Problem(whole_file(source.name), BROKEN_YAML, message, hint)
    line = min(mark.line + 1, len(source.lines))
    column = mark.column + 1 if line == mark.line + 1 else len(source.lines[line - 1]) + 1
    if said in {"did not find expected ',' or '}'", "did not find expected ',' or ']'"}:
        opened = getattr(error, "context_mark", None)
        if opened is not None:
            line, column = opened.line + 1, opened.column + 1
    check = TOO_BIG if said == _TOO_DEEP else BROKEN_YAML
    return Problem(Span(source.name, line, column, line, column + 1), check, message, hint)
