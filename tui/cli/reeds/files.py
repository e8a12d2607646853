"""`canebrake reeds backup`, `restore`, `export`, `import`, `hand-over`, `check`: the log as files."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from kb.log.replay import ReedHistory
from kb.log.store import ReedLog
from tui.box import histories, log_path
from tui.cli.outputs import allow
from tui.cli.progress import Progress
from tui.cli.reeds.asked import NONE_YET, SHORT_ID, Asked, in_the_log, on_a_reed
from tui.cli.saying import complain, tell_json
from tui.exit_code import ExitCode
from tui.wiring import Surroundings


@in_the_log
def backup(asked: Asked, log: ReedLog) -> ExitCode:
    """Copy the log."""
    log.backup(Path(asked.text("file")))
    asked.say(f"Copied to {asked.text('file')}.")
    return ExitCode.DONE


def restore(asked: Asked) -> ExitCode:
    """Bring a copy back; what is there now is kept aside."""
    from kb.log.restoring import restore as bring_back  # noqa: PLC0415 - only here

    source, path = Path(asked.text("file")), log_path(asked.around.data_folder)
    now = asked.around.now()
    aside = path.with_name(f"{path.stem}-until-{now:%Y-%m-%d-%H%M%S}{path.suffix}")
    if path.exists() and not asked.has("yes"):
        asked.around.stderr.write(
            f"The log {path} will hold what {source} holds. What is in it now is kept as {aside.name}.\n"
            "Type yes to go on: "
        )
        asked.around.stderr.flush()
        if asked.around.stdin.readline().strip().casefold() not in {"yes", "y"}:
            complain(asked.around, "nothing was changed")
            return ExitCode.NO
    done = bring_back(path, source, aside)
    asked.say(f"Restored: {done.reeds} reeds, {done.entries} entries.")
    if done.aside is not None:
        asked.say(f"What was there before is kept beside it as {done.aside.name}.")
    return ExitCode.DONE


@in_the_log
def export(asked: Asked, log: ReedLog) -> ExitCode:
    """Write the log as JSON Lines, or only what it teaches (`--bare`)."""
    from kb.log.evidence import bare_lines  # noqa: PLC0415 - only here
    from kb.log.exchange import to_lines  # noqa: PLC0415 - only here

    return _write(asked, asked.text("file"), bare_lines(log) if asked.has("bare") else to_lines(log))


@on_a_reed
def hand_over(asked: Asked, log: ReedLog, reed: ReedHistory) -> ExitCode:
    """Write one reed, with the rules that it was judged by, for another log."""
    from kb.log.exchange import reed_to_lines  # noqa: PLC0415 - only here

    return _write(asked, asked.text("output"), reed_to_lines(log, reed.id))


def _write(asked: Asked, file: str, lines: Iterator[str]) -> ExitCode:
    from kb.disk import write_pieces  # noqa: PLC0415 - only here

    ended = (f"{line}\n" for line in lines)
    if file in {"", "-"}:
        asked.around.stdout.writelines(ended)
    else:
        allow(file, "json", [str(log_path(asked.around.data_folder))], force=True)
        write_pieces(Path(file), (line.encode() for line in ended))
        asked.say(f"Written to {file}.")
    return ExitCode.DONE


def take_in(asked: Asked) -> ExitCode:
    """Take in what another log exported, or one reed that was handed over."""
    file = asked.text("file")
    try:
        if file == "-":
            return _take_in(asked, asked.around.stdin)
        with Path(file).open(encoding="utf-8-sig", newline="\n") as lines:
            return _take_in(asked, lines)
    except UnicodeDecodeError:
        complain(asked.around, f"{file} is not UTF-8 text; it is no export of a reed log")
    except OSError as error:
        complain(asked.around, f"{file} could not be read: {(error.strerror or str(error)).lower()}")
    return ExitCode.COULD_NOT_START


def _take_in(asked: Asked, lines: TextIO) -> ExitCode:
    from kb.log.exchange import absorb_lines  # noqa: PLC0415 - only here

    with ReedLog.open(log_path(asked.around.data_folder)) as log:
        done = absorb_lines(log, bounded_lines(asked.around, lines))
        asked.say(f"Taken in: {done.new}. There already: {done.known}.")
        if done.new:
            _tell_twins(asked, log)
    return ExitCode.DONE


def bounded_lines(around: Surroundings, lines: TextIO) -> Iterator[str]:
    """Read line by line, but never hold more than a longest line: a file without line ends is no export."""
    from kb.log.fault import LogError  # noqa: PLC0415 - only here

    longest, number, progress = 32 * 1024 * 1024, 0, Progress(around)
    while line := lines.readline(longest):
        number += 1
        if number % 5000 == 0:
            progress.say(f"{number} lines")
        if len(line) == longest:
            raise LogError("A line is far too long for an export of a reed log. Nothing was taken in.")
        yield line
    if number >= 5000:
        progress.wipe()


def _tell_twins(asked: Asked, log: ReedLog) -> None:
    """Say which names stand for more than one reed now: two logs may have used the same."""
    reeds = histories(log)
    names = Counter(reed.name for reed in reeds)
    for name in sorted(name for name, times in names.items() if times > 1):
        ids = ", ".join(reed.id[:SHORT_ID] for reed in reeds if reed.name == name)
        complain(
            asked.around, f"several reeds are called “{name}” ({ids}); canebrake reeds rename ID NEW-NAME"
        )


def check(asked: Asked) -> ExitCode:
    """Look through the whole log."""
    log = asked.open()
    faults: tuple[str, ...] = ()
    if log is not None:
        with log:
            faults = log.faults()
    if asked.has("json"):
        tell_json(asked.around, {"faults": faults})
    else:
        for fault in faults:
            asked.say(fault)
        if not faults:
            asked.say(NONE_YET if log is None else "The log is sound.")
    return ExitCode.NO if faults else ExitCode.DONE
