"""The questions that a new ruleset begins with, in order, each with a line that explains it.

Pure: a generator that is handed answers and asks on. Going back is playing all answers but the
last again, so no question needs to know what came before it.
"""

from collections.abc import Callable, Generator
from dataclasses import dataclass
from typing import Final

from kb.fresh import Beginnings, FirstCause, FirstRemedy, id_of
from kb.ids import RESERVED, is_well_formed
from kb.model import By, Hazard, Undo


def _anything(_text: str) -> str:
    return ""


@dataclass(frozen=True, slots=True)
class Question:
    """One question, with all that there is to say about it."""

    ask: str
    explain: str
    """One line, always shown."""
    default: str
    """What Enter stands for."""
    more: str
    """What `?` adds."""
    choices: tuple[str, ...] = ()
    """The words of which the answer is one; any text when there are none."""
    refuse: Callable[[str], str] = _anything
    """Say what is wrong with an answer, or nothing."""


Asking = Generator[Question, str, Beginnings]

NOTHING: Final = "none"
"""Typed where there is nothing to name."""
_MOST_CAUSES: Final = 12


def questions() -> Asking:
    """Ask for all that a first file holds."""
    title = yield Question(
        "What shall your rules be called?",
        "A title, as students will see it.",
        "My reed rules",
        "Any language. You can change it later; notes go by the id, which comes next.",
    )
    name = yield Question(
        "And their id?",
        "One short word for files, logs and commands.",
        id_of(title, (), "my-rules"),
        "Small letters, digits and hyphens. It stays the same for the life of the rules: what students "
        "noted about their reeds is kept under it.",
        refuse=_no_id,
    )
    instrument = yield Question(
        "For which instrument?",
        "Shown beside the title.",
        "bassoon",
        "Oboe, bassoon, shawm, bagpipe chanter: any word.",
    )
    language = yield Question(
        "In which language do you write?",
        "A short tag: en, de, fr, es, pt-BR, ja.",
        "en",
        "It tells screen readers and printed pages how to speak and break your words. The words of the "
        "format itself (symptoms, causes, usually) stay English.",
        refuse=_no_language,
    )
    source = yield Question(
        "Where do these rules come from?",
        "Your own source; books can be added later.",
        "What I do and teach",
        "Every entry names its source, so that a colleague can see what is common practice, what was "
        "published, and what is yours.",
    )
    ranks = yield Question(
        "In which order is trouble settled?",
        "Most urgent first, with commas between.",
        "Response, Stability, Flexibility",
        "Nothing is advised for the second before the first is clear: a reed that does not answer has no "
        "pitch to steady. One word is enough if you do not rank.",
        refuse=_no_list,
    )
    priorities = tuple(dict.fromkeys(one.strip() for one in ranks.split(",") if one.strip()))
    symptom = yield Question(
        "Ask for a first symptom, so that yes means trouble.",
        "How a reed misbehaves when it is crowed or played.",
        "Do low notes start late?",
        "One thing at a time, answerable with yes, slightly or no: not “Is it sharp or dull?”, and not "
        "“Is the response good?”, where yes would mean that all is well.",
    )
    priority = priorities[0]
    if len(priorities) > 1:
        priority = yield Question(
            "To which priority does it belong?",
            "What is clear before the next one is begun.",
            priority,
            "A symptom of the first priority is settled before anything else.",
            priorities,
        )
    by = yield Question(
        "How is it found out?",
        "Shown before the question.",
        By.PLAY.value,
        "look, feel, measure, crow or play.",
        tuple(By),
    )
    causes = yield from _causes()
    return Beginnings(title, name, instrument, language, source, priorities, symptom, by, priority, causes)


def _causes() -> Generator[Question, str, tuple[FirstCause, ...]]:
    found: list[FirstCause] = []
    hazards: dict[str, Hazard] = {}
    while len(found) < _MOST_CAUSES:
        title = yield (_FIRST_CAUSE if not found else _ANOTHER_CAUSE)
        if found and title == NOTHING:
            break
        how_common = yield Question(
            f"How common is that: “{title}”?",
            "Among all reeds on your desk, before anything is known.",
            "occasional",
            "common: one reed in five. occasional: one in twelve. rare: one in fifty.",
            ("common", "occasional", "rare"),
        )
        shows = yield Question(
            "If that is the cause, how often does the trouble show?",
            "A word of chance.",
            "usually",
            "always 97 %, usually 80 %, often 60 %, sometimes 30 %, rarely 10 % of such reeds.",
            ("always", "usually", "often", "sometimes", "rarely"),
        )
        remedy = yield from _remedy(title, hazards)
        found.append(FirstCause(title, how_common, shows, remedy))
    return tuple(found)


_FIRST_CAUSE: Final = Question(
    "What may cause it?", "A state of the reed, not an operation.", "The tip is too thick",
    "Say what is so, not what to do: “the tip is too thick”, and not “thin the tip”.",
)  # fmt: skip
_ANOTHER_CAUSE: Final = Question(
    "What else may cause it?", f"Another state of the reed; Enter or {NOTHING} when that is all.", NOTHING,
    "Two or three causes of the same symptom are where rules begin to earn their keep: then the engine "
    "asks for what tells them apart.",
)  # fmt: skip


def _remedy(cause: str, hazards: dict[str, Hazard]) -> Generator[Question, str, FirstRemedy | None]:
    """Ask for a remedy; `hazards` holds how the tools named so far can hurt, the last one last."""
    title = yield Question(
        f"What do you do about it: “{cause}”?",
        f"A short name for the operation; {NOTHING} if nothing helps.",
        f"Mend: {cause[:1].lower()}{cause[1:]}",
        "One small operation, such as “Thin the tip”. How it is done is asked next.",
    )
    if title == NOTHING:
        return None
    do = yield Question(
        "How is it done?",
        "One or two sentences to a student at the desk.",
        "A little at a time, and try again.",
        "The least that makes a difference: cane does not grow back.",
    )
    tool = yield from _tool(hazards)
    hazard, caution = hazards[tool], ""
    if hazard is not Hazard.NONE:
        caution = yield Question(
            "What must a student mind?",
            "The caution shown with every step that uses it.",
            _CAUTIONS[hazard],
            "It is shown before the step is done. The rules of your school or workshop come first.",
        )
    minutes = yield Question(
        "How many minutes does it take?",
        "With trying again afterwards.",
        "3",
        "Steps are weighed by what they cost: a quick look before a long operation.",
        refuse=_no_minutes,
    )
    undo = yield Question(
        "How far can it be undone?",
        "fully, partly or never.",
        Undo.NEVER.value if hazard in _CUTTING else Undo.FULLY.value,
        "What never can must earn more than its own minutes, and looser steps come first.",
        tuple(Undo),
    )
    works = yield Question(
        "How often does it help, done once?",
        "A word of chance.",
        "often",
        "always 97 %, usually 80 %, often 60 %, sometimes 30 %, rarely 10 % of the time.",
        ("always", "usually", "often", "sometimes", "rarely"),
    )
    return FirstRemedy(title, do, tool, hazard, caution, float(minutes.replace(",", ".")), Undo(undo), works)


def _tool(hazards: dict[str, Hazard]) -> Generator[Question, str, str]:
    tool = yield Question(
        "With which tool?",
        f"{NOTHING} for bare hands.",
        next(reversed(hazards), "Reed knife") or NOTHING,
        "As you call it. A tool that can hurt brings its caution to every remedy that uses it.",
    )
    if tool == NOTHING:
        tool, hazards[""] = "", Hazard.NONE
    elif tool not in hazards:
        hazards[tool] = Hazard((yield Question(
            f"How can it hurt: “{tool}”?", "blade, abrasive, file, reamer, mandrel, pliers, sealant or none.",
            _hazard_of(tool).value,
            "Blades cut; abrasives and files make dust; reamers and mandrels slip; pliers pinch; sealants "
            "stay near the mouth. Any other danger, such as heat: none here; say it in the remedy's caution.",
            tuple(Hazard),
        )))  # fmt: skip
    hazards[tool] = hazards.pop(tool)  # the one named last is offered next
    return tool


_CUTTING: Final = frozenset({Hazard.BLADE, Hazard.ABRASIVE, Hazard.FILE, Hazard.REAMER})

_CAUTIONS: Final = {
    Hazard.BLADE: "A sharp blade, on a plaque, cutting away from the fingers; nobody at your elbow.",
    Hazard.ABRASIVE: "Work wet, do not breathe the dust, and rinse the reed before it goes to the mouth.",
    Hazard.FILE: "The reed on a plaque, fingers behind the file; do not breathe the dust; rinse.",
    Hazard.REAMER: "Turn slowly and keep the palm out of line with the point; do not breathe the dust.",
    Hazard.MANDREL: "Keep the palm out of line with the point, and never force the reed on.",
    Hazard.PLIERS: "Close them slowly, fingers out of the jaws; wire ends down, eyes shielded.",
    Hazard.SEALANT: "Only what is safe near the mouth once cured; air the room and let it cure in full.",
}
"""The usual cautions (common practice, no source); an author says their own."""

_WORDS: Final = {
    "knife": Hazard.BLADE, "blade": Hazard.BLADE, "cutter": Hazard.BLADE, "scalpel": Hazard.BLADE,
    "paper": Hazard.ABRASIVE, "sand": Hazard.ABRASIVE, "rush": Hazard.ABRASIVE, "abrasive": Hazard.ABRASIVE,
    "file": Hazard.FILE, "ream": Hazard.REAMER, "mandrel": Hazard.MANDREL, "plier": Hazard.PLIERS,
    "wire": Hazard.PLIERS, "wax": Hazard.SEALANT, "varnish": Hazard.SEALANT, "sealant": Hazard.SEALANT,
}  # fmt: skip


def _hazard_of(tool: str) -> Hazard:
    """Guess how a tool can hurt from what it is called; a blade if nothing is known."""
    name = tool.lower()
    return next((hazard for word, hazard in _WORDS.items() if word in name), Hazard.BLADE)


def _no_id(text: str) -> str:
    if text in RESERVED:
        return f"{text} stands for a step of the advice; take another word"
    return (
        ""
        if is_well_formed(text)
        else f"small letters, digits and single hyphens only, such as {id_of(text)}"
    )


def _no_language(text: str) -> str:
    parts = text.split("-")
    fine = (
        parts[0].isalpha() and 2 <= len(parts[0]) <= 3 and text.isascii() and all(p.isalnum() for p in parts)
    )
    return "" if fine else "a tag such as en, de or pt-BR"


def _no_list(text: str) -> str:
    return "" if any(one.strip() for one in text.split(",")) else "name at least one"


def _no_minutes(text: str) -> str:
    try:
        minutes = float(text.replace(",", "."))
    except ValueError:
        return "a number, such as 3 or 0.5"
    return "" if 0 < minutes <= 600 else "more than none, and at most 600"
