"""Colours of the full screen: two themes, by lamp and by day.

Hues come from the palette of Okabe & Ito (2008), which stays told apart by colour-blind eyes; the
greys around them are ours. A colour never speaks alone: a word, a sign or a shape goes with it.
`tests/tui/app/test_app_look.py` holds every pair of text and ground at a contrast of 4.5 or more.
"""

from typing import Final

from textual.theme import Theme

ORANGE: Final = "#E69F00"
SKY: Final = "#56B4E9"
GREEN: Final = "#009E73"
YELLOW: Final = "#F0E442"
BLUE: Final = "#0072B2"
VERMILION: Final = "#D55E00"
BLACK: Final = "#000000"

HIGH: Final = 34
USUAL: Final = 64
WIDTHS: Final = [(0, "-narrow"), (USUAL, "-usual"), (110, "-wide")]
"""From how many cells of width a screen is laid out how; names of style classes."""
HEIGHTS: Final = [(0, "-low"), (22, "-middling"), (HIGH, "-high")]
"""The same for lines."""


def rooms(width: int, height: int) -> tuple[str, str]:
    """Give the two style classes of a window of this size.

    >>> rooms(80, 24), rooms(40, 50)
    (('-usual', '-middling'), ('-narrow', '-high'))
    """
    return (
        next(name for least, name in reversed(WIDTHS) if width >= least),
        next(name for least, name in reversed(HEIGHTS) if height >= least),
    )


LAMP: Final = "lamp"
DAY: Final = "day"
CONTRAST: Final = "contrast"
FEW_COLOURS: Final = frozenset({None, "standard", "windows"})
"""Kinds of terminal, as the screen library names them, with sixteen colours or none."""

_LAMP_GROUND, _LAMP_TEXT = "#171411", "#EFE8DC"
_DAY_GROUND, _DAY_TEXT = "#FDFBF7", "#221D17"

THEMES: Final = (
    Theme(
        name=LAMP,
        dark=True,
        primary=SKY,
        secondary=SKY,
        accent=ORANGE,
        success=GREEN,
        warning=YELLOW,
        error=VERMILION,
        foreground=_LAMP_TEXT,
        background=_LAMP_GROUND,
        surface=_LAMP_GROUND,
        panel="#2B251E",
        variables={
            "quiet": "#AFA595",
            "hairline": "#4A4238",
            "card": "#211C17",
            "cap": "#3A3228",
            "bar": SKY,
            "bar-rest": "#3A3228",
            "cane": "#D2B27A",
            "cane-ground": "#33291A",
            "wire": "#C9C2B6",
            "lit": ORANGE,
            "now": SKY,
            "caution": "#000000",
            "caution-ground": ORANGE,
            "error-text": ORANGE,
            "warning-text": YELLOW,
            "input-cursor-background": _LAMP_TEXT,
            "input-cursor-foreground": _LAMP_GROUND,
            "scrollbar": "#4A4238",
            "scrollbar-background": _LAMP_GROUND,
        },
    ),
    Theme(
        name=DAY,
        dark=False,
        primary=BLUE,
        secondary=BLUE,
        accent=BLUE,
        success=GREEN,
        warning=ORANGE,
        error=VERMILION,
        foreground=_DAY_TEXT,
        background=_DAY_GROUND,
        surface=_DAY_GROUND,
        panel="#EAE3D6",
        variables={
            "quiet": "#645A4B",
            "hairline": "#C9BFAE",
            "card": "#F8F4EC",
            "cap": "#DED4C3",
            "bar": BLUE,
            "bar-rest": "#DED4C3",
            "cane": "#5E4A22",
            "cane-ground": "#F5E8C8",
            "wire": "#5A5247",
            "lit": VERMILION,
            "now": BLUE,
            "caution": "#000000",
            "caution-ground": ORANGE,
            # Vermilion and orange, darkened until they can be read.
            "error-text": "#A84300",
            "warning-text": "#7A5200",
            "input-cursor-background": _DAY_TEXT,
            "input-cursor-foreground": _DAY_GROUND,
            "scrollbar": "#C9BFAE",
            "scrollbar-background": _DAY_GROUND,
        },
    ),
    Theme(
        name=CONTRAST,
        dark=True,
        primary=YELLOW,
        secondary=YELLOW,
        accent=YELLOW,
        success=YELLOW,
        warning=YELLOW,
        error=ORANGE,
        foreground="#FFFFFF",
        background=BLACK,
        surface=BLACK,
        panel="#1A1A1A",
        variables={
            "quiet": "#E6E6E6",
            "hairline": "#FFFFFF",
            "card": BLACK,
            "cap": "#004B76",
            "bar": YELLOW,
            "bar-rest": "#333333",
            "cane": "#FFFFFF",
            "cane-ground": "#1A1A1A",
            "wire": "#FFFFFF",
            "lit": YELLOW,
            "now": YELLOW,
            "caution": BLACK,
            "caution-ground": YELLOW,
            "error-text": YELLOW,
            "warning-text": YELLOW,
            "input-cursor-background": "#FFFFFF",
            "input-cursor-foreground": BLACK,
            "scrollbar": "#FFFFFF",
            "scrollbar-background": BLACK,
        },
    ),
)
