"""`canebrake studio pack`, `look`, `unpack`: rulesets that go from hand to hand as one file."""

import argparse
from pathlib import Path

from kb.bundle.archive import fingerprint, opened, packed
from kb.bundle.contents import LARGEST, BundleError
from kb.bundle.gathering import Chosen, Gathered, added_file, bundle_from, gather
from kb.bundle.judging import judged
from kb.disk import read_bounded, write_folder, write_whole
from tui.cli.outputs import allow
from tui.cli.report import problem_lines
from tui.cli.saying import complain, tell, tell_json
from tui.cli.studio.report import Read, bundle_json, bundle_lines, proposal_lines
from tui.draw.cells import hung
from tui.draw.literal import literal
from tui.exit_code import ExitCode
from tui.shelf import open_ruleset
from tui.wiring import Surroundings


def pack_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `pack`."""
    parser.add_argument(
        "rulesets", metavar="RULESET", nargs="+", help="a file, or the id of an installed ruleset"
    )
    parser.add_argument("-o", dest="output", metavar="FILE", required=True, help="the file to make, a .zip")
    parser.add_argument(
        "--with",
        dest="added",
        metavar="FILE",
        action="append",
        default=[],
        help="a picture (PNG, JPEG, WebP) or a text (.txt, .md), such as the licence, that goes along",
    )
    parser.add_argument(
        "--title", metavar="TEXT", default="", help="what it is; the rulesets' titles if not said"
    )
    parser.add_argument("--force", action="store_true", help="write over FILE whatever it holds")
    parser.add_argument("--json", action="store_true", help="print what was done as JSON")


def look_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `look`."""
    parser.add_argument("file", metavar="FILE", help="a packed file")
    _add_signers(parser)
    parser.add_argument("--json", action="store_true", help="print it as JSON")


def _add_signers(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--signers",
        metavar="LIST",
        help="hold that FILE.sig is a signature by someone on your list of allowed signers (see ssh-keygen)",
    )


def sign_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `sign`."""
    parser.add_argument("file", metavar="FILE", help="a packed file; the signature becomes FILE.sig")
    parser.add_argument("--key", metavar="KEY", required=True, help="the file of your private SSH key")


def unpack_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `unpack`."""
    parser.add_argument("file", metavar="FILE", help="a packed file")
    parser.add_argument("-o", dest="output", metavar="FOLDER", required=True, help="the folder to make")
    _add_signers(parser)
    parser.add_argument("--json", action="store_true", help="print what was done as JSON")


def pack(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Make one file of rulesets."""
    allow(arguments.output, "bundle", [*arguments.rulesets, *arguments.added], force=arguments.force)
    gathered = [gathered_ruleset(said) for said in arguments.rulesets]
    broken = [one for one in gathered if one.loaded.ruleset is None]
    if broken:
        for one in broken:
            complain_of_errors(one, around)
        return ExitCode.NO
    bundle = bundle_from(gathered, [added_file(Path(one)) for one in arguments.added], arguments.title)
    content = packed(bundle)
    write_whole(Path(arguments.output), content)
    read = Read(arguments.output, bundle, fingerprint(content), judged(bundle.files))
    if arguments.json:
        tell_json(around, bundle_json(read))
    else:
        tell(around, bundle_lines(read, around.width))
        if "" in bundle.licences:
            complain(around, "a ruleset says no licence, so nobody knows what they may do with it")
    return ExitCode.DONE


def look(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Say what is in a packed file."""
    read = read_bundle(arguments.file)
    _hold_signed(read, arguments, around)
    _tell(read, around, as_json=arguments.json)
    proposed = () if arguments.json else proposal_lines(read, around.width)
    tell(around, proposed)
    return verdict(read)


def sign(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Sign a packed file with the user's own SSH key."""
    from kb.bundle.signing import SUFFIX, signed  # noqa: PLC0415 - used by few

    content = packed(read_bundle(arguments.file).bundle)  # the very bytes of the file, or it was refused
    signature = signed(content, Path(arguments.key), around.environ)
    write_whole(Path(f"{arguments.file}{SUFFIX}"), signature)
    tell(around, [f"Signed: {arguments.file}{SUFFIX}; send both files"])
    return ExitCode.DONE


def _hold_signed(read: Read, arguments: argparse.Namespace, around: Surroundings) -> None:
    """Hold that a packed file is signed, where the user wants it to be. Raises `BundleError`."""
    from kb.bundle.signing import SUFFIX, signer  # noqa: PLC0415 - used by few

    signature = Path(f"{arguments.file}{SUFFIX}")
    if arguments.signers is None:
        if signature.is_file():
            complain(around, f"{signature} was not looked at; --signers LIST says whose signature counts")
        return
    content = packed(read.bundle)  # the bytes that were judged, whatever became of the file since
    try:
        name = signer(content, signature, Path(arguments.signers), around.environ)
    except BundleError as fault:
        raise BundleError(f"{arguments.file} is refused: {fault}; nothing was written") from fault
    said = (
        f"Signed by {name}: whoever holds the key that {arguments.signers} lists under that name signed "
        "these very bytes. Whether the rules are good it does not say."
    )
    around.stderr.writelines(f"{literal(line)}\n" for line in hung(said, around.width))


def unpack(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Write what is in a packed file into a new folder, all of it or nothing."""
    read = read_bundle(arguments.file)
    _hold_signed(read, arguments, around)
    is_new = write_folder(Path(arguments.output), read.bundle.files)
    _tell(read, around, as_json=arguments.json)
    if not arguments.json:
        tell(around, [f"{'Written to' if is_new else 'The same is there already:'} {arguments.output}"])
    return verdict(read)


def gathered_ruleset(said: str) -> Gathered:
    """Gather the ruleset that the user named, with what it extends. Raises `ShelfError` or `DiskError`."""
    found = open_ruleset(said)
    return gather(Chosen(found.name, found.content, found.base))


def complain_of_errors(gathered: Gathered, around: Surroundings) -> None:
    """Say what is wrong with a ruleset that shall be shared."""
    problems = gathered.loaded.problems
    for problem in problems[:5]:
        text = gathered.loaded.text_of(problem.span.file)
        around.stderr.writelines(
            f"{line}\n"
            for line in problem_lines(problem, text.excerpt(problem.span) if text else "", around.width)
        )
    complain(around, f"{gathered.members[0].name} has errors, and is not shared; canebrake check shows all")


def read_bundle(file: str) -> Read:
    """Read and judge a packed file. Raises `BundleError` that names it, or `DiskError`."""
    content = read_bounded(Path(file), LARGEST)
    try:
        bundle = opened(content)
    except BundleError as fault:
        raise BundleError(f"{file} is refused: {fault}; nothing was written") from fault
    return Read(file, bundle, fingerprint(content), judged(bundle.files))


def verdict(read: Read) -> ExitCode:
    """Give the exit code: 1 when a ruleset in it has errors."""
    return ExitCode.DONE if all(one.is_sound for one in read.judged) else ExitCode.NO


def _tell(read: Read, around: Surroundings, *, as_json: bool) -> None:
    if as_json:
        tell_json(around, bundle_json(read))
    else:
        tell(around, bundle_lines(read, around.width))
