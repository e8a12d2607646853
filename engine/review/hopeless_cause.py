"""Finds causes whose remedy the advice never gets to, however plainly a reed has them.

Each cause that something mends is given to virtual reeds that have no other fault, which is the least
that advice could be asked to see through, and the engine works on them until it does what mends the
cause. A cause is cleared by the first reed; the plainest comes first, and the reeds that are left go to
the causes not cleared yet.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from engine.case import Case
from engine.following import Advised
from engine.network import network_of
from engine.playing import End, Living, Operate, Position, next_move
from engine.review.sample import MOSTLY, REEDS, Sample
from engine.virtual import Source, VirtualReed, troubles
from kb.checks.found import Found
from kb.ids import CauseId, RemedyId
from kb.model import Answer, Cause, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("hopeless-cause")


def judge(sample: Sample) -> Iterator[Found]:
    """Point at each cause that had what mends it on none of its reeds."""
    ruleset = sample.ruleset
    mending: dict[CauseId, set[RemedyId]] = {}
    for operation in ruleset.operations:
        for effect in operation.cures:
            mending.setdefault(effect.cause, set()).add(operation.id)
    # What shows nothing is told by `cause-never-shown`, what nothing mends by `cause-without-remedy`.
    left = [cause for cause in ruleset.causes if cause.shows and cause.id in mending]
    tried = dict.fromkeys((cause.id for cause in left), 0)
    policy, number = Advised(ruleset), 0
    for is_plain in (True, False):
        while left and number < REEDS:
            for cause in tuple(left[: REEDS - number]):
                sample.told(f"{NAME}: reed {number + 1}, of {REEDS} at most; {len(left)} causes left")
                source = sample.source_of(2 * REEDS + number)
                reed = _plainest(ruleset, cause) if is_plain else _drawn(ruleset, cause, source)
                number, tried[cause.id] = number + 1, tried[cause.id] + 1
                if _gets_there(policy, reed, cause, mending[cause.id], source):
                    left.remove(cause)
            if is_plain:
                break
    for cause in left:
        names = ", ".join(repr(id_) for id_ in sorted(mending[cause.id]))
        message = (
            f"advice never got to what mends {cause.id!r} ({names}), "
            f"on the {tried[cause.id]} of {REEDS} virtual reeds that had it and no other fault"
        )
        hint = "let it show more plainly what no other cause shows, or make its remedy cheaper or surer"
        yield Found(cause, Problem(cause.place.key, NAME, message, hint, Severity.WARNING))


def _plainest(ruleset: Ruleset, cause: Cause) -> VirtualReed:
    """Give a reed that shows all that `cause` mostly shows, and nothing else."""
    network = network_of(ruleset)
    number = network.causes.index(cause.id)
    strongest = max(show.strength for show in cause.shows)
    shown = (show.finding for show in cause.shows if show.strength >= min(MOSTLY, strongest))
    links = frozenset((number, finding) for finding in network.numbers(shown))
    return VirtualReed(network, frozenset({number}), links, frozenset())


def _drawn(ruleset: Ruleset, cause: Cause, source: Source) -> VirtualReed:
    """Draw a reed, and give it `cause` in place of the causes that it has."""
    drawn = VirtualReed.drawn(network_of(ruleset), source)
    return replace(drawn, causes=frozenset({drawn.network.causes.index(cause.id)}))


def _gets_there(
    policy: Advised, reed: VirtualReed, cause: Cause, mending: set[RemedyId], source: Source
) -> bool:
    """Work on a reed until `cause` is mended, from the sitting at which all that it shows counts.

    Its maker begins with the trouble that is there: nobody takes up a reed without knowing why.
    """
    ruleset = policy.ruleset
    sitting = max(ruleset.finding[show.finding].counts_from_sitting for show in cause.shows)
    case = Case().with_sitting(sitting)
    for symptom in troubles(ruleset, reed, sitting):
        case = case.with_answer(symptom.id, Answer.YES)
    living = Living(ruleset, reed, Position(case))
    while living.may_go_on:
        move = next_move(policy, living.position)
        if isinstance(move, End):
            return False
        if isinstance(move, Operate) and move.operation in mending:
            return True
        living = living.after(move, source)
    return False
