"""`canebrake new`: begins a ruleset by asking, or from another one; `--schema` is for editors.

Nothing is written before the end: whoever stops on the way leaves no file behind.
"""

import argparse
from pathlib import Path
from typing import Final

from kb.disk import DiskError, write_whole
from kb.edit.made import mapping
from kb.load import beside, load_bytes
from kb.model import Ruleset
from kb.problem import Problem
from kb.text import SourceText
from kb.value import Value
from tui.cli.outputs import allow
from tui.cli.parser import WrongUsage
from tui.cli.report import problem_lines, summing_line
from tui.cli.saying import complain, tell
from tui.draw.cells import hung
from tui.exit_code import ExitCode
from tui.plain.lines import InputEnded, Lines
from tui.shelf import Opened, ShelfError, open_ruleset
from tui.wiring import Surroundings

HELP: Final = "begin a ruleset by answering questions, or from another ruleset"
_SUFFIXES: Final = frozenset({".yaml", ".yml"})


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("file", nargs="?", metavar="FILE", help="the file to make, such as my-rules.yaml")
    parser.add_argument(
        "--from",
        dest="base",
        metavar="RULESET",
        help="a thin layer over this ruleset, which stays where it is: only what you change is written",
    )
    parser.add_argument("--flat", action="store_true", help="with --from: a whole copy, on its own feet")
    parser.add_argument("--force", action="store_true", help="write over FILE if it is there already")
    parser.add_argument(
        "--schema", action="store_true", help="print the JSON Schema from which editors complete"
    )
    parser.add_argument("-o", dest="output", metavar="FILE", help="with --schema: write it to FILE")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Begin a ruleset, or print the schema."""
    try:
        if arguments.schema:
            return _schema(arguments, around)
        path = _path(arguments)
        if arguments.base is None:
            return _asked(path, around)
        return _from(path, arguments, around)
    except (ShelfError, DiskError) as fault:
        complain(around, str(fault))
    except InputEnded:
        complain(around, "the answers ended before the questions did; nothing was written")
    return ExitCode.COULD_NOT_START


def _path(arguments: argparse.Namespace) -> Path:
    """Give the file to make. Raises `WrongUsage`."""
    if arguments.file is None:
        raise WrongUsage("name the file to make, such as: canebrake new my-rules.yaml")
    if arguments.output is not None:
        raise WrongUsage("-o goes with --schema; the file to make is named without it")
    if arguments.flat and arguments.base is None:
        raise WrongUsage("--flat copies another ruleset; say which with --from RULESET")
    path = Path(arguments.file)
    if path.suffix.lower() not in _SUFFIXES:
        raise WrongUsage(f"a ruleset's name ends in .yaml, such as {path.stem}.yaml")
    if path.is_dir():
        raise WrongUsage(f"{path} is a folder, not a file")
    if not path.parent.is_dir():
        raise WrongUsage(f"there is no folder {path.parent}")
    if path.exists() and not arguments.force:
        raise WrongUsage(f"{path} is there already; choose another name, or write over it with --force")
    return path


def _schema(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    from kb.schema.editors import for_editors  # noqa: PLC0415 - one of three ways

    if arguments.file is not None or arguments.base is not None or arguments.flat:
        raise WrongUsage("--schema begins no ruleset: name the file for it with -o FILE")
    if arguments.output is None:
        around.stdout.write(for_editors())
        return ExitCode.DONE
    allow(arguments.output, "json", [], force=arguments.force)
    write_whole(Path(arguments.output), for_editors().encode())
    return ExitCode.DONE


def _asked(path: Path, around: Surroundings) -> ExitCode:
    from kb.fresh import fresh_text  # noqa: PLC0415 - one of three ways
    from tui.plain.starting import ask_all  # noqa: PLC0415 - the same

    lines = Lines(around.stdin, around.stdout, around.width, echo=not around.is_terminal)
    said = ask_all(lines)
    return _keep(path, fresh_text(said, path.name), around, try_it=True)


def _from(path: Path, arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    from kb.fresh import id_of  # noqa: PLC0415 - one of three ways
    from kb.layer import Begun, flat, layer_text  # noqa: PLC0415 - the same

    opened = open_ruleset(arguments.base)
    if opened.ruleset is None:
        raise ShelfError(f"{opened.said} has errors; `canebrake check {opened.said}` shows them")
    base = opened.ruleset
    if opened.path is not None and path.exists() and path.samefile(opened.path):
        raise WrongUsage(f"{path} is what the new ruleset begins from; choose another name")
    begun = Begun(id_of(path.stem, [base.id], "my-rules"), f"{base.title}, my way", base)
    if not arguments.flat:
        return _keep(path, layer_text(begun, extends_value(path, opened), path.name), around)
    whole = flat(opened.texts[0], opened.base, begun)
    if isinstance(whole, Problem):
        raise ShelfError(f"{whole.span}: {whole.message}")
    return _keep(path, _begun_from(base, whole.newline) + whole.text, around)


def extends_value(path: Path, opened: Opened) -> Value:
    """Say where the base of a layer is found: by id when it is installed, else beside the layer."""
    if opened.path is None:
        ruleset = opened.loaded.ruleset
        return mapping([("id", ruleset.id), ("version", ruleset.version)] if ruleset else [])
    if opened.path.resolve().parent != path.resolve().parent:
        raise WrongUsage(
            f"a layer stands in the same folder as its base: make it in {opened.path.parent}, "
            "or copy the whole with --flat"
        )
    return mapping([("file", opened.path.name)])


def _begun_from(base: Ruleset, newline: str) -> str:
    licence = f", licence {base.licence}" if base.licence else ""
    title = " ".join(base.title.split())
    return f"# Begun as a copy of {base.id} {base.version} ({title}{licence}).{newline}#{newline}"


def _keep(path: Path, text: str, around: Surroundings, *, try_it: bool = False) -> ExitCode:
    """Check what was made, write it, and say how it stands; with errors nothing is written."""
    loaded = load_bytes(str(path), text.encode(), beside(path.parent))
    source = SourceText.of(str(path), text)
    for problem in loaded.problems:
        tell(around, problem_lines(problem, source.excerpt(problem.span), around.width, around.fold))
    if loaded.ruleset is None:
        complain(around, "what was said makes no sound ruleset, so nothing was written")
        return ExitCode.NO
    write_whole(path, text.encode())
    for line in (f"{path} is written.", summing_line([f"canebrake check {path}"], loaded.problems)):
        tell(around, hung(line, around.fold))
    if not try_it:
        return ExitCode.DONE
    from engine.trial import run_trial  # noqa: PLC0415 - loads the numbers

    passed = all(run_trial(loaded.ruleset, trial).passed for trial in loaded.ruleset.trials)
    tell(around, [f"canebrake trial {path}: {'its trial passes' if passed else 'its trial FAILED'}"])
    return ExitCode.DONE if passed else ExitCode.NO
