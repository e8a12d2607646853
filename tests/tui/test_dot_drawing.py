"""DOT from a ruleset that may come from anyone: its text stays text."""

import re
import shutil
import subprocess
import sysconfig
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pytest

from kb.graph import EntryKind, Graph, LinkKind, MapEntry, MapLink, graph_of
from kb.ids import RulesetId
from kb.load import load_file
from tui.draw.dot import draw_dot

ROOT = Path(__file__).resolve().parents[2]
GOLDEN = ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml"
GRAPHVIZ = shutil.which("dot") or shutil.which("graphviz-pure", path=sysconfig.get_path("scripts"))
HOSTILE = [
    '" shape=none image="/etc/passwd',
    "<b>bold</b>",
    "<<table><tr><td>x</td></tr></table>>",
    r"\N \G \l \n backslashes",
    "trailing backslash\\",
    r"\" quoted",
    "&lt;script&gt; &amp; &#9837;",
    "<script>alert(1)</script>",
    '"]; injected [label="oops',
    "} digraph two { a -> b",
    "//comment /* here */ #",
    "E\u266d and F\u266f, \u7af9",
]
SVG = "{http://www.w3.org/2000/svg}"

needs_graphviz = pytest.mark.skipif(
    GRAPHVIZ is None, reason="neither Graphviz nor graphviz-pure is installed"
)


def one_entry(title: str) -> Graph:
    entry = MapEntry("only", EntryKind.CAUSE, title)
    return Graph(RulesetId("x"), title, "1", (), (entry,), ())


def drawn(graph: Graph) -> bytes:
    """Let Graphviz read the DOT, as whoever asked for DOT will."""
    ran = subprocess.run(
        [str(GRAPHVIZ), "-Tsvg"], input=draw_dot(graph).encode(), capture_output=True, check=True
    )
    return ran.stdout


@needs_graphviz
@pytest.mark.parametrize("title", HOSTILE)
def test_a_hostile_title_is_shown_literally_in_the_picture(title: str) -> None:
    picture = ET.fromstring(drawn(one_entry(title)))  # noqa: S314 - made by our own Graphviz
    nodes = [part for part in picture.iter(f"{SVG}g") if part.get("class") == "node"]
    assert len(nodes) == 1
    shown = " ".join("".join(text.itertext()).replace("\xa0", " ") for text in nodes[0].iter(f"{SVG}text"))
    assert "".join(shown.split()) == "".join(title.split())
    assert not list(picture.iter(f"{SVG}script"))
    assert not list(picture.iter(f"{SVG}image"))


@pytest.mark.parametrize("title", HOSTILE)
def test_a_hostile_title_makes_no_statement_of_its_own(title: str) -> None:
    plain, hostile = draw_dot(one_entry("plain")), draw_dot(one_entry(title))
    # Take all quoted texts out: what is left is the structure, and it must not have changed.
    quoted = re.compile(r'"(?:\\.|[^"\\])*"', re.DOTALL)

    def structure(dot: str) -> str:
        return re.sub(r"label=(?:Q|plain)", "label=T", quoted.sub("Q", dot))

    assert structure(hostile) == structure(plain)
    assert "label=<" not in hostile


def test_control_characters_in_a_title_are_spelled_out() -> None:
    assert "\x1b" not in draw_dot(one_entry("a\x1b[31mb\u202ec"))
    assert r"\\x1b" in draw_dot(one_entry("a\x1b[31mb"))


def test_a_strong_link_is_drawn_thicker_than_a_weak_one_and_says_its_word() -> None:
    entries = (MapEntry("c", EntryKind.CAUSE, "C"), MapEntry("f", EntryKind.SIGN, "F"))

    def pen(chance: float) -> float:
        link = MapLink("c", "f", LinkKind.SHOWS, chance, "often")
        dot = draw_dot(replace(one_entry("x"), entries=entries, links=(link,)))
        assert f"often {chance:.2f}" in dot
        found = re.search(r"penwidth=([0-9.]+)", dot)
        assert found is not None
        return float(found[1])

    assert pen(0.9) > pen(0.5) > pen(0.1)


@needs_graphviz
def test_the_picture_of_a_ruleset_holds_every_entry_and_link() -> None:
    ruleset = load_file(GOLDEN).ruleset
    assert ruleset is not None
    graph = graph_of(ruleset)
    picture = ET.fromstring(drawn(graph))  # noqa: S314 - made by our own Graphviz
    kinds = [part.get("class") for part in picture.iter(f"{SVG}g")]
    assert kinds.count("node") == len(graph.entries) == 10
    assert kinds.count("edge") == len(graph.links) == 8
