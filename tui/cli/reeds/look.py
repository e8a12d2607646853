"""`canebrake reeds list`, `show`, `compare`: what is in the box."""

import json
from collections import Counter
from collections.abc import Mapping
from datetime import datetime

from engine.upkeep import Stage, rest_is_over, stage
from kb.log.entry import Entry, SittingOpened, Strokes
from kb.log.replay import ReedHistory, standing
from kb.log.store import ReedLog
from kb.settings import read_settings
from kb.units import Length
from tui.box import blank_in_words, histories, moment
from tui.cli.reeds.asked import NONE_YET, SHORT_ID, Asked, day, in_the_log, on_a_reed, rules_of
from tui.cli.saying import Json, complain, tell_json
from tui.exit_code import ExitCode


def list_reeds(asked: Asked) -> ExitCode:
    """List the reeds, those last used first; filters leave out what is not meant."""
    log = asked.open()
    every: tuple[ReedHistory, ...] = ()
    if log is not None:
        with log:
            every = histories(log)
    now = asked.around.now()
    reeds = [reed for reed in every if _is_meant(asked, reed, now)]
    if asked.has("json"):
        tell_json(asked.around, {"reeds": [as_json(reed, now) for reed in reeds]})
        return ExitCode.DONE
    names = Counter(reed.name for reed in every)
    for reed in reeds:
        id_ = f" ({reed.id[:SHORT_ID]})" if names[reed.name] > 1 else ""
        asked.say(f"{reed.name}{id_}: {'; '.join(told(reed, now))}")
    if not every:
        asked.say(NONE_YET)
    elif not reeds:
        asked.say("No reed is like that.")
    return ExitCode.DONE


def _is_meant(asked: Asked, reed: ReedHistory, now: datetime) -> bool:
    wanted = asked.texts("is_")
    if wanted and stage(reed, now).value not in wanted:
        return False
    grade, cane = asked.text("grade").casefold(), asked.text("cane").casefold()
    if grade and reed.grade.casefold() != grade:
        return False
    if cane and cane not in (reed.blank.cane or "").casefold():
        return False
    since = asked.day("since")
    return since is None or moment(reed.last_used).astimezone(now.tzinfo).date() >= since


@on_a_reed
def show(asked: Asked, log: ReedLog, reed: ReedHistory) -> ExitCode:
    """Show one reed: what it is now, and its story."""
    now = asked.around.now()
    entries = log.entries_of(reed.id)
    if asked.arguments.thickness is not None:
        return _show_thickness(asked, log, reed, entries)
    if asked.has("json"):
        from kb.log.codec import to_line  # noqa: PLC0415 - only here

        lines: list[Json] = [json.loads(to_line(entry)) for entry in entries]
        tell_json(asked.around, {**as_json(reed, now), "entries": lines})
        return ExitCode.DONE
    asked.say(reed.name)
    for line in told(reed, now):
        asked.say(f"  {line}")
    _tell_entries(asked, log, reed, entries)
    marks = dict.fromkeys(entry.mark for entry in entries if entry.mark is not None)
    if len(marks) > 1:
        asked.say("Rules that it was judged by so far (reeds pin takes the digest):")
        for mark in marks:
            asked.say(f"  {mark.id} {mark.version}, digest {mark.digest[:12]}")
    return ExitCode.DONE


def _show_thickness(asked: Asked, log: ReedLog, reed: ReedHistory, entries: tuple[Entry, ...]) -> ExitCode:
    from engine.blades import blades  # noqa: PLC0415 - only here
    from tui.draw.blades import blades_drawn  # noqa: PLC0415 - only here

    chosen = asked.rules_for(reed, log)
    if chosen is None:
        return ExitCode.COULD_NOT_START
    profiles, wanted = chosen.ruleset.thickness, asked.text("thickness")
    profile = next((one for one in profiles if wanted in {"", one.id}), None)
    if profile is None:
        known = ", ".join(one.id for one in profiles) or "none"
        complain(asked.around, f"these rules have no thickness {wanted!r}; they have {known}")
        return ExitCode.COULD_NOT_START
    seen = blades(profile, standing(entries))
    if seen is None:
        asked.say(f"No thickness of “{reed.name}” was measured yet: canebrake reeds measure --help")
        return ExitCode.DONE
    asked.say(reed.name)
    for line in blades_drawn(seen, asked.around.width, _length(asked)):
        asked.say(line)
    return ExitCode.DONE


@in_the_log
def compare(asked: Asked, log: ReedLog) -> ExitCode:
    """Lay two reeds side by side: what they are made from, how they stand, what was done to each."""
    first, second = (asked.reed(log, asked.text(name)) for name in ("name", "other"))
    if first is None or second is None:
        return ExitCode.COULD_NOT_START
    from tui.cli.reeds.side_by_side import compared  # noqa: PLC0415 - reads the rules of both

    for line in compared(log, first, second, asked.around.now(), asked.around.width, _length(asked)):
        asked.say(line)
    return ExitCode.DONE


def _tell_entries(asked: Asked, log: ReedLog, reed: ReedHistory, entries: tuple[Entry, ...]) -> None:
    """Print the entries that count, in words, by sitting and day; with numbers where they are wanted."""
    from tui.plain.said import entry_in_words  # noqa: PLC0415 - the same

    chosen = rules_of(log, reed)
    length = _length(asked)
    for number, entry in enumerate(standing(entries), 1):
        words = entry_in_words(entry.what, None if chosen is None else chosen.ruleset, length)
        if not words:
            continue
        counted = f"{number} " if asked.has("numbers") else ""
        if isinstance(entry.what, SittingOpened):
            asked.say(f"{counted}{words}, {day(entry.at)}")
        else:
            deep = "    " if isinstance(entry.what, Strokes) else "  "
            asked.say(f"{deep}{counted}{words}")


def _length(asked: Asked) -> Length:
    return read_settings(asked.around.config_folder).units


def told(reed: ReedHistory, now: datetime) -> list[str]:
    """Say the main things about a reed, one by one."""
    lines = [reed.grade or "no grade yet"]
    where = stage(reed, now)
    if where is Stage.RESTING:
        over = rest_is_over(reed)
        lines.append(f"resting until {over.astimezone(now.tzinfo):%Y-%m-%d %H:%M}" if over else "resting")
    elif where is Stage.AGEING:
        lines.append("ageing: look at it before you rely on it")
    elif where is Stage.DUE and reed.resting is not None:
        lines.append("due: its rest is over")
    lines.append(f"{reed.sittings} sitting{'s' * (reed.sittings != 1)}")
    if reed.hours_played:
        lines.append(f"played {reed.hours_played:g} h")
    if reed.blade_up:
        lines.append(f"blade up: {reed.blade_up}")
    lines += blank_in_words(reed.blank)
    lines.append(f"last used {day(reed.last_used)}")
    if reed.mark is not None:
        lines.append(f"rules: {reed.mark.id} {reed.mark.version}{' (pinned)' * reed.pinned}")
    return lines


def as_json(reed: ReedHistory, now: datetime) -> Mapping[str, Json]:
    """Give a reed for a program."""
    mark, blank = reed.mark, reed.blank
    over = rest_is_over(reed)
    return {
        "name": reed.name,
        "id": reed.id,
        "stage": stage(reed, now).value,
        "grade": reed.grade or None,
        "reason": reed.reason or None,
        "blade_up": reed.blade_up or None,
        "cane": blank.cane or None,
        "shape": blank.shape or None,
        "gouge": blank.gouge or None,
        "profile": blank.profile or None,
        "made_on": blank.made_on or None,
        "built_by": blank.built_by or None,
        "sittings": reed.sittings,
        "hours_played": reed.hours_played,
        "rests_until": None if over is None else over.isoformat(timespec="minutes"),
        "ruleset": None if mark is None else {"id": mark.id, "version": mark.version, "digest": mark.digest},
        "pinned": reed.pinned,
        "created": reed.created,
        "last_used": reed.last_used,
    }
