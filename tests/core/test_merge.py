"""Several weighs as one adjustment: what averages out and what does not; figures by hand."""

from math import sqrt

import pytest
from msgspec import structs

from axlewright.core.estimates import Estimate
from axlewright.core.rig import Place
from axlewright.core.scales import OwnTolerance
from axlewright.core.sessions.merge import merged
from axlewright.core.sessions.passes import PassChange, WeighSession
from axlewright.core.sessions.reconcile import reconcile
from axlewright.core.sessions.record import SessionRecord
from tests.coupled_yard import FRONT, HITCHED, LEVELLED, SOLO, TRUE_LB, coupled_rig, read, weighed
from tests.yard import INCH, LB, reading, session

TOLERANCE = 20**2 / 3
"""lb2: one division of 20 lb either way, at 3,400 lb on class III L."""
OWN = 20**2 / 12 + 10**2
"""lb2: rounding and placement of one reading."""


def front_weigh(value_lb: float = 3400.0, identity: str | None = None, platform: str = "A") -> WeighSession:
    """Return a weigh of one reading: the van's front axle."""
    weigh = session(reading("axle", platform, value_lb, *FRONT))
    return structs.replace(weigh, record=SessionRecord(scale_identity=identity))


def front(weigh: WeighSession) -> Estimate:
    estimate = reconcile(coupled_rig(), weigh).estimates.known(dict.fromkeys(FRONT, 1.0))
    assert isinstance(estimate, Estimate)
    assert estimate.u is not None
    return estimate


def test_two_scales_halve_the_variance() -> None:
    """Hand: (133.333 + 133.333)/2 lb2, all errors independent: u 11.547 lb, of one weigh 16.330 lb."""
    first, second = (front_weigh(identity=identity) for identity in ("one", "two"))
    together = front(merged([first, second]))
    assert front(first).u == pytest.approx(sqrt(TOLERANCE + OWN) * LB, rel=1e-9)
    assert together.value == pytest.approx(3400 * LB, rel=1e-9)
    assert together.u == pytest.approx(sqrt((TOLERANCE + OWN) / 2) * LB, rel=1e-9)


@pytest.mark.parametrize("identity", ["one", None])
def test_the_error_of_one_scale_does_not_average_away(identity: str | None) -> None:
    """Hand: the scale's tolerance is one error, 133.333 lb2; only the own part, 133.333, is halved: u 14.142 lb.

    Scales that nobody named may be one.
    """
    together = front(merged([front_weigh(identity=identity), front_weigh(identity=identity)]))
    assert together.u == pytest.approx(sqrt(TOLERANCE + OWN / 2) * LB, rel=1e-9)


def test_only_the_span_error_is_common_to_other_loads_of_the_same_scale() -> None:
    """Hand: front axle, and the whole van less the front axle in another weigh: rear = 6,600 - 3,400 lb.

    Both on platform A of one scale: spans 0.002 x (6,600 - 3,400) = 6.4, squared over 3: 13.653; rests
    (400 - 13.2^2)/3 + (400 - 6.8^2)/3 = 193.173; own 266.667. On two scales the spans add: (13.2^2 + 6.8^2)/3 = 73.493.
    """
    rear = dict.fromkeys(("van.rear.left", "van.rear.right"), 1.0)
    us_lb2 = []
    for identities in (("one", "one"), ("one", "two")):
        weighs = [
            structs.replace(session(*read(SOLO, values)), record=SessionRecord(scale_identity=identity))
            for values, identity in zip(({"van": 6600.0}, {"front": 3400.0}), identities, strict=True)
        ]
        estimate = reconcile(coupled_rig(), merged(weighs)).estimates.known(rear)
        assert isinstance(estimate, Estimate)
        assert estimate.u is not None
        assert estimate.value == pytest.approx(3200 * LB, rel=1e-9)
        us_lb2.append((estimate.u / LB) ** 2)
    assert us_lb2 == pytest.approx([473.4933, 533.3333], rel=1e-5)


def test_another_platform_of_the_same_scale_has_its_own_errors() -> None:
    together = front(merged([front_weigh(identity="one"), front_weigh(identity="one", platform="B")]))
    assert together.u == pytest.approx(sqrt((TOLERANCE + OWN) / 2) * LB, rel=1e-9)


def test_the_hanging_side_is_one_error_on_a_scale_and_another_on_the_next() -> None:
    """Hand, lb2: 1,700 on the left, so an axle of 3,400, of which 0.25 % hang: 8.5^2 = 72.25.

    In two passes, or two weighs on one scale, tolerance and hanging are common: 133.333 + 72.25 + 66.667; on two scales
    all is halved: (133.333 + 72.25 + 133.333)/2.
    """
    one = session(reading("first", "A", 1700, FRONT[0]), reading("second", "A", 1700, FRONT[0]))
    us_lb2 = []
    for identities in ((), ("one", "one"), ("one", "two")):
        weighs = [
            structs.replace(session(each), record=SessionRecord(scale_identity=identity))
            for each, identity in zip(one.readings, identities, strict=False)
        ]
        estimate = reconcile(coupled_rig(), merged(weighs) if weighs else one).estimates.known({FRONT[0]: 1.0})
        assert isinstance(estimate, Estimate)
        assert estimate.u is not None
        us_lb2.append((estimate.u / LB) ** 2)
    assert us_lb2 == pytest.approx([TOLERANCE + 72.25 + OWN / 2] * 2 + [(TOLERANCE + 72.25 + OWN) / 2], rel=1e-9)


def test_each_weigh_keeps_the_tolerance_of_its_scale() -> None:
    """Hand: 266.667 lb2 on the first; exact to 5 lb on the second: 25/3 + 133.333 = 141.667.

    Weights 1/266.667 and 1/141.667: value 3,400 + 40 x 0.00705882/(0.00375 + 0.00705882) = 3,426.122 lb; the
    variance 1/0.01080882 = 92.517.
    """
    fine = structs.replace(front_weigh(3440, "two"), tolerance=OwnTolerance(0.0, 5 * LB))
    for weighs in ([front_weigh(identity="one"), fine], [fine, front_weigh(identity="one")]):
        together = front(merged(weighs))
        assert together.value / LB == pytest.approx(3426.1224, abs=1e-3)
        assert together.u == pytest.approx(sqrt(92.5170) * LB, rel=1e-6)


def test_weighs_that_differ_by_more_than_their_scales_allow_do_not_agree() -> None:
    """Hand: the difference has u = sqrt(2 x 266.667) = 23.09 lb: 40 lb are 1.73 u, 60 lb are 2.60 u."""
    for difference_lb, failed in ((40.0, False), (60.0, True)):
        (part,) = reconcile(
            coupled_rig(), merged([front_weigh(identity="one"), front_weigh(3400 + difference_lb, "two")])
        ).parts
        assert part.statistic == pytest.approx(difference_lb**2 / 533.3333, rel=1e-6)
        assert part.failed is failed


def test_passes_are_named_with_their_weigh_and_a_thing_told_alike_is_one() -> None:
    seat = Place("seat", 40 * INCH, 0.0)
    first, second = (
        structs.replace(front_weigh(3280), changes=(PassChange("axle", "driver", -160 * LB, None, "van", seat),))
        for _ in range(2)
    )
    together = merged([first, second])
    assert [each.pass_name for each in together.readings] == ["weigh 1: axle", "weigh 2: axle"]
    assert [each.pass_name for each in together.changes] == ["weigh 1: axle", "weigh 2: axle"]
    # Hand: one driver on one scale: 37 lb2 (6 lb of mass, 1 lb of place) and the tolerance whole, the rest halved.
    estimate = front(together)
    assert estimate.value == pytest.approx(3400 * LB, rel=1e-9)
    assert estimate.u == pytest.approx(sqrt(TOLERANCE + OWN / 2 + 37) * LB, rel=1e-9)
    two = structs.replace(second, changes=(structs.replace(second.changes[0], what="passenger"),))
    assert front(merged([first, two])).u == pytest.approx(sqrt(TOLERANCE + (OWN + 37) / 2) * LB, rel=1e-9)


def test_states_weighed_on_two_days_make_one_triple_weigh() -> None:
    """Hand: solo one day, hitched and levelled another: tongue weight 800 lb, 0.7 of the front axle restored.

    On two scales the spans of the van's readings are their own: u of T is no smaller than on one scale.
    """
    weighs = [
        session(*read(SOLO, {"front": 3400, "rear": 3200})),
        session(*read(HITCHED, TRUE_LB[HITCHED]), *read(LEVELLED, TRUE_LB[LEVELLED])),
    ]
    us = []
    for identities in (("one", "one"), ("one", "two")):
        own = [
            structs.replace(each, record=SessionRecord(scale_identity=identity))
            for each, identity in zip(weighs, identities, strict=True)
        ]
        coupled = weighed(coupled_rig(), merged(own))[1]
        assert coupled.coupling_load is not None
        assert coupled.restored_share is not None
        tongue, restored = coupled.coupling_load.value, coupled.restored_share.value
        assert isinstance(tongue, Estimate)
        assert isinstance(restored, Estimate)
        assert tongue.value == pytest.approx(800 * LB, rel=1e-7)
        assert restored.value == pytest.approx(0.7, rel=1e-7)
        assert tongue.u is not None
        us.append(tongue.u)
    assert us[0] < us[1]


def test_the_order_of_weighs_moves_nothing() -> None:
    weighs = [front_weigh(3400, "one"), front_weigh(3420, "two"), front_weigh(3380, "one")]
    first, turned = front(merged(weighs)), front(merged(weighs[::-1]))
    assert (turned.value, turned.u) == pytest.approx((first.value, first.u), rel=1e-9)


@pytest.mark.parametrize(
    "other",
    [OwnTolerance(0.0, 5 * LB), OwnTolerance(0.02, 5 * LB)],
    ids=["finer", "coarser"],
)
def test_the_order_of_weighs_moves_nothing_where_one_scale_is_told_with_two_tolerances(other: OwnTolerance) -> None:
    """The same two weighs, turned: what is known of the axle cannot depend on which ticket is named first."""
    weighs = [front_weigh(identity="one"), structs.replace(front_weigh(identity="one"), tolerance=other)]
    first, turned = front(merged(weighs)), front(merged(weighs[::-1]))
    assert turned.u == pytest.approx(first.u, rel=1e-9)
