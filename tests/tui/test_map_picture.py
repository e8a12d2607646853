"""The map as a picture: where everything lies, that every link can be followed, and that text stays text."""

import random
import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path

import pytest

from kb.graph import EntryKind, Graph, LinkKind, MapEntry, MapLink, graph_of
from kb.ids import PriorityId, RulesetId
from kb.load import load_file
from kb.model import Answer, Priority, Ruleset
from tests.support.gallery import REED, live
from tests.support.running import run_here
from tui.draw.harms import LEAST_HARM, worth_drawing
from tui.draw.known import Known
from tui.draw.map_pages import ROOM, share_out
from tui.draw.map_svg import LOOKS, draw_pages, draw_sheet
from tui.draw.palette import GREY, INK, VERMILION, WHITE, contrast
from tui.draw.printing import NO_PDF, NO_PNG
from tui.draw.sheet import BOX, Sheet, lay_sheet
from tui.draw.svg import written

ROOT = Path(__file__).resolve().parents[2]
GOLDEN = ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml"
SHIPPED = [*sorted((ROOT / "rulesets").glob("*.yaml")), GOLDEN]
SVG = "{http://www.w3.org/2000/svg}"
RANKS = (PriorityId("first"), PriorityId("second"))
BARE = Ruleset(RulesetId("x"), "X", "1", priorities=tuple(Priority(one, str(one)) for one in RANKS))
TAGS = {f"{SVG}{tag}" for tag in ("svg", "g", "rect", "path", "text", "title")}
HOSTILE = [
    "</title></svg><script>alert(1)</script>",
    '" onload="alert(1)',
    "' onmouseover='x",
    "<![CDATA[ x ]]> <!-- y --> <?php z ?>",
    "&lt;b&gt; &amp; &#9837; &nope;",
    "<image href='file:///etc/passwd'/>",
    "\x1b[31mred\x07 and \u202eturned and \ufffe\uffff",
    "\ud800 half a letter",
    "竹が鳴らない 先端が厚い",
    "e\u0301\u0323\u0300" * 40,
    "W" * 10_000,
    "a b " * 2_500,
    "",
]


def random_graph(seed: int, most: int = 16) -> Graph:
    source = random.Random(seed)
    kinds = ((EntryKind.SYMPTOM, RANKS[0]), (EntryKind.SYMPTOM, RANKS[1]), (EntryKind.SIGN, None))
    findings = []
    for number in range(source.randint(0, most)):
        kind, rank = source.choice(kinds)
        findings.append(MapEntry(f"f{number}", kind, f"f{number} " * source.randint(1, 9), rank))
    causes = [MapEntry(f"c{n}", EntryKind.CAUSE, f"c{n}") for n in range(source.randint(0, most))]
    acts = [
        MapEntry(f"r{n}", source.choice((EntryKind.REMEDY, EntryKind.REST)), f"r{n}")
        for n in range(source.randint(0, most))
    ]
    density = source.choice((0.05, 0.15, 0.4))
    links = [
        MapLink(one.id, other.id, kind, source.random(), source.choice(("", "often", "a word of its own")))
        for ones, others, kinds_ in (
            (causes, findings, (LinkKind.SHOWS,)),
            (acts, causes, (LinkKind.CURES, LinkKind.PROVOKES)),
        )
        for one in ones
        for other in others
        for kind in kinds_
        if source.random() < density
    ]
    return Graph(BARE.id, "X", "1", RANKS, (*findings, *causes, *acts), tuple(links))


def followed(sheet: Sheet) -> set[MapLink]:
    """Look which boxes the ends of each line touch, and give the links that the lines then say."""

    def box_at(x: float, y: float, right: float) -> str:
        touched = [
            box.entry.id
            for box in sheet.boxes
            if abs(box.left + right - x) < 0.01 and box.top < y < box.top + box.height
        ]
        assert len(touched) == 1
        return touched[0]

    return {
        replace(line.link, source=box_at(*line.end, 0.0), target=box_at(*line.start, BOX))
        for line in sheet.lines
    }


@pytest.mark.parametrize("seed", range(0, 300, 4))
def test_following_the_lines_of_a_drawn_map_finds_its_links_and_no_others(seed: int) -> None:
    graph = random_graph(seed)
    sheet = lay_sheet(graph, {})
    assert followed(sheet) == set(graph.links)
    assert {box.entry for box in sheet.boxes} == set(graph.entries)
    ends = [line.start for line in sheet.lines] + [line.end for line in sheet.lines]
    assert len(set(ends)) == len(ends)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_the_pages_of_a_shipped_ruleset_hold_every_entry_and_link_together(path: Path) -> None:
    ruleset = load_file(path).ruleset
    assert ruleset is not None
    graph = worth_drawing(graph_of(ruleset))
    pages = share_out(graph, ruleset)
    assert {link for page in pages for link in page.graph.links} == set(graph.links)
    assert {entry for page in pages for entry in page.graph.entries} == set(graph.entries)
    for page in pages:
        sheet = lay_sheet(page.graph, dict.fromkeys(page.elsewhere, ""))
        assert followed(sheet) == set(page.graph.links)
        assert sheet.height <= ROOM


def test_pictures_leave_out_what_is_hardly_ever_provoked_and_nothing_else() -> None:
    graph = random_graph(7, 60)
    slight = {link for link in graph.links if link.kind is LinkKind.PROVOKES and link.chance < LEAST_HARM}
    faint = replace(graph, links=tuple(replace(one, chance=0.04) for one in graph.links))
    assert set(worth_drawing(graph).links) == set(graph.links) - slight
    assert worth_drawing(graph).entries == graph.entries
    assert {link.kind for link in worth_drawing(faint).links} == {LinkKind.SHOWS, LinkKind.CURES}


@pytest.mark.parametrize("seed", range(0, 300, 20))
def test_pages_hold_every_link_of_a_random_map_and_say_where_else_a_cause_shows(seed: int) -> None:
    graph = random_graph(seed, 60)
    pages = share_out(graph, BARE)
    assert {link for page in pages for link in page.graph.links} == set(graph.links)
    assert {entry for page in pages for entry in page.graph.entries} == set(graph.entries)
    for number, page in enumerate(pages, start=1):
        for cause, others in page.elsewhere.items():
            shows = {
                at
                for at, one in enumerate(pages, start=1)
                for link in one.graph.links
                if link.source == cause
            }
            assert shows == {number, *others}


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_no_two_boxes_lie_on_each_other_and_labels_have_their_own_line(seed: int) -> None:
    sheet = lay_sheet(random_graph(seed), {})
    for one, other in combinations(sheet.boxes, 2):
        if one.column == other.column:
            assert one.top + one.height <= other.top or other.top + other.height <= one.top
    starts = sorted(line.start for line in sheet.lines)
    for (x1, y1), (x2, y2) in pairwise(starts):
        assert x1 != x2 or y2 - y1 > 6.2


def entries_of(title: str) -> Graph:
    entries = (
        MapEntry("f", EntryKind.SYMPTOM, title, RANKS[0]),
        MapEntry("c", EntryKind.CAUSE, title),
        MapEntry("r", EntryKind.REMEDY, title),
    )
    links = (
        MapLink("c", "f", LinkKind.SHOWS, 0.5, title),
        MapLink("r", "c", LinkKind.CURES, 0.5, title),
        MapLink("r", "c", LinkKind.PROVOKES, 0.5, title),
    )
    return Graph(RulesetId("x"), title, title, RANKS, entries, links)


def shape(pages: Sequence[ET.Element]) -> list[list[tuple[str, list[str]]]]:
    return [[(part.tag, sorted(part.attrib)) for part in page.iter()] for page in pages]


@pytest.mark.parametrize("title", HOSTILE, ids=lambda title: ascii(title[:12]))
def test_hostile_text_makes_no_element_and_no_attribute(title: str) -> None:
    known = Known(title, {"f": Answer.YES}, {"c": 0.7})
    graph = entries_of(title)
    for page in (draw_sheet(graph, known), *draw_pages(graph, BARE, known)):
        read = ET.fromstring(written(page))  # noqa: S314 - written by us, and this proves it well formed
        assert {part.tag for part in read.iter()} <= TAGS
        assert not [name for part in read.iter() for name in part.attrib if name.startswith("on")]
        texts = ["".join(part.itertext()) for part in read.iter(f"{SVG}text")]
        assert max(map(len, texts)) < 400
        assert not re.search("[\x00-\x1f\x7f\u202e\ud800]", "".join(texts))


def test_a_title_that_is_cut_says_so_and_stands_whole_behind_the_pointer() -> None:
    graph = entries_of("a word and another " * 60)
    drawn = written(draw_sheet(graph))
    assert "…" in drawn
    assert f"symptom: {graph.entries[0].title} (f)" in drawn


def test_a_strong_link_is_wider_and_its_chance_is_said_in_word_and_number() -> None:
    def widths(chance: float) -> tuple[float, str]:
        graph = replace(entries_of("x"), links=(MapLink("c", "f", LinkKind.SHOWS, chance, "often"),))
        read = ET.fromstring(written(draw_sheet(graph)))  # noqa: S314 - the same
        group = next(part for part in read.iter(f"{SVG}g") if part.get("class") == "link")
        line = next(part for part in group.iter(f"{SVG}path") if part.get("class") == "line")
        return float(line.get("stroke-width", "")), "".join(group.itertext())

    assert widths(0.9)[0] > widths(0.5)[0] > widths(0.1)[0]
    assert "often 0.50" in widths(0.5)[1]


def test_what_is_known_of_a_reed_stands_on_the_map_in_words_and_signs() -> None:
    drawn = written(draw_sheet(entries_of("x"), Known("Alder 3", {"f": Answer.NO}, {"c": 0.62})))
    for said in ("it does not show", "✗", "62 %", "the reed Alder 3", "✓ shows"):
        assert said in drawn


@pytest.mark.parametrize("look", LOOKS.values())
def test_text_on_every_fill_can_be_read(look: object) -> None:
    fill = getattr(look, "fill", "")
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1.
    assert contrast(INK, fill) >= 4.5
    assert contrast(GREY, fill) >= 4.5


def test_labels_can_be_read_on_paper() -> None:
    assert contrast(GREY, WHITE) >= 4.5
    assert contrast(VERMILION, WHITE) >= 3.0


@cache
def bassoon() -> Ruleset:
    ruleset = load_file(ROOT / "rulesets" / "bassoon.yaml").ruleset
    assert ruleset is not None
    return ruleset


def test_several_pages_get_a_file_each(tmp_path: Path) -> None:
    ran = run_here(["map", "bassoon", "-o", str(tmp_path / "map.svg")], tmp_path)
    assert ran.code == 0
    found = sorted(path.name for path in tmp_path.glob("map-*.svg"))
    assert found[0] == "map-01.svg"
    assert f"{len(found)} pages" in ran.err
    one = run_here(["map", "bassoon", "--sheet", "-o", str(tmp_path / "sheet.svg")], tmp_path)
    assert (one.code, one.err) == (0, "")
    assert (tmp_path / "sheet.svg").read_text().count('class="entry') == len(graph_of(bassoon()).entries)


def test_several_pages_do_not_go_to_the_next_program_as_one(tmp_path: Path) -> None:
    ran = run_here(["map", "bassoon", "--format", "svg"], tmp_path)
    assert ran.code == 2
    assert "-o" in ran.err
    assert "--sheet" in ran.err


def test_an_svg_needs_no_other_program_and_no_library(tmp_path: Path) -> None:
    ran = run_here(["map", str(GOLDEN), "--format", "svg"], tmp_path)
    assert ran.code == 0
    assert ET.fromstring(ran.out).tag == f"{SVG}svg"  # noqa: S314 - written by us


@pytest.mark.parametrize("suffix, begins", [("png", b"\x89PNG\r\n\x1a\n"), ("pdf", b"%PDF-")])
def test_png_and_pdf_are_what_they_say(suffix: str, begins: bytes, tmp_path: Path) -> None:
    pytest.importorskip("resvg_py" if suffix == "png" else "weasyprint", exc_type=ImportError)
    path = tmp_path / f"map.{suffix}"
    ran = run_here(["map", str(GOLDEN), "-o", str(path)], tmp_path)
    if ran.err == f"canebrake: {NO_PDF}.\n":
        pytest.skip("WeasyPrint is installed, and Pango is not")
    assert (ran.code, ran.err) == (0, "")
    assert path.read_bytes().startswith(begins)


@pytest.mark.parametrize(
    "suffix, library, said", [("png", "resvg_py", NO_PNG), ("pdf", "weasyprint", NO_PDF)]
)
def test_without_its_library_a_picture_says_which_extra_to_install(
    suffix: str, library: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(__import__("sys").modules, library, None)
    ran = run_here(["map", str(GOLDEN), "-o", str(tmp_path / f"map.{suffix}")], tmp_path)
    assert ran.code == 2
    assert ran.err == f"canebrake: {said}.\n"
    assert not list(tmp_path.glob("map*"))


@pytest.mark.parametrize("form", ["text", "outline", "svg"])
def test_what_the_log_knows_of_a_reed_is_written_on_every_kind_of_map(form: str, tmp_path: Path) -> None:
    live(tmp_path)
    words = ["map", "bassoon", "--about", "heart-heavy", "--reed", REED, "--format", form]
    ran = run_here(words, tmp_path, width=120)
    assert (ran.code, ran.err) == (0, "")
    assert REED in ran.out
    assert re.search(r"\d %", ran.out)


def test_a_reed_that_the_log_does_not_know_is_said(tmp_path: Path) -> None:
    live(tmp_path)
    ran = run_here(["map", "bassoon", "--reed", "Nobody"], tmp_path)
    assert ran.code == 2
    assert "Nobody" in ran.err
