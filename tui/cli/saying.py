"""What commands write: answers on stdout, notes on stderr; harmless whatever they quote."""

from collections.abc import Iterable, Mapping, Sequence

from tui.draw.literal import literal
from tui.wiring import Surroundings

Json = str | float | int | bool | None | Mapping[str, "Json"] | Sequence["Json"]


def complain(around: Surroundings, sentence: str) -> None:
    """Say on stderr what went wrong, or what the user should know beside the answer."""
    ended = sentence if sentence.endswith((".", "?", "!")) else sentence + "."
    around.stderr.write(f"canebrake: {literal(ended)}\n")
    around.stderr.flush()


def tell(around: Surroundings, lines: Iterable[str]) -> None:
    """Write the answer, line by line."""
    around.stdout.writelines(f"{literal(line).rstrip()}\n" for line in lines)


def tell_json(around: Surroundings, answer: Json) -> None:
    """Write the answer for a program."""
    around.stdout.write(as_json(answer))


def as_json(answer: Json) -> str:
    """Give an answer for a program. ASCII only, so that no code page and no terminal can spoil it."""
    import json  # noqa: PLC0415 - 5 ms that answers in words do not pay

    return json.dumps(answer, indent=2, allow_nan=False) + "\n"
