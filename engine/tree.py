"""The tree: the engine's advice unrolled into steps, for a wall or a stand.

From a case, every answer that may be given is followed, one question or operation at a time, and
each case is weighed once. Cases are taken in layers (so many answers and operations from the
start), likeliest first, so that what several ways lead to has all its chance before it is followed.
What is too unlikely, too far or too much is cut off: there the reader asks again with the tool.

Unless the whole work is wanted, a way ends where the trouble that it began with is settled: when the
priorities in its scope are clear, or when the trouble that an operation was done for is gone and
advice would go on to look for other trouble of the same priority. On paper that is a new beginning.

Then equal subtrees become one: the same step with the same steps after it, whatever the case. Such a
step's chances and minutes are the means over the reeds that come to it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from engine.ahead import Ahead, CaseKey, Way, key_of, scope_of
from engine.case import Case
from engine.following import look_again, present_symptoms
from engine.refusal import TooWideError
from engine.step import ANY_REST, Kind
from kb.ids import FindingId, RemedyId
from kb.model import Answer, Ending

T = TypeVar("T")
Told = Callable[[int, float], None]
"""Hears how many cases have been weighed, and the share of reeds whose way is settled."""


@dataclass(frozen=True, slots=True)
class Limits:
    """How far a tree goes."""

    least_chance: float = 0.02
    """What fewer reeds than this come to is cut off."""
    longest: int = 40
    """Steps on one way."""
    most: int = 600
    """Cases that are weighed."""
    through: int | None = None
    """How many priorities are settled; None: as many as `scope_of` says."""
    whole: bool = False
    """Whether to go on until advice stops, through all priorities."""


class TreeKind(StrEnum):
    """What a step of a tree is."""

    ASK = "ask"
    DO = "do"
    REST = "rest"
    STOP = "stop"
    SETTLED = "settled"
    """The trouble that the tree is about is gone."""
    CUT = "cut"
    """The tree is cut off: ask again with the tool."""


class Cut(StrEnum):
    """Why a tree ends before the work does."""

    RARE = "rare"
    LONG = "long"
    MANY = "many"
    WIDE = "wide"
    """Too much hangs together to be weighed exactly."""


@dataclass(frozen=True, slots=True)
class TreeStep:
    """One step; where several ways lead to it, everything is the mean over those that come to it."""

    number: int
    """From 1, in reading order: greater than that of every step that leads here."""
    kind: TreeKind
    id: str
    """As in `Step`; empty where the trouble is settled or the tree is cut off."""
    reach: float
    """Share of reeds that come here."""
    minutes: float
    """Expected from here on, as far as the tree goes: looking, working, resting."""
    cuts: float
    """Operations that cannot be undone, expected from here on, as far as the tree goes."""
    cost: float
    """Expected from here on, in minutes, as advice weighs it; a branch cut off counts as an end."""
    followed: float
    """Share of those that come here whose way ends within the tree."""
    yes: int | None = None
    """Numbers of the steps that follow a question (None: that answer cannot be) …"""
    no: int | None = None
    then: int | None = None
    """… or an operation."""
    chance_yes: float | None = None
    """Of a question."""

    @property
    def following(self) -> tuple[int, ...]:
        """Give the numbers of the steps that may follow."""
        return tuple(number for number in (self.yes, self.no, self.then) if number is not None)


@dataclass(frozen=True, slots=True)
class Tree:
    """A tree of steps; the first is where to begin."""

    case: Case
    steps: tuple[TreeStep, ...]
    limits: Limits
    through: int
    """How many priorities its cost looks at."""
    weighed: int
    """Cases for which advice was worked out."""
    cuts_off: tuple[tuple[Cut, float], ...] = ()
    """Share of reeds whose way is cut off, by reason; only those that occur."""

    @property
    def start(self) -> TreeStep:
        """The first step."""
        return self.steps[0]

    def step(self, number: int) -> TreeStep:
        """Give a step by its number."""
        return self.steps[number - 1]


def grow(ahead: Ahead, case: Case, limits: Limits | None = None, told: Told | None = None) -> Tree:
    """Unroll the advice from `case`.

    Raises TooWideError when `case` itself is too wide, and ValueError when it is impossible.
    """
    limits = limits or Limits()
    if ahead.advice(case).step is None:
        raise ValueError("these answers cannot all be true, so nothing follows from them")
    unrolled = _Unrolling(ahead, case, limits).spots(told)
    steps = _merged(unrolled)
    cut_off = [(why, sum((one.reach for one in unrolled.values() if one.cut is why), 0.0)) for why in Cut]
    weighed = sum(one.cut is None for one in unrolled.values())
    return Tree(
        case,
        steps,
        limits,
        _through(ahead, case, limits),
        weighed,
        tuple(pair for pair in cut_off if pair[1] > 0.0),
    )


_Key = tuple[int, CaseKey]
"""The layer belongs to it, so that what follows always lies in a later one."""


@dataclass(frozen=True, slots=True)
class _Spot:
    """A case in the unrolled tree, before equal subtrees are merged."""

    reach: float
    kind: TreeKind
    id: str
    ways: tuple[tuple[_Key, Way], ...] = ()
    cost: float = 0.0
    """Of the end, where it is one or the tree is cut off."""
    cut: Cut | None = None


def _through(ahead: Ahead, case: Case, limits: Limits) -> int:
    if limits.whole:
        return len(ahead.ruleset.priorities)
    return scope_of(ahead.ruleset, case) if limits.through is None else limits.through


class _Unrolling:
    """Unrolls the advice from one case."""

    def __init__(self, ahead: Ahead, start: Case, limits: Limits) -> None:
        self._ahead = ahead
        self._start = start
        self._limits = limits
        self._through = _through(ahead, start, limits)
        self._later = frozenset(one.id for one in ahead.ruleset.priorities[self._through :])

    def spots(self, told: Told | None) -> dict[_Key, _Spot]:
        """Give the spots, every one before those that follow it."""
        spots: dict[_Key, _Spot] = {}
        layer: dict[_Key, tuple[Case, float]] = {(0, key_of(self._start)): (self._start, 1.0)}
        depth, weighed, settled = 0, 0, 0.0
        while layer:
            following: dict[_Key, tuple[Case, float]] = {}
            for key, (here, reach) in sorted(layer.items(), key=lambda item: -item[1][1]):
                spot = self._spot(here, reach, depth, weighed)
                spots[key] = spot
                weighed += spot.cut is None
                settled += 0.0 if spot.ways else reach
                for to, way in spot.ways:
                    following[to] = (way.case, reach * way.chance + following.get(to, (way.case, 0.0))[1])
                if told is not None:
                    told(weighed, settled)
            layer, depth = following, depth + 1
        return spots

    def _cut(self, depth: int, weighed: int, reach: float) -> Cut | None:
        if depth == 0:
            return None
        if reach < self._limits.least_chance:
            return Cut.RARE
        if depth >= self._limits.longest:
            return Cut.LONG
        return Cut.MANY if weighed >= self._limits.most else None

    def _spot(self, case: Case, reach: float, depth: int, weighed: int) -> _Spot:
        """Weigh one case, or say why it is not."""
        cut = self._cut(depth, weighed, reach)
        try:
            if cut is not None:
                cost = self._ahead.ended(case, None, self._through)
                return _Spot(reach, TreeKind.CUT, "", cost=cost, cut=cut)
            kind, id_ = self._step(case, is_start=depth == 0)
            ways: tuple[Way, ...] = ()
            match kind:
                case TreeKind.ASK:
                    ways = self._ahead.asked(case, FindingId(id_))
                case TreeKind.DO | TreeKind.REST:
                    ways = (self._ahead.done(case, None if id_ == ANY_REST else RemedyId(id_)),)
                case _:
                    ending = Ending(id_) if kind is TreeKind.STOP else None
                    return _Spot(reach, kind, id_, cost=self._ahead.ended(case, ending, self._through))
            return _Spot(reach, kind, id_, tuple(((depth + 1, key_of(way.case)), way) for way in ways))
        except TooWideError:
            if depth == 0:
                raise
            # What cannot be weighed is priced as if all were lost: nothing costs more.
            return _Spot(reach, TreeKind.CUT, "", cost=self._ahead.most_worth, cut=Cut.WIDE)

    def _step(self, case: Case, *, is_start: bool) -> tuple[TreeKind, str]:
        again = None if is_start else look_again(self._ahead.ruleset, case)
        if again is not None:  # by the rules alone, and so without weighing
            return TreeKind.ASK, str(again)
        advice = self._ahead.advice(case)
        step = advice.step
        assert step is not None, "an answer that had a chance is impossible"  # noqa: S101 - ours to keep
        if not self._limits.whole and not is_start:
            is_past = advice.priority is None or advice.priority in self._later
            is_mended = advice.opens and self._is_mended(case)
            if (is_past or is_mended) and step.kind is not Kind.STOP:
                return TreeKind.SETTLED, ""
        return TreeKind(step.kind.value), str(step.id)

    def _is_mended(self, case: Case) -> bool:
        """Whether something was done, and nothing within the scope is known to be wrong any more."""
        ruleset = self._ahead.ruleset
        return len(case.rounds) > len(self._start.rounds) and not any(
            present_symptoms(ruleset, case, priority.id) for priority in ruleset.priorities[: self._through]
        )


# -- merging ---------------------------------------------------------------------------------------

_Shape = tuple[TreeKind, str, tuple[tuple[Answer | None, int], ...]]
"""A step and, by answer, the shapes (by number) of what follows."""


@dataclass(slots=True)
class _Sum:
    """Spots of one shape, added up, each by its reach."""

    reach: float = 0.0
    yes: float = 0.0
    minutes: float = 0.0
    cuts: float = 0.0
    cost: float = 0.0
    followed: float = 0.0


@dataclass(frozen=True, slots=True)
class _Onward:
    """What is expected from a spot on."""

    shape: int
    minutes: float
    cuts: float
    cost: float
    followed: float


def _merged(spots: Mapping[_Key, _Spot]) -> tuple[TreeStep, ...]:
    shapes: dict[_Shape, int] = {}
    sums: list[_Sum] = []
    onward: dict[_Key, _Onward] = {}
    for key, spot in reversed(list(spots.items())):
        shape: _Shape = (
            spot.kind,
            spot.id,
            tuple((way.answer, onward[to].shape) for to, way in spot.ways),
        )
        number = shapes.setdefault(shape, len(shapes))
        if number == len(sums):
            sums.append(_Sum())
        here = _from_here(spot, number, onward)
        onward[key] = here
        _add(sums[number], spot, here)
    root = onward[next(iter(spots))].shape
    return _in_reading_order(root, {number: shape for shape, number in shapes.items()}, sums)


def _from_here(spot: _Spot, shape: int, onward: Mapping[_Key, _Onward]) -> _Onward:
    if not spot.ways:
        return _Onward(shape, 0.0, 0.0, spot.cost, 0.0 if spot.kind is TreeKind.CUT else 1.0)
    then = [(way, onward[to]) for to, way in spot.ways]
    return _Onward(
        shape,
        minutes=sum(way.chance * (way.minutes + on.minutes) for way, on in then),
        cuts=sum(way.chance * (way.cuts + on.cuts) for way, on in then),
        cost=sum(way.chance * (way.cost + on.cost) for way, on in then),
        followed=sum(way.chance * on.followed for way, on in then),
    )


def _add(total: _Sum, spot: _Spot, here: _Onward) -> None:
    total.reach += spot.reach
    total.yes += spot.reach * sum(way.chance for _, way in spot.ways if way.answer is Answer.YES)
    total.minutes += spot.reach * here.minutes
    total.cuts += spot.reach * here.cuts
    total.cost += spot.reach * here.cost
    total.followed += spot.reach * here.followed


def _in_reading_order(root: int, shapes: Mapping[int, _Shape], sums: Sequence[_Sum]) -> tuple[TreeStep, ...]:
    numbers = reading_order(root, lambda shape: tuple(then for _, then in shapes[shape][2]))
    order = {shape: number for number, shape in enumerate(numbers, start=1)}
    return tuple(_as_step(number, shapes[shape], sums[shape], order) for shape, number in order.items())


def reading_order(root: T, following: Callable[[T], tuple[T, ...]]) -> tuple[T, ...]:
    """Give all that can be reached, each after everything that leads to it (as far as nothing goes round).

    What only the first way leads to comes before what the last one leads to, so that a reader goes on
    downwards wherever they are sent.
    """
    order: list[T] = []
    begun = {root}
    waiting = [(root, iter(reversed(following(root))))]
    while waiting:
        here, ways = waiting[-1]
        then = next((way for way in ways if way not in begun), None)
        if then is None:
            order.append(here)
            waiting.pop()
        else:
            begun.add(then)
            waiting.append((then, iter(reversed(following(then)))))
    return tuple(reversed(order))


def _as_step(number: int, shape: _Shape, total: _Sum, order: Mapping[int, int]) -> TreeStep:
    kind, id_, following = shape
    onward = {answer: order[then] for answer, then in following}
    return TreeStep(
        number=number,
        kind=kind,
        id=id_,
        reach=total.reach,
        minutes=total.minutes / total.reach,
        cuts=total.cuts / total.reach,
        cost=total.cost / total.reach,
        followed=total.followed / total.reach,
        yes=onward.get(Answer.YES),
        no=onward.get(Answer.NO),
        then=onward.get(None),
        chance_yes=total.yes / total.reach if kind is TreeKind.ASK else None,
    )
