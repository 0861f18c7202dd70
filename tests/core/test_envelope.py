"""The worst of a trip, against every corner of what may be aboard, against a solver, and against single states."""

from collections.abc import Sequence
from itertools import combinations
from math import nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs
from numpy.typing import NDArray
from scipy.optimize import linprog

from axlewright.core.errors import CoreError
from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.inflation.pressure import AxlePressure, NoPressure, axle_pressures
from axlewright.core.loads.changes import LoadChange, changed_estimates
from axlewright.core.loads.envelope import Envelope, Link, Variable
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.limits import LimitCheck, LimitKind, check_limits
from axlewright.core.loads.standings import BROKEN, Bound, Standing
from axlewright.core.loads.statics import rig_statics
from axlewright.core.loads.varying import VaryingTank, trip_envelope, weighed_doubts
from axlewright.core.loads.worst_cases import LoadSpan, WorstCase, covering_pressures, load_span, worst_cases
from axlewright.core.policy import Conditions, Policy
from axlewright.core.rig import Fluid, Rig, Stated, Tank, VehicleKind
from axlewright.core.sessions.reconcile import reconcile
from tests.yard import INCH, LB, PSI, axle, known_loads, motorhome, rig, three_passes, vehicle

Matrix = NDArray[np.float64]
POLICY = Policy(rounding_step_pa=5 * PSI)
LOADS_LB = {
    "steer.left": 2_500.0,
    "steer.right": 2_600.0,
    "drive.left": 4_300.0,
    "drive.right": 4_500.0,
    "trailer.left": 1_400.0,
    "trailer.right": 1_500.0,
    "coupling": 420.0,
}
COUNT = len(LOADS_LB)


def with_trailer() -> Rig:
    """Return a two-axle motorhome with a one-axle trailer."""
    coach = structs.replace(motorhome().vehicles[0], cargo_capacity_kg=3_000 * LB, unloaded_kg=11_000 * LB)
    trailer = vehicle(
        axle("trailer", gawr_lb=3_500.0, aft_in=160.0),
        gvwr_lb=3_800.0,
        kind=VehicleKind.TRAVEL_TRAILER,
        name="trailer",
    )
    return rig(coach, trailer)


def estimates(u_lb: float | None = 20.0) -> LoadEstimates:
    """Return the known loads of that rig."""
    return estimates_from_loads(with_trailer(), known_loads(LOADS_LB, u_lb))


def checks_of(subject: Rig, loads: LoadEstimates) -> tuple[LimitCheck, ...]:
    """Return all limits of a rig at its loads."""
    return check_limits(subject, loads, fitted_tires(subject, ()), POLICY)


def random_envelope(random: np.random.Generator, count: int = 5, linked: bool = False) -> Envelope:
    """Return variables whose errors are partly shared, with two links if asked for."""
    variables = []
    for place in range(count):
        effects = {"common": random.normal(0, 8, COUNT), f"own {place}": random.normal(0, 8, COUNT)}
        least, most = sorted(random.uniform(0, 1, 2))
        loads = random.uniform(-60, 140, COUNT)
        variables.append(Variable(f"v{place}", LoadChange(loads, effects), float(random.uniform(0, 1)), least, most))
    if not linked:
        return Envelope(tuple(variables), COUNT)
    groups = (variables[:3], variables[3:])
    links = []
    for group in groups:
        wholes = {each.name: float(random.uniform(0.05, 0.3)) for each in group}
        low, high = (sum(wholes[each.name] * getattr(each, end) for each in group) for end in ("least", "most"))
        links.append(Link(wholes, float(low + random.uniform(0.01, 1.1) * (high - low))))
    return Envelope(tuple(variables), COUNT, tuple(links))


def constraints(envelope: Envelope) -> tuple[Matrix, Matrix]:
    """Return all bounds and links as rows A z <= b."""
    names = [each.name for each in envelope.variables]
    own = np.eye(len(names))
    links = [[link.wholes.get(name, 0.0) for name in names] for link in envelope.links]
    sides = [*(each.most for each in envelope.variables), *(-each.least for each in envelope.variables)]
    matrix = np.vstack([own, -own, np.array(links).reshape(-1, len(names))])
    return matrix, np.array([*sides, *(link.most for link in envelope.links)])


def corners(envelope: Envelope) -> Matrix:
    """Return every corner of the states: each meeting of as many constraints as variables that keeps all others."""
    matrix, side = constraints(envelope)
    count = matrix.shape[1]
    chosen = np.array(list(combinations(range(len(matrix)), count)))
    regular = np.abs(np.linalg.det(matrix[chosen])) > 1e-12
    met = np.linalg.solve(matrix[chosen[regular]], side[chosen[regular]][..., np.newaxis])[..., 0]
    return met[(met @ matrix.T <= side + 1e-9).all(axis=1)]


def at(envelope: Envelope, levels: Sequence[float] | Matrix, loads: LoadEstimates) -> LoadEstimates:
    """Return the loads in one state, the sum written out anew."""
    change = np.zeros(COUNT)
    effects: dict[str, Matrix] = {}
    for each, level in zip(envelope.variables, levels, strict=True):
        change = change + (level - each.weighed) * each.whole.loads
        for name, effect in each.whole.effects.items():
            effects[name] = effects.get(name, np.zeros(COUNT)) + (level - each.weighed) * effect
    return changed_estimates(loads, LoadChange(change, effects))


def figure(value: Estimate | UnknownBecause) -> Estimate:
    """Return what is known."""
    assert isinstance(value, Estimate)
    return value


def u_of(value: Estimate) -> float:
    """Return a doubt that was stated."""
    assert value.u is not None
    return value.u


def cases_of(envelope: Envelope, loads: LoadEstimates) -> tuple[WorstCase, ...]:
    """Return every limit in its worst state."""
    return worst_cases(checks_of(with_trailer(), loads), loads, envelope, POLICY)


def case_of(cases: Sequence[WorstCase], subject: str, kind: LimitKind, bound: Bound = Bound.MOST) -> WorstCase:
    """Return the one case of a limit."""
    [found] = [
        each for each in cases if (each.check.subject, each.check.kind, each.check.bound) == (subject, kind, bound)
    ]
    return found


def assert_no_corner_is_worse(envelope: Envelope, loads: LoadEstimates) -> int:
    """Hold all worst cases against all corners; return how many corners there are."""
    subject = with_trailer()
    reached = [checks_of(subject, at(envelope, corner, loads)) for corner in corners(envelope)]
    cases = cases_of(envelope, loads)
    assert len(cases) == len(reached[0]) > 20
    for place, case in enumerate(cases):
        toward = 1.0 if case.check.bound is Bound.MOST else -1.0
        values = [figure(checks[place].value) for checks in reached]
        worst = figure(case.check.value)
        assert toward * worst.value == pytest.approx(max(toward * each.value for each in values), rel=1e-9, abs=1e-9)
        if case.check.judgement is None or case.check.judgement.standing not in BROKEN:
            assert u_of(worst) >= max(u_of(each) for each in values) - 1e-9
    return len(reached)


@pytest.mark.parametrize("seed", range(60))
def test_no_corner_of_a_box_is_worse_than_the_worst_case(seed: int) -> None:
    """Library: all 32 corners, each with the loads and limits of that one state."""
    envelope = random_envelope(np.random.default_rng(seed))
    assert assert_no_corner_is_worse(envelope, estimates()) == 32


@pytest.mark.parametrize("seed", range(60, 120))
def test_no_corner_is_worse_where_tanks_are_linked(seed: int) -> None:
    """Library: the corners of the linked states, found by brute force over all meetings of constraints."""
    assert_no_corner_is_worse(random_envelope(np.random.default_rng(seed), linked=True), estimates())


@pytest.mark.parametrize("seed", range(200))
def test_the_highest_sum_is_that_of_a_linear_program(seed: int) -> None:
    """Library: HiGHS, through scipy.optimize.linprog, on twelve variables."""
    random = np.random.default_rng(1_000 + seed)
    envelope = random_envelope(random, count=12, linked=True)
    matrix, side = constraints(envelope)
    row = random.normal(0, 1, COUNT)
    gains = np.array([each.whole.loads @ row for each in envelope.variables])
    solved = linprog(-gains, A_ub=matrix, b_ub=side, bounds=(None, None), method="highs")
    levels = envelope.highest(row)
    assert gains @ levels == pytest.approx(-solved.fun, rel=1e-9, abs=1e-6)
    assert (matrix @ levels <= side + 1e-12).all()


@pytest.mark.parametrize("seed", range(40))
def test_a_worst_case_happens_in_the_state_that_is_told(seed: int) -> None:
    """Identity: all that varies matters here, so the state told is whole, and its loads give the value."""
    envelope = random_envelope(np.random.default_rng(2_000 + seed), linked=True)
    subject, loads = with_trailer(), estimates()
    for place, case in enumerate(cases_of(envelope, loads)):
        levels = [case.state[each.name] for each in envelope.variables if each.name in case.state]
        if len(levels) == len(envelope.variables):
            told = checks_of(subject, at(envelope, levels, loads))[place]
            assert figure(told.value).value == pytest.approx(figure(case.check.value).value, rel=1e-9)
            if case.check.judgement is not None and case.check.judgement.standing in BROKEN:
                assert u_of(figure(told.value)) == pytest.approx(u_of(figure(case.check.value)), rel=1e-9)


def single(random: np.random.Generator) -> tuple[Envelope, list[float]]:
    """Return an envelope of one state."""
    wide = random_envelope(random)
    levels = [float(random.uniform(0, 1)) for _ in wide.variables]
    variables = (
        structs.replace(each, least=level, most=level) for each, level in zip(wide.variables, levels, strict=True)
    )
    return Envelope(tuple(variables), COUNT), levels


def failed_cross_check() -> LoadEstimates:
    """Return the loads of a session with a slip of 500 lb in one axle, the trailer's given."""
    axles = {
        "steer": (2_600.0, 2_500.0, 5_600.0),
        "drive": (4_500.0, 4_300.0, 8_800.0),
        "trailer": (1_500.0, 1_400.0, 2_900.0),
    }
    loads = reconcile(with_trailer(), three_passes(axles)).estimates
    assert figure(loads.known({"steer.left": 1.0})).provisional
    return loads


@pytest.mark.parametrize("u_lb", [0.0, 20.0, None, "failed"])
@pytest.mark.parametrize("seed", range(5))
def test_an_envelope_of_one_state_is_the_forecast_of_it(u_lb: float | str | None, seed: int) -> None:
    """Identity: values, doubts, standings, probabilities, governing limits, spans and pressures."""
    envelope, levels = single(np.random.default_rng(3_000 + seed))
    loads = failed_cross_check() if isinstance(u_lb, str) else estimates(u_lb)
    subject = with_trailer()
    fitted = fitted_tires(subject, ())
    forecast = at(envelope, levels, loads)
    for told, case in zip(checks_of(subject, forecast), cases_of(envelope, loads), strict=True):
        assert_same(told, case.check)
    for name in subject.load_names():
        span, expected = load_span({name: 1.0}, loads, envelope), forecast.known({name: 1.0})
        if isinstance(span, LoadSpan):
            for extreme in (span.lowest, span.highest):
                assert figures(extreme.load) == pytest.approx(figures(figure(expected)), rel=1e-9, nan_ok=True)
        else:
            assert span is expected
    covering = covering_pressures(subject, loads, fitted, envelope, POLICY, Conditions())
    there = axle_pressures(subject, forecast, fitted, POLICY, Conditions())
    assert [each.pressure.cold_pa for each in covering] == pytest.approx([each.cold_pa for each in there])
    assert [each.pressure.until_weighed_pa for each in covering] == [each.until_weighed_pa for each in there]


def figures(value: Estimate) -> list[float]:
    """Return the figures of an estimate, NaN for a doubt that was not stated."""
    return [nan if each is None else float(each) for each in structs.astuple(value)]


def assert_same(told: LimitCheck, case: LimitCheck) -> None:
    """Hold two judged limits equal but for rounding."""
    for field in ("subject", "level", "kind", "bound", "limit", "basis", "governs"):
        assert getattr(told, field) == getattr(case, field)
    if isinstance(told.value, UnknownBecause):
        assert case.value is told.value
        return
    assert figures(figure(case.value)) == pytest.approx(figures(told.value), rel=1e-9, abs=1e-12, nan_ok=True)
    assert (told.judgement is None) == (case.judgement is None)
    if told.judgement is not None and case.judgement is not None:
        assert case.judgement.standing is told.judgement.standing
        assert case.judgement.relative_margin == pytest.approx(told.judgement.relative_margin, abs=1e-9)
        if told.judgement.probability_of_breach is not None:
            assert case.judgement.probability_of_breach == pytest.approx(told.judgement.probability_of_breach, abs=1e-6)


@given(
    seed=st.integers(0, 10_000), further=st.lists(st.floats(0, 0.5), min_size=10, max_size=10), more=st.floats(0, 0.2)
)
@settings(max_examples=60, deadline=None)
def test_widening_never_makes_a_worst_case_better(seed: int, further: list[float], more: float) -> None:
    """Identity: a wider envelope holds every state of the narrower one."""
    narrow = random_envelope(np.random.default_rng(seed), linked=True)
    wide = Envelope(
        tuple(
            structs.replace(each, least=each.least - down, most=each.most + up)
            for each, down, up in zip(narrow.variables, further[:5], further[5:], strict=True)
        ),
        COUNT,
        tuple(structs.replace(link, most=link.most + more) for link in narrow.links),
    )
    loads, subject = estimates(), with_trailer()
    for before, after in zip(cases_of(narrow, loads), cases_of(wide, loads), strict=True):
        toward = 1.0 if before.check.bound is Bound.MOST else -1.0
        assert toward * figure(after.check.value).value >= toward * figure(before.check.value).value - 1e-9
        if before.check.judgement and before.check.judgement.standing not in BROKEN:
            assert after.check.judgement is not None
            assert after.check.judgement.standing in BROKEN or (
                after.check.judgement.relative_margin <= before.check.judgement.relative_margin + 1e-9
            )
    for pressure_before, pressure_after in zip(pressures(subject, narrow), pressures(subject, wide), strict=True):
        if pressure_after.cold_pa is not None:
            assert pressure_before.cold_pa is not None
            assert pressure_after.cold_pa >= pressure_before.cold_pa - 1e-6


def pressures(subject: Rig, envelope: Envelope, loads: LoadEstimates | None = None) -> list[AxlePressure]:
    """Return the pressures that cover an envelope."""
    loads = estimates() if loads is None else loads
    covering = covering_pressures(subject, loads, fitted_tires(subject, ()), envelope, POLICY, Conditions())
    return [each.pressure for each in covering]


def exact(envelope: Envelope) -> Envelope:
    """Return an envelope without doubts."""
    variables = (structs.replace(each, whole=LoadChange(each.whole.loads)) for each in envelope.variables)
    return Envelope(tuple(variables), envelope.count, envelope.links)


@pytest.mark.parametrize("seed", range(25))
def test_the_covering_pressure_is_the_highest_of_all_corners(seed: int) -> None:
    """Library: the pressure of each corner by itself; equal where nothing is in doubt, else never below."""
    doubtful = random_envelope(np.random.default_rng(4_000 + seed), linked=True)
    subject = with_trailer()
    fitted = fitted_tires(subject, ())
    for envelope, loads in ((exact(doubtful), estimates(0.0)), (doubtful, estimates())):
        reached = [
            [
                each.cold_pa
                for each in axle_pressures(subject, at(envelope, corner, loads), fitted, POLICY, Conditions())
            ]
            for corner in corners(envelope)
        ]
        for answer, column in zip(pressures(subject, envelope, loads), zip(*reached, strict=True), strict=True):
            known = [pressure for pressure in column if pressure is not None]
            if answer.cold_pa is None:
                assert envelope is doubtful or len(known) < len(column)
            elif envelope is doubtful:
                assert answer.cold_pa >= max(known) - 1e-6
            else:
                assert len(known) == len(column)
                assert answer.cold_pa == pytest.approx(max(known))


def tank(name: str, loads_lb: Sequence[float], weighed: float = 0.0, least: float = 0.0, most: float = 1.0) -> Variable:
    """Return a variable without doubt, by what its whole adds [lb]."""
    return Variable(name, LoadChange(np.array(loads_lb) * LB), weighed, least, most)


def on_the_coach(left_lb: float, right_lb: float) -> list[float]:
    """Return a change of the drive axle alone [lb]."""
    return [0.0, 0.0, left_lb, right_lb, 0.0, 0.0, 0.0]


def test_only_what_matters_to_a_limit_is_told() -> None:
    """Hand: a tank above the drive axle changes nothing on the steer axle; what matters is told at its worst."""
    envelope = Envelope((tank("fresh", on_the_coach(100, 100)), tank("grey", on_the_coach(-20, 70))), COUNT)
    cases = cases_of(envelope, estimates())
    assert case_of(cases, "steer", LimitKind.AXLE).state == {}
    assert case_of(cases, "drive", LimitKind.AXLE).state == {"fresh": 1.0, "grey": 1.0}
    assert case_of(cases, "drive.left", LimitKind.TIRE).state == {"fresh": 1.0, "grey": 0.0}
    drive = figure(case_of(cases, "drive.left", LimitKind.TIRE).check.value)
    assert drive.value / LB == pytest.approx((4_300 + 100) / 2)


def test_a_tank_that_must_make_room_is_told_though_its_own_weight_does_not_matter() -> None:
    """Hand: fresh on the trailer holds all the water; grey on the drive axle fills with 40 of its 60."""
    fresh = tank("fresh", [0, 0, 0, 0, 200, 200, 0], weighed=1.0)
    envelope = Envelope(
        (fresh, tank("grey", on_the_coach(150, 150))), COUNT, (Link({"fresh": 40.0, "grey": 60.0}, 40.0),)
    )
    case = case_of(cases_of(envelope, estimates()), "drive", LimitKind.AXLE)
    assert case.state == {"fresh": 0.0, "grey": pytest.approx(40 / 60)}
    assert figure(case.check.value).value / LB == pytest.approx(8_800 + 300 * 40 / 60)


def test_linked_tanks_of_equal_gain_fill_in_the_order_of_the_link() -> None:
    both = [tank(name, on_the_coach(100, 100)) for name in ("one", "two")]
    for first, second in (("one", "two"), ("two", "one")):
        envelope = Envelope(tuple(both), COUNT, (Link({first: 0.1, second: 0.1}, 0.1),))
        assert case_of(cases_of(envelope, estimates()), "drive", LimitKind.AXLE).state == {first: 1.0, second: 0.0}


def test_the_worst_tongue_shares_are_found_and_judged_at_both_ends() -> None:
    """Hand: 420 of 3,320 lb. 200 lb behind the axle take 60 off the coupling: 360/3,520, within 5 % above 10 %."""
    envelope = Envelope((tank("rear rack", [0, 0, 0, 0, 130, 130, -60]),), COUNT)
    cases = cases_of(envelope, estimates(0.0))
    least = case_of(cases, "trailer", LimitKind.TONGUE_SHARE, Bound.LEAST)
    most = case_of(cases, "trailer", LimitKind.TONGUE_SHARE, Bound.MOST)
    assert least.state == {"rear rack": 1.0}
    assert figure(least.check.value).value == pytest.approx(360 / 3_520)
    assert most.state == {"rear rack": 0.0}
    assert figure(most.check.value).value == pytest.approx(420 / 3_320)
    assert least.check.judgement is not None
    assert least.check.judgement.standing is Standing.TIGHT


def test_a_limit_that_is_surely_broken_in_its_worst_state_is_told_over_whatever_others_leave_in_doubt() -> None:
    """Hand: 8,800 + 3,300 = 12,100 lb are over 12,000, though 142 lb of doubt elsewhere leave 12,100 - 2 x 142."""
    doubtful = LoadChange(np.zeros(COUNT), {"unsure": np.array(on_the_coach(71, 71)) * LB})
    envelope = Envelope((tank("cargo", on_the_coach(1_650, 1_650)), Variable("unsure", doubtful, 0.0)), COUNT)
    case = case_of(cases_of(envelope, estimates(0.0)), "drive", LimitKind.AXLE)
    assert case.check.judgement is not None
    assert case.check.judgement.standing is Standing.OVER
    assert u_of(figure(case.check.value)) == 0.0
    assert case.state == {"cargo": 1.0}


def test_a_limit_that_cannot_be_judged_stays_unknown_with_its_reason() -> None:
    subject = with_trailer()
    loads = estimates_from_loads(subject, known_loads({"steer.left+steer.right": 5_100.0, "drive.left": 4_300.0}))
    envelope = Envelope((tank("fresh", on_the_coach(100, 100)),), COUNT)
    cases = worst_cases(checks_of(subject, loads), loads, envelope, POLICY)
    assert case_of(cases, "steer.left", LimitKind.TIRE).check.value is UnknownBecause.NOT_SEPARATED
    assert case_of(cases, "drive", LimitKind.AXLE).check.value is UnknownBecause.NOT_WEIGHED
    assert case_of(cases, "drive", LimitKind.AXLE).state == {}
    assert figure(case_of(cases, "drive.left", LimitKind.TIRE).check.value).value / LB == pytest.approx(2_200)
    assert load_span({"drive.right": 1.0}, loads, envelope) is UnknownBecause.NOT_WEIGHED


def test_a_share_of_a_whole_that_might_vanish_is_impossible() -> None:
    envelope = Envelope((tank("too heavy", [-3_000, -3_000, -5_000, -5_000, 0, 0, 0]),), COUNT)
    case = case_of(cases_of(envelope, estimates()), "coach", LimitKind.STEERING_SHARE, Bound.LEAST)
    assert case.check.value is UnknownBecause.IMPOSSIBLE


def test_links_that_even_the_least_levels_break_are_refused() -> None:
    half_full = tank("fresh", on_the_coach(100, 100), least=0.5)
    with pytest.raises(CoreError) as raised:
        Envelope((half_full,), COUNT, (Link({"fresh": 0.2}, 0.09),))
    assert raised.value.code == "no_state"
    Envelope((half_full,), COUNT, (Link({"fresh": 0.2}, 0.1),))


def test_the_state_that_no_pressure_serves_is_told() -> None:
    """Hand: 4,300 + 4,000 = 8,300 lb on two tires marked 3,750 dual: above any pressure, when the cargo is aboard."""
    subject = with_trailer()
    loads = estimates(0.0)
    envelope = Envelope((tank("cargo", on_the_coach(4_000, -100)), tank("fresh", on_the_coach(-50, 20))), COUNT)
    covering = covering_pressures(subject, loads, fitted_tires(subject, ()), envelope, POLICY, Conditions())
    drive = covering[1]
    assert drive.pressure.cold_pa is None
    assert drive.pressure.unknown_because is NoPressure.BEYOND_TABLE
    assert drive.state == {"cargo": 1.0, "fresh": 0.0}
    assert covering[0].pressure.cold_pa is not None


def test_the_state_is_that_of_the_wheel_end_that_asks_for_the_pressure() -> None:
    """Hand: left 4,300 + 100 = 4,400, right 4,500 + 60 = 4,560 lb with the other tank: the right one is heavier."""
    subject = with_trailer()
    envelope = Envelope((tank("port", on_the_coach(100, -10)), tank("starboard", on_the_coach(-10, 60))), COUNT)
    covering = covering_pressures(subject, estimates(0.0), fitted_tires(subject, ()), envelope, POLICY, Conditions())
    drive = covering[1].pressure
    assert drive.need is not None
    assert (drive.need.wheel_end, drive.need.upper_kg / LB) == ("drive.right", pytest.approx(4_560 / 2))
    assert covering[1].state == {"port": 0.0, "starboard": 1.0}


def test_an_axle_without_wheel_ends_is_taken_in_the_state_of_its_own_highest_load() -> None:
    """Hand: 8,800 lb; one person on either side moves 90 across, of which the axle as a whole gains 10 each."""
    subject = motorhome()
    loads = estimates_from_loads(
        subject, known_loads({"steer.left+steer.right": 5_100.0, "drive.left+drive.right": 8_800.0})
    )
    change = np.array([0, 0, 50, -40]) * LB
    envelope = Envelope(
        (Variable("left", LoadChange(change), 0.0), Variable("right", LoadChange(change[[0, 1, 3, 2]]), 0.0)), 4
    )
    covering = covering_pressures(subject, loads, fitted_tires(subject, ()), envelope, POLICY, Conditions())
    need = covering[1].pressure.need
    assert need is not None
    assert need.upper_kg / LB == pytest.approx((8_800 + 20) / 4)
    assert covering[1].state == {"left": 1.0, "right": 1.0}
    assert covering[1].pressure.unknown_because is NoPressure.WHEEL_ENDS_UNKNOWN


def test_the_doubt_of_a_full_tank_reaches_beyond_the_heavy_end_of_its_fuel() -> None:
    """Hand: from EN 590's 820 kg/m3 (from memory) to 876 at 15 degC, 0.3 m3 are 254.4 kg, 246 to 262.8."""
    subject = motorhome()
    loads = estimates_from_loads(subject, known_loads({name: LOADS_LB[name] for name in list(LOADS_LB)[:4]}))
    fuel = VaryingTank("coach", Tank("fuel", Fluid.DIESEL, 0.3, 212 * INCH, 0.0), Stated(0.0), 0.0, 1.0, 0.0, 288.15)
    envelope = trip_envelope([fuel], [], [], rig_statics(subject, loads), 4)
    span = load_span({"drive.left": 1.0, "drive.right": 1.0}, loads, envelope)
    assert isinstance(span, LoadSpan)
    assert span.highest.load.value == pytest.approx(8_800 * LB + 254.4)
    assert span.highest.load.high(2.0) >= 8_800 * LB + 262.8
    emptied = structs.replace(fuel, weighed=Stated(1.0))
    span = load_span(
        {"drive.left": 1.0, "drive.right": 1.0}, loads, trip_envelope([emptied], [], [], rig_statics(subject, loads), 4)
    )
    assert isinstance(span, LoadSpan)
    assert span.lowest.load.value == pytest.approx(8_800 * LB - 254.4)
    assert span.lowest.load.low(2.0) <= 8_800 * LB - 262.8


def test_a_doubtful_level_at_the_weigh_is_a_doubt_of_every_state() -> None:
    """Hand: 0.1 m3 of water at 999.1 kg/m3 (15 degC), u 0.05 of it: 4.995 kg on the axle below, full or empty."""
    subject = motorhome()
    loads = estimates_from_loads(subject, known_loads({name: LOADS_LB[name] for name in list(LOADS_LB)[:4]}))
    water = VaryingTank(
        "coach", Tank("fresh", Fluid.WATER, 0.1, 212 * INCH, 0.0), Stated(0.5, 0.05), 0.0, 1.0, 0.5, 288.15
    )
    doubts = weighed_doubts([water], rig_statics(subject, loads), 4)
    assert not doubts.loads.any()
    drive = changed_estimates(loads, doubts).known({"drive.left": 1.0, "drive.right": 1.0})
    assert u_of(figure(drive)) == pytest.approx(4.995, abs=2e-3)


def test_nothing_that_varies_leaves_everything_as_it_is() -> None:
    loads = estimates()
    cases = cases_of(Envelope((), COUNT), loads)
    for told, case in zip(checks_of(with_trailer(), loads), cases, strict=True):
        assert_same(told, case.check)
        assert case.state == {}
