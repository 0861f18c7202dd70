"""What the pressures and the tires' entries are found to say, over HTTP.

Rows of LT235/85R16 E single, psi and lb, printed in a 1990 motorhome specifications manual: 50 2205, 55 2335, 60 2485,
65 2623, 70 2765, 75 2905, 80 3042. Anchors of 225/70R19.5 G single, published answers of a tire engineer: 65 2755,
80 3195, 95 3640, 110 3970. Loads are exact unless said otherwise.
"""

from typing import Any

import pytest

from tests.api.test_assess import assessed, faults

LT: dict[str, Any] = {
    "fitment": "single",
    "designation": "LT235/85R16",
    "load_range": "E",
    "max_load_single": 3042,
    "max_pressure": 80,
}
TRUCK: dict[str, Any] = {
    "fitment": "single",
    "designation": "225/70R19.5",
    "load_range": "G",
    "max_load_single": 3970,
    "max_pressure": 110,
}


def van(
    tires: dict[str, Any],
    loads: dict[str, float],
    *,
    kind: str = "van",
    labels: dict[str, float] | None = None,
    wheel_psi: float | None = None,
    u: float = 0.0,
    **more: Any,
) -> dict[str, Any]:
    """Return a vehicle of two axles with the tires in question behind, and loads in lb by wheel ends joined by +."""
    axles = [
        {"name": "front", "aft": 0, "track": 68, "gawr": 4400, "tires": LT},
        {"name": "rear", "aft": 158, "track": 67, "gawr": 8000, "tires": tires},
    ]
    if wheel_psi is not None:
        axles[1]["wheel"] = {"max_pressure": wheel_psi}
    vehicle = {"name": "van", "kind": kind, "gvwr": 12_000, "axles": axles}
    if labels is not None:
        vehicle["label_pressures"] = [{"axle": name, "pressure": psi} for name, psi in labels.items()]
    both = {"front.left": 1500.0, "front.right": 1500.0} | loads
    given = [{"wheel_ends": ends.split("+"), "load": lb, "standard_uncertainty": u} for ends, lb in both.items()]
    return {"units": "us", "rig": {"name": "Knot 19", "vehicles": [vehicle]}, "loads": given, **more}


def answer(document: dict[str, Any]) -> dict[str, Any]:
    reply = assessed(document)
    assert reply.status == 200, reply.body
    found: dict[str, Any] = reply.json
    return found


def rear(found: dict[str, Any]) -> dict[str, Any]:
    [axle] = [each for each in found["inflation"] if each["axle"] == "rear"]
    return dict(axle)


def findings(found: dict[str, Any], *subjects: str) -> dict[str, dict[str, Any]]:
    """Return the findings on some subjects by code."""
    return {each["code"]: each for each in found["findings"] if each["subject"] in (subjects or ("rear",))}


def limit(found: dict[str, Any], subject: str, kind: str) -> dict[str, Any]:
    [one] = [each for each in found["limits"] if (each["subject"], each["kind"]) == (subject, kind)]
    return dict(one)


def ends(left: float, right: float) -> dict[str, float]:
    return {"rear.left": left, "rear.right": right}


# The row of 80 psi is 3,042 lb and that of 60 psi 2,485; a load is marked in steps of 5 lb.
@pytest.mark.parametrize(
    ("marked_lb", "marked_psi", "table_lb"),
    [(6700, 80, 3042), (3050, 80, 3042), (3042, 60, 2485), (3042, 75, 2905), (6700, 110, 3042)],
)
def test_a_marking_above_its_published_table_does_not_count(
    marked_lb: float, marked_psi: float, table_lb: float
) -> None:
    tires = LT | {"max_load_single": marked_lb, "max_pressure": marked_psi}
    found = answer(van(tires, ends(2000, 2300)))
    told = findings(found)["marking_contradicts_table"]
    assert told["severity"] == "warning"
    assert f"{marked_lb:,} lb at {marked_psi}.0 psi" in told["message"]
    assert f"{table_lb:,} lb" in told["message"]
    assert limit(found, "rear.right", "tire")["limit"] == pytest.approx(table_lb, abs=0.1)
    assert "pressure_at_sidewall" not in findings(found)
    assert rear(found)["cold_pressure"] == 55


@pytest.mark.parametrize(
    ("marked_lb", "marked_psi"),
    [(3042, 80), (3045, 80), (3042, 79.77), (2900, 80), (3042, 90)],  # 79.77 psi are 550 kPa
)
def test_a_marking_as_its_published_table_or_beyond_its_last_row_is_believed(
    marked_lb: float, marked_psi: float
) -> None:
    found = answer(van(LT | {"max_load_single": marked_lb, "max_pressure": marked_psi}, ends(2000, 2300)))
    assert "marking_contradicts_table" not in findings(found)
    assert limit(found, "rear.right", "tire")["limit"] == marked_lb


def test_a_marking_between_two_rows_is_cut_to_the_line_between_them() -> None:
    """Hand: at 62 psi 2,485 + 2/5 x 138 = 2,540.2 lb; 2,530 lb need the 62 psi that are the most."""
    found = answer(van(LT | {"max_pressure": 62}, ends(2000, 2530)))
    assert limit(found, "rear.right", "tire")["limit"] == pytest.approx(2540.2)
    assert (rear(found)["cold_pressure"], rear(found)["capacity"]) == (62, pytest.approx(2540.2))
    assert "pressure_at_sidewall" not in findings(found)


# Hand: 1.05 x 3,195 = 3,354.75 lb at 80 psi; at 85 psi between the anchors 3,195 + 445/3 = 3,343.3, x 1.05 = 3,510.5.
@pytest.mark.parametrize(
    ("marked_lb", "marked_psi", "table_lb"),
    [(3970, 80, 3195), (3360, 80, 3195), (3350, 80, None), (3970, 85, 3343.3), (3500, 85, None), (4160, 110, None),
     (4200, 110, 3970)],
)  # fmt: skip
def test_single_rows_contradict_a_marking_that_is_well_above_them(
    marked_lb: float, marked_psi: float, table_lb: float | None
) -> None:
    tires = TRUCK | {"max_load_single": marked_lb, "max_pressure": marked_psi}
    found = answer(van(tires, ends(2000, 2300)))
    assert ("marking_contradicts_table" in findings(found)) is (table_lb is not None)
    assert limit(found, "rear.right", "tire")["limit"] == pytest.approx(table_lb or marked_lb, abs=0.1)


def test_a_load_that_a_published_row_carries_does_not_rest_on_the_sidewall_alone() -> None:
    """The row of 110 psi carries 3,970 lb, where 4,100 is marked: 3,800 lb are its, 4,050 the sidewall's alone."""
    tires = TRUCK | {"max_load_single": 4100}
    assert "pressure_at_sidewall" not in findings(answer(van(tires, ends(2000, 3800))))
    assert "pressure_at_sidewall" in findings(answer(van(tires, ends(2000, 4050))))


ST: dict[str, Any] = {
    "fitment": "single",
    "designation": "ST225/75R15",
    "load_range": "D",
    "max_load_single": 2540,
    "max_pressure": 65,
}
SPARE: dict[str, Any] = {
    "fitment": "single",
    "designation": "T145/70D17 106M",
    "max_load_single": 2094,
    "max_pressure": 60,
}


@pytest.mark.parametrize(
    ("tires", "code", "words"),
    [(ST, "tire_not_for_vehicle", "for trailers only"), (SPARE, "temporary_spare_fitted", "not for trips")],
)
def test_tires_that_are_not_made_for_a_motor_vehicle_are_told_and_not_lowered_by_load(
    tires: dict[str, Any], code: str, words: str
) -> None:
    found = answer(van(tires, ends(900, 1000)))
    told = findings(found)[code]
    assert told["severity"] == "critical"
    assert words in told["message"]
    assert rear(found)["cold_pressure"] == tires["max_pressure"]
    assert "not made for this vehicle" in rear(found)["basis"]


def test_trailer_tires_on_a_motor_vehicle_keep_its_label() -> None:
    """The maker's table would give 15 psi (1,060 lb) for 1,000 lb."""
    labelled = answer(van(ST, ends(900, 1000), labels={"rear": 55}))
    assert rear(labelled)["cold_pressure"] == 55


def test_special_trailer_tires_belong_on_a_trailer() -> None:
    found = answer(van(ST, ends(900, 1000), kind="travel_trailer"))
    assert "tire_not_for_vehicle" not in findings(found)


def test_a_load_that_keeps_its_limit_is_not_told_as_over_for_the_reserve() -> None:
    """Hand: 2,800 lb are carried at 75 psi, not at the wheels' 70; with a tenth on top 3,080, above the tire's 3,042.

    So the reserve is beyond the tire, and the load only above the ceiling.
    """
    found = answer(van(LT, ends(2000, 2800), wheel_psi=70, policy={"reserve_share": 0.1}))
    assert "pressure_beyond_table" not in findings(found)
    assert "2,800 lb" in findings(found)["pressure_above_ceiling"]["message"]
    assert rear(found)["design_load_per_tire"] == pytest.approx(2800)


def test_a_reserve_that_cannot_be_had_leaves_the_need_of_the_load_and_the_most_pressure() -> None:
    """Hand: 2,800 lb need 75 psi (2,905); a tenth on top is 3,080, above 3,042. The label says 70."""
    found = answer(van(LT, ends(2000, 2800), labels={"rear": 70}, policy={"reserve_share": 0.1}))
    assert (rear(found)["least_cold_pressure"], rear(found)["cold_pressure"]) == (75, 80)
    assert {"reserve_not_met", "label_below_need"} <= findings(found).keys()
    assert "the load needs 75.0 psi" in findings(found)["label_below_need"]["message"]


def test_what_the_load_needs_is_told_without_the_callers_reserve() -> None:
    """Published rows: 2,300 lb need 55 psi; with a tenth on top, 2,530, they take 65. Labels of 55 and 50."""
    for label, told in ((55, None), (50, "the load needs 55.0 psi")):
        found = answer(van(LT, ends(2000, 2300), labels={"rear": label}, policy={"reserve_share": 0.1}))
        assert rear(found)["cold_pressure"] == 65
        message = findings(found).get("label_below_need", {}).get("message")
        assert message is None if told is None else told in message


def test_one_need_is_told_the_row_that_is_recommended() -> None:
    """Hand: 3,700 lb on 225/70R19.5 G: the row of 110 psi; by the law 110 (3,700/(0.97 x 3,970))^(1/0.7) = 103.9."""
    found = answer(van(TRUCK, ends(2000, 3700), labels={"rear": 95}))
    assert rear(found)["least_cold_pressure"] == 110
    assert "needs 110.0 psi" in findings(found)["label_below_need"]["message"]


def test_a_low_tire_on_the_light_side_is_no_emergency_while_it_carries_its_own_load() -> None:
    """Published rows: 50 psi carries 2,205 lb: the left wheel end's 2,000, not the right one's 2,300 (55 psi)."""
    found = answer(van(LT | {"pressure": 50}, ends(2000, 2300)))
    left, right = (findings(found, f"rear.{side}") for side in ("left", "right"))
    assert left["pressure_below_recommended"]["severity"] == "warning"
    assert "pressure_too_low" not in left
    assert right["pressure_too_low"]["severity"] == "critical"


# Hand: the tire's 3,042 lb against 3,030 and 3,050 with u 20: probability Phi(-0.6) = 0.27 and Phi(0.4) = 0.66.
@pytest.mark.parametrize(("load_lb", "severity"), [(3030, "warning"), (3050, "critical"), (3100, "critical")])
def test_a_load_beyond_the_table_is_graded_like_its_limit(load_lb: float, severity: str) -> None:
    found = answer(van(LT, ends(2000, load_lb), u=20))
    assert findings(found)["pressure_beyond_table"]["severity"] == severity
    limits = {"limit_unsettled", "limit_probably_over", "limit_over"} & findings(found, "rear.right").keys()
    assert limits
    told = [each for each in found["findings"] if each["subject"] == "rear.right" and each["code"] in limits]
    assert {each["severity"] for each in told} == {severity}


@pytest.mark.parametrize(("kilopascals", "told"), [(552, False), (550, False), (556, True)])
def test_twins_of_a_marking_in_kilopascals_and_psi_are_no_excess(kilopascals: float, told: bool) -> None:
    """Common practice: 80 psi (551.6 kPa) is marked 550 kPa."""
    held = {"max_pressure": 550 / 6.894757, "pressure": kilopascals / 6.894757}
    found = answer(van(LT | held, ends(2000, 2300)))
    assert ("pressure_above_maximum" in findings(found, "rear.right")) is told
    unweighed = answer(van(LT | held, {}, labels={"rear": kilopascals / 6.894757}))
    assert ("label_above_ceiling" in findings(unweighed)) is told


def table(rows: dict[float, float], **more: Any) -> dict[str, Any]:
    entries = [{"pressure": psi, "load": lb} for psi, lb in rows.items()]
    return {"designation": "LT235/85R16", "load_range": "E", "fitment": "single", "source": "a maker"} | {
        "rows": entries,
        **more,
    }


def test_a_callers_table_in_the_twin_unit_of_the_marking_is_used() -> None:
    """345 kPa (50.04 psi) for 50 psi is printed 350 kPa (50.76 psi) in other tables: one marking."""
    tires = {"fitment": "single", "designation": "LT245/75R16", "load_range": "C"}
    tires |= {"max_load_single": 2205, "max_pressure": 350 / 6.894757}
    sent = table({30: 1500, 40: 1880, 345 / 6.894757: 2205}, designation="LT245/75R16", load_range="C")
    found = answer(van(tires, ends(1500, 1800), tire_tables=[sent]))
    assert not [each for each in found["findings"] if each["code"].startswith("table_")]
    assert rear(found)["cold_pressure"] == 40
    assert "tire maker's table" in rear(found)["basis"]


def test_until_weighed_a_split_of_fifty_five_to_forty_five_is_held() -> None:
    """Hand: half of 4,400 lb is 2,200 (50 psi); 55 % of it 2,420: 60 psi (2,485). Label 45."""
    found = answer(van(LT | {"pressure": 45}, {"rear.left+rear.right": 4400}, labels={"rear": 45}))
    assert rear(found)["until_weighed"] == 60
    assert "floor" in rear(found)["unknown_because"]
    assert "needs at least 50.0 psi" in findings(found)["label_below_need"]["message"]
    assert "needs at least 50.0 psi" in findings(found, "rear.left")["pressure_too_low"]["message"]
    assert rear(answer(van(LT, {"rear.left+rear.right": 4400}, labels={"rear": 65})))["until_weighed"] == 65
    # 55 % of 5,600 lb are 3,080, above the tire's 3,042: the most there is.
    assert rear(answer(van(LT, {"rear.left+rear.right": 5600}, labels={"rear": 65})))["until_weighed"] == 80


def trailer(rear_lb: float, label: float) -> dict[str, Any]:
    """Return a tandem on ST225/75R15 D (a maker's table: 50 psi 2,150 lb, 55 2,270, 60 2,380)."""
    document = van(ST, ends(rear_lb, rear_lb), kind="travel_trailer", labels={"front": label, "rear": label})
    document["rig"]["vehicles"][0]["axles"][0]["tires"] = ST
    return document


def test_a_trailers_pressure_that_its_heaviest_axle_sets_is_told_so() -> None:
    found = answer(trailer(2200, 50))
    front, back = found["inflation"]
    assert (front["cold_pressure"], back["cold_pressure"]) == (55, 55)
    assert "heaviest axle" in front["basis"]
    assert "Published load/inflation row" in back["basis"]
    assert "heaviest_of_trailer_pressure_kept" in findings(found, "front")
    assert "special_trailer_pressure_kept" not in findings(found, "front", "rear")
    kept = answer(trailer(2100, 50))
    assert "special_trailer_pressure_kept" in findings(kept, "front")


def test_a_load_range_that_does_not_go_with_its_pressure_is_told() -> None:
    """Usual for light-truck load range E: 65 to 80 psi; for D of a special trailer 65."""
    found = answer(van(LT | {"max_pressure": 50, "max_load_single": 2205}, ends(1500, 1500)))
    told = findings(found)["pressure_unusual_for_load_range"]
    assert told["severity"] == "notice"
    assert "65.0 psi to 80.0 psi" in told["message"]
    assert "pressure_unusual_for_load_range" not in findings(answer(van(LT, ends(1500, 1500))))


def test_two_tables_for_the_same_tires_are_refused_unless_they_say_the_same() -> None:
    first, second = table({50: 2205, 80: 3042}), table({50: 2100, 80: 3042})
    assert faults(van(LT, ends(1500, 1500), tire_tables=[first, second])) == {("inconsistent_table", "/tire_tables/1")}
    assert assessed(van(LT, ends(1500, 1500), tire_tables=[first, first])).status == 200
    dual = table({50: 2007, 80: 2778}, fitment="dual")
    assert assessed(van(LT, ends(1500, 1500), tire_tables=[first, dual])).status == 200


def test_a_slip_of_unit_is_refused_also_where_the_designation_cannot_be_read() -> None:
    """Hand: 345 and 552 kPa told as psi, for a tire of 80 psi (552 kPa)."""
    unread = LT | {"designation": "235/85/16"}
    sent = table({345: 2205, 552: 3042}, designation="235/85/16")
    document = van(unread, ends(1500, 1500), tire_tables=[sent])
    assert ("inconsistent_table", "/tire_tables/0/rows/0/pressure") in faults(document)
