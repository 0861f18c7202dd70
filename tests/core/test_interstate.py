"""Interstate limits on request: which axles each counts, and how they stand beside the ratings."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.assessment import Assessment, Choices, assess
from axlewright.core.estimates import UnknownBecause
from axlewright.core.findings import Severity
from axlewright.core.loads.interstate import (
    InterstateLimit,
    InterstateRule,
    PlacedAxle,
    bridge_formula_kg,
    interstate_limits_of,
)
from axlewright.core.loads.limit_rows import limit_rows
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.standings import Standing
from axlewright.core.policy import Policy
from axlewright.core.rig import Rig, VehicleKind
from tests.yard import INCH, LB, PSI, axle, known_loads, motorhome, plain_motorhome, rig, tires, vehicle

FOOT = 12 * INCH
POLICY = Policy(rounding_step_pa=5 * PSI, interstate=True)
KINDS = {LimitKind(rule) for rule in InterstateRule}
STRONG = tires("315/80R22.5", single_lb=15_000, dual_lb=9_000, max_psi=130)
PLACES_IN = st.lists(st.integers(20, 600), max_size=6).map(
    lambda gaps: [sum(gaps[:place]) for place in range(len(gaps) + 1)]
)


def coach() -> Rig:
    """Return a coach with a tag axle 48 in behind its drive axle, rated far above any limit of law."""
    places_in = {"steer": 0.0, "drive": 212.0, "tag": 260.0}
    axles = (axle(name, gawr_lb=30_000, fitted=STRONG, aft_in=aft_in) for name, aft_in in places_in.items())
    return rig(vehicle(*axles, gvwr_lb=90_000))


def loaded(subject: Rig, policy: Policy = POLICY, **axles_lb: float) -> Assessment:
    """Return the assessment of axle loads, shared evenly by the sides and exact."""
    loads_lb = {f"{name}.{side}": load_lb / 2 for name, load_lb in axles_lb.items() for side in ("left", "right")}
    return assess(subject, known_loads(loads_lb), Choices(policy))


def checks(answer: Assessment) -> dict[tuple[LimitKind, str], LimitCheck]:
    """Return the Interstate limits by kind and subject."""
    return {(check.kind, check.subject): check for check in answer.limits if check.kind in KINDS}


def standings(answer: Assessment) -> dict[tuple[LimitKind, str], Standing | None]:
    """Return how each Interstate limit stands."""
    return {key: check.judgement and check.judgement.standing for key, check in checks(answer).items()}


def in_line(places_in: list[float]) -> list[PlacedAxle]:
    """Return axles at such places [in], named by their number."""
    return [(str(number), aft_in * INCH, {f"{number}.left": 1.0}) for number, aft_in in enumerate(places_in)]


def told(places_in: list[float], rule: InterstateRule) -> dict[str, float]:
    """Return the limits of a rule in lb, by the axles that they count."""
    limits = [limit for limit in interstate_limits_of(in_line(places_in)) if limit.rule is rule]
    return {" ".join(name.removesuffix(".left") for name in limit.of): limit.most_kg / LB for limit in limits}


def test_nothing_is_held_against_the_law_unless_asked_for() -> None:
    answer = loaded(coach(), structs.replace(POLICY, interstate=False), steer=25_000, drive=25_000, tag=25_000)
    assert checks(answer) == {}
    assert not {finding.code for finding in answer.findings} & {"interstate_baseline", "interstate_each_vehicle"}


def test_every_group_of_axles_has_its_limit_of_law() -> None:
    """Hand: 212 in are 17.67 ft, to 18: 500 (36 + 24 + 36); 260 in are 21.67 ft, to 22: 500 (33 + 36 + 36)."""
    answer = loaded(coach(), steer=12_000, drive=20_000, tag=14_000)
    assert {key: check.limit / LB for key, check in checks(answer).items() if isinstance(check.limit, float)} == (
        pytest.approx(
            {
                (LimitKind.INTERSTATE_AXLE, "steer"): 20_000,
                (LimitKind.INTERSTATE_AXLE, "drive"): 20_000,
                (LimitKind.INTERSTATE_AXLE, "tag"): 20_000,
                (LimitKind.INTERSTATE_TANDEM, "drive + tag"): 34_000,
                (LimitKind.INTERSTATE_GROSS, "steer to tag"): 80_000,
                (LimitKind.BRIDGE_FORMULA, "steer + drive"): 48_000,
                (LimitKind.BRIDGE_FORMULA, "steer to tag"): 52_500,
            }
        )
    )
    assert set(standings(answer).values()) <= {Standing.CLEAR, Standing.TIGHT}


def test_each_limit_counts_the_axles_that_it_names() -> None:
    """Hand: drive 20,100 of 20,000; drive and tag 34,100 of 34,000; all three 52,600 of 52,500, and of 80,000."""
    stands = standings(loaded(coach(), steer=18_500, drive=20_100, tag=14_000))
    over = {(kind.value, subject) for (kind, subject), standing in stands.items() if standing is Standing.OVER}
    assert over == {
        ("interstate_axle", "drive"),
        ("interstate_tandem", "drive + tag"),
        ("bridge_formula", "steer to tag"),
    }


def test_a_load_over_the_law_is_a_critical_finding() -> None:
    answer = loaded(plain_motorhome(), steer=12_000, drive=20_020)
    [over] = [finding for finding in answer.findings if finding.code == "limit_over"]
    assert (over.subject, over.severity, over.facts["kind"]) == ("drive", Severity.CRITICAL, LimitKind.INTERSTATE_AXLE)


def test_limits_of_law_leave_the_governing_ones_of_the_ratings_in_place() -> None:
    axles_lb = {"steer": 5_000.0, "drive": 9_000.0}
    with_law, without = (
        {
            check.level: (check.kind, check.bound)
            for check in loaded(motorhome(), structs.replace(POLICY, interstate=asked), **axles_lb).limits
            if check.governs
        }
        for asked in (True, False)
    )
    levels_of_law = {level for level in with_law if level.endswith(" interstate")}
    assert levels_of_law == {"steer interstate", "drive interstate", "steer + drive interstate"}
    assert {level: kind for level, kind in with_law.items() if level not in levels_of_law} == without
    assert with_law["steer + drive interstate"][0] is LimitKind.BRIDGE_FORMULA


def test_a_group_with_an_axle_that_was_not_weighed_is_not_judged() -> None:
    found = checks(loaded(coach(), steer=12_000, drive=20_000))
    for subject, kind in (("tag", LimitKind.INTERSTATE_AXLE), ("drive + tag", LimitKind.INTERSTATE_TANDEM)):
        check = found[kind, subject]
        assert (check.unknown_because, check.judgement) == (UnknownBecause.NOT_WEIGHED, None)
    assert found[LimitKind.BRIDGE_FORMULA, "steer + drive"].judgement is not None


def test_they_are_rows_over_the_loads_like_every_limit() -> None:
    answer = loaded(coach(), steer=12_000, drive=20_000, tag=14_000)
    rows = {row.check.subject: row for row in limit_rows(answer.limits, answer.estimates) if row.check.kind in KINDS}
    assert rows["drive + tag"].row.tolist() == [0, 0, 1, 1, 1, 1]
    assert rows["drive + tag"].most_kg / LB == pytest.approx(34_000)


def test_what_the_law_leaves_open_is_said() -> None:
    alone = loaded(plain_motorhome(), steer=12_000, drive=20_000)
    codes = {finding.code: (finding.severity, finding.subject) for finding in alone.findings}
    assert codes["interstate_baseline"] == (Severity.INFO, "invented")
    assert "interstate_each_vehicle" not in codes
    single = axle("axle", gawr_lb=3_000, aft_in=120.0)
    trailer = loaded(rig(vehicle(single, gvwr_lb=3_000, kind=VehicleKind.TRAILER)), axle=2_000)
    [each] = [finding for finding in trailer.findings if finding.code == "interstate_each_vehicle"]
    assert each.severity is Severity.NOTICE


@pytest.mark.parametrize(
    ("places_in", "singles"),
    [
        ([0.0, 40.0], {"0 1"}),
        ([0.0, 40.1], {"0", "1"}),
        ([0.0, 35.0, 70.0], {"0 1", "1 2"}),
        ([0.0, 20.0, 40.0, 60.0], {"0 1 2", "1 2 3"}),
        ([0.0, 100.0, 130.0], {"0", "1 2"}),
    ],
)
def test_axles_that_any_40_inches_hold_are_one_single_axle(places_in: list[float], singles: set[str]) -> None:
    assert told(places_in, InterstateRule.AXLE) == pytest.approx(dict.fromkeys(singles, 20_000))


@pytest.mark.parametrize(
    ("places_in", "tandems"),
    [
        ([0.0, 40.0], set()),
        ([0.0, 40.1], {"0 1"}),
        ([0.0, 96.0], {"0 1"}),
        ([0.0, 96.1], set()),
        ([0.0, 48.0, 96.0], {"0 1 2"}),
        ([0.0, 50.0, 100.0], {"0 1", "1 2"}),
        ([0.0, 35.0, 70.0], {"0 1 2"}),
    ],
)
def test_a_tandem_is_all_that_96_inches_hold_and_40_do_not(places_in: list[float], tandems: set[str]) -> None:
    assert told(places_in, InterstateRule.TANDEM) == pytest.approx(dict.fromkeys(tandems, 34_000))


def test_axles_within_40_inches_count_once_in_the_formula() -> None:
    """Hand: 35 ft, 3 axles and not 4: 500 (52.5 + 36 + 36) = 62,250, to 62,000."""
    assert told([0.0, 144.0, 384.0, 420.0], InterstateRule.BRIDGE_FORMULA)["0 1 2 3"] == pytest.approx(62_000)


@pytest.mark.parametrize(
    ("length_m", "axles", "most_lb"),
    [
        (9.5 * FOOT, 2, 39_000),  # half a foot goes down, to 9: 500 (18 + 24 + 36)
        (9.51 * FOOT, 2, 40_000),  # 10
        (10.49 * FOOT, 2, 40_000),
        (96 * INCH, 3, 34_000),
        (96.001 * INCH, 3, 42_000),  # 8: 500 (12 + 36 + 36)
        (102 * INCH, 3, 42_000),
        (103 * INCH, 3, 42_500),  # 9: 42,750, half of 500 lb goes down
        (0.0, 2, 34_000),
    ],
)
def test_lengths_go_to_the_nearest_foot_and_ties_down(length_m: float, axles: int, most_lb: float) -> None:
    assert bridge_formula_kg(length_m, axles) / LB == pytest.approx(most_lb)


@pytest.mark.parametrize(("middle_in", "most_lb"), [(336.0, 68_000), (335.9, 66_000), (420.0, 70_500)])
def test_two_tandems_are_excepted_from_36_feet_on_by_the_true_length(middle_in: float, most_lb: float) -> None:
    """Hand: 336 + 96 in are 36 ft: the formula alone 500 (48 + 84) = 66,000; 43 ft 70,666.7, to 70,500."""
    places_in = [0.0, 48.0, 48.0 + middle_in, 96.0 + middle_in]
    assert told(places_in, InterstateRule.BRIDGE_FORMULA)["0 1 2 3"] == pytest.approx(most_lb)


def test_a_tandem_and_two_single_axles_are_not_two_tandems() -> None:
    assert told([0.0, 48.0, 240.0, 432.0], InterstateRule.BRIDGE_FORMULA)["0 1 2 3"] == pytest.approx(66_000)


@given(st.floats(8.01, 120.0), st.integers(2, 8))
def test_rounding_moves_the_formula_by_no_more_than_half_steps(length_ft: float, axles: int) -> None:
    exact_lb = 500 * (length_ft * axles / (axles - 1) + 12 * axles + 36)
    most_off_lb = 250 + 500 * 0.5 * axles / (axles - 1)
    assert abs(bridge_formula_kg(length_ft * FOOT, axles) / LB - exact_lb) <= most_off_lb + 1e-3


@given(st.integers(1, 1_400), st.integers(2, 8))
def test_a_longer_group_may_never_carry_less(length_in: int, axles: int) -> None:
    assert bridge_formula_kg(length_in * INCH, axles) <= bridge_formula_kg((length_in + 1) * INCH, axles)


@given(PLACES_IN)
def test_every_axle_is_in_a_single_one_and_every_group_beyond_96_inches_in_the_formula(places_in: list[int]) -> None:
    limits = list(interstate_limits_of(in_line([float(place) for place in places_in])))

    def groups(rule: InterstateRule) -> list[list[int]]:
        return [[int(name.split(".")[0]) for name in limit.of] for limit in limits if limit.rule is rule]

    def span_in(group: list[int]) -> int:
        return places_in[group[-1]] - places_in[group[0]]

    count = len(places_in)
    everyone = list(range(count))
    runs = [everyone[first:end] for first in range(count) for end in range(first + 1, count + 1)]
    assert groups(InterstateRule.GROSS) == [everyone]
    assert groups(InterstateRule.BRIDGE_FORMULA) == [run for run in runs if span_in(run) > 96]
    for rule, within_in in ((InterstateRule.AXLE, 40), (InterstateRule.TANDEM, 96)):
        for run in (run for run in runs if span_in(run) <= within_in and (within_in == 40 or span_in(run) > 40)):
            assert sum(set(run) <= set(group) for group in groups(rule)) >= 1
        assert all(span_in(group) <= within_in for group in groups(rule))
        assert all(not set(one) <= set(other) for one, other in pairwise(groups(rule)))


@given(PLACES_IN, st.floats(-20.0, 20.0))
def test_only_distances_between_axles_count(places_in: list[int], moved_in: float) -> None:
    def limits(shift_in: float) -> list[InterstateLimit]:
        return list(interstate_limits_of(in_line([place + shift_in for place in places_in])))

    assert limits(moved_in) == limits(0.0)
