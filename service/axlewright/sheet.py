"""The assessment as a sheet of plain text, for people at a terminal."""

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from axlewright.contract.assessment import AssessAnswer
from axlewright.contract.coupling import CoupledMassAnswer, CoupledShareAnswer, CoupledTorqueAnswer
from axlewright.contract.findings import FindingAnswer
from axlewright.contract.inflation import InflationAnswer
from axlewright.contract.loads import LimitAnswer
from axlewright.contract.output import LoadAnswer
from axlewright.core.units import rounded_up

WIDTH = 88
HALF = 24
DIRECTION_MARKS = dict.fromkeys([0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)])
"""Marks that would turn the writing of a name, and of the figures behind it, around."""
SETTING_DECIMALS = {"psi": 1, "kPa": 0, "bar": 2}
MOST_SLIPS = 5
STANDINGS = ("over", "short", "unsettled", "unknown", "tight", "clear")


def sheet(answer: AssessAnswer) -> str:
    """Return the sheet: loads in plan view, coupling, limits, balance, pressures, findings, cautions."""
    sections = (
        _head(answer),
        _plan_view(answer),
        _agreement(answer),
        _coupling(answer),
        _limits(answer),
        _balance(answer),
        _pressures(answer),
        _findings(answer.findings),
        _cautions(answer),
    )
    text = "\n\n".join("\n".join(section) for section in sections if section) + "\n"
    return text.translate(DIRECTION_MARKS)


def _head(answer: AssessAnswer) -> list[str]:
    summary = answer.summary
    line = f"Worst standing: {summary.standing}"
    if summary.governing_limit:
        governing = summary.governing_limit
        line += f"; least is left at {governing.subject} ({_plain(governing.kind)})"
    if summary.critical_findings:
        line += f"; critical findings: {summary.critical_findings}"
    units = [f"loads in {answer.units.mass}", f"pressures in {answer.units.pressure}"]
    if any(limit.quantity == "speed" for limit in answer.limits):
        units.append(f"speeds in {answer.units.speed}")
    units.append("+/- as k times standard uncertainty")
    return [answer.rig.name, "=" * len(answer.rig.name), line, ", ".join(units)]


def _plan_view(answer: AssessAnswer) -> list[str]:
    """Return the wheel ends as seen from above, front at the top: left, the axle's sum, right."""
    ends = {end.name: end for end in answer.wheel_ends}
    lines = [f"{'LEFT':>{HALF}}  {'front':^{HALF + 8}}  RIGHT"]
    for axle in answer.axles:
        left, right = ends[f"{axle.name}.left"], ends[f"{axle.name}.right"]
        middle = f"{axle.name} {_load(axle)}"
        lines.append(f"{_load(left):>{HALF}} [{middle:^{HALF + 8}}] {_load(right)}")
    lines += [f"{'':>{HALF}}  {f'{each.name} {_load(each)}':^{HALF + 8}}".rstrip() for each in answer.vehicles]
    return lines


def _agreement(answer: AssessAnswer) -> list[str]:
    if answer.reconciliation is None:
        return []
    parts = [part.agreement for part in answer.reconciliation.parts]
    ties = [tie.words for tie in answer.reconciliation.ties]
    lines = ["Do the readings agree?", *(line for part in (*parts, *ties) for line in _wrapped(part))]
    slips = answer.reconciliation.slips[:MOST_SLIPS]
    if slips:
        lines.append("Look at the tickets again; of the usual slips in copying these would explain it:")
        lines += [line for slip in slips for line in _wrapped(slip.words, first="  - ", later="    ")]
    return lines


def _coupling(answer: AssessAnswer) -> list[str]:
    """Return what the passes made hitched tell of the coupling."""
    coupling = answer.coupling
    if coupling is None:
        return []
    mass, torque = answer.units.mass or "", answer.units.torque or ""
    return [
        f"Coupling (the rest of this sheet: {_plain(coupling.state)})",
        *_coupled("tongue or pin weight", coupling.coupling_load, mass),
        *_coupled("moment of the levelling bars", coupling.bars_moment, torque.replace("_", " ")),
        *_coupled("put on the trailer's axles by them", coupling.put_on_trailer_axles, mass),
        *_coupled("given back to the front axle by them", coupling.restored_share, "%"),
    ]


def _coupled(
    words: str, figure: CoupledMassAnswer | CoupledTorqueAnswer | CoupledShareAnswer | None, unit: str
) -> list[str]:
    if figure is None:
        return []
    if figure.value is None:
        more = "" if figure.settled_by is None else f" One more pass would tell: {figure.settled_by}"
        return _wrapped(f"{words}: unknown. {figure.unknown_because}{more}", first="  ", later="    ")
    factor = 100 if unit == "%" else 1
    doubt = "" if figure.standard_uncertainty is None else f" (u {factor * figure.standard_uncertainty:,.0f})"
    provisional = " (provisional)" if figure.provisional else ""
    return [f"  {words}: {factor * figure.value:,.0f} {unit}{doubt}{provisional}"]


def _limits(answer: AssessAnswer) -> list[str]:
    ranked = sorted(answer.limits, key=lambda each: STANDINGS.index(each.standing))
    shown = [each for each in ranked if each.governs or each.standing != "clear"]
    counts = ", ".join(f"{count} {name}" for name in STANDINGS if (count := getattr(answer.summary.counts, name)))
    rows = [("Limits", "what", "is", "limit", "left", "standing"), *map(_limit_row, shown)]
    return [*_table(rows), f"({counts}; clear ones are listed only where they govern)"]


def _limit_row(limit: LimitAnswer) -> tuple[str, ...]:
    figures = (_figure(limit, value) for value in (limit.value, limit.limit, limit.margin))
    return (limit.subject, _plain(limit.kind), *figures, limit.standing)


def _figure(limit: LimitAnswer, value: float | None) -> str:
    if value is None:
        return "unknown"
    return f"{100 * value:.1f} %" if limit.quantity == "share" else f"{value:,.0f}"


def _balance(answer: AssessAnswer) -> list[str]:
    lines = ["Balance"]
    for vehicle in answer.balance:
        place = vehicle.center_of_gravity
        if place.aft.value is not None and place.right.value is not None:
            side = "right" if place.right.value >= 0 else "left"
            length = answer.units.length
            lines.append(
                f"  {vehicle.vehicle}: centre of gravity {place.aft.value:,.1f} {length} behind the first axle, "
                f"{abs(place.right.value):,.1f} {length} to the {side}"
            )
        for axle in vehicle.axle_sides:
            if axle.difference is None:
                lines.append(f"  {axle.axle}: unknown. {axle.unknown_because}")
            elif axle.heavy_side is None:
                lines.append(f"  {axle.axle}: even, within the doubt")
            else:
                lines.append(
                    f"  {axle.axle}: {axle.heavy_side} heavier by {abs(axle.difference):,.0f} {answer.units.mass} "
                    f"({axle.band})"
                )
    return lines


def _pressures(answer: AssessAnswer) -> list[str]:
    head = ("Pressures", "cold", "set now", "load per tire", "carries", "by")
    assert answer.units.pressure is not None
    decimals = SETTING_DECIMALS[answer.units.pressure]
    return _table([head, *(_pressure_row(each, decimals) for each in answer.inflation)])


def _pressure_row(each: InflationAnswer, decimals: int) -> tuple[str, ...]:
    if each.until_weighed is not None:
        return each.axle, "not by load", "-", "unknown", "-", f"hold {each.until_weighed:g} until weighed"
    if each.cold_pressure is None:
        return each.axle, "none", "-", _number(each.design_load_per_tire), "-", each.unknown_because or ""
    source = each.row.source if each.row else "estimate: read the tire maker's table"
    now = "-" if each.set_now is None else f"{rounded_up(each.set_now, 10.0**-decimals):.{decimals}f}"
    return (
        each.axle,
        f"{each.cold_pressure:g}",
        now,
        _number(each.design_load_per_tire),
        _number(each.capacity),
        source,
    )


def _findings(findings: Sequence[FindingAnswer]) -> list[str]:
    lines = [f"Findings ({len(findings)})"]
    for finding in findings:
        lines += _wrapped(f"{finding.severity.upper()}: {finding.message}", first="  ", later="    ")
        lines += _wrapped(f"-> {finding.action}", first="    ", later="       ")
    return lines


def _cautions(answer: AssessAnswer) -> list[str]:
    lines = ["Cautions"]
    for caution in answer.cautions:
        lines += _wrapped(caution, first="  - ", later="    ")
    return lines


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Return rows in columns; the last column runs on."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]) - 1)]
    return list(_columns(rows, widths))


def _columns(rows: Iterable[tuple[str, ...]], widths: Sequence[int]) -> Iterator[str]:
    for row in rows:
        first, *others = row[:-1]
        numbers = (f"{cell:>{width}}" for cell, width in zip(others, widths[1:], strict=True))
        yield "  ".join((f"{first:<{widths[0]}}", *numbers, row[-1]))


def _load(load: LoadAnswer) -> str:
    if load.load is None:
        return "unknown"
    doubt = "" if load.high is None else f" +/- {load.high - load.load:,.0f}"
    return f"{load.load:,.0f}{doubt}{' (provisional)' if load.provisional else ''}"


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:,.0f}"


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _wrapped(text: str, first: str = "  ", later: str = "  ") -> list[str]:
    return wrap(text, WIDTH, initial_indent=first, subsequent_indent=later)
