"""A time to wait for: soaking, resting. A frozen value; the time of day is handed in, in seconds."""

from dataclasses import dataclass, replace
from typing import Self


@dataclass(frozen=True, slots=True)
class Countdown:
    """So much to wait, of which so much is left since the clock was last started."""

    whole: float
    """Seconds."""
    left_then: float
    since: float | None = None
    """When it was started last; None while it stands."""

    @classmethod
    def of_minutes(cls, minutes: float, now: float) -> Self:
        """Start one."""
        return cls(minutes * 60, minutes * 60, now)

    @property
    def is_running(self) -> bool:
        """Whether it goes on by itself."""
        return self.since is not None

    def left(self, now: float) -> float:
        """Give the seconds that are left, never below 0."""
        gone = 0.0 if self.since is None else max(0.0, now - self.since)
        return max(0.0, self.left_then - gone)

    def is_over(self, now: float) -> bool:
        """Whether the time is up."""
        return self.left(now) <= 0

    def turned(self, now: float) -> Self:
        """Let it stand, or go on."""
        return replace(self, left_then=self.left(now), since=None if self.is_running else now)


def clock_face(seconds: float) -> str:
    """Write seconds as a clock does; what has begun counts in full.

    >>> clock_face(360), clock_face(59.2), clock_face(5400)
    ('6:00', '1:00', '1:30:00')
    """
    whole = int(-(-seconds // 1))
    minutes, rest = divmod(whole, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
