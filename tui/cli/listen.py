"""`canebrake listen`: a recorded crow, heard: its pitch, its sounds, and the reading that it suggests.

Nothing is entered: the maker reads what was heard, and enters it, or not, with `reeds measure`.
"""

import argparse
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final

from kb.disk import DiskError
from kb.log.fault import LogError
from kb.log.replay import ReedHistory
from kb.model import Ruleset
from kb.notes import NoteNames, note_shown
from kb.settings import read_settings
from kb.wav import Wav, WavError, read_wav
from tui.box import find, histories, log_path, no_such_reed
from tui.cli.saying import Json, complain, tell, tell_json
from tui.draw.cells import hung
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, ready_ruleset
from tui.wiring import Surroundings

if TYPE_CHECKING:
    from engine.listening.crow import Crow
    from engine.listening.sound import Sound
    from engine.listening.suggested import Suggestion

HELP: Final = "hear a recorded crow: its pitch in cents, its sounds, and the reading that it suggests"
DIGITS: Final = 3
"""After the point, in JSON."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("file", metavar="FILE.wav", help="the recording; a second or two of one steady crow")
    parser.add_argument(
        "ruleset", metavar="RULESET", nargs="?", help="say what the crow suggests under these rules as well"
    )
    parser.add_argument(
        "--reed", metavar="NAME", help="the reed that crowed: the line that would enter the reading names it"
    )
    parser.add_argument("--json", action="store_true", help="print everything as JSON")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Listen, and tell what was heard."""
    try:
        ruleset = None if arguments.ruleset is None else ready_ruleset(arguments.ruleset).ruleset
        reed = None if arguments.reed is None else _reed(arguments.reed, around)
        wav = read_wav(Path(arguments.file))
    except (DiskError, WavError, ShelfError, LogError) as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    from engine.listening.crow import heard  # noqa: PLC0415 - loads the numbers
    from engine.listening.sound import sound_of  # noqa: PLC0415 - the same
    from engine.listening.suggested import suggestions  # noqa: PLC0415 - the same

    sound = sound_of(wav)
    crow = heard(sound)
    suggested = () if ruleset is None or crow.pitch is None else suggestions(ruleset, crow.pitch)
    if arguments.json:
        tell_json(around, _as_json(wav, sound, crow, ruleset, suggested))
    else:
        names = read_settings(around.config_folder).notes
        lines = [*_recording(arguments.file, wav, sound), *_heard(crow, names)]
        if ruleset is not None:
            lines += ["", *_suggested(ruleset, suggested, reed, crow)]
        for line in lines:
            tell(around, hung(line, around.fold) if line else [""])
    return ExitCode.NO if crow.pitch is None else ExitCode.DONE


def _reed(name: str, around: Surroundings) -> str:
    """Give the reed's own name. Raises ShelfError when there is none of that name."""
    from kb.log.store import ReedLog  # noqa: PLC0415 - loads SQLite, which only a named reed needs

    path = log_path(around.data_folder)
    reeds: tuple[ReedHistory, ...] = ()
    if path.is_file():
        with ReedLog.open(path, create=False) as log:
            reeds = histories(log)
    found = find(reeds, name)
    if found is None:
        raise ShelfError(no_such_reed(reeds, name))
    return found.name


def _recording(file: str, wav: Wav, sound: "Sound") -> Iterator[str]:
    from engine.listening.crow import CLIPPED, FAINT  # noqa: PLC0415 - already loaded
    from engine.listening.sound import LONGEST  # noqa: PLC0415 - already loaded

    kind = f"{wav.bits} bit{' float' if wav.is_float else ''}"
    channels = "" if wav.channels == 1 else f", {wav.channels} channels (heard: number {sound.channel})"
    yield f"{file}: {wav.seconds:.1f} s, {wav.rate} samples a second, {kind}{channels}."
    if wav.is_cut:
        yield "The file ends before it says that it does, or is very long; what is there was heard."
    if sound.is_shortened:
        yield f"Only its first {LONGEST:.0f} seconds were heard."
    if sound.clipped > CLIPPED:
        yield (
            "The recording is cut off at its loudest (clipped): the pitch stands, the strengths may not. "
            "Record it again, softer or from further away."
        )
    if not sound.is_silent and sound.loudest < FAINT:
        yield "The recording is very soft; record it again from nearer."


def _heard(crow: "Crow", names: NoteNames) -> Iterator[str]:
    from engine.listening.crow import NOISY, Unheard  # noqa: PLC0415 - already loaded

    if crow.pitch is None:
        yield {
            Unheard.SILENT: "Nothing sounds in it.",
            Unheard.SHORT: "What sounds in it is too short to tell its pitch; crow for a second or two.",
            Unheard.AIR: "Something sounds, and it has no pitch: air, or noise.",
        }[crow.unheard or Unheard.SILENT]
        return
    yield f"Crow pitch, the strongest sound: {_pitch(crow.pitch, names)}."
    for name, voice in zip(crow.names, crow.voices, strict=True):
        strength = "the strongest" if voice.decibels == 0 else f"{-voice.decibels:.0f} dB below it"
        count = f"{voice.partials} {'partial' if voice.partials == 1 else 'partials'}"
        yield f"  {name}: {_pitch(voice.hertz, names)}; {strength}; {count}"
    first, octave, second = crow.octaves
    yield (
        f"In the lowest of them: its own octave {_level(first)}, the octave above {_level(octave)}, "
        f"two octaves above {_level(second)} (dB beside its strongest partial)."
    )
    if crow.sway is not None and crow.drift is not None:
        steady = "steady" if crow.sway <= 5.0 and abs(crow.drift) <= 10.0 else "not steady"
        yield (
            f"It is {steady}: it sways by {crow.sway:.0f} cents (one standard deviation), and ends "
            f"{crow.drift:+.0f} cents from where it begins."
        )
    if crow.noise is not None and crow.noise > NOISY:
        yield f"There is much noise beside the sounds ({crow.noise:+.0f} dB): air, or the room."


def _pitch(hertz: float, names: NoteNames) -> str:
    from engine.listening.pitch import cents_from_a4, nearest_note  # noqa: PLC0415 - already loaded

    note, cents = nearest_note(hertz)
    return (
        f"{note_shown(note, names)} {cents:+.0f} cents ({hertz:.1f} Hz; {cents_from_a4(hertz):+.0f} from A4)"
    )


def _level(decibels: float) -> str:
    return "missing" if decibels < -60.0 else f"{decibels:+.0f}"


def _suggested(
    ruleset: Ruleset, suggested: "tuple[Suggestion, ...]", reed: str | None, crow: "Crow"
) -> Iterator[str]:
    from engine.listening.suggested import crow_findings  # noqa: PLC0415 - already loaded

    yield f"By {ruleset.title} {ruleset.version}, for you to confirm:"
    if not suggested and crow.pitch is not None:
        yield "  The rules measure nothing in Hz, so the pitch answers nothing."
    for one in suggested:
        where = {-1: "below", 0: "within", 1: "above"}[one.beyond_target]
        target = f"; {where} its target" if one.quantity.target is not None else ""
        yield f"  {one.quantity.id} ({one.quantity.title}): {one.value:g} {one.quantity.unit}{target}"
        for finding, answer in one.answers:
            said = "too near the edge to say" if answer is None else str(answer)
            yield f"    {ruleset.finding[finding].ask} ({finding}) {said}"
        if one.is_plausible:
            name = shlex.quote(reed) if reed is not None else "NAME"
            yield f"    to enter it: canebrake reeds measure {name} {one.quantity.id}={one.value:g}"
        else:
            yield "    the rules take no such reading for this; is it the crow that was recorded?"
    asked = crow_findings(ruleset)
    if asked:
        yield "  What is asked of a crow, for your own ear:"
        yield from (f"    {finding.ask} ({finding.id})" for finding in asked)
    yield "Nothing was entered."


def _as_json(
    wav: Wav,
    sound: "Sound",
    crow: "Crow",
    ruleset: Ruleset | None,
    suggested: "tuple[Suggestion, ...]",
) -> Json:
    from engine.listening.crow import CLIPPED  # noqa: PLC0415 - already loaded
    from engine.listening.pitch import cents_from_a4, nearest_note  # noqa: PLC0415 - already loaded

    note = None if crow.pitch is None else nearest_note(crow.pitch)
    return {
        "seconds": round(wav.seconds, DIGITS),
        "cut": wav.is_cut or sound.is_shortened,
        "clipped": sound.clipped > CLIPPED,
        "unheard": None if crow.unheard is None else crow.unheard.value,
        "hertz": _rounded(crow.pitch),
        "cents_from_a4": None if crow.pitch is None else round(cents_from_a4(crow.pitch), DIGITS),
        "note": None if note is None else note[0],
        "cents_from_note": None if note is None else round(note[1], DIGITS),
        "sounds": [
            {
                "name": name,
                "hertz": round(voice.hertz, DIGITS),
                "cents_from_a4": round(voice.cents, DIGITS),
                "decibels": round(voice.decibels, DIGITS),
                "partials": voice.partials,
            }
            for name, voice in zip(crow.names, crow.voices, strict=True)
        ],
        "sway": _rounded(crow.sway),
        "drift": _rounded(crow.drift),
        "noise": _rounded(crow.noise),
        "ruleset": None if ruleset is None else ruleset.id,
        "suggested": [
            {
                "quantity": one.quantity.id,
                "value": one.value,
                "plausible": one.is_plausible,
                "answers": [
                    {"finding": finding, "answer": None if answer is None else answer.value}
                    for finding, answer in one.answers
                ],
            }
            for one in suggested
        ],
    }


def _rounded(number: float | None) -> float | None:
    return None if number is None else round(number, DIGITS)
