"""Pressure checks over HTTP: what a steady loss, noise, refills and mates give, against series made by hand."""

import time
from datetime import date, datetime, timedelta
from typing import Any

import msgspec
import pytest

from axlewright.api.operations import operations_of
from axlewright.app import create_app
from axlewright.contract.decoding import decode
from axlewright.contract.leaks import find_leaks_answer
from axlewright.contract.leaks_request import MOST_CHECKS, MOST_TIRES, FindLeaksRequest
from axlewright.settings import Settings
from tests.api.test_itinerary import around_psi, posted

REFERENCE = {"tire_temperature": 50, "altitude": 400}
SURE = {"pressure": 0.1, "temperature": 0}
FIRST = date(2026, 4, 4)


def shown(reference_psi: float, fahrenheit: float, feet: float) -> float:
    """Return what a gauge shows elsewhere of a tire that shows so much at the reference: the gas law by hand."""
    return (reference_psi + around_psi(400)) * (fahrenheit + 459.67) / (50 + 459.67) - around_psi(feet)


def check(week: int, psi: float, fahrenheit: float = 50, feet: float = 400, **more: Any) -> Any:
    return {
        "checked_on": (FIRST + timedelta(7 * week)).isoformat(),
        "pressure": shown(psi, fahrenheit, feet),
        "tire_temperature": fahrenheit,
        "altitude": feet,
        **more,
    }


def weekly(*psi: float, **more: Any) -> list[Any]:
    """Return weekly checks through changing weather, of a tire that holds so much at the reference."""
    weather = [(50, 400), (71, 400), (39, 5200), (64, 900), (28, 7800), (82, 0), (55, 400), (47, 2500)]
    return [check(week, each, *weather[week % 8], **more) for week, each in enumerate(psi)]


def answered(tires: dict[str, Any], units: Any = "us", reference: Any = REFERENCE, **more: Any) -> Any:
    listed = [
        {"wheel_end": name, **(tire if isinstance(tire, dict) else {"checks": tire})} for name, tire in tires.items()
    ]
    reply = posted("leaks", {"units": units, "reference": reference, "tires": listed, "uncertainty": SURE, **more})
    assert reply.status == 200, reply.body
    return reply.json


def one(checks: list[Any], least: float | None = None, **more: Any) -> Any:
    tire = {"checks": checks, **({} if least is None else {"least_cold_pressure": least})}
    return answered({"axle.left": tire}, **more)["tires"][0]


LOSING = weekly(96, 95, 94, 93, 92, 91)


def test_a_steady_loss_through_all_weather_is_told_in_30_days_with_its_date() -> None:
    # Hand: 1 psi a week is 30/7 = 4.29 psi in 30 days. From 91 psi to 85 it takes six weeks: 2026-05-09 and 42 days.
    told = one(LOSING, least=85)
    assert told["course"] == "losing"
    assert told["loss"]["in_30_days"] == pytest.approx(30 / 7, abs=0.006)
    assert told["loss"]["low"] <= told["loss"]["in_30_days"] <= told["loss"]["high"]
    assert date.fromisoformat(told["reaches_least"]["expected_on"]) in (date(2026, 6, 19), date(2026, 6, 20))
    assert told["reaches_least"]["soonest_on"] <= told["reaches_least"]["expected_on"]
    assert told["reaches_least"]["expected_on"] <= told["reaches_least"]["latest_on"]
    assert told["reaches_least"]["unknown_because"] is None


def test_every_check_is_brought_to_the_reference() -> None:
    told = one(LOSING)
    assert [point["pressure"] for point in told["points"]] == pytest.approx([96, 95, 94, 93, 92, 91], abs=0.006)
    assert [point["checked_on"] for point in told["points"]][:2] == ["2026-04-04", "2026-04-11"]
    assert {point["checked_at"] for point in told["points"]} == {"12:00"}
    assert (told["latest_pressure"], told["checks_counted"]) == (91, 6)
    # Hand: two gauges of 0.1 psi each: 0.14 psi, but for the ratio of temperatures of first and last check.
    assert told["change"] == pytest.approx(-5, abs=0.006)
    assert told["change_standard_uncertainty"] == pytest.approx(0.14, abs=0.01)


def test_the_airs_temperature_stands_for_that_of_a_parked_tire() -> None:
    by_air = [{**each, "ambient_temperature": each["tire_temperature"]} for each in LOSING]
    for each in by_air:
        del each["tire_temperature"]
    assert one(by_air, least=85) == one(LOSING, least=85)


def test_the_time_of_day_counts() -> None:
    # Hand: six checks four hours apart, losing 0.1 psi each: 18 psi in 30 days.
    hours = [
        {**check(0, 90 - 0.1 * place), "checked_on": "2026-04-04", "checked_at": f"{4 * place:02}:00"}
        for place in range(6)
    ]
    told = one(hours, uncertainty={"pressure": 0, "temperature": 0})
    assert told["loss"]["in_30_days"] == pytest.approx(18, abs=0.006)


def test_only_checks_since_the_last_refill_count() -> None:
    refilled = [*LOSING[:3], *[check(week, 97 - week, refilled=week == 3) for week in range(3, 8)]]
    told = one(refilled)
    assert told["checks_counted"] == 5
    assert [point["counts"] for point in told["points"]] == [False] * 3 + [True] * 5
    assert [point["refilled"] for point in told["points"]] == [False] * 3 + [True] + [False] * 4
    assert told["loss"]["in_30_days"] == pytest.approx(30 / 7, abs=0.006)


def test_with_four_checks_there_is_a_difference_and_no_loss() -> None:
    told = one(LOSING[:4], least=85)
    assert (told["course"], told["loss"]) == ("too_few_checks", None)
    assert told["change"] == pytest.approx(-3, abs=0.006)
    assert "five checks" in told["unknown_because"]
    assert told["reaches_least"]["expected_on"] is None
    assert "five checks" in told["reaches_least"]["unknown_because"]


def test_noise_that_hides_the_loss_is_unsettled_and_gives_no_date() -> None:
    told = one(weekly(95, 93, 96, 94, 96.5, 93.5), least=85)
    assert told["course"] == "unsettled"
    assert told["loss"]["low"] < 0 < told["loss"]["high"]
    assert told["reaches_least"]["expected_on"] is None
    assert "noise" in told["reaches_least"]["unknown_because"]


def test_a_doubt_that_nobody_stated_is_common_practice_and_said_so() -> None:
    # Hand: 1 psi and 3.6 degF on 95 psi at 50 degF: 3.6 x (95 + 14.484)/509.67 = 0.7733; with 1 psi 1.264 psi.
    stated, usual = answered({"axle.left": [check(0, 95)]}), answered({"axle.left": [check(0, 95)]}, uncertainty={})
    assert usual["tires"][0]["points"][0]["standard_uncertainty"] == pytest.approx(1.264, abs=0.006)
    assert stated["tires"][0]["points"][0]["standard_uncertainty"] == 0.1
    assert any("2 °C" in each for each in usual["basis"])
    assert not any("2 °C" in each for each in stated["basis"])


def test_a_tire_below_its_least_is_critical_and_gets_no_date() -> None:
    answer = answered({"axle.left": {"checks": LOSING, "least_cold_pressure": 92}})
    assert [(each["code"], each["severity"]) for each in answer["findings"]] == [
        ("tire_below_least", "critical"),
        ("tire_losing", "warning"),
    ]
    assert "91.0 psi" in answer["findings"][0]["message"]
    assert answer["tires"][0]["reaches_least"]["expected_on"] is None


def test_a_loss_as_every_tire_has_it_is_information_only() -> None:
    # Hand: 0.2 psi a week is 0.86 psi in 30 days, under the 1 to 1.5 psi that are commonly said to be usual.
    slow = weekly(*(96 - 0.2 * week for week in range(12)))
    [finding] = answered({"axle.left": slow}, uncertainty={"pressure": 0.01, "temperature": 0})["findings"]
    assert (finding["code"], finding["severity"]) == ("tire_losing", "info")
    assert "0.9 psi in 30 days" in finding["message"]


@pytest.mark.parametrize(("in_30_days", "severity"), [(1.0, "info"), (1.5, "info"), (1.6, "warning")])
def test_what_a_sound_tire_may_lose_is_no_warning(in_30_days: float, severity: str) -> None:
    series = weekly(*(96 - in_30_days * 7 * week / 30 for week in range(12)))
    [finding] = answered({"axle.left": series}, uncertainty={"pressure": 0.01, "temperature": 0})["findings"]
    assert (finding["code"], finding["severity"]) == ("tire_losing", severity)


def daily(*psi: float, minutes: int = 1440) -> list[Any]:
    start = datetime(2026, 4, 4, 6, 0)
    times = [start + timedelta(minutes=minutes * place) for place in range(len(psi))]
    return [
        {**check(0, each), "checked_on": at.date().isoformat(), "checked_at": f"{at:%H:%M}"}
        for at, each in zip(times, psi, strict=True)
    ]


@pytest.mark.parametrize(
    ("checks", "least", "severity", "course", "said"),
    [
        (weekly(*[80] * 8, 45), None, "critical", "unsettled", "from 80.0 psi to 45.0 psi within 7 days"),
        (weekly(80, 40), None, "critical", "too_few_checks", "from 80.0 psi to 40.0 psi within 7 days"),
        (daily(*[80] * 5, 61), 60, "critical", "unsettled", "from 80.0 psi to 61.0 psi within 24 hours"),
        # Hand: 3 psi in a week are less than 5, but they bring it to its least.
        (weekly(*[80] * 6, 77), 70, "warning", "unsettled", "from 80.0 psi to 77.0 psi within 7 days"),
        (weekly(*[80] * 6, 77), 77.5, "critical", "unsettled", "from 80.0 psi to 77.0 psi within 7 days"),
    ],
)
def test_a_sudden_loss_is_found_whatever_the_course(
    checks: list[Any], least: float | None, severity: str, course: str, said: str
) -> None:
    sent = {"checks": checks, **({} if least is None else {"least_cold_pressure": least})}
    answer = answered({"axle.left": sent})
    [tire] = answer["tires"]
    [finding] = [each for each in answer["findings"] if each["code"] == "sudden_loss"]
    assert (finding["severity"], tire["course"]) == (severity, course)
    assert said in finding["message"]
    if least is not None and least < tire["latest_pressure"]:
        assert tire["reaches_least"] == {
            "expected_on": None,
            "soonest_on": None,
            "latest_on": None,
            "unknown_because": "It fell suddenly: nobody can say how it goes on.",
        }


def test_a_fast_loss_is_told_by_what_was_seen_and_not_for_30_days() -> None:
    # One psi a minute would be 43,200 psi in 30 days.
    answer = answered({"axle.left": daily(80, 79, 78, 77, 76, minutes=1)})
    [tire], [finding] = answer["tires"], answer["findings"]
    assert (finding["code"], finding["severity"]) == ("tire_losing_fast", "critical")
    assert "from 80.0 psi to 76.0 psi within 4 minutes, over 5 checks" in finding["message"]
    assert (tire["course"], tire["loss"]) == ("losing", None)
    assert "30 days" in tire["unknown_because"]


def test_an_excess_that_30_days_cannot_hold_is_no_figure() -> None:
    # Hand: 4 psi a day are 120 psi in 30 days, of 64 that are left.
    answer = answered({"axle.left": daily(80, 76, 72, 68, 64), "axle.right": daily(*[80] * 5)})
    assert [(each["code"], each["subject"]) for each in answer["findings"]] == [("tire_losing_fast", "axle.left")]
    mates = answer["tires"][0]["among_mates"]
    assert (mates["verdict"], mates["excess"]) == ("loses_more", None)
    assert "30 days" in mates["unknown_because"]


def test_a_tire_that_keeps_being_refilled_is_found_between_its_refills() -> None:
    # Hand: six times from 80 psi to 65 in three days: 90 psi in 18 days; 12 gauges of 0.1 psi: u = 0.35 psi.
    series = daily(*[80, 65] * 6, 80, minutes=3 * 1440)
    answer = answered({"axle.left": [{**each, "refilled": place % 2 == 0} for place, each in enumerate(series)]})
    [finding] = answer["findings"]
    assert (finding["code"], finding["severity"]) == ("keeps_being_refilled", "warning")
    assert "lost 90.0 psi in 18 days of checks before 6 refills (standard uncertainty 0.3 psi)" in finding["message"]


def test_a_line_at_the_least_is_no_tire_at_its_least() -> None:
    # Hand: 1 psi a week from 76 psi is 70 at the seventh check, that shows 71; the least is 70.5.
    answer = answered({"axle.left": {"checks": weekly(76, 75, 74, 73, 72, 71, 71), "least_cold_pressure": 70.5}})
    [tire] = answer["tires"]
    assert tire["latest_pressure"] == 71
    assert "line" in tire["reaches_least"]["unknown_because"]
    assert ("line_at_least", "warning") in [(each["code"], each["severity"]) for each in answer["findings"]]


def test_readings_that_agree_show_no_loss() -> None:
    told = one(weekly(*[80] * 6), least=60)
    assert told["course"] == "unsettled"
    assert "No loss shows" in told["reaches_least"]["unknown_because"]


def test_a_dual_that_fell_suddenly_is_not_alike_its_mate() -> None:
    answer = answered({"axle.left": weekly(*[80] * 7, 45), "axle.right": weekly(*[80] * 8)})
    assert [tire["among_mates"]["verdict"] for tire in answer["tires"]] == ["fell_suddenly", "alike"]
    assert [(each["code"], each["subject"]) for each in answer["findings"]] == [("sudden_loss", "axle.left")]


def test_no_operation_is_described_in_the_words_of_a_library() -> None:
    described = {each.operation_id: each.description for each in operations_of(create_app(Settings()))}
    assert "body" in described["find_leaks"]
    for operation_id, description in described.items():
        assert "anyio" not in description, operation_id
        assert "thread" not in description, operation_id


def test_a_gain_is_an_unmarked_refill() -> None:
    answer = answered({"axle.left": weekly(90, 91, 92, 93, 94, 95)})
    [finding] = answer["findings"]
    assert (answer["tires"][0]["course"], finding["code"]) == ("gaining", "tire_gaining")
    assert "from 90.0 psi to 95.0 psi within 35 days" in finding["message"]


def test_a_date_more_than_ten_years_off_is_none() -> None:
    told = one(
        weekly(*(96 - 0.01 * week for week in range(12))), least=60, uncertainty={"pressure": 0, "temperature": 0}
    )
    assert told["course"] == "losing"
    assert told["reaches_least"]["expected_on"] is None
    assert "10 years" in told["reaches_least"]["unknown_because"]


STEADY = weekly(95, 95, 95, 95, 95, 95)
DUALS = ("drive.left.outer", "drive.left.inner", "drive.right.inner", "drive.right.outer")


def test_a_leaking_dual_stands_out_among_its_mates_alone() -> None:
    tires = dict.fromkeys(DUALS, STEADY) | {"drive.left.inner": LOSING, "steer.left": STEADY}
    answer = answered(tires)
    told = {tire["wheel_end"]: tire for tire in answer["tires"]}
    assert {name: tire["axle"] for name, tire in told.items()} == {
        **dict.fromkeys(DUALS, "drive"),
        "steer.left": "steer",
    }
    assert {name: tire["among_mates"]["verdict"] for name, tire in told.items()} == {
        **dict.fromkeys(DUALS, "alike"),
        "drive.left.inner": "loses_more",
        "steer.left": "no_mates",
    }
    excess = told["drive.left.inner"]["among_mates"]["excess"]
    assert excess["in_30_days"] == pytest.approx(30 / 7, abs=0.006)
    assert [each["code"] for each in answer["findings"] if each["subject"] == "drive.left.inner"] == [
        "tire_losing",
        "loses_more_than_mates",
    ]


def test_tires_checked_one_after_the_other_on_a_day_are_compared() -> None:
    later = [{**each, "checked_at": "12:20"} for each in LOSING]
    told = answered({"drive.left": STEADY, "drive.right": later})["tires"][1]
    assert told["among_mates"]["verdict"] == "loses_more"


def test_tires_checked_on_other_days_are_not_compared() -> None:
    other = [
        {**each, "checked_on": (date.fromisoformat(each["checked_on"]) + timedelta(1)).isoformat()} for each in LOSING
    ]
    mates = answered({"drive.left": STEADY, "drive.right": other})["tires"][1]["among_mates"]
    assert (mates["verdict"], mates["excess"]) == ("too_few_common_days", None)
    assert "five days" in mates["unknown_because"]


def test_a_refill_between_two_checks_of_a_day_starts_the_comparison_anew() -> None:
    refilled = [*LOSING[:2], {**LOSING[2], "checked_at": "08:00", "refilled": True}, *LOSING[2:]]
    mates = answered({"drive.left": STEADY, "drive.right": refilled})["tires"][1]["among_mates"]
    # Four common days are left since the refill.
    assert mates["verdict"] == "too_few_common_days"


@pytest.mark.parametrize(
    ("wheel_end", "axle"),
    [("left.left", "left"), ("coach.drive.right.inner", "coach.drive"), ("outer.right", "outer"), ("a.left", "a")],
)
def test_the_axle_is_read_from_the_wheel_ends_name(wheel_end: str, axle: str) -> None:
    assert answered({wheel_end: LOSING})["tires"][0]["axle"] == axle


def test_metric_units_find_the_same_loss() -> None:
    kpa = 4.4482216152605 / 0.0254**2 / 1000
    checks = [
        {
            **each,
            "pressure": each["pressure"] * kpa,
            "tire_temperature": (each["tire_temperature"] - 32) / 1.8,
            "altitude": each["altitude"] * 0.3048,
        }
        for each in LOSING
    ]
    metric = answered(
        {"axle.left": {"checks": checks, "least_cold_pressure": 85 * kpa}},
        units="metric",
        reference={"tire_temperature": 10, "altitude": 400 * 0.3048},
        uncertainty={"pressure": 0.1 * kpa, "temperature": 0},
    )["tires"][0]
    us = one(LOSING, least=85)
    assert metric["loss"]["in_30_days"] == pytest.approx(us["loss"]["in_30_days"] * kpa, abs=0.1)
    assert metric["reaches_least"] == us["reaches_least"]


def test_every_contradiction_is_told_at_once_with_what_is_allowed() -> None:
    both = {**check(2, 95), "ambient_temperature": 50}
    neither = {name: value for name, value in check(3, 95).items() if name != "tire_temperature"}
    tires = [
        {"wheel_end": "drive.left", "checks": [check(1, 95), check(0, 95), check(0, 95)]},
        {"wheel_end": "drive.left.inner", "checks": [both, neither]},
        {"wheel_end": "drive.left", "checks": [check(0, 95)]},
    ]
    reply = posted("leaks", {"units": "us", "reference": REFERENCE, "tires": tires})
    assert reply.status == 422
    assert [tuple(fault[key] for key in ("code", "pointer", "given", "allowed")) for fault in reply.json["errors"]] == [
        ("inconsistent_name", "/tires/2/wheel_end", '"drive.left"', "a name that no other has"),
        ("inconsistent_dates", "/tires/0/checks/1", "2026-04-04 12:00", "later than 2026-04-11 12:00"),
        ("inconsistent_dates", "/tires/0/checks/2", "2026-04-04 12:00", "later than 2026-04-04 12:00"),
        (
            "inconsistent_fitment",
            "/tires/1/wheel_end",
            '"drive.left.inner"',
            "the names of both duals, or that of the wheel end alone",
        ),
        ("inconsistent_choice", "/tires/1/checks/0", None, "tire_temperature, or ambient_temperature"),
        ("inconsistent_choice", "/tires/1/checks/1", None, "tire_temperature, or ambient_temperature"),
    ]


@pytest.mark.parametrize("text", ["24:00", "7:30", "07:60", "07:30:00", "noon", "07:30\n"])
def test_a_time_of_day_has_one_form(text: str) -> None:
    reply = posted(
        "leaks",
        {
            "units": "us",
            "reference": REFERENCE,
            "tires": [{"wheel_end": "axle.left", "checks": [check(0, 95, checked_at=text)]}],
        },
    )
    assert [(fault["code"], fault["pointer"]) for fault in reply.json["errors"]] == [
        ("wrong_form", "/tires/0/checks/0/checked_at")
    ]


def test_as_many_checks_as_a_body_holds_are_answered_in_time() -> None:
    # Seen: half a second.
    checks = [
        {
            **check(0, 95),
            "pressure": 102.5 + 0.5 * (day % 3),
            "tire_temperature": 50.5,
            "altitude": 5200,
            "checked_on": (FIRST + timedelta(day)).isoformat(),
            "checked_at": "07:40",
        }
        for day in range(MOST_CHECKS)
    ]
    tires = [
        {"wheel_end": f"a{place // 2}.{('left', 'right')[place % 2]}", "checks": checks} for place in range(MOST_TIRES)
    ]
    body = msgspec.json.encode({"units": "us", "reference": REFERENCE, "tires": tires})
    assert len(body) <= Settings().body_limit_bytes
    started = time.process_time()
    answer = find_leaks_answer(decode(body, FindLeaksRequest))
    assert time.process_time() - started < 5
    assert {tire.checks_counted for tire in answer.tires} == {MOST_CHECKS}
