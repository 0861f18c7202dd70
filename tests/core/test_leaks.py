"""What must hold of checks over time: the gas explains what it can, intervals hold the truth, noise settles nothing."""

from collections.abc import Callable
from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.gas import gauge_at
from axlewright.core.inflation.leaks import Check, CheckDoubt, Course, Leak, NoDate, leak
from axlewright.core.inflation.mates import AmongMates, compared
from axlewright.core.inflation.translation import TireState
from axlewright.core.inflation.trend import trend

PSI_PA = 6894.757293168361
REFERENCE = TireState(283.15, 200.0)
EXACT = CheckDoubt(0.0)

weathers = st.lists(st.tuples(st.floats(250.0, 320.0), st.floats(0.0, 3_000.0)), min_size=5, max_size=12)


def checks_of(series_pa: list[float], weather: list[tuple[float, float]], every_days: float = 7.0) -> list[Check]:
    """Return checks of a tire that at the reference would show a series."""
    return [
        Check(every_days * place, gauge_at(pa, REFERENCE.tire_temperature_k, REFERENCE.altitude_m, *there), *there)
        for place, (pa, there) in enumerate(zip(series_pa, weather, strict=False))
    ]


def weekly(*series_pa: float, refilled: int | None = None) -> list[Check]:
    return [
        Check(7.0 * place, pa, REFERENCE.tire_temperature_k, REFERENCE.altitude_m, place == refilled)
        for place, pa in enumerate(series_pa)
    ]


@given(weathers, st.floats(200e3, 900e3))
def test_a_tight_tire_keeps_its_pressure_through_all_weather(weather: list[tuple[float, float]], pa: float) -> None:
    answer = leak(checks_of([pa] * len(weather), weather), REFERENCE, CheckDoubt(100.0), pa / 2)
    assert [check.gauge_pa for check in answer.series] == pytest.approx([pa] * len(weather), rel=1e-9)
    assert answer.change_pa == pytest.approx(0.0, abs=1e-3)
    assert (answer.course, answer.reach.because) == (Course.UNSETTLED, NoDate.NOTHING_SHOWS)


@given(weathers, st.floats(400e3, 900e3), st.floats(50.0, 1_000.0))
def test_a_steady_leak_is_found_through_all_weather(
    weather: list[tuple[float, float]], pa: float, pa_per_day: float
) -> None:
    series_pa = [pa - pa_per_day * 7.0 * place for place in range(len(weather))]
    answer = leak(checks_of(series_pa, weather), REFERENCE, EXACT, 300e3)
    assert answer.rate is not None
    assert answer.course is Course.LOSING
    assert answer.rate.pa_per_day == pytest.approx(pa_per_day, rel=1e-6)
    assert answer.reach.days == pytest.approx((series_pa[-1] - 300e3) / pa_per_day, rel=1e-5)


@given(st.lists(st.floats(400e3, 500e3), min_size=5, max_size=10), st.floats(0.0, 3_000.0))
def test_the_date_lies_between_soonest_and_latest(series_pa: list[float], gauge_u_pa: float) -> None:
    answer = leak(weekly(*series_pa), REFERENCE, CheckDoubt(gauge_u_pa), 350e3)
    assert answer.rate is not None
    assert answer.rate.low_pa_per_day <= answer.rate.pa_per_day <= answer.rate.high_pa_per_day
    assert (answer.course is Course.LOSING) == (answer.rate.low_pa_per_day > 0)
    reach = answer.reach
    assert (reach.days is None) == (reach.because is not None)
    if reach.days is not None:
        assert answer.rate.low_pa_per_day > 0
        assert reach.soonest_days is not None
        assert reach.latest_days is not None
        assert 0 <= reach.soonest_days <= reach.days <= reach.latest_days < inf


def holds(draws: int, checks: int, noise: Callable[[np.random.Generator, int], np.ndarray], u_pa: float) -> float:
    """Return in what share of simulated series the interval holds the true loss of 100 Pa a day."""
    random = np.random.default_rng(checks)
    days = 7.0 * np.arange(checks)
    held = 0
    for _ in range(draws):
        line = trend(list(days), list(noise(random, checks) + 600e3 - 100.0 * days), u_pa)
        held += line.low <= -100.0 <= line.high
    return held / draws


# Of 1500 draws at 95 % the share lies within 0.95 +- 3 x 0.0056, so above 0.933; the interval of few readings
# holds more, since ranks are whole numbers: at five it is 1 - 2/5! = 0.983.
@pytest.mark.parametrize(("checks", "at_most"), [(5, 0.995), (8, 0.985), (16, 0.975)])
def test_the_interval_holds_the_true_loss_as_often_as_it_says(checks: int, at_most: float) -> None:
    for noise in (
        lambda random, n: random.normal(0, 2_000, n),
        lambda random, n: random.standard_t(3, n) * 2_000,
        lambda random, n: random.uniform(-3_000, 3_000, n),
    ):
        assert 0.933 < holds(1500, checks, noise, 0.0) < at_most


def test_a_coarse_gauge_looks_surer_than_it_is_unless_its_doubt_is_stated() -> None:
    """Readings to the nearest 10 kPa of a loss of 100 Pa a day repeat for weeks; u = 10 kPa/sqrt(12)."""

    def stated(u_pa: float) -> float:
        random, days, held = np.random.default_rng(1), 7.0 * np.arange(6), 0
        for _ in range(500):
            true_pa = random.uniform(600e3, 610e3) - 100.0 * days
            line = trend(list(days), list(np.round(true_pa / 10e3) * 10e3), u_pa)
            held += line.low <= -100.0 <= line.high
        return held / 500

    assert stated(10e3 / sqrt(12)) > 0.95
    assert stated(0.0) < 0.8


def test_a_tight_tire_is_seldom_said_to_lose() -> None:
    """At most 2.5 %, and 3 x 0.5 % for 1000 draws."""
    random = np.random.default_rng(3)
    alarms = sum(
        leak(weekly(*random.normal(600e3, 3_000, 8)), REFERENCE, CheckDoubt(3_000.0)).course is Course.LOSING
        for _ in range(1000)
    )
    assert alarms / 1000 < 0.04


def test_one_misread_check_bends_nothing() -> None:
    """Hand: one of seven readings on a line is off by 60 kPa; of 21 slopes six are bad, the median is the line's."""
    series_pa = [600e3 - 1e3 * place for place in range(7)]
    series_pa[3] -= 60e3
    rate = leak(weekly(*series_pa), REFERENCE, EXACT).rate
    assert rate is not None
    assert rate.pa_per_day == pytest.approx(1e3 / 7)


def outcome(answer: Leak) -> tuple[int, Course, NoDate | None]:
    return answer.checks, answer.course, answer.reach.because


def test_only_checks_since_the_last_refill_count() -> None:
    falling = [600e3, 598e3, 596e3, 594e3, 592e3]
    after = leak(weekly(*falling, 620e3, 617e3, refilled=5), REFERENCE, EXACT, 500e3)
    assert outcome(after) == (2, Course.TOO_FEW_CHECKS, NoDate.TOO_FEW_CHECKS)
    assert after.change_pa == pytest.approx(-3e3)
    assert len(after.series) == 7
    again = leak(weekly(500e3, *falling, refilled=1), REFERENCE, EXACT, 500e3)
    assert outcome(again) == (5, Course.LOSING, None)
    assert again.rate is not None
    assert again.rate.pa_per_day == pytest.approx(2e3 / 7)


def test_with_fewer_than_five_there_is_a_difference_and_no_interval() -> None:
    """Hand: two readings of u = 3 kPa differ with u = 3 sqrt(2) = 4.243 kPa; at the reference the doubt is as it is."""
    answer = leak(weekly(600e3, 595e3, 597e3, 590e3), REFERENCE, CheckDoubt(3e3), 500e3)
    assert answer.rate is None
    assert answer.change_pa == pytest.approx(-10e3)
    assert answer.change_u_pa == pytest.approx(4_242.64, abs=0.01)
    single = leak(weekly(600e3), REFERENCE, CheckDoubt(3e3))
    assert (single.change_pa, single.change_u_pa, single.reach.because) == (None, None, NoDate.NO_LEAST)


def test_a_tire_already_below_the_least_gets_no_date() -> None:
    assert leak(weekly(600e3, 499e3), REFERENCE, EXACT, 500e3).reach.because is NoDate.BELOW_LEAST
    by_the_line = leak(weekly(600e3, 575e3, 550e3, 525e3, 500e3, 501e3), REFERENCE, EXACT, 500.5e3)
    assert by_the_line.reach.because is NoDate.LINE_AT_LEAST


def test_a_tire_that_gains_is_said_to() -> None:
    answer = leak(weekly(600e3, 601e3, 602e3, 603e3, 604e3), REFERENCE, EXACT, 500e3)
    assert outcome(answer) == (5, Course.GAINING, NoDate.NOT_LOSING)


def axle(random: np.random.Generator, lost_pa_per_day: dict[str, float], shared_pa: float) -> dict[str, list[Check]]:
    """Return weekly checks of tires whose readings share an error, as of a wrong air temperature."""
    shared = random.normal(0, shared_pa, 8)
    return {
        tire: weekly(*(600e3 - rate * 7.0 * np.arange(8) + shared + random.normal(0, 700, 8)))
        for tire, rate in lost_pa_per_day.items()
    }


def test_a_leaking_dual_shows_against_its_mates_before_it_shows_alone() -> None:
    random = np.random.default_rng(5)
    alone = among = wrong = 0
    for _ in range(200):
        checks = axle(random, {"lo": 30.0, "li": 30.0, "ri": 330.0, "ro": 30.0}, 8_000.0)
        alone += leak(checks["ri"], REFERENCE, CheckDoubt(700.0)).course is Course.LOSING
        verdicts = {tire: each.verdict for tire, each in compared(checks, REFERENCE, CheckDoubt(700.0)).items()}
        among += verdicts.pop("ri") is AmongMates.LOSES_MORE
        wrong += AmongMates.LOSES_MORE in verdicts.values()
    assert among > 190
    assert alone < 150
    assert wrong < 5


def test_the_excess_is_over_the_median_of_the_mates() -> None:
    """Hand: mates lose 0, 100 and 700, the median 100; 400 less 100 is 300 Pa a day, above 6895/30 = 230."""
    lost = {"a": 0.0, "b": 100.0, "c": 400.0, "d": 700.0}
    checks = {tire: weekly(*(600e3 - rate * 7.0 * np.arange(5))) for tire, rate in lost.items()}
    answer = compared(checks, REFERENCE, EXACT)
    assert answer["c"].excess is not None
    assert answer["c"].excess.pa_per_day == pytest.approx(300.0)
    assert [each.verdict.value for each in answer.values()] == ["alike", "alike", "loses_more", "loses_more"]
    assert compared(checks, REFERENCE, EXACT, 301.0)["c"].verdict is AmongMates.ALIKE


def psi(*series_psi: float, every_days: float = 7.0, refilled: tuple[int, ...] = ()) -> list[Check]:
    return [
        Check(every_days * place, each * PSI_PA, REFERENCE.tire_temperature_k, REFERENCE.altitude_m, place in refilled)
        for place, each in enumerate(series_psi)
    ]


GAUGE = CheckDoubt(1.0 * PSI_PA)


@pytest.mark.parametrize(
    ("checks", "before_psi", "after_psi", "days", "is_grave"),
    [
        (psi(*[80] * 8, 45), 80, 45, 7, True),
        (psi(80, 40), 80, 40, 7, True),
        (psi(*[80] * 5, 61, every_days=1), 80, 61, 1, True),
        # Hand: two gauges of 1 psi differ with u = 1.414 psi; usual are 1.5 psi in 30 days, and the middle of the
        # three checks before is 14 days old: the least fall that is told is 2.828 + 0.7 = 3.528 psi.
        (psi(*[80] * 6, 76.4), 80, 76.4, 7, False),
        # A fall amid others is confirmed by what follows it.
        (psi(80, 80, 80, 70, 70, 70), 80, 70, 7, True),
        # Hand: 6 psi in 14 days are 3 psi a week, 12 in 14 are 6.
        (psi(80, 74, every_days=14), 80, 74, 14, False),
        (psi(80, 68, every_days=14), 80, 68, 14, True),
        # Hand: none of the steps of 2.5 psi stands out of its doubt of 2.828, 7.5 psi in three days do.
        (psi(80, 77.5, 75, 72.5, every_days=1), 80, 72.5, 3, True),
    ],
)
def test_a_sudden_loss_is_found_from_two_checks_on(
    checks: list[Check], before_psi: float, after_psi: float, days: float, is_grave: bool
) -> None:
    answer = leak(checks, REFERENCE, GAUGE, 30 * PSI_PA)
    assert answer.sudden is not None
    fell = (answer.sudden.before_pa / PSI_PA, answer.sudden.after_pa / PSI_PA, answer.sudden.days)
    assert fell == pytest.approx((before_psi, after_psi, days))
    assert answer.sudden.is_grave is is_grave
    assert answer.reach.because is NoDate.FELL_SUDDENLY
    if len(checks) < 5:
        assert answer.rate is None


@pytest.mark.parametrize(
    "checks",
    [
        psi(80),
        psi(*[80] * 6, 76.5),
        psi(80, 78, 76, 74, 72, 70, 68),
        psi(80, 80, 80, 45, 80, 80),
        psi(80, 80, 95, 80, 80, 80),
        psi(80, 80, 40, 80, refilled=(2,)),
        # Hand: 1.5 psi a month is usual, so 4.5 of these 5 psi in 90 days are.
        psi(80, 75, every_days=90),
        psi(95, 91, 96, 90, 97, 92, 96, 91),
    ],
)
def test_noise_a_misread_check_a_refill_and_a_steady_loss_are_no_sudden_loss(checks: list[Check]) -> None:
    assert leak(checks, REFERENCE, GAUGE).sudden is None


def test_a_tight_tire_is_seldom_said_to_have_fallen() -> None:
    """The last check is below the middle of the three before it by 2.83 of its doubts in some 1 %, others less."""
    random = np.random.default_rng(11)
    for checks in (2, 8, 40):
        alarms = sum(
            leak(weekly(*random.normal(600e3, 3_000, checks)), REFERENCE, CheckDoubt(3_000.0)).sudden is not None
            for _ in range(500)
        )
        assert alarms / 500 < 0.03


def test_what_was_lost_before_each_refill_is_added_up() -> None:
    """Hand: six times 15 psi in three days; 12 readings of 1 psi: u = sqrt(12) = 3.464 psi."""
    refills = tuple(range(2, 13, 2))
    checks = psi(*[80, 65] * 6, 80, every_days=3, refilled=refills)
    lost = leak(checks, REFERENCE, GAUGE).before_refills
    assert lost is not None
    assert (lost.refills, lost.days) == (6, 18.0)
    assert (lost.lost_pa / PSI_PA, lost.u_pa / PSI_PA) == pytest.approx((90.0, 3.4641), abs=1e-4)


@pytest.mark.parametrize(
    "checks",
    [
        psi(80, 65, 80, 65),
        # Let out, not filled up.
        psi(80, 65, 60, refilled=(2,)),
        # Filled up for a heavier load, nothing lost.
        psi(80, 80, 90, refilled=(2,)),
        # Mended since.
        psi(80, 60, *[80] * 8, refilled=(2,)),
    ],
)
def test_refills_of_a_tire_that_holds_its_air_are_not_held_against_it(checks: list[Check]) -> None:
    assert leak(checks, REFERENCE, GAUGE).before_refills is None


@pytest.mark.parametrize("weeks", [2, 8])
def test_a_tire_that_fell_suddenly_is_not_alike_its_mates(weeks: int) -> None:
    """With eight weeks the line's median slope hides the last fall; with two there is no line."""
    fell, steady = psi(*[80] * (weeks - 1), 45), psi(*[80] * weeks)
    answer = compared({"left": fell, "right": steady}, REFERENCE, GAUGE)
    assert answer["left"].verdict is AmongMates.FELL_SUDDENLY
    assert answer["right"].verdict is (AmongMates.TOO_FEW_COMMON_DAYS if weeks == 2 else AmongMates.ALIKE)
    both = compared({"left": fell, "right": fell}, REFERENCE, GAUGE)
    assert AmongMates.FELL_SUDDENLY not in {each.verdict for each in both.values()}


def test_a_mate_filled_up_unmarked_makes_no_tire_fall() -> None:
    answer = compared({"left": psi(*[80] * 6, 95), "right": psi(*[80] * 7)}, REFERENCE, GAUGE)
    assert answer["right"].verdict is AmongMates.ALIKE


def test_readings_that_agree_show_no_loss_and_those_that_do_not_hide_one() -> None:
    """Hand: two gauges of 1 psi agree within 2 x 1.414 = 2.83 psi."""
    for readings, because in (
        ([80, 80, 80, 80, 80], NoDate.NOTHING_SHOWS),
        ([80, 81, 79, 80, 81], NoDate.NOTHING_SHOWS),
        ([80, 82, 79, 80, 81], NoDate.UNSETTLED),
    ):
        assert leak(psi(*readings), REFERENCE, GAUGE, 60 * PSI_PA).reach.because is because


def test_mates_without_common_days_are_not_compared() -> None:
    full = weekly(*[600e3] * 6)
    refilled = weekly(*[600e3] * 6, refilled=2)
    other_days = [Check(check.day + 1, *(600e3, 283.15, 200.0)) for check in full]
    assert compared({"a": full}, REFERENCE, EXACT)["a"].verdict is AmongMates.NO_MATES
    for mate in (refilled, other_days):
        answer = compared({"a": full, "b": mate}, REFERENCE, EXACT)
        assert [each.verdict for each in answer.values()] == [AmongMates.TOO_FEW_COMMON_DAYS] * 2
        assert answer["a"].excess is None


@pytest.mark.parametrize(
    ("checks", "least_pa", "field"),
    [
        ([], 500e3, "checks"),
        ([Check(1.0, 600e3, 290.0, 0.0), Check(1.0, 600e3, 290.0, 0.0)], 500e3, "checks"),
        ([Check(2.0, 600e3, 290.0, 0.0), Check(1.0, 600e3, 290.0, 0.0)], 500e3, "checks"),
        ([Check(inf, 600e3, 290.0, 0.0)], 500e3, "checks"),
        ([Check(1.0, 600e3, 290.0, 0.0)], 0.0, "least_pa"),
        ([Check(1.0, 600e3, 0.0, 0.0)], 500e3, "temperature_k"),
    ],
)
def test_impossible_checks_are_refused(checks: list[Check], least_pa: float, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        leak(checks, REFERENCE, EXACT, least_pa)
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("x", "y"), [([1, 2, 3, 4], [1, 1, 1, 1]), ([1, 2, 3, 4, 4], [1] * 5), ([1, 2, 3, 4, 5], [1, 1, inf, 1, 1])]
)
def test_no_line_is_drawn_through_too_few_or_disordered_readings(x: list[float], y: list[float]) -> None:
    with pytest.raises(OutOfRange) as refusal:
        trend(x, y)
    assert refusal.value.field == "x"


def test_a_negative_notable_rate_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        compared({}, REFERENCE, EXACT, -1.0)
    assert refusal.value.field == "notable_pa_per_day"
