"""`canebrake reeds measure`: readings by hand, or a whole table of them."""

import argparse
from pathlib import Path
from typing import Final

from kb.disk import DiskError, read_bounded
from kb.ids import QuantityId
from kb.log.entry import Measured, Spot, ThicknessMeasured, What
from kb.log.replay import ReedHistory, standing
from kb.log.sheet import BLADES, SIDES, Sheet, blade_of, distance, read_sheet, side_of, thickness
from kb.log.store import ReedLog
from kb.model import Quantity, Ruleset
from kb.settings import read_settings
from kb.units import Length, with_unit
from tui.cli.parser import WrongUsage
from tui.cli.reeds.asked import Asked, on_a_reed
from tui.cli.saying import complain
from tui.exit_code import ExitCode

DATUMS: Final = ("tip", "shoulder", "first-wire")
_LARGEST: Final = 2 * 1024 * 1024
_PLACE_KEYS: Final = frozenset({"at", "lane", "value", "blade", "side"})


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare what the action takes."""
    parser.add_argument(
        "said",
        nargs="*",
        metavar="WHAT=VALUE",
        help="QUANTITY=VALUE, or one place on a blade: at=10 lane=spine value=0.52mm, with blade=upper and "
        "side=left where they are told apart (left as the upper blade lies before you, tip away; the lower "
        "blade's left is under it); said again, it was measured again",
    )
    parser.add_argument(
        "--csv", metavar="FILE", help="a table of readings instead (see docs/guides/measuring.md)"
    )
    parser.add_argument(
        "--from",
        dest="datum",
        choices=DATUMS,
        default="tip",
        help="where distances are counted from (the tip)",
    )
    parser.add_argument(
        "--from-tip", metavar="LENGTH", help="how far from the tip that is, where it is not the tip"
    )
    parser.add_argument(
        "--precision", metavar="LENGTH", help="of the gauge: one standard deviation, as 0.01mm"
    )


def measure(asked: Asked) -> ExitCode:
    """Enter readings, all or none."""
    said = asked.texts("said")
    if bool(said) == asked.has("csv"):
        raise WrongUsage("say what was measured, or name a table with --csv")
    return _measure(asked, said)


@on_a_reed
def _measure(asked: Asked, log: ReedLog, reed: ReedHistory, said: tuple[str, ...]) -> ExitCode:
    from tui.desk import Desk  # noqa: PLC0415 - loads the interview

    chosen = asked.rules_for(reed, log)
    if chosen is None:
        return ExitCode.COULD_NOT_START
    ruleset = chosen.ruleset
    whats = _from_table(asked, ruleset) if asked.has("csv") else _by_hand(asked, ruleset, said)
    if whats is None:
        return ExitCode.COULD_NOT_START
    desk = Desk.with_reed(log, reed.name, reed, chosen, clock=asked.around.clock, ids=asked.around.ids)
    here = [entry.what for entry in standing(desk.entries)]
    since = max((number for number, what in enumerate(here) if _begins_anew(what)), default=0)
    new = [what for what in whats if what not in here[since:]]
    desk.say_all(*new)
    for note in desk.notes:
        complain(asked.around, note)
    asked.say("It was entered already; nothing is doubled." if not new else _counted(whats))
    return ExitCode.DONE


def _begins_anew(what: What) -> bool:
    from kb.log.entry import RemedyDone, Rested, SittingOpened  # noqa: PLC0415 - three names for one question

    return isinstance(what, RemedyDone | Rested | SittingOpened)


def _counted(whats: tuple[What, ...]) -> str:
    places = sum(len(what.spots) for what in whats if isinstance(what, ThicknessMeasured))
    readings = sum(isinstance(what, Measured) for what in whats)
    parts = [f"{places} place{'s' * (places != 1)}"] if places else []
    parts += [f"{readings} reading{'s' * (readings != 1)}"] if readings else []
    return f"Entered: {' and '.join(parts)}."


def _from_table(asked: Asked, ruleset: Ruleset) -> tuple[What, ...] | None:
    """Read the table; None when it was refused, and why was said."""
    file = asked.text("csv")
    try:
        content = read_bounded(Path(file), _LARGEST)
        text = content.decode("utf-8-sig")
    except DiskError as error:
        complain(asked.around, str(error))
        return None
    except UnicodeDecodeError:
        complain(asked.around, f"{file} is not UTF-8 text")
        return None
    if len(content) > _LARGEST:
        complain(asked.around, f"{file} is too long for a table of measurements")
        return None
    sheet = read_sheet(text)
    faults = list(sheet.faults) or [*_unknown_lanes(sheet, ruleset)]
    values: dict[QuantityId, list[float]] = {}
    for one in sheet.readings if not faults else ():
        read = _reading(ruleset, one.quantity, one.text, Length.MM)
        if isinstance(read, str):
            faults.append(f"line {one.line}: {read}")
        else:
            values.setdefault(read[0].id, []).append(read[1])
    if faults:
        for fault in faults:
            complain(asked.around, f"{file}: {fault}")
        complain(asked.around, "nothing was entered")
        return None
    return _whats(asked, ruleset, values, list(sheet.spots))


def _unknown_lanes(sheet: Sheet, ruleset: Ruleset) -> tuple[str, ...]:
    known = {lane for profile in ruleset.thickness for lane in profile.lanes}
    strange = sorted({spot.lane for spot in sheet.spots} - known) if known else []
    return tuple(
        f"these rules know no lane {lane!r}; they have {', '.join(sorted(known))}" for lane in strange
    )


def _by_hand(asked: Asked, ruleset: Ruleset, said: tuple[str, ...]) -> tuple[What, ...] | None:
    place: dict[str, list[str]] = {}
    values: dict[QuantityId, list[float]] = {}
    length = read_settings(asked.around.config_folder).units
    for one in said:
        key, equals, text = one.partition("=")
        key = key.strip().casefold()
        if not equals:
            raise WrongUsage(f"{one!r} is not written as WHAT=VALUE")
        if key in _PLACE_KEYS:
            place.setdefault(key, []).append(text.strip())
            continue
        read = _reading(ruleset, key, text, length)
        if isinstance(read, str):
            complain(asked.around, read)
            return None
        values.setdefault(read[0].id, []).append(read[1])
    spots = [_spot(place, ruleset, length)] if place else []
    return _whats(asked, ruleset, values, spots)


def _spot(place: dict[str, list[str]], ruleset: Ruleset, length: Length) -> Spot:
    usual = "in" if length is Length.INCH else "mm"
    if any(len(texts) > 1 for key, texts in place.items() if key != "value"):
        raise WrongUsage("one place at a time; a table (--csv) takes many")
    at_text, lane = place.get("at", [""])[0], place.get("lane", [""])[0]
    at = distance(at_text, usual)
    values = [thickness(text, usual) for text in place.get("value", [])]
    blade, side = blade_of(place.get("blade", [""])[0]), side_of(place.get("side", [""])[0])
    known = {name for profile in ruleset.thickness for name in profile.lanes}
    if at is None:
        raise WrongUsage(f"at={at_text} is no distance along a reed")
    if not lane or (known and lane not in known):
        raise WrongUsage(f"lane={lane} is no lane of these rules; they have {', '.join(sorted(known))}")
    if not values or None in values:
        raise WrongUsage("value= wants a thickness, such as 0.52mm or 20.5thou")
    if blade is None or side is None:
        raise WrongUsage(f"a blade is {' or '.join(BLADES)}, a side {' or '.join(SIDES)}")
    return Spot(lane, at, tuple(value for value in values if value is not None), blade, side)


def _reading(ruleset: Ruleset, key: str, text: str, length: Length) -> tuple[Quantity, float] | str:
    from difflib import get_close_matches  # noqa: PLC0415 - only a mistake needs it

    from tui.plain.said import reading  # noqa: PLC0415 - words of the desk

    quantity = ruleset.quantity.get(QuantityId(key))
    if quantity is None:
        near = get_close_matches(key, [one.id for one in ruleset.quantities], 1)
        meant = f"; did you mean {near[0]!r}?" if near else ""
        return f"these rules measure no {key!r}{meant}"
    value = reading(text, quantity, length)
    return value if isinstance(value, str) else (quantity, value)


def _whats(
    asked: Asked, ruleset: Ruleset, values: dict[QuantityId, list[float]], spots: list[Spot]
) -> tuple[What, ...]:
    from engine.spread import mean  # noqa: PLC0415 - loads statistics

    precision = asked.text("precision")
    whats: list[What] = []
    for id_, several in values.items():
        said = _precision(precision, ruleset.quantity[id_].unit)
        whats.append(Measured(id_, mean(several), tuple(several) if len(several) > 1 else (), said))
    if spots:
        datum, from_tip = asked.text("datum"), None
        if asked.has("from_tip"):
            from_tip = distance(asked.text("from_tip"))
            if from_tip is None or datum == "tip":
                raise WrongUsage("--from-tip is the length from the tip to the shoulder or first wire")
        whats.append(ThicknessMeasured(datum, tuple(spots), _precision(precision, "mm"), from_tip))
    return tuple(whats)


def _precision(text: str, unit: str) -> float | None:
    if not text:
        return None
    value = with_unit(text, unit)
    if value is None or value <= 0.0:
        raise WrongUsage(f"--precision {text} is no precision in {unit or 'that unit'}")
    return value
