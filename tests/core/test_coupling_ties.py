"""What ties the loads of a rig's coupling states: what it catches, and what must not matter to it; figures by hand."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.estimates import Estimate
from axlewright.core.rig import CouplingState
from axlewright.core.sessions.adjustment import adjust
from axlewright.core.sessions.coupling import CoupledWeigh
from axlewright.core.sessions.passes import Reading
from axlewright.core.sessions.reconcile import PartCheck, TieCheck, posed, reconcile
from axlewright.core.sessions.ties import TieKind
from tests.core.test_coupling_states import LB_IN, load, part_of, value
from tests.coupled_yard import (
    CAMPER,
    FRONT,
    HITCHED,
    LEVELLED,
    REAR,
    SOLO,
    TRUE_LB,
    WHEELS,
    coupled_rig,
    read,
    told,
    true_readings,
    weighed,
)
from tests.yard import LB, session


def tie_of(part: PartCheck, kind: TieKind, *between: CouplingState) -> TieCheck:
    (check,) = [each for each in part.ties if each.tie.kind is kind and each.tie.between == between]
    return check


def test_exact_readings_fulfil_every_tie() -> None:
    part = part_of(weighed(coupled_rig(), session(*true_readings()))[0])
    assert [each.tie.kind for each in part.ties] == [TieKind.MOMENT, TieKind.WEIGHT, TieKind.MOMENT]
    assert part.degrees_of_freedom == 3  # 8 readings and 3 ties of 8 axle loads
    assert part.statistic == pytest.approx(0.0, abs=1e-9)


def test_the_total_stays_from_hitched_to_levelled_whatever_was_read() -> None:
    """Readings that add to 13,200 and 13,260 lb end in one total, within the 0.01 kg of the tie."""
    readings = read(HITCHED, {"front": 3000, "rear": 4400, "camper": 5800})
    readings += read(LEVELLED, {"front": 3300, "rear": 3980, "camper": 5980})
    coupled = told(readings)
    totals = [load(coupled.states[state], (*FRONT, *REAR, *CAMPER)).value for state in (HITCHED, LEVELLED)]
    assert totals[0] == pytest.approx(totals[1], abs=0.01)
    assert 13_200 * LB < totals[0] < 13_260 * LB


@pytest.mark.parametrize("what", ["front", "rear"])
def test_a_slip_of_300_lb_hitched_is_caught_by_the_moment_about_the_ball(what: str) -> None:
    """Nothing else checks the readings: without couplings they would have no degree of freedom."""
    values = {"front": 3000.0, "rear": 4400.0}
    good, slipped = (
        session(*read(SOLO, {"front": 3400, "rear": 3200}), *read(HITCHED, {**values, what: values[what] + slip_lb}))
        for slip_lb in (0.0, 300.0)
    )
    assert not part_of(reconcile(coupled_rig(), good)).failed
    part = part_of(reconcile(coupled_rig(), slipped))
    assert part.degrees_of_freedom == 1
    assert part.failed
    assert part.probability < 0.001
    # Hand: 300 lb at 240 in, or at 80 in, ahead of the ball (negative), over the longest arm.
    check = tie_of(part, TieKind.MOMENT, SOLO, HITCHED)
    assert check.difference_kg == pytest.approx({"front": -300, "rear": -100}[what] * LB, rel=1e-6)
    assert check.allowed_kg is not None
    assert check.suspect
    coupled = weighed(coupled_rig(), slipped)[1]
    assert coupled.coupling_load is not None
    assert isinstance(coupled.coupling_load.value, Estimate)
    assert coupled.coupling_load.value.provisional
    assert load(coupled.states[HITCHED], WHEELS[what]).provisional


def test_a_slip_of_300_lb_hitched_is_caught_by_the_total_of_the_rig() -> None:
    """Hand: 300 lb more hitched than with bars; no axle of the van by itself, so no moment checks it."""
    slipped = session(*read(HITCHED, {"van": 7700, "camper": 5800}), *read(LEVELLED, {"van": 7240, "camper": 5960}))
    part = part_of(reconcile(coupled_rig(), slipped))
    assert part.failed
    check = tie_of(part, TieKind.WEIGHT, HITCHED, LEVELLED)
    assert check.difference_kg == pytest.approx(-300 * LB, rel=1e-6)
    assert check.suspect
    coupled = weighed(coupled_rig(), slipped)[1]
    assert load(coupled.states[HITCHED], WHEELS["van"]).provisional
    assert load(coupled.states[LEVELLED], WHEELS["van"]).provisional


def test_what_a_moment_tie_allows_is_worked_by_hand() -> None:
    """Hand, lb, arms over 240 in: front (3,400 -> 3,000) weight 1, rear (3,200 -> 4,400) weight 1/3.

    Front: own 266.667; rests sqrt(400 - 6.8^2) = 18.8085 and sqrt(400 - 6^2) = 19.0788, common: 0.2703^2/3 = 0.0243;
    span (0.002 x 400)^2/3 = 0.2133: 266.904. Rear: own 266.667; rests 18.9483 and 17.9600: 0.3256; span
    (0.002 x 1,200)^2/3 = 1.92: 268.912, over 9: 29.879. Lengths, 1 in: front 400/240 = 1.667, rear 1,200/240 = 5, hitch
    800/240 = 3.333: 38.889. Tie 0.01 kg: 0.0005. u^2 = 335.673, allowed 1.96 u = 35.91.
    """
    readings = read(SOLO, {"front": 3400, "rear": 3200}) + read(HITCHED, {"front": 3000, "rear": 4400})
    part = part_of(reconcile(coupled_rig(), session(*readings)))
    check = tie_of(part, TieKind.MOMENT, SOLO, HITCHED)
    assert check.allowed_kg == pytest.approx(1.959964 * sqrt(335.6730) * LB, rel=1e-5)


def test_a_hitch_told_three_feet_wrong_makes_the_moment_suspect_and_not_the_total() -> None:
    """Hand: 800 lb x 36 in over the longest arm, 276 in: 104.3 lb off."""
    told_wrong = coupled_rig(hitch_in=276)
    part = part_of(reconcile(told_wrong, session(*true_readings())))
    assert part.failed
    check = tie_of(part, TieKind.MOMENT, SOLO, HITCHED)
    assert check.suspect
    assert check.difference_kg is not None
    assert abs(check.difference_kg) > 50 * LB
    assert not tie_of(part, TieKind.WEIGHT, HITCHED, LEVELLED).suspect
    without_bars = true_readings(without=frozenset((LEVELLED, each) for each in TRUE_LB[LEVELLED]))
    alone = part_of(reconcile(told_wrong, session(*without_bars)))
    only = tie_of(alone, TieKind.MOMENT, SOLO, HITCHED)
    assert only.suspect
    assert only.difference_kg is not None
    assert abs(only.difference_kg) == pytest.approx(800 * 36 / 276 * LB, rel=1e-6)


def test_a_hitch_told_an_inch_wrong_is_no_alarm() -> None:
    assert not part_of(reconcile(coupled_rig(hitch_in=241), session(*true_readings()))).failed


# What must not matter.


def figures(coupled: CoupledWeigh) -> list[float]:
    """Return every known figure with its doubt."""
    found = [coupled.coupling_load, coupled.to_trailer, coupled.bars_moment, coupled.restored_share]
    estimates = [each.value for each in found if each is not None]
    estimates += [load(state, WHEELS[what]) for state in coupled.states.values() for what in WHEELS]
    return [number for each in estimates if isinstance(each, Estimate) for number in (each.value, each.u or 0.0)]


SLIGHTLY_OFF = st.lists(st.integers(-2, 2).map(lambda steps: 20.0 * steps), min_size=8, max_size=8)


def off_by(errors_lb: list[float]) -> list[Reading]:
    return [
        structs.replace(each, value_kg=each.value_kg + error_lb * LB)
        for each, error_lb in zip(true_readings(), errors_lb, strict=True)
    ]


@settings(max_examples=25, deadline=None)
@given(SLIGHTLY_OFF, st.permutations(range(8)))
def test_the_order_of_readings_and_passes_moves_nothing(errors_lb: list[float], order: list[int]) -> None:
    readings = off_by(errors_lb)
    first = figures(told(readings))
    assert figures(told([readings[place] for place in order])) == pytest.approx(first, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(SLIGHTLY_OFF, st.lists(st.text("abcxyz -", min_size=1, max_size=6), min_size=6, max_size=6, unique=True))
def test_the_names_of_platforms_and_passes_move_nothing(errors_lb: list[float], names: list[str]) -> None:
    readings = off_by(errors_lb)
    platforms = dict(zip("ABC", names[:3], strict=True))
    passes = dict(zip(map(str, CouplingState), names[3:], strict=True))
    renamed = [
        structs.replace(
            each,
            pass_name=passes[each.pass_name],
            platform=structs.replace(each.platform, name=platforms[each.platform.name]),
        )
        for each in readings
    ]
    assert figures(told(renamed)) == pytest.approx(figures(told(readings)), rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(SLIGHTLY_OFF, st.sampled_from(["front", "rear", "camper", "van"]))
def test_one_more_hitched_reading_as_predicted_leaves_loads_and_adds_no_doubt(
    errors_lb: list[float], what: str
) -> None:
    """Identity of least squares, the covariance held: a reading that says what was known moves nothing.

    Of the ties only the total tells loads; moments, which check, are left out.
    """
    readings = off_by(errors_lb)
    more = session(*readings, *read(HITCHED, {what: {**TRUE_LB[HITCHED], "van": 7400.0}[what]}, "again"))
    problem = posed(coupled_rig(), more)
    added, count = len(readings), len(readings) + 1
    totals = [count + place for place, tie in enumerate(problem.ties) if tie.kind is TieKind.WEIGHT]
    assert len(totals) == 1
    design, values, covariance = problem.layout.design, problem.values.copy(), problem.covariance
    kept = [*range(added), *totals]
    used = [*kept, added]
    before = adjust(design[kept], values[kept], covariance[np.ix_(kept, kept)])
    # What the reading shares with others is predicted too: its best guess given the residuals of the others.
    shared = covariance[added, kept] @ np.linalg.inv(covariance[np.ix_(kept, kept)])
    values[added] = design[added] @ before.solution + shared @ before.residuals
    after = adjust(design[used], values[used], covariance[np.ix_(used, used)])
    seen = design[kept]
    assert seen @ after.solution == pytest.approx(seen @ before.solution, rel=1e-9, abs=1e-7)
    own_before, own_after = (
        np.diag(seen @ each.gain @ covariance[np.ix_(rows, rows)] @ each.gain.T @ seen.T)
        for each, rows in ((before, kept), (after, used))
    )
    assert np.all(own_after <= own_before * (1 + 1e-9) + 1e-9)
    # The loads before are those of the core.
    if what == "van":
        core = reconcile(coupled_rig(), session(*readings)).estimates
        hitched = [f"{HITCHED} {wheel}" for wheel in WHEELS["van"]]
        row = problem.layout.columns.row(dict.fromkeys(hitched, 1.0))
        assert load(core, hitched).value == pytest.approx(row @ before.solution, rel=1e-5)


@settings(max_examples=40, deadline=None)
@given(
    tongue_lb=st.floats(200, 1500),
    given_back=st.floats(0, 1.2),
    wheelbase_in=st.floats(110, 240),
    overhang_in=st.floats(20, 90),
    behind_in=st.floats(120, 300),
)
def test_total_mass_is_conserved_across_states_for_exact_readings(
    tongue_lb: float, given_back: float, wheelbase_in: float, overhang_in: float, behind_in: float
) -> None:
    """Hand: lever rule; M gives back its share of T e/L: front (M - T' e)/L with T' = T - M/D."""
    lost_lb = tongue_lb * overhang_in / wheelbase_in
    moment = given_back * lost_lb * wheelbase_in / (1 + overhang_in / behind_in)
    relieved_lb = moment / behind_in
    with_bars_lb = (moment - (tongue_lb - relieved_lb) * overhang_in) / wheelbase_in
    rig = coupled_rig(wheelbase_in=wheelbase_in, hitch_in=wheelbase_in + overhang_in, camper_in=behind_in)
    coupled = told(
        read(SOLO, {"front": 4000, "rear": 3500})
        + read(HITCHED, {"front": 4000 - lost_lb, "rear": 3500 + lost_lb + tongue_lb, "camper": 6000})
        + read(
            LEVELLED,
            {
                "front": 4000 + with_bars_lb,
                "rear": 3500 - with_bars_lb + tongue_lb - relieved_lb,
                "camper": 6000 + relieved_lb,
            },
        ),
        rig,
    )
    everything = (*WHEELS["van"], *CAMPER)
    whole = [load(coupled.states[SOLO], [*everything, "camper.coupling"]).value]
    whole += [load(coupled.states[state], everything).value for state in (HITCHED, LEVELLED)]
    assert whole == pytest.approx([(13_500 + tongue_lb) * LB] * 3, abs=1e-6)
    assert value(coupled.bars_moment) == pytest.approx(moment * LB_IN, abs=1e-5)
    assert value(coupled.coupling_load) == pytest.approx(tongue_lb * LB, abs=1e-6)
