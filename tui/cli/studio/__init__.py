"""`canebrake studio`: rulesets shared with others. What can be asked for, and who does it.

The actions live in modules of their own.
"""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from kb.bundle.contents import BundleError
from kb.disk import DiskError
from tui.cli.parser import Parser, PartParser, WrongUsage
from tui.cli.saying import complain
from tui.cli.studio import bundles, places, proposals, publish
from tui.exit_code import ExitCode
from tui.shelf import ShelfError
from tui.wiring import Surroundings

HELP: Final = "share rulesets: in one file from hand to hand, or by a place that many get them from"

Options = Callable[[argparse.ArgumentParser], None]


@dataclass(frozen=True, slots=True)
class _Action:
    """One thing that the command can do."""

    name: str
    help: str
    run: Callable[[argparse.Namespace, Surroundings], ExitCode]
    options: Options


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's arguments."""
    parts = parser.add_subparsers(dest="what", metavar="WHAT", parser_class=PartParser)
    around = parser.around if isinstance(parser, Parser) else None
    for action in _ACTIONS:
        part = parts.add_parser(action.name, help=action.help, description=action.help, around=around)
        action.options(part)


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Do what was asked."""
    action = next((one for one in _ACTIONS if one.name == arguments.what), None)
    if action is None:
        names = ", ".join(one.name for one in _ACTIONS)
        raise WrongUsage(f"say what to do: {names} (see canebrake studio --help)")
    try:
        return action.run(arguments, around)
    except (BundleError, DiskError, ShelfError) as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START


_ACTIONS: Final[tuple[_Action, ...]] = (
    _Action(
        "pack",
        "one file of rulesets and all that they extend, to hand on",
        bundles.pack,
        bundles.pack_options,
    ),
    _Action(
        "look",
        "what is in a packed file, and whether it is sound; nothing is written",
        bundles.look,
        bundles.look_options,
    ),
    _Action(
        "unpack",
        "write what is in a packed file into a new folder",
        bundles.unpack,
        bundles.unpack_options,
    ),
    _Action(
        "get",
        "take the rulesets of a folder, a packed file or a git repository",
        places.get,
        places.get_options,
    ),
    _Action(
        "list",
        "the studios that you get rulesets from, and how their rulesets are called",
        places.show,
        places.list_options,
    ),
    _Action(
        "update",
        "show what a place has that is new, and take it when you say yes",
        places.update,
        places.update_options,
    ),
    _Action("pin", "leave a studio as it is at every update", places.pin, places.name_options),
    _Action("unpin", "let a studio be updated again", places.unpin, places.name_options),
    _Action("back", "go back to the version before", places.back, places.name_options),
    _Action("forget", "no longer use a studio", places.forget, places.name_options),
    _Action(
        "copy",
        "copy a studio's ruleset to correct it",
        proposals.copy,
        proposals.copy_options,
    ),
    _Action(
        "propose",
        "one file of what you corrected, for whose ruleset it is",
        proposals.propose,
        proposals.propose_options,
    ),
    _Action(
        "merge",
        "take a proposal into your ruleset, by entry and by key",
        proposals.merge_proposal,
        proposals.merge_options,
    ),
    _Action(
        "publish",
        "put rulesets where others get them from",
        publish.publish_rulesets,
        publish.publish_options,
    ),
    _Action("sign", "sign a packed file with your SSH key", bundles.sign, bundles.sign_options),
)
