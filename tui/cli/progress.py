"""One line on a terminal that says how far long work is, and goes away when it is done."""

from dataclasses import dataclass

from tui.draw.cells import fitted
from tui.draw.literal import literal
from tui.wiring import Surroundings


@dataclass(frozen=True, slots=True)
class Progress:
    """Says how far it is, on a terminal only: a file or a pipe is not to be filled with it."""

    around: Surroundings

    def say(self, what: str) -> None:
        """Show `what` in place of what was shown before."""
        if self.around.is_terminal:
            room = self.around.width - 1
            self.around.stderr.write("\r" + fitted(literal(what), room).ljust(room))
            self.around.stderr.flush()

    def wipe(self) -> None:
        """Leave the line as it was."""
        if self.around.is_terminal:
            self.around.stderr.write("\r" + " " * (self.around.width - 1) + "\r")
            self.around.stderr.flush()
