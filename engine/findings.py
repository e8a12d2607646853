"""What a case says about each finding: answers and readings become weights of showing.

A reading answers every sign that reads its quantity, unless the sign itself was answered in that
round; unsure says nothing, so it leaves the reading its say. Before the sitting from which a
finding counts, a yes is kept but says nothing; a no counts.
"""

from dataclasses import dataclass

from engine.case import Case, Round
from engine.edges import chance_beyond
from engine.network import Network
from kb.ids import FindingId
from kb.model import Answer, Finding, QuantityRead, Ruleset, ThicknessRead


@dataclass(frozen=True, slots=True)
class Said:
    """The evidence about one finding in one round."""

    round: int
    shows: float
    """Weight of showing: 1 for yes, 0 for no."""
    clear: float
    """Weight of not showing."""
    is_yes: bool
    """Whether it is a plain yes (an answer, or a reading taken at its word), even one that came
    before the finding counts and so weighs nothing."""


def evidence_of(ruleset: Ruleset, network: Network, case: Case) -> tuple[tuple[Said, ...], ...]:
    """Give for each finding of `network` what was said about it, oldest first."""
    answered = {id_ for one in case.rounds for id_, _ in one.answers}
    measured = {id_ for one in case.rounds for id_, _ in one.readings}

    def is_told(finding: Finding) -> bool:
        if isinstance(finding.read, QuantityRead) and finding.read.quantity in measured:
            return True
        return finding.id in answered or isinstance(finding.read, ThicknessRead)

    findings = (ruleset.finding[id_] for id_ in network.findings)
    return tuple(_about(ruleset, one, case) if is_told(one) else () for one in findings)


def _about(ruleset: Ruleset, finding: Finding, case: Case) -> tuple[Said, ...]:
    told = [
        said
        for number, one in enumerate(case.rounds)
        if (said := _said(ruleset, finding, number, one)) is not None
    ]
    # An answer that weighs nothing matters only as the latest: `unlisted` asks for that one.
    return tuple(said for said in told if (said.shows, said.clear) != (1.0, 1.0) or said is told[-1])


def latest_told(ruleset: Ruleset, case: Case, finding: FindingId) -> tuple[int, Answer] | None:
    """Give round (from 0) and answer of the last time that `finding` was told, by answer or reading.

    Unsure tells nothing; nor does a yes from before the sitting from which the finding counts.
    A reading counts as a yes when showing is the likelier, else as a no.
    """
    for number in range(len(case.rounds) - 1, -1, -1):
        answer = told_in(ruleset, case.rounds[number], finding)
        if answer is not None:
            return number, answer
    return None


def told_in(ruleset: Ruleset, one: Round, finding: FindingId) -> Answer | None:
    """Give what round `one` tells of `finding`, or None; see `latest_told`."""
    entry = ruleset.finding[finding]
    answer = one.answer(finding)
    if answer is None or not answer.is_told:
        weight = _reading_weight(ruleset, entry, one)
        if weight is None:
            return None
        answer = Answer.YES if weight >= 0.5 else Answer.NO
    if answer.is_present and one.sitting < entry.counts_from_sitting:
        return None
    return answer


def was_asked_in(ruleset: Ruleset, one: Round, finding: FindingId) -> bool:
    """Whether round `one` holds any answer to `finding`, unsure included, or a reading that answers it."""
    return (
        one.answer(finding) is not None or _reading_weight(ruleset, ruleset.finding[finding], one) is not None
    )


def chance_past(read: QuantityRead, reading: float, precision: float | None) -> float:
    """Give the chance that the true value lies past the edge, for a reading with this precision.

    >>> from kb.ids import QuantityId
    >>> from kb.model import Edge
    >>> chance_past(QuantityRead(QuantityId("q"), Edge.ABOVE, 0.0, 1.2), 1.2, 0.05)
    0.5
    """
    return chance_beyond(read.edge, read.low, read.high, reading, precision)


def _reading_weight(ruleset: Ruleset, finding: Finding, one: Round) -> float | None:
    if isinstance(finding.read, ThicknessRead):
        return one.read_from_thickness(finding.id)
    if finding.read is None:
        return None
    reading = one.reading(finding.read.quantity)
    if reading is None:
        return None
    return chance_past(finding.read, reading, one.sigma(ruleset, finding.read.quantity))


def _said(ruleset: Ruleset, finding: Finding, number: int, one: Round) -> Said | None:
    early = one.sitting < finding.counts_from_sitting
    answer = one.answer(finding.id)
    if answer is Answer.NO:
        return Said(number, 0.0, 1.0, is_yes=False)
    if answer is not None and answer.is_told:
        is_yes = answer is Answer.YES
        if early:
            return Said(number, 1.0, 1.0, is_yes=is_yes)
        return (
            Said(number, 1.0, 0.0, is_yes)
            if is_yes
            else Said(number, ruleset.slightly, 1.0 - ruleset.slightly, is_yes)
        )
    weight = _reading_weight(ruleset, finding, one)
    if weight is None:
        return None
    # With a precision even the surest reading is soft evidence, and no plain yes.
    is_yes = weight == 1.0 and _is_taken_at_its_word(ruleset, finding, one)
    if early and weight >= 0.5:
        return Said(number, 1.0, 1.0, is_yes)
    return Said(number, weight, 1.0 - weight, is_yes)


def _is_taken_at_its_word(ruleset: Ruleset, finding: Finding, one: Round) -> bool:
    return isinstance(finding.read, QuantityRead) and one.sigma(ruleset, finding.read.quantity) is None
