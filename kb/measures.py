"""Quantities, thicknesses, and the signs that are read off them.

Separate from `kb.build` because these entries are numbers that must agree with one another: a
target within its limits, an edge that a reading can cross, a lane that was measured at all.
"""

from dataclasses import dataclass
from typing import Final

from kb.ids import ProfileId, QuantityId
from kb.model import Edge, Profile, Quantity, QuantityRead, ThicknessPoint, ThicknessRead
from kb.naming import Entry, Kind
from kb.problem import CheckName
from kb.value import Place

IMPOSSIBLE_NUMBER: Final = CheckName("impossible-number")
MISSING_TARGET: Final = CheckName("missing-target")
MISSING_KEY: Final = CheckName("missing-key")
TWO_EDGES: Final = CheckName("two-edges")


@dataclass(frozen=True, slots=True)
class Measures:
    """What signs may be read from."""

    quantities: dict[QuantityId, Quantity]
    profiles: dict[ProfileId, Profile]


def read_of(entry: Entry, known: Measures) -> QuantityRead | ThicknessRead | None:
    """Give what a sign is read off, or None when it is not, or the reading makes no sense."""
    value = entry.get("read")
    if value is None or value.data is None:
        return None
    reading = Entry(entry.id, Place(value.span, value), entry.names)
    edges = [edge for edge in Edge if value.get(edge) is not None]
    if not edges:
        entry.names.complain(
            value.span,
            MISSING_KEY,
            "this reading answers nothing",
            "write above, below or outside, and a number or target",
        )
        return None
    if len(edges) > 1:
        entry.names.complain(
            entry.place.key_of("read", edges[1]),
            TWO_EDGES,
            f"this reading is both {edges[0]} and {edges[1]} something",
            "write one of above, below and outside; outside: target means either side of the target",
        )
        return None
    if value.get("thickness") is not None:
        return _thickness_read(reading, known, edges[0])
    return _quantity_read(reading, known, edges[0])


def _quantity_read(reading: Entry, known: Measures, edge: Edge) -> QuantityRead | None:
    name = reading.one(Kind.QUANTITY, "quantity")
    quantity = None if name is None else known.quantities.get(QuantityId(name))
    written = reading.get(edge)
    if quantity is None or written is None or written.data is None:
        return None
    if isinstance(written.data, str):
        if quantity.target is None and quantity.place.value.get("target") is not None:
            return None  # it was said already what is wrong with the target
        if quantity.target is None:
            reading.names.complain(
                written.span,
                MISSING_TARGET,
                f"{quantity.id!r} has no target to compare with",
                f"write target: [from, to] at {quantity.id}, or a number here",
            )
            return None
        low, high = quantity.target
        return QuantityRead(quantity.id, edge, low, high)
    number = reading.number(edge, 0.0)
    if quantity.limits is not None:
        low, high = quantity.limits
        if (edge is Edge.ABOVE and number >= high) or (edge is Edge.BELOW and number <= low):
            reading.names.complain(
                written.span,
                IMPOSSIBLE_NUMBER,
                f"no reading can be {edge} {number:g}: {quantity.id!r} has the limits {low:g} and {high:g}",
                "widen the limits, or change this number",
            )
        elif not low <= number <= high:
            reading.names.complain(
                written.span,
                IMPOSSIBLE_NUMBER,
                f"every reading is {edge} {number:g}: {quantity.id!r} has the limits {low:g} and {high:g}",
                "widen the limits, or change this number",
            )
    return QuantityRead(quantity.id, edge, number, number)


def _thickness_read(reading: Entry, known: Measures, edge: Edge) -> ThicknessRead | None:
    name = reading.one(Kind.PROFILE, "thickness")
    profile = None if name is None else known.profiles.get(ProfileId(name))
    lane = reading.text("lane")
    between = _ordered(reading, "between")
    if profile is None or between is None or not lane:
        return None
    place = reading.place
    if lane not in profile.lanes:
        reading.names.unknown(place.of("lane"), f"{profile.id!r} has no lane {lane!r}", lane, profile.lanes)
        return None
    if not any(point.lane == lane and between[0] <= point.at <= between[1] for point in profile.points):
        if _lost_points(profile):
            return None  # one of those may be the point that is meant here, and its fault was said
        reading.names.complain(
            place.of("between"),
            MISSING_TARGET,
            f"{profile.id!r} has no point of the lane {lane!r} from {between[0]:g} to {between[1]:g}",
            "widen this stretch, or add a point",
        )
    return ThicknessRead(profile.id, lane, between, edge)


def _lost_points(profile: Profile) -> bool:
    """Whether a point has a lane that is not known, or lies at a place that was refused."""
    points = profile.place.value.get("points")
    places = [item.get("at") for item in (points.items() if points is not None else ())]
    return any(place is None or place.data is None for place in places) or any(
        point.lane not in profile.lanes for point in profile.points
    )


def _ordered(entry: Entry, key: str) -> tuple[float, float] | None:
    """Give two numbers of which the second is the greater; say so when it is not."""
    value = entry.get(key)
    numbers = [
        float(i.data) for i in (value.items() if value is not None else ()) if isinstance(i.data, int | float)
    ]
    if value is None or len(numbers) != 2:
        return None
    if numbers[0] >= numbers[1]:
        entry.names.complain(
            value.span,
            IMPOSSIBLE_NUMBER,
            f"{key} goes from {numbers[0]:g} to {numbers[1]:g}",
            "write the lesser number first",
        )
        return None
    return numbers[0], numbers[1]


def quantity(entry: Entry) -> Quantity:
    """Build a quantity whose numbers agree."""
    limits, target = _ordered(entry, "limits"), _ordered(entry, "target")
    if limits is not None and target is not None and not limits[0] <= target[0] < target[1] <= limits[1]:
        entry.names.complain(
            entry.place.of("target"),
            IMPOSSIBLE_NUMBER,
            f"the target lies outside the limits, {limits[0]:g} and {limits[1]:g}",
            "a reading outside the limits is refused, so a good reed could never be entered",
        )
    precision = entry.number("precision", 0.0)
    return Quantity(
        QuantityId(entry.id),
        entry.text("title", entry.id),
        entry.text("unit"),
        limits,
        target,
        precision or None,
        entry.allowances(),
        entry.place,
    )


def profile(entry: Entry) -> Profile:
    """Build a target thickness; without `lanes` they are those of its points."""
    lanes = entry.get("lanes")
    points = entry.get("points")
    stood = [
        Entry(entry.id, Place(p.span, p), entry.names) for p in (points.items() if points is not None else ())
    ]
    made = tuple(
        ThicknessPoint(
            point.number("at", 0.0),
            point.text("lane"),
            point.number("target", 0.0),
            None if point.get("tolerance") is None else point.number("tolerance", 0.0),
        )
        for point in stood
    )
    listed = lanes.items() if lanes is not None else ()
    named = tuple(dict.fromkeys(lane.data for lane in listed if isinstance(lane.data, str)))
    for point in stood:
        if named and point.text("lane") not in {*named, ""}:
            lane = point.text("lane")
            entry.names.unknown(point.place.of("lane"), f"{entry.id!r} has no lane {lane!r}", lane, named)
    return Profile(
        ProfileId(entry.id),
        entry.text("title", entry.id),
        entry.text("unit", "mm"),
        entry.text("from", "tip"),
        named or tuple(dict.fromkeys(point.lane for point in made)),
        made,
        entry.allowances(),
        entry.place,
    )
