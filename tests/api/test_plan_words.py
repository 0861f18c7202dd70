"""What a plan of passes says to the driver, to the scale house, and of what it rests on."""

import pytest
from msgspec.json import schema_components

from axlewright.contract.plan import ScheduleAnswer
from tests.api.plan_questions import answered, axle, in_meters, motorhome, pair, platforms, site, toad


def test_the_driver_and_the_scale_house_are_told_what_to_do() -> None:
    answer = answered(motorhome("wheel_ends", site=site(144, 480)))
    whole, right, left = answer["checkable"]["passes"]
    # The drive axle stops at 284 - 212 = 72 in, in the middle of A; every tire keeps 0.2 m = 7.874 in from the edges of
    # its own: 7.874 to 136.126 in, in whole inches 8 to 136. Across the way the steering axle's right tire begins
    # (132 + 66.189) / 2 = 99.09 in less 44.75 to 87.25 in from the left edge: 11.84 to 54.35, in whole inches 12 to 54.
    assert right["driver"] == (
        "Pass 2 of 3, right wheels: coach by itself: first chock anything that it tows, unhitch it and leave it parked "
        "off the scale. Drive over platform A first. Stop with the drive axle about 6 ft (to the middle of its wheels; "
        "8 in to 11 ft 4 in) past the start of platform A: steer axle on platform B, drive axle on platform A. Keep so "
        "far to the left that only the right wheels are on the platforms and every left wheel stands beside them on "
        "level ground, clear of the edge: the right wheels of the steer axle with their inner side 1 ft to 4 ft 6 in "
        "from the platform's left edge; somebody who does not travel with you watches from outside. Everyone stays "
        "aboard as when travelling; slides in, jacks up. Once still, where the ground is level and nobody gets out: "
        "neutral, brakes released, a foot ready at the pedal, so that nothing is braced; elsewhere the parking brake "
        "stays set. Wait 15 to 30 s until the figures stand. Set the parking brake before anybody leaves the seat; if "
        "the driver has to get out to the call button, send that weight as `changes` of this pass."
    )
    assert right["scale_house"] == (
        "Weigh 2 of 3: please weigh each platform separately and print each weight. The left wheels stand beside the "
        "platforms on purpose: please weigh the right wheels alone. We will be back for a further weigh."
    )
    assert "We come over the scale 3 times: what does each further weigh cost?" in whole["scale_house"]
    assert "beside" not in whole["scale_house"]
    assert left["scale_house"].endswith("That is the last one.")


def test_a_car_weighed_by_itself_has_a_driver_whom_it_is_towed_without() -> None:
    document = toad()
    document["wanted"]["state"] = "solo"
    coach, car = answered(document)["known"]["passes"]
    assert "first chock car, unhitch it and leave it parked off the scale" in coach["driver"]
    assert "Whoever drives it on is not in it on the road" in car["driver"]


def test_a_stop_is_told_by_the_axle_nearest_to_an_edge_in_the_units_of_the_caller() -> None:
    # One platform of 5 ft; the other axle waits 212 in behind or ahead: the one on it is in its middle, 30 in, and may
    # be between 7.874 in and 52.126 in. In metres 0.762, 0.2 and 1.324.
    (first, _) = answered(motorhome("axles", site=site(60)))["known"]["passes"]
    assert "axle about 2 ft 6 in (to the middle of its wheels; 8 in to 4 ft 4 in) past the start" in first["driver"]
    (first, _) = answered(in_meters(motorhome("axles", site=site(60))))["known"]["passes"]
    assert "axle about 76 cm (to the middle of its wheels; 20 cm to 1.32 m) past the start" in first["driver"]


def test_a_stop_without_room_is_said_to_have_none() -> None:
    # 0.4 m: half a contact patch and the margin on each side, 15.75 in; the middle is at 7.87 in.
    (first, _) = answered(motorhome("axles", site=site(15.75)))["known"]["passes"]
    assert "axle 8 in (measure it: there is no room either way) past the start of platform A" in first["driver"]


@pytest.mark.parametrize(
    ("kind", "axles", "said", "unsaid"),
    [
        ("motorhome", ("steer", "drive", "tag"), "slides in, jacks up, tag axle down.", "nothing hitched"),
        ("motorhome", ("steer", "drive"), "slides in, jacks up.", "tag"),
        ("van", ("front", "rear"), "as when travelling. Once", "slides"),
        ("van", ("front", "tag"), "as when travelling; tag axle down. Once", "slides"),
        ("trailer", ("one", "two", "three"), "as when travelling; jacks up. Once", "tag"),
    ],
)
def test_a_driver_is_told_of_what_the_vehicle_has(kind: str, axles: tuple[str, ...], said: str, unsaid: str) -> None:
    document = motorhome("axles")
    (vehicle,) = document["rig"]["vehicles"]
    first = 150 if kind == "trailer" else 0
    vehicle |= {"kind": kind, "axles": [axle(name, first + 100 * place, 7000) for place, name in enumerate(axles)]}
    driver = answered(document)["known"]["passes"][0]["driver"]
    assert said in driver
    assert unsaid not in driver


def test_a_short_way_is_told_with_where_to_look_for_a_longer_one() -> None:
    short = site(120, approach={"before": 40, "after": 40}, pads={"count": 2})
    (steer, _) = answered(motorhome("axles", site={**short, "pads": None}))["cannot_know"]
    assert [each["code"] for each in steer["reasons"]] == ["approach_too_short"]
    assert steer["instead"][-1] == (
        "A longer `site.approach` gives it: look whether there is more level way than you sent, or take a scale that "
        "has more."
    )


def test_a_fine_division_that_parts_axles_says_so() -> None:
    """Class III L ends at 10,000 divisions: with d = 1 lb both axles, 16,150 lb, do not stand on one platform."""
    fine = answered(motorhome("axles", site=site(480, division=1)))
    assert fine["basis"][-1] == (
        "Class III L shows at most 10,000 divisions (A 10,000 lb): wheels that together are likely heavier are planned "
        "apart"
    )
    coarse = answered(motorhome("axles", site=site(480)))
    assert not any("divisions (" in each for each in coarse["basis"])


def test_pads_have_to_lie_level_with_the_other_wheels() -> None:
    answer = answered(motorhome("wheel_ends", site=site(pads={"count": 2}, platforms=[])))
    assert (
        "; the vehicle's other wheels level with these, on boards as thick as a pad."
        in (answer["known"]["passes"][0]["driver"])
    )
    assert any(each.startswith("Pads go under whole axles") for each in answer["basis"])
    assert not any(each.startswith("Pads go") for each in answered(motorhome("axles"))["basis"])


def test_the_scale_house_hears_of_the_passes_over_its_scale_only() -> None:
    answer = answered(motorhome("wheel_ends", site=site(480, guard_rails="both", pads={"count": 2})))
    texts = [each["scale_house"] for each in answer["checkable"]["passes"]]
    over_it = [each for each in texts if each is not None]
    assert None in texts
    assert over_it[0].startswith(f"Weigh 1 of {len(over_it)}: please print the weight.")


def test_the_longest_names_on_the_most_platforms_fit_in_the_texts() -> None:
    document = pair("wheel_ends", time_limit=0.3)
    names = [f"{letter:_<32}" for letter in "abcdefgh"]
    for vehicle, first in zip(document["rig"]["vehicles"], (0, 120), strict=True):
        vehicle["axles"] = [axle(name, first + 45 * place, 9000) for place, name in enumerate(names)]
    tow, towed = document["rig"]["vehicles"]
    tow["name"], towed["name"] = (f"{letter:_<32}" for letter in "vw")
    tow["hitch"]["aft"] = 400
    document["rig"]["couplings"] = [{"tow": tow["name"], "towed": towed["name"], "kind": "ball"}]
    document["wanted"]["state"] = "hitched"
    long = [{**each, "name": f"{each['name']:-<80}"} for each in platforms(*(100,) * 8)]
    known = answered({**document, "site": {**site(), "platforms": long}})["known"]
    most = max(len(each["driver"]) for each in known["passes"])
    assert 2_000 < most <= 4_000


def test_prices_that_grow_are_those_of_separate_weighs() -> None:
    dear = answered(motorhome("axles", site=site(prices={"first": 5, "further": 12})))
    assert dear["checkable"]["price"] == 10.0
    assert any(each.startswith("A further pass costs more than a first one") for each in dear["basis"])
    assert not any(each.startswith("A further pass") for each in answered(motorhome("axles"))["basis"])


def test_what_checkable_and_proven_do_not_count_is_said() -> None:
    basis = answered(pair("tongue_weight"))["basis"]
    assert "Moments between coupling states, which a reconciliation tests too, are not counted as a check" in basis
    said = schema_components([ScheduleAnswer])[1]["ScheduleAnswer"]["properties"]["proven"]["description"]
    assert "moments between coupling states, which a reconciliation also tests, are not counted" in said
    assert "answered otherwise when the service is busy" in said
