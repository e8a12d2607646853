"""Rules: a ruleset as its author sees it. What each key says; nothing is written until the author says so."""

import asyncio
from typing import ClassVar, Final

from textual import work
from textual.binding import BindingType

from kb.disk import DiskError
from kb.model import Ruleset
from kb.units import Length
from tui.app import keys
from tui.app.margin import judge
from tui.app.screens.asking import ask_ruleset
from tui.app.screens.sheet import ChoiceSheet, LineSheet, Row
from tui.app.screens.textboard import TextBoard
from tui.draw.literal import literal
from tui.language import worded, worded_later
from tui.manuscript import Passage, begin_layer
from tui.shelf import ShelfError, usable_ruleset

ONLY_READ: Final = worded_later(
    "This ruleset ships with canebrake: it is only read here. F10 begins one of your own upon it."
)
LAYER: Final = worded_later(
    "Such as: my-studio.yaml. It stands on this ruleset: you write only what differs."
)
CHANGED: Final = "changed by someone else"


class RulesScreen(TextBoard):
    """One ruleset's text, and what its author does with it."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.RULES]

    @work(exclusive=True, group="asking")
    async def action_entries(self) -> None:
        """Find an entry by a few letters."""
        judged = self.judged
        rows = [
            Row(one, literal(one.id), literal(f"{one.section}  {one.title}{_from(one)}"))
            for one in (*judged.passages, *judged.inherited)
        ]
        chosen = await self.app.push_screen_wait(ChoiceSheet(worded("Go to which entry?"), rows, search=True))
        if chosen is None:
            return
        if not chosen.base:
            self.go_to(chosen.line, chosen.column)
        elif self._may_write():
            from tui.app.screens.filling import change_inherited  # noqa: PLC0415 - only when a form is wanted

            self._take(await change_inherited(self.app, self.page, chosen, judged))

    def action_next_problem(self) -> None:
        """Go to the next problem after the cursor, from the last to the first."""
        own = [one for one in self.judged.problems if one.span.file == self.page.name]
        if not own:
            self.notify(worded("No problems."), markup=False)
            return
        row, column = self.text_area.cursor_location
        after = [one for one in own if (one.span.line, one.span.column) > (row + 1, column + 1)]
        self.go_to_problem((after or own)[0])

    @work(exclusive=True, group="asking")
    async def action_trials(self) -> None:
        """Run the trials of the text as it stands."""
        from tui.app.screens.trials import TrialsSheet  # noqa: PLC0415 - only when they are run

        ruleset = await self._usable()
        if ruleset is not None:
            place = await self.app.push_screen_wait(TrialsSheet(ruleset))
            if place is not None and place.file == self.page.name:
                self.go_to(place.line, place.column)

    @work(exclusive=True, group="asking")
    async def action_beside(self) -> None:
        """Ask for another ruleset, and show what differs."""
        from tui.app.screens.beside import BesideScreen  # noqa: PLC0415 - only when two are compared

        ruleset = await self._usable()
        other = None if ruleset is None else await ask_ruleset(self.app, worded("Beside which ruleset?"))
        if ruleset is None or other is None:
            return
        try:
            await self.app.push_screen(BesideScreen(ruleset, usable_ruleset(other)))
        except ShelfError as fault:
            self.notify(literal(str(fault)), severity="error", timeout=20, markup=False)

    @work(exclusive=True, group="keeping")
    async def action_keep_file(self) -> None:
        """Keep what the text comes to as a file: its map, handout, tree, charts, or the reed."""
        from tui.app.main import Workbench  # noqa: PLC0415 - it imports the screens
        from tui.app.screens.keeping import keep_as_file  # noqa: PLC0415 - only when something is kept
        from tui.offering import Subject  # noqa: PLC0415 - the same

        ruleset = await self._usable()
        if ruleset is not None:
            length = self.app.settings.units if isinstance(self.app, Workbench) else Length.MM
            here = self.judged.at(self.text_area.cursor_location[0] + 1)
            await keep_as_file(self.app, Subject(ruleset, length, at=here.id if here is not None else ""))

    async def _usable(self) -> Ruleset | None:
        """Give the ruleset of the text as it stands, or say that it has errors."""
        ruleset = (await asyncio.to_thread(judge, self.page)).ruleset
        if ruleset is None:
            self.notify(worded("The text has errors: mend them first. F3 goes to the next."), markup=False)
        return ruleset

    @work(exclusive=True, group="asking")
    async def action_form(self) -> None:
        """Fill in the entry at the cursor, key by key."""
        from tui.app.screens.filling import fill_in  # noqa: PLC0415 - only when a form is wanted

        if self._may_write():
            judged = await asyncio.to_thread(judge, self.page)
            here = judged.at(self.text_area.cursor_location[0] + 1)
            self._take(await fill_in(self.app, self.page, here, judged))

    @work(exclusive=True, group="asking")
    async def action_new_entry(self) -> None:
        """Add an entry by filling in its form."""
        from tui.app.screens.filling import add_entry  # noqa: PLC0415 - as above

        if self._may_write():
            judged = await asyncio.to_thread(judge, self.page)
            self._take(await add_entry(self.app, self.page, judged))

    def _take(self, text: str | None) -> None:
        if text is not None:
            self.rewrite(text)

    def _may_write(self) -> bool:
        if self.page.path is None:
            self.notify(worded(ONLY_READ), markup=False)
        return self.page.path is not None

    @work(exclusive=True, group="asking")
    async def action_layer(self) -> None:
        """Begin a ruleset of one's own that stands on this one, and go on there."""
        ruleset = await self._usable()
        hint = worded(LAYER)
        while ruleset is not None and self.page.path is None:
            said = await self.app.push_screen_wait(
                LineSheet(worded("A ruleset of your own, in which file?"), hint)
            )
            if said is None:
                return
            try:
                page = begin_layer(ruleset, said)
            except DiskError as fault:
                hint = literal(f"▲ {fault}")
                continue
            self.app.switch_screen(RulesScreen(page))
            return

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Whether a key means something: a layer is begun only on what cannot be written into."""
        del parameters
        return action != "layer" or self.page.path is None

    def action_undo_text(self) -> None:
        """Take the last change of the text back."""
        self.text_area.undo()

    def action_redo_text(self) -> None:
        """Make it again."""
        self.text_area.redo()

    def action_save(self) -> None:
        """Write the file."""
        self._save()

    @work(exclusive=True, group="asking")
    async def action_close_rules(self) -> None:
        """Leave; where something is unsaved, ask first."""
        if self.page.is_unsaved:
            rows = [
                Row("save", worded("save, then leave")),
                Row("leave", worded("leave without saving"), worded("what you changed is lost")),
                Row("stay", worded("go on writing")),
            ]
            chosen = await self.app.push_screen_wait(ChoiceSheet(worded("Something is not saved."), rows))
            if chosen in {None, "stay"} or (chosen == "save" and not self._save()):
                return
        self.app.pop_screen()

    def _save(self) -> bool:
        if not self._may_write():
            return False
        try:
            self.page = self.page.saved()
        except DiskError as fault:
            if CHANGED in str(fault):
                self._ask_over()
            else:
                self.notify(
                    literal(worded("Not saved. {fault}", fault=fault)),
                    severity="error",
                    timeout=20,
                    markup=False,
                )
            return False
        self.keep()
        self.notify(worded("Saved: {name}", name=literal(self.page.name)), markup=False)
        return True

    @work(exclusive=True, group="asking")
    async def _ask_over(self) -> None:
        """Let the author decide between two versions that both matter."""
        rows = [
            Row(
                "leave", worded("leave the file as it is"), worded("copy what you need, or save again later")
            ),
            Row("over", worded("write mine over it"), worded("the other change is lost")),
        ]
        chosen = await self.app.push_screen_wait(
            ChoiceSheet(worded("The file was changed by someone else since it was read."), rows)
        )
        if chosen == "over":
            try:
                self.page = self.page.forced()
            except DiskError as fault:
                self.notify(
                    literal(worded("Not saved. {fault}", fault=fault)),
                    severity="error",
                    timeout=20,
                    markup=False,
                )
                return
            self.keep()


def _from(passage: Passage) -> str:
    return (
        f"  {worded('(from {base}: its form changes it for this ruleset)', base=passage.base)}"
        if passage.base
        else ""
    )
