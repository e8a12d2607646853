"""Key stories of the plain front: the command run on lines, as a pipe or a screen reader meets it."""

import io
import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.case import Case, case_of_entries, case_of_rounds
from engine.interview import Interview, PickCard
from kb.ids import FindingId, PriorityId, QuantityId, RemedyId
from kb.load import load_file
from kb.log.entry import (
    Answered,
    Entry,
    EntryId,
    Measured,
    Overviewed,
    Remarked,
    RemedyDone,
    Rested,
    SittingOpened,
    Weather,
    What,
)
from kb.log.replay import standing
from kb.log.store import ReedLog
from kb.model import Answer, GivenRound, Quantity, Ruleset
from kb.units import Length
from tui.box import find, histories, log_path
from tui.cli.commands import run_commands
from tui.desk import ChosenRuleset, Desk
from tui.plain.cards import example
from tui.plain.front import Front
from tui.plain.lines import Lines
from tui.plain.replaying import Replay
from tui.wiring import Surroundings

WHISTLE = str(Path(__file__).parents[1] / "golden" / "penny-whistle-voicing.yaml")
MORNING = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


@dataclass
class Clock:
    """A clock that a test sets."""

    time: datetime = MORNING

    def __call__(self) -> datetime:
        return self.time


@dataclass
class Shell:
    """A machine with its own home, clock and ids, on which commands are run."""

    home: Path
    clock: Clock = field(default_factory=Clock)
    numbers: "count[int]" = field(default_factory=count)
    out: str = ""
    err: str = ""

    def run(self, *words: str, typed: str | io.TextIOBase = "", terminal: bool = False) -> int:
        source = io.StringIO(typed) if isinstance(typed, str) else typed
        out, err = io.StringIO(), io.StringIO()
        around = Surroundings(
            stdin=source,  # type: ignore[arg-type]  # a fake of the few methods that are used
            stdout=out,
            stderr=err,
            environ={"CANEBRAKE_HOME": str(self.home)},
            is_terminal=terminal,
            clock=self.clock,
            ids=lambda: f"id-{next(self.numbers):04}",
        )
        code = run_commands(words, around)
        self.out, self.err = out.getvalue(), err.getvalue()
        return int(code)

    def interview(self, *lines: str, reed: str = "Grünes Band 3", more: Iterable[str] = ()) -> int:
        typed = "".join(f"{line}\n" for line in lines)
        return self.run("interview", WHISTLE, "--plain", "--reed", reed, *more, typed=typed)

    def entries(self, reed: str = "Grünes Band 3") -> tuple[Entry, ...]:
        with ReedLog.open(log_path(self.home), create=False) as log:
            found = find(histories(log), reed)
            return () if found is None else log.entries_of(found.id)

    def said(self, reed: str = "Grünes Band 3") -> list[What]:
        return [entry.what for entry in standing(self.entries(reed))][1:]


@pytest.fixture
def shell(tmp_path: Path) -> Shell:
    return Shell(tmp_path / "Ein Zuhause")


HIGH, LOW, HISS, DULL = (
    FindingId(one) for one in ("windway-high", "low-notes-break", "high-notes-hiss", "soft-notes-dull")
)


def test_answers_go_by_number_and_by_word_and_are_kept(shell: Shell) -> None:
    assert shell.interview("1", "something is wrong", "1 slightly", "stop") == 0
    assert shell.said() == [
        SittingOpened(1),
        Answered(HIGH, Answer.YES),
        Overviewed(PriorityId("response"), fine=False),
        Answered(LOW, Answer.SLIGHTLY),
    ]
    assert "Kept: Is the windway higher than it should be?: yes" in shell.out
    assert 'Go on with:\ncanebrake interview --plain --reed "Grünes Band 3"\n' in shell.out


def test_what_is_wrong_is_picked_by_words_of_its_title_and_never_guessed(shell: Shell) -> None:
    assert shell.interview("no", "something is wrong", "yes", "hiss", "two low", "stop") == 0
    assert shell.said()[-1] == Answered(LOW, Answer.YES)
    assert shell.out.count("That was not understood.") == 2
    opening = ["no"] * 10
    typed = "\n".join([*opening, "something is wrong", "crow", "crow muff", "stop", ""])
    assert shell.run("interview", "bassoon", "--plain", "--reed", "B", typed=typed) == 0
    assert "More than one of them: 1, 2, 3, " in shell.out
    assert shell.said("B")[-1] == Answered(FindingId("crow-muffled"), Answer.YES)


def test_a_reading_answers_a_question_that_is_read_off_a_quantity(shell: Shell) -> None:
    assert shell.interview("1,5 mm", "stop") == 0
    assert shell.said()[1:] == [Measured(QuantityId("windway-height"), 1.5)]
    assert "the target is 0.9 to 1.2 mm" in shell.out


def test_inches_are_shown_and_typed_when_the_maker_likes_them(shell: Shell) -> None:
    assert shell.run("reeds", "units", "inch") == 0
    assert shell.interview("0.05", "stop") == 0
    assert shell.said()[1:] == [Measured(QuantityId("windway-height"), 1.27)]
    assert "the target is 0.0354 to 0.0472 in" in shell.out
    assert shell.interview("stop", more=["--units", "mm"]) == 0
    assert " in." not in shell.out


def test_a_reading_outside_its_limits_is_refused_and_asked_again(shell: Shell) -> None:
    assert shell.interview("9.5", "1.0", "stop") == 0
    assert "9.5 mm cannot be meant: Windway height lies between 0.3 and 4 mm" in shell.out
    assert shell.said()[1:] == [Measured(QuantityId("windway-height"), 1.0)]


def test_the_step_is_told_with_zone_tool_minutes_undoing_and_reasons(shell: Shell) -> None:
    assert shell.interview("1", "2", "1", "stop") == 0
    assert "Priority: Response. The goal: Every note starts when asked." in shell.out
    assert "Do this: Shim the windway floor." in shell.out
    assert "Where: Windway. With: Paper shim. About 3 minutes. It can be undone." in shell.out
    assert "Why: It mends “The windway is too tall”" in shell.out


@pytest.mark.parametrize("word", ["yes", "y", "no", "n"])
def test_a_yes_or_a_no_at_a_step_is_neither_done_nor_the_end(shell: Shell, word: str) -> None:
    assert shell.interview("1", "2", "1", word, "stop") == 0
    assert "Do this: Shim the windway floor." in shell.out
    assert "Kept: Done" not in shell.out
    assert shell.out.count("1 done, 2 I did something else, 3 stop for today") > 1


def test_a_caution_is_told_with_a_sharp_tool(shell: Shell) -> None:
    # The hiss counts from the second sitting on; the windway too low behind it is mended with a knife.
    shell.run("interview", WHISTLE, "--plain", typed="3\n1\nsitting\n3\n1\n1\nstop\n")
    assert "Do this: Pare the windway floor." in shell.out
    assert "Caution: Blade away from the fingers." in shell.out


def test_what_does_not_count_yet_is_said_and_counts_from_its_sitting_on(shell: Shell) -> None:
    shell.interview("stop")
    assert "Sitting 1. Enough for one day: 20 minutes or 4 cuts." in shell.out
    assert "Too early to judge before sitting 2: Do the high notes hiss?" in shell.out
    shell.interview("1", "stop")
    shell.clock.time += timedelta(days=1)
    shell.interview("stop")
    assert "Judged from this sitting on: Do the high notes hiss?" in shell.out


def test_the_next_day_is_the_next_sitting_and_the_same_day_is_not(shell: Shell) -> None:
    shell.interview("1", "stop")
    shell.clock.time += timedelta(hours=6)
    shell.interview("stop")
    assert "Sitting 1." in shell.out
    shell.clock.time += timedelta(hours=18)
    shell.interview("1", "stop")
    assert "Sitting 2." in shell.out
    assert shell.said()[-3:-1] == [Rested(None, new_sitting=True), SittingOpened(2)]


def test_a_mere_look_at_a_resting_reed_opens_no_sitting_and_ends_no_rest(shell: Shell) -> None:
    shell.interview("3", "1", "1", "1", "never read")
    rested = shell.said()
    assert isinstance(rested[-1], Rested)
    shell.interview("why", "so far", "stop")
    assert shell.said() == rested
    shell.run("reeds")
    assert "resting until" in shell.out
    shell.interview("3", "stop")
    assert shell.said()[len(rested)] == SittingOpened(2)
    assert len(shell.said()) == len(rested) + 2


def test_work_past_midnight_is_one_sitting(shell: Shell) -> None:
    shell.clock.time = MORNING.replace(hour=23, minute=50)
    shell.interview("1", "stop")
    shell.clock.time += timedelta(minutes=30)
    shell.interview("stop")
    assert "Sitting 1." in shell.out


def test_a_reed_that_was_only_looked_at_does_not_grow_older_by_it(shell: Shell) -> None:
    for _day in range(3):
        shell.interview("stop")
        shell.clock.time += timedelta(days=1)
    assert "Sitting 1." in shell.out


def test_the_maker_may_say_that_a_new_sitting_begins(shell: Shell) -> None:
    shell.interview("1", "sitting", "stop")
    assert "Sitting 2." in shell.out
    shell.interview("1", "stop", more=["--new-sitting"])
    assert "Sitting 3." in shell.out


def test_a_rest_ends_the_day_and_the_next_interview_is_the_next_sitting(shell: Shell) -> None:
    assert shell.interview("3", "1", "1", "1", "never read") == 0
    assert "Let it rest: Leave it overnight." in shell.out
    assert shell.said()[-1] == Rested(RemedyId("overnight"), new_sitting=True, hours=12.0)
    shell.interview("remark dry", "stop")
    assert "Sitting 2." in shell.out
    assert shell.said()[-2] == SittingOpened(2)


def test_a_reed_that_is_taken_up_before_its_rest_is_over_says_so(shell: Shell) -> None:
    shell.interview("3", "1", "1", "1", "stop")
    assert isinstance(shell.said()[-1], Rested)
    shell.clock.time += timedelta(hours=2)
    shell.interview("stop")
    until = f"{shell.clock.time + timedelta(hours=10):%Y-%m-%d %H:%M}"
    assert f"This reed was to rest until {until}, which is still ahead." in " ".join(shell.out.split())
    shell.clock.time += timedelta(hours=12)
    shell.interview("stop")
    assert "was to rest" not in shell.out.rsplit("Reed:", 1)[1]


def test_a_rest_that_has_been_given_already_goes_on_at_once(shell: Shell) -> None:
    assert shell.interview("3", "1", "1", "2", "3", "stop") == 0
    assert shell.said()[-3:-1] == [
        Rested(RemedyId("overnight"), new_sitting=True, hours=12.0),
        SittingOpened(2),
    ]


def test_a_rest_that_does_not_fit_before_the_date_is_left_out(shell: Shell) -> None:
    assert shell.interview("3", "1", "1", "stop", more=["--by", "2026-11-25T12:00"]) == 0
    assert "Leave it overnight" not in shell.out
    assert shell.interview("stop", more=["--by", "2026-11-27"]) == 0
    assert "Leave it overnight" in shell.out


@pytest.mark.parametrize("date", ["tomorrow", "2026-13-01", "", "2026-11-24"])
def test_a_date_that_is_none_or_past_is_said(shell: Shell, date: str) -> None:
    assert shell.interview("stop", more=["--by", date]) == 2
    assert "is no date" in shell.err or "is past" in shell.err
    assert not shell.home.exists()


def test_a_remedy_that_disturbs_an_earlier_priority_reopens_it_and_says_why(shell: Shell) -> None:
    shell.interview("3", "1", "sitting", "3", "1", "1", "1", "3", "found break", "1", "stop")
    before, _, after = shell.out.partition("Kept: Done: Pare the windway floor")
    assert "Priority: Stability." in before
    assert "Priority: Response." in after
    assert "Response is open again: Pare the windway floor may have disturbed it." in after


def test_a_question_of_another_priority_says_why_it_is_asked_in_between(shell: Shell) -> None:
    # A yes to the first priority, and a remedy whose recheck belongs to the second.
    shell.interview("3", "sitting", "3", "found break", "1", "did pare", "1", "stop")
    assert "In between, of Stability: To see what “Pare the windway floor” changed." in " ".join(
        shell.out.split()
    )


def test_back_takes_back_the_last_thing_said_and_asks_it_again(shell: Shell) -> None:
    assert shell.interview("1", "back", "3", "stop") == 0
    assert shell.said()[1:] == [Answered(HIGH, Answer.NO)]
    assert shell.out.count("Is the windway higher than it should be?\n") >= 2
    assert len(shell.entries()) == 5


def test_back_with_a_number_takes_back_that_line_of_the_trail(shell: Shell) -> None:
    assert shell.interview("1", "2", "1", "trail", "back 1", "back 9", "back x", "stop") == 0
    assert "1 Is the windway higher than it should be?: yes" in shell.out
    assert Answered(HIGH, Answer.YES) not in shell.said()
    assert Answered(LOW, Answer.YES) in shell.said()
    assert shell.out.count("The trail has no such line") == 2


def test_back_does_not_reach_behind_the_sitting(shell: Shell) -> None:
    shell.interview("1", "stop")
    shell.clock.time += timedelta(days=1)
    shell.interview("back", "stop")
    assert "nothing to take back in this sitting" in shell.out
    assert Answered(HIGH, Answer.YES) in shell.said()


def test_a_finding_that_was_not_asked_a_reading_a_remark_and_weather_can_be_told(shell: Shell) -> None:
    lines = (
        "found dull",
        "2",
        "read",
        "1",
        "1.1 mm",
        "remark klingt ♭",
        "weather 21,5 °C 55 %",
        "blade notch",
        "stop",
    )
    assert shell.interview(*lines) == 0
    said = [type(one).__name__ for one in shell.said()]
    assert said == ["SittingOpened", "Answered", "Measured", "Remarked", "Weather", "BladeUp"]
    assert Weather(21.5, 55.0) in shell.said()
    shell.interview("stop")
    assert "Reed: Grünes Band 3, blade up: notch." in shell.out


def test_another_remedy_than_the_one_proposed_can_be_told(shell: Shell) -> None:
    assert shell.interview("1", "2", "1", "2", "pare", "stop") == 0
    assert shell.said()[-1] == RemedyDone(RemedyId("pare-windway"))


def test_why_gives_the_leading_causes_with_the_weight_of_each_answer(shell: Shell) -> None:
    assert shell.interview("1", "2", "1", "why", "stop") == 0
    assert "Do the two lowest notes break upwards when blown softly?: yes (round 1):" in shell.out
    assert "for it (+" in shell.out
    assert "A reason that these rules do not list:" in shell.out


def test_otherwise_tells_what_is_left_and_which_answers_would_turn_the_step(shell: Shell) -> None:
    assert shell.interview("otherwise", "1", "2", "1", "otherwise", "stop") == 0
    assert "Nothing was weighed yet" in shell.out
    assert "Still possible behind what shows: The windway is too tall" in shell.out
    assert "had been" in shell.out
    assert "the step would be:" in shell.out


def test_the_question_mark_lists_every_command(shell: Shell) -> None:
    from tui.plain.commands import COMMANDS  # noqa: PLC0415 - only this test

    assert shell.interview("?", "stop") == 0
    for word in set(COMMANDS) - {"quit"}:
        assert f"\n{word}" in shell.out


def test_answers_that_disagree_are_named_and_can_be_taken_back(shell: Shell, tmp_path: Path) -> None:
    certain = tmp_path / "certain.yaml"
    certain.write_text(
        "canebrake: 1\nid: certain\ntitle: Certain\nversion: 1.0.0\n"
        "priorities: [{id: response, title: Response}]\n"
        "symptoms:\n  a: {priority: response, ask: A?, leak: 0}\n"
        "  b: {priority: response, ask: B?, leak: 0}\n"
        "causes:\n  c: {title: C, how_common: rare, shows: {a: 1, b: 1}}\n"
        "remedies:\n  r: {title: R, do: R., cures: {c: usually}, undo: fully}\n"
    )
    typed = "found a\n1\nfound b\n3\n9\n2\nstop\n"
    assert shell.run("interview", str(certain), "--plain", "--reed", "x", typed=typed) == 0
    assert "the answers cannot all be true of one reed. Look at these again:" in shell.out
    assert "2 B? (round 1)" in shell.out
    assert shell.said("x") == [SittingOpened(1), Answered(FindingId("a"), Answer.YES)]


IMPOSSIBLE = """canebrake: 1
id: impossible
title: Impossible
version: 1.0.0
priorities:
  - {id: response, title: Response, ask: Is it all right?}
quantities:
  opening: {title: Opening, unit: mm}
symptoms:
  a: {priority: response, ask: A?, leak: 0}
signs:
  wide: {ask: Wide?, leak: 0, read: {quantity: opening, above: 2}}
causes:
  c: {title: C, how_common: rare, shows: {a: 1, wide: 1}}
remedies:
  r: {title: R, do: R., cures: {c: usually}, undo: fully}
"""


def test_a_disagreement_of_an_overview_with_a_reading_is_settled_by_taking_either_back(
    shell: Shell, tmp_path: Path
) -> None:
    rules = tmp_path / "impossible.yaml"
    rules.write_text(IMPOSSIBLE)
    command = ("interview", str(rules), "--plain", "--reed")
    for name, number, left in (("x", "1", Measured(QuantityId("opening"), 3.0)), ("y", "2", None)):
        assert shell.run(*command, name, typed=f"1\nread\n1\n3.0\n{number}\nstop\n") == 0
        assert "1 A? (round 1)" in shell.out
        assert "2 Wide? (round 1)" in shell.out
        assert "Taken back." in shell.out
        assert (left in shell.said(name)) is (left is not None)
        assert len(shell.said(name)) == 2


def test_how_tells_more_where_the_ruleset_does_and_says_when_it_does_not(
    shell: Shell, tmp_path: Path
) -> None:
    rules = tmp_path / "own.yaml"
    text = Path(WHISTLE).read_text(encoding="utf-8")
    assert "    do: Slide one paper shim" in text
    rules.write_text(
        text.replace(
            "    do: Slide one paper shim",
            "    differs: [{source: own, says: Leave it alone.}]\n    do: Slide one paper shim",
        ),
        encoding="utf-8",
    )
    shell.run("interview", str(rules), "--plain", typed="how\n1\nhow\n2\n1\nhow\nstop\n")
    assert "These rules say no more about it." in shell.out
    assert "Another view (Workshop practice): Leave it alone." in shell.out


def test_a_finding_is_found_by_the_words_of_its_question_and_named_before_it_is_taken(
    shell: Shell,
) -> None:
    rules = shell.home / "rules.yaml"
    rules.parent.mkdir(parents=True, exist_ok=True)
    text = Path(WHISTLE).read_text(encoding="utf-8")
    asked = "soft-notes-dull: {priority: flexibility, ask: Are soft notes dull?"
    assert asked in text
    rules.write_text(
        text.replace(asked, f"{asked[:-1]} or veiled?, title: No light in them"), encoding="utf-8"
    )
    shell.run("interview", str(rules), "--plain", typed="found veiled\n1\n1\nstop\n")
    assert "1 No light in them\n" in shell.out
    assert "Noted: No light in them: yes" in shell.out


def test_words_make_a_long_list_shorter_until_one_is_left(shell: Shell) -> None:
    assert shell.interview("did", "windway", "windway shim", "stop") == 0
    assert shell.said()[-1] == RemedyDone(RemedyId("shim-windway"))


def test_every_side_question_can_be_left_without_an_answer(shell: Shell) -> None:
    lines = (
        "found",
        "",
        "found dull",
        "",
        "read",
        "",
        "read windway",
        "",
        "did",
        "back",
        "grade",
        "",
        "remark",
        "",
    )
    assert shell.interview(*lines, "blade", "", "found nothing like it", "weather hot", "stop") == 0
    assert shell.said() == [SittingOpened(1)]
    assert "These rules know no finding with those words; found alone lists them all." in shell.out
    assert "such as: weather 21 55" in " ".join(shell.out.split())


def test_the_example_of_a_reading_is_of_a_size_that_somebody_may_have() -> None:
    hours = Quantity(QuantityId("hours"), "Hours played", "h", (0.0, 500.0))
    assert example(hours, Length.MM) == "50.0 h"
    assert example(replace(hours, target=(3.0, 5.0)), Length.MM) == "4.0 h"


def test_side_questions_take_numbers_and_words_and_say_what_they_did_not_understand(shell: Shell) -> None:
    lines = ("why", "found", "99", "hiss", "x", "1", "read", "1", "x", "1,1", "grade eigen", "again", "stop")
    assert shell.interview(*lines) == 0
    assert [type(one) for one in shell.said()[1:-1]] == [Answered, Measured]
    assert "Type a number from 1 to 4." in shell.out
    assert "A number is wanted here, such as 1.05 mm." in shell.out
    assert "This belongs to the routine that begins every sitting." in shell.out
    shell.run("reeds")
    assert "Grünes Band 3: eigen;" in shell.out


def test_a_rest_told_as_done_opens_the_next_sitting(shell: Shell) -> None:
    assert shell.interview("did overnight", "stop") == 0
    assert shell.said()[1:] == [Rested(RemedyId("overnight"), new_sitting=True, hours=12.0), SittingOpened(2)]
    assert "Sitting 2." in shell.out


def test_what_a_changed_ruleset_no_longer_knows_is_listed_whatever_it_is(
    shell: Shell, tmp_path: Path
) -> None:
    own = tmp_path / "own.yaml"
    text = Path(WHISTLE).read_text(encoding="utf-8")
    own.write_text(text, encoding="utf-8")
    command = ("interview", str(own), "--plain", "--reed", "x")
    shell.run(*command, typed="1.5 mm\ndid shim\ndid overnight\nstop\n")
    for old, new in (("windway-height", "height"), ("shim-windway", "shim-floor"), ("overnight", "a-night")):
        text = text.replace(old, new)
    own.write_text(text, encoding="utf-8")
    assert shell.run(*command, typed="trail\nstop\n") == 0
    flat = " ".join(shell.out.split())
    assert "The text of the ruleset penny-whistle-voicing 1.0.0 has changed since" in flat
    assert "It no longer knows, and so leaves aside: windway-height, shim-windway, overnight." in flat
    assert "windway-height: 1.5" in flat
    assert "Done: shim-windway" in flat


def test_a_ruleset_that_is_gone_and_of_which_nothing_was_kept_is_said(shell: Shell) -> None:
    shell.interview("stop")
    with ReedLog.open(log_path(shell.home)) as log:
        [entry, *_] = log.entries()
        assert entry.mark is not None
        lost = replace(entry.mark, digest="f" * 64)
        log.append(replace(entry, id=EntryId("later"), mark=lost, what=Remarked("from elsewhere")))
    assert shell.run("interview", "--plain", "--reed", "Grünes Band 3") == 2
    assert "are not installed, and the log keeps no text of them that works; name a ruleset" in shell.err


def test_an_end_offers_a_grade_that_the_list_of_reeds_then_shows(shell: Shell) -> None:
    assert shell.interview("3", "1", "3", "2", "1", "speaks at once", "1") == 0
    assert "The reed is ready." in shell.out
    assert "Kept: Grade: concert (speaks at once)" in shell.out
    shell.run("reeds")
    assert shell.out.startswith("Grünes Band 3: concert; 1 sitting;")


def test_without_a_reed_nothing_is_kept_and_it_says_so(shell: Shell) -> None:
    assert shell.run("interview", WHISTLE, "--plain", typed="1\nstop\n") == 0
    assert "nothing is kept" in shell.out
    assert "Noted: " in shell.out
    assert not log_path(shell.home).exists()


def test_on_a_terminal_a_name_is_offered_and_taken(shell: Shell) -> None:
    typed = "Neues Rohr\n1\nstop\n"
    assert shell.run("interview", WHISTLE, "--plain", typed=typed, terminal=True) == 0
    assert shell.said("neues rohr")[1:] == [Answered(HIGH, Answer.YES)]
    assert shell.run("interview", WHISTLE, "--plain", typed="\n1\nstop\n", terminal=True) == 0
    assert "nothing is kept" in shell.out


def test_of_several_rulesets_the_maker_is_asked_which_on_a_terminal(
    shell: Shell, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    other = tmp_path / "other-9.yaml"  # a 9 that no list of two has: it must not be chosen by it
    other.write_text(Path(WHISTLE).read_text(encoding="utf-8").replace("Voicing a penny", "Mending a penny"))
    monkeypatch.setattr("tui.choosing.installed_ids", lambda: (str(other), WHISTLE))
    assert shell.run("interview", "--plain", typed="x\n9\n2\n1\nstop\n", terminal=True) == 0
    assert "Rules: Voicing a penny whistle 1.0.0." in shell.out
    assert shell.run("interview", "--plain", "--reed", "y", typed="\n", terminal=True) == 2
    assert shell.run("interview", "--plain", "--reed", "y", typed="", terminal=True) == 2
    assert shell.run("interview", "--plain", typed="1\n") == 2
    assert "several rulesets are installed; name one of them" in shell.err


def test_what_is_not_understood_is_asked_again_and_nothing_is_kept_of_it(shell: Shell) -> None:
    assert shell.interview("perhaps", "7", "", "-1", "\x1b[2J", "ß" * 5000, "stop") == 0
    assert shell.said() == [SittingOpened(1)]
    assert "\x1b" not in shell.out
    assert "not understood" in shell.out


def test_a_name_is_found_whichever_way_its_umlaut_is_spelt(shell: Shell) -> None:
    shell.interview("1", "stop", reed="Gru\u0308nes  Band 3 ")
    shell.interview("stop", reed="GRÜNES BAND 3")
    assert "Reed: Grünes Band 3." in shell.out
    shell.run("reeds", "--json")
    assert [one["name"] for one in json.loads(shell.out)["reeds"]] == ["Grünes Band 3"]


@pytest.mark.parametrize("name", ["", "   ", "\x00\x1b", "x" * 81])
def test_a_name_that_cannot_be_shown_is_refused(shell: Shell, name: str) -> None:
    assert shell.interview("stop", reed=name) == 2
    assert "1 to 80 visible characters" in shell.err


class Interrupted(io.StringIO):
    """A keyboard on which Ctrl-C is pressed once its lines are used up."""

    def readline(self, size: int | None = -1, /) -> str:  # type: ignore[override]  # typeshed: bytes
        line = super().readline(-1 if size is None else size)
        if not line:
            raise KeyboardInterrupt
        return line


STORY = ("1.5 mm", "2", "1", "remark so far", "1", "3", "found dull", "1", "1")


@pytest.mark.parametrize("after", range(len(STORY) + 1))
def test_ctrl_c_at_any_prompt_keeps_all_and_exits_130(shell: Shell, after: int) -> None:
    typed = Interrupted("".join(f"{line}\n" for line in STORY[:after]))
    code = shell.run("interview", WHISTLE, "--plain", "--reed", "Grünes Band 3", typed=typed)
    if after == len(STORY):
        assert code == 0  # the last line leaves the reed for the night
        return
    assert code == 130
    assert "interrupted; everything you answered is kept" in shell.err
    assert "Traceback" not in shell.out + shell.err
    assert len(shell.said()) - 1 == shell.out.count("Kept: ")


@pytest.mark.parametrize("after", range(len(STORY)))
def test_an_interview_cut_off_at_any_line_and_taken_up_again_comes_to_the_same(
    shell: Shell, tmp_path: Path, after: int
) -> None:
    whole = Shell(tmp_path / "whole")
    whole.interview(*STORY)
    shell.interview(*STORY[:after])
    assert "The input ended." in shell.out
    rest = STORY[after:]
    if after == 7:
        rest = ("found dull", *rest)  # cut off between the finding's name and its answer
    if STORY[:after] == ("1.5 mm", "2"):
        assert "which of these is it?" in shell.out
    shell.interview(*rest)
    assert shell.said() == whole.said()


def test_answers_from_a_file_are_played_and_the_last_line_counts_what_it_leaves_open(
    shell: Shell, tmp_path: Path
) -> None:
    file = tmp_path / "case.json"
    file.write_text(
        '[{"given": {"windway-high": "yes", "low-notes-break": "yes"}, "then": "shim-windway"},'
        ' {"given": {"low-notes-break": "no"}}]'
    )
    assert shell.run("interview", WHISTLE, "--answers", str(file)) == 0
    assert "Do this: Shim the windway floor." in shell.out
    assert (
        shell.out.rstrip().splitlines()[-1]
        == "1 question was not answered by the file, and so answered unsure."
    )


@pytest.mark.parametrize(
    "content, part",
    [
        ("[", "not JSON"),
        ('[{"given": {"low-note": "yes"}}]', "did you mean 'low-notes-break'?"),
        ("", "not JSON"),
    ],
)
def test_a_file_of_answers_that_is_wrong_is_said_before_a_reed_is_touched(
    shell: Shell, tmp_path: Path, content: str, part: str
) -> None:
    file = tmp_path / "case.json"
    file.write_text(content)
    assert shell.interview(more=["--answers", str(file)]) == 2
    assert part in shell.err
    assert shell.entries() == ()
    assert shell.interview(more=["--answers", str(tmp_path / "none.json")]) == 2
    assert "there is no file" in shell.err


@pytest.mark.parametrize("content", [b"", b"\x00\x01", b"canebrake: 2\n", b"{"])
def test_a_ruleset_that_does_not_work_is_said(shell: Shell, tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "bad.yaml"
    file.write_bytes(content)
    assert shell.run("interview", str(file), "--plain") == 2
    assert "; first: " in shell.err
    assert shell.run("interview", str(tmp_path / "none.yaml"), "--plain") == 2
    assert shell.err.startswith("canebrake: ")


def test_a_log_that_is_damaged_is_said_and_exits_2(shell: Shell) -> None:
    shell.home.mkdir(parents=True)
    log_path(shell.home).write_bytes(b"not a log")
    assert shell.interview("1") == 2
    assert "damaged" in shell.err
    assert log_path(shell.home).read_bytes() == b"not a log"


def test_a_changed_ruleset_is_said_and_the_old_one_can_be_kept(shell: Shell, tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    text = Path(WHISTLE).read_text(encoding="utf-8")
    own.write_text(text, encoding="utf-8")
    command = ("interview", str(own), "--plain", "--reed", "x")
    shell.run(*command, typed="1\n2\n1\nstop\n")
    changed = text.replace("version: 1.0.0", "version: 1.1.0", 1).replace("windway-high", "windway-tall")
    own.write_text(changed, encoding="utf-8")
    shell.run(*command, typed="stop\n")
    flat = " ".join(shell.out.split())
    assert "The ruleset penny-whistle-voicing has changed from version 1.0.0 to 1.1.0." in flat
    assert "It no longer knows, and so leaves aside: windway-high." in flat
    pin = flat.partition('canebrake reeds pin "x" ')[2].split()[0]
    shell.run(*command, typed="1\nstop\n")
    assert shell.run("reeds", "pin", "x", pin) == 0
    assert "judged by penny-whistle-voicing 1.0.0 from now on" in shell.out
    assert shell.run("interview", "--plain", "--reed", "x", typed="stop\n") == 0
    assert "Rules: Voicing a penny whistle 1.0.0." in shell.out
    assert "changed" not in shell.out


def test_another_ruleset_on_an_old_reed_is_said(shell: Shell, tmp_path: Path) -> None:
    other = tmp_path / "other.yaml"
    other.write_text(
        Path(WHISTLE).read_text(encoding="utf-8").replace("id: penny-whistle-voicing", "id: other")
    )
    shell.interview("1", "stop")
    shell.run("interview", str(other), "--plain", "--reed", "Grünes Band 3", typed="stop\n")
    flat = " ".join(shell.out.split())
    assert (
        "judged by the ruleset penny-whistle-voicing 1.0.0; from now on it is judged by other 1.0.0." in flat
    )


def test_a_whole_third_sitting_is_played_to_its_end(shell: Shell) -> None:
    shell.interview("1.5 mm", "2", "1", "1", "3", "3", "1")
    for _night in range(2):
        shell.clock.time += timedelta(days=1)
        shell.interview("1.0 mm", "1", "stop")
    assert "Sitting 3." in shell.out
    shell.interview("3", "3", "2", "1", "1")
    assert "The reed is ready." in shell.out


def test_the_front_draws_nothing_that_a_screen_reader_would_spell_out(shell: Shell) -> None:
    shell.interview("1", "2", "1", "why", "trail", "?", "1", "stop")
    drawn = {one for one in shell.out if 0x2500 <= ord(one) <= 0x28FF or ord(one) < 32}
    assert drawn == {"\n"}


def test_every_line_fits_a_narrow_terminal() -> None:
    out = io.StringIO()
    Lines(io.StringIO(), out, 40).say(
        "Behind it, most likely first, and at some length: the windway is too tall."
    )
    assert max(map(len, out.getvalue().splitlines())) <= 39


COMMAND = [sys.executable, "-m", "tui.cli.main", "interview", WHISTLE, "--plain", "--reed", "Über eck"]


KILLED_STORY = ("1.5 mm", "2", "1", "1", "3")


@pytest.mark.parametrize("kept", range(len(KILLED_STORY)))
def test_a_real_interview_killed_with_kill_9_loses_nothing_and_goes_on(shell: Shell, kept: int) -> None:
    environ = {**os.environ, "CANEBRAKE_HOME": str(shell.home), "PYTHONUTF8": "1"}
    child = subprocess.Popen(
        COMMAND, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environ, text=True, encoding="utf-8"
    )
    assert child.stdin is not None
    assert child.stdout is not None
    seen = ""
    while "Type the number or the word." not in seen:
        seen += child.stdout.readline()
    for number, line in enumerate(KILLED_STORY[:kept], 1):
        child.stdin.write(f"{line}\n")
        child.stdin.flush()
        while seen.count("Kept: ") < number:
            seen += child.stdout.readline()
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdin.close()
    child.stdout.close()
    assert len(shell.said("Über eck")) == 1 + kept
    rest = "".join(f"{line}\n" for line in KILLED_STORY[kept:])
    subprocess.run(
        COMMAND, input=rest, env=environ, text=True, encoding="utf-8", check=True, capture_output=True
    )
    whole = Shell(shell.home / "whole")
    whole.interview(*KILLED_STORY, reed="Über eck")
    assert shell.said("Über eck") == whole.said("Über eck")


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is sent to a process another way there")
def test_ctrl_c_in_a_real_terminal_s_process_exits_130_without_a_traceback(shell: Shell) -> None:
    environ = {**os.environ, "CANEBRAKE_HOME": str(shell.home), "PYTHONUTF8": "1"}
    child = subprocess.Popen(
        COMMAND, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environ, text=True
    )
    assert child.stdout is not None
    seen = ""
    while "> " not in seen:
        seen += child.stdout.read(1)
    child.send_signal(signal.SIGINT)
    _, err = child.communicate(timeout=30)
    assert child.returncode == 130
    assert err == "canebrake: interrupted; everything you answered is kept.\n"


def test_the_first_question_of_the_opening_needs_neither_numbers_nor_a_screen(shell: Shell) -> None:
    code = (
        "import sys, io\n"
        "from tui.cli.commands import run_commands\n"
        "from tui.wiring import Surroundings\n"
        f"home = {{'CANEBRAKE_HOME': {str(shell.home)!r}}}\n"
        "around = Surroundings(io.StringIO(''), io.StringIO(), sys.stderr, home)\n"
        f"run_commands(['interview', {WHISTLE!r}, '--plain', '--reed', 'x'], around)\n"
        "print(sorted({'numpy', 'textual', 'rich', 'networkx'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


LOADED = load_file(Path(WHISTLE))
assert LOADED.ruleset is not None
RULES: Ruleset = LOADED.ruleset
GIVEN = st.dictionaries(st.sampled_from([HIGH, LOW, HISS, DULL]), st.sampled_from(Answer), max_size=4)
ROUND = st.builds(
    lambda given, height, then, opens: (
        GivenRound(
            tuple(given.items()),
            () if height is None else ((QuantityId("windway-height"), height),),
            then,
        ),
        opens,
    ),
    GIVEN,
    st.none() | st.sampled_from([0.8, 1.0, 1.5]),
    st.none() | st.sampled_from([RemedyId(one) for one in ("shim-windway", "pare-windway", "overnight")]),
    st.booleans(),
)


def told(case: Case) -> list[object]:
    """Give what a case says, without what was only asked and not known."""
    return [
        (
            {finding: answer for finding, answer in one.answers if answer.is_told},
            dict(one.readings),
            one.sitting,
            one.gap,
        )
        for one in case.rounds
    ]


TYPED = st.sampled_from(
    [
        *(
            "1",
            "2",
            "3",
            "4",
            "0",
            "yes",
            "no",
            "1,5 mm",
            "0.9",
            "back",
            "back 1",
            "trail",
            "why",
            "how",
            "again",
        ),
        *(
            "found",
            "found dull",
            "found hiss",
            "read",
            "did",
            "did pare",
            "did overnight",
            "sitting",
            "grade",
            "",
        ),
        *("weather 20", "blade x", "remark y", "?"),
    ]
)


@given(st.lists(TYPED, max_size=25))
@settings(max_examples=60, deadline=None)
def test_whatever_is_typed_the_interview_in_memory_is_the_one_that_the_log_tells(typed: list[str]) -> None:
    with TemporaryDirectory() as folder, ReedLog.open(log_path(Path(folder))) as log:
        number = count()
        chosen = ChosenRuleset(RULES, "")
        desk = Desk.with_reed(log, "x", None, chosen, clock=lambda: MORNING, ids=lambda: f"id-{next(number)}")
        front = Front(desk, Lines(io.StringIO("".join(f"{line}\n" for line in typed)), io.StringIO()))
        front.run()
        kept = log.entries_of(front.desk.reed)
        assert kept == front.desk.entries
        again = Interview.begin(RULES, kept)
        assert again.case == front.desk.interview.case
        assert case_of_entries(RULES, standing(kept))[0] == again.case
        assert type(again.card) is type(front.desk.interview.card) or isinstance(again.card, PickCard)


@given(st.lists(ROUND, min_size=1, max_size=3))
@settings(max_examples=40, deadline=None)
def test_a_file_played_through_the_interview_tells_the_case_that_weigh_reads_from_it(
    drawn: list[tuple[GivenRound, bool]],
) -> None:
    rounds, sitting = [], 1
    for one, opens in drawn:
        rounds.append(GivenRound(one.given, one.measure, one.then, sitting))
        sitting += opens or one.then == "overnight"
    number = count()
    desk = Desk.without_reed(
        ChosenRuleset(RULES, ""), clock=lambda: MORNING, ids=lambda: f"id-{next(number)}"
    )
    front = Front(desk, Lines(io.StringIO(), io.StringIO()))
    Replay(front, tuple(rounds)).run()
    assert told(front.desk.interview.case) == told(case_of_rounds(RULES, rounds))
