"""The top of the sitting screen: which reed, which sitting, how long it has lasted; and the priorities."""

from dataclasses import dataclass

from textual.content import Content
from textual.widget import Widget

from tui.app.widgets.fitted import Fitted
from tui.language import worded

MOST_LINES = 3
"""Lines that the priorities and their goal may take; the styles say it again."""
BAR = 8
"""Cells of the bar of minutes."""


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands at the top."""

    reed: str
    ruleset: str
    sitting: int
    spent: float | None = None
    """Minutes used in this sitting."""
    limit: float | None = None
    """Minutes that are enough for one day."""
    blade_up: str = ""


class Masthead(Widget):
    """One line."""

    heading: Heading | None = None

    def show(self, heading: Heading) -> None:
        """Show this heading."""
        if heading != self.heading:
            self.heading = heading
            self.refresh()

    def render(self) -> Content:
        """Put the reed on the left and the ruleset on the right, as far as there is room."""
        heading = self.heading
        if heading is None:
            return Content("")
        width = self.content_size.width
        left = _left(heading, bar=BAR)
        if left.cell_length > width:
            # The figures say what the bar says; in a narrow window they come first.
            left = _left(heading, bar=0)
        room = width - left.cell_length - 3
        if room < 8:
            return left.truncate(width, ellipsis=True)
        right = Content.styled(heading.ruleset, "$quiet").truncate(room, ellipsis=True)
        return Content.assemble(left, " " * (width - left.cell_length - right.cell_length), right)


def _left(heading: Heading, bar: int) -> Content:
    parts: list[Content | str | tuple[str, str]] = [
        (heading.reed, "bold"),
        f"   {worded('sitting {number}', number=heading.sitting)}",
    ]
    spent = f"{heading.spent or 0:.0f}"
    if heading.spent is not None and heading.limit:
        full = min(bar, round(bar * heading.spent / heading.limit))
        over = f"  ▲ {worded('over')}" if heading.spent > heading.limit else ""
        parts += [
            "   " if bar else "  ",
            ("━" * full, "$bar"),
            ("─" * (bar - full), "$quiet"),
            f" {worded('{spent} of {limit} min', spent=spent, limit=f'{heading.limit:.0f}')}",
            (over, "bold"),
        ]
    elif heading.spent:
        parts.append(f"   {worded('{spent} min', spent=spent)}")
    if heading.blade_up:
        parts += [("   ↑ ", "$quiet"), heading.blade_up]
    return Content.assemble(*parts)


@dataclass(frozen=True, slots=True)
class Rank:
    """One priority and how it stands."""

    title: str
    goal: str
    stand: str
    """`clear`, `now`, `later`, or nothing while it is not yet weighed."""


class Ranks(Fitted):
    """The priorities in their order; the active one with its goal; a word when one is open again."""

    ranks: tuple[Rank, ...] = ()
    reopened: bool = False

    def show(self, ranks: tuple[Rank, ...], *, reopened: bool) -> None:
        """Show these ranks."""
        if (ranks, reopened) != (self.ranks, self.reopened):
            self.ranks, self.reopened = ranks, reopened
            self.refresh(layout=True)

    def content(self, width: int) -> Content:
        """Name them all, then say what the active one is about."""
        now = next((rank for rank in self.ranks if rank.stand == "now"), None)
        line = Content("   ").join(_named(rank) for rank in self.ranks)
        if now is None:
            return line
        goal = Content.styled(now.goal, "italic $quiet")
        if self.reopened:
            again = worded("{title} is open again: the last step may have disturbed it.", title=now.title)
            return Content.assemble(line, "\n", (f"↺ {again} ", "bold"), goal)
        if line.cell_length + goal.cell_length + 5 <= width:
            return Content.assemble(line, "     ", goal)
        room = MOST_LINES - len(line.wrap(max(1, width)))
        if len(goal.wrap(max(1, width))) > room:
            goal = goal.truncate(width, ellipsis=True)
        return Content.assemble(line, "\n", goal)


def _named(rank: Rank) -> Content:
    signs = {"clear": ("✓ ", "$quiet"), "now": ("▶ ", "bold $now"), "later": ("· ", "$quiet")}
    word = f" {worded('clear')}" if rank.stand == "clear" else ""
    return Content.assemble(
        signs.get(rank.stand, ("  ", "$quiet")),
        (rank.title, "bold" if rank.stand == "now" else "$quiet"),
        (word, "$quiet"),
    )
