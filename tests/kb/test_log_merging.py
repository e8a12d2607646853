"""Two logs brought together: nothing twice, and each reed's story in the order in which it happened."""

from itertools import permutations
from pathlib import Path

import pytest

from kb.log.entry import Entry, EntryId, Graded, Played, ReedId, ReedMade, Remarked, TakenBack, What
from kb.log.evidence import BareReed, bare_lines, read_evidence
from kb.log.exchange import absorb_lines, reed_to_lines, to_lines
from kb.log.fault import LogError
from kb.log.kept import Absorbed
from kb.log.store import ReedLog

REED = ReedId("reed")


def entry(day: int, what: What, reed: ReedId = REED) -> Entry:
    return Entry(EntryId(f"{reed}-{day}"), reed, f"2026-11-{day:02}T10:00:00+01:00", None, what)


def opened(folder: Path, name: str, *entries: Entry) -> ReedLog:
    log = ReedLog.open(folder / f"{name}.db")
    log.append(*entries)
    return log


def test_a_reed_that_went_to_and_fro_between_two_logs_tells_one_story_in_both(tmp_path: Path) -> None:
    home = opened(
        tmp_path, "home", entry(1, ReedMade("r")), entry(2, Graded("practice")), entry(5, Played(1))
    )
    school = opened(tmp_path, "school")
    absorb_lines(school, list(to_lines(home))[:3])
    school.append(entry(3, Graded("concert", "even")), entry(4, Remarked("stage")))
    for into, out_of in ((home, school), (school, home), (home, school)):
        absorb_lines(into, to_lines(out_of))
    assert [one.id for one in home.entries_of(REED)] == [f"reed-{day}" for day in range(1, 6)]
    assert home.entries_of(REED) == school.entries_of(REED)
    assert home.histories() == school.histories()
    assert home.faults() == school.faults() == ()


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_three_logs_agree_whatever_is_taken_in_first(order: tuple[int, ...], tmp_path: Path) -> None:
    parts = (
        opened(tmp_path, "a", entry(1, ReedMade("r")), entry(6, Graded("spare"))),
        opened(tmp_path, "b", entry(2, Graded("concert")), entry(7, TakenBack(EntryId("reed-6")))),
        opened(tmp_path, "c", entry(4, Played(2.0)), entry(5, Remarked("x"))),
    )
    with ReedLog.open(tmp_path / "all.db") as whole:
        for number in order:
            absorb_lines(whole, to_lines(parts[number]))
        [told] = whole.histories()
        assert [one.id for one in whole.entries_of(REED)] == [f"reed-{n}" for n in (1, 2, 4, 5, 6, 7)]
        assert (told.name, told.grade, told.hours_played) == ("r", "concert", 2.0)
        assert absorb_lines(whole, to_lines(whole)) == Absorbed(0, 6)


def test_a_clock_that_was_set_back_does_not_turn_a_story_round(tmp_path: Path) -> None:
    here = opened(tmp_path, "here", entry(9, ReedMade("r")), entry(3, Graded("a")), entry(2, Graded("b")))
    there = opened(tmp_path, "there")
    absorb_lines(there, to_lines(here))
    assert [one.id for one in there.entries_of(REED)] == ["reed-9", "reed-3", "reed-2"]
    assert there.histories()[0].grade == "b"


def test_one_reed_is_handed_over_and_comes_back_with_more(tmp_path: Path) -> None:
    other = ReedId("other")
    student = opened(
        tmp_path, "student", entry(1, ReedMade("r")), entry(1, ReedMade("mine"), other), entry(2, Played(1))
    )
    teacher = opened(tmp_path, "teacher")
    assert absorb_lines(teacher, reed_to_lines(student, REED)) == Absorbed(2, 0)
    teacher.append(entry(3, Graded("concert")))
    assert absorb_lines(student, reed_to_lines(teacher, REED)) == Absorbed(1, 2)
    assert absorb_lines(student, reed_to_lines(teacher, REED)) == Absorbed(0, 3)
    assert student.entries_of(REED) == teacher.entries_of(REED)
    assert teacher.reeds() == (REED,)


def test_bare_evidence_says_nothing_of_names_remarks_dates_and_what_was_taken_back(tmp_path: Path) -> None:
    log = opened(
        tmp_path,
        "log",
        entry(1, ReedMade("Secret name")),
        entry(2, Remarked("secret remark")),
        entry(3, Played(1.5)),
        entry(4, Graded("concert", "secret reason")),
        entry(5, Graded("secret grade")),
        entry(6, Played(7.5)),
        entry(7, TakenBack(EntryId("reed-6"))),
    )
    lines = list(bare_lines(log))
    whole = "\n".join(lines)
    assert not any(word in whole for word in ("ecret", "2026", "7.5", '"reed-'))
    [reed] = read_evidence(lines)
    assert isinstance(reed, BareReed)
    assert [one.what for one in reed.entries] == [Played(1.5), Graded("concert")]
    with pytest.raises(LogError, match="bare evidence for tuning"):
        absorb_lines(log, lines)
    with pytest.raises(LogError, match="no evidence"):
        list(read_evidence(to_lines(log)))
