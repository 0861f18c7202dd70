"""Cold pressures and what the gauge must show now, from published rows and by hand.

Rows of LT235/85R16 E, in psi and lb per tire, printed in a 1990 motorhome specifications manual (a tire maker's table):
single 35 1700, 40 1870, 45 2030, 50 2205, 55 2335, 60 2485, 65 2623, 70 2765, 75 2905, 80 3042; dual 35 1545, 40 1700,
45 1845, 50 2007, 55 2125, 60 2260, 65 2382, 70 2515, 75 2645, 80 2778. Ambient pressure of the U.S. Standard
Atmosphere, 1976: 14.6959 psi at sea level, 10.1084 at 10,000 ft; at 5,200 ft, geopotential 5,198.7 ft,
14.6959 (1 - 5,198.7/145,442)^5.25588 = 12.1371 psi (hand).
"""

from collections.abc import Mapping

import pytest
from msgspec import structs

from axlewright.core.assessment import Assessment, Choices, assess
from axlewright.core.inflation.capacity import Capacity, Ground
from axlewright.core.inflation.needs import Need
from axlewright.core.inflation.pressure import AxlePressure, NoPressure
from axlewright.core.inflation.setting import NoSetting
from axlewright.core.policy import Conditions, Fill, LabelFloor, Policy, Soak
from axlewright.core.rig import Rig, Tires, VehicleKind, Wheel
from axlewright.core.tires.tables import Row, Table
from tests.yard import BAR, LB, PSI, axle, known_loads, rig, tires, vehicle

FOOT = 0.3048
POLICY = Policy(rounding_step_pa=5 * PSI)
SINGLE = tires("LT235/85R16 E", single_lb=3_042, dual_lb=2_778, max_psi=80)
DUAL = structs.replace(tires("LT235/85R16 E", dual=True, single_lb=3_042, dual_lb=2_778, max_psi=80))


def van(
    fitted: Tires = SINGLE,
    *,
    gvwr_lb: float = 12_000,
    labels_psi: Mapping[str, float] | None = None,
    wheel: Wheel | None = None,
    right: Tires | None = None,
    kind: VehicleKind = VehicleKind.MOTORHOME,
) -> Rig:
    """Return a vehicle with a light front axle on large tires and the tires in question behind."""
    return rig(
        vehicle(
            axle("front", gawr_lb=8_000, fitted=SINGLE, wheel=wheel),
            axle("rear", gawr_lb=30_000, fitted=fitted, aft_in=160, wheel=wheel, right=right),
            gvwr_lb=gvwr_lb,
            labels_psi=labels_psi,
            kind=kind,
        )
    )


def assessed(
    subject: Rig,
    rear_lb: tuple[float, float],
    *,
    u_lb: float | None = 0.0,
    policy: Policy = POLICY,
    conditions: Conditions | None = None,
    tables: list[Table] | None = None,
    front_lb: float = 1_500,
) -> Assessment:
    """Return the assessment for known wheel ends: both front ones alike, then rear left and right."""
    loads_lb = {"front.left": front_lb, "front.right": front_lb, "rear.left": rear_lb[0], "rear.right": rear_lb[1]}
    return assess(
        subject, known_loads(loads_lb, u_lb), Choices(policy, conditions or Conditions(), tuple(tables or ()))
    )


def rear(assessment: Assessment) -> AxlePressure:
    """Return the rear axle's pressure."""
    return next(answer for answer in assessment.pressures if answer.axle == "rear")


def psi(pressure_pa: float | None) -> float:
    """Return a pressure that must be known in psi."""
    assert pressure_pa is not None
    return pressure_pa / PSI


def need(answer: AxlePressure) -> Need:
    """Return what the governing wheel end asks for."""
    assert answer.need is not None
    return answer.need


def least(answer: AxlePressure) -> Capacity:
    """Return the least pressure that carries the governing wheel end."""
    found = need(answer).least
    assert found is not None
    return found


def codes(assessment: Assessment, subject: str) -> set[str]:
    """Return the codes of the findings on a subject."""
    return {finding.code for finding in assessment.findings if finding.subject == subject}


# Published rows: the lowest that carries the load. Between rows the law would ask for 40.94, 53.65 and 67.71 psi for
# 1,900, 2,300 and 2,700 lb (linear between rows, hand), so that the next rows up are 45, 55 and 70.
@pytest.mark.parametrize(
    ("load_lb", "row_psi"),
    [
        (1_000, 35), (1_700, 35), (1_701, 40), (1_900, 45), (2_205, 50), (2_206, 55), (2_300, 55), (2_335, 55),
        (2_700, 70), (2_765, 70), (2_766, 75), (3_042, 80),
    ],
)  # fmt: skip
def test_a_single_tire_gets_the_lowest_published_row_that_carries_it(load_lb: float, row_psi: float) -> None:
    answer = rear(assessed(van(), (1_000, load_lb)))
    assert psi(answer.cold_pa) == pytest.approx(row_psi)
    assert least(answer).ground is Ground.PUBLISHED_ROW
    assert answer.unknown_because is None


# Published rows, dual column; hand: half the wheel end's load. By the single column 4,400 lb would get 50 psi.
@pytest.mark.parametrize(
    ("wheel_end_lb", "row_psi"),
    [(3_090, 35), (3_092, 40), (4_400, 60), (4_520, 60), (4_522, 65), (5_556, 80)],
)
def test_duals_carry_half_each_by_the_dual_column(wheel_end_lb: float, row_psi: float) -> None:
    answer = rear(assessed(van(DUAL), (2_000, wheel_end_lb)))
    assert psi(answer.cold_pa) == pytest.approx(row_psi)
    assert need(answer).design_kg == pytest.approx(wheel_end_lb / 2 * LB)


def test_all_tires_of_an_axle_get_the_pressure_of_its_heaviest_wheel_end_and_axles_differ() -> None:
    """Published rows: 2,300 lb left of 1,900 right: 55; the front axle at 1,800 lb: 40."""
    assessment = assessed(van(), (2_300, 1_900), front_lb=1_800)
    front = assessment.pressures[0]
    assert psi(rear(assessment).cold_pa) == pytest.approx(55)
    assert need(rear(assessment)).wheel_end == "rear.left"
    assert psi(front.cold_pa) == pytest.approx(40)


def test_the_pressure_is_for_the_upper_bound_plus_the_callers_reserve() -> None:
    """Hand: 2,300 + 2 x 20 = 2,340 lb, above the row of 55 (2,335): 60; with a tenth on top 2,574: 65."""
    answer = rear(assessed(van(), (2_000, 2_300), u_lb=20.0))
    assert need(answer).design_kg == pytest.approx(2_340 * LB)
    assert psi(answer.cold_pa) == pytest.approx(60)
    assert answer.reserve_share == pytest.approx(2_485 / 2_340 - 1)
    reserved = rear(assessed(van(), (2_000, 2_300), u_lb=20.0, policy=structs.replace(POLICY, reserve_share=0.1)))
    assert need(reserved).design_kg == pytest.approx(2_574 * LB)
    assert psi(reserved.cold_pa) == pytest.approx(65)
    assert reserved.reserve_share == pytest.approx(2_623 / 2_340 - 1)


def test_tires_that_differ_are_each_judged_by_their_own_and_share_the_higher_pressure() -> None:
    """Published rows: 2,000 lb on LT235/85R16 needs 45; on 7.50-16LT E bias (2,060 at 45, 1,930 at 40) 45 as well.

    2,050 lb: 50 (2,205) on the radial and 45 on the bias tire; the axle gets 50.
    """
    bias = tires("7.50-16LT E", single_lb=2_780, dual_lb=2_440, max_psi=75)
    answer = rear(assessed(van(right=bias), (2_050, 2_050)))
    assert psi(answer.cold_pa) == pytest.approx(50)
    assert need(answer).wheel_end == "rear.left"
    assert psi(answer.ceiling_pa) == pytest.approx(75)


# Published anchors: 225/70R19.5 single 65 2755, 80 3195, 95 3640, G 110 3970 (published answers of a tire engineer).
@pytest.mark.parametrize(("load_lb", "row_psi"), [(1_500, 65), (2_755, 65), (2_800, 80), (3_200, 95), (3_700, 110)])
def test_where_only_anchors_are_published_the_next_one_up_is_recommended(load_lb: float, row_psi: float) -> None:
    answer = rear(assessed(van(tires("225/70R19.5 G")), (1_500, load_lb)))
    assert psi(answer.cold_pa) == pytest.approx(row_psi)


def test_no_pressure_helps_a_tire_over_its_table() -> None:
    """Published: the last row carries 3,042 lb."""
    assessment = assessed(van(), (2_000, 3_043))
    answer = rear(assessment)
    assert answer.cold_pa is None
    assert answer.unknown_because is NoPressure.BEYOND_TABLE
    assert "pressure_beyond_table" in codes(assessment, "rear")
    upper = rear(assessed(van(), (2_000, 3_020), u_lb=12.0))
    assert upper.unknown_because is NoPressure.BEYOND_TABLE  # 3,020 + 2 x 12 = 3,044


def test_a_wheel_that_may_not_hold_the_pressure_leaves_none() -> None:
    """Published row 70 psi for 2,700 lb; the wheel's most is 65, and exactly 70 suffices."""
    short = assessed(van(wheel=Wheel(max_pressure_pa=65 * PSI)), (2_000, 2_700))
    assert rear(short).unknown_because is NoPressure.ABOVE_CEILING
    assert "pressure_above_ceiling" in codes(short, "rear")
    assert psi(rear(assessed(van(wheel=Wheel(max_pressure_pa=70 * PSI)), (2_000, 2_700))).cold_pa) == pytest.approx(70)


@pytest.mark.parametrize(
    ("gvwr_lb", "policy", "kept_psi"),
    [
        (9_500, POLICY, 80),
        (10_000, POLICY, 80),
        (10_001, POLICY, 45),
        (18_000, POLICY, 45),
        (18_000, structs.replace(POLICY, label_floor=LabelFloor.ALWAYS), 80),
        (9_500, structs.replace(POLICY, label_floor=LabelFloor.NEVER), 45),
    ],
)
def test_the_label_is_a_floor_up_to_ten_thousand_pounds(gvwr_lb: float, policy: Policy, kept_psi: float) -> None:
    """49 CFR 571.110 covers vehicles of up to 10,000 lb GVWR, whose label states the pressure to use."""
    assessment = assessed(van(gvwr_lb=gvwr_lb, labels_psi={"rear": 80, "front": 80}), (2_000, 1_900), policy=policy)
    answer = rear(assessment)
    assert psi(answer.cold_pa) == pytest.approx(kept_psi)
    assert psi(answer.label_pa) == pytest.approx(80)
    assert psi(least(answer).pressure_pa) == pytest.approx(45)
    assert ("label_above_recommended" in codes(assessment, "rear")) is (kept_psi == 45)


def test_a_label_above_what_the_wheel_may_hold_leaves_no_fill() -> None:
    assessment = assessed(
        van(gvwr_lb=9_500, labels_psi={"rear": 75}, wheel=Wheel(max_pressure_pa=70 * PSI)), (2_000, 1_900)
    )
    assert rear(assessment).unknown_because is NoPressure.FLOOR_ABOVE_CEILING
    assert "pressure_floor_above_ceiling" in codes(assessment, "rear")


# Hand: an LT radial without a table, 2,500 lb at 120 psi: estimate 0.97 x 2,500 (P/120)^0.7; the load at which it asks
# for P is carried by P exactly. (P psi that the law gives, most psi, recommended psi)
@pytest.mark.parametrize(
    ("law_psi", "max_psi", "recommended_psi"),
    [(115.0, 120, 115), (115.1, 120, 120), (111.0, 120, 115), (111.0, 112, 112), (80.0, 120, 80), (80.01, 120, 85)],
)
def test_an_estimate_is_rounded_up_and_115_does_not_become_120(
    law_psi: float, max_psi: float, recommended_psi: float
) -> None:
    load_lb = 0.97 * 2_500 * (law_psi / max_psi) ** 0.7
    fitted = tires("LT215/75R17.5 H", single_lb=2_500, dual_lb=2_300, max_psi=max_psi)
    answer = rear(assessed(van(fitted), (1_500, load_lb)))
    assert least(answer).estimated
    assert psi(least(answer).pressure_pa) == pytest.approx(law_psi, rel=1e-9)
    assert psi(answer.cold_pa) == pytest.approx(recommended_psi, rel=1e-9)


def test_no_estimate_on_a_step_is_rounded_to_the_next() -> None:
    """Identity: the load that the law carries at a multiple of 5 psi gets it; without a guard some get the next."""
    unguarded = 0
    for max_psi in (95, 100, 105, 110, 115, 120, 125):
        fitted = tires("LT215/75R17.5 H", single_lb=2_500, dual_lb=2_300, max_psi=max_psi)
        for law_psi in range(75, max_psi + 1, 5):
            load_lb = 0.97 * 2_500 * (law_psi / max_psi) ** 0.7
            answer = rear(assessed(van(fitted), (1_500, load_lb)))
            unguarded += least(answer).pressure_pa / (5 * PSI) > law_psi / 5
            assert psi(answer.cold_pa) == pytest.approx(law_psi, rel=1e-9)
    assert unguarded > 3


@pytest.mark.parametrize("step_pa", [5 * PSI, 10_000.0, 0.1 * BAR, 1.0])
def test_a_published_row_is_itself_whatever_the_step(step_pa: float) -> None:
    answer = rear(assessed(van(), (2_000, 1_900), policy=Policy(rounding_step_pa=step_pa)))
    assert psi(answer.cold_pa) == pytest.approx(45, rel=1e-12)


def test_a_light_load_without_a_table_is_estimated_at_six_tenths_of_the_reference() -> None:
    """Hand: 0.6 x 120 = 72 psi, rounded up to 75."""
    fitted = tires("LT215/75R17.5 H", single_lb=2_500, dual_lb=2_300, max_psi=120)
    answer = rear(assessed(van(fitted), (500, 500)))
    assert psi(least(answer).pressure_pa) == pytest.approx(72)
    assert psi(answer.cold_pa) == pytest.approx(75)


def test_the_callers_table_comes_before_the_built_in_one() -> None:
    """Published rows would say 45 psi; the caller's (invented) table carries 1,900 lb at 50."""
    rows = tuple(Row(pressure * PSI, load * LB) for pressure, load in ((40, 1_500), (50, 1_950), (80, 3_042)))
    answer = rear(assessed(van(), (1_400, 1_900), tables=[Table("LT235/85R16", "E", "single", True, rows)]))
    assert psi(answer.cold_pa) == pytest.approx(50)
    assert least(answer).ground is Ground.CALLERS_TABLE


def test_a_table_that_promises_more_than_the_sidewall_is_cut_to_it() -> None:
    """Hand: marked 2,900 lb; the published row of 80 psi says 3,042, so 2,905 lb are beyond the tire."""
    fitted = tires("LT235/85R16 E", single_lb=2_900, dual_lb=2_600, max_psi=80)
    assert psi(rear(assessed(van(fitted), (1_500, 2_895))).cold_pa) == pytest.approx(75)
    assert rear(assessed(van(fitted), (1_500, 2_905))).unknown_because is NoPressure.BEYOND_TABLE


def test_a_passenger_tires_table_is_derated_like_its_rating() -> None:
    """Published: 49 CFR 571.120, S5.1.2: over 1.10. Hand, invented rows: 26 psi 1,700/1.1 = 1,545, 35 psi 1,818 lb."""
    fitted = tires("P235/75R15 105S", single_lb=2_000, dual_lb=None, max_psi=35)
    rows = tuple(Row(pressure * PSI, load * LB) for pressure, load in ((20, 1_480), (26, 1_700), (35, 2_000)))
    table = Table("P235/75R15", None, "single", True, rows)
    for load_lb, row_psi in ((1_540, 26), (1_550, 35), (1_818, 35)):
        answer = rear(assessed(van(fitted), (1_000, load_lb), tables=[table]))
        assert psi(answer.cold_pa) == pytest.approx(row_psi)
    beyond = rear(assessed(van(fitted), (1_000, 1_819), tables=[table]))
    assert beyond.unknown_because is NoPressure.BEYOND_TABLE


def special_trailer(labels_psi: Mapping[str, float], wheel: Wheel | None = None) -> Rig:
    """Return a tandem trailer on ST225/75R15 D: 25 psi 1430 lb, 30 1600, 50 2150, 55 2270 (a maker's table)."""
    fitted = tires("ST225/75R15 D", single_lb=2_540, dual_lb=None, max_psi=65)
    return rig(
        vehicle(
            axle("front", gawr_lb=5_000, fitted=fitted, aft_in=150, wheel=wheel),
            axle("rear", gawr_lb=5_000, fitted=fitted, aft_in=185, wheel=wheel),
            gvwr_lb=10_000,
            kind=VehicleKind.TRAVEL_TRAILER,
            labels_psi=labels_psi,
        )
    )


@pytest.mark.parametrize(
    ("labels_psi", "kept_psi"), [({"front": 65, "rear": 65}, 65), ({}, 65), ({"front": 50, "rear": 60}, 60)]
)
def test_special_trailer_tires_are_not_lowered_by_load_and_all_alike(
    labels_psi: dict[str, float], kept_psi: float
) -> None:
    """Common practice: the label's pressure, else the sidewall's; the row for 1,500 lb, 30 psi, is information."""
    assessment = assessed(special_trailer(labels_psi), (1_450, 1_500))
    assert [psi(answer.cold_pa) for answer in assessment.pressures] == pytest.approx([kept_psi, kept_psi])
    assert psi(least(rear(assessment)).pressure_pa) == pytest.approx(30)
    assert "special_trailer_pressure_kept" in codes(assessment, "rear")


def test_a_special_trailer_tire_gets_more_than_a_low_label_where_its_load_asks_for_more() -> None:
    """Published row: 2,200 lb needs 55 psi (2,270), above a label of 50 (2,150), on both axles."""
    assessment = assessed(special_trailer({"front": 50, "rear": 50}), (2_000, 2_200))
    assert [psi(answer.cold_pa) for answer in assessment.pressures] == pytest.approx([55, 55])


def camper(labels_psi: Mapping[str, float] | None = None, kind: VehicleKind = VehicleKind.MOTORHOME) -> Rig:
    """Return a motor caravan on 225/75R16CP, load index 118: 1,320 kg (load index table) at an invented 5.75 bar."""
    fitted = tires("225/75R16CP 118R", single_lb=1_320 / LB, dual_lb=None, max_psi=5.75 * BAR / PSI)
    return rig(
        vehicle(
            axle("front", gawr_lb=5_000, fitted=fitted),
            axle("rear", gawr_lb=5_500, fitted=fitted, aft_in=150),
            gvwr_lb=10_500,
            kind=kind,
            labels_psi=labels_psi,
        )
    )


def test_camper_tires_single_behind_keep_five_and_a_half_bar() -> None:
    """Published second hand, quoting the ETRTO Standards Manual: 5.5 bar; the front axle goes by load."""
    policy = Policy(rounding_step_pa=0.1 * BAR)
    answers = assessed(camper(), (1_500, 1_500), policy=policy).pressures
    assert (answers[1].cold_pa or 0) / BAR == pytest.approx(5.5)
    assert (answers[0].cold_pa or 0) / BAR < 4.0
    labelled = assessed(camper({"rear": 4.75 * BAR / PSI}), (1_500, 1_500), policy=policy).pressures
    assert (labelled[1].cold_pa or 0) / BAR == pytest.approx(4.75)
    freight = assessed(camper(kind=VehicleKind.TOW_VEHICLE), (1_500, 1_500), policy=policy).pressures
    assert (freight[1].cold_pa or 0) / BAR < 4.0


def test_unknown_wheel_ends_get_the_label_or_sidewall_until_weighed() -> None:
    """Common practice: the label's pressure, else the sidewall's, within the wheel's."""
    axles_only = known_loads({"front.left+front.right": 3_000, "rear.left+rear.right": 4_000})
    labelled = van(labels_psi={"rear": 60}, wheel=Wheel(max_pressure_pa=70 * PSI))
    assessment = assess(labelled, axles_only, Choices(POLICY))
    front, behind = assessment.pressures
    assert psi(behind.until_weighed_pa) == pytest.approx(60)
    assert psi(front.until_weighed_pa) == pytest.approx(70)
    too_high = van(labels_psi={"rear": 75}, wheel=Wheel(max_pressure_pa=70 * PSI))
    assert psi(rear(assess(too_high, axles_only, Choices(POLICY))).until_weighed_pa) == pytest.approx(70)
    assert front.cold_pa is None
    assert behind.cold_pa is None
    assert behind.unknown_because is NoPressure.WHEEL_ENDS_UNKNOWN
    assert behind.setting.because is NoSetting.NO_PRESSURE


def fill(
    tire_f: float, altitude_ft: float, coldest: tuple[float, float] | None = None, ambient_f: float | None = None
) -> Conditions:
    """Return where the tires are filled and the coldest soak, (degF, ft)."""

    def kelvin(fahrenheit: float) -> float:
        return (fahrenheit + 459.67) / 1.8

    ambient_k = None if ambient_f is None else kelvin(ambient_f)
    soak = None if coldest is None else Soak(kelvin(coldest[0]), coldest[1] * FOOT)
    return Conditions(Fill(kelvin(tire_f), altitude_ft * FOOT, ambient_k), soak)


# Hand, cold pressure 55 psi (2,300 lb), ambient pressures as printed above. What holds 55 at the soak, seen in the
# yard, is (55 + ambient there) T_yard/T_soak - ambient here; the yard itself needs 55.
#   95 degF at sea level, 41 degF at 5,200 ft: (55 + 12.1371) 554.67/500.67 - 14.6959 = 59.682
#   41 degF at sea level, 60 degF at 5,200 ft: 67.1371 x 500.67/519.67 - 14.6959 = 49.987: the yard's 55 governs
#   95 degF, 41 degF both at sea level:        69.6959 x 554.67/500.67 - 14.6959 = 62.517
#   60 degF at 5,200 ft, 60 degF at sea level: 69.6959 - 12.1371 = 57.559
#   no soak given: 55
@pytest.mark.parametrize(
    ("conditions", "set_psi"),
    [
        (fill(95, 0, (41, 5_200)), 59.682),
        (fill(41, 0, (60, 5_200)), 55.0),
        (fill(95, 0, (41, 0)), 62.517),
        (fill(60, 5_200, (60, 0)), 57.559),
        (fill(95, 0), 55.0),
        (fill(95, 0, (95, 0)), 55.0),
    ],
)
def test_the_gauge_now_keeps_the_cold_pressure_here_and_at_the_coldest_soak(
    conditions: Conditions, set_psi: float
) -> None:
    answer = rear(assessed(van(), (2_000, 2_300), conditions=conditions))
    assert psi(answer.cold_pa) == pytest.approx(55)
    assert psi(answer.setting.gauge_pa) == pytest.approx(set_psi, abs=0.002)
    assert answer.setting.holds_when_coldest is (None if conditions.coldest is None else True)


def test_a_tire_warm_from_running_is_filled_to_what_it_shows_warm() -> None:
    """Hand: 55 psi at 70 degF show (55 + 14.6959) 589.67/529.67 - 14.6959 = 62.895 at 130 degF; cold 55 counts.

    So a ceiling of 60 psi does not forbid it. With a soak at 20 degF: held at 70 degF (69.6959 x 529.67/479.67 -
    14.6959) = 62.265, above 60: no fill holds 55 there, and 55 is the least: none serves.
    """
    wheel = Wheel(max_pressure_pa=60 * PSI)
    warm = rear(assessed(van(wheel=wheel), (2_000, 2_300), conditions=fill(130, 0, ambient_f=70)))
    assert psi(warm.setting.gauge_pa) == pytest.approx(62.895, abs=0.002)
    cold_night = assessed(van(wheel=wheel), (2_000, 2_300), conditions=fill(130, 0, (20, 0), ambient_f=70))
    assert rear(cold_night).setting.gauge_pa is None
    assert rear(cold_night).setting.because is NoSetting.NO_FILL_SERVES
    assert "no_fill_serves" in codes(cold_night, "rear")
    roomier = rear(assessed(van(), (2_000, 2_300), conditions=fill(130, 0, (20, 0), ambient_f=70)))
    assert psi(roomier.setting.gauge_pa) == pytest.approx((62.2653 + 14.6959) * 589.67 / 529.67 - 14.6959, abs=0.002)


def test_a_floor_that_the_ceiling_keeps_from_the_coldest_soak_gives_way_to_the_least_pressure() -> None:
    """Hand: label 60, least 45 (1,900 lb), most 62 psi; yard at 70 degF, soak at 20 degF, both at sea level.

    Holding 60 at 20 degF takes 74.6959 x 529.67/479.67 - 14.6959 = 67.786, above 62; holding 45 there 51.223. So 62,
    the most, to be topped up when it is coldest: there it is 76.6959 x 479.67/529.67 - 14.6959 = 54.760.
    """
    subject = van(gvwr_lb=9_500, labels_psi={"rear": 60, "front": 60}, wheel=Wheel(max_pressure_pa=62 * PSI))
    assessment = assessed(subject, (1_800, 1_900), conditions=fill(70, 0, (20, 0)))
    answer = rear(assessment)
    assert psi(answer.setting.gauge_pa) == pytest.approx(62)
    assert answer.setting.holds_when_coldest is False
    assert "top_up_when_coldest" in codes(assessment, "rear")


def test_where_the_cold_pressure_is_too_much_up_the_mountain_a_lower_one_is_set() -> None:
    """Hand: label 60, least 45 (1,900 lb); 62 psi at 10,000 ft, under 10.1084 psi of air, are 62 - 14.6959 + 10.1084
    = 57.4125 at sea level at the same temperature: more than the 45 that the load needs, less than 60.
    """
    subject = van(gvwr_lb=9_500, labels_psi={"rear": 60, "front": 60}, wheel=Wheel(max_pressure_pa=62 * PSI))
    assessment = assessed(subject, (1_800, 1_900), conditions=fill(60, 0, (60, 10_000)))
    assert psi(rear(assessment).setting.gauge_pa) == pytest.approx(57.4125, abs=0.002)
    assert rear(assessment).setting.holds_when_coldest is False
    assert "top_up_when_coldest" in codes(assessment, "rear")


def test_the_ceiling_holds_up_the_mountain_too() -> None:
    """Hand: 55 psi at sea level show 55 + 14.6959 - 10.1084 = 59.5875 at 10,000 ft at the same temperature."""

    def answer(most_psi: float) -> AxlePressure:
        subject = van(wheel=Wheel(max_pressure_pa=most_psi * PSI))
        return rear(assessed(subject, (2_000, 2_300), conditions=fill(60, 0, (60, 10_000))))

    assert answer(59.58).setting.because is NoSetting.NO_FILL_SERVES
    assert psi(answer(59.60).setting.gauge_pa) == pytest.approx(55)


def test_nothing_is_set_without_knowing_where_it_is_filled() -> None:
    answer = rear(assessed(van(), (2_000, 2_300)))
    assert answer.setting.gauge_pa is None
    assert answer.setting.because is NoSetting.NO_CONDITIONS


def test_a_pressure_found_today_is_compared_with_the_least_and_the_most() -> None:
    """Published rows: 2,300 lb needs 55 psi, the sidewall allows 80; hand: 53.6 psi carry 2,205 + 3.6 x 26 = 2,299."""
    for now_psi, code in ((50, "pressure_too_low"), (53.6, "pressure_too_low"), (80.6, "pressure_above_maximum")):
        found = assessed(van(structs.replace(SINGLE, pressure_pa=now_psi * PSI)), (2_000, 2_300))
        assert code in codes(found, "rear.right")
    fine = assessed(van(structs.replace(SINGLE, pressure_pa=55 * PSI)), (2_000, 2_300))
    assert codes(fine, "rear.right") == set()


def test_a_pressure_between_rows_that_carries_the_load_is_only_less_than_recommended() -> None:
    """Published rows: 50 psi carries 2,205 lb and 55 psi 2,335; hand: 52 psi carries 2,205 + 2/5 x 130 = 2,257 lb."""
    between = van(structs.replace(SINGLE, pressure_pa=52 * PSI))
    assert codes(assessed(between, (2_000, 2_256)), "rear.right") == {"pressure_below_recommended"}
    assert "pressure_too_low" in codes(assessed(between, (2_000, 2_258)), "rear.right")


def test_a_pressure_asked_for_above_the_least_is_added_to_the_row() -> None:
    """Published rows: 2,300 lb needs 55 psi; the sidewall allows 80."""
    answer = rear(assessed(van(), (2_000, 2_300), policy=structs.replace(POLICY, reserve_pressure_pa=5 * PSI)))
    assert psi(answer.cold_pa) == pytest.approx(60)
    assert answer.reserve_pressure_met


def test_a_pressure_asked_for_above_the_least_ends_at_the_ceiling_and_is_said_to() -> None:
    found = assessed(van(), (2_000, 2_300), policy=structs.replace(POLICY, reserve_pressure_pa=30 * PSI))
    assert psi(rear(found).cold_pa) == pytest.approx(80)
    assert "reserve_not_met" in codes(found, "rear")


def test_the_next_row_is_told_with_what_it_would_leave() -> None:
    """Published rows: 50 psi carries 2,205 lb and 55 psi 2,335; hand: 2,335 / 2,200 - 1 = 0.0614."""
    above = rear(assessed(van(), (2_000, 2_200))).next_row
    assert above is not None
    assert above.row is not None
    assert psi(above.row.pressure_pa) == pytest.approx(55)
    assert above.reserve_share == pytest.approx(2335 / 2200 - 1)
    assert above.allowed
