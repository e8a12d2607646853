"""Logs of virtual reeds: drawn from chances that are planted, worked on by somebody, and entered."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from random import Random

from engine.case import Case
from engine.network import Network
from engine.playing import End, Living, Overview, Policy, next_move
from engine.virtual import VirtualReed
from kb.ids import RulesetId
from kb.log.entry import (
    Answered,
    Entry,
    EntryId,
    Measured,
    Overviewed,
    ReedId,
    ReedMade,
    RemedyDone,
    Rested,
    RulesetMark,
    SittingOpened,
    What,
)
from kb.model import Answer, Ruleset

AT = "2026-03-01T18:00:00+01:00"


def worked_on(ruleset: Ruleset, planted: Network, policy: Policy, source: Random, most_rounds: int) -> Case:
    """Draw one reed by the planted chances, and work on it until the policy ends or rounds run out."""
    living = Living(ruleset, VirtualReed.drawn(planted, source))
    while living.may_go_on and len(living.position.case.rounds) <= most_rounds:
        move = next_move(policy, living.position)
        if isinstance(move, End):
            break
        before, living = living, living.after(move, source)
        if isinstance(move, Overview):
            living = _told_in_full(before, living, move)
    return living.position.case


def _told_in_full(before: Living, after: Living, move: Overview) -> Living:
    """Enter also what did not show: the first trouble of an overview says that those before it are none.

    A log that leaves that out holds too many a yes, and nothing can be learnt from it rightly.
    """
    case = after.position.case
    for finding in move.symptoms:
        if before.reed.shows(finding):
            break
        if case.present.answer(finding) is None:
            case = case.with_answer(finding, Answer.NO)
    return replace(after, position=replace(after.position, case=case))


def tried_at_random(ruleset: Ruleset, planted: Network, source: Random, rounds: int) -> Case:
    """Draw one reed, look at most things, do something or other, and look again."""
    reed, case = VirtualReed.drawn(planted, source), Case()
    for number in range(rounds):
        for finding in ruleset.findings:
            if source.random() < 0.8:
                case = case.with_answer(finding.id, reed.answer(finding.id))
        if number < rounds - 1 and ruleset.operations:
            operation = source.choice(ruleset.operations)
            case = case.with_gap(operation.id, new_sitting=operation.new_sitting)
            reed = reed.after(operation.id, source, new_sitting=operation.new_sitting)
    return case


def entries_of(ruleset: Ruleset, reed: str, case: Case, name: str = "") -> tuple[Entry, ...]:
    """Write a case as a reed's log entries."""
    mark = RulesetMark(RulesetId(ruleset.id), ruleset.version, ruleset.digest)
    told: list[What] = [ReedMade(name or reed), SittingOpened(case.rounds[0].sitting)]
    for before, one in zip((None, *case.rounds), case.rounds, strict=False):
        if before is not None and one.sitting > before.sitting:
            told.append(SittingOpened(one.sitting))
        told += (
            Overviewed(ruleset.finding[finding].priority or ruleset.priorities[0].id, True, (finding,))
            if finding in one.from_overview
            else Answered(finding, answer)
            for finding, answer in one.answers
        )
        told += (Measured(quantity, value) for quantity, value in one.readings)
        if one.gap is not None:
            operation = one.gap.operation
            if operation is not None and not ruleset.operation[operation].is_rest:
                told.append(RemedyDone(operation))
            else:
                told.append(Rested(operation, one.gap.new_sitting))
    return tuple(
        Entry(EntryId(f"{reed}.{number}"), ReedId(reed), AT, mark, what) for number, what in enumerate(told)
    )


def logged(
    ruleset: Ruleset, make: Callable[[Random], Case], reeds: int, seed: int, prefix: str = "reed"
) -> Iterator[tuple[Entry, ...]]:
    """Give the entries of `reeds` reeds, each with luck of its own."""
    for number in range(reeds):
        yield entries_of(ruleset, f"{prefix}-{number}", make(Random(f"{seed}:{number}")))
