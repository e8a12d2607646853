"""Finds questions whose answer can never change the advice: yes and no lead to the same next step.

A question is cleared by the first case in which they do not; the clearest cases come first.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from engine.case import Case
from engine.review.sample import Sample
from kb.checks.found import Found
from kb.ids import FindingId
from kb.model import Answer, Cause, Finding, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("idle-question")


def judge(sample: Sample) -> Iterator[Found]:
    """Point at each question for which no case was found that its answer decides."""
    ruleset = sample.ruleset
    for number, finding in enumerate(ruleset.findings, 1):
        sample.told(f"{NAME}: question {number} of {len(ruleset.findings)}")
        if not _is_shown(ruleset, finding.id):
            continue  # told by `symptom-without-cause`
        about = _spoken_of(ruleset, finding.id)
        if _is_decided_by_plain_cases(sample, finding, about) or not sample.reeds:
            continue
        if _is_decided_by_reeds(sample, finding, about):
            continue
        message = (
            f"whether {finding.id!r} is answered yes or no never changed the next step, on "
            f"{len(sample.reeds)} virtual reeds and the plainest case of each cause that it speaks of"
        )
        hint = "let it tell causes apart that want different remedies, or leave it out: it costs minutes"
        yield Found(finding, Problem(finding.place.key, NAME, message, hint, Severity.WARNING))


def _is_shown(ruleset: Ruleset, finding: FindingId) -> bool:
    return any(show.finding == finding for cause in ruleset.causes for show in cause.shows)


def _spoken_of(ruleset: Ruleset, finding: FindingId) -> tuple[Cause, ...]:
    """Give the causes that show a finding, and those whose remedies it forbids."""
    forbidden = {
        effect.cause
        for operation in ruleset.operations
        if finding in operation.unless
        for effect in operation.cures
    }
    return tuple(
        cause
        for cause in ruleset.causes
        if cause.id in forbidden or any(show.finding == finding for show in cause.shows)
    )


def _is_decided_by_plain_cases(sample: Sample, finding: Finding, about: Sequence[Cause]) -> bool:
    return any(
        _decides(sample, case, finding.id)
        for cause in about
        for case in (
            *sample.first_cases(cause, without=finding.id),
            sample.plain_case(cause, without=finding.id),
        )
    )


def _is_decided_by_reeds(sample: Sample, finding: Finding, about: Sequence[Cause]) -> bool:
    # On a reed whose trouble has nothing to do with what the answer speaks of, it cannot count.
    near = {show.finding for cause in about for show in cause.shows}
    return finding.counts_from_sitting <= 1 and any(
        _decides(sample, case, finding.id)
        for case in sample.cases(finding.id)
        if any(answer is Answer.YES and id_ in near for id_, answer in case.present.answers)
    )


def _decides(sample: Sample, case: Case, finding: FindingId) -> bool:
    yes, no = (sample.step(case.with_answer(finding, answer)) for answer in (Answer.YES, Answer.NO))
    return yes is not None and no is not None and (yes.kind, yes.id) != (no.kind, no.id)
