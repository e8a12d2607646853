"""Where two rulesets advise differently: on worked cases, and on reeds drawn from each.

Each reed is worked on by both rulesets' advice, with the same luck. On the way, every case that is
weighed is put to both; where they propose different steps, or think different causes the likeliest,
the smallest case that shows that same difference is looked for. Chance is handed in.

    for sighting in sightings(before, after, renamed, reeds=20, source_of=...): ...
    for difference in summed(all of them): ...
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from engine.advice import advise
from engine.ahead import CaseKey, key_of
from engine.case import Case, case_of_rounds
from engine.following import Advised, look_again, opening_question
from engine.playing import End, Living, Played, Position, next_move
from engine.refusal import TooWideError
from engine.smallest import smallest
from engine.step import Advice, Kind
from engine.trial import leading_causes
from engine.twonames import GuestReed, Voice, voices
from engine.virtual import Source, VirtualReed, drawn_with_a_symptom
from kb.model import Ruleset


class Part(StrEnum):
    """In what two pieces of advice differ."""

    DOES = "does"
    """Other steps, of which one at least is more than a question."""
    ASKS = "asks"
    """Two questions."""
    CAUSE = "cause"
    """The step is the same, and the likeliest cause is another."""


@dataclass(frozen=True, slots=True)
class Opinion:
    """What one ruleset says of a case, in joint names."""

    kind: Kind | None
    """None: the answers cannot all be true under this ruleset."""
    id: str
    causes: tuple[str, ...]
    """The likeliest cause, or all that are as likely."""
    chance: float = field(compare=False)
    """How likely that is."""


@dataclass(frozen=True, slots=True)
class Difference:
    """A case that the two see differently, as small as it could be made."""

    part: Part
    case: Case
    """In joint names."""
    before: Opinion
    after: Opinion


@dataclass(frozen=True, slots=True)
class Ended:
    """One reed, worked on by both rulesets."""

    before: Played
    after: Played

    @property
    def differ(self) -> bool:
        """Whether the two ended with another verdict."""
        return self.before.ending is not self.after.ending


@dataclass(frozen=True, slots=True)
class Sighting:
    """What one worked case, or one reed, showed."""

    title: str
    """Of the worked case; empty for a reed."""
    reed: int | None
    """The number of the reed."""
    is_of_before: bool
    """From which of the two it was taken or drawn."""
    differences: tuple[Difference, ...]
    cases: int
    """How many cases were put to both."""
    too_wide: int
    """How many more could not be weighed exactly by one of them."""
    ended: Ended | None = None


@dataclass(frozen=True, slots=True)
class Summed:
    """One difference, with how often it was met."""

    difference: Difference
    reeds: int
    trials: tuple[str, ...]


def sightings(
    before: Ruleset,
    after: Ruleset,
    renamed: Mapping[str, str],
    reeds: int,
    source_of: Callable[[int], Source],
) -> Iterator[Sighting]:
    """Put the worked cases of both, then `reeds` drawn in turn from each, to both rulesets."""
    pair = _Pair.of(*voices(before, after, renamed))
    seen: set[CaseKey] = set()
    for is_of_before, voice in ((True, pair.before), (False, pair.after)):
        for trial in voice.ruleset.trials:
            case = voice.told(case_of_rounds(voice.ruleset, trial.rounds))
            if key_of(case) not in seen:
                seen.add(key_of(case))
                look = _Look(pair)
                look.at(case)
                yield look.sighting(trial.title, None, is_of_before=is_of_before)
    for number in range(reeds):
        is_of_before = number % 2 == 0
        host = pair.before if is_of_before else pair.after
        reed = drawn_with_a_symptom(host.ruleset, source_of(number))
        if reed is not None:
            yield _worked(pair, host, number, source_of)


def summed(found: Iterable[Sighting]) -> tuple[Summed, ...]:
    """Group equal differences, what is done before what is asked, the most frequent first.

    Each counts once for a reed or a worked case.
    """
    groups: dict[tuple[object, ...], list[tuple[Difference, Sighting]]] = {}
    for sighting in found:
        own: dict[tuple[object, ...], Difference] = {}
        for one in sighting.differences:
            own.setdefault((one.part, key_of(one.case), one.before, one.after), one)
        for key, one in own.items():
            groups.setdefault(key, []).append((one, sighting))
    made = [
        Summed(
            group[0][0],
            sum(sighting.reed is not None for _, sighting in group),
            tuple(sighting.title for _, sighting in group if sighting.reed is None),
        )
        for group in groups.values()
    ]
    return tuple(sorted(made, key=_rank))


def _rank(one: Summed) -> tuple[object, ...]:
    case = one.difference.case
    size = sum(len(each.answers) + len(each.readings) for each in case.rounds) + len(case.rounds)
    return (
        list(Part).index(one.difference.part),
        -(one.reeds + len(one.trials)),
        size,
        one.difference.before.id,
        one.difference.after.id,
    )


@dataclass(frozen=True)
class _Pair:
    """Both rulesets, and what each said already."""

    before: Voice
    after: Voice
    said: tuple[dict[CaseKey, Advice], dict[CaseKey, Advice]]

    @classmethod
    def of(cls, before: Voice, after: Voice) -> "_Pair":
        return cls(before, after, ({}, {}))

    def advice(self, voice: Voice, own: Case) -> Advice:
        """Give what `voice` says of one of its own cases. Raises TooWideError."""
        memory = self.said[voice is self.after]
        key = key_of(own)
        if key not in memory:
            memory[key] = advise(voice.ruleset, own, in_full=False)
        return memory[key]

    def opinion(self, voice: Voice, case: Case) -> Opinion:
        """Give what `voice` says of a case in joint names. Raises TooWideError."""
        advice = self.advice(voice, voice.seen(case))
        if advice.step is None:
            return Opinion(None, "", (), 0.0)
        causes = tuple(voice.jointly(cause) for cause in leading_causes(advice.belief))
        chance = advice.belief.causes[0][1] if advice.belief.causes else 0.0
        return Opinion(advice.step.kind, voice.jointly(advice.step.id), causes, chance)

    def opinions(self, case: Case) -> tuple[Opinion, Opinion] | None:
        """Give what both say, or None where one of them cannot weigh the case exactly."""
        try:
            return self.opinion(self.before, case), self.opinion(self.after, case)
        except TooWideError:
            return None


def _part(before: Opinion, after: Opinion) -> Part | None:
    """Say in what two opinions differ, if they do."""
    if (before.kind, before.id) != (after.kind, after.id):
        return Part.ASKS if before.kind is after.kind is Kind.ASK else Part.DOES
    # Of causes that are as likely as each other the first is no more the likeliest than the last.
    if before.causes and after.causes and not set(before.causes) & set(after.causes):
        return Part.CAUSE
    return None


@dataclass
class _Look:
    """Looks for differences along one way; a kind of difference that was found is not looked for again."""

    pair: _Pair
    found: dict[Part, Difference] = field(default_factory=dict)
    cases: int = 0
    too_wide: int = 0

    def at(self, case: Case) -> None:
        """Put one case to both."""
        both = self.pair.opinions(case)
        if both is None:
            self.too_wide += 1
            return
        self.cases += 1
        part = _part(*both)
        if part is not None and part not in self.found:
            self.found[part] = self._smallest(case, part, both)

    def _smallest(self, case: Case, part: Part, both: tuple[Opinion, Opinion]) -> Difference:
        least = smallest(case, lambda smaller: self._shows(smaller, part, both))
        opinions = self.pair.opinions(least)
        assert opinions is not None  # noqa: S101 - what `shows` could be weighed
        return Difference(part, least, *opinions)

    def _shows(self, case: Case, part: Part, both: tuple[Opinion, Opinion]) -> bool:
        """Whether a smaller case shows that same difference; the second is asked only if the first agrees."""
        try:
            before = self.pair.opinion(self.pair.before, case)
            if _gist(part, before) != _gist(part, both[0]):
                return False
            after = self.pair.opinion(self.pair.after, case)
        except TooWideError:
            return False
        return _gist(part, after) == _gist(part, both[1]) and _part(before, after) is part

    def sighting(
        self, title: str, reed: int | None, *, is_of_before: bool, ended: Ended | None = None
    ) -> Sighting:
        """Sum up."""
        differences = tuple(self.found[part] for part in Part if part in self.found)
        return Sighting(title, reed, is_of_before, differences, self.cases, self.too_wide, ended)


def _gist(part: Part, one: Opinion) -> tuple[object, ...]:
    """Give what must stay the same while a case is made smaller."""
    return one.causes if part is Part.CAUSE else (one.kind, one.id)


def _worked(pair: _Pair, host: Voice, number: int, source_of: Callable[[int], Source]) -> Sighting:
    """Work on one reed by both, with the same luck."""
    look = _Look(pair)
    ends = []
    for voice in (pair.before, pair.after):
        source = source_of(number)
        drawn = drawn_with_a_symptom(host.ruleset, source)
        assert drawn is not None  # noqa: S101 - it was drawn before, from the same source
        reed = drawn if voice is host else GuestReed.of(drawn, host, voice)
        ends.append(_played(look, voice, reed, source))
    ended = Ended(*ends)
    return look.sighting("", number, is_of_before=host is pair.before, ended=ended)


def _played(look: _Look, voice: Voice, reed: VirtualReed, source: Source) -> Played:
    """Work on a reed by one ruleset's advice, putting each weighed case to both until they part."""
    pair, ruleset = look.pair, voice.ruleset
    policy = Advised(ruleset, advising=lambda _, case: pair.advice(voice, case))
    living = Living(ruleset, reed)
    parted = Part.DOES in look.found
    while living.may_go_on:
        move = next_move(policy, living.position)
        if not parted and _is_weighed(ruleset, living.position):
            look.at(voice.told(living.position.case))
            parted = Part.DOES in look.found
        if isinstance(move, End):
            return living.ended(reed.hidden, move.ending)
        living = living.after(move, source)
    return living.ended(reed.hidden, None)


def _is_weighed(ruleset: Ruleset, position: Position) -> bool:
    """Whether the move follows from weighing, and not from the opening or the rules after a gap."""
    case = position.case
    return opening_question(ruleset, case) is None and look_again(ruleset, case) is None
