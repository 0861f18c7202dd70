"""Set points of a pressure monitor over HTTP, against the gas law by hand and another library's atmosphere."""

from typing import Any

import pytest

from tests.api.test_itinerary import around_psi, posted

AXLE = {"axle": "axle", "least_cold_pressure": 60, "cold_pressure": 80, "most_cold_pressure": 100}
FILL = {"tire_temperature": 68, "altitude": 600}
COLDEST = {"ambient_temperature": 30, "altitude": 5200}
PLACES = {"fill": FILL, "coldest": COLDEST}
VAN = {"kind": "van", "gvwr": 9000, "dual_wheels": False, "built_since_september_2007": True}


def answered(axle: Any = AXLE, units: Any = "us", **more: Any) -> Any:
    reply = posted("monitor", {"units": units, "axles": [axle], **more})
    assert reply.status == 200, reply.body
    return reply.json


def points(axle: Any = AXLE, **more: Any) -> Any:
    return answered(axle, **more)["axles"][0]


def test_common_practice_set_points_by_hand() -> None:
    # Common practice, no source: 0.9 and 1.25 of 80 psi; hot at 70 degC, which is 158 degF.
    found = points()
    assert (found["low"], found["low_from"], found["high"], found["hot_temperature"]) == (
        72,
        "share_of_cold",
        100,
        158,
    )
    assert found["cold_gap"]["standing"] == "not_known"
    assert "conditions.coldest" in found["cold_gap"]["unknown_because"]
    assert any("Common practice" in each for each in answered()["basis"])


def test_the_load_sets_the_low_point_where_it_needs_more() -> None:
    found = points({**AXLE, "least_cold_pressure": 75})
    assert (found["low"], found["low_from"]) == (75, "least_for_load")


def test_the_callers_own_shares_are_taken() -> None:
    found = points(policy={"low_share": 0.85, "high_share": 1.2, "hot_temperature": 150})
    assert (found["low"], found["high"], found["hot_temperature"]) == (68, 96, 150)


def test_the_gap_on_the_coldest_morning_by_hand() -> None:
    # Hand: (80 psi + air at 600 ft) x 489.67/527.67 - air at 5,200 ft.
    coldest = (80 + around_psi(600)) * 489.67 / 527.67 - around_psi(5200)
    gap = points(conditions=PLACES)["cold_gap"]
    assert gap["standing"] == "left"
    assert gap["shown_when_coldest"] == pytest.approx(coldest, abs=0.006)
    assert gap["gap"] == pytest.approx(coldest - 72, abs=0.006)


def test_a_colder_morning_asks_for_more_air_and_the_more_is_enough() -> None:
    axle, cold = {**AXLE, "least_cold_pressure": 78}, {**PLACES, "coldest": {**COLDEST, "ambient_temperature": 20}}
    answer = answered(axle, conditions=cold)
    gap = answer["axles"][0]["cold_gap"]
    # Hand: 78 psi and the sensor's 1 psi must show when coldest: (79 + air there) x 527.67/479.67 - air at 600 ft.
    assert gap["standing"] == "raise_fill"
    exact = (79 + around_psi(5200)) * 527.67 / 479.67 - around_psi(600)
    assert 0 <= gap["raise_cold_pressure_to"] - exact < 0.0101
    raised = {**axle, "cold_pressure": gap["raise_cold_pressure_to"]}
    assert points(raised, conditions=cold)["cold_gap"]["standing"] == "left"


def test_less_than_the_load_needs_when_coldest_is_no_matter_of_alarms() -> None:
    # Hand: (80 psi + 14.38 of air) x 479.67/527.67 - 12.14 = 73.66 psi; a load that needs 73 only brings an alarm.
    cold = {**PLACES, "coldest": {**COLDEST, "ambient_temperature": 20}}
    [short] = answered({**AXLE, "least_cold_pressure": 74}, conditions=cold)["findings"]
    assert (short["code"], short["severity"]) == ("below_least_when_coldest", "warning")
    assert "less than its load needs when coldest: 73.7 psi against 74.0 psi" in short["message"]
    [alarm] = answered({**AXLE, "least_cold_pressure": 73}, conditions=cold)["findings"]
    assert (alarm["code"], alarm["severity"]) == ("monitor_alarms_when_cold", "notice")


def test_a_cold_that_no_filling_bridges_is_said_with_what_is_in_the_way() -> None:
    # Hand, ratio r = 489.67/527.67, share 0.92, error 2 psi: p (r - 0.92) >= 2 + air at 5,200 ft - r x air at 600 ft,
    # which is 0.7925 / 0.007985 = 99.25 psi.
    # At 0 degF more air brings 459.67/527.67 = 0.871 of it to the reading, and 0.9 of it to the set point.
    share = {"low_share": 0.92, "sensor_error": 2}
    by_ceiling = answered({**AXLE, "most_cold_pressure": 99}, conditions=PLACES, policy=share)
    by_share = answered(conditions={**PLACES, "coldest": {**COLDEST, "ambient_temperature": 0}})
    roomier = points(conditions=PLACES, policy=share)["cold_gap"]
    for answer, code in ((by_ceiling, "monitor_cannot_tell"), (by_share, "monitor_share_too_high")):
        gap = answer["axles"][0]["cold_gap"]
        assert (gap["standing"], gap["raise_cold_pressure_to"]) == ("no_fill", None)
        assert [finding["code"] for finding in answer["findings"]] == [code]
    assert roomier["standing"] == "raise_fill"
    ratio = 489.67 / 527.67
    exact = (2 + around_psi(5200) - ratio * around_psi(600)) / (ratio - 0.92)
    assert 0 <= roomier["raise_cold_pressure_to"] - exact < 0.0101


def test_a_sealed_sensor_shows_less_up_high_by_the_air_that_is_missing() -> None:
    missing = around_psi(0) - around_psi(7800)
    found = points(sealed={"lowest_altitude": 0, "highest_altitude": 7800})
    assert found["sealed"]["low"] == 72
    assert found["sealed"]["high"] == pytest.approx(100 - missing, abs=0.006)
    assert found["sealed"]["reference_altitude"] == 0
    assert found["sealed"]["gap"] is None
    assert points()["sealed"] is None


def test_a_sealed_sensor_set_for_another_altitude_is_reckoned_from_there() -> None:
    found = points(sealed={"lowest_altitude": 0, "highest_altitude": 7800, "reference_altitude": 5200})
    more = around_psi(0) - around_psi(5200)
    assert found["sealed"]["low"] == pytest.approx(72 + more, abs=0.011)


def test_a_sealed_sensor_can_alarm_where_a_vented_one_stays_quiet() -> None:
    # Hand: the vented sensor's gap at the coldest morning, less what the sealed one misses at 5,200 ft.
    axle = {**AXLE, "least_cold_pressure": 74}
    answer = answered(axle, conditions=PLACES, sealed={"lowest_altitude": 0, "highest_altitude": 7800})
    found = answer["axles"][0]
    coldest = (80 + around_psi(600)) * 489.67 / 527.67 - around_psi(5200)
    assert points(axle, conditions=PLACES)["cold_gap"]["standing"] == "left"
    # Hand, r = 489.67/527.67: (p + air at 600 ft) r - air at sea level must be 0.9 p + 1 psi; 0.9 p is above 74.
    ratio = 489.67 / 527.67
    gap, raised = found["cold_gap"], (1 + around_psi(0) - ratio * around_psi(600)) / (ratio - 0.9)
    assert gap["standing"] == "raise_fill"
    assert 0 <= gap["raise_cold_pressure_to"] - raised < 0.0101
    assert f"Raise the cold pressure to {raised:.1f} psi" in answer["findings"][0]["action"]
    assert found["sealed"]["gap"] == pytest.approx(coldest - (around_psi(0) - around_psi(5200)) - 74, abs=0.006)
    assert found["sealed"]["gap_is_enough"] is False
    assert [finding["code"] for finding in answer["findings"]] == ["sealed_sensor_alarms_when_cold"]
    sealed, lower = {"lowest_altitude": 0, "highest_altitude": 7800}, {"low_share": 0.85}
    quiet = {**axle, "cold_pressure": gap["raise_cold_pressure_to"]}
    assert points(quiet, conditions=PLACES, sealed=sealed)["sealed"]["gap_is_enough"] is True
    fine = points(conditions=PLACES, sealed=sealed, policy=lower)["sealed"]
    assert fine["gap"] == pytest.approx(coldest - (around_psi(0) - around_psi(5200)) - 68, abs=0.006)
    assert fine["gap_is_enough"] is True


# Published: 49 CFR 571.138 S4.2(a), 25 % below the label; table 1 (from memory): load range E 320 kPa, or 46.41 psi.
@pytest.mark.parametrize(
    ("label", "tire", "threshold", "floor"),
    [(80, "load_range_e", 60, 46.41), (50, "load_range_e", 46.41, 46.41), (80, None, 60, None)],
)
def test_the_telltales_threshold_where_it_is_required(
    label: float, tire: str | None, threshold: float, floor: float | None
) -> None:
    axle = {**AXLE, "label_pressure": label, **({"telltale_tire": tire} if tire else {})}
    told = points(axle, vehicle=VAN)["telltale"]
    assert (told["required"], told["threshold"], told["floor"]) == (True, threshold, floor)
    assert told["below_least"] is (threshold < 60)
    assert told["unknown_because"] is None


def test_without_the_tables_row_the_threshold_is_a_lower_bound_and_no_warning() -> None:
    axle = {**AXLE, "least_cold_pressure": 66, "label_pressure": 80}
    answer = answered(axle, vehicle=VAN)
    told = answer["axles"][0]["telltale"]
    assert (told["threshold"], told["below_least"]) == (60, None)
    assert "telltale_tire" in told["unknown_because"]
    assert answer["findings"] == []


@pytest.mark.parametrize(("built", "required", "word"), [(None, None, "built_since"), (False, False, "2007")])
def test_a_telltale_is_required_only_of_vehicles_built_since_september_2007(
    built: bool | None, required: bool | None, word: str
) -> None:
    # From memory: 49 CFR 571.138 S7, all vehicles from 1 September 2007 on.
    axle = {**AXLE, "label_pressure": 80, "telltale_tire": "load_range_e"}
    told = points(axle, vehicle={**VAN, "built_since_september_2007": built})["telltale"]
    assert told["required"] is required
    assert word in told["unknown_because"]
    assert told["threshold"] == (60 if built is None else None)


def test_a_telltale_that_lights_above_the_label_is_told() -> None:
    # Published: load range E, 320 kPa or 46.41 psi, above a label of 45 psi.
    [finding] = answered(
        {**AXLE, "least_cold_pressure": 40, "label_pressure": 45, "telltale_tire": "load_range_e"}, vehicle=VAN
    )["findings"]
    assert (finding["code"], finding["severity"]) == ("telltale_above_label", "notice")
    assert "46.4 psi" in finding["message"]


def test_a_telltale_that_may_light_too_late_is_a_finding() -> None:
    axle = {**AXLE, "least_cold_pressure": 66, "label_pressure": 80, "telltale_tire": "load_range_e"}
    answer = answered(axle, vehicle=VAN)
    [finding] = answer["findings"]
    assert (finding["code"], finding["severity"]) == ("telltale_too_late", "warning")
    assert "60.0 psi" in finding["message"]
    assert "66.0 psi" in finding["message"]


# Published: 49 CFR 571.138 S2: vehicles of up to 10,000 lb, none with dual wheels on an axle; trailers are not named.
@pytest.mark.parametrize(
    ("vehicle", "required", "word"),
    [
        ({**VAN, "kind": "travel_trailer"}, False, "trailers"),
        ({**VAN, "gvwr": 10_001}, False, "10,000 lb"),
        ({**VAN, "dual_wheels": True}, False, "dual"),
        (VAN, True, "label_pressure"),
        (None, None, "vehicle"),
    ],
)
def test_where_there_is_no_threshold_the_reason_is_told(vehicle: Any, required: bool | None, word: str) -> None:
    axle = AXLE if vehicle is VAN else {**AXLE, "label_pressure": 80}
    told = points(axle, **({"vehicle": vehicle} if vehicle else {}))["telltale"]
    assert (told["required"], told["threshold"], told["below_least"]) == (required, None, None)
    assert word in told["unknown_because"]


def test_metric_units_give_the_same_points() -> None:
    kpa = 4.4482216152605 / 0.0254**2 / 1000
    axle = {name: value if name == "axle" else value * kpa for name, value in AXLE.items()}
    places = {
        "fill": {"tire_temperature": 20, "altitude": 600 * 0.3048},
        "coldest": {"ambient_temperature": (30 - 32) / 1.8, "altitude": 5200 * 0.3048},
    }
    metric = answered(axle, units="metric", conditions=places)["axles"][0]
    us = points(conditions=PLACES)
    assert 0 <= metric["low"] - 72 * kpa < 0.101
    assert metric["hot_temperature"] == 70
    assert metric["cold_gap"]["gap"] == pytest.approx(us["cold_gap"]["gap"] * kpa, abs=0.09)


def test_the_hot_point_needs_a_unit_even_if_no_temperature_was_sent() -> None:
    reply = posted("monitor", {"units": {"pressure": "psi"}, "axles": [AXLE]})
    assert [(fault["code"], fault["pointer"]) for fault in reply.json["errors"]] == [
        ("inconsistent_units", "/units/temperature")
    ]


def test_crossed_pressures_and_altitudes_are_refused_with_what_is_allowed() -> None:
    sealed = {"lowest_altitude": 900, "highest_altitude": 100}
    reply = posted("monitor", {"units": "us", "axles": [{**AXLE, "most_cold_pressure": 70}], "sealed": sealed})
    told = [tuple(fault[key] for key in ("code", "pointer", "given", "allowed")) for fault in reply.json["errors"]]
    assert (reply.status, told) == (
        422,
        [
            ("inconsistent_pressures", "/axles/0/most_cold_pressure", "70.0", "at least 80 psi"),
            ("inconsistent_conditions", "/sealed/lowest_altitude", "900.0", "at most `highest_altitude`"),
        ],
    )


def test_places_beyond_the_sealed_sensors_altitudes_are_refused() -> None:
    sealed = {"lowest_altitude": 700, "highest_altitude": 5000}
    reply = posted("monitor", {"units": "us", "axles": [AXLE], "conditions": PLACES, "sealed": sealed})
    told = [tuple(fault[key] for key in ("code", "pointer", "given")) for fault in reply.json["errors"]]
    assert told == [
        ("inconsistent_conditions", "/conditions/fill/altitude", "600.0"),
        ("inconsistent_conditions", "/conditions/coldest/altitude", "5200.0"),
    ]


@pytest.mark.parametrize(("units", "hot", "ok"), [("us", 120, True), ("us", 119, False), ("metric", 48, False)])
def test_a_hot_set_point_that_every_summer_road_reaches_is_refused(units: str, hot: float, ok: bool) -> None:
    axle = AXLE if units == "us" else {"axle": "axle", **{name: 7 * AXLE[name] for name in list(AXLE)[1:]}}
    reply = posted("monitor", {"units": units, "axles": [axle], "policy": {"hot_temperature": hot}})
    if ok:
        assert reply.json["axles"][0]["hot_temperature"] == hot
    else:
        [fault] = reply.json["errors"]
        assert (fault["code"], fault["pointer"]) == ("inconsistent_magnitude", "/policy/hot_temperature")
