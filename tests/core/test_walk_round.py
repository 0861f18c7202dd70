"""What a walk round the rig gives to know: common-practice differences by hand, and what must hold of all."""

from datetime import date
from math import inf, nan
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from axlewright.core.errors import CoreError
from axlewright.core.findings import Finding, Quantity, Severity
from axlewright.core.tires.identification import Identification, read_identification
from axlewright.core.upkeep.remarks import walk_round_findings
from axlewright.core.upkeep.walk_round import (
    Damage,
    HeightToPass,
    Stem,
    TireSeen,
    WalkRound,
    WalkRoundPolicy,
)

MAY = date(2026, 5, 14)
INCH = 0.0254
PSI = 6894.757293168361


def found(
    *tires: TireSeen,
    height_m: float | None = None,
    heights: tuple[HeightToPass, ...] = (),
    policy: WalkRoundPolicy | None = None,
) -> list[Finding]:
    """Return what a walk-round gives to know, but for legal heights and what nobody noted."""
    told = walk_round_findings(WalkRound(MAY, tires, height_m, heights), policy or WalkRoundPolicy())
    return [one for one in told if one.code not in ("not_noted", "within_legal_height", "above_legal_height")]


def codes(*tires: TireSeen, **rest: Any) -> list[tuple[str, str]]:
    """Return code and subject of every finding."""
    return [(one.code, one.subject) for one in found(*tires, **rest)]


def dual(inner: dict[str, Any], outer: dict[str, Any]) -> tuple[TireSeen, TireSeen]:
    """Return the two tires of a wheel end."""
    return TireSeen("drive.left.inner", **inner), TireSeen("drive.left.outer", **outer)


# Heights.


@pytest.mark.parametrize(
    ("height_m", "code", "severity"),
    [
        (3.50, "height_does_not_pass", Severity.CRITICAL),
        (3.60, "height_does_not_pass", Severity.CRITICAL),
        (3.61, "height_passes_tightly", Severity.WARNING),
        (3.7523, "height_passes_tightly", Severity.WARNING),
        (3.7524, "height_passes", Severity.INFO),
        (4.40, "height_passes", Severity.INFO),
    ],
)
def test_a_height_is_passed_with_six_inches_left_or_it_is_said_so(height_m: float, code: str, severity: str) -> None:
    """Hand: 3.60 m + 6 x 0.0254 m = 3.7524 m; touching is not passing."""
    (finding,) = found(height_m=3.60, heights=(HeightToPass("mill bridge", height_m),))
    assert (finding.code, finding.severity, finding.subject) == (code, severity, "rig")
    assert finding.facts["difference"] == Quantity("length", pytest.approx(abs(height_m - 3.60)))
    assert finding.facts["name"] == "mill bridge"


def test_without_the_rigs_own_height_nothing_is_said_to_pass() -> None:
    told = walk_round_findings(WalkRound(MAY, heights=(HeightToPass("mill bridge", 4.4),)), WalkRoundPolicy())
    assert [(one.code, one.severity) for one in told] == [("height_not_measured", Severity.WARNING)]


# Treads, damage, valves.


def test_tread_near_its_least_is_a_notice_and_the_least_groove_counts() -> None:
    """Hand: 2/32 in = 1.5875 mm, 1/32 in more = 2.38125 mm; 4/32 in = 3.175 mm, 1/32 in more = 3.96875 mm."""
    assert codes(TireSeen("tag.left", tread_depths_m=(0.009, 0.0023))) == [("tread_near_least", "tag.left")]
    assert codes(TireSeen("tag.left", tread_depths_m=(0.009, 0.0024))) == []
    assert codes(TireSeen("steer.left", True, tread_depths_m=(0.0039,))) == [("tread_near_least", "steer.left")]
    assert codes(TireSeen("steer.left", True, tread_depths_m=(0.0040,))) == []


@pytest.mark.parametrize(
    ("damage", "severity"),
    [("cut", "warning"), ("weather_cracks", "warning"), ("object_in_tread", "warning"), ("uneven_wear", "notice")],
)
def test_lesser_damage_is_looked_at_and_does_not_stop_the_rig(damage: str, severity: str) -> None:
    (finding,) = found(TireSeen("steer.left", damages=(Damage(damage),)))
    assert (finding.code, finding.severity, finding.facts) == ("tire_damaged", severity, {"damage": damage})


@pytest.mark.parametrize(
    ("stem", "expected"),
    [
        (None, []),
        (Stem.SOUND, []),
        (Stem.CRACKED, [Severity.WARNING]),
        (Stem.LOOSE, [Severity.WARNING]),
        (Stem.LEAKING, [Severity.CRITICAL]),
    ],
)
def test_a_stem_that_is_not_sound_is_told(stem: Stem | None, expected: list[Severity]) -> None:
    told = found(TireSeen("steer.left", stem=stem))
    assert [one.severity for one in told] == expected
    assert {one.code for one in told} <= {"valve_stem_unsound"}


def test_a_missing_cap_is_a_notice_and_one_nobody_looked_for_is_none() -> None:
    assert codes(TireSeen("steer.left", has_valve_cap=False)) == [("valve_cap_missing", "steer.left")]
    assert codes(TireSeen("steer.left", has_valve_cap=True)) == codes(TireSeen("steer.left")) == []


# Age: hand, on the calendar; common practice, inspected from five years, replaced at ten.


@pytest.mark.parametrize(
    ("made_on", "expected"),
    [
        (date(2021, 5, 15), None),
        (date(2021, 5, 14), ("tire_ages", Severity.NOTICE, 5)),
        (date(2016, 5, 15), ("tire_ages", Severity.NOTICE, 9)),
        (date(2016, 5, 14), ("tire_past_age", Severity.WARNING, 10)),
        (date(1999, 12, 31), ("tire_past_age", Severity.WARNING, 26)),
    ],
)
def test_a_tires_age_is_told_from_five_years(made_on: date, expected: tuple[str, Severity, int] | None) -> None:
    told = [(one.code, one.severity, one.facts["years"]) for one in found(TireSeen("steer.left", made_on=made_on))]
    assert told == ([] if expected is None else [expected])


def test_a_tire_of_a_leap_day_is_ten_years_old_on_the_last_of_february() -> None:
    """Hand: intervals of months end on the month's last day where it is shorter; the text tells the same years."""
    for day, code, years in ((27, "tire_ages", 9), (28, "tire_past_age", 10)):
        seen = WalkRound(date(2026, 2, day), (TireSeen("tag.left", made_on=date(2016, 2, 29)),))
        told = [one for one in walk_round_findings(seen, WalkRoundPolicy()) if one.code != "not_noted"]
        assert [(one.code, one.facts["years"]) for one in told] == [(code, years)]


@pytest.mark.parametrize(
    ("number", "expected"),
    [
        ("AB CD EFHJ 2525", []),
        ("R ABC 2525", [("tire_date_of_retreading", "notice")]),
        ("ABCDEFH0125", [("tire_date_ambiguous", "notice")]),
        ("ABC0125", [("tire_date_ambiguous", "notice")]),
        ("1AB2C3D4E", [("tire_date_on_other_side", "info")]),
    ],
)
def test_what_a_number_leaves_open_is_found_of_young_tires_too(number: str, expected: list[tuple[str, str]]) -> None:
    read = read_identification(number)
    assert isinstance(read, Identification)
    told = found(TireSeen("tag.left", made_on=read.first_day, number=read))
    assert [(one.code, one.severity.value) for one in told] == expected


# Mates of a dual: common practice 4/32 in of tread, 1/4 in of diameter, 5 psi.


@pytest.mark.parametrize(
    ("inner_psi", "severity"), [(60, Severity.CRITICAL), (80, Severity.CRITICAL), (80.1, Severity.WARNING)]
)
def test_a_tire_that_holds_a_fifth_less_than_its_mate_is_as_good_as_flat(inner_psi: float, severity: Severity) -> None:
    """Common practice: a tire at 80 per cent of its pressure or less is taken for one run flat. Hand: 80 of 100 psi."""
    for one, other in ((inner_psi, 100.0), (100.0, inner_psi)):
        [finding] = found(*dual({"pressure_pa": one * PSI}, {"pressure_pa": other * PSI}))
        assert (finding.code, finding.severity) == ("mates_differ_in_pressure", severity)


@pytest.mark.parametrize(
    ("what", "field", "low", "most"),
    [
        ("diameter", "outer_diameter_m", 0.800, INCH / 4),
        ("pressure", "pressure_pa", 95 * PSI, 5 * PSI),
    ],
)
def test_mates_may_differ_by_a_little_and_not_by_more(what: str, field: str, low: float, most: float) -> None:
    assert codes(*dual({field: low}, {field: low + most})) == []
    assert codes(*dual({field: low + most}, {field: low})) == []
    for pair in (dual({field: low}, {field: low + 1.01 * most}), dual({field: low + 1.01 * most}, {field: low})):
        (finding,) = found(*pair)
        assert (finding.code, finding.subject) == (f"mates_differ_in_{what}", "drive.left")
        assert finding.severity is Severity.WARNING
        difference = finding.facts["difference"]
        assert isinstance(difference, Quantity)
        assert difference.value == pytest.approx(1.01 * most)


def test_mates_may_differ_by_four_thirty_seconds_of_tread() -> None:
    """Hand: 4/32 in = 3.175 mm."""
    assert codes(*dual({"tread_depths_m": (0.005, 0.006)}, {"tread_depths_m": (0.008175,)})) == []
    assert codes(*dual({"tread_depths_m": (0.005, 0.006)}, {"tread_depths_m": (0.0082,)})) == [
        ("mates_differ_in_tread", "drive.left")
    ]


def test_mates_of_different_designations_are_told() -> None:
    pair = dual({"designation": "225/70R19.5"}, {"designation": "245/70R19.5"})
    assert codes(*pair) == [("mates_differ_in_designation", "drive.left")]


def test_what_was_noted_of_one_mate_only_is_not_compared_and_said_so() -> None:
    told = found(*dual({"outer_diameter_m": 0.8, "pressure_pa": 6e5}, {"pressure_pa": 6e5}))
    assert [(one.code, one.facts["what"]) for one in told] == [("mates_not_compared", "diameter")]
    alone = found(TireSeen("drive.left.inner", pressure_pa=6e5))
    assert [(one.code, one.subject, one.facts["what"]) for one in alone] == [
        ("mates_not_compared", "drive.left", "anything")
    ]


def test_tires_of_different_wheel_ends_are_no_mates() -> None:
    pair = TireSeen("drive.left", pressure_pa=5e5), TireSeen("drive.right", pressure_pa=7e5)
    assert codes(*pair) == []


@given(st.floats(0.7, 1.1), st.floats(0.7, 1.1))
def test_mates_are_judged_alike_whichever_is_inside(one: float, other: float) -> None:
    pairs = [dual({"outer_diameter_m": a}, {"outer_diameter_m": b}) for a, b in ((one, other), (other, one))]
    assert codes(*pairs[0]) == codes(*pairs[1])
    assume(abs(abs(one - other) - INCH / 4) > 1e-8)
    assert bool(codes(*pairs[0])) == (abs(one - other) > INCH / 4)


# Silence, refusals.


@pytest.mark.parametrize(("months", "severity"), [(545, Severity.WARNING), (546, Severity.NOTICE)])
def test_an_open_decade_gives_a_span_of_ages(months: int, severity: Severity) -> None:
    # Hand: from 7 December 1980 to 14 May 2026 are 45 years and 5 months, 545 months; from 13 December 1990, 35 years.
    tire = TireSeen("steer.left", made_on=date(1980, 12, 7), made_by=date(1990, 12, 13))
    [finding] = found(tire, policy=WalkRoundPolicy(tire_replacement_months=months))
    assert (finding.code, finding.severity, finding.facts) == (
        "tire_age_open",
        severity,
        {"first": "1980-12-07", "last": "1990-12-13", "least": 35, "most": 45},
    )


def test_what_nobody_noted_is_said_tire_by_tire() -> None:
    looked = TireSeen("steer.left", tread_depths_m=(0.01,), made_on=date(2025, 1, 6), damages=())
    blank = TireSeen("steer.right")
    told = walk_round_findings(WalkRound(MAY, (looked, blank)), WalkRoundPolicy())
    assert [(one.code, one.facts) for one in told] == [
        ("not_noted", {"what": "tread", "tires": "steer.right"}),
        ("not_noted", {"what": "age", "tires": "steer.right"}),
        ("not_noted", {"what": "damage", "tires": "steer.right"}),
    ]
    assert walk_round_findings(WalkRound(MAY, (looked,)), WalkRoundPolicy()) == []


@pytest.mark.parametrize(
    ("seen", "code"),
    [
        (WalkRound(MAY, (TireSeen("steer.left"), TireSeen("steer.left"))), "name_twice"),
        (WalkRound(MAY, (TireSeen("steer.left", made_on=date(2026, 5, 15)),)), "tire_made_after_walk_round"),
        (
            WalkRound(MAY, (TireSeen("steer.left", made_on=MAY, made_by=date(2026, 5, 15)),)),
            "tire_made_after_walk_round",
        ),
        (WalkRound(MAY, (TireSeen("steer.left", tread_depths_m=(nan,)),)), "figure_out_of_range"),
        (WalkRound(MAY, (TireSeen("steer.left", pressure_pa=-1.0),)), "figure_out_of_range"),
        (WalkRound(MAY, (TireSeen("steer.left", outer_diameter_m=0.0),)), "figure_out_of_range"),
        (WalkRound(MAY, overall_height_m=inf), "figure_out_of_range"),
        (WalkRound(MAY, overall_height_m=3.6, heights=(HeightToPass("gate", 0.0),)), "figure_out_of_range"),
    ],
)
def test_what_cannot_be_is_refused(seen: WalkRound, code: str) -> None:
    with pytest.raises(CoreError) as refusal:
        walk_round_findings(seen, WalkRoundPolicy())
    assert refusal.value.code == code


@pytest.mark.parametrize(
    ("policy", "field"),
    [
        (WalkRoundPolicy(least_clearance_m=-0.1), "least_clearance_m"),
        (WalkRoundPolicy(most_pressure_difference_pa=nan), "most_pressure_difference_pa"),
        (WalkRoundPolicy(tire_replacement_months=0), "tire_replacement_months"),
    ],
)
def test_a_margin_that_is_none_is_refused(policy: WalkRoundPolicy, field: str) -> None:
    with pytest.raises(CoreError) as refusal:
        walk_round_findings(WalkRound(MAY), policy)
    assert refusal.value.field == field
