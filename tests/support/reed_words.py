"""The page of the trade's words, with every zone drawn, made from the bassoon ruleset.

`python -m tests.support.reed_words` writes it anew; tests/docs/test_reed_words.py holds it fresh.
"""

from pathlib import Path
from typing import Final

from kb.model import Ruleset
from tests.support.running import ROOT
from tui.draw.reed_svg import draw_quarters, draw_zone
from tui.draw.svg import written
from tui.draw.wires_svg import draw_roundness, draw_side
from tui.shelf import usable_ruleset

PAGE: Final = ROOT / "docs" / "guides" / "words-of-the-reed.md"
FOLDER: Final = ROOT / "docs" / "gallery" / "reed"
HEAD: Final = """# Words of the reed

Made from the bassoon ruleset by `python -m tests.support.reed_words`; change the words there. The places
are drawn as the maker sees the reed: the tip away, left on the left.

## Places

| | |
|---|---|
"""


def files() -> dict[Path, str]:
    """Give every file of the page with its text."""
    ruleset = usable_ruleset("bassoon")
    found: dict[Path, str] = {}
    rows = []
    for zone in ruleset.zones:
        drawing = draw_zone(ruleset.zones, zone.id, zone.title)
        if drawing is not None:
            path = FOLDER / f"{zone.id}.svg"
            found[path] = written(drawing)
            rows.append(f"| ![{zone.title}](../gallery/reed/{path.name}) | {zone.title} |\n")
    for name, drawing, words in (
        ("quarters", draw_quarters(ruleset.zones), "The four quarters of both blades"),
        ("side", draw_side(ruleset.zones), "The wires, from the side"),
        ("wires", draw_roundness(), "A wire seen from the end: round, flattened, squeezed"),
    ):
        if drawing is not None:
            path = FOLDER / f"{name}.svg"
            found[path] = written(drawing)
            rows.append(f"| ![{words}](../gallery/reed/{path.name}) | {words} |\n")
    found[PAGE] = HEAD + "".join(rows) + _words(ruleset)
    return found


def _words(ruleset: Ruleset) -> str:
    lines = [f"**{word}**: {' '.join(meaning.split())}\n" for word, meaning in ruleset.glossary]
    return "\n## Words\n\n" + "\n".join(lines)


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for place, text in files().items():
        place.write_text(text, encoding="utf-8", newline="\n")
