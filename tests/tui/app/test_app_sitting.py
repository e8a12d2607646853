"""The sitting screen as short stories of keys, at both sizes, each with what it wrote and what it shows."""

import asyncio
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from engine.interview import AskCard, DisagreeCard, DoCard, OverviewCard, PickCard, RestCard, StopCard
from kb.ids import FindingId, PriorityId, QuantityId, RemedyId
from kb.log.entry import (
    Answered,
    BladeUp,
    Graded,
    Measured,
    Overviewed,
    Remarked,
    RemedyDone,
    Rested,
    TakenBack,
    Weather,
    What,
)
from kb.log.fault import LogError
from kb.model import Answer, Ending, Ruleset
from kb.notes import NoteNames
from kb.settings import Settings
from kb.units import Length
from tests.tui.app.conftest import cells_of
from tui.app.main import Workbench
from tui.app.screens.sitting import SittingScreen
from tui.app.widgets.causes import Causes
from tui.app.widgets.keycap import KeyCap
from tui.desk import Desk

SIZES = ((80, 24), (120, 40))
WHY = (
    "Too much pressure in the throat is likely behind this.",
    "Wires can be undone, cane cannot: they come before the knife.",
)
CROW, LOW, WIDE, SPINE = (
    FindingId(one) for one in ("crow-muffled", "low-late", "opening-wide", "spine-narrow")
)
RESPONSE = PriorityId("response")


class Story:
    """One run of the application: keys in, the desk and the cells out."""

    def __init__(self, desk: Desk, keys: str, size: tuple[int, int], check: Callable[..., Any]) -> None:
        self.desk, self.keys, self.size, self.check = desk, keys.split(), size, check
        self.liked: list[Length] = []

    def run(self) -> "Story":
        asyncio.run(self._run())
        return self

    async def _run(self) -> None:
        self.app = Workbench(lambda: SittingScreen(self.desk, Length.MM, self.liked.append))
        async with self.app.run_test(size=self.size) as pilot:
            await settled(self.app, pilot)
            for key in self.keys:
                await pilot.press(key)
                await settled(self.app, pilot)
            screen = next(one for one in self.app.screen_stack if isinstance(one, SittingScreen))
            self.desk, self.card = screen.desk, screen.card
            self.check(self.app)

    @property
    def said(self) -> tuple[What, ...]:
        interview: Any = self.desk.interview
        return tuple(interview.said)


async def settled(app: Any, pilot: Any) -> None:
    """Wait until a card lies there again, or a sheet waits for the maker."""
    await pilot.pause()
    dealing = [one for one in app.workers if one.group == "dealing" and not one.is_finished]
    if dealing and not app.screen.is_modal:
        await app.workers.wait_for_complete(dealing)
    await pilot.pause()


def nothing(_app: Any) -> None:
    """Look at nothing."""


@pytest.fixture
def tell() -> Callable[..., Story]:
    def told(desk: Desk, keys: str = "", size: tuple[int, int] = (80, 24), check: Any = nothing) -> Story:
        return Story(desk, keys, size, check).run()

    return told


def card_of(ruleset: Ruleset, kind: str) -> Any:
    return {
        "ask": AskCard(ruleset.finding[CROW], None, True, ()),
        "ask-zone": AskCard(ruleset.finding[SPINE], None, False, WHY[:1]),
        "measure": AskCard(ruleset.finding[WIDE], QuantityId("opening"), False, WHY[:1]),
        "overview": OverviewCard(ruleset.priority[RESPONSE], (CROW, LOW)),
        "pick": PickCard(ruleset.priority[RESPONSE], ruleset.of_priority(RESPONSE)),
        "do": DoCard(ruleset.operation[RemedyId("flatten-second")], WHY),
        "rest": RestCard(ruleset.operation[RemedyId("overnight")], WHY[:1]),
        "stop": StopCard(Ending.READY, ("Every priority is clear.",)),
        "disagree": DisagreeCard(((1, CROW), (2, CROW))),
    }[kind]


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
@pytest.mark.parametrize(
    "kind", ["ask", "ask-zone", "measure", "overview", "pick", "do", "rest", "stop", "disagree"]
)
def test_each_card_looks_as_it_did(
    kind: str, size: tuple[int, int], ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    card = card_of(ruleset, kind)
    story = tell(stage(card), size=size, check=lambda app: snapshot(app, f"sitting-{kind}-{size[0]}"))
    assert story.card == card
    assert story.said == ()


def test_a_narrow_window_says_what_it_needs_and_can_still_be_answered(
    ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    asked = card_of(ruleset, "ask")
    tell(stage(asked), size=(40, 24), check=lambda app: snapshot(app, "sitting-ask-40"))
    story = tell(
        stage(asked, card_of(ruleset, "do")), "y", (40, 24), lambda app: snapshot(app, "sitting-do-40")
    )
    assert story.said == (Answered(CROW, Answer.YES),)


@pytest.mark.parametrize(
    "key,answer", [("y", Answer.YES), ("s", Answer.SLIGHTLY), ("n", Answer.NO), ("u", Answer.UNSURE)]
)
def test_one_key_answers(key: str, answer: Answer, ruleset: Ruleset, stage: Any, tell: Any) -> None:
    desk = stage(card_of(ruleset, "ask"), card_of(ruleset, "do"))
    story = tell(desk, key)
    assert story.said == (Answered(CROW, answer),)
    assert isinstance(story.card, DoCard)
    assert story.desk.entries[-1].what == Answered(CROW, answer)


def test_an_answer_to_a_card_that_is_not_yet_there_is_not_taken(ruleset: Ruleset, stage: Any) -> None:
    async def story() -> Desk:
        desk = stage(card_of(ruleset, "ask"), card_of(ruleset, "ask-zone"))
        app = Workbench(lambda: SittingScreen(desk, Length.MM, lambda _: None))
        async with app.run_test() as pilot:
            await settled(app, pilot)
            screen: Any = app.screen
            screen.action_answer("yes")
            assert screen.card is None
            assert screen.check_action("answer", ("yes",)) is False
            assert screen.check_action("take_back", ()) is False
            await settled(app, pilot)
            left: Desk = screen.desk
            return left

    interview: Any = asyncio.run(story()).interview
    assert interview.said == (Answered(CROW, Answer.YES),)


@pytest.mark.parametrize("typed", ["1 , 3 5", "1 . 3 5"])
def test_a_reading_is_typed_into_the_card_with_comma_or_point(
    typed: str, ruleset: Ruleset, stage: Any, tell: Any
) -> None:
    story = tell(stage(card_of(ruleset, "measure"), card_of(ruleset, "do")), f"{typed} enter")
    assert story.said == (Measured(QuantityId("opening"), 1.35),)


def test_a_reading_can_be_typed_in_inches(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    story = tell(stage(card_of(ruleset, "measure"), card_of(ruleset, "do")), "i 0 . 0 5 enter")
    assert story.said == (Measured(QuantityId("opening"), 1.27),)
    assert story.liked == [Length.INCH]


def test_a_question_with_a_field_is_still_answered_by_one_key(
    ruleset: Ruleset, stage: Any, tell: Any
) -> None:
    story = tell(stage(card_of(ruleset, "measure"), card_of(ruleset, "do")), "n")
    assert story.said == (Answered(WIDE, Answer.NO),)


def test_a_unit_typed_after_the_number_belongs_to_the_reading_and_answers_nothing(
    ruleset: Ruleset, stage: Any, tell: Any
) -> None:
    desk = stage(card_of(ruleset, "measure"), card_of(ruleset, "do"))
    story = tell(desk, "0 . 0 5 5 space i n enter")
    assert story.said == (Measured(QuantityId("opening"), 1.397),)
    assert story.liked == []


def test_a_reading_that_was_begun_says_how_to_keep_it_and_esc_drops_it(
    ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    cards = (card_of(ruleset, "measure"), card_of(ruleset, "do"))
    tell(stage(*cards), "1 . 3", check=lambda app: snapshot(app, "sitting-typing-80"))
    assert tell(stage(*cards), "1 . 3 escape n").said == (Answered(WIDE, Answer.NO),)


def test_a_reading_that_cannot_be_meant_is_refused_with_a_sentence(
    ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    desk = stage(card_of(ruleset, "measure"))
    story = tell(desk, "1 3 enter", check=lambda app: snapshot(app, "sitting-slip-80"))
    assert story.said == ()


def test_an_opening_question_says_why_it_is_asked(
    ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    tell(stage(card_of(ruleset, "ask")), "w", check=lambda app: snapshot(app, "sheet-why-80"))


def test_all_fine_names_the_symptoms_that_it_clears(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    story = tell(stage(card_of(ruleset, "overview"), card_of(ruleset, "do")), "a")
    assert story.said == (Overviewed(RESPONSE, fine=True, clear=(CROW, LOW)),)


@pytest.mark.parametrize(
    "keys,answers",
    [
        ("2", {LOW: Answer.YES}),
        ("down enter", {LOW: Answer.YES}),
        ("down s", {LOW: Answer.SLIGHTLY}),
        ("2 1", {LOW: Answer.YES, CROW: Answer.YES}),
        ("1 2 1", {LOW: Answer.YES}),
        ("1 s", {CROW: Answer.SLIGHTLY}),
    ],
    ids=["number", "arrow", "slightly", "several", "left again", "after all slightly"],
)
def test_what_is_wrong_is_picked_from_a_list(
    keys: str, answers: dict[FindingId, Answer], ruleset: Ruleset, stage: Any, tell: Any
) -> None:
    cards = [card_of(ruleset, kind) for kind in ("overview", "pick", "do", "do")]
    taking = tell(stage(*cards), f"p {keys}")
    assert taking.said == (Overviewed(RESPONSE, fine=False),), "the list stays open"
    story = tell(stage(*cards), f"p {keys} d")
    assert story.said[1:] == tuple(Answered(*one) for one in answers.items())


def test_what_was_taken_from_a_list_is_kept_when_something_else_is_said(
    ruleset: Ruleset, stage: Any, tell: Any
) -> None:
    pick = card_of(ruleset, "pick")
    story = tell(stage(pick, pick, pick), "1 i r x enter")
    assert story.said == (Answered(CROW, Answer.YES), Remarked("x"))

    def marked(app: Any) -> None:
        assert "● yes  The crow is muffled" in cells_of(app), "also after lengths were turned"

    tell(stage(pick), "1 i", check=marked)


def test_a_list_shows_what_was_taken_and_an_empty_hand_is_told_so(
    ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    pick = card_of(ruleset, "pick")
    tell(stage(pick), "1 down s", check=lambda app: snapshot(app, "sitting-pick-taken-80"))
    story = tell(stage(pick), "d", check=lambda app: snapshot(app, "sitting-pick-nothing-80"))
    assert story.said == ()


def test_who_cannot_name_it_is_asked_instead_and_nothing_is_written(
    ruleset: Ruleset, stage: Any, tell: Any
) -> None:
    story = tell(stage(card_of(ruleset, "pick"), card_of(ruleset, "ask")), "e")
    assert story.said == ()
    assert isinstance(story.card, AskCard)


def test_a_step_done_is_written_down(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    story = tell(stage(card_of(ruleset, "do"), card_of(ruleset, "ask")), "d")
    assert story.said == (RemedyDone(RemedyId("flatten-second")),)


def test_another_operation_than_the_proposed_one_can_be_done(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    story = tell(stage(card_of(ruleset, "do"), card_of(ruleset, "ask")), "o t h i n enter")
    assert story.said == (RemedyDone(RemedyId("thin-back")),)


def test_a_finding_can_be_volunteered_at_any_moment(
    ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    desk = stage(card_of(ruleset, "do"), card_of(ruleset, "do"))
    tell(desk, "f n a r", check=lambda app: snapshot(app, "sheet-finding-80"))
    story = tell(desk, "f n a r enter s")
    assert story.said == (Answered(SPINE, Answer.SLIGHTLY),)


@pytest.mark.parametrize("counts_from", [2, 9])
def test_a_finding_volunteered_before_it_counts_is_said_not_to_count(
    ruleset: Ruleset, stage: Any, tell: Any, counts_from: int
) -> None:
    later = tuple(
        replace(one, counts_from_sitting=counts_from) if one.id == SPINE else one for one in ruleset.findings
    )
    desk = replace(
        stage(card_of(ruleset, "do"), card_of(ruleset, "do")), ruleset=replace(ruleset, findings=later)
    )
    shown: list[str] = []
    tell(desk, "f n a r enter", check=lambda app: shown.append(cells_of(app)))
    assert ("does not count before sitting 9" in shown[0]) is (counts_from == 9)


def test_a_reading_can_be_given_unasked_and_a_slip_mended(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    keys = "m enter 1 3 enter 1 , 4 enter"
    story = tell(stage(card_of(ruleset, "do"), card_of(ruleset, "do")), keys)
    assert story.said == (Measured(QuantityId("opening"), 1.4),)


def test_a_remark_and_the_blade_that_is_up_are_kept(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    desk = stage(*[card_of(ruleset, "do")] * 3)
    keys = "r d r y enter b ctrl+u p l a i n enter"
    story = tell(desk, keys)
    assert story.said == (Remarked("dry"), BladeUp("plain"))


def test_escape_leaves_every_sheet_and_writes_nothing(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    opening = (*"fmorbtxwv", "question_mark")
    story = tell(stage(card_of(ruleset, "do")), " ".join(f"{key} escape" for key in opening))
    assert story.said == ()
    assert isinstance(story.card, DoCard)


def test_any_entry_of_the_trail_can_be_taken_back(
    ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    desk = stage(card_of(ruleset, "do"))
    tell(desk, "t", check=lambda app: snapshot(app, "sheet-trail-80"))
    story = tell(desk, "t down down enter")
    answered = next(one for one in desk.entries if one.what == Answered(CROW, Answer.NO))
    assert story.desk.entries[-1].what == TakenBack(answered.id)


def test_the_last_entry_is_taken_back_by_one_key(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    desk = stage(card_of(ruleset, "do"))
    story = tell(desk, "z")
    assert story.desk.entries[-1].what == TakenBack(desk.entries[-1].id)


def test_answers_that_disagree_are_taken_back_where_they_were_given(
    ruleset: Ruleset, stage: Any, tell: Any
) -> None:
    desk = stage(card_of(ruleset, "disagree"))
    story = tell(desk, "2")
    wrong = next(one for one in desk.entries if one.what == Answered(CROW, Answer.NO))
    assert story.desk.entries[-1].what == TakenBack(wrong.id)


def test_a_rest_ends_the_sitting_and_leaves(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    story = tell(stage(card_of(ruleset, "rest")), "d")
    assert story.said == (Rested(RemedyId("overnight"), new_sitting=True, hours=12.0),)
    assert story.app.return_value == 0


def test_enough_today_can_be_said_on_any_card(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    story = tell(stage(card_of(ruleset, "ask")), "x 2")
    assert story.said == (Rested(None, new_sitting=True),)
    assert story.app.return_value == 0


def test_a_finished_reed_is_given_a_grade_and_a_reason(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    story = tell(stage(card_of(ruleset, "stop")), "g 2 s o f t enter")
    assert story.said == (Graded("rehearsal", "soft"),)
    without = tell(stage(card_of(ruleset, "stop")), "g 1 enter")
    assert without.said == (Graded("concert", ""),)


def test_ctrl_c_leaves_from_anywhere_with_the_code_of_an_interruption(
    ruleset: Ruleset, stage: Any, tell: Any
) -> None:
    for keys in ("ctrl+c", "f ctrl+c", "r h ctrl+c"):
        story = tell(stage(card_of(ruleset, "ask")), keys)
        assert story.app.return_code == 130, keys
        assert story.said == ()


def test_what_could_not_be_written_is_said_and_asked_again(ruleset: Ruleset, stage: Any, tell: Any) -> None:
    class Full:
        """A log on a full disk."""

        def append(self, *_: Any) -> None:
            raise LogError("The disk is full.")

    full: Any = Full()
    desk = replace(stage(card_of(ruleset, "ask")), log=full)
    seen: list[str] = []
    story = tell(desk, "y", check=lambda app: seen.extend(str(one.message) for one in app._notifications))
    assert seen == ["Not written. The disk is full."]
    assert story.desk.entries == desk.entries
    assert isinstance(story.card, AskCard)


def test_a_window_can_change_its_size_while_a_card_lies_there(
    ruleset: Ruleset, stage: Any, snapshot: Any
) -> None:
    async def story() -> None:
        app = Workbench(lambda: SittingScreen(stage(card_of(ruleset, "do")), Length.MM, lambda _: None))
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(app, pilot)
            for size in ((40, 16), (20, 8), (80, 24)):
                await pilot.resize_terminal(*size)
                await settled(app, pilot)
            snapshot(app, "sitting-do-80")

    asyncio.run(story())


def test_units_that_cannot_be_remembered_are_used_all_the_same(ruleset: Ruleset, stage: Any) -> None:
    def full(_: Length) -> None:
        raise OSError(28, "No space left on device")

    async def story() -> tuple[Length, list[str]]:
        app = Workbench(lambda: SittingScreen(stage(card_of(ruleset, "measure")), Length.MM, full))
        async with app.run_test() as pilot:
            await settled(app, pilot)
            await pilot.press("i")
            await settled(app, pilot)
            screen: Any = app.screen
            return screen.length, [str(one.message) for one in app._notifications]

    length, said = asyncio.run(story())
    assert length is Length.INCH
    assert said == ["For this sitting only: the settings cannot be written (No space left on device)."]


def test_an_earlier_priority_that_is_open_again_is_said_in_words(
    ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    usual: Any = stage(card_of(ruleset, "do")).interview
    desk = stage(card_of(ruleset, "do"), advice=replace(usual.advice, reopened=True))
    tell(desk, check=lambda app: snapshot(app, "sitting-reopened-80"))


def test_a_click_on_a_key_is_as_good_as_the_key(ruleset: Ruleset, stage: Any) -> None:
    async def story() -> Any:
        desk = stage(card_of(ruleset, "ask"), card_of(ruleset, "do"))
        app = Workbench(lambda: SittingScreen(desk, Length.MM, lambda _: None))
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(app, pilot)
            await pilot.click(list(app.screen.query(KeyCap))[2])
            await settled(app, pilot)
            screen: Any = app.screen
            return screen.desk.interview

    assert asyncio.run(story()).said == (Answered(CROW, Answer.NO),)


def test_the_weather_is_kept_with_the_sitting_and_may_be_left_open(
    ruleset: Ruleset, stage: Any, tell: Any
) -> None:
    card = card_of(ruleset, "ask")
    assert tell(stage(card), "h 2 1 enter 5 5 enter").said == (Weather(21.0, 55.0),)
    assert tell(stage(card), "h enter 5 5 enter").said == (Weather(None, 55.0),)
    assert tell(stage(card), "h 6 9 . 8 space ° F enter 4 5 space % enter").said == (Weather(21.0, 45.0),)
    assert tell(stage(card), "h escape escape").said == ()
    assert tell(stage(card), "h 9 9 9 enter escape escape").said == ()


@pytest.mark.parametrize("size", [*SIZES, (40, 24)], ids=lambda size: str(size[0]))
def test_the_place_of_a_step_is_shown_before_it_is_done(
    size: tuple[int, int], ruleset: Ruleset, stage: Any, tell: Any, snapshot: Any
) -> None:
    card = DoCard(ruleset.operation[RemedyId("thin-back")], ())

    def look(app: Any) -> None:
        assert app.screen.is_modal
        snapshot(app, f"sheet-where-{size[0]}")

    assert tell(stage(card), "enter", size=size, check=look).said == ()
    assert tell(stage(card), "enter enter d").said == (RemedyDone(RemedyId("thin-back")),)


def test_beside_a_reed_that_is_ready_nothing_is_suspected(stage: Any, tell: Any) -> None:
    def behind(app: Any) -> str:
        return str(app.screen.query_one(Causes).content(40))

    ready = StopCard(Ending.READY, ())
    tell(stage(ready), check=lambda app: behind(app) == "" or pytest.fail(behind(app)))
    accept = StopCard(Ending.ACCEPT, ())
    tell(stage(accept), check=lambda app: "throat" in behind(app) or pytest.fail(behind(app)))


def test_notes_are_called_as_the_player_calls_them(ruleset: Ruleset, stage: Any) -> None:
    async def story(names: NoteNames) -> str:
        card = AskCard(ruleset.finding[FindingId("e-sags")], None, False, ())
        screen = SittingScreen(stage(card), Length.MM, lambda _: None, Settings(notes=names))
        app: Any = Workbench(lambda: screen)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(app, pilot)
            return str(app.screen.query_one("#lead").content)

    assert asyncio.run(story(NoteNames.ENGLISH)) == "Play, E3 mf"
    assert asyncio.run(story(NoteNames.GERMAN)) == "Play, e mf"
    assert asyncio.run(story(NoteNames.SOLMISATION)) == "Play, mi3 mf"


def test_settings_are_followed_at_once_and_kept(ruleset: Ruleset, stage: Any) -> None:
    kept: list[tuple[str, str]] = []

    async def story() -> None:
        card = AskCard(ruleset.finding[FindingId("e-sags")], None, False, ())
        app: Any = Workbench(
            lambda: SittingScreen(stage(card), Length.MM, lambda _: None),
            keep=lambda key, value: kept.append((key, value)),
        )
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(app, pilot)
            for key in ("comma", "2", "3", "l", "l"):
                await pilot.press(key)
                await settled(app, pilot)
            assert str(app.screen.query_one("#lead").content) == "Play, e mf"
            assert app.theme == "contrast"

    asyncio.run(story())
    assert kept == [("notes", "german"), ("colours", "day"), ("colours", "contrast")]
