"""Colours: every text can be read on every ground that it stands on, in both themes."""

import asyncio
from dataclasses import replace

import pytest
from rich.color import Color as RichColor
from rich.color import ColorSystem
from rich.style import Style
from textual.color import Color
from textual.screen import Screen
from textual.theme import Theme

from kb.settings import Settings
from tui.app.look import CONTRAST, DAY, LAMP, THEMES
from tui.app.main import Workbench
from tui.app.screens.sheet import ChoiceSheet, Row

READABLE = 4.5
"""Contrast of text with its ground: Web Content Accessibility Guidelines 2.2, success criterion 1.4.3."""
SEEN = 3.0
"""Contrast of a shape that carries meaning: the same, 1.4.11."""
OKABE_ITO = {"#000000", "#E69F00", "#56B4E9", "#009E73", "#F0E442", "#0072B2", "#D55E00", "#CC79A7"}
"""M. Okabe and K. Ito, Color Universal Design, 2008: the eight colours of their palette."""


def colour(theme: Theme, name: str) -> Color:
    return Color.parse(theme.variables.get(name) or getattr(theme, name))


def contrast(one: Color, other: Color) -> float:
    """Give the contrast ratio as WCAG 2.2 defines it (relative luminance of sRGB)."""

    def light(colour: Color) -> float:
        parts = [part / 255 for part in colour.rgb]
        red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    bright, dark = sorted((light(one), light(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def test_the_measure_of_contrast_agrees_with_its_definition() -> None:
    assert contrast(Color.parse("#000000"), Color.parse("#ffffff")) == pytest.approx(21.0)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize(
    "text,ground",
    [
        *((text, ground) for text in ("foreground", "quiet") for ground in ("background", "card", "panel")),
        ("foreground", "cap"),
        ("now", "card"),
        ("now", "background"),
        ("caution", "caution-ground"),
        ("cane", "cane-ground"),
        ("cane", "background"),
        *((text, ground) for text in ("error-text", "warning-text") for ground in ("background", "panel")),
    ],
)
def test_text_can_be_read(theme: Theme, text: str, ground: str) -> None:
    assert contrast(colour(theme, text), colour(theme, ground)) >= READABLE


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize(
    "shape,ground",
    [
        ("lit", "background"),
        ("lit", "cane-ground"),
        ("wire", "background"),
        ("bar", "background"),
        ("bar", "bar-rest"),
    ],
)
def test_shapes_stand_out(theme: Theme, shape: str, ground: str) -> None:
    assert contrast(colour(theme, shape), colour(theme, ground)) >= SEEN


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_hues_come_from_the_published_palette(theme: Theme) -> None:
    hues = {name: colour(theme, name).hex for name in ("now", "bar", "lit", "caution", "caution-ground")}
    assert {name for name, hue in hues.items() if hue not in OKABE_ITO} == set()


PAIRS = (
    ("foreground", "background"),
    ("foreground", "panel"),
    ("foreground", "cap"),
    ("quiet", "background"),
    ("now", "background"),
    ("caution", "caution-ground"),
    ("cane", "cane-ground"),
    ("lit", "background"),
    ("bar", "bar-rest"),
    ("cap", "background"),
    ("error-text", "background"),
)
"""What must be told apart: text and its ground, shapes, and the marked line from the others."""


@pytest.mark.parametrize("pair", PAIRS, ids="-on-".join)
def test_in_sixteen_colours_nothing_runs_together(pair: tuple[str, str]) -> None:
    # What a terminal of sixteen colours makes of a colour: the nearest of them (rich's own tables).
    theme = next(one for one in THEMES if one.name == CONTRAST)
    shown = [
        RichColor.from_rgb(*colour(theme, name).rgb).downgrade(ColorSystem.STANDARD).number for name in pair
    ]
    assert shown[0] != shown[1]


@pytest.mark.parametrize(
    "term, liked, theme",
    [
        ("xterm", LAMP, CONTRAST),
        ("linux", LAMP, CONTRAST),
        ("xterm-256color", LAMP, LAMP),
        ("xterm", DAY, DAY),
    ],
)
def test_a_terminal_of_few_colours_gets_the_theme_that_it_can_show_unless_another_was_chosen(
    term: str, liked: str, theme: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", term)
    monkeypatch.delenv("COLORTERM", raising=False)
    assert Workbench(Screen, settings=replace(Settings(), colours=liked)).theme == theme


def test_without_colour_the_theme_is_the_one_of_high_contrast(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("NO_COLOR", "1")
    assert Workbench(Screen).theme == CONTRAST
    assert contrast(Color.parse("#5A5A5A"), colour(THEMES[-1], "quiet")) >= READABLE


@pytest.mark.parametrize("without", [True, False], ids=["no colour", "colour"])
def test_without_colour_the_marked_line_stands_on_a_bright_ground(
    without: bool,  # noqa: FBT001 - a parameter of the test
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("NO_COLOR", "1") if without else monkeypatch.delenv("NO_COLOR", raising=False)

    def is_bright(style: Style | None) -> bool:
        ground = None if style is None or style.bgcolor is None else style.bgcolor.triplet
        # The ground of everything else is black: 3 to 1 is what a shape needs (WCAG 2.2, 1.4.11).
        return ground is not None and contrast(Color(*ground), Color(0, 0, 0)) >= SEEN

    async def bright_lines() -> list[str]:
        app = Workbench(Screen)
        async with app.run_test(size=(60, 20)) as pilot:
            app.push_screen(ChoiceSheet("Which?", [Row(1, "the first"), Row(2, "the second")]))
            await pilot.pause()
            await pilot.press("down")
            await pilot.pause()
            strips = app.screen._compositor.render_strips()
            return ["".join(one.text for one in strip if is_bright(one.style)) for strip in strips]

    shown = " ".join(asyncio.run(bright_lines()))
    assert ("the second" in shown) is without
    assert "the first" not in shown
