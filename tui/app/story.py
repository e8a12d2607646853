"""One reed's story as a page: how it stands, what was measured sitting by sitting, and all that was done."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from textual.content import Content

from engine.upkeep import Stage, rest_is_over, stage
from kb.log.entry import Entry, Measured, SittingOpened, ThicknessMeasured
from kb.log.moment import moment
from kb.log.replay import ReedHistory, standing
from kb.model import Ruleset
from kb.units import Length, shown
from tui.app.reading import show_target
from tui.box import blank_in_words
from tui.draw.literal import literal
from tui.draw.readings import Reading, draw_readings
from tui.language import worded, worded_count
from tui.plain.said import entry_in_words

WIDTH = 84
"""Cells of a line of the page; a narrower window has its own."""


def story_page(
    reed: ReedHistory,
    entries: Sequence[Entry],
    ruleset: Ruleset | None,
    length: Length,
    now: datetime,
    width: int,
) -> Content:
    """Give everything that the log tells of a reed, in the order in which it happened, `width` cells wide."""
    stays = standing(entries)
    parts = [Content(literal(", ".join(facts(reed, now))))]
    blank = blank_in_words(reed.blank)
    if blank:
        parts.append(Content("\n").join(Content(literal(one)) for one in blank))
    if ruleset is not None:
        parts += _measurements(stays, ruleset, length, min(width, WIDTH))
        parts += _thickness(stays, ruleset, length, min(width, WIDTH))
    parts.append(Content("\n").join(_timeline(stays, ruleset, length)))
    return Content("\n\n").join(part for part in parts if part.plain)


def facts(reed: ReedHistory, now: datetime) -> list[str]:
    """Say how a reed stands, in a few words each."""
    grade = f"★ {reed.grade}" if reed.grade else worded("no grade yet")
    told = [grade, standing_in_words(reed, now)]
    told.append(worded_count("{count} sitting", "{count} sittings", reed.sittings))
    if reed.hours_played:
        told.append(worded("played {hours} h", hours=f"{reed.hours_played:g}"))
    told.append(age_in_words(reed, now))
    return told


def standing_in_words(reed: ReedHistory, now: datetime) -> str:
    """Say whether it may be taken up, and when if not now."""
    where = stage(reed, now)
    over = rest_is_over(reed)
    if where is Stage.RESTING and over is not None:
        return worded("rests until {time}", time=f"{over.astimezone(now.tzinfo):%m-%d %H:%M}")
    return {Stage.AGEING: worded("ageing: look at it"), Stage.ASIDE: worded("set aside")}.get(
        where, worded(where.value)
    )


def age_in_words(reed: ReedHistory, now: datetime) -> str:
    """Say how old it is: since it was made, where that was said, else since it came into the log."""
    made = reed.blank.made_on or reed.created
    days = (now - moment(made)).days
    return worded("{days} d old", days=max(0, days))


def _measurements(stays: Iterable[Entry], ruleset: Ruleset, length: Length, width: int) -> Iterator[Content]:
    found: dict[str, list[Reading]] = {}
    sitting = 1
    for entry in stays:
        match entry.what:
            case SittingOpened(number):
                sitting = number
            case Measured(quantity, value) if quantity in ruleset.quantity:
                unit = literal(ruleset.quantity[quantity].unit)
                one = Reading(worded("sitting {number}", number=sitting), shown(value, unit, length), value)
                found.setdefault(quantity, []).append(one)
            case _:
                pass
    for known in ruleset.quantities:
        if known.id in found:
            target = show_target(known, length)
            head = Content.assemble(
                (literal(known.title), "bold"),
                (f"   [ ] {worded('target {target}', target=literal(target))}" if target else "", "$quiet"),
            )
            lines = draw_readings(found[known.id], known.target, width)
            yield Content("\n").join([head, *(Content(line) for line in lines)])


def _thickness(stays: Sequence[Entry], ruleset: Ruleset, length: Length, width: int) -> Iterator[Content]:
    if not any(isinstance(entry.what, ThicknessMeasured) for entry in stays):
        return
    from engine.blades import blades  # noqa: PLC0415 - few measure a blade
    from tui.draw.blades import blades_drawn  # noqa: PLC0415 - the same

    for profile in ruleset.thickness:
        seen = blades(profile, stays)
        if seen is not None and seen.lines:
            yield Content("\n".join(blades_drawn(seen, width, length)))


def _timeline(stays: Iterable[Entry], ruleset: Ruleset | None, length: Length) -> Iterator[Content]:
    yield Content.styled(worded("What was found and done"), "underline")
    for entry in stays:
        words = entry_in_words(entry.what, ruleset, length)
        if not words:
            continue
        if isinstance(entry.what, SittingOpened):
            yield Content.assemble((f"▪ {literal(words)}", "bold"), (f"  {literal(entry.at[:10])}", "$quiet"))
        else:
            yield Content.assemble((f"  {literal(entry.at[11:16]):<5}  ", "$quiet"), literal(words))
