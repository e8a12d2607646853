"""Merging three files: what is taken, what is a conflict, and what stays of the author's text."""

from collections.abc import Hashable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.edit import Draft, changed
from kb.merge import Given, Merged, merge, where
from kb.merge.lists import gist, merged_sequence, merged_set
from kb.problem import Problem
from kb.text import Span
from tests.support.strategies import LAW

BASE = """\
# A studio's file.
canebrake: 1
id: whistle
version: 1.0.0
opening: [a, b, c]
priorities:
  # first of all
  - {id: response, title: Response}
  # then
  - {id: stability, title: Stability}
quantities:
  height: {title: Height, target: [0.9, 1.2]}
symptoms:
  a: {priority: response, ask: A?}
  b: {priority: response, ask: B?}
  c: {priority: stability, ask: C?}
signs:
  high: {ask: High?, read: {quantity: height, above: 1.2}}
causes:
  tall:
    title: Too tall     # measured
    how_common: rare
    shows: {a: usually}
    sources: [own, book]
  low: {title: Too low, how_common: rare, shows: {b: often}}
remedies: {}
trials:
  - title: One
    given: {a: yes}
    expect: {cause: tall}
"""


def merged(ours: str, theirs: str, base: str = BASE) -> Merged:
    found = merge(
        Given("base.yaml", base.encode()),
        Given("ours.yaml", ours.encode()),
        Given("theirs.yaml", theirs.encode()),
    )
    assert isinstance(found, Merged), found
    assert not found.unmade
    return found


def swapped(*pairs: tuple[str, str], text: str = BASE) -> str:
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def conflicts(found: Merged) -> list[tuple[str, ...]]:
    return [one.path for one in found.conflicts]


OURS = swapped(("# A studio's file.", "# Our studio's file."))
"""The base with another remark, so that theirs' file is not simply taken."""


# -- keys ----------------------------------------------------------------------------------------------


def test_two_keys_of_one_entry_go_together() -> None:
    found = merged(
        swapped(("title: Too tall ", "title: Far too tall ")),
        swapped(("shows: {a: usually}", "shows: {a: often}")),
    )
    assert found.is_clean
    assert "    title: Far too tall     # measured\n" in found.draft.text
    assert "shows: {a: often}" in found.draft.text


def test_one_key_changed_twice_is_a_conflict_and_ours_stays() -> None:
    found = merged(
        swapped(("how_common: rare\n", "how_common: common\n")),
        swapped(("how_common: rare\n", "how_common: occasional\n")),
    )
    (one,) = found.conflicts
    assert one.path == ("causes", "tall", "how_common")
    assert [side.data for side in (one.base, one.ours, one.theirs) if side] == [
        "rare",
        "common",
        "occasional",
    ]
    assert "how_common: common\n" in found.draft.text
    assert where(found.draft, one.path) == Span("ours.yaml", 22, 5, 22, 15)
    assert where(found.sides.theirs, one.path)[:3] == ("theirs.yaml", 22, 5)


def test_the_same_number_written_otherwise_is_the_same() -> None:
    found = merged(swapped(("[0.9, 1.2]", "[0.90, 1.2]"), ("title: Height", "title: H")), OURS)
    assert found.is_clean
    assert not found.taken


@pytest.mark.parametrize(
    "ours,theirs,path",
    [
        ("target: [0.8, 1.2]", "target: [0.9, 1.3]", ("quantities", "height", "target")),
        ("above: 1.3", "below: 1.2", ("signs", "high", "read")),
    ],
)
def test_what_only_makes_sense_together_is_merged_as_one(
    ours: str, theirs: str, path: tuple[str, ...]
) -> None:
    old = "target: [0.9, 1.2]" if "target" in ours else "above: 1.2"
    found = merged(swapped((old, ours)), swapped((old, theirs)))
    assert conflicts(found) == [path]
    assert ours in found.draft.text


def test_an_entry_that_both_added_is_merged_key_by_key() -> None:
    ours = swapped(("remedies: {}", "remedies: {shim: {title: Shim it, minutes: 3, undo: fully}}"))
    theirs = swapped(("remedies: {}", "remedies: {shim: {title: Shim it, minutes: 4, recheck: [a]}}"))
    found = merged(ours, theirs)
    assert conflicts(found) == [("remedies", "shim", "minutes")]
    assert "shim: {title: Shim it, minutes: 3, recheck: [a], undo: fully}" in found.draft.text


def test_what_one_side_took_out_and_the_other_changed_is_told_with_both_sides() -> None:
    gone = swapped(("  low: {title: Too low, how_common: rare, shows: {b: often}}\n", ""))
    kept = swapped(("title: Too low", "title: Much too low"))
    found = merged(gone, kept)
    (one,) = found.conflicts
    assert (one.path, one.ours) == (("causes", "low"), None)
    assert "low:" not in found.draft.text
    assert where(found.draft, one.path).line == 19  # where it would stand
    other = merged(kept, gone)
    assert conflicts(other) == [("causes", "low")]
    assert "title: Much too low" in other.draft.text


# -- comments and layout --------------------------------------------------------------------------------


def test_a_new_entry_comes_with_its_comments() -> None:
    theirs = swapped(
        (
            "  low: {",
            "  # heard twice\n  damp: {title: Damp, how_common: rare, shows: {}}  # in March\n  low: {",
        )
    )
    found = merged(OURS, theirs)
    assert (
        "  # heard twice\n  damp: {title: Damp, how_common: rare, shows: {}}  # in March\n  low: {"
        in found.draft.text
    )
    assert found.draft.text.startswith("# Our studio's file.\n")


def test_a_comment_that_theirs_changed_comes_along_where_ours_left_the_entry_alone() -> None:
    theirs = swapped(("# measured", "# measured twice"))
    found = merged(OURS, theirs)
    assert found.notes == (("causes", "tall"),)
    assert "# measured twice" in found.draft.text
    touched = swapped(("    how_common: rare\n", "    how_common: rare   # ours\n"))
    kept = merged(touched, theirs)
    assert not kept.notes
    assert kept.draft.text == touched


def test_another_layout_alone_is_not_taken() -> None:
    theirs = swapped(
        ("  low: {title: Too low, how_common: rare,", "  low: {title: 'Too low',   how_common: rare,")
    )
    found = merged(OURS, theirs)
    assert (found.draft.text, found.taken, found.notes) == (OURS, (), ())


def test_line_ends_and_a_byte_order_mark_stay_as_ours_has_them() -> None:
    theirs = swapped(("title: Too low", "title: Lower"))
    content = b"\xef\xbb\xbf" + OURS.replace("\n", "\r\n").encode()
    found = merge(Given("b", BASE.encode()), Given("o", content), Given("t", theirs.encode()))
    assert isinstance(found, Merged)
    assert found.draft.content == content.replace(b"title: Too low", b"title: Lower")


def test_only_line_ends_changed_is_no_change() -> None:
    theirs = BASE.replace("\n", "\r\n")
    found = merge(Given("b", BASE.encode()), Given("o", OURS.encode()), Given("t", theirs.encode()))
    assert isinstance(found, Merged)
    assert (found.draft.content, found.taken, found.notes) == (OURS.encode(), (), ())


# -- lists -----------------------------------------------------------------------------------------------


def test_the_opening_is_merged_as_a_sequence() -> None:
    ours, theirs = swapped(("[a, b, c]", "[a, x, b, c]")), swapped(("[a, b, c]", "[a, b]"))
    assert "opening: [a, x, b]\n" in merged(ours, theirs).draft.text
    assert conflicts(merged(ours, swapped(("[a, b, c]", "[a, y, b, c]")))) == [("opening",)]


def test_sources_are_merged_as_a_set() -> None:
    ours = swapped(("sources: [own, book]", "sources: [book, own, ours]"))
    found = merged(ours, swapped(("sources: [own, book]", "sources: [theirs, own]")))
    assert found.is_clean
    assert "sources: [own, ours, theirs]" in found.draft.text


def test_priorities_are_brought_into_theirs_order_with_their_comments() -> None:
    one, two = (
        "  # first of all\n  - {id: response, title: Response}\n",
        "  # then\n  - {id: stability, title: Stability}\n",
    )
    theirs = swapped((one + two, two + one))
    ours = swapped(("title: Stability", "title: Steady"))
    found = merged(ours, theirs)
    assert found.is_clean
    assert two.replace("Stability}", "Steady}") + one in found.draft.text


def test_two_orders_of_priorities_are_a_conflict_and_ours_stays() -> None:
    base = swapped(("  # first of all\n", ""), ("  # then\n", "  - {id: third, title: Third}\n"))
    first, third = "  - {id: response, title: Response}\n", "  - {id: third, title: Third}\n"
    stability = "  - {id: stability, title: Stability}\n"
    ours = base.replace(first + third + stability, third + first + stability)
    theirs = base.replace(first + third + stability, stability + first + third)
    found = merged(ours, theirs, base)
    assert [(one.path, one.is_order) for one in found.conflicts] == [(("priorities",), True)]
    assert found.draft.text == ours


def test_worked_cases_go_by_their_titles() -> None:
    more = "  - title: Two\n    given: {b: yes}   # new\n    expect: {cause: low}\n"
    ours = swapped(("given: {a: yes}", "given: {a: slightly}"))
    found = merged(ours, BASE + more)
    assert found.is_clean
    assert found.draft.text == ours + more


def test_worked_cases_that_share_a_title_are_merged_as_a_whole() -> None:
    twice = BASE + "  - title: One\n    given: {b: yes}\n    expect: {cause: low}\n"
    found = merged(OURS, twice)
    assert gist(found.draft.tree) == gist(merged(twice, twice).draft.tree)
    assert conflicts(merged(swapped(("{a: yes}", "{a: no}")), twice)) == [("trials",)]


Words = st.lists(st.sampled_from("abcdefgh"), unique=True, max_size=6)


@LAW
@given(Words, Words, Words)
def test_laws_of_merged_lists(base: list[str], ours: list[str], theirs: list[str]) -> None:
    for way in (merged_set, merged_sequence):
        assert way(base, ours, base) == tuple(ours)
        assert set(way(base, base, theirs) or theirs) == set(theirs)
        assert set(way(base, ours, ours) or ()) == set(ours)
    assert merged_sequence(base, base, theirs) == tuple(theirs)
    both: tuple[Hashable, ...] | None = merged_sequence(base, ours, theirs)
    assert both == merged_sequence(base, theirs, ours)
    assert set(merged_set(base, ours, theirs)) == set(merged_set(base, theirs, ours))


# -- files that are no files ----------------------------------------------------------------------------


def test_without_a_common_base_both_are_taken_together() -> None:
    found = merged("id: a\ncauses: {x: {title: X}}\n", "id: a\ncauses: {y: {title: Y}}\n", base="")
    assert found.is_clean
    assert found.draft.text == "id: a\ncauses: {x: {title: X}, y: {title: Y}}\n"


def test_the_same_file_three_times_is_left_as_it_is() -> None:
    assert merged(BASE, BASE).draft.text == BASE


@pytest.mark.parametrize("broken", ["causes: [", "a: 1\na: 2\n", "- a list\n", "\x00", ""])
@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_file_that_cannot_be_read_is_named(broken: str, place: int) -> None:
    given_ = [Given(f"{number}.yaml", BASE.encode()) for number in range(3)]
    given_[place] = Given("broken.yaml", broken.encode())
    found = merge(*given_)
    if (broken, place) == ("", 0):
        assert isinstance(found, Merged)  # git's way to say that there was no base
        return
    assert isinstance(found, Problem)
    assert found.span.file == "broken.yaml"


def test_a_section_that_theirs_took_out_goes_entry_by_entry() -> None:
    theirs = swapped(("signs:\n  high: {ask: High?, read: {quantity: height, above: 1.2}}\n", ""))
    found = merged(OURS, theirs)
    assert found.is_clean
    assert gist(found.draft.tree) == gist(merged(theirs, theirs).draft.tree)


def test_a_new_section_stands_where_the_format_has_its_place() -> None:
    theirs = swapped(
        ("trials:\n", "rests:\n  # long\n  overnight: {title: Leave it, do: Leave it.}\ntrials:\n")
    )
    found = merged(OURS, theirs)
    assert found.draft.text == swapped(
        ("trials:\n", "rests:\n  # long\n  overnight: {title: Leave it, do: Leave it.}\ntrials:\n"), text=OURS
    )


def test_the_names_of_a_draft_are_those_given() -> None:
    theirs = swapped(("title: Too low", "title: Lower"))
    assert merged(BASE, theirs).draft.name == "ours.yaml"
    assert isinstance(
        changed(merged(OURS, theirs).draft, ("id",), merged(BASE, BASE).draft.tree["id"]), Draft
    )
