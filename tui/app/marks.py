"""Marks on a map: what is known of one reed, a sign and a word beside each entry. Nothing is weighed here."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final

from engine.case import Case
from engine.interview import Interview
from engine.step import Step
from kb.model import Answer, Ruleset
from tui.app.trail import SIGN
from tui.draw.known import Known, chance_told, known_of
from tui.language import worded, worded_count, worded_later
from tui.words import per_cent

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


UNASKED: Final = Mark("◌", worded_later("not asked"))
LEGEND: Final = worded_later("● yes ◐ slightly ○ no ◌ not asked ◆ likely ◈ possible ◇ unlikely ✓ done ▶ next")


@dataclass(frozen=True, slots=True)
class Marks:
    """What a map of one reed's rules shows beside its entries; nothing at all where a map is of no reed."""

    reed: str = ""
    by_id: Mapping[str, Mark] = field(default_factory=lambda: MappingProxyType({}))

    def of(self, id_: str) -> Mark | None:
        """Give what is known of the entry, None when nothing is."""
        return self.by_id.get(id_)


def marks_of(known: Known, ruleset: Ruleset, case: Case, step: Step | None) -> Marks:
    """Mark what was told, what was done, what belief says, and the next step."""
    marks: dict[str, Mark] = {}
    for finding in ruleset.findings:
        told = known.answers.get(finding.id)
        if told is not None:
            marks[finding.id] = Mark(SIGN[told], worded(told.value), loud=told.is_present)
        elif case.present.answer(finding.id) is Answer.UNSURE:
            marks[finding.id] = Mark(SIGN[Answer.UNSURE], worded(Answer.UNSURE.value))
        else:
            marks[finding.id] = replace(UNASKED, word=worded(UNASKED.word))
    for cause, chance in known.chances.items():
        shown = Mark(_shape(chance), chance_told(chance), loud=chance >= LIKELY, short=per_cent(chance))
        marks[cause] = shown
    done = Counter(one.gap.operation for one in case.rounds if one.gap is not None)
    for operation, times in done.items():
        if operation is not None:
            marks[operation] = Mark(DONE, worded_count("done", "done {count} times", times))
    if step is not None and any(step.id == id_ for id_ in (*ruleset.operation, *ruleset.finding)):
        word = worded("next, {done} before", done=marks[step.id].word) if step.id in done else worded("next")
        marks[step.id] = Mark(NEXT, word, loud=True)
    return Marks(known.name, MappingProxyType(marks))


def marks_now(name: str, ruleset: Ruleset, interview: Interview) -> Marks:
    """Mark what is known of the reed called `name` as it stands. Weighs its case, which takes a while."""
    advice, case = interview.advice, interview.case
    return marks_of(known_of(name, ruleset, case, advice.belief), ruleset, case, advice.step)


def _shape(chance: float) -> str:
    return "◆" if chance >= LIKELY else "◈" if chance >= POSSIBLE else "◇"
