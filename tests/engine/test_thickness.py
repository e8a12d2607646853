"""Thickness: against a target, against earlier, quarter against quarter; and as evidence like others."""

from math import erfc, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.belief import believe
from engine.blades import blades
from engine.case import Case, case_of_entries
from engine.findings import told_in, was_asked_in
from engine.thickness import GAUGE, against, chance_shown, left_right, lines_of, taken, upper_lower
from kb.ids import CauseId, FindingId, ProfileId, QuantityId, RemedyId, RulesetId
from kb.log.entry import Answered, Entry, EntryId, Measured, ReedId, RemedyDone, Spot, ThicknessMeasured, What
from kb.model import (
    Answer,
    Cause,
    Edge,
    Finding,
    Profile,
    Quantity,
    QuantityRead,
    Ruleset,
    Show,
    ThicknessPoint,
    ThicknessRead,
)

PROFILE = Profile(
    ProfileId("medium"),
    "Medium",
    "mm",
    "tip",
    ("spine", "rail"),
    (ThicknessPoint(10.0, "spine", 0.52, 0.03), ThicknessPoint(10.0, "rail", 0.4)),
)
THICK = FindingId("spine-thick")
TOO_THICK = ThicknessRead(PROFILE.id, "spine", (8.0, 12.0), Edge.ABOVE)


def rules(*, precision: float | None = None) -> Ruleset:
    quantity = Quantity(QuantityId("spine"), "Spine", "mm", (0.1, 2.0), None, precision)
    return Ruleset(
        RulesetId("r"),
        "R",
        "1",
        quantities=(quantity,),
        thickness=(PROFILE,),
        findings=(
            Finding(THICK, "Thick", "Thick?", is_sign=True, read=TOO_THICK),
            Finding(
                FindingId("quantity-thick"),
                "Thick",
                "Thick?",
                is_sign=True,
                read=QuantityRead(quantity.id, Edge.ABOVE, 0.0, 0.55),
            ),
        ),
        causes=(
            Cause(CauseId("a"), "A", 0.2, (Show(THICK, 0.9),)),
            Cause(CauseId("b"), "B", 0.2, (Show(FindingId("quantity-thick"), 0.9),)),
        ),
    )


def measured(*spots: Spot, datum: str = "tip", **more: float) -> ThicknessMeasured:
    return ThicknessMeasured(datum, spots, more.get("precision"), more.get("from_tip"))


def entries(*whats: What) -> tuple[Entry, ...]:
    return tuple(Entry(EntryId(f"e{n}"), ReedId("r"), "t", None, what) for n, what in enumerate(whats))


def case_of(ruleset: Ruleset, *whats: What) -> Case:
    return case_of_entries(ruleset, entries(*whats))[0]


def normal(x: float) -> float:
    return 0.5 * erfc(-x / sqrt(2))


@given(st.floats(0.45, 0.65), st.floats(0.005, 0.05))
def test_a_thickness_is_evidence_by_the_same_law_as_a_reading_with_a_precision(
    value: float, sigma: float
) -> None:
    ruleset = rules(precision=sigma)
    one = believe(ruleset, case_of(ruleset, measured(Spot("spine", 10.0, (value,)), precision=sigma)))
    other = believe(ruleset, case_of(ruleset, Measured(QuantityId("spine"), value)))
    assert one.chance(CauseId("a")) == pytest.approx(other.chance(CauseId("b")), abs=1e-7)


def test_a_thickness_without_a_stated_precision_is_soft_evidence_all_the_same() -> None:
    chance = chance_shown(PROFILE, TOO_THICK, (measured(Spot("spine", 10.0, (0.56,))),))
    assert chance == pytest.approx(normal(0.01 / GAUGE))


def test_measuring_again_counts_with_the_spread_of_the_readings() -> None:
    spots = Spot("spine", 10.0, (0.55, 0.59))
    chance = chance_shown(PROFILE, TOO_THICK, (measured(spots, precision=0.01),))
    assert chance == pytest.approx(normal(0.02 / sqrt(0.01**2 + 0.02**2)))


def test_the_thickest_quarter_decides_and_many_places_are_no_more_than_the_worst() -> None:
    four = [
        Spot("spine", 10.0, (value,), blade, side)
        for value, (blade, side) in zip(
            (0.5, 0.56, 0.53, 0.55),
            (("upper", "left"), ("upper", "right"), ("lower", "left"), ("lower", "right")),
            strict=True,
        )
    ]
    all_of_them = chance_shown(PROFILE, TOO_THICK, (measured(*four),))
    assert all_of_them == chance_shown(PROFILE, TOO_THICK, (measured(four[1]),))


def test_a_point_is_read_between_neighbours_that_are_near_and_not_between_far_ones() -> None:
    near = measured(Spot("spine", 8.0, (0.50,)), Spot("spine", 12.0, (0.54,)))
    [one] = against(PROFILE, (near,))
    assert one.reading.value == pytest.approx(0.52)
    assert one.reading.sigma == pytest.approx(GAUGE / sqrt(2))
    assert against(PROFILE, (measured(Spot("spine", 2.0, (0.3,)), Spot("spine", 20.0, (0.7,))),)) == ()
    assert against(PROFILE, (measured(Spot("spine", 10.9, (0.5,))),))[0].reading.value == 0.5


def test_distances_from_the_shoulder_count_once_its_distance_from_the_tip_is_said() -> None:
    spot = Spot("spine", 17.5, (0.52,))
    assert against(PROFILE, (measured(spot, datum="shoulder"),)) == ()
    assert chance_shown(PROFILE, TOO_THICK, (measured(spot, datum="shoulder"),)) is None
    [one] = against(PROFILE, (measured(spot, datum="shoulder", from_tip=27.5),))
    assert one.reading.at == 10.0


def test_targets_in_another_unit_are_converted() -> None:
    inch = Profile(
        ProfileId("i"), "I", "in", "tip", ("spine",), (ThicknessPoint(10.0, "spine", 0.02, 0.001),)
    )
    [one] = against(inch, (measured(Spot("spine", 10.0, (0.52,))),))
    assert one.target == pytest.approx(0.508)
    assert one.tolerance == pytest.approx(0.0254)


def test_where_cane_was_taken_is_found_again_and_noise_is_not_called_so() -> None:
    before = lines_of((measured(Spot("spine", 10.0, (0.56,)), Spot("rail", 10.0, (0.40,))),), "tip")
    after = lines_of((measured(Spot("spine", 10.1, (0.52,)), Spot("rail", 10.0, (0.39,))),), "tip")
    plain = {one.first.lane: one.by for one in taken(before, after) if one.is_plain}
    assert plain == {"spine": pytest.approx(0.04)}


def test_quarters_are_set_against_each_other() -> None:
    lines = lines_of(
        (
            measured(
                Spot("rail", 10.0, (0.45,), "upper", "left"),
                Spot("rail", 10.0, (0.40,), "upper", "right"),
                Spot("rail", 10.0, (0.44,), "lower", "left"),
                Spot("spine", 10.0, (0.52,), "upper"),
            ),
        ),
        "tip",
    )
    [across] = left_right(lines)
    [over] = upper_lower(lines)
    assert across.by == pytest.approx(0.05)
    assert across.is_plain
    assert over.by == pytest.approx(0.01)
    assert not over.is_plain


def test_an_answer_in_the_same_round_goes_before_the_reading_and_a_remedy_ends_its_say() -> None:
    ruleset = rules()
    thick = measured(Spot("spine", 10.0, (0.7,)))
    case = case_of(ruleset, thick)
    assert told_in(ruleset, case.present, THICK) is Answer.YES
    assert was_asked_in(ruleset, case.present, THICK)
    case = case_of(ruleset, thick, Answered(THICK, Answer.NO))
    assert told_in(ruleset, case.present, THICK) is Answer.NO
    case = case_of(ruleset, thick, RemedyDone(RemedyId("gone")))
    assert told_in(ruleset, case.present, THICK) is None


def test_no_thickness_is_so_sure_that_it_contradicts_an_answer_for_good() -> None:
    ruleset = rules()
    belief = believe(ruleset, case_of(ruleset, measured(Spot("spine", 10.0, (4.9,)), precision=1e-6)))
    assert belief.is_possible
    assert belief.chance(CauseId("a")) > 0.9


def test_repeated_readings_of_a_quantity_widen_what_the_ruleset_says() -> None:
    ruleset = rules(precision=0.01)
    repeated = case_of(ruleset, Measured(QuantityId("spine"), 0.57, (0.55, 0.59))).present
    assert repeated.sigma(ruleset, QuantityId("spine")) == pytest.approx(sqrt(0.01**2 + 0.02**2))
    replaced = case_of(
        ruleset, Measured(QuantityId("spine"), 0.57, (0.55, 0.59)), Measured(QuantityId("spine"), 0.5)
    )
    assert replaced.present.sigmas == ()
    own = case_of(ruleset, Measured(QuantityId("spine"), 0.57, (), 0.002)).present
    assert own.sigma(ruleset, QuantityId("spine")) == 0.002


def test_the_blades_are_seen_as_last_measured_and_beside_what_they_were() -> None:
    told = entries(
        measured(Spot("spine", 10.0, (0.60,), "upper"), Spot("rail", 10.0, (0.4,), "upper", "left")),
        RemedyDone(RemedyId("scrape")),
        measured(Spot("spine", 10.0, (0.53,), "upper")),
    )
    seen = blades(PROFILE, told)
    assert seen is not None
    assert {line.lane: one[0].value for line, one in seen.lines.items()} == {"spine": 0.53, "rail": 0.4}
    assert [(one.first.lane, round(one.by, 3)) for one in seen.taken] == [("spine", 0.07)]
    assert blades(PROFILE, told[1:2]) is None
