"""Playing a rounds file through the interview, as `interview --answers FILE` does.

Every question that the interview asks is answered from the round that is going on, unsure where the
round says nothing. What a round gives without being asked is told before the round ends, so that
afterwards the case is the file's.
"""

from dataclasses import dataclass, field

from engine.interview import AskCard, DisagreeCard, OverviewCard, PickCard
from kb.ids import FindingId, QuantityId
from kb.log.entry import Answered, Measured, Overviewed, RemedyDone, Rested, SittingOpened, What
from kb.model import Answer, GivenRound
from tui.language import worded_count
from tui.plain.front import Front


@dataclass(slots=True)
class Replay:
    """A rounds file on its way through the interview."""

    front: Front
    rounds: tuple[GivenRound, ...]
    unanswered: int = 0
    """Questions that the file did not answer."""
    _said: set[FindingId | QuantityId] = field(default_factory=set)
    """What this round has told already."""
    _met: set[FindingId] = field(default_factory=set)
    """What was asked in this round; a file cannot say more about it the second time."""

    def run(self) -> None:
        """Play the whole file; the last line says how many questions it left open."""
        self.front.greet()
        rounds = self.rounds or (GivenRound(),)
        if rounds[-1].then is not None:
            rounds = (*rounds, GivenRound())
        first = rounds[0].sitting
        if first is not None and first > self.front.desk.interview.case.sitting:
            self._enter(SittingOpened(first))
        for number, one in enumerate(rounds):
            self._said.clear()
            self._met.clear()
            self._play(one)
            if number + 1 < len(rounds):
                self._end(one, rounds[number + 1].sitting)
        self.front.show_card()
        count = self.unanswered
        told = worded_count(
            "{count} question was not answered by the file, and so answered unsure.",
            "{count} questions were not answered by the file, and so answered unsure.",
            count,
        )
        self.front.lines.say("", told)

    def _play(self, one: GivenRound) -> None:
        """Answer until the interview asks no more and the round has told all that it gives."""
        while True:
            what = self._answer(one)
            if what is None:
                what = self._volunteer(one)
            if what is None:
                return
            if isinstance(what, Answered):
                self._said.add(what.finding)
            elif isinstance(what, Measured):
                self._said.add(what.quantity)
            self._enter(what)

    def _answer(self, one: GivenRound) -> What | None:
        """Give the answer to the present card, None when it asks nothing."""
        given = dict(one.given)
        card = self.front.desk.interview.card
        if isinstance(card, PickCard):
            for symptom in card.symptoms:
                if symptom.id in given and symptom.id not in self._said:
                    return self._asked(Answered(symptom.id, given[symptom.id]))
            self.front.desk = self.front.desk.ask_instead()
            card = self.front.desk.interview.card
        if isinstance(card, OverviewCard):
            fine = bool(card.clears) and all(given.get(symptom) is Answer.NO for symptom in card.clears)
            return self._asked(Overviewed(card.priority.id, fine, card.clears if fine else ()))
        return self._question(card, one) if isinstance(card, AskCard) else None

    def _question(self, card: AskCard, one: GivenRound) -> What | None:
        """Give the file's answer to a question, unsure where it has none."""
        given, measured = dict(one.given), dict(one.measure)
        finding, quantity = card.finding.id, card.quantity
        if finding in self._met:
            return None
        self._met.add(finding)
        if finding in given:
            return self._asked(Answered(finding, given[finding]))
        if quantity is not None and quantity in measured and quantity not in self._said:
            return self._asked(Measured(quantity, measured[quantity]))
        self.unanswered += 1
        return self._asked(Answered(finding, Answer.UNSURE))

    def _asked(self, what: What) -> What:
        self.front.show_card()
        return what

    def _volunteer(self, one: GivenRound) -> What | None:
        """Give what the round knows and was not asked for."""
        for finding, answer in one.given:
            if finding not in self._said and not self._cleared(finding, answer):
                return Answered(finding, answer)
        for quantity, value in one.measure:
            if quantity not in self._said:
                return Measured(quantity, value)
        return None

    def _cleared(self, finding: FindingId, answer: Answer) -> bool:
        """Whether an overview question has said the same already."""
        return self.front.desk.interview.case.present.answer(finding) is answer

    def _end(self, one: GivenRound, following: int | None) -> None:
        """End the round by what the file says was done, and open the next sitting where one begins."""
        if not isinstance(self.front.desk.interview.card, DisagreeCard):
            self.front.show_card()
        before = self.front.desk.interview.case.sitting
        operation = None if one.then is None else self.front.desk.ruleset.operation[one.then]
        opens = following is not None and following > before
        if operation is None:
            self._enter(Rested(None, new_sitting=opens))
        elif operation.is_rest:
            opens = opens or operation.new_sitting
            self._enter(Rested(operation.id, opens))
        else:
            self._enter(RemedyDone(operation.id))
        now = self.front.desk.interview.case.sitting
        number = following if following is not None else now
        if opens and number > before:
            self._enter(SittingOpened(number))
            self.front.tell_sitting()

    def _enter(self, what: What) -> None:
        self.front.say(what)
