"""Where a wheel would lift, statics end: what is then still told of a trip, and of a coupled rig."""

import numpy as np
import pytest

from axlewright.core.assessment import Assessment, Choices, assess
from axlewright.core.estimates import Estimate, UnknownBecause
from axlewright.core.findings import Severity
from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.coupled import coupled_rig
from axlewright.core.loads.envelope import Envelope
from axlewright.core.loads.limits import LimitKind
from axlewright.core.loads.standings import Standing
from axlewright.core.loads.trip import Trip, trip_findings, worst_of_trip
from axlewright.core.loads.worst_cases import LoadSpan
from axlewright.core.rig import CouplingState
from tests.core.test_envelope import COUNT, LOADS_LB, POLICY, tank, with_trailer
from tests.core.test_towing import found, pair, solo
from tests.yard import LB, known_loads

EXACT = LoadChange(np.zeros(COUNT))
Told = dict[tuple[str, str], tuple[Severity, dict[str, float]]]


def weighed() -> Assessment:
    """Return a motorhome and a trailer, each by itself, every load with a doubt of 20 lb."""
    return assess(with_trailer(), known_loads(LOADS_LB, 20.0), Choices(POLICY))


def on_a_trip(*changes_lb: float) -> tuple[Trip, Told]:
    """Return a trip on which something that changes the loads so may come aboard, and what of it lifts."""
    trip = worst_of_trip(weighed(), EXACT, Envelope((tank("cargo", changes_lb),), COUNT))
    told = {(each.code, each.subject): (each.severity, state) for each, state in trip_findings(weighed(), trip)}
    lifting = ("would_lift_on_trip", "may_lift_on_trip", "coupling_would_pull_up_on_trip")
    return trip, {key: found for key, found in told.items() if key[0] in lifting}


def values(trip: Trip, subject: str) -> set[UnknownBecause | None]:
    """Return why the limits of something are not told; None where one is."""
    return {
        case.check.value if isinstance(case.check.value, UnknownBecause) else None
        for case in trip.limits
        if case.check.subject == subject and case.check.of
    }


def test_of_a_vehicle_that_lifts_a_wheel_in_a_state_no_load_limit_or_pressure_is_told() -> None:
    """Hand: 2,500 - 2,600 lb on the left, within nothing on the right; the trailer stands by itself."""
    trip, lifting = on_a_trip(-2_600, -2_500, 4_000, 4_000, 0, 0, 0)
    assert lifting == {
        ("would_lift_on_trip", "steer.left"): (Severity.CRITICAL, {"cargo": 1.0}),
    }
    for name in ("steer.left", "steer.right", "drive.left", "drive.right"):
        assert trip.spans[name] is UnknownBecause.WOULD_LIFT
    for subject in ("steer", "drive", "coach"):
        assert values(trip, subject) == {UnknownBecause.WOULD_LIFT}
    assert [each.pressure.cold_pa is None for each in trip.pressures] == [True, True, False]
    assert [each.state for each in trip.pressures[:2]] == [{}, {}]
    assert isinstance(trip.spans["trailer.left"], LoadSpan)
    assert values(trip, "trailer") == {None}
    assert isinstance(trip.axles_alone["trailer"], LoadSpan)


def test_a_wheel_that_is_nothing_within_its_doubt_may_lift_and_the_loads_are_told() -> None:
    """Hand: 2,500 - 2,470 = 30 lb, with 2 x 20 lb of doubt below nothing; 2,600 - 2,470 = 130 lb is not."""
    trip, lifting = on_a_trip(-2_470, -2_470, 0, 0, 0, 0, 0)
    assert lifting == {("may_lift_on_trip", "steer.left"): (Severity.WARNING, {"cargo": 1.0})}
    steer = trip.spans["steer.left"]
    assert isinstance(steer, LoadSpan)
    assert steer.lowest.load.value / LB == pytest.approx(30)


@pytest.mark.parametrize(("pull_lb", "severity"), [(390.0, Severity.WARNING), (440.0, Severity.CRITICAL)])
def test_a_coupling_below_nothing_pulls_up_and_lifts_no_wheel(pull_lb: float, severity: Severity) -> None:
    """Hand: 420 - 390 = 30 lb, within 2 x 20 lb of nothing; 420 - 440 = -20 lb."""
    trip, lifting = on_a_trip(0, 0, 0, 0, pull_lb / 2, pull_lb / 2, -pull_lb)
    assert lifting == {("coupling_would_pull_up_on_trip", "coupling"): (severity, {"cargo": 1.0})}
    coupling = trip.spans["coupling"]
    assert isinstance(coupling, LoadSpan)
    assert coupling.lowest.load.value / LB == pytest.approx(420 - pull_lb)


def test_a_tongue_that_lifts_the_front_axle_leaves_the_limits_that_rest_on_it_alone() -> None:
    """Hand: 3,400 - 1,000 x 760/140 lb in front. On the ball 1,000 of 500; 6,000 + 1,000 lb of 7,600; 4,900 + 1,000

    behind, of which 1,000 on the ball; 11,900 of 12,000 in all.
    """
    both, coupled = pair(aft_in=900.0)
    start = solo(both, 1_000.0)
    answer = coupled_rig(start, coupled, 0.5)
    expected_lb = {
        (LimitKind.HITCH_VERTICAL, "truck receiver"): 1_000.0,
        (LimitKind.HITCH_TOWED, "truck ball"): 5_900.0,
        (LimitKind.COMBINATION, both.name): 11_900.0,
        (LimitKind.VEHICLE, "truck"): 7_000.0,
        (LimitKind.VEHICLE, "trailer"): 5_900.0,
    }
    state = CouplingState.HITCHED
    for (kind, subject), value_lb in expected_lb.items():
        check = found(answer, state, kind, subject)
        assert isinstance(check.value, Estimate), (kind, subject)
        assert check.value.value / LB == pytest.approx(value_lb)
        assert check.judgement is not None
    receiver = found(answer, state, LimitKind.HITCH_VERTICAL, "truck receiver").judgement
    assert receiver is not None
    assert receiver.standing is Standing.OVER
    assert ("limit_over", "truck receiver") in {(each.code, each.subject) for each in answer.states[state].findings}
    for kind in (LimitKind.AXLE, LimitKind.AXLE_TIRES):
        check = found(answer, state, kind, "truck.rear")
        assert check.value is UnknownBecause.WOULD_LIFT
        assert check.judgement is None
        assert not check.governs
    lifted = answer.states[state]
    assert lifted.estimates.known({"truck.rear.left": 1.0}) is UnknownBecause.WOULD_LIFT
    assert {each.cold_pa for each in lifted.pressures} == {None}
