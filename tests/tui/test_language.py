"""Our own texts: looked up where a catalogue was asked for, English where not; all of them are marked."""

import struct
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import pytest

from tests.support.lookalike import Lookalike, alike, in_plain_letters
from tests.support.running import ROOT, run_canebrake, run_here, run_python
from tests.support.texts import FOLDERS, marked, sources, template, unmarked
from tui.catalogue import FOLDER, LARGEST, CatalogueError, read_catalogue
from tui.language import texts_from, worded, worded_count

GERMAN: Final = {
    "": "Content-Type: text/plain; charset=UTF-8\nPlural-Forms: nplurals=3; plural=n==1 ? 0 : n<5 ? 1 : 2;\n",
    "{title}, all in all": "Alles in allem: {title}",
    "{count} sitting\0{count} sittings": "{count} Sitzung\0{count} Sitzungen\0viele Sitzungen",
    "Caution": "Vorsicht\x1b[2J",
    "Kept: {file}": "{file.__class__} {nobody} {file}",
}
NOT_TEXTS: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "a word to type, which stays as it is": {
        "answers.py": ("all fine", "something is wrong", "something else", "go on"),
        "desk.py": ('canebrake reeds pin "" ',),
        "front.py": ('canebrake interview --plain --reed ""',),
        "picking.py": ("a little", "don't know", "never mind"),
        "practising.py": ("set aside",),
        "commands.py": ("C",),
    },
    "a grade, as the log keeps it": {"reeds.py": ("set aside",), "commands.py": ("set aside",)},
    "what the choice of a line means": {"asking.py": ("another word",), "reeds.py": ("this reed",)},
    "a note, as rulesets write it": {"setting.py": ("C#3", "Bb2", "B3", "A4")},
    "a category of Unicode": {"box.py": ("Cc", "Cf", "Cs", "Co", "Cn")},
    "the part of a fault that it is known by": {"rules.py": ("changed by someone else",)},
    "the program's own name": {"main.py": ("canebrake: \n",)},
    "a unit": {"reeds.py": ("   – h",)},
    "YAML, for the reader of forms": {"formfield.py": ("value: \n",)},
    "a style": {"fitted.py": ("Fitted { height: auto; width: 1fr; }",)},
}
"""What looks like a text for people and is none: the reason, then by module."""


def compiled(texts: Mapping[str, str]) -> bytes:
    """Give a catalogue as `msgfmt` writes it: a table of texts, a table of translations, then both."""
    pairs = [(one.encode() + b"\0", other.encode() + b"\0") for one, other in sorted(texts.items())]
    at, tables, strings = 28 + 16 * len(pairs), [b"", b""], b""
    for side in (0, 1):
        for pair in pairs:
            tables[side] += struct.pack("<II", len(pair[side]) - 1, at + len(strings))
            strings += pair[side]
    head = struct.pack("<7I", 0x950412DE, 0, len(pairs), 28, 28 + 8 * len(pairs), 0, 0)
    return head + b"".join(tables) + strings


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Give a folder of canebrake's data with a German catalogue in it."""
    (tmp_path / FOLDER).mkdir()
    (tmp_path / FOLDER / "de.mo").write_bytes(compiled(GERMAN))
    return tmp_path


def test_a_text_is_english_until_a_catalogue_is_there() -> None:
    assert worded("{title}, all in all", title="Response") == "Response, all in all"
    with texts_from(Lookalike()):
        assert worded("{title}, all in all", title="Response") == f"Response{alike(', all in all')}"
    assert worded("Caution") == "Caution"


def test_parts_are_put_in_by_name_and_never_read_as_texts_themselves(home: Path) -> None:
    with texts_from(read_catalogue({"LANGUAGE": "de"}, home)):
        assert worded("{title}, all in all", title="{title} 100 %") == "Alles in allem: {title} 100 %"
        # Nothing is evaluated, whatever the catalogue asks for.
        assert worded("Kept: {file}", file="a.svg") == "{file.__class__} {nobody} a.svg"
        assert worded("") == "", "not what the catalogue says of itself"


def test_another_language_has_its_own_plurals(home: Path) -> None:
    said = [worded_count("{count} sitting", "{count} sittings", count) for count in (0, 1, 2)]
    assert said == ["0 sittings", "1 sitting", "2 sittings"]
    with texts_from(read_catalogue({"LANGUAGE": "de"}, home)):
        said = [worded_count("{count} sitting", "{count} sittings", count) for count in (1, 2, 9)]
    assert said == ["1 Sitzung", "2 Sitzungen", "viele Sitzungen"]


def test_a_translation_that_would_steer_a_terminal_is_not_shown(home: Path) -> None:
    with texts_from(read_catalogue({"LANGUAGE": "de"}, home)):
        assert worded("Caution") == "Caution"


@pytest.mark.parametrize(
    "liked, is_found",
    [
        ("de", True),
        ("de_AT.UTF-8", True),
        ("fr:de", True),
        ("en_GB:de", False),
        ("C", False),
        ("fr", False),
        ("../languages/de", False),
        ("", False),
    ],
)
def test_the_first_language_that_is_there_is_taken(liked: str, is_found: bool, home: Path) -> None:  # noqa: FBT001 - a row of the table
    assert (read_catalogue({"LANGUAGE": liked}, home) is not None) == is_found


@pytest.mark.parametrize(
    "content",
    [b"", b"no catalogue", compiled(GERMAN)[:90], b"\0" * (LARGEST + 1)],
    ids=["empty", "text", "cut", "large"],
)
def test_a_spoilt_catalogue_is_told_and_english_goes_on(content: bytes, home: Path) -> None:
    (home / FOLDER / "de.mo").write_bytes(content)
    with pytest.raises(CatalogueError, match=r"de\.mo"):
        read_catalogue({"LANGUAGE": "de"}, home)
    ran = run_canebrake(["check", "--about", "island"], home, env={"LANGUAGE": "de"})
    assert ran.code == 0
    assert "de.mo" in ran.err


def test_without_a_language_asked_for_no_catalogue_is_looked_for(tmp_path: Path) -> None:
    code = """
import sys
from tui.cli.commands import run_commands
from tui.wiring import here
run_commands(["--help"], here())
import tui.app.main
print("tui.catalogue" in sys.modules)
"""
    assert run_python(["-c", code], tmp_path).out.endswith("False\n")
    asked = run_python(["-c", code], tmp_path, env={"LANGUAGE": "de"})
    assert asked.out.endswith("True\n")


def test_every_text_that_people_see_is_marked() -> None:
    may = {
        (name, one) for by_module in NOT_TEXTS.values() for name, them in by_module.items() for one in them
    }
    left = {(Path(one.path).name, one.text): one for path in sources(*FOLDERS) for one in unmarked(path)}
    told = [f"{one.path}:{one.line}: {one.text!r}" for key, one in left.items() if key not in may]
    assert not told, "give these to `worded` (tui/language.py), or name them above with the reason"
    assert may == left.keys(), "what is excused must still be there"


WHISTLE: Final = ROOT / "tests/golden/penny-whistle-voicing.yaml"
TYPED: Final = "?\nplay\n1\nxyz\ndo\n1\nrest\n1\nso far\nstop ready\n"


def test_plain_practice_is_in_another_language_from_end_to_end(tmp_path: Path) -> None:
    known = {one.text: one.many for path in sources(*FOLDERS) for one in marked(path)}
    several = {one.text: one.many for path in sources(*FOLDERS) for one in marked(path) if one.many}
    texts = {"": "Content-Type: text/plain; charset=UTF-8\nPlural-Forms: nplurals=2; plural=n != 1;\n"}
    texts |= {text: alike(text) for text in known if text not in several}
    texts |= {f"{one}\0{many}": f"{alike(one)}\0{alike(many)}" for one, many in several.items()}
    (tmp_path / FOLDER).mkdir()
    (tmp_path / FOLDER / "de.mo").write_bytes(compiled(texts))
    ran = run_here(["practice", str(WHISTLE), "--plain"], tmp_path, given=TYPED, env={"LANGUAGE": "de"})
    assert alike("Your steps:") in ran.out
    assert in_plain_letters(ran.out, WHISTLE.read_text(encoding="utf-8"), TYPED) == set()


def test_a_text_without_a_mark_would_be_seen(tmp_path: Path) -> None:
    cases = {
        'say("All is well")': True,
        'say(f"{count} of them")': True,
        'say("Keys")': True,
        'say(worded("All is well"))': False,
        'say(worded("{count} of them", count=f"{count:.0f}"))': False,
        '"""All is well."""': False,
        'pick(classes="sheet -line", id="a b")': False,
        'styled(text, "bold $quiet on $cap")': False,
        'raise ValueError("All is lost")': False,
        'Binding("y", "answer(1, 2)", "say yes", tooltip="It shows")': False,
    }
    path = tmp_path / "example.py"
    for code, is_seen in cases.items():
        path.write_text(code, encoding="utf-8")
        assert bool(unmarked(path)) == is_seen, code


def test_the_template_holds_every_marked_text_once() -> None:
    made = template(*FOLDERS)
    texts = {one.text for path in sources(*FOLDERS) for one in marked(path)}
    assert {"Caution", "It shows", "{count} sitting", "stands still; {key} goes on"} <= texts
    assert made.count("\nmsgid ") == len(texts)
    assert 'msgid "{count} sitting"\nmsgid_plural "{count} sittings"\nmsgstr[0] ""' in made
