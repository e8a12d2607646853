"""Colours: every text can be read on every ground that it stands on, in both themes."""

import pytest
from textual.color import Color
from textual.theme import Theme

from tui.app.look import THEMES

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
