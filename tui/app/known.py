"""What is known of one reed, entry by entry, for colouring a map in. Nothing is weighed here."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from engine.case import Case
from engine.findings import latest_told
from engine.step import Advice
from engine.wording import in_words, percent
from kb.model import Answer, Ruleset
from tui.app.trail import SIGN

LIKELY: Final = 0.5
POSSIBLE: Final = 0.1
NEXT: Final = "▶"
DONE: Final = "✓"


@dataclass(frozen=True, slots=True)
class Mark:
    """What is known of one entry: a sign, a word, and how strongly it is meant to stand out."""

    sign: str
    word: str
    loud: bool = False
    short: str = ""
    """The word where there is little room; empty: the word itself."""

    @property
    def brief(self) -> str:
        """Give the word for a narrow column."""
        return self.short or self.word


UNASKED: Final = Mark("◌", "not asked")
LEGEND: Final = "● yes ◐ slightly ○ no ◌ not asked ◆ likely ◈ possible ◇ unlikely ✓ done ▶ next"


@dataclass(frozen=True, slots=True)
class Known:
    """Everything that is known of one reed; nothing at all where a map is of no reed."""

    reed: str = ""
    marks: Mapping[str, Mark] = field(default_factory=lambda: MappingProxyType({}))
    """By the id of the entry."""

    def of(self, id_: str) -> Mark | None:
        """Give what is known of the entry, None when nothing is."""
        return self.marks.get(id_)


def known_of(reed: str, ruleset: Ruleset, case: Case, advice: Advice) -> Known:
    """Gather what was told, what was done, what belief says, and the next step."""
    marks: dict[str, Mark] = {}
    for finding in ruleset.findings:
        told = latest_told(ruleset, case, finding.id)
        if told is not None:
            marks[finding.id] = Mark(SIGN[told[1]], told[1].value, loud=told[1].is_present)
        elif case.present.answer(finding.id) is Answer.UNSURE:
            marks[finding.id] = Mark(SIGN[Answer.UNSURE], Answer.UNSURE.value)
        else:
            marks[finding.id] = UNASKED
    for cause, chance in advice.belief.causes:
        word = f"{in_words(chance)}, {percent(chance)}"
        marks[cause] = Mark(_shape(chance), word, loud=chance >= LIKELY, short=percent(chance))
    done = Counter(one.gap.operation for one in case.rounds if one.gap is not None)
    for operation, times in done.items():
        if operation is not None:
            marks[operation] = Mark(DONE, "done" if times == 1 else f"done {times} times")
    step = advice.step
    if step is not None and any(step.id == id_ for id_ in (*ruleset.operation, *ruleset.finding)):
        before = f", {marks[step.id].word} before" if step.id in done else ""
        marks[step.id] = Mark(NEXT, f"next{before}", loud=True)
    return Known(reed, MappingProxyType(marks))


def _shape(chance: float) -> str:
    return "◆" if chance >= LIKELY else "◈" if chance >= POSSIBLE else "◇"
