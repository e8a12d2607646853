"""Practice in lines: a virtual reed answers what is looked at, until the student stops; then the review."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from engine.interview import DoCard, RestCard
from engine.playing import Look, Move, Operate, Overview, Played
from engine.practice import Practice, Review, SavingLook, StepReview, Taken, review
from engine.step import ANY_REST, Kind
from kb.model import By, Ending, Finding, Remedy, Ruleset
from tui.draw.literal import literal
from tui.language import worded, worded_count, worded_later
from tui.plain import cards
from tui.plain.lines import InputEnded, Lines
from tui.plain.picking import is_named, pick
from tui.words import ENDINGS, minutes, per_cent

if TYPE_CHECKING:
    from engine.virtual import Source

WAYS: Final[Mapping[str, By]] = MappingProxyType({by.value: by for by in By})
PROMPT: Final = worded_later("look, feel, measure, crow, play, do, rest, so far, stop")
HELP: Final = (
    worded_later(
        "look, feel, measure, crow or play: find something out; with words after it, what has those words"
    ),
    worded_later("ask WORDS: anything that can be found out, however it is come by"),
    worded_later("do WORDS: do a remedy"),
    worded_later("rest WORDS: let the reed rest"),
    worded_later("so far: what you found and did, and what it took"),
    worded_later(
        "stop ready, stop accept, stop set aside: stop, and say what the reed is; "
        "stop alone says nothing of it"
    ),
)
VERDICTS: Final[Mapping[str, Ending]] = MappingProxyType(
    {
        "ready": Ending.READY,
        "accept": Ending.ACCEPT,
        "set aside": Ending.SET_ASIDE,
        "set-aside": Ending.SET_ASIDE,
    }
)


@dataclass(slots=True)
class PracticeFront:
    """The reed as it is now, and the lines to the student."""

    practice: Practice
    source: "Source"
    again: "Callable[[], Source]"
    """Gives a new source from the same seed, for the engine's turn."""
    seed: int
    lines: Lines

    @property
    def ruleset(self) -> Ruleset:
        """The rules that the reed obeys."""
        return self.practice.living.ruleset

    def run(self) -> None:
        """Go on until the student stops or the input ends, then review."""
        self.lines.say(
            worded(
                "A reed with something wrong with it. Rules: {rules}.",
                rules=f"{self.ruleset.title} {self.ruleset.version}",
            ),
            worded("Find out what, mend it, and stop when it is ready, or when it is not worth more."),
            worded(
                "This is reed {number}; --seed {number} gives it again. ? lists what can be typed.",
                number=self.seed,
            ),
            worded("Begin with: {word}", word=self._first_way()),
            "",
        )
        try:
            while self._one_line():
                pass
        except InputEnded:
            self.lines.say(worded("The input ended."))
        self.lines.say("", *review_lines(self.ruleset, review(self.practice, self.again())))

    def _one_line(self) -> bool:
        """Read a line and do what it says; False stops."""
        word, _, rest = self.lines.ask(worded(PROMPT)).partition(" ")
        word = word.casefold()
        by = WAYS.get(word)
        if by is not None:
            self._look([one for one in self.ruleset.findings if one.by is by], rest)
        elif word == "ask":
            self._look(self.ruleset.findings, rest)
        elif word == "do":
            self._work(self.ruleset.remedies, rest)
        elif word == "rest":
            self._work(self.ruleset.rests, rest)
        elif word == "so":
            self._tell_so_far()
        elif word == "stop":
            return not self._stop(rest.casefold())
        elif word in {"?", "help"}:
            self.lines.say(*map(worded, HELP))
        elif word:
            self.lines.say(*self._way_on(f"{word} {rest}".strip()))
        return True

    def _way_on(self, line: str) -> Iterator[str]:
        """Say of a line that was not understood how it is meant to be said, with an example to type."""
        lists = (("ask", self.ruleset.findings), ("do", self.ruleset.remedies), ("rest", self.ruleset.rests))
        for verb, some in lists:
            if any(is_named(one.title, line) for one in some):
                yield worded("To do that, type: {words}", words=f"{verb} {line}")
                return
        yield worded("“{words}” is nothing that can be typed here.", words=literal(line))
        if self.practice.taken:
            yield worded(
                "Go on with: look, feel, measure, crow or play; do and a word of a remedy; or stop ready."
            )
        else:
            yield worded("Begin with: {word} (and then a number of the list).", word=self._first_way())
        yield worded("? lists everything.")

    def _first_way(self) -> str:
        """Give what a player tries first, of the ways in which these rules find anything out."""
        there = {one.by for one in self.ruleset.findings}
        tried = (By.CROW, By.PLAY, By.LOOK, By.FEEL, By.MEASURE)
        return next((by.value for by in tried if by in there), "ask")

    def _look(self, findings: Sequence[Finding], words: str) -> None:
        offered = [(finding.title, finding) for finding in findings]
        finding = pick(
            self.lines, offered, words, nothing=worded("There is nothing of that kind with those words.")
        )
        if finding is None:
            return
        self.practice = self.practice.looked(finding.id)
        answer = self.practice.taken[-1].answer
        told = worded("Yes." if answer is not None and answer.is_present else "No.")
        self.lines.say(f"{finding.ask} {told}", "")

    def _work(self, operations: Sequence[Remedy], words: str) -> None:
        offered = [(operation.title, operation) for operation in operations]
        operation = pick(self.lines, offered, words, nothing=worded("There is none with those words."))
        if operation is None:
            return
        card = RestCard(operation, ()) if operation.new_sitting else DoCard(operation, ())
        self.lines.say(*cards.body(card, self.ruleset, self.practice.case.sitting, self.lines.length))
        self.practice = self.practice.did(operation.id, self.source)
        told = [worded("It is done.")]
        if operation.new_sitting:
            told.append(worded("This is sitting {number}.", number=self.practice.case.sitting))
        self.lines.say(" ".join(told), "")

    def _tell_so_far(self) -> None:
        self.lines.say(*(taken_line(self.ruleset, one) for one in self.practice.taken))
        so_far = worded(
            "{time} so far, sitting {number}.",
            time=minutes(self.practice.minutes),
            number=self.practice.case.sitting,
        )
        self.lines.say(so_far, "")

    def _stop(self, words: str) -> bool:
        """Stop with the verdict that the words say; False when they say none that is known."""
        if words and words not in VERDICTS:
            self.lines.say(worded("A reed is ready, accept, or set aside; stop alone says nothing of it."))
            return False
        self.practice = self.practice.ended(VERDICTS.get(words))
        return True


def review_lines(ruleset: Ruleset, found: Review) -> Iterator[str]:
    """Say what was hidden, what each step cost, what the engine would have done, and the score."""
    hidden = "; ".join(ruleset.cause[cause].title for cause in found.hidden)
    nothing = worded("nothing that these rules list; something shows for another reason")
    yield worded("What was hidden: {causes}.", causes=hidden or nothing)
    yield ""
    if found.steps:
        yield worded("Your steps:")
    for number, step in enumerate(found.steps, 1):
        yield from _step_lines(ruleset, number, step)
    if found.steps:
        yield ""
    yield worded("You: {outcome}", outcome=_outcome(found.student))
    yield worded("The engine, on the same reed with the same luck: {outcome}", outcome=_outcome(found.engine))
    yield from _way_lines(ruleset, found.engine_moves)
    yield ""
    yield worded(
        "Costs in minutes, with what cannot be undone and what is still wrong counted in: "
        "you {student}, the engine {engine}.",
        student=f"{found.student_cost:.0f}",
        engine=f"{found.engine_cost:.0f}",
    )
    if found.is_mistaken:
        yield worded("You called it ready, and something still shows: that halves the score.")
    yield worded("Score: {score} of 100.", score=found.score)


def _way_lines(ruleset: Ruleset, moves: Sequence[Move]) -> Iterator[str]:
    """Say the engine's way: its operations, and how much was asked before each."""
    asked = 0
    for move in moves:
        if isinstance(move, Look | Overview):
            asked += 1
            continue
        if isinstance(move, Operate):
            what = _operation_title(ruleset, move.operation)
        else:
            what = worded("nothing more") if move.ending is None else _ending(move.ending)
        told = worded_count(
            "after {count} question: {what}", "after {count} questions: {what}", asked, what=what
        )
        yield f"  {told}"
        asked = 0


def _step_lines(ruleset: Ruleset, number: int, step: StepReview) -> Iterator[str]:
    yield f"{number} {taken_line(ruleset, step.taken)}"
    yield from (f"  {line}" for line in _judged(ruleset, step))


def _judged(ruleset: Ruleset, step: StepReview) -> Iterator[str]:
    mended = "; ".join(ruleset.cause[cause].title for cause in step.taken.mended)
    brought = "; ".join(ruleset.cause[cause].title for cause in step.taken.brought)
    if mended:
        yield worded("It mended: {causes}.", causes=mended)
    if brought:
        yield worded("It brought: {causes}.", causes=brought)
    if not mended and not brought:
        yield worded("It changed nothing.")
    for finding in step.against:
        shows = cards.title(ruleset, finding)
        yield worded("The rules are against it while this shows: {finding}", finding=shows)
    own = step.taken.move.operation if isinstance(step.taken.move, Operate) else None
    if step.advised is not None and step.advised[1] != own:
        chosen = worded("The engine would have chosen: {step}", step=_advised_words(ruleset, *step.advised))
        lost = step.lost if step.lost is not None and step.lost >= 0.5 else None
        yield f"{chosen}{'' if lost is None else worded(', which saves {time}', time=minutes(lost))}."
    elif step.advised is not None:
        yield worded("The engine would have done the same.")
    if step.saving is not None:
        yield _saving_words(ruleset, step.saving)


def _saving_words(ruleset: Ruleset, look: SavingLook) -> str:
    finding = ruleset.finding[look.finding]
    told = worded(
        "A look would have saved this cut ({time}): {question} {answer}",
        time=minutes(finding.minutes),
        question=finding.ask,
        answer=worded("Yes" if look.shows else "No"),
    )
    if look.forbids:
        return worded("{look}, and then the rules forbid it.", look=told)
    return worded(
        "{look}; what it mends is then no longer {before} likely, but {after}.",
        look=told,
        before=per_cent(look.before),
        after=per_cent(look.after),
    )


def taken_line(ruleset: Ruleset, taken: Taken) -> str:
    """Say one thing that the student did, what it told, and what it took."""
    if isinstance(taken.move, Look):
        answer = worded(taken.answer.value) if taken.answer is not None else ""
        what = f"{cards.title(ruleset, taken.move.finding)}: {answer}"
    else:
        what = _operation_title(ruleset, taken.move.operation)
    return f"{what} ({minutes(taken.minutes)})"


def _outcome(end: Played) -> str:
    told = (
        minutes(end.minutes),
        worded_count("{count} question", "{count} questions", end.questions),
        worded_count("{count} cut", "{count} cuts", end.cuts),
        worded("sitting {number}", number=end.sittings),
    )
    verdict = worded("no verdict") if end.ending is None else _ending(end.ending).lower()
    truth = worded("in truth nothing shows any more" if end.is_sound else "in truth something still shows")
    return f"{', '.join(told)}; {verdict}; {truth}."


def _ending(ending: Ending) -> str:
    return worded(ENDINGS[ending]).rstrip(".")


def _advised_words(ruleset: Ruleset, kind: Kind, id_: str) -> str:
    match kind:
        case Kind.ASK:
            return worded("ask: {finding}", finding=_finding_title(ruleset, id_))
        case Kind.STOP:
            return _ending(Ending(id_))
        case Kind.DO | Kind.REST:
            return _operation_title(ruleset, None if id_ == ANY_REST else id_)


def _finding_title(ruleset: Ruleset, id_: str) -> str:
    return next((one.title for one in ruleset.findings if one.id == id_), id_)


def _operation_title(ruleset: Ruleset, id_: str | None) -> str:
    return next(
        (one.title for one in ruleset.operations if one.id == id_), worded("a night in which nothing is done")
    )
