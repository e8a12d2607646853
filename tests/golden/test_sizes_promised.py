"""What was promised of the rulesets for other instruments, in numbers, and what makes them their own."""

from dataclasses import dataclass

import pytest

from tests.support.published import shipped
from tests.support.sources import entries_of


@dataclass(frozen=True, slots=True)
class Promised:
    """At least so many of each."""

    name: str
    findings: int
    causes: int
    operations: int
    trials: int


PROMISED = (
    Promised("oboe", findings=40, causes=30, operations=35, trials=400),
    Promised("single-reed", findings=25, causes=20, operations=25, trials=250),
)


@pytest.mark.parametrize("promised", PROMISED, ids=lambda one: one.name)
def test_a_ruleset_is_as_large_as_promised(promised: Promised) -> None:
    ruleset = shipped(promised.name)
    assert len(ruleset.findings) >= promised.findings
    assert len(ruleset.causes) >= promised.causes
    assert len(ruleset.operations) >= promised.operations
    assert len(ruleset.trials) >= promised.trials
    assert {one.priority for one in ruleset.symptoms} == {one.id for one in ruleset.priorities}


@pytest.mark.parametrize("promised", PROMISED, ids=lambda one: one.name)
def test_player_and_instrument_can_be_at_fault_and_sources_may_differ(promised: Promised) -> None:
    ruleset = shipped(promised.name)
    assert len([cause for cause in ruleset.causes if cause.elsewhere]) >= 4
    assert sum(bool(entry.differs) for entry in entries_of(ruleset)) >= 8


@pytest.mark.parametrize("promised", PROMISED, ids=lambda one: one.name)
def test_places_measures_and_order_are_its_own(promised: Promised) -> None:
    ruleset, bassoon = shipped(promised.name), shipped("bassoon")
    assert all(zone.polygon or zone.wire for zone in ruleset.zones)
    assert {zone.polygon for zone in ruleset.zones} & {zone.polygon for zone in bassoon.zones} <= {()}
    assert {one.id for one in ruleset.priorities} != {one.id for one in bassoon.priorities}
    assert {one.target for one in ruleset.quantities} != {one.target for one in bassoon.quantities}
    assert {one.id for one in ruleset.symptoms} != {one.id for one in bassoon.symptoms}
