"""Two reeds side by side: `canebrake reeds compare`."""

from collections import Counter
from datetime import datetime
from itertools import zip_longest
from typing import Final

from engine.upkeep import stage
from kb.log.entry import Answered, Entry, Measured, RemedyDone, Rested
from kb.log.replay import ReedHistory, standing
from kb.log.store import ReedLog
from kb.model import Ruleset
from kb.units import Length
from tui.cli.reeds.asked import rules_of
from tui.draw.cells import padded, wrapped
from tui.plain.said import entry_in_words, operation_title

Row = tuple[str, str, str]
_GAP: Final = 2
_MOST_LINES: Final = 8
"""Lines of one cell."""
_MOST_FINDINGS: Final = 20
"""Findings and readings that are compared, those told last first."""


def compared(
    log: ReedLog, first: ReedHistory, second: ReedHistory, now: datetime, width: int, length: Length
) -> list[str]:
    """Give the lines: what each is, what was done to it, and how it answered last."""
    sides = [[*_facts(reed, now), *_story(log, reed, length)] for reed in (first, second)]
    labels = dict.fromkeys(label for side in sides for label, _ in side)
    found = [dict(side) for side in sides]
    rows = [("", first.name, second.name)]
    rows += [(label, found[0].get(label, "–"), found[1].get(label, "–")) for label in labels]
    return _laid_out(rows, width)


def _facts(reed: ReedHistory, now: datetime) -> list[tuple[str, str]]:
    facts = [("stands", stage(reed, now).value.replace("-", " ")), ("grade", reed.grade or "–")]
    if reed.reason:
        facts.append(("because", reed.reason))
    facts.append(("sittings", str(reed.sittings)))
    facts.append(("played", f"{reed.hours_played:g} h"))
    facts += [
        (label, text)
        for label, text in (
            ("cane", reed.blank.cane),
            ("shape", reed.blank.shape),
            ("gouge", reed.blank.gouge),
            ("profile", reed.blank.profile),
            ("made on", reed.blank.made_on),
            ("built by", reed.blank.built_by),
        )
        if text
    ]
    return facts


def _story(log: ReedLog, reed: ReedHistory, length: Length) -> list[tuple[str, str]]:
    entries = standing(log.entries_of(reed.id))
    chosen = rules_of(log, reed)
    ruleset = None if chosen is None else chosen.ruleset
    done = Counter(
        _title(entry.what.remedy, ruleset) for entry in entries if isinstance(entry.what, RemedyDone)
    )
    rests = sum(isinstance(entry.what, Rested) for entry in entries)
    story = [
        ("done", "; ".join(f"{title}{f' × {times}' if times > 1 else ''}" for title, times in done.items())),
        ("rests", str(rests)),
    ]
    latest = _latest(entries)
    story += [
        (entry_in_words(entry.what, ruleset, length).rpartition(":")[0], _value(entry, ruleset, length))
        for entry in latest
    ]
    return [(label, text or "–") for label, text in story]


def _latest(entries: tuple[Entry, ...]) -> list[Entry]:
    """Give the last answer to each finding and the last reading of each quantity, latest first."""
    seen: dict[str, Entry] = {}
    for entry in reversed(entries):
        match entry.what:
            case Answered(finding):
                seen.setdefault(finding, entry)
            case Measured(quantity):
                seen.setdefault(quantity, entry)
            case _:
                pass
    return list(seen.values())[:_MOST_FINDINGS]


def _value(entry: Entry, ruleset: Ruleset | None, length: Length) -> str:
    return entry_in_words(entry.what, ruleset, length).rpartition(":")[2].strip()


def _title(operation: str, ruleset: Ruleset | None) -> str:
    return operation if ruleset is None else operation_title(ruleset, operation)


def _laid_out(rows: list[Row], width: int) -> list[str]:
    """Lay three columns out; what is too wide goes on below."""
    first = max(8, min(max(len(row[0]) for row in rows), (width - 2 * _GAP) // 3))
    rest = max(8, (width - first - 2 * _GAP) // 2)
    lines = []
    for row in rows:
        cells = [
            wrapped(text, wide, _MOST_LINES) for text, wide in zip(row, (first, rest, rest), strict=True)
        ]
        for one, two, three in zip_longest(*cells, fillvalue=""):
            lines.append(f"{padded(one, first)}  {padded(two, rest)}  {three}".rstrip())
    return lines
