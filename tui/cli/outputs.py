"""Where an answer may be written: never over what it was made from, nor unasked over something else.

One place for every `-o`, so that all refuse alike and before the work is done.
"""

import argparse
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Final

from tui.cli.parser import WrongUsage

_OWN: Final[Mapping[str, frozenset[str]]] = {
    "text": frozenset({"", ".txt", ".text"}),
    "outline": frozenset({"", ".txt", ".text", ".md"}),
    "dot": frozenset({".dot", ".gv"}),
    "svg": frozenset({".svg"}),
    "png": frozenset({".png"}),
    "pdf": frozenset({".pdf"}),
    "json": frozenset({".json", ".jsonl"}),
}
"""Suffixes of files that may well be an older answer of the same kind, and are replaced unasked."""


def add_output(parser: argparse.ArgumentParser) -> None:
    """Declare -o, and --force to write over what is there."""
    parser.add_argument("-o", dest="output", metavar="FILE", help="write to FILE instead of the terminal")
    parser.add_argument("--force", action="store_true", help="write over FILE whatever it holds")


def allow(output: str | None, form: str, made_from: Iterable[str | None], *, force: bool = False) -> None:
    """Raise `WrongUsage` when writing `output` would destroy what was not meant.

    `made_from` are the files (or ids) that the answer is made from; they are safe even from --force.
    """
    if output is None:
        return
    path = Path(output)
    if not path.is_file():
        return
    for said in made_from:
        if said is not None and Path(said).is_file() and path.samefile(said):
            raise WrongUsage(f"{output} is what this is made from; choose another name for the answer")
    if path.suffix.lower() not in _OWN.get(form, frozenset()) and not force:
        raise WrongUsage(
            f"{output} is there already and is no file of this kind ({form}); choose another name, "
            "or write over it with --force"
        )
