"""Practice: a virtual reed with a hidden fault in a student's hands, and the review at the end.

The screen holds one frozen practice; chance is handed in. What is said of a step and in the review
are the sentences of the plain front.
"""

import asyncio
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, Final

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from engine.interview import DoCard, RestCard
from engine.playing import Look
from engine.practice import Practice, Taken, review
from kb.ids import ZoneId
from kb.model import By, Ending, Finding, Remedy
from kb.settings import Settings
from tui.app import keys
from tui.app.face import lead_of
from tui.app.look import HEIGHTS, WIDTHS
from tui.app.screens.sheet import ChoiceSheet, Row
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.reed import ReedPicture
from tui.app.widgets.rowlist import RowList
from tui.draw.literal import literal
from tui.language import worded, worded_later
from tui.plain import cards
from tui.plain.practising import review_lines, taken_line
from tui.words import UNDO, minutes

if TYPE_CHECKING:
    from engine.virtual import Source

WAYS: Final = (
    (By.LOOK, worded_later("Look"), worded_later("at the reed")),
    (By.FEEL, worded_later("Feel"), worded_later("with the fingers")),
    (By.MEASURE, worded_later("Measure"), worded_later("with gauge and caliper")),
    (By.CROW, worded_later("Crow"), worded_later("the reed alone")),
    (By.PLAY, worded_later("Play"), worded_later("on the instrument")),
)
DO, REST, STOP = "do", "rest", "stop"
WORK: Final = (
    (DO, worded_later("Do a remedy"), worded_later("with its caution first")),
    (REST, worded_later("Let it rest"), worded_later("now, or overnight")),
    (STOP, worded_later("Stop"), worded_later("say what the reed is, and see the review")),
)
VERDICTS: Final[tuple[tuple[Ending | None, str, str], ...]] = (
    (Ending.READY, worded_later("It is ready"), ""),
    (Ending.ACCEPT, worded_later("Take it as it is"), worded_later("what is left is not worth its risk")),
    (Ending.SET_ASIDE, worded_later("Set it aside"), ""),
    (None, worded_later("Stop without a verdict"), ""),
)
BEGIN: Final = worded_later(
    "A reed with something wrong with it. Find out what, mend it, and stop when it is ready, or when it is "
    "not worth more. No knife is needed: this reed is made of chances."
)


class PracticeScreen(Screen[None]):
    """One virtual reed."""

    CSS_PATH = "practice.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*keys.PRACTICE]
    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS

    def __init__(
        self,
        practice: Practice,
        source: "Source",
        again: "Callable[[], Source]",
        number: int,
        settings: Settings = Settings(),  # noqa: B008 - a frozen value
    ) -> None:
        """Take a reed, the chance that it lives by, the same `again` for the engine, and its number."""
        super().__init__()
        self.practice, self._source, self._again, self._number = practice, source, again, number
        self._settings = settings
        self.review: tuple[str, ...] = ()
        """What is said at the end; empty: the reed is still being worked on."""

    def compose(self) -> ComposeResult:
        """Lay out what was found, what one can do, and the reed."""
        yield Static(id="practice-head", markup=False)
        with Horizontal(id="practice"):
            with Vertical(id="found"):
                with VerticalScroll(id="told", can_focus=False):
                    yield Static(id="said", markup=False)
                yield RowList([_choice(worded(one), worded(detail)) for _, one, detail in (*WAYS, *WORK)])
            yield ReedPicture()
        yield KeyLine()

    def on_mount(self) -> None:
        """Hand the reed over."""
        self.query_one(KeyLine).name_keys([*keys.PRACTICE, keys.HELP, keys.LEAVE])
        self.query_one(RowList).focus()
        self._show(Content(worded(BEGIN)))

    @work(exclusive=True, group="asking")
    async def on_row_list_taken(self, message: RowList.Taken) -> None:
        """Find something out, do something, or stop."""
        message.stop()
        ruleset = self.practice.living.ruleset
        if message.index < len(WAYS):
            by, title, _ = WAYS[message.index]
            await self._look(worded(title), [one for one in ruleset.findings if one.by is by])
            return
        match WORK[message.index - len(WAYS)][0]:
            case "do":
                await self._work(worded("Do which remedy?"), ruleset.remedies)
            case "rest":
                await self._work(worded("How is it to rest?"), ruleset.rests)
            case _:
                await self._stop()

    @work(exclusive=True, group="asking")
    async def action_anything(self) -> None:
        """Find anything out, however it is come by."""
        await self._look(worded("Find what out?"), self.practice.living.ruleset.findings)

    def action_scroll_said(self, lines: int) -> None:
        """Read on."""
        self.query_one("#told").scroll_relative(y=lines, animate=False)

    async def _look(self, heading: str, findings: Sequence[Finding]) -> None:
        if not findings:
            self.notify(worded("These rules know nothing of that kind."), markup=False)
            return
        rows = [Row(one, literal(one.title), minutes(one.minutes), one.ask) for one in findings]
        finding = await self.app.push_screen_wait(ChoiceSheet(heading, rows, search=True))
        if finding is None:
            return
        self.practice = self.practice.looked(finding.id)
        answer = self.practice.taken[-1].answer
        said = f"● {worded('Yes')}" if answer is not None and answer.is_present else f"○ {worded('No')}"
        lead = Content.styled(literal(lead_of(finding, self._settings.notes)), "bold $now")
        self._show(
            Content("\n").join([lead, Content(literal(finding.ask)), Content.styled(said, "bold")]),
            finding.zone,
        )

    async def _work(self, heading: str, operations: Sequence[Remedy]) -> None:
        if not operations:
            self.notify(worded("These rules know nothing of that kind."), markup=False)
            return
        rows = [
            Row(
                one,
                literal(one.title),
                "" if one.is_rest else f"{minutes(one.minutes)}, {worded(UNDO[one.undo])}",
                one.do,
            )
            for one in operations
        ]
        operation = await self.app.push_screen_wait(ChoiceSheet(heading, rows, search=True))
        if operation is None:
            return
        card = RestCard(operation, ()) if operation.new_sitting else DoCard(operation, ())
        sitting = self.practice.case.sitting
        told = "\n".join(
            literal(line)
            for line in cards.body(card, self.practice.living.ruleset, sitting, self._settings.units)
        )
        # Seen before it is done, caution and all: that is the habit to be learnt.
        self._show(Content(told), operation.zone)
        done = await self.app.push_screen_wait(
            ChoiceSheet(told, [Row(True, worded("It is done")), Row(False, worded("Leave it"))])
        )
        if done:
            self.practice = self.practice.did(operation.id, self._source)
            after = (
                worded("Sitting {number} begins.", number=self.practice.case.sitting)
                if operation.new_sitting
                else worded("Done.")
            )
            self._show(
                Content(f"{literal(operation.title)}\n{after} {worded('Now see what it changed.')}"),
                operation.zone,
            )

    async def _stop(self) -> None:
        # Each ending in a tuple, so that no verdict is told from no choice.
        rows = [Row((ending,), worded(title), worded(detail)) for ending, title, detail in VERDICTS]
        verdict = await self.app.push_screen_wait(ChoiceSheet(worded("What is the reed?"), rows))
        if verdict is None:
            return
        self.practice = self.practice.ended(verdict[0])
        self._show(Content(worded("Looking at it with you …")))
        practice, again = self.practice, self._again()
        found = await asyncio.to_thread(review, practice, again)
        self.review = tuple(review_lines(practice.living.ruleset, found))
        self.query_one(RowList).display = False
        told = self.query_one("#told", VerticalScroll)
        told.can_focus = True
        told.focus()
        self.query_one(KeyLine).name_keys([keys.SCROLL, keys.HELP, keys.LEAVE])
        self._show(Content("\n".join(literal(line) for line in self.review)))

    def _show(self, said: Content, zone: ZoneId | None = None) -> None:
        ruleset = self.practice.living.ruleset
        spent = minutes(self.practice.minutes)
        head = Content.assemble(
            (worded("Practice reed {number}", number=self._number), "bold"),
            f"   {worded('sitting {number}', number=self.practice.case.sitting)}   {spent}   ",
            (literal(ruleset.title), "$quiet"),
        )
        self.query_one("#practice-head", Static).update(head)
        parts = [said]
        if self.practice.taken and not self.review:
            parts += [Content(""), Content.styled(worded("So far"), "underline $quiet")]
            parts += [self._taken(one) for one in reversed(self.practice.taken)]
        self.query_one("#said", Static).update(Content("\n").join(parts))
        self.query_one("#told").scroll_home(animate=False)
        self.query_one(ReedPicture).show(ruleset.zones, zone)

    def _taken(self, taken: Taken) -> Content:
        sign = "○" if isinstance(taken.move, Look) else "◆"
        if taken.answer is not None and taken.answer.is_present:
            sign = "●"
        return Content.assemble(
            (f"{sign} ", "$quiet"), literal(taken_line(self.practice.living.ruleset, taken))
        )


def _choice(title: str, detail: str) -> Content:
    return Content.assemble((f"{title:<12}", "bold"), (f"  {detail}", "$quiet"))
