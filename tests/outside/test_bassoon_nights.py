"""What a night may bring to a bassoon reed on which all was well: nothing is ruled out by yesterday.

A. Akahoshi and E. Obataya (Effects of wet-dry cycling, about 2015, abstract READ): wetting and drying
change cane for good. That pitch and response differ from day to day: B. Stees, Reed making FAQ (one
passage READ). The figure of one half is ours.
"""

import pytest

from engine.advice import advise
from engine.case import Case, Round
from kb.ids import FindingId, RemedyId
from kb.model import Answer, Finding
from tests.support.published import shipped

BASSOON = shipped("bassoon")
WITHIN_PRIORITIES = [
    # A reed that was scraped is no blank again.
    finding
    for finding in BASSOON.findings
    if finding.priority is not None and finding.id != "still-blank"
]
NIGHTS = [rest.id for rest in BASSOON.rests if rest.new_sitting]
MOSTLY = 0.5


def the_day_after(finding: FindingId, night: RemedyId) -> Case:
    """Give a reed on which all was well, a night, and one trouble."""
    case = Case((Round(sitting=3),))
    for one in WITHIN_PRIORITIES:
        case = case.with_answer(one.id, Answer.NO)
    return case.with_gap(night, new_sitting=True).with_answer(finding, Answer.YES)


@pytest.mark.parametrize("finding", WITHIN_PRIORITIES, ids=lambda one: one.id)
def test_the_trouble_of_the_next_day_mostly_has_a_listed_reason(finding: Finding) -> None:
    advice = advise(BASSOON, the_day_after(finding.id, RemedyId("overnight")), in_full=False)
    assert advice.belief.unlisted < MOSTLY


@pytest.mark.parametrize("night", NIGHTS)
def test_open_f_sags_after_any_rest_and_the_reed_is_worked_on(night: RemedyId) -> None:
    advice = advise(BASSOON, the_day_after(FindingId("open-f-sags"), night), in_full=False)
    assert advice.belief.unlisted < MOSTLY
    assert advice.step is not None
    assert advice.step.id != "accept"
