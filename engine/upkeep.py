"""How a reed of the box stands by the calendar: ready, resting, due, ageing, set aside.

Read off its history alone, without its rules, so that a box of a thousand reeds is told at once. The
time is handed in.
"""

from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

from kb.log.moment import moment
from kb.log.replay import ReedHistory

A_NIGHT: Final = timedelta(hours=12)
"""How long a reed lies until its next sitting where nobody said how long."""
OLD_AFTER: Final = timedelta(days=30)
"""Sources give a finished reed a week, fifteen to twenty days, about a month, or months (docs/sources.md);
a month is where we begin to say so."""
OLD_AFTER_HOURS: Final = 20.0
"""From memory: a working reed is watched after about so many hours of playing."""
MOST_HOURS: Final = 24.0 * 31
"""Hours of playing that one entry may say; more is a slip of the finger."""
MOST_STROKES: Final = 10_000
CONCERT: Final = "concert"
ASIDE: Final = "set aside"


class Stage(StrEnum):
    """Where a reed stands now."""

    NEW = "new"
    """It is in the box and has had no sitting yet."""
    DUE = "due"
    """It may be worked on: its rest is over, and it has no grade."""
    RESTING = "resting"
    """Its rest is not over."""
    READY = "ready"
    """It has a grade: it is good for what the grade says."""
    AGEING = "ageing"
    """It has been ready for long, or played much: look at it before you rely on it."""
    ASIDE = "set-aside"


def stage(reed: ReedHistory, now: datetime) -> Stage:
    """Say where a reed stands."""
    if reed.grade == ASIDE:
        return Stage.ASIDE
    over = rest_is_over(reed)
    if over is not None and over > now:
        return Stage.RESTING
    if reed.grade:
        return Stage.AGEING if _is_old(reed, now) else Stage.READY
    return Stage.DUE if reed.sittings else Stage.NEW


def rest_is_over(reed: ReedHistory) -> datetime | None:
    """Give when its last rest ends or ended; None when it lies in none."""
    if reed.resting is None:
        return None
    hours = reed.resting.hours
    if hours is None:
        lasts = A_NIGHT if reed.resting.new_sitting else timedelta()
    else:
        lasts = timedelta(hours=min(max(hours, 0.0), 24.0 * 365))
    return moment(reed.resting.since) + lasts


def _is_old(reed: ReedHistory, now: datetime) -> bool:
    if reed.hours_played >= OLD_AFTER_HOURS:
        return True
    return bool(reed.in_use_since) and now - moment(reed.in_use_since) >= OLD_AFTER
