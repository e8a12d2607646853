"""Holds the talk that begins a ruleset: asks, explains, goes back, and writes nothing itself."""

from dataclasses import replace

from kb.fresh import Beginnings
from tui.plain.beginning import Question, questions
from tui.plain.lines import Lines

_BACK = "back"
_MORE = "?"


def ask_all(lines: Lines) -> Beginnings:
    """Ask until all is said. Raises `InputEnded` when there is nothing more to read."""
    lines.say(
        "A few questions, and you have a ruleset that works. Enter takes what stands in brackets; ? explains "
        "more; back goes back a question. Nothing is written before the end.",
        "",
    )
    answers: list[str] = []
    before = ""
    while True:
        asked = _after(answers)
        if not isinstance(asked, Question):
            return asked
        answer = _one(lines, replace(asked, default=before) if before else asked)
        before = ""
        if answer is None and answers:
            before = answers.pop()  # what was said is offered again
        elif answer is not None:
            answers.append(answer)
        else:
            lines.say("This is the first question.")


def _after(answers: list[str]) -> Question | Beginnings:
    """Play the answers again, and give the next question or what all of them come to."""
    asking = questions()
    try:
        question = next(asking)
        for answer in answers:
            question = asking.send(answer)
    except StopIteration as done:
        said: Beginnings = done.value
        return said
    return question


def _one(lines: Lines, question: Question) -> str | None:
    """Ask until there is an answer; None is the wish to go back."""
    lines.say(question.ask)
    lines.say(question.explain, indent="  ")
    while True:
        typed = lines.ask(f"[{question.default}] ").strip()
        if typed == _BACK:
            return None
        if typed == _MORE:
            lines.say(question.more, indent="  ")
            continue
        answer = _chosen(typed or question.default, question.choices)
        wrong = _wrong(answer, question)
        if not wrong:
            lines.say("")
            return answer
        lines.say(f"{wrong[:1].upper()}{wrong[1:]}.", indent="  ")


def _chosen(typed: str, choices: tuple[str, ...]) -> str:
    """Give the choice that was typed, whole or by how it begins."""
    small = typed.casefold()
    exact = [choice for choice in choices if choice.casefold() == small]
    begun = [choice for choice in choices if choice.casefold().startswith(small)]
    return exact[0] if exact else begun[0] if len(begun) == 1 else typed


def _wrong(answer: str, question: Question) -> str:
    if question.choices and answer not in question.choices:
        return "one of " + ", ".join(question.choices)
    return question.refuse(answer)
