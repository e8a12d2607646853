"""A small invented ruleset, desks in any state, and snapshots of a screen's cells."""

import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from engine.belief import Belief
from engine.case import Case, Round
from engine.explain import CauseReasons, Weight
from engine.interview import AskCard, Card
from engine.standing import Spent
from engine.step import Advice, Kind, Step, Weighed
from kb.ids import CauseId, FindingId, PriorityId, QuantityId, RemedyId, RulesetId, ToolId, ZoneId
from kb.log.entry import (
    Answered,
    Entry,
    EntryId,
    ReedId,
    ReedMade,
    RemedyDone,
    Rested,
    RulesetMark,
    SittingOpened,
    What,
)
from kb.model import (
    Answer,
    By,
    Cause,
    Edge,
    Effect,
    Finding,
    Hazard,
    Priority,
    Quantity,
    QuantityRead,
    Remedy,
    Ruleset,
    Show,
    SittingLimit,
    TestNote,
    Tool,
    Undo,
    Zone,
)
from tui.desk import Desk

SNAPSHOTS = Path(__file__).parent / "snapshots"
RECORD = "CANEBRAKE_RECORD"
"""Set to 1 to write the snapshots anew; look at the difference before you keep it."""


def _f(id_: str, title: str, ask: str, **rest: Any) -> Finding:
    return Finding(FindingId(id_), title, ask, **rest)


@pytest.fixture(scope="session")
def ruleset() -> Ruleset:
    """Build an invented ruleset with one of everything that a card can show."""
    response, stability, flexibility = (PriorityId(one) for one in ("response", "stability", "flexibility"))
    return Ruleset(
        RulesetId("invented"),
        "An invented ruleset",
        "1.0.0",
        priorities=(
            Priority(
                response, "Response", "Every note starts when asked", "Does every note start when asked?"
            ),
            Priority(stability, "Stability", "Notes stay where they are put"),
            Priority(flexibility, "Flexibility", "Loud and soft at will"),
        ),
        findings=(
            _f(
                "crow-muffled",
                "The crow is muffled",
                "Is the crow muffled or weak?",
                priority=response,
                by=By.CROW,
                help="Lips close to the first wire, blow freely.",
            ),
            _f("low-late", "Low notes start late", "Do low notes start late?", priority=response, by=By.PLAY),
            _f(
                "e-sags",
                "E sags when loud",
                "Does E sag when you play louder?",
                priority=stability,
                by=By.PLAY,
                tie=TestNote("E3", "mf"),
                counts_from_sitting=3,
            ),
            _f(
                "opening-wide",
                "The opening is too wide",
                "Is the tip opening wider than it should be?",
                is_sign=True,
                by=By.MEASURE,
                read=QuantityRead(QuantityId("opening"), Edge.ABOVE, 0.0, 1.5),
            ),
            _f(
                "spine-narrow",
                "The spine is narrow",
                "Does the spine stand up narrow and peaked?",
                is_sign=True,
                by=By.FEEL,
                zone=ZoneId("spine"),
            ),
        ),
        causes=(
            Cause(
                CauseId("throat-tight"),
                "There is too much pressure in the throat",
                0.2,
                (Show(FindingId("crow-muffled"), 0.8, "usually"), Show(FindingId("low-late"), 0.6, "often")),
            ),
            Cause(CauseId("back-thick"), "The back is too thick", 0.08, (Show(FindingId("low-late"), 0.8),)),
            Cause(
                CauseId("bocal-leaks"),
                "The bocal leaks",
                0.02,
                (Show(FindingId("e-sags"), 0.3),),
                elsewhere=True,
            ),
        ),
        operations=(
            Remedy(
                RemedyId("flatten-second"),
                "Flatten the second wire a little",
                "Squeeze it once from top and bottom, and crow again.",
                cures=(Effect(CauseId("throat-tight"), 0.6, "often"),),
                zone=ZoneId("wire-two"),
                tool=ToolId("pliers"),
                caution="Keep the twist away from lip and finger.",
                undo=Undo.FULLY,
                too_far="the lowest notes stop",
            ),
            Remedy(
                RemedyId("thin-back"),
                "Thin the back on both sides of the spine",
                "Five light strokes on each quarter.",
                cures=(Effect(CauseId("back-thick"), 0.6, "often"),),
                zone=ZoneId("back"),
                tool=ToolId("knife"),
                caution="Blade away from the fingers.",
                minutes=4,
                undo=Undo.NEVER,
            ),
            Remedy(
                RemedyId("overnight"),
                "Leave it overnight",
                "Let it dry in the open.",
                is_rest=True,
                hours=12,
                new_sitting=True,
            ),
        ),
        tools=(
            Tool(ToolId("pliers"), "Pliers", Hazard.PLIERS),
            Tool(ToolId("knife"), "Scraping knife", Hazard.BLADE),
        ),
        zones=_zones(),
        quantities=(Quantity(QuantityId("opening"), "Tip opening", "mm", (0.3, 3.0), (1.2, 1.5), 0.05),),
        sitting=SittingLimit(20, 4),
    )


def _zones() -> tuple[Zone, ...]:
    def zone(id_: str, title: str, *points: tuple[float, float]) -> Zone:
        return Zone(ZoneId(id_), title, points)

    return (
        zone("blade", "The whole blade", (-7.2, 0), (7.2, 0), (4.5, 28), (-4.5, 28)),
        zone("tip", "The tip", (-7.2, 0), (7.2, 0), (6.8, 4.5), (-6.8, 4.5)),
        zone("heart", "The heart", (-2.4, 8), (2.4, 8), (2.4, 18), (-2.4, 18)),
        zone("spine", "The spine", (-0.9, 5), (0.9, 5), (1.1, 28), (-1.1, 28)),
        zone("back", "The back", (-5.4, 18.7), (5.4, 18.7), (4.5, 28), (-4.5, 28)),
        Zone(ZoneId("wire-one"), "The first wire", wire=1),
        Zone(ZoneId("wire-two"), "The second wire", wire=2),
        Zone(ZoneId("wire-three"), "The third wire", wire=3),
    )


ADVICE = Advice(
    Belief(
        exact=True,
        evidence=0.1,
        log_evidence=-2.3,
        unlisted=0.04,
        causes=(
            (CauseId("throat-tight"), 0.71),
            (CauseId("back-thick"), 0.18),
            (CauseId("bocal-leaks"), 0.02),
        ),
    ),
    PriorityId("response"),
    Step(Kind.DO, "flatten-second"),
    (Weighed(Kind.DO, "flatten-second", 21.4), Weighed(Kind.ASK, "spine-narrow", 23.0)),
)


THIRD = Case((Round(sitting=3),))


@dataclass(frozen=True)
class Scripted:
    """An interview that deals the cards it was given, one for each thing said, and keeps what was said."""

    cards: tuple[Card, ...]
    advice: Advice = ADVICE
    said: tuple[What, ...] = ()
    picking: bool = True
    case: Case = THIRD

    @property
    def card(self) -> Card:
        return self.cards[0]

    @property
    def spent(self) -> Spent:
        return Spent(12.0, 1)

    def reasons(self) -> tuple[CauseReasons, ...]:
        weights = (
            Weight(1, FindingId("crow-muffled"), Answer.YES, 2.3),
            Weight(2, FindingId("low-late"), Answer.SLIGHTLY, -0.4),
        )
        return (CauseReasons(CauseId("throat-tight"), 0.71, weights),)

    @property
    def counts_later(self) -> tuple[Finding, ...]:
        return ()

    @property
    def is_in_opening(self) -> bool:
        return isinstance(self.card, AskCard) and self.card.opening

    def with_entry(self, entry: Entry) -> "Scripted":
        return replace(self, cards=self.cards[1:] or self.cards, said=(*self.said, entry.what))

    def without_picking(self) -> "Scripted":
        return replace(self, cards=self.cards[1:] or self.cards, picking=False)


MARK = RulesetMark(RulesetId("invented"), "1.0.0", "0" * 64)
MORNING = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)


@pytest.fixture
def stage(ruleset: Ruleset) -> Callable[..., Desk]:
    """Give desks at the third sitting of an invented reed, with these cards to come."""

    def staged(*cards: Card, advice: Advice = ADVICE, history: bool = True) -> Desk:
        numbers = count(1)
        clock = (MORNING + timedelta(minutes=2 * n) for n in count())
        ids = (f"{n:032x}" for n in count(1000))
        whats: tuple[What, ...] = (
            ReedMade("Willow 3", "notch"),
            SittingOpened(1),
            Answered(FindingId("crow-muffled"), Answer.YES),
            RemedyDone(RemedyId("flatten-second")),
            Answered(FindingId("crow-muffled"), Answer.NO),
            Rested(RemedyId("overnight"), new_sitting=True),
            SittingOpened(3),
            Answered(FindingId("low-late"), Answer.SLIGHTLY),
        )
        reed = ReedId("a" * 32)
        entries = tuple(
            Entry(EntryId(f"{next(numbers):032x}"), reed, next(clock).isoformat(), MARK, what)
            for what in (whats if history else whats[:2])
        )
        interview: Any = Scripted(cards, advice)
        return Desk(
            ruleset,
            MARK,
            interview,
            clock=lambda: next(clock),
            ids=lambda: next(ids),
            reed=reed,
            name="Willow 3",
            entries=entries,
        )

    return staged


def cells_of(app: Any) -> str:
    """Give the characters that the screen shows, line by line, blanks at the end left out."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)


@pytest.fixture
def snapshot() -> Callable[[Any, str], None]:
    """Compare the cells of a running application with a file; see RECORD."""

    def compare(app: Any, name: str) -> None:
        shown = cells_of(app) + "\n"
        path = SNAPSHOTS / f"{name}.txt"
        if os.environ.get(RECORD) == "1":
            path.write_text(shown, encoding="utf-8")
        assert path.exists(), f"no snapshot {name}: record it with {RECORD}=1"
        assert shown == path.read_text(encoding="utf-8")

    return compare
