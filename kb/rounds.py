"""A rounds file: a worked case as JSON, oldest round first. Read here for `weigh` and `interview` alike.

    [{"given": {FINDING: ANSWER}, "measure": {QUANTITY: NUMBER}, "then": OPERATION or null, "sitting": N}]

All but `given` may be left out. What is wrong with a file comes back as sentences, all of them at
once; the two functions for a single answer and a single reading serve the command line as well.
"""

import json
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Final, cast

from kb.ids import FindingId, QuantityId, RemedyId
from kb.model import Answer, GivenRound, Ruleset

LARGEST: Final = 8 * 1024 * 1024
"""Bytes. A worked case of a lifetime is far smaller."""
MOST_ROUNDS: Final = 1000
_KEYS: Final = ("given", "measure", "then", "sitting")
_ANSWERS: Final = "yes, slightly, no or unsure"


@dataclass(frozen=True, slots=True)
class RoundsRead:
    """What a rounds file says; with any problem there are no rounds."""

    rounds: tuple[GivenRound, ...] = ()
    problems: tuple[str, ...] = ()
    """Whole sentences without a file name; the front puts it before them."""


@dataclass(frozen=True, slots=True)
class _Object:
    """A JSON object with its keys in order, doubles included."""

    pairs: tuple[tuple[str, object], ...]


@dataclass(slots=True)
class _Notes:
    """Problems as they are found, and where the reader is."""

    found: list[str] = field(default_factory=list)
    where: str = ""

    def add(self, sentence: str) -> None:
        self.found.append(self.where + sentence)


def answer_for(ruleset: Ruleset, finding: str, answer: str) -> tuple[FindingId, Answer] | str:
    """Give the checked pair, or a sentence about what is wrong with it."""
    if finding not in ruleset.finding:
        return unknown("finding", finding, ruleset.finding)
    try:
        return FindingId(finding), Answer(answer)
    except ValueError:
        return f"{_quoted(answer)} is no answer to {finding}: say {_ANSWERS}"


def reading_for(ruleset: Ruleset, quantity: str, value: float) -> tuple[QuantityId, float] | str:
    """Give the checked pair, or a sentence about what is wrong with it."""
    known = ruleset.quantity.get(QuantityId(quantity))
    if known is None:
        return unknown("quantity", quantity, ruleset.quantity)
    if not math.isfinite(value):
        return f"{quantity} needs a number, not {value}"
    if known.limits is not None and not known.limits[0] <= value <= known.limits[1]:
        low, high = known.limits
        unit = f" {known.unit}" if known.unit else ""
        return f"{quantity} cannot be {value:g}{unit}: it lies between {low:g} and {high:g}{unit}"
    return QuantityId(quantity), float(value)


def unknown(kind: str, name: str, known: Iterable[str]) -> str:
    """Say that nothing of this kind has this name, and what may have been meant.

    >>> unknown("finding", "e3-sag", ["e3-sags", "late-start"])
    "no finding is called 'e3-sag'; did you mean 'e3-sags'?"
    >>> unknown("finding", "start", ["e3-sags", "late-start"])
    "no finding is called 'start'; did you mean 'late-start'?"
    """
    names = list(known)
    near = get_close_matches(name, names, 1) or [one for one in names if name in one.split("-")]
    meant = f"; did you mean {near[0]!r}?" if near else ""
    return f"no {kind} is called {_quoted(name)}{meant}"


def read_rounds(ruleset: Ruleset, content: bytes) -> RoundsRead:
    """Read a rounds file's bytes. Never raises on any bytes."""
    notes = _Notes()
    items = _items(content, notes)
    rounds = tuple(_rounds(ruleset, items, notes))
    if notes.found:
        return RoundsRead(problems=tuple(notes.found))
    return RoundsRead(rounds)


def _items(content: bytes, notes: _Notes) -> list[object]:
    if len(content) > LARGEST:
        notes.add(f"it is larger than {LARGEST // 1024 // 1024} MiB, too large for a rounds file")
        return []
    try:
        document: object = json.loads(
            content.decode("utf-8-sig"), object_pairs_hook=lambda p: _Object(tuple(p))
        )
    except UnicodeDecodeError:
        notes.add("it is not UTF-8 text")
    except json.JSONDecodeError as wrong:
        notes.add(f"it is not JSON: line {wrong.lineno}, column {wrong.colno}: {wrong.msg}")
    except (RecursionError, ValueError):
        # Nested without end, or a number of thousands of digits: Python's own guards.
        notes.add("it is not a rounds file: nested too deeply, or with a number too long to be one")
    else:
        if not isinstance(document, list):
            notes.add('it must be a list of rounds, oldest first: [{"given": {…}}, …]')
        elif len(document) > MOST_ROUNDS:
            notes.add(f"it has more than {MOST_ROUNDS} rounds")
        else:
            return cast("list[object]", document)
    return []


def _rounds(ruleset: Ruleset, items: list[object], notes: _Notes) -> Iterator[GivenRound]:
    sitting = 1
    for number, item in enumerate(items, start=1):
        notes.where = f"round {number}: "
        if not isinstance(item, _Object):
            notes.add('it must be an object with "given" in it')
            continue
        one = _round(ruleset, item, notes)
        if one.sitting is not None:
            if number > 1 and one.sitting < sitting:
                notes.add(f"sitting {one.sitting} comes after sitting {sitting}; sittings only grow")
            sitting = one.sitting
        yield one


def _round(ruleset: Ruleset, item: _Object, notes: _Notes) -> GivenRound:
    parts = _once(item, "the key", notes)
    for key in parts:
        if key not in _KEYS:
            notes.add(unknown("part of a round", key, _KEYS))
    if "given" not in parts:
        notes.add('"given" is missing; write {} when nothing was answered')
    return GivenRound(
        given=tuple(_given(ruleset, parts.get("given", _Object(())), notes)),
        measure=tuple(_measure(ruleset, parts.get("measure", _Object(())), notes)),
        then=_then(ruleset, parts.get("then"), notes),
        sitting=_sitting(parts.get("sitting"), notes),
    )


def _given(ruleset: Ruleset, value: object, notes: _Notes) -> Iterator[tuple[FindingId, Answer]]:
    if not isinstance(value, _Object):
        notes.add('"given" must be an object of findings and answers')
        return
    for finding, answer in _once(value, "the finding", notes).items():
        checked = answer_for(ruleset, finding, answer if isinstance(answer, str) else _written(answer))
        if isinstance(checked, str):
            notes.add(checked)
        else:
            yield checked


def _measure(ruleset: Ruleset, value: object, notes: _Notes) -> Iterator[tuple[QuantityId, float]]:
    if not isinstance(value, _Object):
        notes.add('"measure" must be an object of quantities and numbers')
        return
    for quantity, number in _once(value, "the quantity", notes).items():
        if isinstance(number, bool) or not isinstance(number, int | float):
            notes.add(f"{_shortened(quantity)} needs a number, not {_written(number)}")
            continue
        checked = reading_for(ruleset, quantity, _as_float(number))
        if isinstance(checked, str):
            notes.add(checked)
        else:
            yield checked


def _then(ruleset: Ruleset, value: object, notes: _Notes) -> RemedyId | None:
    if value is None:
        return None
    if isinstance(value, str) and value in ruleset.operation:
        return RemedyId(value)
    if isinstance(value, str):
        notes.add(unknown("remedy or rest", value, ruleset.operation))
    else:
        notes.add(f'"then" must be the id of a remedy or rest, or null, not {_written(value)}')
    return None


def _sitting(value: object, notes: _Notes) -> int | None:
    if value is None:
        return None
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_ROUNDS:
        return value
    notes.add(f'"sitting" must be a whole number from 1 to {MOST_ROUNDS}, not {_written(value)}')
    return None


def _once(item: _Object, what: str, notes: _Notes) -> dict[str, object]:
    """Give the pairs by key, saying which keys stand there twice."""
    seen: dict[str, object] = {}
    for key, value in item.pairs:
        if key in seen:
            notes.add(f"{what} {_quoted(key)} stands there twice")
        seen[key] = value
    return seen


def _as_float(number: float) -> float:
    try:
        return float(number)
    except OverflowError:
        return math.inf


def _written(value: object) -> str:
    """Give a wrong value about as the file wrote it."""
    if isinstance(value, _Object):
        return "an object"
    return "a list" if isinstance(value, list) else _shortened(json.dumps(value))


def _quoted(text: str) -> str:
    # repr also spells out control characters, so that a hostile file cannot steer the terminal.
    return repr(_shortened(text))


def _shortened(text: str) -> str:
    return text if len(text) <= 60 else text[:60] + "…"
