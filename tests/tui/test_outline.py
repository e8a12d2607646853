"""The map as words: every entry, every link, in the order of priorities."""

from pathlib import Path

from kb.graph import EntryKind, LinkKind, graph_of
from kb.load import load_file
from kb.model import Ruleset
from tui.draw.outline import chance_in_words, draw_outline

GOLDEN = Path(__file__).resolve().parents[1] / "golden" / "penny-whistle-voicing.yaml"


def whistle() -> Ruleset:
    ruleset = load_file(GOLDEN).ruleset
    assert ruleset is not None
    return ruleset


def test_every_entry_has_its_line_and_every_link_is_told_from_both_ends() -> None:
    ruleset = whistle()
    graph = graph_of(ruleset)
    lines = draw_outline(ruleset, graph)
    heads = [line for line in lines if line.startswith("  ") and not line.startswith("   ")]
    assert len(heads) == len(graph.entries)
    assert len([line for line in lines if line.startswith("    ")]) == 2 * len(graph.links)
    assert all(sum(line.endswith(f"({entry.id})") for line in heads) == 1 for entry in graph.entries)


def test_priorities_come_most_urgent_first_with_their_goals() -> None:
    text = "\n".join(draw_outline(whistle(), graph_of(whistle())))
    places = [
        text.index(word)
        for word in ("Response: Every note", "Stability: Notes stay", "Flexibility: Loud", "Causes")
    ]
    assert places == sorted(places)


def test_a_chance_is_told_in_the_authors_word_and_in_figures() -> None:
    assert chance_in_words(0.8, "usually") == "usually 0.80"
    assert chance_in_words(0.333, "") == "0.333"


def test_the_outline_of_one_cause_holds_what_it_shows_and_what_mends_it_and_no_more() -> None:
    ruleset = whistle()
    part = graph_of(ruleset).about("windway-too-tall")
    assert {entry.id for entry in part.entries} == {
        "windway-too-tall",
        "low-notes-break",
        "windway-high",
        "shim-windway",
    }
    text = "\n".join(draw_outline(ruleset, part))
    assert "damp-block" not in text
    assert "Stability" not in text
    assert "mended by  usually 0.80" in text


def test_round_a_remedy_stand_the_causes_it_touches_and_their_findings() -> None:
    part = graph_of(whistle()).about("shim-windway")
    assert {entry.id for entry in part.of(EntryKind.CAUSE)} == {"windway-too-tall", "windway-too-low"}
    assert {entry.id for entry in part.of(EntryKind.SYMPTOM, EntryKind.SIGN)} == {
        "low-notes-break",
        "windway-high",
        "high-notes-hiss",
    }
    # The other remedy acts on the same cause, but shimming does not lead to it.
    assert part.entry("pare-windway") is None
    assert {link.kind for link in part.links} == set(LinkKind)
