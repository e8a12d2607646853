"""Trials run at a key: each result as it comes, what was expected and what came instead."""

import asyncio
from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from kb.model import Ruleset
from kb.text import Span
from tui.app import keys
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.rowlist import RowList
from tui.draw.literal import literal
from tui.language import worded, worded_count, worded_later
from tui.trialling import miss_in_words

if TYPE_CHECKING:
    from engine.trial import TrialResult  # loads the numbers

NONE = worded_later(
    "This ruleset has no trials yet. A trial says: given these findings, expect this cause or step."
)


class TrialsSheet(ModalScreen[Span | None]):
    """All trials of a ruleset; gives back the place of the one that was taken."""

    CSS_PATH = "sheet.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [keys.CLOSE]

    def __init__(self, ruleset: Ruleset) -> None:
        """Run the trials of `ruleset`."""
        super().__init__()
        self._ruleset = ruleset
        self.results: tuple[TrialResult, ...] = ()

    def compose(self) -> ComposeResult:
        """How many passed, and each of them."""
        with Vertical(classes="sheet -page"):
            yield Static(id="sum", classes="heading", markup=False)
            yield RowList(numbered=False)
            yield KeyLine()

    def on_mount(self) -> None:
        """Begin."""
        self.query_one(KeyLine).name_keys([keys.GO_THERE, keys.CLOSE])
        self.query_one(RowList).focus()
        self._run_all()

    @work(exclusive=True, group="trials")
    async def _run_all(self) -> None:
        from engine.trial import run_trial  # noqa: PLC0415 - loads the numbers

        self._say()
        for trial in self._ruleset.trials:
            result = await asyncio.to_thread(run_trial, self._ruleset, trial)
            # What failed stands first: it is what the author came for.
            self.results = tuple(sorted((*self.results, result), key=lambda one: one.passed))
            self.query_one(RowList).refill([_row(one) for one in self.results])
            self._say()

    def on_row_list_taken(self, message: RowList.Taken) -> None:
        """Give back where the trial stands."""
        message.stop()
        self.dismiss(self.results[message.index].trial.place.key)

    def action_close(self) -> None:
        """Give back nothing."""
        self.dismiss(None)

    def _say(self) -> None:
        self.query_one("#sum", Static).update(Content(sum_of(self.results, len(self._ruleset.trials))))


def sum_of(results: Sequence["TrialResult"], of: int) -> str:
    """Say how many passed, and how many are still to run."""
    if not of:
        return worded(NONE)
    failed = sum(not one.passed for one in results)
    ran = (
        worded("{count} of {all} trials run", count=len(results), all=of)
        if len(results) < of
        else worded_count("{count} trial", "{count} trials", of)
    )
    return f"{ran}: {worded('{count} failed', count=failed) if failed else worded('all passed')}"


def _row(result: "TrialResult") -> Content:
    sign, style = ("✓", "$quiet") if result.passed else ("✗", "bold $error-text")
    word = worded("passed" if result.passed else "failed")
    lines = [Content.assemble((f"{sign} {word}  ", style), literal(result.trial.title))]
    lines += [Content.styled(f"          {literal(miss_in_words(miss))}", "$quiet") for miss in result.misses]
    return Content("\n").join(lines)
