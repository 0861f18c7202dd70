"""A triple weigh asked over the wire; figures by hand, as in `tests.coupled_yard`."""

import json
from typing import Any

import pytest

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send

APP = create_app(Settings())
LB = 0.45359237  # kg, exact: NIST SP 811, appendix B.8
LBF_FT = 1.3558179483  # N m, from exact factors
TIRES = {"fitment": "single", "designation": "LT245/75R16", "load_range": "E", "max_load_single": 3042}
FRONT = ["van.front.left", "van.front.right"]
REAR = ["van.rear.left", "van.rear.right"]
CAMPER = ["camper.axle.left", "camper.axle.right"]
READ_LB = {
    "solo": {"A": (3400, FRONT), "B": (3200, REAR)},
    "hitched": {"A": (3000, FRONT), "B": (4400, REAR), "C": (5800, CAMPER)},
    "hitched_levelled": {"A": (3280, FRONT), "B": (3960, REAR), "C": (5960, CAMPER)},
}


def axle(name: str, aft: float, gawr: float) -> dict[str, Any]:
    return {"name": name, "aft": aft, "track": 66, "gawr": gawr, "tires": {**TIRES, "max_pressure": 80}}


def rig(kind: str = "ball", towed: str = "travel_trailer") -> dict[str, Any]:
    """Return a van, 160 in between the axles, the ball 240 in behind the first; a camper on one axle at 200 in."""
    return {
        "name": "Sandpiper pair",
        "vehicles": [
            {
                "name": "van",
                "kind": "tow_vehicle",
                "gvwr": 9000,
                "gcwr": 15_000,
                "axles": [axle("front", 0, 4500), axle("rear", 160, 6000)],
                "hitch": {
                    "aft": 240,
                    "up": 18,
                    "max_vertical": 900,
                    "max_vertical_levelled": 1000,
                    "max_towed": 7000,
                    "max_towed_levelled": 10_000,
                },
                "places": [{"name": "driver_seat", "aft": 40, "right": -20}],
            },
            {
                "name": "camper",
                "kind": towed,
                "gvwr": 7500,
                "axles": [axle("axle", 200, 7000)],
                "places": [{"name": "bay", "aft": 100, "right": 0}],
            },
        ],
        "couplings": [{"tow": "van", "towed": "camper", "kind": kind}],
    }


def one_pass(state: str, name: str | None = None, **changed: tuple[float, list[str]]) -> dict[str, Any]:
    readings = {**READ_LB[state], **changed}
    return {
        "name": name or state,
        "state": state,
        "zero_seen": True,
        "readings": [{"platform": p, "value": v, "wheel_ends": wheels} for p, (v, wheels) in readings.items()],
    }


def triple(*states: str) -> dict[str, Any]:
    """Return the request of the triple weigh, or of some of its passes."""
    return {
        "units": "us",
        "rig": rig(),
        "session": {
            "scale": {"division": 20, "accuracy_class": "III L"},
            "passes": [one_pass(state) for state in states or READ_LB],
        },
    }


def post(path: str, document: dict[str, Any]) -> Reply:
    return send(APP, "POST", path, json.dumps(document).encode(), {"content-type": "application/json"})


def answered(document: dict[str, Any], path: str = "/v1/assess") -> dict[str, Any]:
    reply = post(path, document)
    assert reply.status == 200, reply.body
    answer: dict[str, Any] = reply.json
    return answer


def refused(document: dict[str, Any], path: str = "/v1/assess") -> list[tuple[str, str]]:
    """Return code and pointer of every fault."""
    reply = post(path, document)
    assert 400 <= reply.status < 500, reply.body
    assert reply.problem_type
    return [(each["code"], each["pointer"]) for each in reply.json["errors"]]


def loads(rows: list[dict[str, Any]]) -> dict[str, float | None]:
    return {row["name"]: row["load"] for row in rows}


@pytest.mark.parametrize("path", ["/v1/assess", "/v1/sessions/reconcile"])
def test_the_triple_weigh_is_told_to_the_printed_digit(path: str) -> None:
    """Hand: T 800 lb; M 32,000 lb in = 2,666.67 lb ft; 160 lb; share 0.7."""
    coupling = answered(triple(), path)["coupling"]
    told = {name: coupling[name]["value"] for name in ("coupling_load", "put_on_trailer_axles", "bars_moment")}
    assert told == {"coupling_load": 800.0, "put_on_trailer_axles": 160.0, "bars_moment": 2666.7}
    assert coupling["restored_share"]["value"] == 0.7
    assert coupling["state"] == "hitched_levelled"
    assert all(coupling[name]["standard_uncertainty"] > 0 for name in told)
    assert all(coupling[name]["settled_by"] is None and not coupling[name]["provisional"] for name in told)


def test_every_state_is_told_and_the_answer_is_of_the_one_that_travels() -> None:
    answer = answered(triple())
    told = {
        each["state"]: {**loads(each["axles"]), **loads(each["vehicles"]), "rig": each["rig"]["load"]}
        for each in answer["coupling"]["states"]
    }
    assert told == {
        "solo": {"van.front": 3400, "van.rear": 3200, "camper.axle": 5800, "van": 6600, "camper": 6600, "rig": 12_400},
        "hitched": {
            "van.front": 3000,
            "van.rear": 4400,
            "camper.axle": 5800,
            "van": 7400,
            "camper": 6600,
            "rig": 13_200,
        },
        "hitched_levelled": {
            "van.front": 3280,
            "van.rear": 3960,
            "camper.axle": 5960,
            "van": 7240,
            "camper": 6600,
            "rig": 13_200,
        },
    }
    assert loads(answer["axles"]) == {"van.front": 3280, "van.rear": 3960, "camper.axle": 5960}


def test_whole_vehicles_and_hitch_are_judged_without_bars() -> None:
    """Hand: van 7,400 lb without bars against 9,000; tongue 800 of 6,600 lb, 0.1212; rig 13,200 against 15,000."""
    limits = {(each["subject"], each["kind"]): each for each in answered(triple())["limits"]}
    assert limits["van", "vehicle"]["value"] == 7400.0
    assert limits["camper", "vehicle"]["value"] == 6600.0
    assert limits["camper", "tongue_share"]["value"] == 0.1212
    assert limits["Sandpiper pair", "combination"]["value"] == 13_200.0
    assert limits["van.front", "axle"]["value"] == 3280.0


def test_solo_and_levelled_alone_leave_the_tongue_weight_unknown_and_name_the_pass() -> None:
    """Hand: 640 lb is what the bars leave of it, and is nowhere given for it."""
    answer = answered(triple("solo", "hitched_levelled"))
    tongue = answer["coupling"]["coupling_load"]
    assert tongue["value"] is None
    assert tongue["unknown_because"]
    assert tongue["settled_by"] == "All wheels of van on the scale, hitched without levelling bars."
    assert answer["coupling"]["bars_moment"]["value"] == 2666.7
    (share,) = {(each["value"], each["standing"]) for each in answer["limits"] if each["kind"] == "tongue_share"}
    assert share == (None, "unknown")
    vertical = [each for each in answer["limits"] if each["kind"] == "hitch_vertical"]
    assert [(each["value"], each["standing"]) for each in vertical] == [(None, "unknown")]


def test_with_bars_alone_no_single_pass_tells_the_tongue_weight() -> None:
    coupling = answered(triple("hitched_levelled"))["coupling"]
    assert (coupling["coupling_load"]["value"], coupling["coupling_load"]["settled_by"]) == (None, None)
    assert coupling["restored_share"]["settled_by"] is None
    assert coupling["bars_moment"]["settled_by"] == "All wheels of camper on the scale, hitched without levelling bars."


def test_a_front_axle_short_of_one_pass_names_it() -> None:
    coupling = answered(triple("hitched", "hitched_levelled"))["coupling"]
    assert coupling["restored_share"]["value"] is None
    assert coupling["restored_share"]["settled_by"].startswith("Axle van.front on the scale, ")
    assert coupling["coupling_load"]["settled_by"].startswith("All wheels of van on the scale, ")


def test_a_given_tongue_weight_counts_where_the_passes_do_not_tell_it() -> None:
    """Hand: 780 lb given, as the van was not weighed hitched."""
    document = triple("solo", "hitched_levelled")
    document["coupling_loads"] = [{"load": 780, "standard_uncertainty": 10}]
    limits = {(each["subject"], each["kind"]): each for each in answered(document)["limits"]}
    assert limits["van hitch", "hitch_vertical"]["value"] == 780.0
    # Solo 6,600 lb and 780 lb of it.
    assert limits["van", "vehicle"]["value"] == 7380.0


def test_a_given_tongue_weight_is_none_with_bars() -> None:
    """It is known without bars; how much of it they take off the ball, the one pass does not tell."""
    document = triple("hitched_levelled")
    document["coupling_loads"] = [{"load": 780, "standard_uncertainty": 10}]
    answer = answered(document)
    (state,) = answer["coupling"]["states"]
    assert loads(state["vehicles"]) == {"van": 7240.0, "camper": None}
    limits = {(each["subject"], each["kind"]): each for each in answer["limits"]}
    assert limits["van hitch", "hitch_vertical"]["value"] == 780.0


def test_a_given_tongue_weight_that_the_passes_contradict_is_a_finding_and_does_not_count() -> None:
    document = triple()
    document["coupling_loads"] = [{"load": 500, "standard_uncertainty": 10}]
    answer = answered(document)
    (finding,) = [each for each in answer["findings"] if each["code"] == "coupling_load_differs"]
    assert finding["subject"] == "camper.coupling"
    assert answer["coupling"]["coupling_load"]["value"] == 800.0


def test_bars_beyond_the_front_axles_own_load_are_a_finding() -> None:
    """Hand: M 96,000 lb in: front +840 of 400 lb lost: 2.1."""
    document = triple()
    document["session"]["passes"][2] = one_pass("hitched_levelled", A=(3840, FRONT), B=(3080, REAR), C=(6280, CAMPER))
    answer = answered(document)
    assert answer["coupling"]["restored_share"]["value"] == 2.1
    assert [each["subject"] for each in answer["findings"] if each["code"] == "front_axle_over_restored"] == [
        "van.front"
    ]


def test_a_slip_makes_every_figure_of_the_coupling_provisional() -> None:
    document = triple("solo", "hitched")
    document["session"]["passes"][1] = one_pass("hitched", A=(3300, FRONT))
    answer = answered(document)
    (tie,) = answer["reconciliation"]["ties"]
    # Hand: 300 lb at 240 in, the longest arm, ahead of the ball.
    assert (tie["kind"], tie["between"], tie["difference"]) == ("moment", ["solo", "hitched"], -300.0)
    assert tie["suspect"] is True
    assert answer["coupling"]["coupling_load"]["provisional"] is True
    assert all(each["provisional"] for each in answer["axles"] if each["name"].startswith("van"))


# What must not matter.


def test_the_order_of_passes_and_the_names_of_platforms_move_no_printed_digit() -> None:
    document = triple()
    document["session"]["passes"][1] = one_pass("hitched", A=(3020, FRONT), C=(5780, CAMPER))
    turned = json.loads(json.dumps(document))
    turned["session"]["passes"].reverse()
    for each in turned["session"]["passes"]:
        for reading in each["readings"]:
            reading["platform"] = {"A": "rear plate", "B": "A", "C": "B"}[reading["platform"]]
    assert answered(turned)["coupling"] == answered(document)["coupling"]


def in_metric(document: dict[str, Any]) -> dict[str, Any]:
    """Return the same request in kg, mm, kPa and N m."""
    factors = {
        **dict.fromkeys(("gvwr", "gcwr", "gawr", "max_load_single", "max_vertical", "max_vertical_levelled"), LB),
        **dict.fromkeys(("max_towed", "max_towed_levelled", "division", "value", "mass", "load"), LB),
        **dict.fromkeys(("aft", "right", "up", "track"), 25.4),
        "max_pressure": 6.894757293168361,
    }

    def converted(node: Any, key: str = "") -> Any:
        if isinstance(node, dict):
            return {name: converted(each, name) for name, each in node.items()}
        if isinstance(node, list):
            return [converted(each, key) for each in node]
        return node * factors[key] if key in factors else node

    return {**converted(document), "units": "metric"}


def test_units_move_nothing_beyond_the_printed_digits() -> None:
    document = triple()
    document["session"]["passes"][1] = one_pass("hitched", A=(3020, FRONT), C=(5780, CAMPER))
    document["session"]["passes"][0]["changes"] = [{"mass": -20, "place": "driver_seat"}]
    us, metric = answered(document)["coupling"], answered(in_metric(document))["coupling"]
    for name in ("coupling_load", "put_on_trailer_axles"):
        for key in ("value", "standard_uncertainty"):
            assert metric[name][key] == pytest.approx(us[name][key] * LB, abs=0.05 + 0.05 * LB)
    assert metric["restored_share"] == us["restored_share"]
    moment, in_n_m = us["bars_moment"]["value"], metric["bars_moment"]["value"]
    assert in_n_m == pytest.approx(moment * LBF_FT, abs=0.05 + 0.05 * LBF_FT)
    for state, other in zip(us["states"], metric["states"], strict=True):
        for ours, theirs in zip(state["axles"], other["axles"], strict=True):
            assert theirs["load"] == pytest.approx(ours["load"] * LB, abs=0.05 + 0.05 * LB)
