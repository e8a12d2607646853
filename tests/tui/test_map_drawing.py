"""The map in characters is read back by following its lines, and must say what the graph says.

The reader below knows only what Unicode says about each sign: which arms it has. It shares no code
with the drawing.
"""

import random
import unicodedata
from pathlib import Path

import pytest

from kb.graph import EntryKind, Graph, LinkKind, MapEntry, MapLink, graph_of
from kb.ids import PriorityId, RulesetId
from kb.load import load_file
from tests.bench.drawings import graph_of_size
from tui.draw.cells import cells
from tui.draw.layout import lay_out
from tui.draw.terminal import draw_map

ROOT = Path(__file__).resolve().parents[2]
GOLDEN = ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml"
SHIPPED = [*sorted((ROOT / "rulesets").glob("*.yaml")), GOLDEN]
MARKS = "●○◆■□"
HEADS = ("What shows", "Why", "What helps")
STROKES = {"─": "middling", "━": "strong", "┄": "weak", "═": "provokes"}


def arms(sign: str) -> set[str]:
    """Give the directions in which a box-drawing sign goes on, from its Unicode name."""
    if sign in STROKES:
        return {"left", "right"}
    if sign == "│":
        return {"up", "down"}
    words = unicodedata.name(sign).replace("BOX DRAWINGS ", "").split()
    if "VERTICAL" in words:
        words += ["UP", "DOWN"]
    return {word.lower() for word in words if word in {"UP", "DOWN", "LEFT", "RIGHT"}}


class Reader:
    """Follows lines with a finger."""

    def __init__(self, lines: tuple[str, ...]) -> None:
        self.columns = [lines[0].index(head) for head in HEADS]
        self.rows = [line.ljust(max(map(len, lines))) for line in lines[2:]]
        self.entry_at = {
            (row, column): self.rows[row][column + 2 :].split("─")[0].split("━")[0].split()[0].strip("│┤┘┐")
            for row in range(len(self.rows))
            for column in self.columns
            if self.rows[row][column] in MARKS
        }

    def links(self) -> dict[tuple[str, str], str]:
        """Give every pair of entries that a line joins, with the stroke right of the arm it leaves by."""
        found: dict[tuple[str, str], str] = {}
        for (row, column), name in self.entry_at.items():
            if column != self.columns[2]:
                found |= {(name, other): stroke for other, stroke in self.follow(row, column, name)}
        return found

    def follow(self, row: int, column: int, name: str) -> list[tuple[str, str]]:
        x = column + 2 + len(name)
        x += self.rows[row][x] == " "
        if self.rows[row][x] not in STROKES:
            return []
        while "left" not in arms(self.rows[row][x]) or self.rows[row][x] in STROKES:
            x += 1
        ends = []
        for step, onward, back in ((-1, "up", "down"), (1, "down", "up")):
            at = row
            while onward in arms(self.rows[at][x]):
                at += step
                assert back in arms(self.rows[at][x]), "an upright line ends in the air"
                if "right" in arms(self.rows[at][x]):
                    ends.append(self.arrive(at, x))
        return ends

    def arrive(self, row: int, x: int) -> tuple[str, str]:
        end = next(column for column in self.columns if column > x)
        stroke = self.rows[row][x + 1]
        for at in range(x + 1, end - 1):
            sign = self.rows[row][at]
            assert sign in STROKES or "left" not in arms(sign), "a line runs into another's way"
        return self.entry_at[row, end], stroke


def random_graph(seed: int, most: int = 16) -> Graph:
    source = random.Random(seed)
    ranks = (PriorityId("first"), PriorityId("second"))
    findings = [
        MapEntry(
            f"f{number}",
            *source.choice(
                (
                    (EntryKind.SYMPTOM, f"f{number}", source.choice(ranks)),
                    (EntryKind.SIGN, f"f{number}", None),
                )
            ),
        )
        for number in range(source.randint(0, most))
    ]
    causes = [
        MapEntry(f"c{number}", EntryKind.CAUSE, f"c{number}") for number in range(source.randint(0, most))
    ]
    kinds = (EntryKind.REMEDY, EntryKind.REST)
    operations = [
        MapEntry(f"r{number}", source.choice(kinds), f"r{number}")
        for number in range(source.randint(0, most))
    ]
    density = source.choice((0.05, 0.15, 0.4))
    links = [
        MapLink(cause.id, finding.id, LinkKind.SHOWS, source.random())
        for cause in causes for finding in findings if source.random() < density
    ]  # fmt: skip
    links += [
        MapLink(operation.id, cause.id, source.choice((LinkKind.CURES, LinkKind.PROVOKES)), source.random())
        for operation in operations for cause in causes if source.random() < density
    ]  # fmt: skip
    return Graph(RulesetId("x"), "X", "1", ranks, (*findings, *causes, *operations), tuple(links))


def pairs(graph: Graph) -> set[tuple[str, str]]:
    return {(link.target, link.source) for link in graph.links}


def with_short_titles(graph: Graph) -> tuple[Graph, dict[str, str]]:
    """Give the same graph with every title one short word, as the reader wants them."""
    short = {entry.id: f"x{number}" for number, entry in enumerate(graph.entries)}
    entries = tuple(
        MapEntry(entry.id, entry.kind, short[entry.id], entry.priority) for entry in graph.entries
    )
    return Graph(graph.ruleset, graph.title, graph.version, graph.priorities, entries, graph.links), short


@pytest.mark.parametrize("seed", range(300))
def test_following_the_lines_of_a_random_map_finds_its_links_and_no_others(seed: int) -> None:
    graph = random_graph(seed)
    drawing = draw_map(graph, 400)
    assert drawing is not None
    assert set(Reader(drawing).links()) == pairs(graph)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_following_the_lines_of_a_shipped_ruleset_finds_its_links_and_no_others(path: Path) -> None:
    ruleset = load_file(path).ruleset
    assert ruleset is not None
    graph, short = with_short_titles(graph_of(ruleset))
    drawing = draw_map(graph, 2000)
    assert drawing is not None
    assert set(Reader(drawing).links()) == {(short[one], short[other]) for one, other in pairs(graph)}
    assert len(pairs(graph)) > 5


@pytest.mark.parametrize("seed", range(0, 300, 7))
def test_the_stroke_right_of_an_arm_tells_how_strong_its_link_is(seed: int) -> None:
    graph = random_graph(seed)
    drawing = draw_map(graph, 400)
    assert drawing is not None
    expected = {}
    for link in graph.links:
        kind = "strong" if link.chance >= 0.7 else "middling" if link.chance >= 0.3 else "weak"
        expected[link.target, link.source] = "provokes" if link.kind is LinkKind.PROVOKES else kind
    assert {pair: STROKES[stroke] for pair, stroke in Reader(drawing).links().items()} == expected


@pytest.mark.parametrize("width", [60, 80, 100, 120])
def test_no_line_is_wider_than_the_terminal_and_what_does_not_fit_is_not_drawn(width: int) -> None:
    drawn = 0
    for seed in range(100):
        drawing = draw_map(random_graph(seed), width)
        if drawing is not None:
            drawn += 1
            assert all(len(line) <= width for line in drawing)
    assert drawn > 30


@pytest.mark.parametrize("seed", range(20))
def test_forty_entries_with_sixty_links_are_drawn_in_eighty_columns(seed: int) -> None:
    source = random.Random(seed)
    rank = PriorityId("first")
    findings = [MapEntry(f"f{n}", EntryKind.SYMPTOM, f"f{n}", rank) for n in range(14)]
    causes = [MapEntry(f"c{n}", EntryKind.CAUSE, f"c{n}") for n in range(12)]
    operations = [MapEntry(f"r{n}", EntryKind.REMEDY, f"r{n}") for n in range(14)]
    # As in rulesets that people write, what belongs together mostly stands together.
    chosen = {(f"c{n % 12}", f"f{min(13, max(0, n % 12 + source.randint(-2, 3)))}") for n in range(36)}
    mended = {(f"r{n % 14}", f"c{min(11, max(0, n % 14 + source.randint(-3, 2)))}") for n in range(30)}
    links = [MapLink(one, other, LinkKind.SHOWS, 0.5) for one, other in sorted(chosen)]
    links += [MapLink(one, other, LinkKind.CURES, 0.8) for one, other in sorted(mended)]
    graph = Graph(RulesetId("x"), "X", "1", (rank,), (*findings, *causes, *operations), tuple(links))
    drawing = draw_map(graph, 80)
    assert drawing is not None
    assert set(Reader(drawing).links()) == pairs(graph)


def test_findings_stand_in_the_order_of_their_priorities_and_signs_last() -> None:
    graph = random_graph(12)
    rank = {entry.id: entry.priority for entry in graph.entries}
    order = [rank[id_] for _, id_ in lay_out(graph).columns[0]]
    wanted = sorted(order, key=lambda one: (one is None, one != "first"))
    assert order == wanted
    assert len(set(order)) == 3


def test_the_same_graph_is_drawn_the_same_twice() -> None:
    assert draw_map(random_graph(3), 200) == draw_map(random_graph(3), 200)


def test_titles_in_wide_letters_keep_the_columns_straight() -> None:
    entries = (
        MapEntry("a", EntryKind.SYMPTOM, "竹が鳴らない", PriorityId("first")),
        MapEntry("b", EntryKind.CAUSE, "tip"),
        MapEntry("c", EntryKind.CAUSE, "先端が厚い"),
    )
    links = (MapLink("b", "a", LinkKind.SHOWS, 0.5), MapLink("c", "a", LinkKind.SHOWS, 0.5))
    drawing = draw_map(Graph(RulesetId("x"), "X", "1", (PriorityId("first"),), entries, links), 80)
    assert drawing is not None

    def cells_before(line: str, sign: str) -> int:
        return sum(2 if unicodedata.east_asian_width(one) in "WF" else 1 for one in line[: line.index(sign)])

    starts = {cells_before(line, "◆") for line in drawing if "◆" in line}
    assert len(starts) == 1


def test_a_graph_without_links_or_entries_is_still_a_drawing() -> None:
    empty = Graph(RulesetId("x"), "X", "1", (), (), ())
    assert draw_map(empty, 80) is not None


@pytest.mark.parametrize("seed", range(8))
def test_a_map_of_a_hundred_and_twenty_entries_reads_back_as_well(seed: int) -> None:
    graph, short = with_short_titles(graph_of_size(120, seed))
    drawing = draw_map(graph, 2000)
    assert drawing is not None
    assert set(Reader(drawing).links()) == {(short[one], short[other]) for one, other in pairs(graph)}
    assert len(pairs(graph)) > 180


HOSTILE = [
    "[@click=app.quit]x[/]",
    "\x1b[31mred\x07",
    "\u202eturned",
    "<b>bold</b> & \\N",
    "竹が鳴らない" * 40,
    "e\u0301\u0323" * 60,
    "W" * 10_000,
    "━┝◆",
    "",
]


@pytest.mark.parametrize("title", HOSTILE, ids=lambda title: ascii(title[:12]))
def test_a_hostile_title_is_shown_literally_and_cut_where_it_must_be(title: str) -> None:
    entries = (
        MapEntry("a", EntryKind.SYMPTOM, title, PriorityId("first")),
        MapEntry("b", EntryKind.CAUSE, title),
    )
    links = (MapLink("b", "a", LinkKind.SHOWS, 0.5, "often"),)
    drawing = draw_map(Graph(RulesetId("x"), title, "1", (PriorityId("first"),), entries, links), 80)
    assert drawing is not None
    assert len(drawing) <= 6
    assert all(cells(line) <= 80 for line in drawing)
    assert all(line.isprintable() or not line for line in drawing)
    if len(title) > 100:
        assert "…" in "".join(drawing)
