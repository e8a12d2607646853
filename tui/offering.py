"""What a screen shows and a file can hold: maps, handouts, trees, charts, the reed. Made when wanted.

    for offer in offers(subject): offer.title, offer.suffixes, offer.file
    keep(offer, path)                                   # by the suffix of `path`

Screens name what they show as a `Subject`; drawing and printing are those of the command line. Every
offer is one file, whatever its kind: a picture stands on one sheet, a PDF has pages.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from kb.disk import write_whole
from kb.graph import Graph, graph_of
from kb.log.entry import Entry
from kb.log.replay import ReedHistory
from kb.model import Chart, Ruleset
from kb.units import Length
from tui.draw.reed_svg import reed_of
from tui.language import worded

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from engine.case import Case  # the numbers are loaded when something is made
    from tui.draw.known import Known
    from tui.draw.steps import Drawing
    from tui.judged import Judged

Make = Callable[[], bytes]
LONGEST_STEM: Final = 60


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing that can be kept as a file."""

    title: str
    stem: str
    """Of the file's name, where the maker has no better one."""
    makes: Mapping[str, Make]
    """By suffix, the usual one first: what gives the file's content."""

    @property
    def suffixes(self) -> tuple[str, ...]:
        """Give the endings that a file of this may have, the usual one first."""
        return tuple(self.makes)

    @property
    def file(self) -> str:
        """Give the name of its file: plain letters, which every system takes."""
        kept = "".join(one if one.isalnum() and one.isascii() else "-" for one in self.stem.casefold())
        parts = [part for part in kept.split("-") if part]
        return f"{'-'.join(parts)[:LONGEST_STEM].strip('-') or 'canebrake'}{self.suffixes[0]}"


@dataclass(frozen=True, slots=True)
class Subject:
    """What a screen is about."""

    ruleset: Ruleset
    length: Length
    part: Graph | None = None
    """The part of the map that is shown; None: the whole."""
    at: str = ""
    """The entry that is marked on it."""
    reed: ReedHistory | None = None
    entries: tuple[Entry, ...] = ()
    """The reed's, taken-back ones included."""


def place_of(written: str) -> tuple[Path, bool]:
    """Give the file that a maker names, and whether something is there already."""
    path = Path(written).expanduser()
    return path, path.exists()


def keep(offer: Offer, path: Path) -> None:
    """Make it and write it. Raises DiskError, PrintingError, TooWideError."""
    write_whole(path, offer.makes[path.suffix.lower()]())


def offers(subject: Subject) -> Iterator[Offer]:
    """Give what can be kept of a subject, what is shown first."""
    ruleset, reed = subject.ruleset, subject.reed
    yield _map(subject)
    if reed is not None:
        yield Offer(
            worded("The handout of {reed}", reed=reed.name),
            f"{reed.name}-handout",
            _page(lambda: _reed_page(subject)),
        )
    entry = graph_of(ruleset).entry(subject.at)
    if entry is not None:
        about = _page(lambda: _rules_page(subject, entry.id))
        yield Offer(worded("A handout about: {title}", title=entry.title), f"{ruleset.id}-{entry.id}", about)
    yield Offer(
        worded("The handout of all rules"), f"{ruleset.id}-handout", _page(lambda: _rules_page(subject, ""))
    )
    of_reed = f"{ruleset.id}-{reed.name}" if reed is not None else f"{ruleset.id}"
    tree = (
        worded("The decision tree from where {reed} stands", reed=reed.name)
        if reed is not None
        else worded("The decision tree")
    )
    yield Offer(tree, f"{of_reed}-tree", _steps(lambda: _tree(subject)))
    for chart in ruleset.charts:
        yield _chart(subject, chart)
    if reed_of(ruleset.zones) is not None:
        yield Offer(
            worded("The reed with its zones"), f"{ruleset.id}-zones", _sheet(lambda: _zones(subject), "zones")
        )


def _chart(subject: Subject, chart: Chart) -> Offer:
    steps = _steps(lambda: _charted(subject, chart))
    return Offer(
        worded("The chart: {title}, priced", title=chart.title), f"{subject.ruleset.id}-{chart.id}", steps
    )


# -- forms: what each kind of thing can be written as ------------------------------------------------


def _page(make: Callable[[], str]) -> Mapping[str, Make]:
    from tui.draw.printing import pdf_of_html  # noqa: PLC0415 - a screen that keeps nothing needs none

    return MappingProxyType({".html": lambda: make().encode(), ".pdf": lambda: pdf_of_html(make())})


def _sheet(make: "Callable[[], Element]", title: str) -> dict[str, Make]:
    from tui.draw.printing import pdf_of_pages, png  # noqa: PLC0415 - as above
    from tui.draw.svg import written  # noqa: PLC0415 - as above

    return {
        ".svg": lambda: written(make()).encode(),
        ".png": lambda: png(make()),
        ".pdf": lambda: pdf_of_pages((make(),), title),
    }


def _steps(make: "Callable[[], Drawing]") -> Mapping[str, Make]:
    from tui.draw.printing import pdf_of_pages  # noqa: PLC0415 - as above

    def pages() -> bytes:
        from tui.draw.steps_svg import draw_step_pages  # noqa: PLC0415 - as above

        drawing = make()
        return pdf_of_pages(draw_step_pages(drawing), drawing.title)

    def sheet() -> "Element":
        from tui.draw.steps_svg import draw_step_sheet  # noqa: PLC0415 - as above

        return draw_step_sheet(make())

    def dot() -> bytes:
        from tui.draw.steps_dot import draw_steps_dot  # noqa: PLC0415 - as above

        return draw_steps_dot(make()).encode()

    return _sheet(sheet, "") | {".pdf": pages, ".dot": dot}


def _map(subject: Subject) -> Offer:
    from tui.draw.map_svg import draw_pages, draw_sheet  # noqa: PLC0415 - as above
    from tui.draw.printing import pdf_of_pages  # noqa: PLC0415 - as above

    ruleset, reed = subject.ruleset, subject.reed
    whole = graph_of(ruleset)
    graph = subject.part or whole
    centre = whole.entry(subject.at) if graph.entries != whole.entries else None
    part = worded("About: {title}", title=centre.title) if centre is not None else ""

    def sheet() -> "Element":
        return draw_sheet(graph, _known(subject), part)

    def pages() -> bytes:
        return pdf_of_pages(draw_pages(graph, ruleset, _known(subject), part), graph.title)

    def told() -> Graph:
        known = _known(subject)
        return graph if known is None else known.told_on(graph)

    def dot() -> bytes:
        from tui.draw.dot import draw_dot  # noqa: PLC0415 - as above

        return draw_dot(told()).encode()

    def outline() -> bytes:
        from tui.draw.outline import draw_outline  # noqa: PLC0415 - as above

        return ("\n".join(draw_outline(ruleset, told())) + "\n").encode("utf-8", "backslashreplace")

    what = (
        worded("The map round: {title}", title=centre.title)
        if centre is not None
        else worded("The whole map")
    )
    if reed is not None:
        what = worded("{map} with what is known of {reed}", map=what, reed=reed.name)
    stem = "-".join(filter(None, (ruleset.id, reed.name if reed else "", centre.id if centre else "", "map")))
    makes = _sheet(sheet, graph.title) | {".pdf": pages, ".dot": dot, ".txt": outline}
    return Offer(what, stem, makes)


# -- what is shown, as values to draw -----------------------------------------------------------------


def _judged(subject: Subject) -> "Judged | None":
    """Judge the reed by the rules; None where there is no reed."""
    if subject.reed is None:
        return None
    from tui.judged import judge  # noqa: PLC0415 - loads the numbers

    return judge(subject.reed, subject.entries, subject.ruleset)


def _known(subject: Subject) -> "Known | None":
    judged = _judged(subject)
    return None if judged is None else judged.known


def _rules_page(subject: Subject, about: str) -> str:
    from tui.handout.page import handout  # noqa: PLC0415 - as above
    from tui.handout.scope import about as about_entry  # noqa: PLC0415 - as above
    from tui.handout.scope import whole  # noqa: PLC0415 - as above

    part = about_entry(subject.ruleset, about) if about else None
    return handout(part if part is not None else whole(subject.ruleset), subject.length)


def _reed_page(subject: Subject) -> str:
    from tui.handout.history import ReedStory, likely  # noqa: PLC0415 - as above
    from tui.handout.page import reed_page  # noqa: PLC0415 - as above
    from tui.handout.scope import of_causes  # noqa: PLC0415 - as above

    judged = _judged(subject)
    assert judged is not None  # noqa: S101 - offered of a reed only
    story = ReedStory(judged.history, judged.entries, judged.belief)
    return reed_page(of_causes(subject.ruleset, likely(judged.belief)), story, judged.known, subject.length)


def _tree(subject: Subject) -> "Drawing":
    from engine.ahead import Ahead  # noqa: PLC0415 - loads the numbers
    from engine.tree import grow  # noqa: PLC0415 - the same
    from tui.draw.steps import tree_drawing  # noqa: PLC0415 - as above

    ruleset = subject.ruleset
    tree = grow(Ahead(ruleset), _start(subject))
    title = worded("{title}: the engine's tree", title=ruleset.title)
    reed = f", {subject.reed.name}" if subject.reed is not None else ""
    return tree_drawing(ruleset, tree, f"{title}{reed}", ())


def _charted(subject: Subject, chart: Chart) -> "Drawing":
    from engine.ahead import Ahead  # noqa: PLC0415 - loads the numbers
    from engine.chart import price  # noqa: PLC0415 - the same
    from tui.draw.steps import chart_drawing  # noqa: PLC0415 - as above

    ruleset = subject.ruleset
    priced = price(Ahead(ruleset), chart, _start(subject))
    return chart_drawing(ruleset, priced, f"{ruleset.title}: {chart.title}", ())


def _start(subject: Subject) -> "Case":
    from engine.case import Case  # noqa: PLC0415 - loads the numbers

    judged = _judged(subject)
    return Case() if judged is None else judged.case


def _zones(subject: Subject) -> "Element":
    from tui.draw.zones_svg import draw_zones  # noqa: PLC0415 - as above
    from tui.handout.reference import OPENING, tip_width  # noqa: PLC0415 - as above

    ruleset = subject.ruleset
    opening = next((one for one in ruleset.quantities if one.id == OPENING), None)
    drawn = draw_zones(ruleset, opening, tip_width(ruleset))
    assert drawn is not None  # noqa: S101 - offered only where a zone has a polygon
    return drawn
