"""Questions that the maker asks for: each opens a sheet and gives back what goes into the log, or None."""

from collections.abc import Iterable
from typing import ClassVar, Final

from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from kb.ids import FindingId, RemedyId
from kb.log.entry import (
    Answered,
    BladeUp,
    EntryId,
    Graded,
    Measured,
    Remarked,
    RemedyDone,
    Rested,
    Weather,
    What,
)
from kb.model import Answer, Finding, Profile, Quantity, Ruleset
from kb.notes import NoteNames
from kb.units import Length, typed, unit_shown
from tui.app import keys
from tui.app.face import early, lead_of
from tui.app.reading import Slip, example, read_number
from tui.app.screens.sheet import ChoiceSheet, LineSheet, Row
from tui.app.trail import TrailLine
from tui.app.widgets.keycap import KeyCap
from tui.app.widgets.keyline import KeyLine
from tui.draw.literal import literal
from tui.language import worded, worded_later
from tui.shelf import installed_ids
from tui.words import minutes

GRADES: Final = (
    (worded_later("concert"), worded_later("ready for anything")),
    (worded_later("rehearsal"), worded_later("good, with something left")),
    (worded_later("practice"), worded_later("plays")),
    (worded_later("spare"), worded_later("kept in the box")),
    (worded_later("set aside"), worded_later("given up")),
)


class AnswerSheet(ModalScreen[Answer | None]):
    """One finding to answer, over whatever card is there."""

    CSS_PATH = "sheet.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*keys.ANSWERS, keys.CLOSE]

    def __init__(self, finding: Finding, names: NoteNames, sitting: int) -> None:
        """Ask about `finding` at this sitting."""
        super().__init__()
        self._finding, self._names, self._sitting = finding, names, sitting

    def compose(self) -> ComposeResult:
        """Put the question and its keys."""
        with Vertical(classes="sheet -line"):
            yield Static(
                Content(literal(lead_of(self._finding, self._names))), classes="heading", markup=False
            )
            yield Static(Content(literal(self._finding.ask)), classes="ask", markup=False)
            if self._finding.counts_from_sitting > self._sitting:
                yield Static(Content(early(self._finding)), classes="ask", markup=False)
            with Horizontal(classes="caps"):
                for _ in keys.ANSWERS:
                    yield KeyCap()
            yield KeyLine()

    def on_mount(self) -> None:
        """Name the keys."""
        for cap, binding in zip(self.query(KeyCap), keys.ANSWERS, strict=True):
            cap.show(binding)
        self.query_one(KeyLine).name_keys([keys.CLOSE])

    def action_answer(self, word: str) -> None:
        """Give back the answer."""
        self.dismiss(Answer(word))

    async def on_key_cap_pressed(self, message: KeyCap.Pressed) -> None:
        """Take a click for its key."""
        message.stop()
        await self.run_action(message.action)

    def action_close(self) -> None:
        """Give back nothing."""
        self.dismiss(None)


async def ask_finding(app: App[int], ruleset: Ruleset, names: NoteNames, sitting: int) -> What | None:
    """Let the maker say something that was not asked."""
    rows = [
        Row(finding.id, literal(finding.title), literal(lead_of(finding, names)), finding.ask)
        for finding in ruleset.findings
    ]
    chosen: FindingId | None = await app.push_screen_wait(
        ChoiceSheet(worded("What did you find?"), rows, search=True)
    )
    if chosen is None:
        return None
    answer = await app.push_screen_wait(AnswerSheet(ruleset.finding[chosen], names, sitting))
    return None if answer is None else Answered(chosen, answer)


async def ask_reading(app: App[int], ruleset: Ruleset, length: Length) -> What | None:
    """Let the maker give a reading that was not asked for."""
    rows: list[Row[Quantity | Profile]] = [
        Row(one, literal(one.title), unit_shown(literal(one.unit), length)) for one in ruleset.quantities
    ]
    rows += [
        Row(one, worded("Thickness: {title}", title=literal(one.title)), unit_shown("mm", length))
        for one in ruleset.thickness
    ]
    if not rows:
        app.notify(worded("This ruleset measures nothing."), markup=False)
        return None
    chosen = await app.push_screen_wait(
        ChoiceSheet(worded("What did you measure?"), rows, search=len(rows) > 5)
    )
    if isinstance(chosen, Profile):
        from tui.app.screens.thickness import ThicknessSheet  # noqa: PLC0415 - few measure a blade

        return await app.push_screen_wait(ThicknessSheet(chosen, ruleset.blades, length))
    return None if chosen is None else await _ask_quantity(app, chosen, length)


async def _ask_quantity(app: App[int], quantity: Quantity, length: Length) -> What | None:
    hint = ""
    before = ""
    while True:
        usual = worded(
            "In {unit}, such as {example}",
            unit=unit_shown(literal(quantity.unit), length),
            example=example(quantity, length),
        )
        written = await app.push_screen_wait(LineSheet(literal(quantity.title), hint or usual, before))
        if written is None:
            return None
        value = read_number(written, quantity, length)
        if not isinstance(value, Slip):
            return Measured(quantity.id, value)
        hint, before = f"▲ {value.sentence}", written


async def ask_operation(app: App[int], ruleset: Ruleset) -> What | None:
    """Let the maker say what else was done."""
    rows = [
        Row(one.id, literal(one.title), worded("rest") if one.is_rest else minutes(one.minutes), one.do)
        for one in ruleset.operations
    ]
    chosen: RemedyId | None = await app.push_screen_wait(
        ChoiceSheet(worded("What was done?"), rows, search=True)
    )
    if chosen is None:
        return None
    operation = ruleset.operation[chosen]
    return Rested(chosen, operation.new_sitting) if operation.is_rest else RemedyDone(chosen)


async def ask_rest(app: App[int], ruleset: Ruleset) -> Rested | None:
    """Let the maker say how the reed is left until its next sitting."""
    rows: list[Row[Rested]] = [
        Row(Rested(one.id, new_sitting=True), literal(one.title)) for one in ruleset.rests if one.new_sitting
    ]
    rows.append(Row(Rested(None, new_sitting=True), worded("Just left alone")))
    return await app.push_screen_wait(ChoiceSheet(worded("Enough for today. How is it left?"), rows))


async def ask_entry(app: App[int], heading: str, lines: Iterable[TrailLine]) -> EntryId | None:
    """Let the maker pick what to take back, the newest first."""
    rows = [
        Row(line.entry, f"{line.sign} {line.word}  {line.text}", _clock(line.at))
        for line in reversed(tuple(lines))
    ]
    if not rows:
        app.notify(worded("There is nothing to take back yet."), markup=False)
        return None
    return await app.push_screen_wait(ChoiceSheet(heading, rows))


async def ask_grade(app: App[int]) -> What | None:
    """Let the maker say what the reed is good for."""
    own = "another word"
    rows = [Row(grade, worded(grade), worded(meaning)) for grade, meaning in GRADES] + [
        Row(own, worded("another word…"), "")
    ]
    grade = await app.push_screen_wait(ChoiceSheet(worded("What is it good for?"), rows))
    if grade == own:
        grade = await app.push_screen_wait(LineSheet(worded("In your own word")))
    if grade is None:
        return None
    reason = await app.push_screen_wait(LineSheet(worded("Why? (Enter on nothing leaves it open)")))
    return Graded(grade, reason or "")


async def ask_reason(app: App[int], heading: str) -> str | None:
    """Let the maker say why; None takes the whole thing back, an empty line leaves the reason open."""
    rows = [
        Row("do", worded("yes, and say why")),
        Row("plain", worded("yes")),
        Row("no", worded("no, leave it")),
    ]
    chosen = await app.push_screen_wait(ChoiceSheet(heading, rows))
    if chosen == "do":
        return await app.push_screen_wait(LineSheet(worded("Why?"))) or ""
    return "" if chosen == "plain" else None


async def ask_blade(app: App[int], before: str) -> What | None:
    """Let the maker say which blade is up."""
    blade = await app.push_screen_wait(
        LineSheet(
            worded("Which blade is up?"),
            worded("By its mark, such as: notch, or twist of the first wire"),
            before,
        )
    )
    return None if blade is None else BladeUp(blade)


async def ask_minutes(app: App[int]) -> float | None:
    """Let the maker say how long to wait."""
    return await _ask_number(
        app, worded("How many minutes?"), worded("Such as: 4 for a soak"), (0.1, 24 * 60)
    )


async def ask_weather(app: App[int]) -> What | None:
    """Let the maker say how warm and how damp it is; either may be left open."""
    warm = await _ask_number(app, worded("How warm is it, in °C?"), "°C", (-40, 60))
    damp = await _ask_number(app, worded("How damp is the air, in per cent?"), "%", (0, 100))
    return None if warm is None and damp is None else Weather(warm, damp)


async def _ask_number(app: App[int], heading: str, unit: str, limits: tuple[float, float]) -> float | None:
    said, before = worded("Enter on nothing leaves it open"), ""
    while True:
        written = await app.push_screen_wait(LineSheet(heading, said, before))
        if written is None:
            return None
        number = typed(written, unit, Length.MM)
        if number is not None and limits[0] <= number <= limits[1]:
            return number
        said, before = (
            worded(
                "▲ A number from {least} to {most} is wanted here.",
                least=f"{limits[0]:g}",
                most=f"{limits[1]:g}",
            ),
            written,
        )


async def ask_remark(app: App[int]) -> What | None:
    """Let the maker write a line."""
    text = await app.push_screen_wait(
        LineSheet(worded("A remark"), worded("Kept with this reed, for you to read again"))
    )
    return None if text is None else Remarked(text)


async def ask_ruleset(app: App[int], heading: str, before: Iterable[Row[str]] = ()) -> str | None:
    """Let the author name a ruleset: an installed one, or a file; or one of the lines put `before`."""
    own = worded("a file…")
    rows = [
        *before,
        *(Row(one, literal(one)) for one in installed_ids()),
        Row(own, own, worded("one of your own")),
    ]
    said = await app.push_screen_wait(ChoiceSheet(heading, rows))
    if said == own:
        return await app.push_screen_wait(
            LineSheet(worded("Which file?"), worded("Such as: rules/my-studio.yaml"))
        )
    return said


def _clock(at: str) -> str:
    return at[11:16] if len(at) > 16 else ""
