"""The plain front's loop: say the card, read a line, enter it, and again.

It holds the only thing that changes, the desk. What a line means for each card stands in
`tui.plain.answers`, what the words at every prompt do in `tui.plain.commands`.
"""

from dataclasses import dataclass

from engine.interview import AskCard, Card, DisagreeCard, OverviewCard, PickCard
from kb.ids import PriorityId
from kb.log.entry import RemedyDone, Rested, What
from tui.desk import Desk
from tui.language import worded
from tui.plain import cards, said
from tui.plain.answers import take
from tui.plain.commands import COMMANDS, HELP
from tui.plain.lines import InputEnded, Lines
from tui.plain.outcome import Outcome


@dataclass(slots=True)
class Front:
    """The desk as it is now, and the lines to the maker."""

    desk: Desk
    lines: Lines
    _told: tuple[PriorityId | None, int] | None = None
    """The priority and round that were last announced."""

    def run(self) -> None:
        """Go on until the maker stops or the input ends. Raises LogError, KeyboardInterrupt."""
        self.greet()
        try:
            while self._one_card() is not Outcome.STOP:
                pass
        except InputEnded:
            self.lines.say(worded("The input ended."))
        self.part()

    def say(self, what: What) -> None:
        """Enter what was said and tell the maker that it is kept."""
        self.desk = self.desk.say(what)
        told = said.entry_in_words(what, self.desk.ruleset, self.lines.length)
        self.lines.say(f"{worded('Kept' if self.desk.log is not None else 'Noted')}: {told}", "")

    def greet(self) -> None:
        """Say which reed, which sitting, which rules."""
        desk, lines = self.desk, self.lines
        rules = f"{desk.ruleset.title} {desk.ruleset.version}"
        if desk.log is None:
            lines.say(
                worded("No reed is named, so nothing is kept. Name one with --reed NAME."),
                worded("Rules: {rules}.", rules=rules),
            )
        else:
            history = desk.history
            blade = (
                f", {worded('blade up: {blade}', blade=history.blade_up)}"
                if history is not None and history.blade_up
                else ""
            )
            lines.say(worded("Reed: {name}. Rules: {rules}.", name=f"{desk.name}{blade}", rules=rules))
        lines.say(*desk.notes)
        self.tell_sitting()
        lines.say(worded("Type the number or the word. ? lists what else can be typed."), "")

    def tell_sitting(self) -> None:
        """Say which sitting this is, and what is expected of it."""
        sitting, limit = self.desk.interview.case.sitting, self.desk.ruleset.sitting
        enough = []
        if limit.minutes is not None:
            enough.append(worded("{number} minutes", number=f"{limit.minutes:g}"))
        if limit.cuts is not None:
            enough.append(worded("{cuts} cuts", cuts=limit.cuts))
        day = (
            worded("Enough for one day: {limits}.", limits=f" {worded('or')} ".join(enough)) if enough else ""
        )
        self.lines.say(
            f"{worded('Sitting {number}.', number=sitting)} {day}".rstrip(),
            *said.counting(self.desk.ruleset, sitting),
        )

    def part(self) -> None:
        """Say how to go on another time."""
        if self.desk.log is not None:
            # On a line of its own, to be copied whole.
            again = f'canebrake interview --plain --reed "{self.desk.name}"'
            self.lines.say(worded("Everything is kept. Go on with:"), again)
        else:
            self.lines.say(worded("Nothing was kept, since no reed was named."))

    def show_card(self) -> None:
        """Say the present card with its reasons."""
        interview, lines = self.desk.interview, self.lines
        card = interview.card
        self._announce()
        if isinstance(card, AskCard) and card.opening:
            lines.say(worded("To begin with:"))
        self._explain_order(card)
        sitting = interview.case.sitting
        lines.say(*cards.body(card, self.desk.ruleset, sitting, lines.length, lines.names))
        if isinstance(card, AskCard | OverviewCard | PickCard | DisagreeCard):
            return
        lines.say(*(worded("Why: {reason}", reason=reason) for reason in cards.reasons(card)))

    def _one_card(self) -> Outcome:
        """Show the present card and read until it is answered."""
        self.show_card()
        outcome = Outcome.SAME
        while outcome is Outcome.SAME:
            card = self.desk.interview.card
            line = self.lines.ask(cards.choices(card, self.desk.ruleset, self.lines.length))
            word, _, rest = line.partition(" ")
            command = COMMANDS.get(word.casefold())
            if line in {"?", "help"}:
                self.lines.say(*map(worded, HELP))
            elif command is not None:
                outcome = command(self, rest)
            elif line:
                outcome = take(self, card, line)
        return outcome

    def _announce(self) -> None:
        """Say the active priority when it has changed, and why when an earlier one is open again."""
        interview = self.desk.interview
        card = interview.card
        if isinstance(card, DisagreeCard) or (isinstance(card, AskCard) and card.opening):
            return
        advice = interview.advice
        now = (advice.priority, len(interview.case.rounds) if advice.reopened else 0)
        if now == self._told:
            return
        self._told = now
        priority = self.desk.ruleset.priority.get(advice.priority) if advice.priority is not None else None
        if priority is None:
            self.lines.say(worded("All priorities are clear."))
            return
        goal = worded("The goal: {goal}.", goal=priority.goal) if priority.goal else ""
        self.lines.say(
            f"{worded('Priority: {title}.', title=priority.title)} {goal.replace('..', '.')}".rstrip()
        )
        if advice.reopened:
            done = self._last_done()
            blame = worded(
                "{step} may have disturbed it" if done else "the last step may have disturbed it", step=done
            )
            self.lines.say(worded("{title} is open again: {blame}.", title=priority.title, blame=blame))

    def _explain_order(self, card: Card) -> None:
        """Say why a question is asked that belongs to another priority than the one that is worked on."""
        if not isinstance(card, AskCard) or card.opening or card.finding.priority is None:
            return
        if card.finding.priority == self.desk.interview.advice.priority:
            return
        why = f": {card.why[0]}" if card.why else f", {worded('to be settled on its own later')}."
        priority = self.desk.ruleset.priority[card.finding.priority].title
        self.lines.say(f"{worded('In between, of {priority}', priority=priority)}{why}")

    def _last_done(self) -> str:
        for entry in reversed(self.desk.standing):
            match entry.what:
                case RemedyDone(remedy):
                    return said.operation_title(self.desk.ruleset, remedy)
                case Rested(rest):
                    return said.operation_title(self.desk.ruleset, rest) if rest is not None else ""
                case _:
                    pass
        return ""
