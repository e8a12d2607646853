"""A tree or a chart as steps to draw: what every kind of drawing needs, in words, and no figures beyond.

The computed tree and a teacher's chart become the same value, so that each drawing is written once.
Steps are numbered in reading order; the first way of a step is drawn beside it, the last goes on below.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Final, assert_never

from engine.chart import PricedChart, PricedStep
from engine.chartwalk import ChartStep
from engine.step import ANY_REST
from engine.tree import Tree, TreeKind, TreeStep
from engine.wording import percent
from kb.ids import ChartStepId, FindingId, RemedyId
from kb.model import AskStep, DoStep, Ending, Ruleset, StopStep, Undo


class StepKind(Enum):
    """What a step is, for its shape."""

    ASK = "ask"
    DO = "do"
    CUT = "cut"
    """An operation that cannot be undone."""
    REST = "rest"
    END = "end"
    OPEN = "open"
    """Where the drawing ends before the work does."""


@dataclass(frozen=True, slots=True)
class Onward:
    """One way from a step."""

    word: str
    """The answers that lead this way; empty after an operation."""
    chance: float | None
    to: int | None
    """Number of the step that follows; None: nothing follows."""


@dataclass(frozen=True, slots=True)
class DrawnStep:
    """One step."""

    number: int
    kind: StepKind
    title: str
    id: str
    """What it names in the ruleset; empty where it names nothing."""
    figures: str
    """Who comes here and what is expected from here on, as one phrase."""
    ways: tuple[Onward, ...] = ()
    caution: str = ""
    """Of an operation: what to mind with its tool."""

    @property
    def named(self) -> str:
        """The title with the id."""
        return f"{self.title} ({self.id})" if self.id else self.title


@dataclass(frozen=True, slots=True)
class Drawing:
    """Steps, the first to begin with, and the sentences that go before them."""

    title: str
    sentences: tuple[str, ...]
    steps: tuple[DrawnStep, ...]

    def step(self, number: int) -> DrawnStep:
        """Give a step by its number."""
        return self.steps[number - 1]

    def cautions(self) -> tuple[str, ...]:
        """Give each operation's caution once."""
        said = {step.id: f"{step.title}: {step.caution}" for step in self.steps if step.caution}
        return tuple(said.values())


ENDINGS: Final[Mapping[Ending, str]] = {
    Ending.READY: "The reed is ready",
    Ending.ACCEPT: "Take the reed as it is",
    Ending.SET_ASIDE: "Set the reed aside",
}
SETTLED: Final = "This trouble is gone; go on with the tool"
ASK_AGAIN: Final = "Ask again with the tool"
LEAVE_IT: Final = "Leave it until the next sitting"
CANNOT_BE_UNDONE: Final = "; cannot be undone"


def tree_drawing(ruleset: Ruleset, tree: Tree, title: str, sentences: tuple[str, ...]) -> Drawing:
    """Give a computed tree as steps to draw."""
    return Drawing(title, sentences, tuple(_of_tree(ruleset, one) for one in tree.steps))


def chart_drawing(ruleset: Ruleset, priced: PricedChart, title: str, sentences: tuple[str, ...]) -> Drawing:
    """Give a chart as steps to draw, those that no reed comes to left out."""
    number = {one.step.id: place for place, one in enumerate(priced.steps, start=1)}
    return Drawing(title, sentences, tuple(_of_chart(ruleset, one, number) for one in priced.steps))


# -- the computed tree --------------------------------------------------------------------------------


def _of_tree(ruleset: Ruleset, one: TreeStep) -> DrawnStep:
    figures = f"{percent(one.reach)} come here"
    if one.kind not in {TreeKind.STOP, TreeKind.SETTLED, TreeKind.CUT}:
        figures += f"; from here {_expected(one.minutes, one.cuts, one.cost)}"
        if one.followed < 0.995:
            figures += f"; {percent(one.followed)} to an end"
    kind, title = _named(ruleset, one)
    is_named = one.kind in {TreeKind.ASK, TreeKind.DO, TreeKind.REST} and one.id != ANY_REST
    id_ = one.id if is_named else ""
    return DrawnStep(one.number, kind, title, id_, figures, tuple(_tree_ways(one)), _caution(ruleset, id_))


def _named(ruleset: Ruleset, one: TreeStep) -> tuple[StepKind, str]:
    match one.kind:
        case TreeKind.ASK:
            return StepKind.ASK, ruleset.finding[FindingId(one.id)].ask
        case TreeKind.DO | TreeKind.REST:
            if one.id == ANY_REST:
                return StepKind.REST, LEAVE_IT
            return _operation(ruleset, RemedyId(one.id))
        case TreeKind.STOP:
            return StepKind.END, ENDINGS[Ending(one.id)]
        case TreeKind.SETTLED:
            return StepKind.END, SETTLED
        case TreeKind.CUT:
            return StepKind.OPEN, ASK_AGAIN


def _operation(ruleset: Ruleset, id_: RemedyId) -> tuple[StepKind, str]:
    entry = ruleset.operation[id_]
    if entry.is_rest:
        return StepKind.REST, entry.title
    return StepKind.CUT if entry.undo is Undo.NEVER else StepKind.DO, entry.title


def _caution(ruleset: Ruleset, id_: str) -> str:
    operation = ruleset.operation.get(RemedyId(id_))
    return "" if operation is None else operation.caution


def _expected(minutes: float, cuts: float, cost: float) -> str:
    return f"{minutes:.1f} minutes, {cuts:.2f} cuts, cost {cost:.1f}"


def _tree_ways(one: TreeStep) -> Iterator[Onward]:
    if one.then is not None:
        yield Onward("", None, one.then)
    if one.yes is not None and one.yes == one.no:
        yield Onward("yes or no", None, one.yes)
        return
    chance = one.chance_yes or 0.0
    if one.yes is not None:
        yield Onward("yes", chance, one.yes)
    if one.no is not None:
        yield Onward("no", 1.0 - chance, one.no)


# -- a teacher's chart --------------------------------------------------------------------------------


def _of_chart(ruleset: Ruleset, one: PricedStep, number: Mapping[ChartStepId, int]) -> DrawnStep:
    figures = f"{percent(min(1.0, one.reach))} come here"
    if not isinstance(one.step, StopStep):
        figures += f"; from here {_expected(one.minutes, one.cuts, one.cost)}"
    if one.lost >= 0.05:
        figures += f"; {one.lost:.1f} minutes lost"
    kind, title, id_ = _chart_named(ruleset, one.step)
    ways = tuple(_chart_ways(one.step, one.chance_yes, number))
    return DrawnStep(number[one.step.id], kind, title, id_, figures, ways, _caution(ruleset, id_))


def _chart_named(ruleset: Ruleset, step: ChartStep) -> tuple[StepKind, str, str]:
    match step:
        case AskStep():
            return StepKind.ASK, ruleset.finding[step.finding].ask, step.finding
        case DoStep():
            return (*_operation(ruleset, step.remedy), step.remedy)
        case StopStep():
            return StepKind.END, ENDINGS[step.ending], ""
    assert_never(step)


def _chart_ways(
    step: ChartStep, chance_yes: float | None, number: Mapping[ChartStepId, int]
) -> Iterator[Onward]:
    """Give a chart step's ways, answers that lead the same way together; *slightly* only if it differs."""
    if isinstance(step, DoStep) and step.then is not None:
        yield Onward("", None, number.get(step.then))
    if not isinstance(step, AskStep):
        return
    chances = {"yes": chance_yes, "no": None if chance_yes is None else 1.0 - chance_yes}
    answers = [("yes", step.yes), ("no", step.no), ("unsure", step.unsure)]
    if step.slightly != step.yes:
        answers.insert(1, ("slightly", step.slightly))
    together: dict[ChartStepId | None, list[str]] = {}
    for word, to in answers:
        together.setdefault(to, []).append(word)
    for to, words in together.items():
        known = [chances[word] for word in words if word in chances]
        chance = None if not known or None in known else sum(part for part in known if part is not None)
        yield Onward(" or ".join(words), chance, None if to is None else number.get(to))
