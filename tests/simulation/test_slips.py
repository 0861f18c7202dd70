"""How often a slip of a copied ticket is found, and how often what the ticket read is offered.

Expected: the power of the global test against a fixed slip s in one reading is that of a noncentral chi-squared with
noncentrality s^2/u^2, u the standard uncertainty of the slip that the other readings find (definition of the test;
scipy's distribution). What the ticket read is offered unless its own test fails, at the significance for each part
that the slip touches.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from axlewright.core.scales import ACCURACY_CLASSES
from axlewright.core.sessions.passes import WeighSession
from axlewright.core.sessions.printed import SlipKind
from axlewright.core.sessions.reconcile import reconcile
from axlewright.core.sessions.slips import Slip, ranked_slips
from tests.core.test_slips import other_side
from tests.simulation.test_coverage import seeded
from tests.simulation.weighs import COACH, MOTORHOME, ONE_PLATFORM, Weigh
from tests.simulation.worlds import normal_errors
from tests.yard import LB

pytestmark = pytest.mark.long

SIGNIFICANCE = 0.05
SLIP_LB = 200.0
POWER_DRAWS = 30_000
TRIED = 300
LARGE_U = 6.0
"""A slip of so many standard uncertainties is found in nearly all weighs, so that finding it says nothing of them."""

SIDES_TWICE = Weigh(
    "motorhome, side passes twice",
    MOTORHOME.rig,
    MOTORHOME.truth_lb,
    tuple(
        (f"{side} wheels{again}", platform, (f"{name}.{side}",))
        for again in ("", " again")
        for side in ("right", "left")
        for platform, name in (("A", "steer"), ("B", "drive"))
    ),
)
PADS_TWICE = Weigh(
    "motorhome, a pad under every wheel, twice",
    MOTORHOME.rig,
    MOTORHOME.truth_lb,
    tuple((f"weigh {again}", f"pad of {wheel}", (wheel,)) for again in (1, 2) for wheel in MOTORHOME.truth_lb),
)
SCHEDULES = (MOTORHOME, ONE_PLATFORM, SIDES_TWICE, PADS_TWICE, COACH)


def slip_u_kg(weigh: Weigh) -> NDArray[np.float64]:
    """Return the standard uncertainty [kg] of the slip that the others find in each reading (n)."""
    us = np.zeros(len(weigh.plan))
    for rows, _, adjustment in weigh.parts:
        us[rows] = adjustment.slip_us
    return us


@pytest.mark.parametrize("weigh", SCHEDULES, ids=lambda weigh: weigh.name)
def test_a_slip_of_200_lb_is_found_as_often_as_the_test_has_power(weigh: Weigh) -> None:
    readings_kg = normal_errors(weigh, seeded(31), POWER_DRAWS)
    us = slip_u_kg(weigh)
    found = []
    for place, (rows, _, adjustment) in enumerate(weigh.parts):
        critical = stats.chi2.isf(SIGNIFICANCE, adjustment.degrees_of_freedom)
        for row in rows:
            power = stats.ncx2.sf(critical, adjustment.degrees_of_freedom, (SLIP_LB * LB / us[row]) ** 2)
            low, high = stats.binom.interval(0.9999, POWER_DRAWS, power)
            for slip_lb in (SLIP_LB, -SLIP_LB):
                slipped_kg = readings_kg.copy()
                slipped_kg[:, row] += slip_lb * LB
                alarms = int(np.sum(weigh.probabilities(slipped_kg)[:, place] < SIGNIFICANCE))
                assert low <= alarms <= high, (row, slip_lb, alarms / POWER_DRAWS, power)
                found.append(alarms / POWER_DRAWS)
    print(f"\n{weigh.name} | slip of 200 lb | found in {min(found):.1%} to {max(found):.1%}")


def tickets_lb(weigh: Weigh, random: np.random.Generator, draws: int) -> NDArray[np.int64]:
    """Return printed readings [lb] (draws, n): normal errors less the variance of rounding, then rounded."""
    rounding = (weigh.division_lb * LB) ** 2 / 12
    spread = np.linalg.cholesky(weigh.covariance - rounding * np.eye(len(weigh.plan)))
    shown = weigh.true_readings_kg + random.standard_normal((draws, len(weigh.plan))) @ spread.T
    return np.asarray(np.round(shown / LB / weigh.division_lb) * weigh.division_lb, dtype=np.int64)


def swapped(text: str, random: np.random.Generator) -> str:
    """Return a number with two neighbouring digits swapped."""
    place = int(random.integers(len(text) - 1))
    return text[:place] + text[place + 1] + text[place] + text[place + 2 :]


def misread(text: str, random: np.random.Generator) -> str:
    """Return a number with another digit somewhere."""
    place = int(random.integers(len(text)))
    return text[:place] + str(random.integers(10)) + text[place + 1 :]


def dropped(text: str, random: np.random.Generator) -> str:
    """Return a number without one of its digits."""
    place = int(random.integers(len(text)))
    return text[:place] + text[place + 1 :]


def doubled(text: str, random: np.random.Generator) -> str:
    """Return a number with a digit twice."""
    place = int(random.integers(len(text)))
    return text[: place + 1] + text[place:]


DIGIT_SLIPS: dict[SlipKind, Callable[[str, np.random.Generator], str]] = {
    SlipKind.SWAPPED_DIGITS: swapped,
    SlipKind.MISREAD_DIGIT: misread,
    SlipKind.DROPPED_DIGIT: dropped,
    SlipKind.DOUBLED_DIGIT: doubled,
}


def entered(weigh: Weigh, ticket_lb: NDArray[np.int64]) -> WeighSession:
    """Return the session of a ticket as it was printed."""
    return next(weigh.sessions((ticket_lb * LB)[np.newaxis]))


@dataclass(frozen=True)
class Made:
    """A slip made in a ticket: the session as entered, what the ticket read [lb] by row or the pass, and its size."""

    session: WeighSession
    ticket_lb: dict[int, int]
    pass_name: str | None = None
    size_us: float = LARGE_U

    def undone_by(self, slip: Slip) -> bool:
        """Return whether a candidate gives the ticket back."""
        if self.pass_name is not None:
            return slip.pass_name == self.pass_name
        return {each.row: each.would_be_kg for each in slip.readings} == pytest.approx(
            {row: value_lb * LB for row, value_lb in self.ticket_lb.items()}, rel=1e-12
        )


def made(weigh: Weigh, ticket_lb: NDArray[np.int64], kind: SlipKind, random: np.random.Generator) -> Made | None:
    """Return a random slip of a kind in a ticket; None where the draw changes nothing, or is no number of the scale."""
    if kind is SlipKind.WRONG_SIDE:
        good = entered(weigh, ticket_lb)
        name = str(random.choice(sorted({name for name, _, _ in weigh.plan if "left" in name or "right" in name})))
        rows = [row for row, (pass_name, _, _) in enumerate(weigh.plan) if pass_name == name]
        return Made(other_side(good, name), {row: int(ticket_lb[row]) for row in rows}, name)
    wrong_lb = ticket_lb.copy()
    if kind is SlipKind.EXCHANGED_READINGS:
        names = [name for name, _, _ in weigh.plan]
        pairs = [(one, other) for one, other in combinations(range(len(names)), 2) if names[one] == names[other]]
        one, other = pairs[int(random.integers(len(pairs)))]
        wrong_lb[[one, other]] = ticket_lb[[other, one]]
    else:
        row = int(random.integers(len(ticket_lb)))
        text = DIGIT_SLIPS[kind](str(ticket_lb[row]), random)
        wrong_lb[row] = 0 if text.startswith("0") else int(text)
    changed = np.flatnonzero(wrong_lb != ticket_lb)
    most_lb = ACCURACY_CLASSES["III L"].steps[-1][0] * weigh.division_lb
    if not changed.size or wrong_lb.min() == 0 or wrong_lb.max() > most_lb:
        return None
    size_us = float(np.max(np.abs(wrong_lb - ticket_lb)[changed] * LB / slip_u_kg(weigh)[changed]))
    return Made(entered(weigh, wrong_lb), {int(row): int(ticket_lb[row]) for row in changed}, None, size_us)


CASES = [
    (weigh, kind)
    for weigh in (MOTORHOME, ONE_PLATFORM, COACH)
    for kind in SlipKind
    if not (weigh is ONE_PLATFORM and kind is SlipKind.EXCHANGED_READINGS)
]


@pytest.mark.parametrize(("weigh", "kind"), CASES, ids=lambda each: getattr(each, "name", None))
def test_what_the_ticket_read_is_among_what_is_offered(weigh: Weigh, kind: SlipKind) -> None:
    """Always among the ranked, and offered exactly where the ticket itself passes.

    For large slips, whose finding says nothing of the ticket, that is all but the significance for each part that
    they touch; small slips are found mostly where the ticket itself alarms.
    """
    random = seeded(32)
    part_of = {row: place for place, (rows, _, _) in enumerate(weigh.parts) for row in rows}
    found = first = large = offered = most_touched = 0
    for ticket_lb in tickets_lb(weigh, random, TRIED):
        slip = made(weigh, ticket_lb, kind, random)
        if slip is None:
            continue
        failed = (part for part in reconcile(weigh.rig, slip.session).parts if part.failed)
        part = next((each for each in failed if any(check.row in slip.ticket_lb for check in each.checks)), None)
        if part is None:
            continue
        ranked = ranked_slips(weigh.rig, slip.session, part, LB)
        place = next(place for place, each in enumerate(ranked) if slip.undone_by(each))
        own = reconcile(weigh.rig, entered(weigh, ticket_lb)).parts
        passes = not any(part.failed and any(check.row in slip.ticket_lb for check in part.checks) for part in own)
        assert ranked[place].left.reconciles == passes
        found += 1
        first += place == 0
        if slip.size_us >= LARGE_U:
            large += 1
            offered += ranked[place].left.reconciles
            most_touched = max(most_touched, len({part_of[row] for row in slip.ticket_lb}))
    print(
        f"\n{weigh.name} | {kind} | {found} found | ranked first {first / found:.1%}"
        f" | {large} large ones | offered {offered / large:.1%}"
    )
    assert large >= 50
    assert offered >= stats.binom.ppf(0.001, large, 1 - most_touched * SIGNIFICANCE)
