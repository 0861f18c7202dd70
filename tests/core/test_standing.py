"""Where a rig stands on a site: clearances by hand, and all that driving on in small steps finds."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.rig import Coupling, CouplingKind, CouplingState, Rig
from axlewright.core.sessions.plan_question import Wanted
from axlewright.core.sessions.plan_reach import ways_to_stand
from axlewright.core.sessions.site import Rails, Site
from axlewright.core.sessions.standing import AFTER, BEFORE, Lateral, Standing, aside_m, inside_m, room_m
from axlewright.core.sessions.train import trains_of
from tests.sites import question, site, travel_rig
from tests.yard import INCH, axle, motorhome, vehicle
from tests.yard import rig as rig_of


def stood(rig: Rig, place: Site, *spots: int) -> Standing:
    """Return the way to stand whole and in the order listed with every axle at a place."""
    (found,) = (
        way
        for way in ways_to_stand(question(rig, place, Wanted.AXLES), trains_of(rig))
        if way.lateral is Lateral.CENTRED and not way.against and tuple(each.place for each in way.spots) == spots
    )
    return found


def test_clearances_of_a_motorhome_on_two_platforms() -> None:
    # Platforms 0 to 3.6 m and 3.7 to 15.7 m, axles 212 in = 5.3848 m apart. The steering axle at f is f - 3.7 and
    # 15.7 - f from its edges, the drive axle f - 5.3848 and 8.9848 - f. The least grows with f by the second and third
    # until they fall with the fourth: f = (5.3848 + 8.9848) / 2 = 7.1848, 1.8 m each; less 0.15 m for the contact
    # patch. The steering axle then has 7.1848 - 3.7 - 0.15 = 3.3348 m.
    way = stood(motorhome(), site((3.6, 12.0)), 1, 0)
    assert way.first_axle_m == pytest.approx(7.1848)
    assert [each.clearance_m for each in way.spots] == pytest.approx([3.3348, 1.65])


def test_the_approach_bounds_where_an_axle_can_wait() -> None:
    # One platform of 3 m, the drive axle before it: it stands on level way while f - 5.3848 - 0.15 >= -before.
    way = stood(motorhome(), site((3.0,), before_m=4.5), 0, BEFORE)
    assert way.first_axle_m == pytest.approx(1.5)
    assert way.spots[1].clearance_m == pytest.approx(5.3848 - 1.5 - 0.15)
    bounded = stood(motorhome(), site((3.0,), before_m=3.5), 0, BEFORE)
    assert bounded.first_axle_m == pytest.approx(5.3848 + 0.15 - 3.5)
    assert bounded.spots[0].clearance_m == pytest.approx(3.0 - 2.0348 - 0.15)
    beyond = stood(motorhome(), site((3.0,), after_m=3.5), AFTER, 0)
    assert beyond.first_axle_m == pytest.approx(3.0 + 3.5 - 0.15)
    assert beyond.spots[1].clearance_m == pytest.approx(3.0 + 3.5 - 0.15 - 5.3848 - 0.15)


def test_the_room_to_stop_in_is_what_every_axle_leaves() -> None:
    # As above: the steering axle on B, the drive axle on A. B leaves f from 3.7 + 0.2 to 15.7 - 0.2 m, A from
    # 5.3848 + 0.2 to 5.3848 + 3.6 - 0.2.
    place = site((3.6, 12.0))
    assert room_m(stood(motorhome(), place, 1, 0), place) == pytest.approx((5.5848, 8.7848))
    # Before one platform of 3 m the drive axle needs f >= 5.3848 + 0.15 - 3.5 m, the steering axle f <= 3 - 0.2 m.
    short = site((3.0,), before_m=3.5)
    assert room_m(stood(motorhome(), short, 0, BEFORE), short) == pytest.approx((2.0348, 2.8))


def test_what_is_coupled_drives_on_together_where_its_place_is_known() -> None:
    rig = travel_rig()
    assert [(train.state, len(train.axles)) for train in trains_of(rig)] == [
        (CouplingState.SOLO, 2),
        (CouplingState.HITCHED, 4),
        (CouplingState.HITCHED_LEVELLED, 4),
    ]
    on = {kind: structs.replace(rig, couplings=(Coupling("truck", "trailer", kind),)) for kind in CouplingKind}
    assert [train.state for train in trains_of(on[CouplingKind.FIFTH_WHEEL])] == ["solo", "hitched"]
    assert [train.state for train in trains_of(on[CouplingKind.TOWBAR])] == ["solo", "solo"]
    assert [train.state for train in trains_of(on[CouplingKind.DOLLY], 3.0)] == ["solo", "solo"]
    *_, together = trains_of(on[CouplingKind.TOWBAR], 3.0)
    # The second vehicle's first axle 3 m behind the rear axle at 140 in, its second one 34 in behind that.
    assert [axle.behind_m / INCH for axle in together.axles] == pytest.approx([0, 140, 140 + 3 / INCH, 174 + 3 / INCH])


def test_driven_over_the_other_way_round_everything_is_met_in_turn() -> None:
    # Platforms of 3, 5 and 2 m with gaps of 0.1 and 0.4 m; the other way round they begin at 0, 2.4 and 7.5 m.
    listed = structs.replace(site((3.0, 5.0, 2.0), before_m=7.0, after_m=4.0, rails=Rails.LEFT), gaps_m=(0.1, 0.4))
    assert [start for start, _ in listed.spans_m] == pytest.approx([0.0, 3.1, 8.5])
    met = listed.against
    assert [each.name for each in met.platforms] == ["C", "B", "A"]
    assert [start for start, _ in met.spans_m] == pytest.approx([0.0, 2.4, 7.5])
    assert (met.before_m, met.after_m, met.rails) == (4.0, 7.0, Rails.RIGHT)
    assert met.against == listed


@settings(max_examples=60, deadline=None)
@given(
    lengths=st.lists(st.floats(0.3, 8), min_size=1, max_size=4),
    gap=st.floats(0, 1),
    spaced=st.lists(st.floats(0.5, 6), min_size=1, max_size=3),
    before=st.floats(0, 10),
    after=st.floats(0, 10),
)
def test_no_tire_stands_on_an_edge_and_none_beyond_the_level_way(
    lengths: list[float], gap: float, spaced: list[float], before: float, after: float
) -> None:
    """Every way to stand keeps the margins; driving on in small steps finds no other."""
    axles = [axle("a0", gawr_lb=5_000)]
    for number, space_m in enumerate(spaced, 1):
        axles.append(axle(f"a{number}", gawr_lb=5_000, aft_in=axles[-1].aft_m / INCH + space_m / INCH))
    rig = rig_of(vehicle(*axles, gvwr_lb=20_000))
    place = site(tuple(lengths), gap_m=gap, before_m=before, after_m=after, one_way=True, whole_axles_only=True)
    spans = place.spans_m
    whole_m = spans[-1][1]

    def where(at_m: float, margin_m: float) -> int | None:
        low_m, high_m = at_m - 0.15, at_m + 0.15
        for number, (start, end) in enumerate(spans):
            if low_m >= start + margin_m and high_m <= end - margin_m:
                return number
        if high_m <= -margin_m and low_m >= -before - 1e-9:
            return BEFORE
        if low_m >= whole_m + margin_m and high_m <= whole_m + after + 1e-9:
            return AFTER
        return None

    found = set()
    for way in ways_to_stand(question(rig, place, Wanted.AXLES), trains_of(rig)):
        assert way.first_axle_m is not None
        spots = tuple(where(way.first_axle_m - each.aft_m, 0.05 - 1e-6) for each in axles)
        assert spots == tuple(each.place for each in way.spots)
        assert way.clearance_m >= 0.05 - 1e-6
        low_m, high_m = room_m(way, place)
        for first_m in (low_m, high_m):
            kept = tuple(where(first_m - each.aft_m, 0.05 - 1e-6) for each in axles)
            assert kept == spots
        assert low_m - 1e-9 <= way.first_axle_m <= high_m + 1e-9
        found.add(spots)
    reach_m = whole_m + axles[-1].aft_m + after + 1
    for first_m in np.arange(-before, reach_m, 0.01).tolist():
        spots = tuple(where(first_m - each.aft_m, 0.05) for each in axles)
        if None not in spots and max(each for each in spots if each is not None) >= 0:
            assert spots in found


def test_a_side_hangs_off_only_where_the_platform_is_no_wider_than_between_the_tires() -> None:
    # Tracks 78 and 74 in: between the tires 1.9812 - 0.3 = 1.6812 and 1.8796 - 0.7 = 1.1796 m; any width serves, as the
    # rig drives on aside; the outer wheels fit once the platform takes a dual: 0.7 + 2 x 0.05 m, and 0.1 m of room.
    for width_m, fits in ((0.89, False), (0.91, True)):
        laterals = {
            way.lateral
            for way in ways_to_stand(question(motorhome(), site(width_m=width_m), Wanted.AXLES), trains_of(motorhome()))
            if len(way.rows) == 2
        }
        assert (Lateral.RIGHT in laterals) is fits
        assert Lateral.CENTRED not in laterals


def test_a_side_pass_leaves_a_window_across_the_way() -> None:
    # A platform 3.3 m wide, the right wheels on it. The steering axle's left tire is 0.8406 m left of the middle: it is
    # off by 0.05 m once that is (3.3 - 1.6812) / 2 + 0.05 = 0.8594 m left of the platform's, the drive axle's once
    # it is 1.0602 + 0.05. The steering axle's right tire keeps 0.05 m from the left edge up to
    # (3.3 + 1.6812) / 2 - 0.05 = 2.4406 m, the drive axle's up to 2.1898 m.
    place = site()
    sides = [
        way
        for way in ways_to_stand(question(motorhome(), place, Wanted.AXLES), trains_of(motorhome()))
        if len(way.rows) == 2 and not way.against
    ]
    for way in sides:
        found = aside_m(way, place)
        assert found == (None if way.lateral is Lateral.CENTRED else pytest.approx((1.1102, 2.1898), abs=1e-4))
    way = next(way for way in sides if way.lateral is Lateral.RIGHT)
    axle, low_m, high_m = inside_m(way, place)
    # The steering axle's right tire: (3.3 + 1.6812) / 2 = 2.4906 m less these.
    assert axle.name == "steer"
    assert (low_m, high_m) == pytest.approx((0.3008, 1.3804), abs=1e-4)
