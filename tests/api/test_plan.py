"""Plans of passes, asked over the wire."""

import json
from typing import Any

import pytest

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.plan_questions import APP, JSON, answered, ask, axle, faults, motorhome, pair, platforms, site, toad
from tests.api.probe import send


def test_wheel_ends_take_three_passes_that_check_each_other_or_two_that_do_not() -> None:
    answer = answered(motorhome("wheel_ends"))
    assert [each["weighs"] for each in answer["checkable"]["passes"]] == ["centred", "right_side", "left_side"]
    assert [each["weighs"] for each in answer["known"]["passes"]] == ["right_side", "left_side"]
    for name, count, price, checked in (("checkable", 3, 22.5, True), ("known", 2, 18.5, False)):
        schedule = answer[name]
        assert (schedule["proven"], schedule["least_passes"]) == (True, count)
        assert (schedule["price"], schedule["least_price"], schedule["unknown_because"]) == (price, price, None)
        assert {load["checked"] for load in schedule["loads"]} == {checked}
    assert (answer["cannot_know"], answer["unknown_because"]) == ([], None)


def test_a_pass_tells_where_every_axle_stands_and_what_hangs_off() -> None:
    # Platforms 0 to 144 in and 148 to 628 in; the axles 212 in apart; half a contact patch is 0.15 m = 5.906 in.
    # The drive axle is 144 + 212 - f from the far edge of A and f - 212 from its near one: f = 284, 72 - 5.906 left.
    answer = answered(motorhome("wheel_ends", site=site(144, 480)))
    (right,) = (each for each in answer["checkable"]["passes"] if each["weighs"] == "right_side")
    assert right["first_axle_past_edge"] == 284.0
    assert right["stands"] == [
        {"axle": "steer", "platform": "B", "weighed": ["steer.right"], "clearance": 130.1},
        {"axle": "drive", "platform": "A", "weighed": ["drive.right"], "clearance": 66.1},
    ]
    assert (right["hanging_side"], right["against_order"], right["state"]) == ("left", False, "solo")
    assert right["readings"] == [
        {"platform": "A", "wheel_ends": ["drive.right"], "expected": 5100.0},
        {"platform": "B", "wheel_ends": ["steer.right"], "expected": 2975.0},
    ]
    assert (right["least_settling"], right["most_settling"]) == (15.0, 30.0)


def test_rails_on_both_sides_are_told_with_what_can_be_had_instead() -> None:
    answer = answered(motorhome("wheel_ends", site=site(guard_rails="both")))
    assert (answer["checkable"], answer["known"]) == (None, None)
    assert answer["unknown_because"]
    names = [each["name"] for each in answer["cannot_know"]]
    assert names == ["steer.left", "steer.right", "drive.left", "drive.right"]
    first = answer["cannot_know"][0]
    assert [reason["code"] for reason in first["reasons"]] == ["guard_rails"]
    assert first["instead"][0] == "steer can be weighed whole: ask for `axles`."
    assert first["instead"][1].startswith("Portable pads under the wheel ends give it, up to 4 in one go")
    with_pads = answered(motorhome("wheel_ends", site=site(guard_rails="both", pads={"count": 4})))
    assert with_pads["cannot_know"] == []
    (on_pads,) = with_pads["known"]["passes"]
    assert (on_pads["weighs"], on_pads["first_axle_past_edge"], on_pads["scale_house"]) == ("pads", None, None)
    assert "pad 1 under the left of the steer axle, pad 2 under the right of the steer axle" in on_pads["driver"]
    assert "other wheels" not in on_pads["driver"]


def test_with_a_rail_on_one_side_a_pass_goes_the_other_way_round() -> None:
    answer = answered(motorhome("wheel_ends", site=site(144, 480, guard_rails="left")))
    (back,) = (each for each in answer["known"]["passes"] if each["against_order"])
    assert (back["weighs"], back["hanging_side"]) == ("right_side", "left")
    assert "Drive on from the other end, over platform B first." in back["driver"]
    assert "come from the other end" in back["scale_house"]


def test_the_tongue_weight_takes_passes_solo_and_hitched_without_bars() -> None:
    answer = answered(pair("tongue_weight"))
    known = answer["known"]
    assert [each["state"] for each in known["passes"]] == ["solo", "hitched"]
    assert known["passes"][1]["vehicles"] == ["truck", "trailer"]
    assert "levelling bars off" in known["passes"][1]["driver"]
    (load,) = known["loads"]
    assert (load["name"], load["kind"], load["expected"]) == ("trailer.coupling", "tongue_weight", None)
    assert load["standard_uncertainty"] > 0


def test_axles_are_wanted_solo_or_hitched() -> None:
    for state in ("solo", "hitched"):
        answer = answered(pair(wanted={"loads": ["axles"], "vehicles": ["truck"], "state": state}))
        assert {load["state"] for load in answer["known"]["loads"]} == {state}
        assert [load["name"] for load in answer["known"]["loads"]] == ["truck.front", "truck.rear"]


def test_with_levelling_bars_the_same_passes_are_driven_once_more_and_named_so() -> None:
    levelled = {"loads": ["axles", "tongue_weight"], "state": "hitched_levelled"}
    answer = answered(pair(wanted=levelled))
    known = answer["known"]
    assert [each["state"] for each in known["passes"]] == ["solo", "hitched", "hitched_levelled", "hitched_levelled"]
    assert {load["name"]: load["state"] for load in known["loads"]} == {
        **dict.fromkeys(("truck.front", "truck.rear", "trailer.one", "trailer.two"), "hitched_levelled"),
        "trailer.coupling": "hitched",
    }
    assert (
        "truck and trailer hitched together, levelling bars tensioned as for the road." in known["passes"][3]["driver"]
    )
    assert not any("Loads with levelling bars are not in this plan" in each for each in answer["cautions"])
    without = answered(pair("axles"))
    assert any("Loads with levelling bars are not in this plan" in each for each in without["cautions"])


def test_a_pair_on_a_tow_bar_is_weighed_hitched_where_it_is_told_how_far_behind_the_car_stands() -> None:
    document = toad(towed_behind=120)
    known = answered(document)["known"]
    (only,) = known["passes"]
    assert (only["state"], only["vehicles"]) == ("hitched", ["coach", "car"])
    # 212 in, then 120 and 100 in: each axle on a platform of its own.
    assert [each["axle"] for each in only["stands"]] == ["coach.steer", "coach.drive", "car.front", "car.rear"]
    assert len({each["platform"] for each in only["stands"]}) == 4
    assert "coach and car hitched together on the tow bar." in only["driver"]
    assert {load["state"] for load in known["loads"]} == {"hitched"}
    first, second = (
        each["first_axle_past_edge"] for each in (only, answered(toad(towed_behind=140))["known"]["passes"][0])
    )
    assert first != second


def test_loads_that_you_do_not_expect_otherwise_are_assumed_by_rating() -> None:
    answer = answered(motorhome("axles", expected=[{"wheel_end": "steer.left", "load": 3300}]))
    assert answer["expected"] == [
        {"wheel_end": "steer.left", "load": 3300.0, "assumed": False},
        {"wheel_end": "steer.right", "load": 2975.0, "assumed": True},
        {"wheel_end": "drive.left", "load": 5100.0, "assumed": True},
        {"wheel_end": "drive.right", "load": 5100.0, "assumed": True},
    ]
    assert answer["known"]["loads"][0]["expected"] == 6275.0


def test_the_same_site_in_metric_units_gives_the_same_plan() -> None:
    us = answered(motorhome("wheel_ends", site=site(144, 480)))
    document = motorhome("wheel_ends")
    lengths = {"length": 25.4, "width": 25.4, "gap_to_next": 25.4}
    metric = {
        **document,
        "units": {"mass": "lb", "pressure": "psi", "length": "mm"},
        "site": {
            **site(),
            "approach": {"before": 30480, "after": 30480},
            "platforms": [
                {name: value * lengths[name] if name in lengths else value for name, value in each.items()}
                for each in platforms(144, 480)
            ],
        },
    }
    for each in metric["rig"]["vehicles"][0]["axles"]:
        each |= {"aft": each["aft"] * 25.4, "track": each["track"] * 25.4}
    answer = answered(metric)
    for one, other in zip(us["checkable"]["passes"], answer["checkable"]["passes"], strict=True):
        assert one["readings"] == other["readings"]
        assert other["first_axle_past_edge"] == pytest.approx(one["first_axle_past_edge"] * 25.4, abs=2)


def test_a_plan_is_read_back_as_a_session() -> None:
    """Its passes, with figures as expected, are a session that reconciles, with the doubt that was foretold."""
    document = motorhome("wheel_ends")
    plan = answered(document)["checkable"]
    passes = [
        {
            "name": each["name"],
            "readings": [
                {"platform": read["platform"], "value": read["expected"], "wheel_ends": read["wheel_ends"]}
                for read in each["readings"]
            ],
        }
        for each in plan["passes"]
    ]
    scale = {"division": 20, "accuracy_class": "III L"}
    body = {"units": "us", "rig": document["rig"], "session": {"scale": scale, "passes": passes}}
    reply = send(APP, "POST", "/v1/sessions/reconcile", json.dumps(body).encode(), JSON)
    assert reply.status == 200, reply.body
    doubts = {each["name"]: each["standard_uncertainty"] for each in reply.json["wheel_ends"]}
    assert doubts == {load["name"]: load["standard_uncertainty"] for load in plan["loads"]}


def test_a_tongue_weight_has_the_doubt_that_was_foretold() -> None:
    document = pair("tongue_weight")
    plan = answered(document)["checkable"]
    passes = [
        {
            "name": each["name"],
            "state": each["state"],
            "readings": [
                {"platform": read["platform"], "value": read["expected"], "wheel_ends": read["wheel_ends"]}
                for read in each["readings"]
            ],
        }
        for each in plan["passes"]
    ]
    scale = {"division": 20, "accuracy_class": "III L"}
    body = {"units": "us", "rig": document["rig"], "session": {"scale": scale, "passes": passes}}
    reply = send(APP, "POST", "/v1/sessions/reconcile", json.dumps(body).encode(), JSON)
    assert reply.status == 200, reply.body
    (load,) = plan["loads"]
    assert reply.json["coupling"]["coupling_load"]["standard_uncertainty"] == load["standard_uncertainty"]


def test_a_side_pass_tells_how_far_aside_it_stands() -> None:
    # Platforms 132 in wide; between the tires of the steering axle 78 - 11.811 = 66.189 in, of the drive axle
    # 74 - 27.559 = 46.441 in; 0.05 m = 1.969 in to an edge: (132 - 46.441) / 2 + 1.969 = 44.748 to
    # (132 + 46.441) / 2 - 1.969 = 87.252 in.
    whole, *sides = answered(motorhome("wheel_ends"))["checkable"]["passes"]
    assert (whole["least_aside"], whole["most_aside"]) == (None, None)
    assert [(each["least_aside"], each["most_aside"]) for each in sides] == [(44.7, 87.3)] * 2


def test_without_prices_there_is_a_plan_without_a_price() -> None:
    without = {name: value for name, value in site().items() if name != "prices"}
    known = answered(motorhome("axles", site=without))["known"]
    assert (known["price"], known["least_price"]) == (None, None)
    assert known["unknown_because"] == "`site.prices` was not given."


def test_the_operator_may_hold_the_search_to_less_time() -> None:
    app = create_app(Settings(solver_limit_s=0.5))
    reply = ask(motorhome("axles", time_limit=5), app)
    assert reply.json["time_limit"] == 0.5


def changed(**site_changes: Any) -> dict[str, Any]:
    return motorhome("axles", site={**site(), **site_changes})


GAPS = platforms(144, 480)
CASES: dict[str, tuple[dict[str, Any], list[tuple[str, str]]]] = {
    "nothing to weigh on": (changed(platforms=[]), [("inconsistent_site", "/site/platforms")]),
    "a gap behind the last platform": (
        changed(platforms=[{**each, "gap_to_next": 4} for each in GAPS]),
        [("inconsistent_site", "/site/platforms/1/gap_to_next")],
    ),
    "no gap between platforms": (
        changed(platforms=[{**each, "gap_to_next": None} for each in GAPS]),
        [("inconsistent_site", "/site/platforms/0/gap_to_next")],
    ),
    "two platforms of one name": (
        changed(platforms=[{**each, "name": "A"} for each in GAPS]),
        [("inconsistent_name", "/site/platforms/1/name")],
    ),
    "a platform called like a pad": (
        changed(platforms=[{**GAPS[1], "name": "pad 2"}], pads={"count": 2}),
        [("inconsistent_name", "/site/platforms/0/name")],
    ),
    "no word of rails and approach": (
        changed(guard_rails=None, approach=None),
        [("inconsistent_site", "/site/guard_rails"), ("inconsistent_site", "/site/approach")],
    ),
    "class and tolerance": (
        changed(tolerance={"share": 0.002, "least": 20}),
        [("inconsistent_choice", "/site")],
    ),
    "neither class nor tolerance": (changed(accuracy_class=None), [("inconsistent_choice", "/site")]),
    "the same wanted twice": (motorhome("axles", "axles"), [("inconsistent_name", "/wanted/loads/1")]),
    "a tongue weight of nothing": (
        motorhome("axles", "tongue_weight"),
        [("inconsistent_reference", "/wanted/loads/1")],
    ),
    "hitched to nothing": (
        motorhome(wanted={"loads": ["axles"], "state": "hitched"}),
        [("inconsistent_reference", "/wanted/state")],
    ),
    "bars on no ball": (
        motorhome(wanted={"loads": ["axles"], "state": "hitched_levelled"}),
        [("inconsistent_reference", "/wanted/state")],
    ),
    "a distance to nothing": (
        motorhome(wanted={"loads": ["axles"], "towed_behind": 100}),
        [("inconsistent_choice", "/wanted/towed_behind")],
    ),
    "loads of a vehicle that is not there": (
        motorhome(wanted={"loads": ["axles"], "vehicles": ["van"]}),
        [("inconsistent_reference", "/wanted/vehicles/0")],
    ),
    "a load of no wheel end, and of one twice": (
        motorhome(
            "axles",
            expected=[{"wheel_end": name, "load": 3000} for name in ("tag.left", "steer.left", "steer.left")],
        ),
        [("inconsistent_name", "/expected/2/wheel_end"), ("inconsistent_reference", "/expected/0/wheel_end")],
    ),
    "a platform in feet": (
        changed(platforms=platforms(1)),
        [("inconsistent_magnitude", "/site/platforms/0/length")],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_every_contradiction_is_told_at_its_place(name: str) -> None:
    document, expected = CASES[name]
    assert sorted(faults(document)) == sorted(expected)


def test_a_trailer_measured_from_its_own_axle_or_without_a_hitch_is_refused() -> None:
    document = pair("axles")
    document["rig"]["vehicles"][1]["axles"][0]["aft"] = 0
    assert faults(document) == [("inconsistent_order", "/rig/vehicles/1/axles/0/aft")]
    document = pair("axles")
    del document["rig"]["vehicles"][0]["hitch"]
    assert faults(document) == [("inconsistent_reference", "/rig/vehicles/0/hitch")]


def test_a_trailer_within_what_tows_it_is_refused() -> None:
    # The rear axle is 140 in behind the first one, the trailer's 180 in behind its coupling.
    for aft, expected in ((-40, [("inconsistent_order", "/rig/vehicles/0/hitch/aft")]), (-39, None)):
        document = pair("axles")
        document["rig"]["vehicles"][0]["hitch"]["aft"] = aft
        assert (faults(document) if expected else ask(document).status) == (expected or 200)


def test_what_keeps_a_car_from_being_weighed_hitched_is_told_with_the_way_out() -> None:
    (fault,) = ask(toad()).json["errors"]
    assert (fault["code"], fault["pointer"]) == ("inconsistent_choice", "/wanted/towed_behind")
    assert fault["allowed"].endswith("or `state` `solo`: unhitch, and weigh each alone")
    document = toad()
    document["rig"]["couplings"][0]["kind"] = "dolly"
    (fault,) = ask(document).json["errors"]
    assert (fault["pointer"], fault["given"]) == ("/wanted/state", '"hitched"')
    assert "A dolly's own axle" in fault["message"]
    assert fault["allowed"].startswith("`solo`: unhitch the dolly")


def test_nothing_wanted_is_refused_by_shape() -> None:
    assert faults(motorhome(wanted={"loads": []})) == [("too_few", "/wanted/loads")]


@pytest.mark.parametrize("axle_count", [1, 8])
@pytest.mark.parametrize("lengths", [(), (12,), (300,), (100,) * 8, (1900,)])
def test_the_largest_and_the_smallest_rigs_are_answered(axle_count: int, lengths: tuple[float, ...]) -> None:
    document = pair("wheel_ends", "axles", "tongue_weight", time_limit=0.3)
    for vehicle, first in zip(document["rig"]["vehicles"], (0, 120), strict=True):
        vehicle["axles"] = [axle(f"a{number}", first + 45 * number, 9000) for number in range(axle_count)]
    document["rig"]["vehicles"][0]["hitch"]["aft"] = 400
    more = {"platforms": platforms(*lengths), "pads": None if lengths else {"count": 16}}
    answer = answered({**document, "site": {**site(), **more}})
    known = answer["known"]
    assert known is None or known["least_passes"] <= len(known["passes"])
    assert len(answer["cannot_know"]) + len(known["loads"] if known else []) == 6 * axle_count + 1
