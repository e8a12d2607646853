"""What must hold of merging whatever the three files: laws, tried on made-up rulesets in many layouts."""

import random
import re
from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.edit import Draft, changed
from kb.edit.made import listing, mapping, scalar
from kb.merge import Given, Merged, merge
from kb.merge.lists import gist
from kb.value import Items, Pairs, Value
from tests.support.layouts import COMMENT, Writer, document_of
from tests.support.strategies import LAW, SMALL, Chooser, Seeded, make_ruleset, pick

Plain = Any
Three = tuple[Draft, Draft, Draft]
ABSENT = object()


def merges(law: Callable[[int], None]) -> Callable[[], None]:
    """Try a law on some merges."""
    return settings(LAW, max_examples=15)(given(st.integers(0, 2**32))(law))


OURS = re.compile(r"# ours [0-9]+")


def value_of(plain: Plain) -> Value:
    if isinstance(plain, dict):
        return mapping((key, value_of(one)) for key, one in plain.items())
    return listing(map(value_of, plain)) if isinstance(plain, list) else scalar(plain)


def plain_of(value: Value) -> Plain:
    match value.data:
        case Pairs(pairs=pairs):
            return {pair.key: plain_of(pair.value) for pair in pairs}
        case Items(items=items):
            return [plain_of(item) for item in items]
        case data:
            return data


def merged(base: bytes | str, ours: bytes | str, theirs: bytes | str) -> Merged:
    texts = (one if isinstance(one, bytes) else one.encode() for one in (base, ours, theirs))
    names = ("base.yaml", "ours.yaml", "theirs.yaml")
    found = merge(*(Given(name, text) for name, text in zip(names, texts, strict=True)))
    assert isinstance(found, Merged), found
    assert not found.unmade, found.unmade
    return found


def means(found: Merged) -> object:
    return gist(found.draft.tree)


# -- three authors ------------------------------------------------------------------------------------


class Author:
    """Changes a document as an author would; `name` keeps what two authors add apart."""

    def __init__(self, choose: Chooser, name: str, *, removes: bool = True) -> None:
        self.choose, self.name, self.removes, self.count = choose, name, removes, 0

    def rewritten(self, plain: dict[str, Plain], most: int = 4) -> dict[str, Plain]:
        plain = deepcopy(plain)
        acts: list[Callable[[dict[str, Plain]], None]] = [
            self.retitles,
            self.relinks,
            self.adds,
            self.cites,
            self.tries,
            self.sets,
        ]
        if self.removes:
            acts += [self.drops, self.unlinks]
        for _ in range(self.choose.whole(1, most)):
            pick(self.choose, acts)(plain)
        return plain

    def new(self) -> str:
        self.count += 1
        return f"{self.name}-{self.count}"

    def _entry(self, plain: dict[str, Plain], *sections: str) -> tuple[dict[str, Plain], str] | None:
        found = [(plain[one], id_) for one in sections for id_ in plain.get(one, {})]
        return pick(self.choose, found) if found else None

    def retitles(self, plain: dict[str, Plain]) -> None:
        if found := self._entry(plain, "symptoms", "signs", "causes", "remedies", "quantities"):
            found[0][found[1]][pick(self.choose, ("title", "why"))] = f"Changed: {self.new()}"

    def relinks(self, plain: dict[str, Plain]) -> None:
        if found := self._entry(plain, "causes"):
            shows = found[0][found[1]]["shows"]
            finding = pick(self.choose, [*plain["symptoms"], *plain.get("signs", {}), "symptom-9"])
            shows[finding] = self.choose.whole(1, 9) / 10

    def unlinks(self, plain: dict[str, Plain]) -> None:
        if found := self._entry(plain, "causes"):
            shows = found[0][found[1]]["shows"]
            if shows:
                del shows[pick(self.choose, list(shows))]

    def adds(self, plain: dict[str, Plain]) -> None:
        section = pick(self.choose, ("causes", "remedies", "rests", "tools"))
        plain.setdefault(section, {})[self.new()] = {"title": f"New: {self.count}", "shows": {}}

    def drops(self, plain: dict[str, Plain]) -> None:
        if found := self._entry(plain, "causes", "remedies", "rests"):
            del found[0][found[1]]

    def cites(self, plain: dict[str, Plain]) -> None:
        if found := self._entry(plain, "causes"):
            found[0][found[1]].setdefault("sources", []).append(self.new())

    def tries(self, plain: dict[str, Plain]) -> None:
        trials = plain["trials"]
        if self.choose.whole(0, 1):
            trials.append({"title": f"Tried: {self.new()}", "given": {}, "expect": {"priority": "rank-1"}})
        else:
            pick(self.choose, trials)["given"]["symptom-1"] = pick(self.choose, ("yes", "slightly"))

    def sets(self, plain: dict[str, Plain]) -> None:
        kind = self.choose.whole(0, 2)
        if kind == 0:
            plain["clear_below"] = self.choose.whole(1, 9) / 10
        elif kind == 1:
            pick(self.choose, plain["priorities"])["worth"] = self.choose.whole(1, 90)
        else:
            plain["glossary"] = plain.get("glossary", {}) | {self.new(): "A word."}


def edited(base: Draft, plain: dict[str, Plain]) -> Draft:
    """Give the base's text as its author would have edited it."""
    draft = changed(base, (), value_of(plain))
    assert isinstance(draft, Draft), draft
    return draft


def remarked(choose: Chooser, draft: Draft) -> Draft:
    """Put comments of our own above some lines."""
    lines = draft.text.split("\n")
    for number in range(choose.whole(0, 5)):
        at = choose.whole(0, len(lines) - 1)
        indent = len(lines[at]) - len(lines[at].lstrip(" "))
        more = [*lines[:at], f"{' ' * indent}# ours {number}", *lines[at:]]
        read = Draft.of(draft.name, "\n".join(more).encode())
        if isinstance(read, Draft) and gist(read.tree) == gist(draft.tree):
            lines = more
    read = Draft.of(draft.name, "\n".join(lines).encode())
    assert isinstance(read, Draft)
    return read


def three_authors(seed: int, *, removes: bool = True, anew: bool = True) -> Three:
    """Give a base, and what two authors made of it: by editing its text, or by writing it all anew.

    Of a seed, and not drawn by hypothesis, which would take minutes to shrink three files.
    """
    choose = Seeded(random.Random(seed))
    plain = document_of(choose, make_ruleset(choose, SMALL))
    base = Draft.of("base.yaml", Writer(choose).document(plain).encode())
    assert isinstance(base, Draft)
    drafts = [base]
    for name in ("ours", "theirs"):
        rewritten = Author(choose, name, removes=removes).rewritten(plain)
        if choose.whole(0, 2) or not anew:
            draft = edited(base, rewritten)
        else:
            written = Draft.of(f"{name}.yaml", Writer(choose).document(rewritten).encode())
            assert isinstance(written, Draft)
            draft = written
        drafts.append(remarked(choose, draft) if name == "ours" else draft)
    return drafts[0], drafts[1], drafts[2]


# -- the oracle: three-way by keys, on plain values ------------------------------------------------------


def expected(base: Plain, ours: Plain, theirs: Plain, key: str = "") -> Plain:
    """Give what a merge must mean; where both sides differ, what ours says."""
    if theirs in (base, ours) and not (isinstance(theirs, bool) or isinstance(ours, bool)):
        return ours
    if ours == base:
        return theirs
    if isinstance(ours, dict) and isinstance(theirs, dict):
        under = base if isinstance(base, dict) else {}
        made = {
            one: expected(under.get(one, ABSENT), ours.get(one, ABSENT), theirs.get(one, ABSENT), one)
            for one in {**ours, **theirs, **under}
        }
        return {one: value for one, value in made.items() if value is not ABSENT}
    if isinstance(ours, list) and isinstance(theirs, list) and key in {"trials", "priorities"}:
        by = "title" if key == "trials" else "id"
        was, our, their = ({one[by]: one for one in side} for side in (base, ours, theirs))
        return list(expected(was, our, their).values())
    if isinstance(ours, list) and isinstance(theirs, list) and key == "sources":
        return [one for one in ours if one in theirs or one not in base] + [
            one for one in theirs if one not in base and one not in ours
        ]
    return ours


@merges
def test_a_merge_means_what_both_sides_changed(seed: int) -> None:
    base, ours, theirs = three_authors(seed)
    found = merged(base.content, ours.content, theirs.content)
    wanted = expected(plain_of(base.tree), plain_of(ours.tree), plain_of(theirs.tree))
    assert means(found) == gist(value_of(wanted))
    read = Draft.of("again.yaml", found.draft.content)
    assert isinstance(read, Draft)
    assert gist(read.tree) == means(found)


@merges
def test_a_side_that_changed_nothing_has_no_say(seed: int) -> None:
    base, ours, _ = three_authors(seed)
    assert merged(base.content, ours.content, base.content).draft.content == ours.content
    assert means(merged(base.content, base.content, ours.content)) == gist(ours.tree)
    # With a comment more, so that theirs' file cannot be taken as it is.
    commented = b"# ours 99\n" + base.content
    found = merged(base.content, commented, ours.content)
    assert means(found) == gist(ours.tree)
    assert found.is_clean
    assert b"# ours 99" in found.draft.content


@merges
def test_the_same_change_on_both_sides_is_no_conflict(seed: int) -> None:
    base, ours, _ = three_authors(seed)
    again = edited(base, plain_of(ours.tree))
    found = merged(base.content, ours.content, again.content)
    assert found.is_clean
    assert means(found) == gist(ours.tree)


@merges
def test_without_conflict_either_side_may_be_the_ground(seed: int) -> None:
    base, ours, theirs = three_authors(seed)
    one = merged(base.content, ours.content, theirs.content)
    other = merged(base.content, theirs.content, ours.content)
    assert len(one.conflicts) == len(other.conflicts)
    if one.is_clean:
        assert means(one) == means(other)


@merges
def test_what_was_merged_has_nothing_left_to_take(seed: int) -> None:
    base, ours, theirs = three_authors(seed)
    once = merged(base.content, ours.content, theirs.content)
    again = merged(base.content, once.draft.content, theirs.content)
    assert not again.taken
    assert again.draft.content == once.draft.content


@merges
def test_no_comment_of_ours_is_lost(seed: int) -> None:
    base, ours, theirs = three_authors(seed, removes=False)
    found = merged(base.content, ours.content, theirs.content)
    assert set(OURS.findall(ours.text)) <= set(OURS.findall(found.draft.text))


@merges
def test_no_comment_that_theirs_left_alone_is_lost(seed: int) -> None:
    base, ours, theirs = three_authors(seed, removes=False, anew=False)
    found = merged(base.content, ours.content, theirs.content)
    kept = set(COMMENT.findall(ours.text)) & set(COMMENT.findall(theirs.text))
    assert kept <= set(COMMENT.findall(found.draft.text))


@merges
def test_a_program_that_dropped_all_comments_takes_none_from_us(seed: int) -> None:
    base, ours, theirs = three_authors(seed, removes=False, anew=False)
    bare = Writer(Seeded(random.Random(seed)), comments=False).document(plain_of(theirs.tree))
    found = merged(base.content, ours.content, bare)
    assert set(COMMENT.findall(ours.text)) <= set(COMMENT.findall(found.draft.text))
    assert means(found) == means(merged(base.content, ours.content, theirs.content))


@merges
def test_what_one_side_took_out_and_the_other_changed_is_a_conflict(seed: int) -> None:
    base, _, _ = three_authors(seed)
    plain = plain_of(base.tree)
    cause = next(iter(plain["causes"]))
    without, changed_ = deepcopy(plain), deepcopy(plain)
    del without["causes"][cause]
    changed_["causes"][cause]["title"] = "Changed"
    for ours, theirs in ((without, changed_), (changed_, without)):
        found = merged(base.content, edited(base, ours).content, edited(base, theirs).content)
        assert [one.path for one in found.conflicts] == [("causes", cause)]
        assert means(found) == gist(value_of(ours))


LAWS = [law for name, law in sorted(globals().items()) if name.startswith("test_")]


@pytest.mark.long
@pytest.mark.parametrize("law", LAWS, ids=lambda law: law.__name__)
def test_the_laws_hold_for_a_thousand_merges(law: Any) -> None:
    for seed in range(1000):
        law.hypothesis.inner_test(seed)
