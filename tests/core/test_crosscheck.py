"""Marks on a tire held against each other, against wheel, axle and speed.

Loads of indices: ISO 4000-1 tables. Ratings in lb and psi: as makers' sheets print them beside the marking.
"""

import pytest

from axlewright.core.findings import Quantity
from axlewright.core.rig import Fitment, Wheel
from axlewright.core.tires.crosscheck import (
    USUAL_PRESSURES_PSI,
    Check,
    CheckKind,
    NotChecked,
    Stated,
    Verdict,
    cross_checks,
)
from axlewright.core.tires.marking import Marking, read_marking
from axlewright.core.tires.tables import built_in_tables

LB = 0.45359237
PSI = LB * 9.80665 / 0.0254**2
MPH = 1609.344 / 3600


def marked(text: str) -> Marking:
    marking = read_marking(text)
    assert isinstance(marking, Marking), marking
    return marking


def check(kind: CheckKind, text: str, stated: Stated) -> Check:
    [found] = [each for each in cross_checks(marked(text), stated) if each.kind is kind]
    return found


def told(kind: CheckKind, text: str, stated: Stated) -> tuple[str, str]:
    found = check(kind, text, stated)
    return found.verdict.value, found.code


def figure(found: Check, name: str) -> float:
    fact = found.facts[name]
    assert isinstance(fact, Quantity)
    return fact.value


# Published: makers' size sheets (Open Country A/T III, M/T) and load tables, marking -> lb single, lb dual, psi.
SHEETS = {
    "LT235/85R16 E 120/116R": (3042, 2778, 80),
    "LT245/75R16 E 120/116S": (3042, 2778, 80),
    "LT265/75R16 E 123/120R": (3415, 3085, 80),
    "LT285/75R16 E 126/123R": (3750, 3415, 80),
    "LT305/70R16 E 124/121R": (3525, 3195, 65),
    "LT315/75R16 E 127/124R": (3860, 3525, 65),
    "LT255/75R17 C 111/108S": (2405, 2205, 50),
    "LT225/75R16 E 115/112R": (2680, 2470, 80),
    "ST225/75R15 E 117/112M": (2830, 2470, 80),
    "11R22.5 G 144/142L": (6175, 5840, 105),  # indices from memory
    "11R22.5 H 146/143L": (6610, 6005, 120),  # indices from memory
}


@pytest.mark.parametrize(("text", "printed"), SHEETS.items())
def test_what_makers_print_together_agrees(text: str, printed: tuple[int, int, int]) -> None:
    single_lb, dual_lb, psi = printed
    stated = Stated(
        max_load_single_kg=single_lb * LB,
        max_load_dual_kg=dual_lb * LB,
        max_pressure_pa=psi * PSI,
        wheel=Wheel(single_lb * LB, psi * PSI),
    )
    verdicts = {each.kind: each.verdict for each in cross_checks(marked(text), stated)}
    agreeing = set(CheckKind) - {CheckKind.AXLE, CheckKind.SPEED}
    assert {kind for kind, verdict in verdicts.items() if verdict is Verdict.AGREES} == agreeing
    assert {verdicts[CheckKind.AXLE], verdicts[CheckKind.SPEED]} == {Verdict.NOT_KNOWN}


def test_every_kind_of_check_is_told_once_in_a_fixed_order() -> None:
    assert [each.kind for each in cross_checks(marked("LT235/85R16"), Stated())] == list(CheckKind)


@pytest.mark.parametrize(
    ("kg", "outcome"),
    [
        (1400, ("agrees", "index_and_load_agree")),
        (1360, ("agrees", "index_and_load_agree")),  # index 119
        (1358, ("agrees", "index_and_load_agree")),  # 5 lb are 2.27 kg
        (1357, ("contradicts", "marked_load_below_index")),
        (1452, ("agrees", "index_and_load_agree")),  # index 121: 1,450
        (1453, ("contradicts", "marked_load_above_index")),
        (635, ("contradicts", "marked_load_below_index")),  # 1,400 lb given as kg
    ],
)
def test_a_load_may_lie_up_to_one_index_beside_its_own(kg: float, outcome: tuple[str, str]) -> None:
    """Load index 120 is 1,400 kg; makers print 3,042 lb = 1,379.8 kg beside it."""
    stated = Stated(max_load_single_kg=float(kg))
    assert told(CheckKind.INDEX_AND_SINGLE_LOAD, "LT235/85R16 120/116R", stated) == outcome


def test_the_dual_load_is_held_against_the_second_index() -> None:
    stated = Stated(max_load_dual_kg=1400.0)
    found = check(CheckKind.INDEX_AND_DUAL_LOAD, "LT235/85R16 120/116R", stated)
    assert (found.verdict, found.code) == (Verdict.CONTRADICTS, "marked_load_above_index")
    assert figure(found, "index_load") == 1250.0
    assert figure(found, "marked_load") == 1400.0
    without = check(CheckKind.INDEX_AND_DUAL_LOAD, "LT235/85R16 120R", stated)
    assert without.unknown_because is NotChecked.NOT_MARKED


@pytest.mark.parametrize(
    ("single_lb", "dual_lb", "outcome"),
    [
        (3042, 2778, ("agrees", "dual_share_usual")),
        (2778, 3042, ("contradicts", "dual_above_single")),
        (3042, 3042, ("unusual", "dual_share_unusual")),
        (3042, 1521, ("unusual", "dual_share_unusual")),  # one of two
        (3042, 2373, ("agrees", "dual_share_usual")),  # 0.7801
        (3042, 2372, ("unusual", "dual_share_unusual")),  # 0.7797
    ],
)
def test_the_dual_rating_lies_below_the_single_one_by_a_usual_share(
    single_lb: int, dual_lb: int, outcome: tuple[str, str]
) -> None:
    stated = Stated(max_load_single_kg=single_lb * LB, max_load_dual_kg=dual_lb * LB)
    assert told(CheckKind.DUAL_AND_SINGLE, "LT235/85R16 E", stated) == outcome


# Published: load index pairs in product information sheets under Regulation (EU) 2020/740.
@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("315/80R22.5 158/150L", 3350 / 4250),
        ("315/80R22.5 156/150L", 3350 / 4000),
        ("8.5R17.5 121/120L", 1400 / 1450),
        ("195/75R16C 107/105R", 925 / 975),
        ("175R16C 101/99R", 775 / 825),
    ],
)
def test_published_index_pairs_are_usual_without_any_stated_load(text: str, share: float) -> None:
    found = check(CheckKind.DUAL_AND_SINGLE, text, Stated())
    assert (found.verdict, found.code) == (Verdict.AGREES, "dual_share_usual")
    assert figure(found, "share") == pytest.approx(share)


def test_a_dual_tire_without_a_dual_rating_is_told() -> None:
    assert told(CheckKind.DUAL_AND_SINGLE, "LT235/85R16 E", Stated(Fitment.DUAL, max_load_single_kg=1380.0)) == (
        "not_known",
        "fitted_dual_without_dual_rating",
    )


@pytest.mark.parametrize(
    ("text", "stated", "outcome"),
    [
        ("LT235/85R16 E", Stated(load_range="E"), ("agrees", "load_range_marked_alike")),
        ("LT235/85R16 E", Stated(load_range="G"), ("contradicts", "load_range_marked_differently")),
        ("LT235/85R16", Stated(load_range="G"), ("agrees", "load_range_marked_once")),
        ("LT235/85R16", Stated(), ("not_known", "load_range_not_known")),
    ],
)
def test_a_load_range_given_twice_is_the_same(text: str, stated: Stated, outcome: tuple[str, str]) -> None:
    assert told(CheckKind.LOAD_RANGE, text, stated) == outcome


def test_a_speed_symbol_given_twice_is_the_same() -> None:
    assert told(CheckKind.SPEED_SYMBOL, "225/70R19.5 128/126L", Stated(speed_symbol="M")) == (
        "contradicts",
        "speed_symbol_marked_differently",
    )


def test_of_two_speed_symbols_the_slower_one_is_driven_by() -> None:
    # UN Regulation No. 54: L is 120 km/h, M 130 km/h.
    for text, other in (("225/70R19.5 128/126L", "M"), ("225/70R19.5 128/126M", "L")):
        [found] = [
            each
            for each in cross_checks(marked(text), Stated(speed_symbol=other, speed_m_per_s=126 / 3.6))
            if each.kind is CheckKind.SPEED
        ]
        assert (found.code, found.facts["symbol"]) == ("speed_above_symbol", "L")


# Published: B 35, C 50, D 65, E 80, F 95 psi (retail chart); C 35 or 55, D 50, E 65 on large flotation sizes (a page
# that quotes the Tire and Rim Association, 2010).
@pytest.mark.parametrize(
    ("text", "psi", "verdict"),
    [
        ("LT235/85R16 E", 80, "agrees"),
        ("LT235/85R16 E", 65, "agrees"),
        ("LT235/85R16 E", 50, "unusual"),
        ("LT235/85R16 E", 110, "unusual"),
        ("LT235/85R16 G", 110, "agrees"),
        ("31x10.50R15LT C", 50, "agrees"),
        ("33x12.50R15LT C", 35, "agrees"),
        ("ST225/75R15 D", 65, "agrees"),
        ("ST225/75R15 D", 80, "unusual"),
        ("ST225/75R15 F", 95, "agrees"),
        ("205/65R15C C", 54, "agrees"),
        ("11R22.5 H", 120, "agrees"),
        ("11R22.5 H", 80, "unusual"),
    ],
)
def test_a_load_range_has_its_usual_pressures(text: str, psi: float, verdict: str) -> None:
    assert told(CheckKind.LOAD_RANGE_AND_PRESSURE, text, Stated(max_pressure_pa=psi * PSI))[0] == verdict


def test_kilopascals_marked_for_a_load_range_are_the_same_pressure() -> None:
    """Hand: 550 kPa are 79.8 psi, 350 kPa 50.8."""
    for text, kilopascal in (("ST225/75R15 E", 550), ("ST225/75R15 C", 350), ("ST225/75R15 D", 450)):
        stated = Stated(max_pressure_pa=kilopascal * 1000.0)
        assert told(CheckKind.LOAD_RANGE_AND_PRESSURE, text, stated)[0] == "agrees"


@pytest.mark.parametrize(
    ("text", "because"),
    [
        ("P235/75R15 105S", NotChecked.NOT_FOR_THIS_FAMILY),
        ("LT235/85R16", NotChecked.NOT_MARKED),
        ("LT235/85R16 N", NotChecked.NO_USUAL_FIGURE),
    ],
)
def test_where_no_pressure_is_usual_the_reason_is_told(text: str, because: NotChecked) -> None:
    found = check(CheckKind.LOAD_RANGE_AND_PRESSURE, text, Stated(max_pressure_pa=450_000.0))
    assert (found.verdict, found.unknown_because) == (Verdict.NOT_KNOWN, because)


def test_every_published_table_ends_at_a_usual_pressure_of_its_load_range() -> None:
    """But one whose collected rows stop at 50 psi, short of the 65 psi of its load range."""
    cut_short = ("ST205/75R15", "D")
    checked = 0
    for table in built_in_tables():
        family = marked(table.designation).family
        if table.load_range in USUAL_PRESSURES_PSI.get(family, {}):
            stated = Stated(load_range=table.load_range, max_pressure_pa=table.rows[-1].pressure_pa)
            verdict, _ = told(CheckKind.LOAD_RANGE_AND_PRESSURE, table.designation, stated)
            assert (verdict == "unusual") == ((table.designation, table.load_range) == cut_short), table
            checked += 1
    assert checked > 30


def test_the_wheel_limits_what_the_tire_could_carry_and_hold() -> None:
    """Published: LT235/85R16 G, 3,750 lb at 110 psi, more than many wheels are made for (fleet magazine)."""
    stated = Stated(max_load_single_kg=3750 * LB, max_pressure_pa=110 * PSI, wheel=Wheel(3042 * LB, 80 * PSI))
    assert told(CheckKind.WHEEL_LOAD, "LT235/85R16 G", stated) == ("limits", "wheel_carries_less_than_tire")
    assert told(CheckKind.WHEEL_PRESSURE, "LT235/85R16 G", stated) == ("limits", "wheel_holds_less_than_tire")


def test_a_wheel_marked_in_rounded_units_carries_its_tire() -> None:
    stated = Stated(max_load_single_kg=3042 * LB, max_pressure_pa=80 * PSI, wheel=Wheel(3040 * LB, 79.8 * PSI))
    assert told(CheckKind.WHEEL_LOAD, "LT235/85R16 E", stated)[0] == "agrees"
    assert told(CheckKind.WHEEL_PRESSURE, "LT235/85R16 E", stated)[0] == "agrees"


@pytest.mark.parametrize(
    ("text", "stated", "sum_lb", "verdict"),
    [
        # hand: 2 x 3,042 = 6,084
        ("LT235/85R16 E", Stated(max_load_single_kg=3042 * LB, gawr_kg=6084 * LB), 6084, "agrees"),
        ("LT235/85R16 E", Stated(max_load_single_kg=3042 * LB, gawr_kg=6085 * LB), 6084, "contradicts"),
        # hand: 4 x 2,778 = 11,112
        (
            "LT235/85R16 E",
            Stated(Fitment.DUAL, max_load_dual_kg=2778 * LB, gawr_kg=11_000 * LB),
            11_112,
            "agrees",
        ),
        # hand: 2 x 2,000/1.10 = 3,636.4 on a trailer, 4,000 on a car
        ("P235/75R15", Stated(max_load_single_kg=2000 * LB, gawr_kg=3700 * LB), 3636.36, "contradicts"),
        (
            "P235/75R15",
            Stated(max_load_single_kg=2000 * LB, gawr_kg=3700 * LB, passenger_car=True),
            4000,
            "agrees",
        ),
        # hand: load index 121 is 1,450 kg, two of them 2,900 kg
        ("225/75R16C 121/120R", Stated(gawr_kg=2900.0), 2900 / LB, "agrees"),
    ],
)
def test_the_tires_of_an_axle_carry_its_rating(text: str, stated: Stated, sum_lb: float, verdict: str) -> None:
    found = check(CheckKind.AXLE, text, stated)
    assert found.verdict == verdict
    assert figure(found, "sum") / LB == pytest.approx(sum_lb, abs=0.01)


# Published: L is 120 km/h, printed 75 mph; special-trailer tires without symbol 65 mph.
@pytest.mark.parametrize(
    ("text", "mph", "outcome"),
    [
        ("11R22.5 G 144/142L", 75, ("agrees", "speed_within")),
        ("11R22.5 G 144/142L", 76, ("contradicts", "speed_above_symbol")),
        ("ST225/75R15 D", 65, ("agrees", "speed_within")),
        ("ST225/75R15 D", 66, ("contradicts", "speed_above_special_trailer")),
        ("ST225/75R15 E 117/112M", 75, ("agrees", "speed_within")),
        ("LT235/85R16 E", 75, ("not_known", "speed_not_known")),
    ],
)
def test_no_tire_is_driven_above_its_symbol(text: str, mph: float, outcome: tuple[str, str]) -> None:
    assert told(CheckKind.SPEED, text, Stated(speed_m_per_s=mph * MPH)) == outcome


def test_above_its_first_symbol_a_tire_carries_its_second_service_description() -> None:
    """Published: EPREL 530340, 156/150 L and 154/150 M: 130 km/h with index 154, 3,750 kg; 140 with neither."""
    text = "315/80R22.5 156/150L 154/150M"
    found = check(CheckKind.SPEED, text, Stated(speed_m_per_s=130 / 3.6))
    assert (found.verdict, found.code) == (Verdict.LIMITS, "second_service_applies")
    assert figure(found, "second_load") == 3750.0
    assert told(CheckKind.SPEED, text, Stated(speed_m_per_s=140 / 3.6))[0] == "contradicts"


def test_nothing_stated_is_nothing_contradicted() -> None:
    verdicts = {each.verdict for each in cross_checks(marked("225/75R16"), Stated())}
    assert verdicts == {Verdict.NOT_KNOWN}
    assert all(each.unknown_because is not None for each in cross_checks(marked("225/75R16"), Stated()))
