"""`canebrake reeds tonight`: what to work on so that enough reeds are ready on a date."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from kb.log.entry import RulesetMark
from kb.log.replay import ReedHistory
from kb.log.store import ReedLog
from tui.box import histories
from tui.cli.parser import WrongUsage
from tui.cli.progress import Progress
from tui.cli.reeds.asked import Asked, in_the_log
from tui.cli.saying import Json, complain, tell_json
from tui.exit_code import ExitCode

if TYPE_CHECKING:
    from engine.planning import Plan, Prospect
    from tui.desk import ChosenRuleset

MOST_LOOKED_AT: Final = 40
"""Reeds that are weighed, those used last first: each takes a good part of a second."""
MOST_NEEDED: Final = 100


def tonight(asked: Asked) -> ExitCode:
    """Say which reeds to work on for a date."""
    now = asked.around.now()
    wanted = asked.day("concert") or now.date() + timedelta(days=7)
    if wanted < now.date():
        raise WrongUsage(f"{wanted} is over; name a date to come")
    need_text = asked.text("need") or "1"
    if not (need_text.isascii() and need_text.isdigit() and 1 <= int(need_text) <= MOST_NEEDED):
        raise WrongUsage(f"{need_text!r} is no number of reeds; write 1 to {MOST_NEEDED}")
    return _tonight(asked, wanted, int(need_text))


@in_the_log
def _tonight(asked: Asked, log: ReedLog, wanted: date, need: int) -> ExitCode:
    from engine.planning import candidates, plan  # noqa: PLC0415 - loads numpy

    now = asked.around.now()
    reeds = histories(log)
    looked_at = candidates(reeds, now)[:MOST_LOOKED_AT]
    made = plan(reeds, tuple(_prospects(asked, log, looked_at, wanted)), need, now)
    if asked.has("json"):
        tell_json(asked.around, _as_json(made, wanted))
    else:
        for line in _told(made, wanted, now.date()):
            asked.say(line)
    return ExitCode.NO if made.missing else ExitCode.DONE


def _prospects(
    asked: Asked, log: ReedLog, reeds: Sequence[ReedHistory], wanted: date
) -> "Iterator[Prospect]":
    """Look at reeds under the rules that each was last judged by; one without any is left out, and said."""
    from engine.planning import prospect  # noqa: PLC0415 - loads numpy
    from tui.choosing import NoRuleset, choose  # noqa: PLC0415 - loads the reader of rulesets

    progress = Progress(asked.around)
    known: dict[tuple[RulesetMark | None, bool], ChosenRuleset | NoRuleset] = {}
    for number, reed in enumerate(reeds, 1):
        progress.say(f"looking at reed {number} of {len(reeds)}")
        under = (reed.mark, reed.pinned)
        if under not in known:
            known[under] = choose(None, reed, log)
        chosen = known[under]
        if isinstance(chosen, NoRuleset):
            progress.wipe()
            complain(asked.around, f"“{reed.name}” is left out: {chosen.sentence}")
            continue
        yield prospect(chosen.ruleset, log.entries_of(reed.id), reed, asked.around.now(), wanted)
    if reeds:
        progress.wipe()


def _told(made: "Plan", wanted: date, today: date) -> list[str]:
    lines = [f"For {wanted}:"]
    lines += [f"  {reed.name}: ready, played {reed.hours_played:g} h" for reed in made.ready]
    lines += [f"  {reed.name}: ready, and ageing; look at it before you rely on it" for reed in made.ageing]
    lines += [f"  {one.reed.name}: {_wants(one)}" for one in made.work]
    free = [one.reed.name for one in made.work if one.begins == today and one.sittings]
    if free:
        lines.append(f"Tonight: {', '.join(free)}.")
    elif made.work:
        lines.append("Tonight: nothing; let them rest.")
    if made.spare:
        lines += ["There is time for these as well:"]
        lines += [f"  {one.reed.name}: {_wants(one)}" for one in made.spare]
    if made.late:
        lines += ["Not for that day:"]
        lines += [f"  {one.reed.name}: {_why_not(one)}" for one in made.late]
    if made.missing:
        lines.append(f"{made.missing} more {'is' if made.missing == 1 else 'are'} wanted than can be had.")
    return lines


def _wants(one: "Prospect") -> str:
    if one.sittings == 0:
        return "nothing is left to do; try it and grade it"
    sittings = "one more sitting" if one.sittings == 1 else f"{one.sittings} more sittings"
    from tui.words import minutes  # noqa: PLC0415 - words of the engine

    return f"{sittings}, about {minutes(_about(one.minutes))} in all; from {one.begins}"


def _about(expected: float) -> float:
    """Round to what can be meant: nobody plans an evening by single minutes."""
    return 5.0 * round(expected / 5.0) if expected > 10.0 else float(round(expected))


def _why_not(one: "Prospect") -> str:
    if one.hopeless:
        return "by its rules it is set aside, or its answers disagree; look at it at the desk"
    time = "one" if one.possible == 1 else str(one.possible) if one.possible else "none"
    return f"{_wants(one)}; there is time for {time}"


def _as_json(made: "Plan", wanted: date) -> Json:
    def one(prospect: "Prospect") -> Json:
        step = prospect.step
        return {
            "name": prospect.reed.name,
            "id": prospect.reed.id,
            "minutes": round(prospect.minutes, 1),
            "sittings": prospect.sittings,
            "possible": prospect.possible,
            "begins": prospect.begins.isoformat(),
            "step": None if step is None else {"kind": step.kind.value, "id": step.id},
        }

    return {
        "date": wanted.isoformat(),
        "ready": [reed.name for reed in made.ready],
        "ageing": [reed.name for reed in made.ageing],
        "work": [one(prospect) for prospect in made.work],
        "spare": [one(prospect) for prospect in made.spare],
        "late": [one(prospect) for prospect in made.late],
        "missing": made.missing,
    }
