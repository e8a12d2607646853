"""What a reed is now: the fold over its entries, taken-back ones resolved."""

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from kb.ids import FindingId, QuantityId, RemedyId, RulesetId
from kb.log.codec import from_line, to_line
from kb.log.entry import (
    Answered,
    BladeUp,
    Blank,
    Entry,
    EntryId,
    Graded,
    Measured,
    Pinned,
    Played,
    ReedId,
    ReedMade,
    Remarked,
    RemedyDone,
    Renamed,
    Rested,
    RulesetMark,
    SittingOpened,
    TakenBack,
    What,
)
from kb.log.replay import by_reed, history, standing
from kb.log.store import ReedLog
from kb.model import Answer

OLD = RulesetMark(RulesetId("one"), "1.0.0", "a" * 64)
NEW = RulesetMark(RulesetId("one"), "1.1.0", "b" * 64)


def entries(*whats: What, mark: RulesetMark | None = OLD) -> tuple[Entry, ...]:
    return tuple(
        Entry(EntryId(str(number)), ReedId("r"), f"2026-11-{number + 1:02}T09:00:00+01:00", mark, what)
        for number, what in enumerate(whats)
    )


def ids(some: tuple[Entry, ...]) -> list[str]:
    return [entry.id for entry in some]


def test_a_taken_back_entry_no_longer_counts() -> None:
    assert ids(standing(entries(ReedMade("r"), Remarked("a"), TakenBack(EntryId("1"))))) == ["0"]


def test_taking_back_a_taking_back_makes_the_entry_count_again() -> None:
    chain = entries(Remarked("a"), TakenBack(EntryId("0")), TakenBack(EntryId("1")))
    assert ids(standing(chain)) == ["0"]
    again = (*chain, *entries(*[Remarked("")] * 3, TakenBack(EntryId("2")))[3:])
    assert ids(standing(again)) == []


def test_taking_back_what_comes_later_or_is_not_there_does_nothing() -> None:
    assert ids(standing(entries(TakenBack(EntryId("1")), Remarked("a"), TakenBack(EntryId("9"))))) == ["1"]


def test_a_history_tells_the_latest_of_everything() -> None:
    told = history(
        entries(
            ReedMade("Grün", "notch"),
            SittingOpened(1),
            Graded("practice"),
            SittingOpened(2),
            Renamed("Grün 2"),
            BladeUp("plain"),
            Graded("concert"),
        )
    )
    assert (told.name, told.blade_up, told.sittings, told.grade) == ("Grün 2", "plain", 2, "concert")
    assert (told.created, told.last_used) == ("2026-11-01T09:00:00+01:00", "2026-11-07T09:00:00+01:00")
    assert told.mark == OLD
    assert not told.pinned


def test_a_pinned_reed_keeps_its_ruleset_whatever_later_entries_say() -> None:
    made = entries(ReedMade("r"), Pinned(OLD))
    later = replace(entries(*[Remarked("")] * 3)[2], mark=NEW)
    told = history((*made, later))
    assert told.mark == OLD
    assert told.pinned


def test_a_taken_back_grade_gives_the_one_before() -> None:
    told = history(entries(ReedMade("r"), Graded("practice"), Graded("concert"), TakenBack(EntryId("2"))))
    assert told.grade == "practice"


def test_no_entries_have_no_history() -> None:
    with pytest.raises(ValueError, match="without entries"):
        history(())


def test_entries_of_many_reeds_are_parted_in_order() -> None:
    first, second, third = entries(Remarked("a"), Remarked("b"), Remarked("c"))
    other = replace(second, reed=ReedId("s"))
    assert by_reed((first, other, third)) == ((first, third), (other,))


WORDS = st.text(st.characters(codec="utf-8"), max_size=12)
FINDINGS = st.sampled_from([FindingId("sags"), FindingId("late"), FindingId("thick")])
WHATS: st.SearchStrategy[What] = st.one_of(
    st.builds(Answered, FINDINGS, st.sampled_from(Answer)),
    st.builds(Measured, st.just(QuantityId("opening")), st.floats(0.1, 5)),
    st.builds(RemedyDone, st.sampled_from([RemedyId("scrape"), RemedyId("clip")])),
    st.builds(Rested, st.none() | st.just(RemedyId("overnight")), st.booleans()),
    st.builds(Remarked, WORDS),
    st.builds(Played, st.floats(0.1, 9)),
    st.builds(Blank, st.none() | WORDS, made_on=st.none() | st.just("2026-11-02")),
    st.builds(Pinned, st.just(OLD)),
    st.builds(Graded, WORDS, WORDS),
    st.builds(BladeUp, WORDS),
    st.builds(Renamed, WORDS),
    st.builds(
        SittingOpened, st.integers(1, 9), st.none() | st.floats(-20, 50), st.none() | st.floats(0, 100)
    ),
)


@given(WHATS)
def test_any_entry_comes_back_from_its_line(what: What) -> None:
    one = Entry(EntryId("e"), ReedId("r"), "t", NEW, what)
    assert from_line(to_line(one)) == one


class LogMachine(RuleBasedStateMachine):
    """The log on disk beside a plain list in memory: after anything, both tell the same reeds."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = TemporaryDirectory()
        self.path = Path(self.folder.name) / "reeds.db"
        self.log = ReedLog.open(self.path)
        self.all: list[Entry] = []
        # The oracle keeps what counts as a set that every taking-back edits at once, entry by entry,
        # where the code under test walks backwards once.
        self.undone_by: dict[EntryId, list[EntryId]] = {}

    def teardown(self) -> None:
        self.log.close()
        self.folder.cleanup()

    def write(self, reed: str, what: What, mark: RulesetMark | None = OLD) -> None:
        one = Entry(EntryId(f"e{len(self.all)}"), ReedId(reed), f"t{len(self.all)}", mark, what)
        self.log.append(one)
        self.all.append(one)

    @initialize()
    def make(self) -> None:
        for reed in ("r", "s"):
            self.write(reed, ReedMade(reed))

    @rule(reed=st.sampled_from(["r", "s"]), what=WHATS, mark=st.sampled_from([None, OLD, NEW]))
    def say(self, reed: str, what: What, mark: RulesetMark | None) -> None:
        self.write(reed, what, mark)

    @precondition(lambda self: len(self.all) > 2)
    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        target = data.draw(st.sampled_from(self.all[2:]))
        self.write(target.reed, TakenBack(target.id))
        self.undone_by.setdefault(target.id, []).append(self.all[-1].id)

    @rule()
    def reopen(self) -> None:
        self.log.close()
        self.log = ReedLog.open(self.path)

    @invariant()
    def both_tell_the_same(self) -> None:
        for reed in ("r", "s"):
            mine = [one for one in self.all if one.reed == reed]
            kept = self.log.entries_of(ReedId(reed))
            assert list(kept) == mine
            counts = [one for one in mine if self.stands(one.id) and not isinstance(one.what, TakenBack)]
            assert list(standing(kept)) == counts
            if mine:
                assert history(kept) == history(mine)
        told = {one.id: one for one in self.log.histories()}
        assert told == {one[0].reed: history(one) for one in by_reed(self.all)}

    def stands(self, entry: EntryId) -> bool:
        return not any(self.stands(by) for by in self.undone_by.get(entry, []))


TestLogMachine = LogMachine.TestCase
TestLogMachine.settings = settings(max_examples=10, stateful_step_count=20, deadline=None)
