"""Walking a map as a value: what stands beside the marked entry, and where each step leads."""

from kb.graph import LinkKind, graph_of
from kb.ids import CauseId, FindingId, RemedyId, RulesetId
from kb.model import Ruleset
from tui.app.walk import Walk


def ids(walk: Walk, column: int) -> list[str]:
    return [row.entry.id for row in walk.rows(column)]


def test_its_own_column_holds_every_entry_of_the_sort_and_the_others_only_what_is_linked(
    ruleset: Ruleset,
) -> None:
    walk = Walk.begin(graph_of(ruleset), "throat-tight")
    assert ids(walk, 1) == ["throat-tight", "back-thick", "bocal-leaks"]
    assert ids(walk, 0) == ["crow-muffled", "low-late"], "the stronger link first"
    assert ids(walk, 2) == ["flatten-second"]
    assert [row.link.chance for row in walk.rows(0) if row.link] == [0.8, 0.6]


def test_the_far_column_is_reached_through_another_entry_and_says_so(ruleset: Ruleset) -> None:
    walk = Walk.begin(graph_of(ruleset), "low-late")
    assert ids(walk, 1) == ["back-thick", "throat-tight"]
    # 0.8 · 0.6 by way of the back, 0.6 · 0.6 by way of the throat.
    assert ids(walk, 2) == ["thin-back", "flatten-second"]
    assert all(row.through and row.link is None for row in walk.rows(2))


def test_arrows_lead_along_the_column_and_over_the_strongest_link(ruleset: Ruleset) -> None:
    walk = Walk.begin(graph_of(ruleset))
    assert walk.at == "crow-muffled"
    assert walk.moved(1).at == "low-late"
    assert walk.moved(-1).at == "crow-muffled"
    assert walk.moved(1).sideways(1).at == "back-thick"
    assert walk.moved(1).sideways(1).sideways(1).at == "thin-back"
    assert walk.sideways(-1) == walk


def test_an_entry_without_links_has_no_neighbours_and_no_way_sideways(ruleset: Ruleset) -> None:
    walk = Walk.begin(graph_of(ruleset), "spine-narrow")
    assert ids(walk, 1) == []
    assert walk.sideways(1).at == "spine-narrow"


def test_a_focus_leaves_what_acts_on_the_entry_and_going_back_gives_the_rest_again(ruleset: Ruleset) -> None:
    whole = Walk.begin(graph_of(ruleset), "crow-muffled")
    near = whole.focused()
    assert ids(near, 0) == ["crow-muffled"]
    assert near.focused() == near, "a second time changes nothing"
    assert near.back() == whole
    assert whole.back() is None
    deeper = near.sideways(1).focused()
    assert deeper.focus == "throat-tight"
    back = deeper.back()
    assert back is not None
    assert (back.at, back.focus) == ("throat-tight", "crow-muffled")


def test_going_to_what_the_focus_hides_shows_the_whole_again(ruleset: Ruleset) -> None:
    near = Walk.begin(graph_of(ruleset), "crow-muffled").focused()
    away = near.to("bocal-leaks")
    assert (away.at, away.focus) == ("bocal-leaks", "")
    assert away.back() == near


def test_a_map_without_entries_can_be_walked_nowhere() -> None:
    empty = Ruleset(RulesetId("empty"), "Nothing yet", "1.0.0")
    walk = Walk.begin(graph_of(empty))
    assert walk.at == ""
    assert walk.moved(1).sideways(1).focused() == walk


def test_every_link_of_a_map_is_found_by_walking(ruleset: Ruleset) -> None:
    graph = graph_of(ruleset)
    walked = {
        (row.link.source, row.link.target)
        for entry in graph.entries
        for column in range(3)
        for row in Walk.begin(graph, entry.id).rows(column)
        if row.link is not None
    }
    assert walked == {(link.source, link.target) for link in graph.links}
    assert {link.kind for link in graph.links} == {LinkKind.SHOWS, LinkKind.CURES}
    assert {CauseId("throat-tight"), FindingId("low-late"), RemedyId("thin-back")} <= {
        id_ for pair in walked for id_ in pair
    }
