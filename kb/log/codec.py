"""An entry as a row of the log and as a line of JSON, and back.

A row keeps a `kind` and a JSON `body`. A new kind of entry needs no change to old rows. A field may be
added to a kind only when leaving it out means what its absence meant before; anything else is a new kind,
which an older program refuses politely instead of reading half of it.
"""

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Final, Never

from kb.ids import FindingId, PriorityId, QuantityId, RemedyId, RulesetId
from kb.log.entry import (
    Answered,
    BladeUp,
    Blank,
    Entry,
    EntryId,
    Graded,
    Measured,
    Overviewed,
    Pictured,
    Pinned,
    Played,
    ReedId,
    ReedMade,
    Remarked,
    RemedyDone,
    Renamed,
    Rested,
    RulesetMark,
    SittingOpened,
    Spot,
    Strokes,
    TakenBack,
    ThicknessMeasured,
    Weather,
    What,
)
from kb.log.fault import LogError
from kb.model import Answer

_HALVES: Final = re.compile("[\ud800-\udfff]")
_BLANK_PARTS: Final = tuple(part.name for part in fields(Blank))
_LARGEST: Final = 1e15
"""No reading, temperature or count comes near; written so that NaN and infinity are refused with it."""


def to_body(what: What) -> tuple[str, str]:  # noqa: C901, PLR0911, PLR0912 - one line for each kind of entry
    """Give the kind and the JSON body of what was entered."""
    match what:
        case ReedMade(name, blade_up):
            return "made", _json(name=name, blade_up=blade_up)
        case Blank():
            return "blank", _json(**{part: getattr(what, part) for part in _BLANK_PARTS})
        case Renamed(name):
            return "renamed", _json(name=name)
        case BladeUp(blade):
            return "blade-up", _json(blade=blade)
        case SittingOpened(number, temperature, humidity):
            return "sitting", _json(number=number, temperature=temperature, humidity=humidity)
        case Weather(temperature, humidity):
            return "weather", _json(temperature=temperature, humidity=humidity)
        case Answered(finding, answer):
            return "answer", _json(finding=finding, answer=answer.value)
        case Overviewed(priority, fine, clear):
            return "overview", _json(priority=priority, fine=fine, clear=list(clear))
        case Measured(quantity, value, values, precision):
            return "reading", _json(
                quantity=quantity, value=value, **_said(values=list(values), precision=precision)
            )
        case ThicknessMeasured(datum, spots, precision, from_tip):
            listed = [[spot.blade, spot.side, spot.lane, spot.at, *spot.values] for spot in spots]
            return "thickness", _json(
                datum=datum, spots=listed, **_said(precision=precision, from_tip=from_tip)
            )
        case RemedyDone(remedy):
            return "remedy", _json(remedy=remedy)
        case Strokes(number, zone):
            return "strokes", _json(number=number, zone=zone)
        case Rested(rest, new_sitting, hours):
            return "rest", _json(rest=rest, new_sitting=new_sitting, **_said(hours=hours))
        case Played(hours):
            return "played", _json(hours=hours)
        case Remarked(text):
            return "remark", _json(text=text)
        case Graded(grade, reason):
            return "grade", _json(grade=grade, reason=reason)
        case Pictured(path, remark):
            return "photo", _json(path=path, remark=remark)
        case Pinned(mark):
            return "pinned", _json(id=mark.id, version=mark.version, digest=mark.digest)
        case TakenBack(entry):
            return "taken-back", _json(entry=entry)


def from_body(kind: str, body: str) -> What:
    """Read back what `to_body` wrote. Raises LogError for what this version does not know."""
    read = _READ.get(kind)
    if read is None:
        raise LogError(
            f"The log holds an entry of the kind {kind!r}, which this version of canebrake does not know; "
            "use the newer version that wrote it."
        )
    try:
        parts = json.loads(body)
    except (ValueError, RecursionError):
        parts = None
    if not isinstance(parts, dict):
        raise LogError(f"An entry of the kind {kind!r} is damaged: its text is not what a log holds.")
    return read(_Body(kind, MappingProxyType(parts)))


def to_line(entry: Entry) -> str:
    """Give an entry as one line of JSON, for export. The same entry always gives the same line."""
    kind, body = to_body(entry.what)
    mark = None if entry.mark is None else [entry.mark.id, entry.mark.version, entry.mark.digest]
    return _json(entry=entry.id, reed=entry.reed, at=entry.at, ruleset=mark, kind=kind, body=json.loads(body))


def from_line(line: str) -> Entry:
    """Read back what `to_line` wrote. Raises LogError for anything else."""
    try:
        parts = json.loads(line)
    except (ValueError, RecursionError):
        parts = None
    if not isinstance(parts, dict):
        raise LogError("A line of the export is not an entry.")
    whole = _Body("line", MappingProxyType(parts))
    marked = whole.texts("ruleset") if parts.get("ruleset") is not None else ()
    if len(marked) not in {0, 3}:
        raise LogError("A line of the export names its ruleset wrongly.")
    mark = RulesetMark(RulesetId(marked[0]), marked[1], marked[2]) if marked else None
    what = from_body(whole.text("kind"), json.dumps(parts.get("body"), ensure_ascii=False))
    return Entry(EntryId(whole.text("entry")), ReedId(whole.text("reed")), whole.text("at"), mark, what)


@dataclass(frozen=True, slots=True)
class _Body:
    """The parts of one entry, each read with its type checked."""

    kind: str
    parts: Mapping[str, object]

    def text(self, key: str) -> str:
        value = self.parts.get(key)
        # Half a character (a lone surrogate) can stand in JSON and cannot be written to any file.
        if isinstance(value, str) and (value.isascii() or not _HALVES.search(value)):
            return value
        return self._refuse(key)

    def text_or_none(self, key: str) -> str | None:
        return None if self.parts.get(key) is None else self.text(key)

    def truth(self, key: str) -> bool:
        value = self.parts.get(key)
        return value if isinstance(value, bool) else self._refuse(key)

    def number(self, key: str) -> float:
        value = self.parts.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= _LARGEST:
            return float(value)
        return self._refuse(key)

    def numbers(self, key: str) -> tuple[float, ...]:
        value = self.parts.get(key, [])
        if not isinstance(value, list):
            self._refuse(key)
        return tuple(_Body(self.kind, {key: one}).number(key) for one in value)

    def number_or_none(self, key: str) -> float | None:
        return None if self.parts.get(key) is None else self.number(key)

    def count(self, key: str) -> int:
        value = self.parts.get(key)
        return value if isinstance(value, int) and not isinstance(value, bool) else self._refuse(key)

    def count_or_none(self, key: str) -> int | None:
        return None if self.parts.get(key) is None else self.count(key)

    def rows(self, key: str) -> tuple[Sequence[object], ...]:
        value = self.parts.get(key)
        if not isinstance(value, list) or not all(isinstance(one, list) for one in value):
            self._refuse(key)
        return tuple(value)

    def texts(self, key: str) -> tuple[str, ...]:
        value = self.parts.get(key, [])
        if not isinstance(value, list):
            self._refuse(key)
        return tuple(_Body(self.kind, {key: one}).text(key) for one in value)

    def _refuse(self, key: str) -> Never:
        raise LogError(
            f"An entry of the kind {self.kind!r} is damaged: its part {key!r} is missing or wrong."
        )


def _answered(body: _Body) -> What:
    word = body.text("answer")
    if word not in set(Answer):
        raise LogError(f"The log holds an answer {word!r}, which this version of canebrake does not know.")
    return Answered(FindingId(body.text("finding")), Answer(word))


def _overviewed(body: _Body) -> What:
    clear = tuple(FindingId(one) for one in body.texts("clear"))
    return Overviewed(PriorityId(body.text("priority")), body.truth("fine"), clear)


def _rested(body: _Body) -> What:
    rest = body.text_or_none("rest")
    return Rested(
        None if rest is None else RemedyId(rest), body.truth("new_sitting"), body.number_or_none("hours")
    )


def _blank(body: _Body) -> What:
    return Blank(**{part: body.text_or_none(part) for part in _BLANK_PARTS})


def _reading(body: _Body) -> What:
    return Measured(
        QuantityId(body.text("quantity")),
        body.number("value"),
        body.numbers("values"),
        body.number_or_none("precision"),
    )


def _thickness(body: _Body) -> What:
    return ThicknessMeasured(
        body.text("datum"),
        tuple(_spot(row) for row in body.rows("spots")),
        body.number_or_none("precision"),
        body.number_or_none("from_tip"),
    )


def _spot(row: Sequence[object]) -> Spot:
    one = _Body(
        "thickness", MappingProxyType({"spots": list(row[:3]), "at": [*row[3:4]], "values": [*row[4:]]})
    )
    names, (at,), values = one.texts("spots"), one.numbers("at") or (None,), one.numbers("values")
    if len(names) != 3 or at is None or not values:
        raise LogError("An entry of the kind 'thickness' is damaged: a place in it is not whole.")
    return Spot(names[2], at, values, names[0], names[1])


def _sitting(body: _Body) -> What:
    return SittingOpened(
        body.count("number"), body.number_or_none("temperature"), body.number_or_none("humidity")
    )


def _pinned(body: _Body) -> What:
    return Pinned(RulesetMark(RulesetId(body.text("id")), body.text("version"), body.text("digest")))


_READ: Final[Mapping[str, Callable[[_Body], What]]] = MappingProxyType(
    {
        "blank": _blank,
        "made": lambda body: ReedMade(body.text("name"), body.text("blade_up")),
        "renamed": lambda body: Renamed(body.text("name")),
        "blade-up": lambda body: BladeUp(body.text("blade")),
        "sitting": _sitting,
        "weather": lambda body: Weather(body.number_or_none("temperature"), body.number_or_none("humidity")),
        "answer": _answered,
        "overview": _overviewed,
        "reading": _reading,
        "thickness": _thickness,
        "strokes": lambda body: Strokes(body.count_or_none("number"), body.text("zone")),
        "played": lambda body: Played(body.number("hours")),
        "photo": lambda body: Pictured(body.text("path"), body.text("remark")),
        "remedy": lambda body: RemedyDone(RemedyId(body.text("remedy"))),
        "rest": _rested,
        "remark": lambda body: Remarked(body.text("text")),
        "grade": lambda body: Graded(body.text("grade"), body.text("reason")),
        "pinned": _pinned,
        "taken-back": lambda body: TakenBack(EntryId(body.text("entry"))),
    }
)


def _said(**parts: object) -> dict[str, object]:
    """Leave out what was not said, so that an entry without it is written as it always was."""
    return {key: value for key, value in parts.items() if value not in (None, [])}


def _json(**parts: object) -> str:
    return json.dumps(parts, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
