"""One entry of a ruleset in full, as its author wrote it: for the pane beside the map."""

from collections.abc import Iterable, Iterator
from typing import assert_never

from textual.content import Content

from kb.ids import SourceId
from kb.model import Cause, Dissent, Effect, Finding, QuantityRead, Remedy, Ruleset, ThicknessRead
from kb.notes import NoteNames
from kb.units import Length
from tui.app.face import lead_of
from tui.app.marks import Mark
from tui.app.reading import show_target
from tui.draw.literal import literal
from tui.draw.outline import chance_in_words
from tui.language import worded
from tui.words import UNDO, minutes, per_cent


def entry_page(
    ruleset: Ruleset, id_: str, mark: Mark | None, length: Length, names: NoteNames = NoteNames.ENGLISH
) -> Content:
    """Give everything that the ruleset says about `id_`, what is known of this reed first."""
    every: tuple[Finding | Cause | Remedy, ...] = (*ruleset.findings, *ruleset.causes, *ruleset.operations)
    entry = next((one for one in every if one.id == id_), None)
    match entry:
        case None:
            return Content("")
        case Finding():
            kind, lines = (
                worded("sign" if entry.is_sign else "symptom"),
                _finding(entry, ruleset, length, names),
            )
        case Cause():
            kind, lines = worded("cause"), _cause(entry, ruleset)
        case Remedy():
            kind, lines = worded("rest" if entry.is_rest else "remedy"), _operation(entry, ruleset)
        case _:
            assert_never(entry)
    head = Content.assemble((literal(entry.title), "bold"), (f"  {kind} {entry.id}", "$quiet"))
    known = [] if mark is None else [_fact(worded("This reed"), f"{mark.sign} {mark.word}")]
    tail = [_fact(worded("Else"), one) for one in _differs(entry.differs, ruleset)]
    tail += [_fact(worded("Source"), _source(one, ruleset)) for one in entry.sources]
    return Content("\n").join([head, *known, *lines, *tail])


def _finding(finding: Finding, ruleset: Ruleset, length: Length, names: NoteNames) -> Iterator[Content]:
    if finding.ask != finding.title:
        yield Content(literal(finding.ask))
    if finding.help:
        yield Content.styled(literal(finding.help), "$quiet")
    if finding.by is not None:
        yield _fact(worded("How"), f"{lead_of(finding, names)}, {minutes(finding.minutes)}")
    if finding.priority is not None:
        yield _fact(worded("Priority"), ruleset.priority[finding.priority].title)
    if finding.zone is not None:
        yield _fact(worded("Where"), ruleset.zone[finding.zone].title)
    yield from _read(finding, ruleset, length)
    if finding.counts_from_sitting > 1:
        yield _fact(
            worded("Counts"),
            worded("from sitting {number}", number=finding.counts_from_sitting),
        )
    for cause in ruleset.causes:
        for show in cause.shows:
            if show.finding == finding.id:
                yield _fact(worded("From"), f"{cause.title}  {chance_in_words(show.strength, show.word)}")


def _read(finding: Finding, ruleset: Ruleset, length: Length) -> Iterator[Content]:
    if isinstance(finding.read, QuantityRead):
        quantity = ruleset.quantity[finding.read.quantity]
        target = show_target(quantity, length)
        yield _fact(
            worded("Read from"),
            worded("{title}, target {target}", title=quantity.title, target=target)
            if target
            else quantity.title,
        )
    if isinstance(finding.read, ThicknessRead):
        yield _fact(worded("Read from"), worded("the thickness of the blade, {lane}", lane=finding.read.lane))


def _cause(cause: Cause, ruleset: Ruleset) -> Iterator[Content]:
    if cause.elsewhere:
        yield Content.styled(worded("Lies in the player or the instrument, not in the reed."), "$quiet")
    if cause.why:
        yield Content(literal(cause.why))
    yield _fact(worded("How common"), literal(cause.word) or per_cent(cause.how_common))
    if cause.zone is not None:
        yield _fact(worded("Where"), ruleset.zone[cause.zone].title)
    for show in cause.shows:
        yield _fact(
            worded("Shows"),
            f"{ruleset.finding[show.finding].title}  {chance_in_words(show.strength, show.word)}",
        )
    for operation in ruleset.operations:
        for effect in operation.cures:
            if effect.cause == cause.id:
                yield _fact(
                    worded("Mended by"), f"{operation.title}  {chance_in_words(effect.chance, effect.word)}"
                )


def _operation(operation: Remedy, ruleset: Ruleset) -> Iterator[Content]:
    yield Content(literal(operation.do))
    if operation.caution:
        yield Content.assemble(
            (f" ▲ {worded('Caution')} ", "bold $caution on $caution-ground"), " ", literal(operation.caution)
        )
    yield from _by_hand(operation, ruleset)
    if operation.why:
        yield Content.styled(literal(operation.why), "$quiet")
    yield from _effects(worded("Mends"), operation.cures, ruleset)
    yield from _effects(worded("May bring"), operation.provokes, ruleset)
    for label, findings in ((worded("Not while"), operation.unless), (worded("Then ask"), operation.recheck)):
        for finding in findings:
            yield _fact(label, ruleset.finding[finding].title)
    for earlier in operation.after:
        yield _fact(worded("After"), ruleset.operation[earlier].title)


def _by_hand(operation: Remedy, ruleset: Ruleset) -> Iterator[Content]:
    if operation.zone is not None:
        yield _fact(worded("Where"), ruleset.zone[operation.zone].title)
    if operation.tool is not None:
        yield _fact(worded("Tool"), ruleset.tool[operation.tool].title)
    if operation.is_rest:
        if operation.hours:
            yield _fact(worded("Hours"), f"{operation.hours:g}")
    else:
        yield _fact(worded("Takes"), f"{minutes(operation.minutes)}; {worded(UNDO[operation.undo])}")
    if operation.too_far:
        yield _fact(worded("Too far when"), operation.too_far)


def _effects(label: str, effects: Iterable[Effect], ruleset: Ruleset) -> Iterator[Content]:
    for effect in effects:
        yield _fact(
            label, f"{ruleset.cause[effect.cause].title}  {chance_in_words(effect.chance, effect.word)}"
        )


def _differs(differs: Iterable[Dissent], ruleset: Ruleset) -> Iterator[str]:
    for one in differs:
        yield f"{one.says} ({_source(one.source, ruleset)})"


def _source(id_: SourceId, ruleset: Ruleset) -> str:
    source = ruleset.source.get(id_)
    if source is None:
        return id_
    return (
        ", ".join(part for part in (source.author, source.title, source.year, source.place_in) if part) or id_
    )


def _fact(label: str, value: str) -> Content:
    return Content.assemble((f"{label}  ", "$quiet"), literal(value))
