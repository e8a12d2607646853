"""The interface's own texts, read out of the sources: which are marked, which are not, and the template.

    python -m tests.support.texts > canebrake.pot

writes the template that translators begin from: a file of gettext, which every tool for it opens.
"""

import ast
import re
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests.support.running import ROOT

FOLDERS: Final = (
    "tui/app",
    "tui/box.py",
    "tui/choosing.py",
    "tui/desk.py",
    "tui/draw/blades.py",
    "tui/draw/known.py",
    "tui/draw/outline.py",
    "tui/draw/terminal.py",
    "tui/language.py",
    "tui/offering.py",
    "tui/plain/answers.py",
    "tui/plain/cards.py",
    "tui/plain/commands.py",
    "tui/plain/front.py",
    "tui/plain/keeping.py",
    "tui/plain/picking.py",
    "tui/plain/practising.py",
    "tui/plain/replaying.py",
    "tui/plain/said.py",
    "tui/reasons.py",
    "tui/words.py",
)
"""Where every text that people see is marked; the test of unmarked texts walks through these."""
MARKS: Final[Mapping[str, tuple[int, ...]]] = {
    "worded": (0,),
    "worded_later": (0,),
    "worded_count": (0, 1),
    # A key's description and tooltip are texts: whoever shows a binding gives them to `worded`.
    "Binding": (2,),
}
_SILENT_PARTS: Final = frozenset(
    {"id", "classes", "name", "group", "key_display", "action", "severity", "timespec", "tooltip"}
)
"""Arguments that nobody reads; `tooltip` is a text, and marked by its name."""
_SILENT_CALLS: Final = frozenset(
    {"query", "query_one", "TypeVar", "set_classes", "cast", "compile", "Binding"}
)
_STYLE: Final = re.compile(r"\s*((bold|italic|underline|on|\$[\w-]+)(\s+|$))+")
_WORD: Final = re.compile(r"[^\W\d_]")


@dataclass(frozen=True, slots=True, order=True)
class Text:
    """One text of a source."""

    path: str
    line: int
    text: str
    many: str = ""
    """The form for several, where there is one."""


def sources(*places: str) -> Iterator[Path]:
    """Give the modules of folders and files of the project, in order."""
    for place in places:
        found = ROOT / place
        yield from sorted(found.rglob("*.py")) if found.is_dir() else (found,)


def marked(path: Path) -> list[Text]:
    """Give the texts of a module that a translation can reach."""
    found = []
    for call in _calls(ast.parse(path.read_text(encoding="utf-8"))):
        for texts in _texts_of(call):
            found += [Text(_place(path), call.lineno, *text) for text in texts]
    return found


def unmarked(path: Path) -> list[Text]:
    """Give what looks like a text for people in a module and is not marked."""
    looked = _Unmarked()
    looked.visit(ast.parse(path.read_text(encoding="utf-8")))
    return [Text(_place(path), line, text) for line, text in looked.found]


def template(*places: str) -> str:
    """Give the template of a catalogue of all marked texts, each once, with the places where it stands."""
    lines = [
        'msgid ""',
        'msgstr ""',
        '"Content-Type: text/plain; charset=UTF-8\\n"',
        '"Content-Transfer-Encoding: 8bit\\n"',
        '"Plural-Forms: nplurals=INTEGER; plural=EXPRESSION;\\n"',
    ]
    where: dict[str, list[Text]] = {}
    for path in sources(*places):
        for one in marked(path):
            where.setdefault(one.text, []).append(one)
    for text, stands in where.items():
        many = next((one.many for one in stands if one.many), "")
        lines += ["", *(f"#: {one.path}:{one.line}" for one in stands)]
        if "{" in text:
            lines.append("#, python-brace-format")
        lines.append(f"msgid {_quoted(text)}")
        if many:
            lines += [f"msgid_plural {_quoted(many)}", 'msgstr[0] ""', 'msgstr[1] ""']
        else:
            lines.append('msgstr ""')
    return "\n".join(lines) + "\n"


def _place(path: Path) -> str:
    return path.relative_to(ROOT).as_posix() if path.is_relative_to(ROOT) else path.name


def _calls(tree: ast.AST) -> Iterator[ast.Call]:
    return (one for one in ast.walk(tree) if isinstance(one, ast.Call))


def _called(call: ast.Call) -> str:
    match call.func:
        case ast.Name(id=name) | ast.Attribute(attr=name):
            return name
        case _:
            return ""


def _texts_of(call: ast.Call) -> Iterator[list[tuple[str, ...]]]:
    """Give the texts that a call marks: one, one for each branch of a condition, or one with its plural."""
    places = MARKS.get(_called(call), ())
    if _called(call) == "worded_count":
        yield [tuple(next(iter(_constants(call.args[at]))) for at in places)]
    else:
        yield [(text,) for at in places if at < len(call.args) for text in _constants(call.args[at])]
    yield [(text,) for part in call.keywords if part.arg == "tooltip" for text in _constants(part.value)]


def _constants(part: ast.expr) -> Iterator[str]:
    match part:
        case ast.Constant(value=str(text)):
            yield text
        case ast.IfExp(body=one, orelse=other):
            yield from _constants(one)
            yield from _constants(other)


class _Unmarked(ast.NodeVisitor):
    """Walks past all that nobody reads: marked texts, docstrings, ids, styles, what we raise ourselves."""

    def __init__(self) -> None:
        self.found: list[tuple[int, str]] = []

    def visit_Call(self, call: ast.Call) -> None:
        name = _called(call)
        if name in _SILENT_CALLS:
            return
        for at, part in enumerate(call.args):
            if at not in MARKS.get(name, ()):
                self.visit(part)
        for keyword in call.keywords:
            if keyword.arg not in _SILENT_PARTS:
                self.visit(keyword.value)
        self.visit(call.func)

    def visit_Raise(self, _raised: ast.Raise) -> None:
        """Exceptions are for ourselves."""

    def visit_Expr(self, said: ast.Expr) -> None:
        if not isinstance(said.value, ast.Constant):
            self.generic_visit(said)

    def visit_AnnAssign(self, assigned: ast.AnnAssign) -> None:
        if assigned.value is not None:
            self.visit(assigned.value)

    def visit_FunctionDef(self, function: ast.FunctionDef | ast.AsyncFunctionDef) -> None:
        for part in (*function.body, *function.args.defaults):
            self.visit(part)

    def visit_AsyncFunctionDef(self, function: ast.AsyncFunctionDef) -> None:
        self.visit_FunctionDef(function)

    def visit_JoinedStr(self, joined: ast.JoinedStr) -> None:
        said = "".join(str(part.value) for part in joined.values if isinstance(part, ast.Constant))
        self._judge(joined.lineno, said, is_joined=True)
        for part in joined.values:
            if isinstance(part, ast.FormattedValue):
                self.visit(part.value)

    def visit_Constant(self, constant: ast.Constant) -> None:
        if isinstance(constant.value, str):
            self._judge(constant.lineno, constant.value, is_joined=False)

    def _judge(self, line: int, text: str, *, is_joined: bool) -> None:
        told = text.strip()
        if not _WORD.search(told) or _STYLE.fullmatch(text) or re.fullmatch(r"[A-Z_]{3,}", text):
            return
        # Half a text, put together with others, is one even where it is a single small word.
        words = [one for one in re.split(r"\s+", told) if len(_WORD.findall(one)) > 1]
        if " " in told or told[0].isupper() or (is_joined and " " in text and words):
            self.found.append((line, text))


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'


if __name__ == "__main__":
    sys.stdout.write(template("tui"))
