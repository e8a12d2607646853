"""`canebrake studio copy`, `propose`, `merge`: a student's corrections on their way back to the teacher."""

import argparse
from pathlib import Path

from kb.bundle.archive import fingerprint, packed
from kb.bundle.contents import Bundle, BundleError
from kb.bundle.gathering import Chosen, Gathered, gather, proposal_from
from kb.bundle.judging import judged
from kb.compare.changes import compare
from kb.disk import DiskError, read_bounded, write_whole
from kb.licences import Fit, fit
from kb.load import beside
from kb.merge import Given
from kb.model import Ruleset
from kb.studio.keeping import at_work, wrote
from kb.taken import Copied, folder_of, read_lock
from tui.cli.merge import settle
from tui.cli.outputs import allow
from tui.cli.parser import WrongUsage
from tui.cli.report import counted
from tui.cli.saying import complain, tell
from tui.cli.studio.bundles import complain_of_errors, gathered_ruleset, read_bundle
from tui.cli.studio.changes import ruleset_change
from tui.cli.studio.report import Read, bundle_lines
from tui.draw.cells import hung
from tui.exit_code import ExitCode
from tui.shelf import installed_named, open_ruleset
from tui.wiring import USUAL_WIDTH, Surroundings


def copy_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `copy`."""
    parser.add_argument("ruleset", metavar="RULESET", help="the id of a ruleset that was taken from a studio")
    parser.add_argument("file", metavar="FILE", help="the file to make, such as my-rules.yaml")


def propose_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `propose`."""
    parser.add_argument("ruleset", metavar="FILE", help="your corrected copy")
    parser.add_argument("-o", dest="output", metavar="OUT", required=True, help="the file to make, a .zip")
    parser.add_argument(
        "--base", metavar="RULESET", help="what you began from, where `studio copy` does not know it"
    )
    parser.add_argument("--force", action="store_true", help="write over OUT whatever it holds")


def copy(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Copy a studio's ruleset, byte for byte, and remember what it was copied from."""
    home, target = around.data_folder, Path(arguments.file)
    found = installed_named(arguments.ruleset)
    if found.folder is None:
        complain(
            around, f"{found.id} ships with canebrake; canebrake new FILE --from {found.id} begins your own"
        )
        return ExitCode.COULD_NOT_START
    if target.exists():
        raise DiskError(f"{target} is there already; name a new file")
    own, *bases = gather(Chosen(found.name, found.content, found.base)).members
    left = [base for base in bases if (found.folder / base.name).is_file()]
    for base in left:
        path = target.with_name(base.name)
        if path.exists() and read_bounded(path) != base.content:
            raise DiskError(
                f"{path} is there already and is not what this ruleset extends; choose another folder"
            )
    with at_work(home):
        lock = read_lock(home)
        studio = next(one for one in lock.studios if one.name == found.studio)
        for name, content in ((target.name, own.content), *((base.name, base.content) for base in left)):
            write_whole(target.with_name(name), content)
        name = next(file.name for file in studio.now.files if file.id == found.id)
        wrote(home, lock.with_copy(Copied(str(target.resolve()), studio.name, name, studio.now.digest)))
    more = f", with {counted(len(left), 'file')} that it extends" if left else ""
    tell(around, [f"Copied {found.id} {found.version} to {target}{more}"])
    tell(around, hung(f"When it is corrected: canebrake studio propose {target} -o FILE.zip", around.width))
    return ExitCode.DONE


def propose(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Make one file of a ruleset as it was, as it should be, and what differs."""
    allow(arguments.output, "bundle", [arguments.ruleset, arguments.base], force=arguments.force)
    theirs = gathered_ruleset(arguments.ruleset)
    base = gathered_ruleset(arguments.base) if arguments.base else _copied_from(arguments.ruleset, around)
    for one in (base, theirs):
        if one.loaded.ruleset is None:
            complain_of_errors(one, around)
            return ExitCode.NO
    before, after = _both(base, theirs)
    compared = "\n".join(ruleset_change(before, after, USUAL_WIDTH)) + "\n"
    if compare(before, after).is_same:
        complain(around, "it means the same as what it was copied from; there is nothing to propose")
        return ExitCode.NO
    bundle = proposal_from(base, theirs, compared)
    content = packed(bundle)
    write_whole(Path(arguments.output), content)
    tell(
        around,
        bundle_lines(
            Read(arguments.output, bundle, fingerprint(content), judged(bundle.files)), around.width
        ),
    )
    tell(around, ruleset_change(before, after, around.width))
    return ExitCode.DONE


def _both(base: Gathered, theirs: Gathered) -> tuple[Ruleset, Ruleset]:
    before, after = base.loaded.ruleset, theirs.loaded.ruleset
    if before is None or after is None:
        raise ValueError("both were found sound before")
    return before, after


def _copied_from(said: str, around: Surroundings) -> Gathered:
    """Gather the ruleset that a file was copied from. Raises `DiskError` when that is not known."""
    home = around.data_folder
    path = str(Path(said).resolve())
    copied = next((one for one in read_lock(home).copies if one.file == path), None)
    if copied is None:
        raise DiskError(f"it is not known what {said} was copied from; say it with --base RULESET")
    source = folder_of(home, copied.digest) / copied.name
    return gather(Chosen(source.name, read_bounded(source), beside(source.parent)))


def merge_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `merge`."""
    parser.add_argument("file", metavar="FILE", help="a proposal")
    parser.add_argument("ours", metavar="YOUR-FILE", help="your ruleset as it is now")
    parser.add_argument(
        "-o",
        dest="output",
        metavar="OUT",
        help="where to write it, which may be YOUR-FILE; else the terminal",
    )
    parser.add_argument("--json", action="store_true", help="print what was done as JSON; needs -o")


def merge_proposal(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Take a proposal into one's own ruleset, by entry and by key."""
    if arguments.json and arguments.output is None:
        raise WrongUsage("--json tells what was done; say with -o where the merged file goes")
    bundle = read_bundle(arguments.file).bundle
    if bundle.proposal is None:
        raise BundleError(f"{arguments.file} is no proposal: there is no ruleset before and after in it")
    base, theirs = (
        Given(f"{arguments.file}: {name}", bundle.files[name])
        for name in (bundle.proposal.base, bundle.proposal.theirs)
    )
    ours = Given(arguments.ours, read_bounded(Path(arguments.ours)))
    _say_licences(bundle, arguments.ours, around)
    name = arguments.output or arguments.ours
    return settle((base, ours, theirs), name, arguments.output, around, as_json=arguments.json)


def _say_licences(bundle: Bundle, ours: str, around: Surroundings) -> None:
    """Say where a proposal's licence does not go with that of the ruleset that takes it in."""
    own = open_ruleset(ours).ruleset
    for licence in bundle.licences if own is not None else ():
        how, said = fit(licence, own.licence) if own is not None else (Fit.YES, "")
        if how is not Fit.YES and own is not None and licence != own.licence:
            complain(around, said)
