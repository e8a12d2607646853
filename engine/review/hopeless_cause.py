"""Finds causes whose remedy the advice never gets to, however plainly a reed has them.

Each cause that something mends is given to virtual reeds that are otherwise as they come, and the
engine works on them until it does what mends the cause. A cause is cleared by the first reed, the
plainest comes first; the reeds that are left go to the causes not cleared yet.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from engine.following import Advised
from engine.network import network_of
from engine.playing import End, Living, Operate, next_move
from engine.review.sample import MOSTLY, REEDS, Sample
from engine.step import Kind
from engine.virtual import Source, VirtualReed
from kb.checks.found import Found
from kb.ids import CauseId, RemedyId
from kb.model import Cause
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("hopeless-cause")


def judge(sample: Sample) -> Iterator[Found]:
    """Point at each cause that had what mends it on none of its reeds."""
    ruleset = sample.ruleset
    mending: dict[CauseId, set[RemedyId]] = {}
    for operation in ruleset.operations:
        for effect in operation.cures:
            mending.setdefault(effect.cause, set()).add(operation.id)
    left = [cause for cause in ruleset.causes if cause.shows and cause.id in mending]
    policy = Advised(ruleset)
    left = [cause for cause in left if not _is_plainly_mended(sample, policy, cause, mending[cause.id])]
    tried = dict.fromkeys((cause.id for cause in left), 0)
    number = 0
    while left and number < REEDS:
        for cause in tuple(left):
            if number >= REEDS:
                break
            sample.told(f"{NAME}: reed {number + 1} of {REEDS}, {len(left)} causes left")
            source = sample.source_of(2 * REEDS + number)
            number += 1
            tried[cause.id] += 1
            if _gets_there(policy, _with(_drawn(sample, source), cause), mending[cause.id], source):
                left.remove(cause)
    for cause in left:
        names = ", ".join(repr(id_) for id_ in sorted(mending[cause.id]))
        message = (
            f"advice never got to what mends {cause.id!r} ({names}), "
            f"on the {tried[cause.id]} of {REEDS} virtual reeds that were given it"
        )
        hint = "let it show more plainly what no other cause shows, or make its remedy cheaper or surer"
        yield Found(cause, Problem(cause.place.key, NAME, message, hint, Severity.WARNING))


def _is_plainly_mended(sample: Sample, policy: Advised, cause: Cause, mending: set[RemedyId]) -> bool:
    """Whether the plainest case, or else the plainest reed, is enough."""
    sample.told(f"{NAME}: {cause.id}")
    step = sample.step(sample.plain_case(cause))
    if step is not None and step.kind in {Kind.DO, Kind.REST} and step.id in mending:
        return True
    network = network_of(sample.ruleset)
    bare = VirtualReed(network, frozenset(), frozenset(), frozenset())
    return _gets_there(policy, _with(bare, cause), mending, sample.source_of(3 * REEDS))


def _drawn(sample: Sample, source: Source) -> VirtualReed:
    return VirtualReed.drawn(network_of(sample.ruleset), source)


def _with(reed: VirtualReed, cause: Cause) -> VirtualReed:
    """Give the reed with `cause` as well, and with those links on that mostly are."""
    network = reed.network
    number = network.causes.index(cause.id)
    strongest = max(show.strength for show in cause.shows)
    shown = (show.finding for show in cause.shows if show.strength >= min(MOSTLY, strongest))
    links = {(number, network.findings.index(finding)) for finding in shown}
    return replace(reed, causes=reed.causes | {number}, links=reed.links | links)


def _gets_there(policy: Advised, reed: VirtualReed, mending: set[RemedyId], source: Source) -> bool:
    living = Living(policy.ruleset, reed)
    while living.may_go_on:
        move = next_move(policy, living.position)
        if isinstance(move, End):
            return False
        if isinstance(move, Operate) and move.operation in mending:
            return True
        living = living.after(move, source)
    return False
