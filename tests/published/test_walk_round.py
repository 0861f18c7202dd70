"""The walk-round's yardsticks against 49 CFR 393.75 and Directive 96/53/EC as published."""

from datetime import date

import pytest

from axlewright.core.findings import Finding, Quantity, Severity
from axlewright.core.upkeep.remarks import walk_round_findings
from axlewright.core.upkeep.walk_round import Damage, TireSeen, WalkRound, WalkRoundPolicy

WITHOUT_MARGIN = WalkRoundPolicy(tread_notice_m=0.0)
THIRTY_SECOND_M = 0.0254 / 32


def findings(tire: TireSeen | None = None, height_m: float | None = None) -> list[Finding]:
    """Return what is found of one tire or of a height, by the published figures alone."""
    seen = WalkRound(date(2026, 5, 14), (tire,) if tire else (), height_m)
    return [one for one in walk_round_findings(seen, WITHOUT_MARGIN) if one.code != "not_noted"]


# Published: 49 CFR 393.75(b), at least 4/32 in on the front wheels of a bus, truck or truck tractor; (c), at least
# 2/32 in elsewhere; both read in reprints of the section. Postal Service Handbook PO-515, 452.11 and 452.12, alike.
@pytest.mark.parametrize(("steers", "thirty_seconds"), [(True, 4), (False, 2)])
def test_tread_is_kept_at_the_published_depth_and_not_below(steers: bool, thirty_seconds: int) -> None:
    least_m = thirty_seconds * THIRTY_SECOND_M
    assert findings(TireSeen("front.left", steers, tread_depths_m=(0.012, least_m))) == []
    (finding,) = findings(TireSeen("front.left", steers, tread_depths_m=(0.012, least_m - 1e-5)))
    assert finding.code == "tread_below_least"
    assert finding.facts["limit"] == Quantity("fine_length", pytest.approx(least_m))


@pytest.mark.parametrize(("steers", "thirty_seconds"), [(True, 3.9), (True, 1), (False, 1.9)])
def test_tread_below_its_least_is_critical_on_every_wheel(steers: bool, thirty_seconds: float) -> None:
    (finding,) = findings(TireSeen("front.left", steers, tread_depths_m=(thirty_seconds * THIRTY_SECOND_M,)))
    assert (finding.code, finding.severity) == ("tread_below_least", Severity.CRITICAL)


# Published: 49 CFR 393.75(a): body ply or belt exposed; tread or sidewall separation; flat or audible leak; a cut that
# exposes ply or belt. Common practice: a bulge is the sign of a separation.
@pytest.mark.parametrize("damage", ["ply_exposed", "separation", "flat_or_leaking", "cut_to_ply", "bulge"])
def test_what_the_section_forbids_to_drive_on_is_critical(damage: str) -> None:
    (finding,) = findings(TireSeen("tag.left", damages=(Damage(damage),)))
    assert (finding.code, finding.severity) == ("tire_unfit", Severity.CRITICAL)


# Published: Directive 96/53/EC, annex I, 1.3: 4.00 m. From memory: state laws of 13 ft 6 in (4.1148 m) and 14 ft
# (4.2672 m).
@pytest.mark.parametrize(
    ("height_m", "above"),
    [
        (4.0, []),
        (4.001, ["european_union"]),
        (4.1148, ["european_union"]),
        (4.115, ["european_union", "many_united_states"]),
        (4.2672, ["european_union", "many_united_states"]),
        (4.268, ["european_union", "many_united_states", "some_western_states"]),
    ],
)
def test_a_height_is_told_against_the_usual_legal_ones(height_m: float, above: list[str]) -> None:
    told = findings(height_m=height_m)
    assert [one.facts["name"] for one in told if one.code == "above_legal_height"] == above
    assert [one.code for one in told].count("within_legal_height") == 3 - len(above)
