"""Several weighs sent together; figures by hand, as in `tests.core.test_merge`."""

import json
from typing import Any

import pytest

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.api.test_coupled_weigh import FRONT, LB, READ_LB, one_pass, rig

APP = create_app(Settings())
ABOARD = {"people": [{"mass": 160, "place": "driver_seat"}], "tanks": [{"name": "fresh", "level": 0.5}]}


def weigh(value: float = 3400, identity: str | None = None, carried: dict[str, Any] | None = ABOARD) -> dict[str, Any]:
    """Return a weigh of one reading, the van's front axle."""
    session: dict[str, Any] = {
        "scale": {"division": 20, "accuracy_class": "III L"},
        "passes": [
            {
                "name": "axle",
                "zero_seen": True,
                "readings": [{"platform": "A", "value": value, "wheel_ends": FRONT}],
            }
        ],
    }
    if identity is not None:
        session["scale"]["identity"] = identity
    if carried is not None:
        session["carried"] = carried
    return session


def together(*sessions: dict[str, Any], coupled: bool = False) -> dict[str, Any]:
    whole = rig()
    whole["vehicles"][0]["tanks"] = [{"name": "fresh", "fluid": "water", "capacity": 20, "aft": 100, "right": 0}]
    if not coupled:
        whole["couplings"] = []
    return {"units": "us", "rig": whole, "sessions": list(sessions)}


def post(document: dict[str, Any]) -> Reply:
    return send(APP, "POST", "/v1/sessions/merge", json.dumps(document).encode(), {"content-type": "application/json"})


def answered(document: dict[str, Any]) -> dict[str, Any]:
    reply = post(document)
    assert reply.status == 200, reply.body
    answer: dict[str, Any] = reply.json
    return answer


def front(answer: dict[str, Any]) -> tuple[float, float]:
    (axle,) = [each for each in answer["merged"]["axles"] if each["name"] == "van.front"]
    return axle["load"], axle["standard_uncertainty"]


@pytest.mark.parametrize(
    ("identities", "u"), [(("one", "two"), 11.5), (("one", "one"), 14.1), ((None, None), 14.1), (("one", None), 14.1)]
)
def test_another_scale_halves_the_variance_and_the_same_scale_only_the_readings_own(
    identities: tuple[str | None, str | None], u: float
) -> None:
    """Hand, lb2: 266.667/2 = 133.333, u 11.547; on one scale 133.333 + 133.333/2 = 200, u 14.142; one weigh 16.330."""
    tickets = [{**weigh(identity=identity), "ticket": str(place)} for place, identity in enumerate(identities)]
    answer = answered(together(*tickets))
    assert (answer["same_state"], answer["unknown_because"], answer["differences"]) == (True, None, [])
    assert front(answer) == (3400.0, u)


def test_the_readings_are_named_with_their_weigh() -> None:
    readings = answered(together(weigh(identity="one"), weigh(3420, "two")))["merged"]["reconciliation"]["readings"]
    assert [(each["pass_name"], each["platform"], each["value"]) for each in readings] == [
        ("weigh 1: axle", "weigh 1: A", 3400.0),
        ("weigh 2: axle", "weigh 2: A", 3420.0),
    ]


def test_weighs_that_do_not_agree_are_said_to_disagree() -> None:
    """Hand: 100 lb are 4.3 of the difference's 23.09 lb."""
    merged = answered(together(weigh(identity="one"), weigh(3500, "two")))["merged"]
    (part,) = merged["reconciliation"]["parts"]
    assert part["agrees"] is False
    assert part["statistic"] == pytest.approx(100**2 / 533.3333, abs=1e-3)
    assert "cross_check_failed" in [each["code"] for each in merged["findings"]]


def test_another_state_of_load_is_no_weigh_of_the_same() -> None:
    heavier = {"people": [{"mass": 200, "place": "driver_seat"}], "tanks": [{"name": "fresh", "level": 1}]}
    answer = answered(together(weigh(), weigh(carried=heavier)))
    assert answer["same_state"] is False
    assert answer["merged"] is None
    assert answer["unknown_because"]
    told = {each["what"]: each["told"] for each in answer["differences"]}
    assert told == {"people at van.driver_seat": ["160 lb", "200 lb"], "tank van.fresh": ["50.0 %", "100.0 %"]}


def test_what_only_one_weigh_declares_is_a_difference() -> None:
    less = {"people": ABOARD["people"]}
    answer = answered(together(weigh(), weigh(carried=less)))
    assert answer["same_state"] is False
    assert answer["merged"] is None
    assert [(each["what"], each["told"]) for each in answer["differences"]] == [
        ("tank van.fresh", ["50.0 %", "nothing"])
    ]


@pytest.mark.parametrize("carried", [None, {"note": "as it leaves"}])
def test_a_state_that_nobody_declared_is_unknown(carried: dict[str, Any] | None) -> None:
    answer = answered(together(weigh(), weigh(carried=carried)))
    assert answer["same_state"] is None
    assert answer["merged"] is None
    assert answer["unknown_because"]
    assert answer["differences"] == []


def test_a_rig_that_is_declared_empty_is_in_another_state() -> None:
    answer = answered(together(weigh(), weigh(carried={})))
    assert (answer["same_state"], answer["merged"]) == (False, None)
    assert answered(together(weigh(carried={}), weigh(3420, carried={})))["same_state"] is True


def test_the_same_state_told_in_other_words_is_the_same() -> None:
    """A place with its vehicle before it, two people in the other order, another note."""
    two = [{"mass": 160, "place": "driver_seat"}, {"mass": 140, "place": "driver_seat"}]
    first = {"people": two, "note": "Friday"}
    second = {"people": [{**each, "place": "van.driver_seat"} for each in two[::-1]], "note": "Sunday"}
    assert answered(together(weigh(carried=first), weigh(carried=second)))["same_state"] is True


@pytest.mark.parametrize("masses_lb", [(159.6, 160.4), (160.4, 160.6)])
def test_whether_the_state_was_the_same_does_not_hang_on_the_unit(masses_lb: tuple[float, float]) -> None:
    """Hand: 159.6, 160.4 and 160.6 lb are 72.39, 72.76 and 72.85 kg; sent in lb and in kg, the answer is the same."""
    states = []
    for factor, mass in ((1.0, "lb"), (LB, "kg")):
        sessions = []
        for mass_lb in masses_lb:
            session = weigh(3400 * factor, carried={"people": [{"mass": mass_lb * factor, "place": "driver_seat"}]})
            session["scale"]["division"] = 20 * factor
            sessions.append(session)
        document = together(*sessions)
        document["units"] = {"mass": mass, "length": "in", "pressure": "psi", "volume": "gal"}
        states.append(answered(document)["same_state"])
    assert states[0] == states[1]


def test_passes_of_two_weighs_make_one_triple_weigh() -> None:
    """Hand: 800 lb, 0.7: solo in one weigh, hitched and levelled in the other."""
    solo, hitched = weigh(), weigh()
    solo["passes"] = [one_pass("solo")]
    hitched["passes"] = [one_pass(state) for state in READ_LB if state != "solo"]
    merged = answered(together(solo, hitched, coupled=True))["merged"]
    assert merged["coupling"]["coupling_load"]["value"] == 800.0
    assert merged["coupling"]["restored_share"]["value"] == 0.7
    assert merged["coupling"]["bars_moment"]["value"] == 2666.7


def test_faults_point_into_the_weigh_that_has_them() -> None:
    wrong = weigh()
    wrong["passes"][0]["readings"][0]["wheel_ends"] = ["van.middle.left"]
    wrong["passes"][0]["changes"] = [{"mass": -160, "place": "attic"}]
    wrong["passes"].append({**wrong["passes"][0], "changes": [], "readings": weigh()["passes"][0]["readings"]})
    reply = post(together(weigh(), wrong))
    assert reply.status == 422
    assert reply.problem_type == "inconsistent"
    assert {each["pointer"] for each in reply.json["errors"]} == {
        "/sessions/1/passes/0/readings/0/wheel_ends/0",
        "/sessions/1/passes/0/changes/0/place",
        "/sessions/1/passes/1/name",
    }


def test_a_fault_of_the_rig_is_told_once_and_a_fault_of_both_weighs_twice() -> None:
    document = together(weigh(), weigh())
    document["rig"]["vehicles"][0]["axles"][1]["name"] = "front"
    pointers = [each["pointer"] for each in post(document).json["errors"]]
    assert len([each for each in pointers if each.startswith("/rig")]) == len({p for p in pointers if p[:4] == "/rig"})
    hitched = weigh()
    hitched["passes"] = [one_pass("hitched")]
    reply = post(together(hitched, {**hitched, "ticket": "2"}))
    assert [each["pointer"] for each in reply.json["errors"]] == [
        "/sessions/0/passes/0/state",
        "/sessions/1/passes/0/state",
    ]


def test_a_form_fault_points_into_its_weigh() -> None:
    wrong = weigh()
    wrong["scale"]["division"] = -20
    reply = post(together(weigh(), wrong))
    assert reply.status in (400, 422)
    assert [each["pointer"] for each in reply.json["errors"]] == ["/sessions/1/scale/division"]


def test_a_weigh_sent_twice_is_no_second_weigh() -> None:
    reply = post(together(weigh(), weigh(3420), weigh()))
    assert [(each["code"], each["pointer"]) for each in reply.json["errors"]] == [
        ("inconsistent_repeat", "/sessions/2")
    ]


def test_one_ticket_of_one_day_is_one_weigh() -> None:
    first, second = ({**weigh(value), "ticket": "A-1", "weighed_on": "2026-05-14"} for value in (3400, 3420))
    reply = post(together(first, second))
    told = [(each["code"], each["pointer"]) for each in reply.json["errors"]]
    assert told == [("inconsistent_repeat", "/sessions/1/ticket")]
    assert answered(together(first, {**second, "weighed_on": "2026-05-15"}))["same_state"] is True


def test_more_readings_than_one_session_may_have_are_refused() -> None:
    many = weigh()
    (only,) = many["passes"]
    many["passes"] = [{**only, "name": f"pass {number}"} for number in range(64)]
    many["passes"] = [
        {**each, "readings": [{**each["readings"][0], "platform": str(place)} for place in range(16)]}
        for each in many["passes"]
    ]
    reply = post(together(many, weigh()))
    assert ("inconsistent_size", "/sessions") in {(each["code"], each["pointer"]) for each in reply.json["errors"]}


def test_one_weigh_is_nothing_to_merge() -> None:
    reply = post(together(weigh()))
    assert reply.status in (400, 422)
    assert [each["pointer"] for each in reply.json["errors"]] == ["/sessions"]


def test_the_same_request_gives_the_same_bytes() -> None:
    document = together(weigh(), weigh(3420), weigh(3380, "one"))
    assert post(document).body == post(document).body


def test_weighs_of_one_scale_in_two_classes_each_keep_to_their_own() -> None:
    """4,000 kg are more divisions of 2 kg than class IIII may show, and the weigh at 2 kg read 1,800 kg only."""
    coarse = {**weigh(8800, identity="one"), "scale": {"division": 40, "accuracy_class": "III", "identity": "one"}}
    fine = {**weigh(4000, identity="one"), "scale": {"division": 4, "accuracy_class": "IIII", "identity": "one"}}
    merged = answered(together(fine, coarse))["merged"]
    assert [each["value"] for each in merged["reconciliation"]["readings"]] == [4000.0, 8800.0]
    assert merged["reconciliation"]["parts"][0]["agrees"] is False
