"""Two rulesets over one case: what each calls an entry, and what each can know of the other's cases.

A case that both are asked about is kept in joint names: what was renamed goes by its new name, and
what only one of them has by its own. Each ruleset sees the answers, readings and operations that
exist in it, and no others; of an operation that it does not have it sees a gap in which nothing is
known to have been done.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from engine.case import Case, Gap, Round
from engine.virtual import Source, VirtualReed
from kb.ids import FindingId, QuantityId, RemedyId
from kb.model import Answer, Ruleset


@dataclass(frozen=True)
class Voice:
    """One of the two rulesets, with what it calls otherwise than the joint names do."""

    ruleset: Ruleset
    own: Mapping[str, str]
    """Joint names to the ruleset's own, where they differ."""
    joint: Mapping[str, str]
    """The ruleset's own names to joint ones, where they differ."""

    def jointly(self, id_: str) -> str:
        """Give the joint name of an entry of this ruleset."""
        return self.joint.get(id_, id_)

    def seen(self, case: Case) -> Case:
        """Give a case in joint names as this ruleset knows it."""
        return Case(tuple(self._round(one) for one in case.rounds))

    def told(self, case: Case) -> Case:
        """Give one of this ruleset's cases in joint names."""
        return Case(tuple(_named(one, self.joint) for one in case.rounds))

    def named(self, joint: str) -> str:
        """Give this ruleset's own name of what has this joint one."""
        return self.own.get(joint, joint)

    def finding(self, joint: str) -> FindingId | None:
        """Give this ruleset's own id of a finding, or None when it has none."""
        own = FindingId(self.named(joint))
        return own if own in self.ruleset.finding else None

    def operation(self, joint: str) -> RemedyId | None:
        """Give this ruleset's own id of an operation, or None when it has none."""
        own = RemedyId(self.named(joint))
        return own if own in self.ruleset.operation else None

    def _round(self, one: Round) -> Round:
        named = _named(one, self.own)
        gap = named.gap
        if gap is not None and gap.operation is not None and gap.operation not in self.ruleset.operation:
            gap = replace(gap, operation=None)
        return replace(
            named,
            answers=tuple(pair for pair in named.answers if pair[0] in self.ruleset.finding),
            readings=tuple(pair for pair in named.readings if pair[0] in self.ruleset.quantity),
            gap=gap,
            from_overview=frozenset(one for one in named.from_overview if one in self.ruleset.finding),
        )


def voices(before: Ruleset, after: Ruleset, renamed: Mapping[str, str]) -> tuple[Voice, Voice]:
    """Give both rulesets; `renamed` are the ids of `before` that `after` calls otherwise."""
    back = {new: old for old, new in renamed.items()}
    return Voice(before, back, renamed), Voice(after, {}, {})


def _named(one: Round, names: Mapping[str, str]) -> Round:
    if not names:
        return one
    gap = one.gap
    if gap is not None and gap.operation is not None:
        gap = Gap(RemedyId(names.get(gap.operation, gap.operation)), gap.new_sitting)
    return replace(
        one,
        answers=tuple((FindingId(names.get(id_, id_)), answer) for id_, answer in one.answers),
        readings=tuple((QuantityId(names.get(id_, id_)), value) for id_, value in one.readings),
        gap=gap,
        from_overview=frozenset(FindingId(names.get(id_, id_)) for id_ in one.from_overview),
    )


@dataclass(frozen=True, slots=True)
class GuestReed(VirtualReed):
    """A reed drawn from one ruleset (its host) in the hands of someone who works by the other (its guest).

    What the host does not know cannot be told of it, and changes nothing about it.
    """

    host: Voice
    guest: Voice

    @classmethod
    def of(cls, reed: VirtualReed, host: Voice, guest: Voice) -> "GuestReed":
        """Hand a reed over."""
        return cls(reed.network, reed.causes, reed.links, reed.backgrounds, host, guest)

    def shows(self, finding: FindingId) -> bool:
        """Whether a finding of the guest's shows now; what the host does not know does not."""
        known = self.host.finding(self.guest.jointly(finding))
        return known is not None and VirtualReed.shows(self, known)

    def answer(self, finding: FindingId) -> Answer:
        """Give what a look finds: of what the host does not know nobody can be sure."""
        known = self.host.finding(self.guest.jointly(finding))
        return Answer.UNSURE if known is None else VirtualReed.answer(self, finding)

    def after(self, operation: RemedyId | None, source: Source, *, new_sitting: bool) -> "GuestReed":
        """Give the reed after a gap."""
        known = None if operation is None else self.host.operation(self.guest.jointly(operation))
        done = VirtualReed.after(self, known, source, new_sitting=new_sitting)
        assert isinstance(done, GuestReed)  # noqa: S101 - `replace` gives the same class
        return done
