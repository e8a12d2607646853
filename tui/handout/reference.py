"""The rest of a handout: cautions and tools, the map, zones and wires drawn, measures, words, sources."""

from collections.abc import Collection, Sequence
from typing import Final
from xml.etree.ElementTree import Element

from kb.graph import EntryKind
from kb.ids import ZoneId
from kb.model import Hazard, Ruleset, Source
from kb.units import Length, shown
from tui.draw.cells import fitted
from tui.draw.harms import worth_drawing
from tui.draw.known import Known
from tui.draw.map_pages import MapPage, share_out
from tui.draw.map_svg import draw_map_part
from tui.draw.opening_svg import draw_opening
from tui.draw.reed_svg import draw_quarters, draw_zone, reed_of
from tui.draw.svg import add
from tui.draw.svg import shown as shown_text
from tui.draw.thickness_svg import draw_thickness
from tui.draw.wires_svg import draw_roundness, draw_side
from tui.handout.scope import Scope
from tui.handout.sheet import Page, say

OPENING: Final = "tip-opening"
"""The quantity that is drawn as an opening, where a ruleset has it."""
TIP_WIDTH: Final = "tip-width"
"""The quantity whose target says how wide the tip is drawn."""
USUAL_WIDTH: Final = 14.0
"""Millimetres of tip where nothing says how wide it is (bassoon, common practice, no source)."""
LONGEST_NAME: Final = 400
"""Cells of the name of a part of the map."""
HAZARDS: Final = {
    Hazard.BLADE: "Cut away from the fingers and keep the blade sharp; put it away before you play.",
    Hazard.ABRASIVE: "Use it wet where you can: cane dust does not belong in the lungs.",
    Hazard.FILE: "Keep its dust away from eyes and lungs; push away from the fingers.",
    Hazard.REAMER: "Turn it by hand and keep fingers off its edge.",
    Hazard.MANDREL: "Hold the reed low on it; it is pointed, and a reed that slips splits.",
    Hazard.PLIERS: "Mind fingers and eyes: wire ends are sharp and spring away.",
    Hazard.SEALANT: "Let it cure fully before the reed comes near a mouth; air the room.",
}
"""What to mind with each kind of tool (common practice, no source)."""


def add_map(page: Page, scope: Scope, known: Known | None) -> None:
    """Add the map, in parts that can be read."""
    if not scope.graph.entries:
        return
    section = page.section("map", "The map")
    page.pen.ours(
        section,
        "p",
        "From left to right: what shows, why, and what helps. An arrow leads from what acts to what it "
        "acts on. A wide line is a strong link. A broken line with a blunt end may provoke, a slight chance "
        "of which is left out. The chances are the author's judgement.",
        class_="quiet",
    )
    page.pen.ours(section, "p", "On a small screen it can be pushed to the side.", class_="quiet onscreen")
    pages = share_out(
        worth_drawing(scope.graph), scope.ruleset, noted=known.possible if known else frozenset()
    )
    for number, one in enumerate(pages):
        name = _part_named(one)
        drawing = draw_map_part(one.graph, known)
        if len(pages) > 1:
            opened = {"open": "open"} if number == 0 else {}
            details = add(section, "details", **opened)
            page.pen.told(details, "summary", name)
            holder = add(details, "div", class_="inside")
        else:
            holder = section
        label = {"role": "region", "tabindex": "0", "aria_label": f"Map, to be scrolled: {name}"}
        add(add(holder, "figure"), "div", class_="wide", **label).append(drawing)


def _part_named(part: MapPage) -> str:
    """Name a part of the map by what shows in it, so that nobody has to open nine to find one."""
    if not part.part:
        return "The whole map"
    shows = [entry.title for entry in part.graph.of(EntryKind.SYMPTOM, EntryKind.SIGN)]
    return fitted(shown_text(f"{part.part}: {'; '.join(shows)}" if shows else part.part), LONGEST_NAME)


def add_places(page: Page, ruleset: Ruleset, wanted: Collection[ZoneId] | None) -> None:
    """Add the zones drawn, or those that are wanted, the quarters and the wires."""
    if reed_of(ruleset.zones) is None:
        return
    zones = [zone for zone in ruleset.zones if wanted is None or zone.id in wanted]
    if not zones:
        return
    section = page.section("places", "Where on the reed")
    page.pen.ours(section, "p", "As the maker sees it: the tip away, left on the left.", class_="quiet")
    listed = add(section, "ul", class_="zones")
    for zone in zones:
        drawing = draw_zone(ruleset.zones, zone.id, zone.title)
        if drawing is not None:
            item = add(listed, "li")
            item.append(drawing)
            page.pen.told(item, "span", zone.title)
    if ruleset.blades > 1:
        add_figure(
            page, section, (draw_quarters(ruleset.zones),), "The four quarters, named as the maker sees them."
        )
    if any(zone.wire is not None for zone in zones):
        add_figure(page, section, (draw_side(ruleset.zones),), "The wires from the side.")
        add_figure(page, section, (draw_roundness(),), "A wire seen from the end.")


def add_measures(page: Page, ruleset: Ruleset, length: Length) -> None:
    """Add what is measured, with targets, and the targets drawn."""
    if not ruleset.quantities and not ruleset.thickness:
        return
    section = page.section("measures", "What is measured")
    if ruleset.quantities:
        table = add(section, "table")
        head = add(add(table, "thead"), "tr")
        for words in ("Measure", "Target"):
            page.pen.ours(head, "th", words, scope="col")
        body = add(table, "tbody")
        for one in ruleset.quantities:
            row = add(body, "tr")
            page.pen.told(row, "th", one.title, scope="row")
            aim = (
                "none said"
                if one.target is None
                else " to ".join(shown(end, one.unit, length) for end in one.target)
            )
            add(row, "td", aim)
        opening = next((one for one in ruleset.quantities if one.id == OPENING), None)
        if opening is not None:
            drawing = draw_opening(opening, None, tip_width(ruleset), length)
            add_figure(page, section, (drawing,), "The tip from the front.")
    for profile in ruleset.thickness:
        add_figure(page, section, draw_thickness(profile, ruleset.zones, None, length), profile.title)


def tip_width(ruleset: Ruleset) -> float:
    """Give how wide the tip is drawn: as the ruleset's target says, else as wide as its blade, else usual."""
    width = next((one for one in ruleset.quantities if one.id == TIP_WIDTH), None)
    if width is not None and width.target is not None:
        return sum(width.target) / 2
    reed = reed_of(ruleset.zones)
    return USUAL_WIDTH if reed is None else max(x for x, _ in reed.blade) - min(x for x, _ in reed.blade)


def add_tools(page: Page, ruleset: Ruleset) -> None:
    """Add the tools with what to mind with each."""
    if not ruleset.tools:
        return
    section = page.section("tools", "Tools, and what to mind")
    listed = add(section, "ul")
    for tool in ruleset.tools:
        item = add(listed, "li")
        page.pen.told(item, "span", tool.title)
        if tool.hazard is not Hazard.NONE:
            say(item, " ")
            page.pen.ours(item, "span", f"⚠ {tool.hazard.value}", class_="hazard")
            say(item, " ")
            page.pen.ours(item, "span", HAZARDS[tool.hazard])


def add_glossary(page: Page, ruleset: Ruleset) -> None:
    """Add what the ruleset's words mean."""
    if ruleset.glossary:
        listed = add(page.section("words", "Words"), "dl")
        for word, meaning in ruleset.glossary:
            page.pen.told(listed, "dt", word)
            page.pen.told(listed, "dd", meaning)


def add_sources(page: Page, ruleset: Ruleset) -> None:
    """Add where the knowledge comes from. Addresses stand as text: a page asks for nothing by itself."""
    if ruleset.sources:
        listed = add(page.section("sources", "Sources"), "ul")
        for source in ruleset.sources:
            page.pen.told(listed, "li", _cited(source), id=f"source-{source.id}")


def _cited(source: Source) -> str:
    said = [source.author, source.title or source.id, source.place_in, source.year]
    after = [f"read: {source.read}" if source.read else "", source.kind, source.url]
    return f"{', '.join(filter(None, said))} ({'; '.join(filter(None, after))})".replace(" ()", "")


def add_figure(page: Page, parent: Element, drawings: Sequence[Element | None], caption: str) -> None:
    """Add drawings beside each other, as far as there are any, with what they show."""
    there = [drawing for drawing in drawings if drawing is not None]
    if there:
        figure = add(parent, "figure")
        add(figure, "div", class_="drawn").extend(there)
        page.pen.told(figure, "figcaption", caption)
