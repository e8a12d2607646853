"""Thicknesses of a blade, typed place by place: the profile's own points, and any other place.

One sheet is one blade and one side of it. All that stands in it goes into the log as one entry, or, while
a line cannot be read, nothing.
"""

from typing import ClassVar, Final

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from kb.log.entry import Spot, ThicknessMeasured
from kb.log.sheet import BLADES, SIDES, distance, thickness
from kb.model import Profile, ThicknessPoint
from kb.units import Length, number_shown, shown, unit_shown
from tui.app import keys
from tui.app.look import WIDTHS
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.stillinput import StillInput
from tui.draw.literal import literal
from tui.language import worded, worded_later

NOT_SAID: Final = worded_later("not said")
BLADE_WORDS: Final = {"upper": worded_later("upper"), "lower": worded_later("lower"), "": NOT_SAID}
SIDE_WORDS: Final = {"left": worded_later("left"), "right": worded_later("right"), "": NOT_SAID}
ELSEWHERE: Final = "elsewhere"
DATUM: Final = "datum"
SEVERAL: Final = worded_later(
    "Measured again: several numbers with blanks between. An empty line was not measured."
)
LEFT: Final = worded_later(
    "Left as the upper blade lies before you, tip away; the lower blade's left is under it."
)


class ThicknessSheet(ModalScreen[ThicknessMeasured | None]):
    """Lines to fill in, one for each point that the profile names."""

    CSS_PATH = "sheet.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*keys.THICKNESS]
    HORIZONTAL_BREAKPOINTS = WIDTHS

    def __init__(self, profile: Profile, blades: int, length: Length) -> None:
        """Ask for the thickness of a blade at the points of `profile`."""
        super().__init__()
        self._profile, self._length = profile, length
        self._blades = ("", *BLADES) if blades > 1 else ("",)
        self.blade, self.side = "", ""

    def compose(self) -> ComposeResult:
        """Put a line for each point, one for another place, and one for where distances begin."""
        profile, unit = self._profile, unit_shown("mm", self._length)
        with Vertical(classes="sheet -form"):
            yield Static(Content(literal(profile.title)), classes="heading", markup=False)
            yield Static(id="which", markup=False)
            with VerticalScroll(can_focus=False):
                for number, point in enumerate(profile.points):
                    yield from self._line(f"at-{number}", self._label(point))
                yield from self._line(ELSEWHERE, worded("another place"))
                if profile.datum != "tip":
                    yield from self._line(
                        DATUM, worded("tip to {datum}, {unit}", datum=literal(profile.datum), unit=unit)
                    )
            yield Static(Content(worded(SEVERAL)), classes="hint", markup=False)
            yield KeyLine()

    def _line(self, id_: str, label: str) -> ComposeResult:
        with Horizontal(classes="asked"):
            yield Static(Content(label), classes="label -wide", markup=False)
            yield StillInput("", compact=True, id=f"key-{id_}")

    def _label(self, point: ThicknessPoint) -> str:
        # The unit stands above, once.
        at, unit = number_shown(point.at, "mm", self._length), self._profile.unit
        target = number_shown(point.target, unit, self._length)
        more = (
            f" ± {number_shown(point.tolerance, unit, self._length)}" if point.tolerance is not None else ""
        )
        return literal(
            worded("{lane} at {at} ({target}{more})", lane=point.lane, at=at, target=target, more=more)
        )

    def on_mount(self) -> None:
        """Put the cursor into the first line."""
        self.query_one(KeyLine).name_keys([one for one in keys.THICKNESS if self._means(one.id or "")])
        self._say()
        self.query(Input).first().focus()

    def _means(self, id_: str) -> bool:
        return id_ != "blade-of" or len(self._blades) > 1

    def _say(self) -> None:
        unit, datum = unit_shown("mm", self._length), literal(self._profile.datum)
        blade, side = worded(BLADE_WORDS[self.blade]), worded(SIDE_WORDS[self.side])
        which = worded(
            "blade {blade}, side {side}" if len(self._blades) > 1 else "side {side}", blade=blade, side=side
        )
        how = worded("in {unit} from the {datum}, targets in brackets", unit=unit, datum=datum)
        said = f"{which}; {how}"
        self.query_one("#which", Static).update(Content.styled(said, "bold $now"))

    def action_next_blade(self) -> None:
        """Say which blade: upper, lower, or leave it open."""
        at = self._blades.index(self.blade)
        self.blade = self._blades[(at + 1) % len(self._blades)]
        self._say()

    def action_next_side(self) -> None:
        """Say which side: left, right, or leave it open."""
        sides = ("", *SIDES)
        self.side = sides[(sides.index(self.side) + 1) % len(sides)]
        self._say()
        self._hint(worded(LEFT))

    def action_next_line(self, by: int) -> None:
        """Go up or down."""
        (self.focus_next if by > 0 else self.focus_previous)(Input)

    @on(Input.Submitted)
    def go_on(self, message: Input.Submitted) -> None:
        """Go to the next line."""
        message.stop()
        self.focus_next(Input)

    def action_keep_form(self) -> None:
        """Give back what was measured; what cannot be read is said, and the sheet stays."""
        spots: list[Spot] = []
        for number, point in enumerate(self._profile.points):
            typed = self._typed(f"at-{number}")
            values = self._values(typed)
            if values is None:
                self._refuse(
                    f"at-{number}",
                    worded(
                        "“{typed}” is no thickness, such as {example}.", typed=typed, example=self._example()
                    ),
                )
                return
            if values:
                spots.append(self._spot(point.lane, point.at, values))
        other = self._elsewhere()
        if isinstance(other, str):
            self._refuse(ELSEWHERE, other)
            return
        from_tip = distance(self._typed(DATUM), self._usual) if self._typed(DATUM) else None
        if self._typed(DATUM) and from_tip is None:
            self._refuse(DATUM, worded("That is no distance along a reed."))
            return
        spots += [other] if other is not None else []
        if not spots:
            self._hint(worded("▲ Nothing is typed yet."))
            return
        self.dismiss(ThicknessMeasured(self._profile.datum, tuple(spots), from_tip=from_tip))

    def action_close(self) -> None:
        """Give back nothing."""
        self.dismiss(None)

    @property
    def _usual(self) -> str:
        return "in" if self._length is Length.INCH else "mm"

    def _typed(self, id_: str) -> str:
        found = self.query(f"#key-{id_}").results(Input)
        return next((one.value.strip() for one in found), "")

    def _values(self, typed: str) -> tuple[float, ...] | None:
        """Give the thicknesses of a line, None when one of them is none."""
        found = [thickness(one, self._usual) for one in typed.split()]
        return None if None in found else tuple(one for one in found if one is not None)

    def _elsewhere(self) -> Spot | str | None:
        """Give the other place, or what is wrong with it."""
        typed = self._typed(ELSEWHERE)
        if not typed:
            return None
        at_text, _, rest = typed.partition(" ")
        lane, _, values_text = rest.strip().partition(" ")
        at, values = distance(at_text, self._usual), self._values(values_text)
        if at is None or not values or lane not in self._profile.lanes:
            return worded(
                "Another place: distance, lane and thickness, such as 10 {lane} 0.5; the lanes are {lanes}.",
                lane=next(iter(self._profile.lanes), worded("lane")),
                lanes=", ".join(self._profile.lanes),
            )
        return self._spot(lane, at, values)

    def _spot(self, lane: str, at: float, values: tuple[float, ...]) -> Spot:
        # The first lane is the middle of a blade, and belongs to neither side.
        side = "" if lane == next(iter(self._profile.lanes), "") else self.side
        return Spot(lane, at, values, self.blade, side)

    def _example(self) -> str:
        return shown(0.5, "mm", self._length)

    def _refuse(self, id_: str, said: str) -> None:
        self.query_one(f"#key-{id_}", Input).focus()
        self._hint(f"▲ {said}")

    def _hint(self, text: str) -> None:
        self.query_one(".hint", Static).update(Content(literal(text)))
