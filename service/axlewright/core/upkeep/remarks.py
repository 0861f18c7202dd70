"""What a walk round the rig gives the user to know."""

from collections.abc import Iterable, Iterator
from datetime import date

from axlewright.core.findings import Fact, Finding, Quantity, Severity, pressure
from axlewright.core.tires.age import completed_years
from axlewright.core.tires.identification import DateUnknown, Doubt, Layout
from axlewright.core.units import exceeds
from axlewright.core.upkeep.events import RIG, wheel_end_of
from axlewright.core.upkeep.rules import months_after
from axlewright.core.upkeep.walk_round import (
    FLAT_SHARE,
    LEAST_STEERING_TREAD_M,
    LEAST_TREAD_M,
    LEGAL_HEIGHTS_M,
    UNFIT,
    Damage,
    Stem,
    TireSeen,
    WalkRound,
    WalkRoundPolicy,
)

AMBIGUOUS = frozenset({Doubt.THREE_DIGITS_POSSIBLE, Doubt.PARTIAL_POSSIBLE, Doubt.RETREAD_POSSIBLE})
"""Doubts that leave open which date a number gives, or whether it gives one."""


def fine_length(value_m: float) -> Quantity:
    """Return a length [m] of millimeters, to be told more finely than places on a rig."""
    return Quantity("fine_length", value_m)


def walk_round_findings(seen: WalkRound, policy: WalkRoundPolicy) -> list[Finding]:
    """Return what a walk-round gives to know: heights, each tire, the mates of each dual, what nobody noted.

    Raises
    ------
    CoreError
        If a tire is named twice or was made after the day, or a figure or margin is impossible.

    Examples
    --------
    >>> worn = TireSeen("tag.left", tread_depths_m=(0.004, 0.0015))
    >>> [finding.code for finding in walk_round_findings(WalkRound(date(2026, 5, 14), (worn,)), WalkRoundPolicy())]
    ['tread_below_least', 'not_noted', 'not_noted']

    """
    policy.require_sound()
    seen.require_sound()
    return [
        *_height_findings(seen, policy),
        *(finding for tire in seen.tires for finding in _tire_findings(tire, seen.on, policy)),
        *_mate_findings(seen.tires, policy),
        *_not_noted(seen.tires),
    ]


def _height_findings(seen: WalkRound, policy: WalkRoundPolicy) -> Iterator[Finding]:
    if seen.overall_height_m is None:
        if seen.heights:
            yield Finding("height_not_measured", Severity.WARNING, RIG, {"name": seen.heights[0].name})
        return
    own_m = seen.overall_height_m
    for height in seen.heights:
        facts: dict[str, Fact] = {
            "name": height.name,
            "value": Quantity("length", own_m),
            "limit": Quantity("length", height.height_m),
            "difference": Quantity("length", abs(height.height_m - own_m)),
            "least": Quantity("length", policy.least_clearance_m),
        }
        if not exceeds(height.height_m, own_m):
            yield Finding("height_does_not_pass", Severity.CRITICAL, RIG, facts)
        elif exceeds(own_m + policy.least_clearance_m, height.height_m):
            yield Finding("height_passes_tightly", Severity.WARNING, RIG, facts)
        else:
            yield Finding("height_passes", Severity.INFO, RIG, facts)
    for legal, height_m in LEGAL_HEIGHTS_M.items():
        over = exceeds(own_m, height_m)
        yield Finding(
            "above_legal_height" if over else "within_legal_height",
            Severity.NOTICE if over else Severity.INFO,
            RIG,
            {
                "name": legal,
                "value": Quantity("length", own_m),
                "limit": Quantity("length", height_m),
                "difference": Quantity("length", abs(height_m - own_m)),
            },
        )


def _tire_findings(tire: TireSeen, on: date, policy: WalkRoundPolicy) -> Iterator[Finding]:
    yield from _tread_findings(tire, policy)
    for damage in tire.damages or ():
        yield _damage_finding(tire.name, damage)
    yield from _age_findings(tire, on, policy)
    yield from _number_findings(tire)
    if tire.stem not in (None, Stem.SOUND):
        severity = Severity.CRITICAL if tire.stem is Stem.LEAKING else Severity.WARNING
        yield Finding("valve_stem_unsound", severity, tire.name, {"stem": tire.stem})
    if tire.has_valve_cap is False:
        yield Finding("valve_cap_missing", Severity.NOTICE, tire.name, {})


def _damage_finding(name: str, damage: Damage) -> Finding:
    if damage in UNFIT:
        return Finding("tire_unfit", Severity.CRITICAL, name, {"damage": damage})
    severity = Severity.NOTICE if damage is Damage.UNEVEN_WEAR else Severity.WARNING
    return Finding("tire_damaged", severity, name, {"damage": damage})


def _tread_findings(tire: TireSeen, policy: WalkRoundPolicy) -> Iterator[Finding]:
    """Yield what the tread's least depth gives to know, against 49 CFR 393.75(b) and (c)."""
    if tire.tread_m is None:
        return
    least_m = LEAST_STEERING_TREAD_M if tire.steers else LEAST_TREAD_M
    facts = {"value": fine_length(tire.tread_m), "limit": fine_length(least_m)}
    if exceeds(least_m, tire.tread_m):
        yield Finding("tread_below_least", Severity.CRITICAL, tire.name, facts)
    elif exceeds(least_m + policy.tread_notice_m, tire.tread_m):
        yield Finding("tread_near_least", Severity.NOTICE, tire.name, facts)


def _number_findings(tire: TireSeen) -> Iterator[Finding]:
    """Yield what an identification number leaves open of the age, besides the decade."""
    if tire.number is None:
        return
    if tire.number.date_unknown_because is DateUnknown.ON_OTHER_SIDE:
        yield Finding("tire_date_on_other_side", Severity.INFO, tire.name, {})
    if tire.number.layout is Layout.RETREAD:
        yield Finding("tire_date_of_retreading", Severity.NOTICE, tire.name, {})
    if AMBIGUOUS.intersection(tire.number.doubts):
        yield Finding("tire_date_ambiguous", Severity.NOTICE, tire.name, {})


def _age_findings(tire: TireSeen, on: date, policy: WalkRoundPolicy) -> Iterator[Finding]:
    if tire.made_on is None:
        return
    if tire.made_by is not None:
        yield _open_age_finding(tire.name, tire.made_on, tire.made_by, on, policy)
        return
    facts: dict[str, Fact] = {"made_on": tire.made_on.isoformat(), "years": completed_years(tire.made_on, on)}
    if on >= months_after(tire.made_on, policy.tire_replacement_months):
        yield Finding("tire_past_age", Severity.WARNING, tire.name, facts)
    elif on >= months_after(tire.made_on, policy.tire_inspection_from_months):
        yield Finding("tire_ages", Severity.NOTICE, tire.name, facts)


def _open_age_finding(name: str, made_on: date, made_by: date, on: date, policy: WalkRoundPolicy) -> Finding:
    """Return what is to be said of a tire whose decade is not marked: its age lies in a span."""
    past = on >= months_after(made_on, policy.tire_replacement_months)
    facts: dict[str, Fact] = {
        "first": made_on.isoformat(),
        "last": made_by.isoformat(),
        "least": completed_years(made_by, on),
        "most": completed_years(made_on, on),
    }
    return Finding("tire_age_open", Severity.WARNING if past else Severity.NOTICE, name, facts)


def _mate_findings(tires: Iterable[TireSeen], policy: WalkRoundPolicy) -> Iterator[Finding]:
    by_name = {tire.name: tire for tire in tires}
    for wheel_end in dict.fromkeys(wheel_end_of(name) for name in by_name):
        inner, outer = by_name.get(f"{wheel_end}.inner"), by_name.get(f"{wheel_end}.outer")
        if inner is None and outer is None:
            continue
        if inner is None or outer is None:
            yield Finding("mates_not_compared", Severity.NOTICE, wheel_end, {"what": "anything"})
            continue
        yield from _compared(wheel_end, inner, outer, policy)


def _compared(wheel_end: str, inner: TireSeen, outer: TireSeen, policy: WalkRoundPolicy) -> Iterator[Finding]:
    """Yield where the two tires of a dual differ too much, and what was noted of one alone."""
    if (inner.designation is None) != (outer.designation is None):
        yield Finding("mates_not_compared", Severity.NOTICE, wheel_end, {"what": "designation"})
    elif inner.designation is not None and inner.designation != outer.designation:
        designations = {"inner": inner.designation, "outer": str(outer.designation)}
        yield Finding("mates_differ_in_designation", Severity.WARNING, wheel_end, designations)
    for what, one, other, most, told in (
        ("tread", inner.tread_m, outer.tread_m, policy.most_tread_difference_m, fine_length),
        (
            "diameter",
            inner.outer_diameter_m,
            outer.outer_diameter_m,
            policy.most_diameter_difference_m,
            fine_length,
        ),
        ("pressure", inner.pressure_pa, outer.pressure_pa, policy.most_pressure_difference_pa, pressure),
    ):
        if (one is None) != (other is None):
            yield Finding("mates_not_compared", Severity.NOTICE, wheel_end, {"what": what})
        elif one is not None and other is not None and _differ(one, other, most):
            facts: dict[str, Fact] = {
                "inner": told(one),
                "outer": told(other),
                "difference": told(abs(one - other)),
                "most": told(most),
            }
            is_flat = what == "pressure" and not exceeds(min(one, other), FLAT_SHARE * max(one, other))
            severity = Severity.CRITICAL if is_flat else Severity.WARNING
            yield Finding(f"mates_differ_in_{what}", severity, wheel_end, facts)


def _differ(one: float, other: float, most: float) -> bool:
    """Return whether two figures differ by more than a most: guarded by the figures, not by their difference."""
    return exceeds(max(one, other), min(one, other) + most)


def _not_noted(tires: Iterable[TireSeen]) -> Iterator[Finding]:
    """Yield what nobody looked at: tread, age, damage; silence is no praise."""
    for what, without in (
        ("tread", [tire.name for tire in tires if tire.tread_m is None]),
        ("age", [tire.name for tire in tires if tire.made_on is None and tire.number is None]),
        ("damage", [tire.name for tire in tires if tire.damages is None]),
    ):
        if without:
            yield Finding("not_noted", Severity.INFO, RIG, {"what": what, "tires": ", ".join(without)})
