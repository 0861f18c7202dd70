"""Limits, each with its own rating, and which of them governs."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from msgspec import structs

from axlewright.core.assessment import Assessment, Choices, assess
from axlewright.core.estimates import Estimate, UnknownBecause
from axlewright.core.findings import Severity
from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.limit_rows import limit_rows
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.standings import Bound, Standing
from axlewright.core.policy import Policy
from axlewright.core.rig import AxleGroup, Fitment, Rig, Suspension, VehicleKind, Wheel
from tests.yard import LB, PSI, axle, known_loads, motorhome, rig, tires, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
LOADS_LB = {"steer.left": 2_500.0, "steer.right": 2_600.0, "drive.left": 4_300.0, "drive.right": 4_500.0}


def assessed(
    subject: Rig, loads_lb: Mapping[str, float], u_lb: float | None = 0.0, policy: Policy = POLICY
) -> Assessment:
    """Return the assessment of known loads."""
    return assess(subject, known_loads(loads_lb, u_lb), Choices(policy))


def limit(answer: Assessment, subject: str, kind: LimitKind) -> LimitCheck:
    """Return the one limit of a subject and kind."""
    [check] = [each for each in answer.limits if each.subject == subject and each.kind is kind]
    return check


def limit_lb(check: LimitCheck) -> float:
    """Return the limit in lb."""
    assert isinstance(check.limit, float)
    return check.limit / LB


def standing(check: LimitCheck) -> Standing | None:
    """Return the standing, None where it is not judged."""
    return None if check.judgement is None else check.judgement.standing


def codes(answer: Assessment, subject: str) -> set[str]:
    """Return the codes of the findings on a subject."""
    return {finding.code for finding in answer.findings if finding.subject == subject}


def test_every_level_is_limited_by_its_own_rating() -> None:
    """Hand: tires 3,970 single and 3,750 dual; a dual wheel end 2 x 3,750; axle tires 2 x 3,970 and 4 x 3,750."""
    answer = assessed(motorhome(), LOADS_LB)
    limits_lb = {(check.subject, check.kind): limit_lb(check) for check in answer.limits if check.bound is Bound.MOST}
    assert limits_lb == pytest.approx(
        {
            **{(f"steer.{side}", kind): 3_970 for side in ("left", "right") for kind in (LimitKind.TIRE, "wheel_end")},
            **{(f"drive.{side}", LimitKind.TIRE): 3_750 for side in ("left", "right")},
            **{(f"drive.{side}", LimitKind.WHEEL_END): 7_500 for side in ("left", "right")},
            ("steer", LimitKind.AXLE_TIRES): 7_940,
            ("drive", LimitKind.AXLE_TIRES): 15_000,
            ("steer", LimitKind.AXLE): 7_000,
            ("drive", LimitKind.AXLE): 12_000,
            ("coach", LimitKind.VEHICLE): 18_000,
        }
    )


def test_a_dual_tire_carries_half_its_wheel_end_and_is_judged_by_its_dual_rating() -> None:
    """Hand: 7,600/2 = 3,800 lb is over 3,750 dual, though not over 3,970 single."""
    answer = assessed(motorhome(drive_lb=20_000, gvwr_lb=30_000), {**LOADS_LB, "drive.left": 7_600.0})
    check = limit(answer, "drive.left", LimitKind.TIRE)
    assert isinstance(check.value, Estimate)
    assert check.value.value / LB == pytest.approx(3_800)
    assert standing(check) is Standing.OVER


def test_a_chassis_rated_below_the_sum_of_its_axles_is_judged_by_its_own_rating() -> None:
    """Hand: axles 7,000 + 12,000 = 19,000; 6,600 + 11,600 = 18,200 lb is under both, over a chassis of 18,000."""
    loads_lb = {"steer.left": 3_300.0, "steer.right": 3_300.0, "drive.left": 5_800.0, "drive.right": 5_800.0}
    answer = assessed(motorhome(gvwr_lb=18_000), loads_lb)
    chassis = limit(answer, "coach", LimitKind.VEHICLE)
    assert standing(chassis) is Standing.OVER
    assert limit_lb(chassis) == pytest.approx(18_000)
    assert Standing.OVER not in {standing(check) for check in answer.limits if check is not chassis}
    assert "limit_over" in codes(answer, "coach")
    assert standing(limit(assessed(motorhome(gvwr_lb=19_500), loads_lb), "coach", LimitKind.VEHICLE)) is Standing.CLEAR


def test_the_tires_of_an_axle_show_a_certain_overload_without_wheel_ends() -> None:
    """Hand: 8,100 lb on two tires of 3,970, whatever the split; the wheel ends are not known."""
    answer = assessed(
        motorhome(steer_lb=9_000, gvwr_lb=20_000),
        {"steer.left+steer.right": 8_100.0, "drive.left+drive.right": 10_000.0},
        u_lb=30.0,
    )
    assert standing(limit(answer, "steer", LimitKind.AXLE_TIRES)) is Standing.OVER
    assert standing(limit(answer, "steer", LimitKind.AXLE)) is Standing.CLEAR
    assert limit(answer, "steer.left", LimitKind.TIRE).unknown_because is UnknownBecause.NOT_SEPARATED
    assert standing(limit(answer, "steer.left", LimitKind.TIRE)) is None


def test_the_least_relative_margin_governs_a_level() -> None:
    """Hand, drive axle at 11,500 + 2 x 20 lb: axle (12,000 - 11,540)/12,000, tires (15,000 - 11,540)/15,000."""
    answer = assess(
        motorhome(),
        known_loads({"steer.left": 2_500.0, "steer.right": 2_600.0, "drive.left+drive.right": 11_500.0}, 20.0),
        Choices(POLICY),
    )
    governing = {check.level: check for check in answer.limits if check.governs}
    assert governing["drive"].kind is LimitKind.AXLE
    assert governing["drive"].relative_margin == pytest.approx(460 / 12_000)
    assert limit(answer, "drive", LimitKind.AXLE_TIRES).relative_margin == pytest.approx(3_460 / 15_000)
    assert governing["steer.right"].relative_margin == pytest.approx((3_970 - 2_640) / 3_970)
    assert "drive.left" not in governing
    for level in {check.level for check in answer.limits}:
        judged = [check for check in answer.limits if check.level == level and check.relative_margin is not None]
        assert sum(check.governs for check in judged) == (1 if judged else 0)
        if judged:
            least = min(check.relative_margin or 0.0 for check in judged)
            assert next(check for check in judged if check.governs).relative_margin == least


def test_a_wheel_may_be_weaker_than_its_tires() -> None:
    """Hand: wheels of 3,500 lb: a dual wheel end 7,000, and 3,600 lb on a single one is over."""
    answer = assessed(motorhome(wheel=Wheel(max_load_kg=3_500 * LB)), {**LOADS_LB, "steer.right": 3_600.0})
    assert standing(limit(answer, "steer.right", LimitKind.WHEEL)) is Standing.OVER
    assert standing(limit(answer, "steer.right", LimitKind.TIRE)) is Standing.CLEAR
    assert limit_lb(limit(answer, "drive.left", LimitKind.WHEEL_END)) == pytest.approx(7_000)
    assert limit_lb(limit(answer, "drive.left", LimitKind.WHEEL)) == pytest.approx(3_500)


def test_a_wheel_end_rated_by_its_maker_is_judged_by_the_weakest_part() -> None:
    """Hand: hub 3,000 lb, under the tire's 3,970."""
    subject = motorhome()
    [coach] = subject.vehicles
    steer, drive = coach.axles
    weak = structs.replace(steer, left=structs.replace(steer.left, max_load_kg=3_000 * LB))
    answer = assessed(rig(structs.replace(coach, axles=(weak, drive))), {**LOADS_LB, "steer.left": 3_050.0})
    assert limit_lb(limit(answer, "steer.left", LimitKind.WHEEL_END)) == pytest.approx(3_000)
    assert standing(limit(answer, "steer.left", LimitKind.WHEEL_END)) is Standing.OVER
    assert limit_lb(limit(answer, "steer.right", LimitKind.WHEEL_END)) == pytest.approx(3_970)


def passenger(kind: VehicleKind, name: str = "car") -> Rig:
    """Return a vehicle on P-metric tires of 2,000 lb."""
    fitted = tires("P235/75R15 105S", single_lb=2_000, dual_lb=None, max_psi=35)
    return rig(
        vehicle(
            axle("front", gawr_lb=3_800, fitted=fitted),
            axle("rear", gawr_lb=3_800, fitted=fitted, aft_in=110),
            gvwr_lb=7_000,
            kind=kind,
            name=name,
        )
    )


@pytest.mark.parametrize(
    ("kind", "rating_lb"),
    [
        (VehicleKind.VAN, 1_818.18),
        (VehicleKind.MOTORHOME, 1_818.18),
        (VehicleKind.TOW_VEHICLE, 1_818.18),
        (VehicleKind.TRAVEL_TRAILER, 1_818.18),
        (VehicleKind.TOWED_CAR, 2_000.0),
    ],
)
def test_a_passenger_car_tire_counts_a_tenth_less_on_anything_but_a_car(kind: VehicleKind, rating_lb: float) -> None:
    """Published: 49 CFR 571.120, S5.1.2: 2,000 lb/1.10 = 1,818.18 lb (the 91 % of trade texts would be 1,820)."""
    loads_lb = {"front.left": 1_819.0, "front.right": 1_500.0, "rear.left": 1_500.0, "rear.right": 1_500.0}
    answer = assessed(passenger(kind), loads_lb)
    check = limit(answer, "front.left", LimitKind.TIRE)
    assert limit_lb(check) == pytest.approx(rating_lb, abs=0.005)
    assert standing(check) is (Standing.OVER if rating_lb < 1_819 else Standing.CLEAR)
    assert ("passenger_tire_derated" in codes(answer, "front")) is (rating_lb < 2_000)


def trailer(gvwr_lb: float = 9_000) -> Rig:
    """Return a tandem trailer on special-trailer tires."""
    fitted = tires("ST225/75R15 D", single_lb=2_540, dual_lb=None, max_psi=65)
    return rig(
        vehicle(
            axle("front", gawr_lb=5_000, fitted=fitted, aft_in=150),
            axle("rear", gawr_lb=5_000, fitted=fitted, aft_in=185),
            gvwr_lb=gvwr_lb,
            kind=VehicleKind.TRAVEL_TRAILER,
            name="trailer",
        )
    )


def on_the_trailer(each_lb: float) -> dict[str, float]:
    """Return the same load on each of its wheel ends."""
    return {f"{name}.{side}": each_lb for name in ("front", "rear") for side in ("left", "right")}


def test_a_trailers_rating_has_no_standing_while_its_coupling_load_is_unknown() -> None:
    """Statics: its load is its axles' and its coupling's; 4 x 2,000 = 8,000 lb alone prove nothing against 9,000."""
    answer = assessed(trailer(), on_the_trailer(2_000.0), u_lb=10.0)
    check = limit(answer, "trailer", LimitKind.VEHICLE)
    assert standing(check) is None
    assert check.unknown_because is UnknownBecause.COUPLING_NOT_WEIGHED
    assert "limit_unknown" in codes(answer, "trailer")
    assert "axles_alone_over" not in codes(answer, "trailer")
    assert not any(check.kind is LimitKind.STEERING_SHARE for check in answer.limits)


@pytest.mark.parametrize(
    ("each_lb", "is_certain"), [(2_250.0, False), (2_259.0, False), (2_261.0, True), (2_300.0, True)]
)
def test_axles_that_alone_exceed_a_trailers_rating_are_a_certain_overload(each_lb: float, is_certain: bool) -> None:
    """Hand: 4 x 2,260 - 2 x 20 = 9,000 lb (u of the sum: 10 sqrt(4) = 20)."""
    answer = assessed(trailer(), on_the_trailer(each_lb), u_lb=10.0)
    found = [finding for finding in answer.findings if finding.code == "axles_alone_over"]
    assert bool(found) is is_certain
    assert {finding.severity for finding in found} <= {Severity.CRITICAL}
    assert standing(limit(answer, "trailer", LimitKind.VEHICLE)) is None


# Common practice: at least 20 % of a motor vehicle's load on its steering axle.
@pytest.mark.parametrize(
    ("steer_lb", "expected"),
    [(2_300, Standing.CLEAR), (2_050, Standing.TIGHT), (2_000, Standing.TIGHT), (1_999, Standing.SHORT)],
)
def test_a_steering_axle_must_keep_its_share(steer_lb: float, expected: Standing) -> None:
    """Hand, exact loads, gross 10,000 lb: 0.23, 0.205 (under 0.20 x 1.05), 0.20, 0.1999."""
    half = steer_lb / 2
    loads_lb = {"steer.left": half, "steer.right": half, "drive.left+drive.right": 10_000.0 - steer_lb}
    check = limit(assessed(motorhome(), loads_lb), "coach", LimitKind.STEERING_SHARE)
    assert check.bound is Bound.LEAST
    assert isinstance(check.value, Estimate)
    assert check.value.value == pytest.approx(steer_lb / 10_000)
    assert standing(check) is expected


def test_the_doubt_of_a_share_counts_what_both_its_parts_have_in_common() -> None:
    """Hand, JCGM 100:2008, 5.1.2: s = F/(F + R), u^2 = ((1 - s) u_F/W)^2 + (s u_R/W)^2, F 2,500, R 7,500, u 30 each."""
    answer = assessed(motorhome(), {"steer.left+steer.right": 2_500.0, "drive.left+drive.right": 7_500.0}, u_lb=30.0)
    value = limit(answer, "coach", LimitKind.STEERING_SHARE).value
    assert isinstance(value, Estimate)
    assert value.u == pytest.approx(((0.75 * 30 / 10_000) ** 2 + (0.25 * 30 / 10_000) ** 2) ** 0.5)


# Published rows of 225/70R19.5 G single, psi and lb: 65 2755, 80 3195, 95 3640, 110 3970 (a tire engineer's answers).
@pytest.mark.parametrize(
    ("load_lb", "now_psi", "expected"),
    [(2_600, 80, Standing.CLEAR), (3_100, 80, Standing.TIGHT), (3_200, 80, Standing.OVER), (3_200, 95, Standing.CLEAR)],
)
def test_a_tire_is_judged_at_the_pressure_that_it_has(load_lb: float, now_psi: float, expected: Standing) -> None:
    subject = motorhome(steer=tires(now_psi=now_psi))
    answer = assessed(subject, {**LOADS_LB, "steer.left": load_lb})
    assert standing(limit(answer, "steer.left", LimitKind.TIRE_AT_PRESSURE)) is expected
    assert standing(limit(answer, "steer.left", LimitKind.TIRE)) is Standing.CLEAR


def test_an_unsettled_limit_is_critical_from_even_odds() -> None:
    """Hand: rating 3,970, u 20: at 3,969 the probability is just under one half, at 3,971 just over."""
    below = assessed(motorhome(), {**LOADS_LB, "steer.left": 3_969.0}, u_lb=20.0)
    above = assessed(motorhome(), {**LOADS_LB, "steer.left": 3_971.0}, u_lb=20.0)
    assert "limit_unsettled" in codes(below, "steer.left")
    assert "limit_probably_over" in codes(above, "steer.left")
    grave = {finding.code: finding.severity for finding in (*below.findings, *above.findings)}
    assert grave["limit_unsettled"] is Severity.WARNING
    assert grave["limit_probably_over"] is Severity.CRITICAL


def test_where_marking_and_load_index_differ_the_lower_governs() -> None:
    """Published: load index 118 is 1,320 kg (load index table), below a marked 1,400 kg."""
    fitted = tires("LT225/75R16 118/115R", single_lb=1_400 / LB, dual_lb=1_300 / LB, max_psi=80)
    answer = assessed(motorhome(steer=fitted), LOADS_LB)
    assert limit(answer, "steer.left", LimitKind.TIRE).limit == pytest.approx(1_320.0)
    assert "load_index_governs" in codes(answer, "steer")


def test_findings_come_worst_first() -> None:
    answer = assessed(motorhome(gvwr_lb=10_000), {**LOADS_LB, "steer.left": 4_100.0}, u_lb=None)
    order = list(Severity)
    ranks = [order.index(finding.severity) for finding in answer.findings]
    assert ranks == sorted(ranks)
    assert answer.findings[0].severity is Severity.CRITICAL


# Published rows as above; at 85 psi between them the law gives 0.97 x 3,970 (85/110)^0.7 = 3,215 lb (hand), and the
# tire surely carries less than the row of 95 psi, 3,640.
@pytest.mark.parametrize(
    ("load_lb", "expected"),
    [(3_000, Standing.CLEAR), (3_205, Standing.TIGHT), (3_300, Standing.UNSETTLED), (3_630, Standing.UNSETTLED),
     (3_650, Standing.OVER)],
)  # fmt: skip
def test_between_single_rows_a_tire_is_over_only_beyond_the_next_row(load_lb: float, expected: Standing) -> None:
    answer = assessed(motorhome(steer=tires(now_psi=85)), {**LOADS_LB, "steer.left": load_lb})
    check = limit(answer, "steer.left", LimitKind.TIRE_AT_PRESSURE)
    assert limit_lb(check) == pytest.approx(3_215, abs=1)
    assert standing(check) is expected


# Published: EPREL 530340, 315/80R22.5 156/150 L and 154/150 M. L is 120 km/h, M 130; load index 156 is 4,000 kg, 154
# 3,750, 150 3,350 (load index table). United States tables print them as 75 and 81 mph.
@pytest.mark.parametrize(
    ("mph", "expected", "steer_kg", "drive_kg"),
    [
        (74, Standing.TIGHT, 4_000, 3_350),
        (75, Standing.TIGHT, 4_000, 3_350),
        (76, Standing.CLEAR, 3_750, 3_350),
        (81, Standing.TIGHT, 3_750, 3_350),
        (82, Standing.OVER, 4_000, 3_350),
    ],
)
def test_a_tire_driven_above_its_first_symbol_carries_what_its_additional_service_description_says(
    mph: float, expected: Standing, steer_kg: float, drive_kg: float
) -> None:
    fitted = tires("315/80R22.5 156/150L 154/150M", single_lb=4_000 / LB, dual_lb=3_350 / LB, max_psi=123)
    subject = motorhome(steer=fitted, drive=structs.replace(fitted, fitment=Fitment.DUAL))
    answer = assessed(subject, LOADS_LB, policy=structs.replace(POLICY, speed_m_per_s=mph * 0.44704))
    assert standing(limit(answer, "steer.left", LimitKind.TIRE_SPEED)) is expected
    assert limit(answer, "steer.left", LimitKind.TIRE).limit == pytest.approx(steer_kg)
    assert limit(answer, "drive.left", LimitKind.TIRE).limit == pytest.approx(drive_kg)
    assert ("speed_over" in codes(answer, "steer.left")) is (expected is Standing.OVER)


def light_trailer(kind: VehicleKind = VehicleKind.TRAVEL_TRAILER, **ratings: Any) -> Rig:
    """Return a trailer with one axle, rated 3,500 lb, and such ratings besides."""
    own = vehicle(axle("axle", gawr_lb=3_500, aft_in=180), gvwr_lb=4_000, kind=kind, name="trailer")
    return rig(structs.replace(own, **ratings))


@pytest.mark.parametrize(
    ("kind", "coupling_lb", "least", "most"),
    [
        # Common practice as makers' manuals have it: 10 to 15 % on a ball, 15 to 25 % on a kingpin. Of 3,000 + T.
        (VehicleKind.TRAVEL_TRAILER, 300.0, Standing.SHORT, Standing.CLEAR),
        (VehicleKind.TRAVEL_TRAILER, 340.0, Standing.TIGHT, Standing.CLEAR),
        (VehicleKind.TRAVEL_TRAILER, 540.0, Standing.CLEAR, Standing.OVER),
        (VehicleKind.FIFTH_WHEEL, 520.0, Standing.SHORT, Standing.CLEAR),
        (VehicleKind.FIFTH_WHEEL, 990.0, Standing.CLEAR, Standing.TIGHT),
    ],
)
def test_a_coupling_keeps_its_least_and_its_most_share_of_the_trailer(
    kind: VehicleKind, coupling_lb: float, least: Standing, most: Standing
) -> None:
    loads = {"axle.left": 1_500.0, "axle.right": 1_500.0, "coupling": coupling_lb}
    answer = assess(light_trailer(kind), known_loads(loads), Choices(POLICY))
    name = LimitKind.PIN_SHARE if kind is VehicleKind.FIFTH_WHEEL else LimitKind.TONGUE_SHARE
    found = [check for check in answer.limits if check.kind is name]
    assert [check.bound for check in found] == [Bound.LEAST, Bound.MOST]
    assert [check.judgement and check.judgement.standing for check in found] == [least, most]
    assert isinstance(found[0].value, Estimate)
    assert found[0].value.value == pytest.approx(coupling_lb / (3_000 + coupling_lb))


def test_a_trailers_load_is_its_axles_and_its_coupling_and_unknown_without_that() -> None:
    loads = {"axle.left": 1_500.0, "axle.right": 1_500.0}

    def vehicle_limit(more_lb: dict[str, float]) -> LimitCheck:
        answer = assess(light_trailer(), known_loads(loads | more_lb), Choices(POLICY))
        return next(check for check in answer.limits if check.kind is LimitKind.VEHICLE)

    whole = vehicle_limit({"coupling": 1_010.0})
    assert isinstance(whole.value, Estimate)
    assert whole.value.value / LB == pytest.approx(4_010.0)
    assert whole.judgement is not None
    assert whole.judgement.standing is Standing.OVER
    assert vehicle_limit({}).value is UnknownBecause.COUPLING_NOT_WEIGHED


def test_a_label_lets_so_much_come_aboard_beyond_the_unloaded_weight() -> None:
    loads = {"axle.left": 1_500.0, "axle.right": 1_500.0, "coupling": 400.0}

    def payload(**ratings: Any) -> LimitCheck:
        answer = assess(light_trailer(**ratings), known_loads(loads), Choices(POLICY))
        return next(check for check in answer.limits if check.kind is LimitKind.PAYLOAD)

    # By hand: 3,400 lb less 2,700 lb unloaded are 700 lb of cargo against a label of 650 lb.
    check = payload(unloaded_kg=2_700 * LB, cargo_capacity_kg=650 * LB)
    assert isinstance(check.value, Estimate)
    assert check.value.value / LB == pytest.approx(700.0)
    assert check.judgement is not None
    assert check.judgement.standing is Standing.OVER
    assert payload(cargo_capacity_kg=650 * LB).value is UnknownBecause.NO_UNLOADED_WEIGHT


def test_a_group_of_axles_keeps_the_rating_of_its_maker() -> None:
    coach = motorhome().vehicles[0]
    grouped = structs.replace(
        coach, groups=(AxleGroup(("steer", "drive"), Suspension.INDEPENDENT, max_load_kg=15_000 * LB),)
    )
    loads = {"steer.left": 2_500.0, "steer.right": 2_600.0, "drive.left": 5_000.0, "drive.right": 5_100.0}
    answer = assess(rig(grouped), known_loads(loads), Choices(POLICY))
    (check,) = [check for check in answer.limits if check.kind is LimitKind.AXLE_GROUP]
    assert isinstance(check.value, Estimate)
    assert (check.subject, check.value.value / LB) == ("steer + drive", pytest.approx(15_200.0))
    assert check.judgement is not None
    assert check.judgement.standing is Standing.OVER


def test_every_judged_limit_on_loads_is_a_row_that_breaks_where_the_limit_does() -> None:
    loads = {"axle.left": 1_900.0, "axle.right": 1_500.0, "coupling": 340.0}
    subject = light_trailer(unloaded_kg=2_700 * LB, cargo_capacity_kg=1_050 * LB)
    answer = assess(subject, known_loads(loads), Choices(POLICY))
    rows = limit_rows(answer.limits, answer.estimates)
    assert {row.check.kind for row in rows} >= {LimitKind.PAYLOAD, LimitKind.TONGUE_SHARE, LimitKind.VEHICLE}
    nothing = LoadChange(np.zeros(3))
    for row in rows:
        judgement = row.check.judgement
        assert judgement is not None
        is_broken = row.excess_kg(nothing, 2.0) > row.tolerance_kg
        assert is_broken is (judgement.standing in {Standing.OVER, Standing.SHORT}), row.check
    assert any(row.excess_kg(nothing, 2.0) > row.tolerance_kg for row in rows)
