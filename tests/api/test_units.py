"""The same rig, whatever units it is told in: the loads of a yard do not depend on who reads the ticket."""

from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tests.api.test_assess import ANSWER, assessed
from tests.contract.published import Field, fields
from tests.rigs.quantities import Quantity, mass, pressure, si_of, written
from tests.rigs.requests import drafts

MIXES: tuple[dict[str, str], ...] = tuple(
    {"mass": mass, "pressure": pressure_unit, "length": length, "temperature": degree, "volume": volume, "altitude": up}
    for mass, pressure_unit, length, degree, volume, up in (
        ("lb", "psi", "in", "degF", "gal", "ft"),
        ("kg", "psi", "m", "degC", "L", "ft"),
        ("kg", "kPa", "mm", "degC", "L", "m"),
        ("kg", "bar", "mm", "degF", "gal", "m"),
    )
)
# What a figure in each unit is printed to (decimals), as the contract says of its numbers.
DECIMALS = {"lb": 1, "kg": 1, "psi": 2, "kPa": 1, "bar": 3, "in": 1, "mm": 0, "m": 3, "degF": 1, "degC": 1}
SHARE_DECIMALS = 4
FINEST_STEP_PA = 1000.0
PRINT_PA = 200.0
"""Twice the coarsest print of a pressure that is rounded up: 0.1 kPa, 0.001 bar."""
MOST_WARMING = 1.35
"""A step where it is coldest is more of one at the filling: by the ratio of temperatures, here 240 to 318 K."""
UNSHRUNK = (Phase.explicit, Phase.reuse, Phase.generate)
"""A case of many answers takes minutes to shrink."""
LARGEST_DEFAULT_STEP_PA = 5 * si_of("psi", 1)  # of 5 psi, 10 kPa and 0.1 bar


def figures(answer: Any) -> list[Field]:
    """Return the fields of an answer in one order, without its units, and without what rests on printed digits."""
    answer = {name: value for name, value in answer.items() if name != "units"}
    if answer.get("reconciliation") is not None:
        answer["reconciliation"] = {**answer["reconciliation"], "slips": []}
    return list(fields(answer, ANSWER))


def si_and_step(field: Field, units: dict[str, str]) -> tuple[float, float]:
    """Return a figure in SI, and how far the printed one may lie from it."""
    quantity = field.quantity
    if quantity == "count":
        return field.value, 0.0
    if quantity in ("share", "number"):
        return field.value, 10**-SHARE_DECIMALS
    unit = units[str(quantity)]
    step = si_of(unit, 10.0 ** -DECIMALS[unit]) - si_of(unit, 0)
    return si_of(unit, field.value), step if field.is_rounded_up else step / 2


def answer_in(draft: dict[str, Any], units: dict[str, str]) -> Any:
    reply = assessed({"units": units, **written(draft, units)})
    assert reply.status == 200, reply.body
    return reply.json


TEXTS = ("message", "agreement", "unknown_because")
"""Sentences that speak figures in the caller's units."""


def compared(first: Any, second: Any, units: dict[str, str], others: dict[str, str]) -> int:
    """Compare two answers figure by figure and word by word, and return how many figures were compared."""
    count = 0
    pairs = list(zip(figures(first), figures(second), strict=True))
    for one, other in pairs:
        assert one.pointer == other.pointer
        name = one.pointer.rpartition("/")[2]
        if isinstance(one.value, bool) or not isinstance(one.value, int | float):
            assert isinstance(one.value, list | dict) or name in TEXTS or one.value == other.value, one.pointer
            continue
        one_si, one_step = si_and_step(one, units)
        other_si, other_step = si_and_step(other, others)
        allowed = (one_step + other_step) * (1 + 1e-6) + 1e-9
        assert abs(one_si - other_si) <= allowed, (one.pointer, one.value, other.value)
        count += 1
    return count


@settings(max_examples=40, deadline=None, phases=UNSHRUNK)
@given(drafts(), st.permutations(MIXES))
def test_before_the_rounding_step_a_rig_in_other_units_has_the_same_answer(
    draft: dict[str, Any], mixes: list[Any]
) -> None:
    """Every figure agrees within its print and every word is the same; the same fine step takes the step out."""
    draft = {**draft, "policy": {**draft.get("policy", {}), "rounding_step": pressure(FINEST_STEP_PA)}}
    first = answer_in(draft, mixes[0])
    for mix in mixes[1:]:
        assert compared(first, answer_in(draft, mix), mixes[0], mix) > 20


@settings(max_examples=40, deadline=None, phases=UNSHRUNK)
@given(drafts())
def test_after_the_rounding_step_pressures_in_other_units_lie_within_one_step(draft: dict[str, Any]) -> None:
    draft = {**draft, "policy": {k: v for k, v in draft.get("policy", {}).items() if k != "rounding_step"}}
    answers = [(answer_in(draft, mix), mix) for mix in MIXES]
    for axle in zip(*(answer["inflation"] for answer, _ in answers), strict=True):
        for name in ("cold_pressure", "least_cold_pressure", "set_now"):
            told = [each[name] for each in axle]
            if name != "set_now":  # whether a filling serves may rest on the step: see the test of one below
                assert len({value is None for value in told}) == 1, (name, axle)
            in_si = [si_of(mix["pressure"], each) for each, (_, mix) in zip(told, answers, strict=True) if each]
            reach = MOST_WARMING if name == "set_now" else 1.0
            assert max(in_si, default=0) - min(in_si, default=0) <= reach * LARGEST_DEFAULT_STEP_PA + PRINT_PA, told


@settings(max_examples=60, deadline=None, phases=UNSHRUNK)
@given(drafts(), st.permutations(MIXES))
def test_after_the_rounding_step_loads_limits_and_balance_are_still_the_same(
    draft: dict[str, Any], mixes: list[Any]
) -> None:
    first, second = (answer_in(draft, mix) for mix in mixes[:2])
    for room in ("summary", "reconciliation", "wheel_ends", "axles", "vehicles", "rig", "limits", "balance"):
        part, other = ({"units": answer["units"], room: answer[room]} for answer in (first, second))
        compared(part, other, mixes[0], mixes[1])


def van(front_left_lb: float, front_right_lb: float, front_rating_lb: float) -> dict[str, Any]:
    """Return a van whose front loads are known, in SI; its wheels may hold 387 kPa."""
    tires = {
        "fitment": "single",
        "designation": "37x12.50R17LT D",
        "max_load_single": mass(1450),
        "max_pressure": pressure(450e3),
    }
    axles = [
        {
            "name": name,
            "aft": Quantity("length", aft_m),
            "track": Quantity("length", 1.8),
            "gawr": mass(si_of("lb", front_rating_lb)),
            "wheel": {"max_pressure": pressure(387e3)},
            "tires": tires,
        }
        for name, aft_m in (("front", 0.0), ("rear", 3.0))
    ]
    loads = [("front.left", front_left_lb), ("front.right", front_right_lb)]
    return {
        "rig": {"name": "edge", "vehicles": [{"name": "van", "kind": "van", "gvwr": mass(9000), "axles": axles}]},
        "loads": [
            {"wheel_ends": [name], "load": mass(si_of("lb", load_lb)), "standard_uncertainty": mass(9)}
            for name, load_lb in loads
        ],
    }


@pytest.mark.parametrize("left_lb", range(2300, 2900, 20))
def test_no_step_lifts_a_pressure_over_the_ceiling_in_one_unit_only(left_lb: int) -> None:
    """387 kPa is 56.1 psi: the next step is 390 kPa in one unit and 60 psi in another."""
    told = [answer_in(van(left_lb, left_lb, 6000), mix)["inflation"][0] for mix in MIXES]
    assert len({each["cold_pressure"] is None for each in told}) == 1
    assert len({each["unknown_because"] for each in told}) == 1


@pytest.mark.parametrize(("left_lb", "right_lb"), [(2000, 2213), (2007, 2011), (2007, 2431), (2028, 2011)])
def test_a_load_of_exactly_its_rating_is_as_severe_in_every_unit(left_lb: int, right_lb: int) -> None:
    """Hand: 2,000 + 2,213 = 4,213 lb, the rating: the chance that it is over is one half, however it is converted."""
    told = [answer_in(van(left_lb, right_lb, left_lb + right_lb), mix)["findings"] for mix in MIXES]
    codes = {tuple(each["code"] for each in findings if each["subject"] == "front") for findings in told}
    assert len(codes) == 1
    assert "limit_probably_over" in next(iter(codes))


def test_a_filling_that_serves_does_not_fail_by_the_rounding_step() -> None:
    """Hand: 346 kPa gauge under 94 kPa of air (633.5 m) is 440 kPa; from 257.58 K to 300.125 K that becomes 513 kPa.

    Less 96 kPa of air at the yard (420.5 m) it is 416 kPa gauge, below the ceiling of 445.5 kPa. With 379 kPa, which
    is 55 psi, it would be 455 kPa.
    """
    draft = van(2149, 2149, 5000)
    for axle in draft["rig"]["vehicles"][0]["axles"]:
        axle["wheel"] = {"max_pressure": pressure(445.5e3)}
        axle["tires"] = {
            "fitment": "single",
            "designation": "225/75R16CP 118R",
            "max_load_single": mass(1320),
            "max_pressure": pressure(550e3),
        }
    draft["loads"] = [{**load, "load": mass(884), "standard_uncertainty": mass(0)} for load in draft["loads"]]
    draft["conditions"] = {
        "fill": {"tire_temperature": Quantity("temperature", 300.125), "altitude": Quantity("altitude", 420.5)},
        "coldest": {"ambient_temperature": Quantity("temperature", 257.58), "altitude": Quantity("altitude", 633.5)},
    }
    told = [answer_in(draft, mix)["inflation"][0] for mix in MIXES]
    assert [each["set_now"] is None for each in told] == [False] * len(MIXES)
