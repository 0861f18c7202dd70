"""Which slips of a copied ticket are offered: values by hand, and slips made forwards by writing digits down."""

from collections.abc import Iterator
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.rig import Coupling, CouplingKind, CouplingState, Hitch, Place, Rig, VehicleKind
from axlewright.core.scales import ACCURACY_CLASSES, OwnTolerance, Placement, is_on_division
from axlewright.core.sessions.passes import PassChange, Platform, Reading, WeighSession
from axlewright.core.sessions.printed import SlipKind, could_show, meant, printed
from axlewright.core.sessions.reconcile import PartCheck, reconcile
from axlewright.core.sessions.slips import Slip, ranked_slips
from tests.yard import INCH, LB, axle, motorhome, named, reading, rig, session, three_passes, vehicle

RIG = motorhome()
GOOD = three_passes({"steer": (3_240.0, 3_100.0, 6_340.0), "drive": (5_180.0, 5_580.0, 10_760.0)})
STEER_RIGHT, DRIVE_RIGHT, STEER_LEFT, DRIVE_LEFT, STEER, DRIVE = range(6)
KINDS = tuple(SlipKind)
III_L = ACCURACY_CLASSES["III L"]
SAME_FOR_ALL = OwnTolerance(share=0.0, least_kg=8.0)
NO_PLACEMENT = Placement(0.0, 0.0, 0.0)


def entered(good: WeighSession, values_lb: dict[int, float]) -> WeighSession:
    """Return a session with some readings [lb] entered otherwise."""
    readings = list(good.readings)
    for row, value_lb in values_lb.items():
        readings[row] = structs.replace(readings[row], value_kg=value_lb * LB)
    return structs.replace(good, readings=tuple(readings))


def other_side(good: WeighSession, pass_name: str) -> WeighSession:
    """Return a session in which one pass was entered for the other side."""
    swap = {"left": "right", "right": "left"}

    def across(wheel: str) -> str:
        return ".".join(swap.get(word, word) for word in wheel.split("."))

    return structs.replace(
        good,
        readings=tuple(
            structs.replace(each, wheels=frozenset(map(across, each.wheels))) if each.pass_name == pass_name else each
            for each in good.readings
        ),
    )


def part_of(weighed: WeighSession, row: int) -> PartCheck:
    """Return the part of a reading."""
    return next(part for part in reconcile(RIG, weighed).parts if any(check.row == row for check in part.checks))


def ranked(weighed: WeighSession, row: int) -> tuple[Slip, ...]:
    """Return the ranked slips of the part of a reading."""
    return ranked_slips(RIG, weighed, part_of(weighed, row), LB)


def would_be_lb(slip: Slip) -> dict[int, float]:
    """Return by row what the ticket would have read [lb]."""
    return {each.row: each.would_be_kg / LB for each in slip.readings}


@pytest.mark.parametrize(
    ("row", "value_lb", "kind"),
    [
        (STEER_RIGHT, 2_340.0, SlipKind.SWAPPED_DIGITS),
        (STEER_RIGHT, 3_840.0, SlipKind.MISREAD_DIGIT),
        (STEER_RIGHT, 340.0, SlipKind.DROPPED_DIGIT),
        (STEER_RIGHT, 32_240.0, SlipKind.DOUBLED_DIGIT),
        (STEER, 3_640.0, SlipKind.SWAPPED_DIGITS),
        (DRIVE, 1_760.0, SlipKind.DROPPED_DIGIT),
        (DRIVE, 100_760.0, SlipKind.DOUBLED_DIGIT),
        (DRIVE_LEFT, 5_980.0, SlipKind.MISREAD_DIGIT),
    ],
)
def test_a_slip_in_one_reading_is_undone_first_and_alone_leaves_a_perfect_session(
    row: int, value_lb: float, kind: SlipKind
) -> None:
    """The good session agrees exactly: 3,240 + 3,100 = 6,340 and 5,180 + 5,580 = 10,760, so nothing is left."""
    first = ranked(entered(GOOD, {row: value_lb}), row)[0]
    assert (first.kind, first.pass_name) == (kind, None)
    assert would_be_lb(first) == {row: pytest.approx(GOOD.readings[row].value_kg / LB, rel=1e-15)}
    assert first.readings[0].read_kg == value_lb * LB
    assert first.left.statistic == pytest.approx(0.0, abs=1e-9)
    assert first.left.session_statistic == pytest.approx(0.0, abs=1e-9)
    assert first.left.degrees_of_freedom == 1
    assert first.left.probability == pytest.approx(1.0, abs=1e-4)
    assert first.left.reconciles


def test_two_readings_of_a_pass_exchanged_between_platforms_are_seen_from_both_parts() -> None:
    """Each part alone is also explained by another digit, but that leaves the other part as it fails."""
    weighed = entered(GOOD, {STEER_RIGHT: 5_180.0, DRIVE_RIGHT: 3_240.0})
    for row in (STEER_RIGHT, DRIVE_RIGHT):
        first, second, *_ = ranked(weighed, row)
        assert first.kind is SlipKind.EXCHANGED_READINGS
        assert would_be_lb(first) == pytest.approx({STEER_RIGHT: 3_240.0, DRIVE_RIGHT: 5_180.0})
        assert first.left.session_statistic == pytest.approx(0.0, abs=1e-9)
        assert first.left.reconciles
        other = part_of(weighed, DRIVE_RIGHT if row == STEER_RIGHT else STEER_RIGHT)
        assert second.left.session_statistic == pytest.approx(second.left.statistic + other.statistic)


def test_an_exchange_that_breaks_the_other_part_does_not_reconcile() -> None:
    """Steer right 2,240 for 3,240; the drive axle's right side reads 3,240 in good order, and 2,240 would break it."""
    weighed = entered(GOOD, {STEER_RIGHT: 2_240.0, DRIVE_RIGHT: 3_240.0, DRIVE: 8_820.0})
    assert not part_of(weighed, DRIVE).failed
    exchange = next(slip for slip in ranked(weighed, STEER_RIGHT) if DRIVE_RIGHT in would_be_lb(slip))
    assert would_be_lb(exchange) == pytest.approx({STEER_RIGHT: 3_240.0, DRIVE_RIGHT: 2_240.0})
    assert exchange.left.probability == pytest.approx(1.0, abs=1e-4)
    assert not exchange.left.reconciles


@pytest.mark.parametrize("pass_name", ["right wheels", "left wheels"])
def test_a_pass_for_the_other_side_leads_with_the_one_that_it_cannot_be_told_from(pass_name: str) -> None:
    """Both passes on one side: the loads come out mirrored whichever of them was meant for the other."""
    first, second, third, *_ = ranked(other_side(GOOD, pass_name), DRIVE)
    assert {first.pass_name, second.pass_name} == {"right wheels", "left wheels"}
    assert {first.kind, second.kind} == {SlipKind.WRONG_SIDE}
    assert third.kind is not SlipKind.WRONG_SIDE
    for slip in (first, second):
        assert slip.readings == ()
        assert slip.left.session_statistic == pytest.approx(0.0, abs=1e-9)
        assert slip.left.reconciles


def test_a_wrong_side_among_two_passes_of_each_side_is_told() -> None:
    again = [structs.replace(each, pass_name=f"{each.pass_name} again") for each in GOOD.readings[:4]]
    good = structs.replace(GOOD, readings=(*GOOD.readings, *again))
    first, second, *_ = ranked(other_side(good, "left wheels again"), DRIVE)
    assert (first.kind, first.pass_name) == (SlipKind.WRONG_SIDE, "left wheels again")
    assert first.left.reconciles
    assert second.left.session_statistic > 50.0


def test_a_side_without_which_nothing_is_checked_stands_last() -> None:
    """Two passes of the right wheel that differ; if one was the left one, nothing contradicts, nor agrees."""
    weighed = session(reading("one", "A", 3_240.0, "steer.right"), reading("two", "A", 3_040.0, "steer.right"))
    *rest, before_last, last = ranked(weighed, 0)
    assert {before_last.pass_name, last.pass_name} == {"one", "two"}
    assert last.left.degrees_of_freedom == before_last.left.degrees_of_freedom == 0
    assert (last.left.statistic, last.left.probability) == (0.0, 1.0)
    assert last.left.reconciles
    assert {slip.left.degrees_of_freedom for slip in rest} == {1}
    assert would_be_lb(rest[0]) in ({0: pytest.approx(3_040.0)}, {1: pytest.approx(3_240.0)})


def test_tires_of_a_dual_change_sides_with_their_names() -> None:
    tires = ("drive.right.inner", "drive.right.outer")
    good = session(
        *(reading("right", f"P{place}", 2_600.0, tire) for place, tire in enumerate(tires)),
        reading("left", "P0", 5_580.0, "drive.left"),
        reading("axle", "B", 10_780.0, "drive.left", "drive.right"),
    )
    assert not part_of(good, 3).failed
    wrong = other_side(good, "right")
    assert wrong.readings[0].wheels == {"drive.left.inner"}
    first, second = (slip for slip in ranked(wrong, 3) if slip.kind is SlipKind.WRONG_SIDE)
    assert {first.pass_name, second.pass_name} == {"right", "left"}
    assert first.left.statistic == pytest.approx(part_of(good, 3).statistic, abs=1e-6)


def test_a_misread_total_is_one_more_reading() -> None:
    total = reading("axles", "total", 17_100.0, "steer.left", "steer.right", "drive.left", "drive.right")
    good = structs.replace(GOOD, readings=(*GOOD.readings, total))
    first, *_ = ranked(entered(good, {6: 11_100.0}), 6)
    assert (first.kind, would_be_lb(first)) == (SlipKind.MISREAD_DIGIT, {6: pytest.approx(17_100.0)})
    assert first.left.degrees_of_freedom == 3
    assert first.left.statistic == pytest.approx(part_of(good, 6).statistic, abs=1e-9)


def test_a_good_part_has_no_slips() -> None:
    weighed = entered(GOOD, {STEER_RIGHT: 2_340.0})
    assert [len(ranked(GOOD, row)) for row in (STEER, DRIVE)] == [0, 0]
    assert ranked(weighed, DRIVE) == ()
    assert ranked(weighed, STEER) != ()


def test_digits_are_those_of_the_tickets_unit() -> None:
    """1,470 entered 1,740 on a scale in kg; in lb neither is a printed number, and no digit is another."""
    platform = Platform("A", 10.0)

    def kg(name: str, value: float, *wheels: str) -> Reading:
        return Reading(name, platform, value, frozenset(wheels))

    weighed = WeighSession(
        (
            kg("right", 1_740.0, "steer.right"),
            kg("left", 1_410.0, "steer.left"),
            kg("axle", 2_880.0, "steer.left", "steer.right"),
        ),
        ACCURACY_CLASSES["OIML IIII"],
    )
    part = part_of(weighed, 0)
    first = ranked_slips(RIG, weighed, part, 1.0)[0]
    assert first.kind is SlipKind.SWAPPED_DIGITS
    assert (first.readings[0].row, first.readings[0].would_be_kg) == (0, 1_470.0)
    assert {slip.kind for slip in ranked_slips(RIG, weighed, part, LB)} == {SlipKind.WRONG_SIDE}


def test_at_most_sixteen_passes_are_tried_for_the_other_side_and_those_with_suspects_are() -> None:
    readings = [reading(f"right {place}", "A", 3_240.0, "steer.right") for place in range(19)]
    left = reading("left", "A", 3_640.0, "steer.right")
    weighed = session(*readings, left, reading("axle", "A", 6_880.0, "steer.left", "steer.right"))
    assert [check.row for check in part_of(weighed, 19).checks if check.suspect] == [19]
    tried = [slip.pass_name for slip in ranked(weighed, 19) if slip.kind is SlipKind.WRONG_SIDE]
    assert len(tried) == 16
    assert tried[0] == "left"


def forwards(text: str) -> Iterator[tuple[SlipKind, str]]:
    """Yield what one slip of each kind makes of printed digits."""
    for place in range(len(text)):
        before, digit, after = text[:place], text[place], text[place + 1 :]
        yield from ((SlipKind.MISREAD_DIGIT, before + other + after) for other in "0123456789")
        yield SlipKind.DROPPED_DIGIT, before + after
        yield SlipKind.DOUBLED_DIGIT, before + 2 * digit + after
        if after:
            yield SlipKind.SWAPPED_DIGITS, before + after[0] + digit + after[1:]


@given(st.integers(1, 199), st.sampled_from([1, 2, 5]))
@settings(max_examples=20, deadline=None)
def test_what_is_meant_is_all_that_one_slip_turns_into_what_was_copied(copied: int, division: int) -> None:
    """Every number on the division is slipped forwards on paper; those that come out as copied were meant."""
    expected: dict[int, SlipKind] = {}
    for number in range(division, 10 ** (len(str(copied)) + 1), division):
        made = [kind for kind, text in forwards(str(number)) if text == str(copied) and number != copied]
        if made:
            expected[number] = min(made, key=KINDS.index)
    found = meant([printed(float(copied), float(division), 10_000.0, 1.0)], 1.0)
    values = dict(zip(found.values_kg.tolist(), (KINDS[kind] for kind in found.kinds), strict=True))
    assert values == expected
    assert len(values) == len(found.places)


def test_decimals_come_with_the_division_and_digits_are_dropped_before_the_point() -> None:
    """12.5 on a division of 0.5: 13 and other halves, x2.5 and 1x.5, one more digit before the point, 15.2 never."""
    found = meant([printed(12.5, 0.5, inf, 1.0)], 1.0)
    by_kind = {kind: sorted(found.values_kg[found.kinds == place].tolist()) for place, kind in enumerate(KINDS[:4])}
    assert by_kind[SlipKind.SWAPPED_DIGITS] == [21.5]
    assert by_kind[SlipKind.MISREAD_DIGIT] == sorted(
        {12.0, *(x + 0.5 for x in range(10, 20)), *(10 * x + 2.5 for x in range(1, 10))} - {12.5}
    )
    assert by_kind[SlipKind.DROPPED_DIGIT] == sorted(
        {*(100 * x + 12.5 for x in range(1, 10)), *(102.5 + 10 * x for x in range(10)), *(120.5 + x for x in range(10))}
    )
    assert by_kind[SlipKind.DOUBLED_DIGIT] == []


def test_a_class_and_ratings_bound_what_a_ticket_may_have_read() -> None:
    """Class III L indicates at most 10,000 divisions; three times the steer axle's 7,000 lb are 21,000."""
    assert could_show(200_000.0, III_L, Platform("A", 20.0))
    assert not could_show(200_020.0, III_L, Platform("A", 20.0))
    assert not could_show(190.0, III_L, Platform("A", 20.0))
    assert could_show(200_020.0, OwnTolerance(0.002, 20.0), Platform("A", 20.0))
    most_lb = max(max(would_be_lb(slip).values(), default=0.0) for slip in ranked(entered(GOOD, {0: 2_340.0}), 0))
    assert most_lb == pytest.approx(20_340.0)  # 2,340 with a 0 dropped; 21,xxx is beyond 21,000


def test_what_is_no_printed_number_has_no_digits() -> None:
    assert printed(1.234567, 1.0, inf, 1.0) is None
    assert meant([None], 1.0).values_kg.tolist() == []


def assert_slip_as_reconciled(weighed: WeighSession, slip: Slip, row: int, subject: Rig = RIG) -> None:
    """Assert that a slip leaves what reconciling the session with its readings leaves."""
    would_be = other_side(weighed, slip.pass_name) if slip.pass_name else entered(weighed, would_be_lb(slip))
    parts = reconcile(subject, would_be).parts
    part = next(part for part in parts if any(check.row == row for check in part.checks))
    assert slip.left.statistic == pytest.approx(part.statistic, rel=1e-6, abs=1e-6)
    assert slip.left.probability == pytest.approx(part.probability, rel=1e-5, abs=1e-12)
    assert slip.left.degrees_of_freedom == part.degrees_of_freedom
    whole = sum(each.statistic for each in parts)
    assert slip.left.session_statistic == pytest.approx(whole, rel=1e-6, abs=1e-6)


DIGITS_LB = st.integers(20, 900).map(lambda divisions: 20.0 * divisions)


@given(st.lists(DIGITS_LB, min_size=6, max_size=6), st.booleans())
@settings(max_examples=25, deadline=None)
def test_every_candidate_could_have_been_printed_and_stands_once(values_lb: list[float], in_one_part: bool) -> None:
    good = GOOD
    if in_one_part:
        total = reading("axles", "total", sum(values_lb[:4]), "steer.left", "steer.right", "drive.left", "drive.right")
        good = structs.replace(GOOD, readings=(*GOOD.readings, total))
    weighed = entered(good, dict(enumerate(values_lb)))
    for part in reconcile(RIG, weighed).parts:
        slips = ranked_slips(RIG, weighed, part, LB)
        left = [(slip.left.degrees_of_freedom == 0, round(slip.left.session_statistic, 6)) for slip in slips]
        assert left == sorted(left)
        changes = [(slip.pass_name, *((each.row, each.would_be_kg) for each in slip.readings)) for slip in slips]
        assert len(set(changes)) == len(changes)
        for slip in slips:
            for each in slip.readings:
                assert each.read_kg == weighed.readings[each.row].value_kg != each.would_be_kg
                assert is_on_division(each.would_be_kg, 20.0 * LB)
                assert 0.0 < each.would_be_kg <= 200_000.0 * LB * (1 + 1e-9)
            if slip.kind is not SlipKind.WRONG_SIDE:
                assert slip.left.reconciles or slip.left.probability < 0.05 or len(slip.readings) == 2


@given(st.lists(DIGITS_LB, min_size=6, max_size=6), st.booleans(), st.integers(1, 40))
@settings(max_examples=25, deadline=None)
def test_the_closed_form_is_the_whole_solution_where_the_covariance_stays(
    values_lb: list[float], in_one_part: bool, every: int
) -> None:
    """With a tolerance and a placement that no reading changes, far and near candidates are both exact (identity)."""
    good = structs.replace(GOOD, tolerance=SAME_FOR_ALL, placement=NO_PLACEMENT)
    if in_one_part:
        total = reading("axles", "total", sum(values_lb[:4]), "steer.left", "steer.right", "drive.left", "drive.right")
        good = structs.replace(good, readings=(*good.readings, total))
    weighed = entered(good, dict(enumerate(values_lb)))
    for row in (STEER, DRIVE):
        for slip in ranked(weighed, row)[::every][:8]:
            if slip.kind is not SlipKind.WRONG_SIDE:
                assert_slip_as_reconciled(weighed, slip, row)


def test_the_nearest_are_those_of_the_whole_solution_with_a_covariance_that_follows_the_readings() -> None:
    weighed = entered(GOOD, {STEER_RIGHT: 2_340.0, DRIVE: 1_760.0})
    for row in (STEER_RIGHT, DRIVE):
        near = [slip for slip in ranked(weighed, row) if slip.left.reconciles]
        assert near
        for slip in near:
            assert_slip_as_reconciled(weighed, slip, row)


def test_what_changed_between_passes_stays_changed() -> None:
    """The driver, 160 lb over the front axle, is out for the whole axles: 3,240 + 3,100 - 160 = 6,180."""
    driver = PassChange("axles", "driver", -160 * LB, 1.0 * LB, "coach", Place("seat", 0.0, 0.0))
    good = structs.replace(entered(GOOD, {STEER: 6_180.0}), changes=(driver,))
    weighed = entered(good, {STEER_RIGHT: 2_340.0})
    first = ranked(weighed, STEER)[0]
    assert would_be_lb(first) == {STEER_RIGHT: pytest.approx(3_240.0)}
    assert first.left.statistic == pytest.approx(0.0, abs=1e-9)
    assert_slip_as_reconciled(weighed, first, STEER)


def test_a_slip_in_one_coupling_state_is_told_by_the_tie_to_another() -> None:
    """Hand: 600 lb on a ball 50 in behind the rear axle, 140 in behind the front: 214 lb (50/140) off in front."""
    own = axle("front", gawr_lb=3_900), axle("rear", gawr_lb=4_800, aft_in=140)
    truck = vehicle(*(named("truck", each) for each in own), gvwr_lb=7_600, kind=VehicleKind.TOW_VEHICLE, name="truck")
    truck = structs.replace(truck, hitch=Hitch(190 * INCH, 0.5, ()))
    trailer = vehicle(
        named("trailer", axle("only", gawr_lb=5_500, aft_in=190)),
        gvwr_lb=6_000,
        kind=VehicleKind.TRAVEL_TRAILER,
        name="trailer",
    )
    trailer = structs.replace(trailer, coupling="trailer.coupling")
    both = structs.replace(rig(truck, trailer), couplings=(Coupling("truck", "trailer", CouplingKind.BALL),))

    def weigh(state: CouplingState, *values_lb: float) -> list[Reading]:
        names = ("truck.front", "truck.rear", "trailer.only")
        return [
            structs.replace(reading(state, platform, value_lb, f"{name}.left", f"{name}.right"), state=state)
            for platform, name, value_lb in zip("ABC", names, values_lb, strict=False)
        ]

    good = session(*weigh(CouplingState.SOLO, 3_400, 2_600), *weigh(CouplingState.HITCHED, 3_180, 3_420, 4_900))
    assert not any(part.failed for part in reconcile(both, good).parts)
    weighed = entered(good, {2: 3_810.0})
    part = next(part for part in reconcile(both, weighed).parts if part.failed)
    assert [check.row for check in part.checks] == [0, 1, 2, 3]
    offered = [slip for slip in ranked_slips(both, weighed, part, LB) if slip.left.reconciles]
    assert {2: pytest.approx(3_180.0)} in [would_be_lb(slip) for slip in offered]
    for slip in offered:
        assert_slip_as_reconciled(weighed, slip, 2, both)
