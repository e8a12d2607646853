"""The clock of a wait: how much is left, as figures and as a bar. Nothing runs while no time does."""

from textual.content import Content
from textual.message import Message
from textual.timer import Timer
from textual.widgets import Static

from tui.app.countdown import Countdown, clock_face
from tui.app.keys import CLOCK, shown
from tui.language import worded

BAR = 10


class Clock(Static):
    """Shows a countdown, and tells when its time is up. Hidden while there is none."""

    class Rang(Message):
        """The time is up."""

    def __init__(self) -> None:
        """Start without one."""
        super().__init__(id="clock", markup=False)
        self._countdown: Countdown | None = None
        self._beat: Timer | None = None
        self.display = False

    def show(self, countdown: Countdown | None, now: float) -> None:
        """Show this one as it stands; `now` is the time that it is compared with."""
        self._countdown = countdown
        self.display = countdown is not None
        if self._beat is not None:
            self._beat.stop()
            self._beat = None
        if countdown is not None and countdown.is_running and not countdown.is_over(now):
            # Once a second, and only while it runs.
            self._beat = self.set_interval(1.0, lambda: self.post_message(self.Beat()))
        if countdown is not None:
            self.update(face_of(countdown, now))

    class Beat(Message):
        """A second has gone by while a countdown runs."""


def face_of(countdown: Countdown, now: float) -> Content:
    """Say how much is left, in figures, in a bar and in words."""
    left = countdown.left(now)
    full = round(BAR * left / countdown.whole) if countdown.whole else 0
    if countdown.is_over(now):
        return Content.assemble(
            (f"◷ {worded('The time is up')}", "bold"),
            (f"   {worded('{key} puts the clock away', key=shown(CLOCK))}", "$quiet"),
        )
    running = countdown.is_running
    stands = worded("{key} lets it stand" if running else "stands still; {key} goes on", key=shown(CLOCK))
    return Content.assemble(
        ("◷ ", "bold"),
        (f"{worded('{time} left', time=clock_face(left))}  ", "bold"),
        ("━" * full, "$bar"),
        ("─" * (BAR - full), "$quiet"),
        (f"  {stands}", "$quiet"),
    )
