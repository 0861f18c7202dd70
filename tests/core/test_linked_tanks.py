"""What flows from tank to tank on a trip is in doubt by what was told of the tanks, at either end.

A motorhome with fresh right above its steering axle and grey above the other, 0.1 m3 each: water at 15 degC has
999.1 kg/m3 (tables), so a full tank holds 99.91 kg. Fresh was half full at the weigh, with a doubt of 5 % of the tank.
"""

from itertools import combinations
from math import hypot

import numpy as np
import pytest
from msgspec import structs
from numpy.typing import NDArray

from axlewright.core.assessment import Choices, assess
from axlewright.core.estimates import Estimate
from axlewright.core.loads.envelope import Envelope
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.statics import rig_statics
from axlewright.core.loads.trip import Trip, worst_of_trip
from axlewright.core.loads.varying import VaryingTank, trip_envelope, weighed_doubts
from axlewright.core.loads.worst_cases import LoadSpan, load_span
from axlewright.core.policy import Policy
from axlewright.core.rig import Fluid, Stated, Tank
from tests.core.test_envelope import COUNT, constraints, random_envelope
from tests.yard import INCH, LB, PSI, known_loads, motorhome

Matrix = NDArray[np.float64]
LOADS_LB = {"steer.left": 2_500.0, "steer.right": 2_600.0, "drive.left": 4_300.0, "drive.right": 4_500.0}
STEER, DRIVE = {"steer.left": 1.0, "steer.right": 1.0}, {"drive.left": 1.0, "drive.right": 1.0}
RIG = motorhome()
ESTIMATES = estimates_from_loads(RIG, known_loads(LOADS_LB))
STATICS = rig_statics(RIG, ESTIMATES)
FULL_KG = 99.91
FRESH = VaryingTank("coach", Tank("fresh", Fluid.WATER, 0.1, 0.0, 0.0), Stated(0.5, 0.05), 0.0, 1.0, 0.5, 288.15)
GREY = VaryingTank("coach", Tank("grey", Fluid.GREY_WATER, 0.1, 212 * INCH, 0.0), Stated(0.0), 0.0, 1.0, 0.0, 288.15)


def linked(*tanks: VaryingTank) -> Envelope:
    """Return the states of a trip with what is in doubt of all of them."""
    envelope = trip_envelope(tanks, [], [[each.tank.name for each in tanks]], STATICS, 4)
    return structs.replace(envelope, everywhere=weighed_doubts(tanks, STATICS, 4).effects)


def span(sum_of: dict[str, float], envelope: Envelope) -> LoadSpan:
    found = load_span(sum_of, ESTIMATES, envelope)
    assert isinstance(found, LoadSpan)
    return found


def test_the_doubt_of_what_fresh_held_comes_along_to_grey() -> None:
    """Hand: 49.955 kg flow. What they may differ by, of 1 standard uncertainty each:

    fresh's level 0.05 x 99.91 = 4.9955; its capacity 2 %, 0.999; grey's capacity 0.999, its density 1 %, 0.4996;
    an inch of either place moves 49.955/212 = 0.2356 kg from axle to axle. Grey may fill whole: 1.998, 0.999, 0.4713.
    """
    highest = span(DRIVE, linked(FRESH, GREY)).highest
    assert highest.state == {"fresh": 0.0, "grey": pytest.approx(0.5)}
    assert highest.load.value == pytest.approx(8_800 * LB + 49.955, abs=2e-3)
    assert highest.there.u == pytest.approx(hypot(4.9955, 0.999, 0.999, 0.4996, 0.2356, 0.2356), rel=1e-3)
    assert highest.load.u == pytest.approx(hypot(4.9955, 0.999, 1.998, 0.999, 0.4713, 0.2356), rel=1e-3)


def test_what_fresh_held_more_grey_gains_and_fresh_loses_alike() -> None:
    """Hand: on all wheels nothing but grey's capacity and the two densities, 0.1 % and 1 %, is left in doubt.

    In other states fresh was emptied beside the road: there it is the 4.9955 kg after all.
    """
    envelope = linked(FRESH, GREY)
    assert envelope.u(np.ones(4), np.array([0.0, 0.5])) == pytest.approx(hypot(0.999, 0.4996, 0.04996), rel=1e-3)
    assert envelope.u(np.ones(4), np.array([0.0, 0.4])) > 4.9955
    assert envelope.largest_u(np.ones(4)) > 4.9955


def test_another_level_at_the_start_than_at_the_weigh_is_in_doubt_by_itself() -> None:
    """Hand: weighed empty, filled to the brim (1 % in doubt, judgement): 0.999 of the 99.91 kg that grey may have."""
    filled = structs.replace(FRESH, weighed=Stated(0.0), start=1.0)
    highest = span(DRIVE, linked(filled, GREY)).highest
    assert highest.state == {"fresh": 0.0, "grey": 1.0}
    half = structs.replace(filled, start=0.5)
    there_u = span(DRIVE, linked(half, GREY)).highest.there.u
    assert there_u == pytest.approx(hypot(4.9955, 0.999, 0.999, 0.4996, 0.2356), rel=1e-3)


def trip(*tanks: VaryingTank) -> Trip:
    weighed = assess(RIG, known_loads(LOADS_LB), Choices(Policy(rounding_step_pa=5 * PSI)))
    envelope = trip_envelope(tanks, [], [["fresh", "grey"]], STATICS, 4)
    return worst_of_trip(weighed, weighed_doubts(tanks, STATICS, 4), envelope)


def test_the_whole_trip_is_told_with_that_doubt() -> None:
    """Identity: a wheel end's highest load, an axle's limit, and the pressure's design load all bear it."""
    exact = trip(structs.replace(FRESH, weighed=Stated(0.5, 0.0)), GREY)
    doubtful = trip(FRESH, GREY)
    [before], [after] = (
        [case.check.value for case in each.limits if (case.check.subject, case.check.kind) == ("drive", "axle")]
        for each in (exact, doubtful)
    )
    assert isinstance(before, Estimate)
    assert isinstance(after, Estimate)
    assert before.u is not None
    assert after.u == pytest.approx(hypot(before.u, 4.9955), rel=1e-4)
    needs = [each.pressures[1].pressure.need for each in (exact, doubtful)]
    assert needs[0] is not None
    assert needs[1] is not None
    ends = [each.spans["drive.right"] for each in (exact, doubtful)]
    highs = [end.highest.load.high(2.0) for end in ends if isinstance(end, LoadSpan)]
    assert highs[1] > highs[0] + 0.5
    assert [need.upper_kg for need in needs if need is not None] == pytest.approx([high / 2 for high in highs])


def doubtful_links(random: np.random.Generator) -> Envelope:
    """Return linked variables: what there is together is in doubt by errors, of which one is in every state."""
    envelope = random_envelope(random, linked=True)
    links = tuple(
        structs.replace(link, doubts={f"start {place}": 0.02 * link.most, "common": -0.01 * link.most})
        for place, link in enumerate(envelope.links)
    )
    everywhere = {"start 0": random.normal(0, 5, COUNT), "weighed": random.normal(0, 5, COUNT)}
    return structs.replace(envelope, links=links, everywhere=everywhere)


@pytest.mark.parametrize("seed", range(40))
def test_no_corner_has_more_doubt_than_the_bound(seed: int) -> None:
    """Library: every meeting of bounds and links, moved by each error of what there is (JCGM 100:2008, 5.1.2)."""
    random = np.random.default_rng(7_000 + seed)
    envelope = doubtful_links(random)
    row = random.normal(0, 1, COUNT)
    wheels = np.eye(COUNT)
    bounds = {size: np.linalg.norm(envelope.largest_effects[size]) for size in range(COUNT)}
    reached = 0
    for levels, effects in corner_effects(envelope):
        reached += 1
        u = float(np.linalg.norm([effect @ row for effect in effects.values()]))
        assert u == pytest.approx(envelope.u(row, levels), rel=1e-6)
        assert u <= envelope.largest_u(row) + 1e-9
        for wheel in range(COUNT):
            assert np.linalg.norm([effect @ wheels[wheel] for effect in effects.values()]) <= bounds[wheel] + 1e-9
    assert reached > 10


def corner_effects(envelope: Envelope) -> list[tuple[Matrix, dict[str, Matrix]]]:
    """Return each corner with what every error does there: to what is aboard, everywhere, and by moving the corner."""
    matrix, side = constraints(envelope)
    count = matrix.shape[1]
    loads = np.array([each.whole.loads for each in envelope.variables])
    found = []
    for chosen in (list(each) for each in combinations(range(len(matrix)), count)):
        if abs(np.linalg.det(matrix[chosen])) < 1e-12:
            continue
        levels = np.asarray(np.linalg.solve(matrix[chosen], side[chosen]), dtype=np.float64)
        if (matrix @ levels > side + 1e-9).any():
            continue
        effects = {name: effect.copy() for name, effect in envelope.everywhere.items()}
        for each, level in zip(envelope.variables, levels, strict=True):
            for name, effect in each.whole.effects.items():
                effects[name] = effects.get(name, np.zeros(COUNT)) + (level - each.weighed) * effect
        for place, link in enumerate(envelope.links):
            for name, amount in link.doubts.items():
                more = np.zeros(len(side))
                more[2 * count + place] = amount
                moved = np.linalg.solve(matrix[chosen], more[chosen])
                effects[name] = effects.get(name, np.zeros(COUNT)) + moved @ loads
        found.append((levels, effects))
    return found
