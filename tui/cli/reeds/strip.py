"""`canebrake reeds strip`: what thinning and clipping do to a strip, for orientation."""

import argparse
from typing import Final

from engine.strip import Change, Strip, change
from kb.settings import read_settings
from kb.units import shown, with_unit
from tui.cli.parser import WrongUsage
from tui.cli.reeds.asked import Asked
from tui.draw.cells import wrapped
from tui.exit_code import ExitCode

LONGEST: Final = 1000.0
LIMITS: Final = (
    "For orientation only: this is a strip of even thickness, held at one end and free at the other "
    "(Euler–Bernoulli). A blade is tapered, arched, joined at the rails, wet, and damped by the lip, and the "
    "bore rules the note, which moves far less. The direction holds, the size does not."
)


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare what the action takes."""
    parser.add_argument("thickness", metavar="THICKNESS", help="of the strip, such as 0.53mm")
    parser.add_argument("length", metavar="LENGTH", help="from where it is held to its end, such as 28mm")
    parser.add_argument("--thinner", metavar="BY", default="0.02mm", help="taken off all over (0.02mm)")
    parser.add_argument("--clip", metavar="BY", default="0.5mm", help="clipped off its end (0.5mm)")


def strip(asked: Asked) -> ExitCode:
    """Say what becomes of its stiffness and own frequency."""
    length = read_settings(asked.around.config_folder).units
    thick, long, thinner, clip = (_size(asked, name) for name in ("thickness", "length", "thinner", "clip"))
    if not (0.0 <= thinner < thick and 0.0 <= clip < long and thick < long):
        raise WrongUsage("less must be taken than there is, and a strip is longer than it is thick")
    before = Strip(thick, long)
    asked.say(f"A strip {shown(thick, 'mm', length)} thick and {shown(long, 'mm', length)} long:")
    thinned, clipped = change(before, Strip(thick - thinner, long)), change(before, Strip(thick, long - clip))
    asked.say(f"  {shown(thinner, 'mm', length)} taken off all over: {_told(thinned)}")
    asked.say(f"  {shown(clip, 'mm', length)} clipped: {_told(clipped)}")
    for line in wrapped(LIMITS, asked.around.width, 20):
        asked.say(line)
    return ExitCode.DONE


def _size(asked: Asked, name: str) -> float:
    value = with_unit(asked.text(name), "mm")
    if value is None or not 0.0 <= value <= LONGEST:
        raise WrongUsage(f"{asked.text(name)!r} is no length from 0 to {LONGEST:g} mm")
    return value


def _told(became: Change) -> str:
    return (
        f"stiffness {100 * (became.stiffness - 1):+.1f} %, "
        f"own frequency {100 * (became.frequency - 1):+.1f} % ({became.cents:+.0f} cents)"
    )
