"""The schema in a real language server: yaml-language-server, from npm, as any editor runs it.

Outside: the server is other people's program; it was tried with version 1.25.0 and Node 20. Set
YAML_LANGUAGE_SERVER to its path (`npm install yaml-language-server` puts it into node_modules/.bin).
"""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from kb.schema.editors import for_editors
from tests.support.language_server import LanguageServer
from tests.support.running import ROOT

SERVER = os.environ.get("YAML_LANGUAGE_SERVER") or shutil.which("yaml-language-server")
WHISTLE = (ROOT / "tests/golden/penny-whistle-voicing.yaml").read_text(encoding="utf-8")

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(SERVER is None, reason="no yaml-language-server: set YAML_LANGUAGE_SERVER"),
]


@pytest.fixture
def server(tmp_path: Path) -> Iterator[LanguageServer]:
    (tmp_path / "schema.json").write_text(for_editors(), encoding="utf-8")
    with LanguageServer([str(SERVER), "--stdio"], tmp_path) as running:
        yield running


def _file(folder: Path, text: str) -> Path:
    path = folder / f"rules-{len(list(folder.iterdir()))}.yaml"
    path.write_text(f"# yaml-language-server: $schema=schema.json\n{text}", encoding="utf-8")
    return path


def _line(path: Path, text: str) -> int:
    return next(n for n, line in enumerate(path.read_text("utf-8").split("\n"), 1) if line.startswith(text))


@pytest.mark.parametrize(
    "source",
    [
        "tests/golden/penny-whistle-voicing.yaml",
        "tests/golden/penny-whistle-studio.yaml",
        "rulesets/bassoon.yaml",
    ],
)
def test_an_editor_finds_nothing_wrong_with_a_sound_ruleset(
    server: LanguageServer, tmp_path: Path, source: str
) -> None:
    assert server.open(_file(tmp_path, (ROOT / source).read_text(encoding="utf-8"))) == []


def test_an_editor_marks_a_wrong_key_and_a_wrong_word(server: LanguageServer, tmp_path: Path) -> None:
    slips = WHISTLE.replace("how_common: occasional", "how_comon: occasional", 1).replace(
        "undo: fully ", "undo: full "
    )
    path = _file(tmp_path, slips)
    found = {(one["range"]["start"]["line"] + 1, one["message"]) for one in server.open(path)}
    assert (_line(path, "    how_comon"), "Property how_comon is not allowed.") in found
    assert (
        _line(path, "    undo: full "),
        'Value is not accepted. Valid values: "fully", "partly", "never".',
    ) in found


def test_an_editor_completes_keys_and_words(server: LanguageServer, tmp_path: Path) -> None:
    path = _file(
        tmp_path,
        WHISTLE.replace("    undo: fully                   # fully | partly | never", "    \n    undo: "),
    )
    server.open(path)
    line = _line(path, "    undo:")

    def offered(at: int, column: int) -> set[str]:
        answer = server.at("completion", path, at, column)
        return {one["label"] for one in (answer["items"] if isinstance(answer, dict) else answer)}

    assert {"caution", "unless", "too_far"} <= offered(line - 1, 5)
    assert offered(line, 11) == {"fully", "partly", "never"}


def test_an_editor_explains_a_key(server: LanguageServer, tmp_path: Path) -> None:
    path = _file(tmp_path, WHISTLE)
    server.open(path)
    said = server.at("hover", path, _line(path, "    minutes: 3"), 6)
    assert "How long it takes" in said["contents"]["value"]


def test_an_editor_lets_a_layer_say_only_what_it_changes(server: LanguageServer, tmp_path: Path) -> None:
    head = "canebrake: 1\nid: a\ntitle: A\nversion: 0.1.0\n"
    layer = "extends: {id: bassoon, version: 1.0.0}\n"
    layer += "causes:\n  throat-tight:\n    how_common: rare\n    why: null\n"
    assert server.open(_file(tmp_path, head + layer)) == []
    found = [one["message"] for one in server.open(_file(tmp_path, f"{head}{layer}    nope: 1\n"))]
    assert found == ["Property nope is not allowed."]
    assert any("Missing property" in one["message"] for one in server.open(_file(tmp_path, head)))
