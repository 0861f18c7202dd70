"""Labels that their own axles and tires contradict."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.findings import Finding, Quantity, Severity
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.loads.labels import label_findings
from axlewright.core.policy import Policy
from axlewright.core.rig import Axle, Rig, Tires, VehicleKind
from tests.yard import LB, PSI, axle, motorhome, rig, tires, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
SPECIAL = tires("ST225/75R15", single_lb=2_540, dual_lb=None, max_psi=65, load_range="D")
PASSENGER = tires("P235/75R15 105S", single_lb=2_000, dual_lb=None, max_psi=35)


def found(subject: Rig, policy: Policy = POLICY) -> list[Finding]:
    """Return what the labels of a rig contradict."""
    return list(label_findings(subject, fitted_tires(subject, []), policy))


def codes(subject: Rig, policy: Policy = POLICY) -> set[tuple[str, str]]:
    """Return codes and subjects."""
    return {(finding.code, finding.subject) for finding in found(subject, policy)}


def facts_lb(finding: Finding) -> dict[str, float]:
    """Return the masses of a finding in lb, its shares as they are."""
    return {
        name: fact.value / (LB if fact.kind == "mass" else 1)
        for name, fact in finding.facts.items()
        if isinstance(fact, Quantity)
    }


def trailer(kind: VehicleKind, *, gvwr_lb: float, gawr_lb: float = 3_000, fitted: Tires = SPECIAL) -> Rig:
    """Return a trailer of two like axles."""
    pair = (axle(name, gawr_lb=gawr_lb, fitted=fitted, aft_in=aft_in) for name, aft_in in (("a", 200), ("b", 235)))
    return rig(vehicle(*pair, gvwr_lb=gvwr_lb, kind=kind, name="trailer"))


def single_axle(gawr_lb: float, fitted: Tires, right: Tires | None = None, kind: VehicleKind = VehicleKind.VAN) -> Rig:
    """Return a vehicle of one axle, rated like it."""
    return rig(vehicle(axle("only", gawr_lb=gawr_lb, fitted=fitted, right=right), gvwr_lb=gawr_lb, kind=kind))


def test_labels_that_agree_with_axles_and_tires_are_not_mentioned() -> None:
    """Hand: 18,000 of 7,000 + 12,000; tires 7,940 and 15,000 lb. Equal figures agree too."""
    assert found(motorhome()) == []
    assert found(motorhome(gvwr_lb=22_940, steer_lb=7_940, drive_lb=15_000)) == []


def test_tires_below_their_axles_rating_contradict_it() -> None:
    """Hand: 2 x 3,970 = 7,940 below 8,000 lb (49 CFR 571.120, S5.1.2: the sum at least equals the rating)."""
    [finding] = found(motorhome(steer_lb=8_000))
    assert (finding.code, finding.subject, finding.severity) == (
        "label_tires_below_axle_rating",
        "steer",
        Severity.WARNING,
    )
    assert facts_lb(finding) == pytest.approx({"rating": 8_000, "sum": 7_940})


def test_95_of_100_are_not_enough() -> None:
    """NHTSA interpretation 77-3.29 refuses tires of 95 % of the axle's rating: 0.95 x 8,000 = 7,600 lb."""
    assert codes(single_axle(8_000, tires(single_lb=3_800))) == {
        ("label_tires_below_axle_rating", "only"),
        ("label_rating_above_tires", "coach"),
    }


def test_dual_tires_count_by_their_dual_rating_and_their_number() -> None:
    """Hand: 4 x 3,750 = 15,000, though 4 x 3,970 = 15,880 lb."""
    [finding] = found(motorhome(drive_lb=15_500))
    assert (finding.code, finding.subject) == ("label_tires_below_axle_rating", "drive")
    assert facts_lb(finding) == pytest.approx({"rating": 15_500, "sum": 15_000})


def test_passenger_car_tires_count_over_one_tenth_less_but_on_a_passenger_car() -> None:
    """NHTSA interpretation nht76-1.47, 49 CFR 571.120, S5.1.2: 2 x 2,000/1.10 = 3,636.4 lb."""
    [below, above] = found(single_axle(3_700, PASSENGER))
    assert below.code == "label_tires_below_axle_rating"
    assert facts_lb(below) == pytest.approx({"rating": 3_700, "sum": 3_636.36}, abs=0.01)
    assert facts_lb(above) == pytest.approx({"rating": 3_700, "sum": 3_636.36}, abs=0.01)
    assert found(single_axle(3_700, PASSENGER, kind=VehicleKind.TOWED_CAR)) == []


def test_each_side_counts_with_its_own_tires() -> None:
    """Hand: 3,970 + 3,600 = 7,570 lb."""
    [finding, _] = found(single_axle(7_600, tires(), right=tires(single_lb=3_600)))
    assert facts_lb(finding) == pytest.approx({"rating": 7_600, "sum": 7_570})
    assert found(single_axle(7_500, tires(), right=tires(single_lb=3_600))) == []


def test_a_motor_vehicle_rated_above_its_axles_together_is_told() -> None:
    """Hand: 19,500 above 7,000 + 12,000 lb. NHTSA interpretation aiam0613: it should not be, it may be less."""
    [finding] = found(motorhome(gvwr_lb=19_500))
    assert (finding.code, finding.subject, finding.severity) == (
        "label_rating_above_axle_ratings",
        "coach",
        Severity.WARNING,
    )
    assert facts_lb(finding) == pytest.approx({"rating": 19_500, "sum": 19_000})


def test_a_motor_vehicle_rated_above_all_its_tires_is_told() -> None:
    """Hand: 7,940 + 15,000 = 22,940 below 23,100, which axles of 8,000 + 15,200 lb would bear."""
    told = {finding.code: finding for finding in found(motorhome(gvwr_lb=23_100, steer_lb=8_000, drive_lb=15_200))}
    assert set(told) == {"label_tires_below_axle_rating", "label_rating_above_tires"}
    assert facts_lb(told["label_rating_above_tires"]) == pytest.approx({"rating": 23_100, "sum": 22_940})


@pytest.mark.parametrize(
    ("kind", "gvwr_lb", "contradicted"),
    [
        # Hand: axles 6,000 lb bear what leaves at most 15 % on a ball: 6,000/0.85 = 7,058.8; 25 % on a kingpin: 8,000.
        (VehicleKind.TRAVEL_TRAILER, 7_050, False),
        (VehicleKind.TRAVEL_TRAILER, 7_100, True),
        (VehicleKind.FIFTH_WHEEL, 8_000, False),
        (VehicleKind.FIFTH_WHEEL, 8_020, True),
        (VehicleKind.TRAILER, 8_000, False),
        (VehicleKind.TRAILER, 8_020, True),
        (VehicleKind.TOWED_CAR, 6_000, False),
        (VehicleKind.TOWED_CAR, 6_100, True),
    ],
)
def test_a_trailers_coupling_bears_its_part(kind: VehicleKind, gvwr_lb: float, contradicted: bool) -> None:
    """NHTSA interpretations nht75-5.2 and nht76-3.20: what the coupling carries may lie above the axles' rating."""
    code = (
        "label_rating_above_axle_ratings"
        if kind is VehicleKind.TOWED_CAR
        else "label_trailer_rating_above_axle_ratings"
    )
    assert codes(trailer(kind, gvwr_lb=gvwr_lb)) == ({(code, "trailer")} if contradicted else set())


def test_a_trailers_contradiction_tells_the_share_and_the_rest() -> None:
    """Hand: 8,000 x 0.85 = 6,800 lb on axles of 6,000; its tires, 4 x 2,540 = 10,160, bear it."""
    [finding] = found(trailer(VehicleKind.TRAVEL_TRAILER, gvwr_lb=8_000))
    assert facts_lb(finding) == pytest.approx({"rating": 8_000, "sum": 6_000, "share": 0.15, "rest": 6_800})


def test_a_trailers_tires_are_held_against_the_same_rest() -> None:
    """Hand: tires of 1,480: 5,920 below 6,120 = 0.85 x 7,200 lb; each axle 2,960 below its 3,500."""
    weak = structs.replace(SPECIAL, max_load_single_kg=1_480 * LB)
    assert codes(trailer(VehicleKind.TRAVEL_TRAILER, gvwr_lb=7_200, gawr_lb=3_500, fitted=weak)) == {
        ("label_tires_below_axle_rating", "a"),
        ("label_tires_below_axle_rating", "b"),
        ("label_trailer_rating_above_tires", "trailer"),
    }


def test_a_callers_most_share_is_the_one_that_counts() -> None:
    """Hand: with up to 10 % on the ball 0.9 x 6,700 = 6,030 above 6,000; with 15 % 5,695 lb."""
    subject = trailer(VehicleKind.TRAVEL_TRAILER, gvwr_lb=6_700)
    assert codes(subject) == set()
    strict = structs.replace(POLICY, tongue_shares=(0.05, 0.10))
    assert codes(subject, strict) == {("label_trailer_rating_above_axle_ratings", "trailer")}


def copied(subject: Axle) -> Axle:
    """Return an axle whose rating and tires were copied in whole kilograms."""

    def in_kg(fitted: Tires) -> Tires:
        dual_kg = fitted.max_load_dual_kg
        return structs.replace(
            fitted,
            max_load_single_kg=float(round(fitted.max_load_single_kg)),
            max_load_dual_kg=None if dual_kg is None else float(round(dual_kg)),
        )

    ends = [structs.replace(end, tires=in_kg(end.tires)) for end in subject.wheel_ends]
    return structs.replace(subject, gawr_kg=float(round(subject.gawr_kg)), left=ends[0], right=ends[1])


@given(st.integers(1_000, 6_000), st.integers(1_000, 6_000), st.booleans())
def test_copying_in_whole_kilograms_makes_no_contradiction(front_lb: int, rear_lb: int, dual: bool) -> None:
    count = 4 if dual else 2
    front = axle("front", gawr_lb=2 * front_lb, fitted=tires("225/70R19.5", single_lb=front_lb))
    rear = axle(
        "rear", gawr_lb=count * rear_lb, fitted=tires("225/70R19.5", dual=dual, single_lb=rear_lb, dual_lb=rear_lb)
    )
    whole = vehicle(copied(front), copied(rear), gvwr_lb=0)
    whole = structs.replace(whole, gvwr_kg=float(round((2 * front_lb + count * rear_lb) * LB)))
    assert found(rig(whole)) == []


@given(st.floats(1.002, 1.5), st.booleans())
def test_a_rating_above_the_parts_is_always_told(factor: float, of_the_vehicle: bool) -> None:
    subject = motorhome(gvwr_lb=19_000 * factor) if of_the_vehicle else motorhome(steer_lb=7_940 * factor)
    expected = "label_rating_above_axle_ratings" if of_the_vehicle else "label_tires_below_axle_rating"
    assert expected in {finding.code for finding in found(subject)}
