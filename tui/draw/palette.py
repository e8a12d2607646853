"""The colours of drawings and pages: the palette of Okabe & Ito (2008), and mixtures of it with paper.

Published as *Color Universal Design*: eight colours that people with any common kind of colour vision
tell apart. Colour is never the only sign: a shape or a word always says the same.
"""

from typing import Final

BLACK: Final = "#000000"
WHITE: Final = "#ffffff"
ORANGE: Final = "#e69f00"
SKY: Final = "#56b4e9"
GREEN: Final = "#009e73"
YELLOW: Final = "#f0e442"
BLUE: Final = "#0072b2"
VERMILION: Final = "#d55e00"
PURPLE: Final = "#cc79a7"

INK: Final = "#1a1a1a"
"""Text on light paper."""
GREY: Final = "#555555"
"""Text and lines of lesser weight on light paper."""
NIGHT: Final = "#16181b"
"""Paper in the dark."""


def mixed(colour: str, share: float, ground: str = WHITE) -> str:
    """Give `share` of `colour` on `ground`.

    >>> mixed(BLUE, 1.0), mixed(BLUE, 0.0)
    ('#0072b2', '#ffffff')
    """
    parts = zip(_parts(colour), _parts(ground), strict=True)
    return "#" + "".join(f"{round(one * share + other * (1 - share)):02x}" for one, other in parts)


def contrast(one: str, other: str) -> float:
    """Give the contrast of two colours as WCAG 2.2 defines it: from 1 to 21; text wants 4.5.

    >>> contrast(BLACK, WHITE)
    21.0
    """
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return round((light + 0.05) / (dark + 0.05), 2)


def _luminance(colour: str) -> float:
    red, green, blue = (
        part / 255 / 12.92 if part / 255 <= 0.04045 else ((part / 255 + 0.055) / 1.055) ** 2.4
        for part in _parts(colour)
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _parts(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
