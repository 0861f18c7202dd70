"""The threshold at which a vehicle's own low-pressure telltale must light."""

from enum import StrEnum
from math import inf
from typing import Final

from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.needs import LIGHT_VEHICLE_KG
from axlewright.core.units import KILOPASCAL_PA, exceeds

TELLTALE_SHARE: Final = 0.75
"""Share [1] of the label's pressure at which the telltale must light; 49 CFR 571.138 S4.2(a)."""


class TelltaleTire(StrEnum):
    """The types of tires in table 1 of 49 CFR 571.138."""

    P_METRIC_STANDARD_LOAD = "p_metric_standard_load"
    P_METRIC_EXTRA_LOAD = "p_metric_extra_load"
    LOAD_RANGE_C = "load_range_c"
    LOAD_RANGE_D = "load_range_d"
    LOAD_RANGE_E = "load_range_e"


TELLTALE_FLOORS_PA: Final = {
    TelltaleTire.P_METRIC_STANDARD_LOAD: 140 * KILOPASCAL_PA,
    TelltaleTire.P_METRIC_EXTRA_LOAD: 160 * KILOPASCAL_PA,
    TelltaleTire.LOAD_RANGE_C: 200 * KILOPASCAL_PA,
    TelltaleTire.LOAD_RANGE_D: 260 * KILOPASCAL_PA,
    TelltaleTire.LOAD_RANGE_E: 320 * KILOPASCAL_PA,
}
"""Minimum activation pressure [Pa, gauge] by type of tire; 49 CFR 571.138, table 1, third column, from memory."""


class NoTelltale(StrEnum):
    """Why the regulation asks for no telltale, or its threshold is not known."""

    TRAILER = "trailer"
    ABOVE_LIGHT_VEHICLE = "above_light_vehicle"
    DUAL_WHEELS = "dual_wheels"
    BUILT_BEFORE = "built_before"
    NO_LABEL = "no_label"


class Telltale(Struct, frozen=True):
    """The gauge pressure [Pa] at which a vehicle's own low-pressure telltale must light at the latest.

    ``floor_pa`` is the table's minimum for the type of tire, None where that was not given: the threshold is then only
    a lower bound. ``is_below_least`` says whether it may light only after the tire has less than its load needs;
    None where that is not known. ``is_required`` is None where it is not known when the vehicle was built.
    """

    is_required: bool | None = None
    threshold_pa: float | None = None
    floor_pa: float | None = None
    is_below_least: bool | None = None
    is_above_label: bool = False
    because: NoTelltale | None = None


def telltale(
    label_pa: float | None,
    *,
    is_trailer: bool,
    gvwr_kg: float,
    has_dual_wheels: bool,
    built_since_2007: bool | None = None,
    tire: TelltaleTire | None = None,
    least_pa: float | None = None,
) -> Telltale:
    """Return the threshold of the low-pressure telltale that a vehicle must have.

    Parameters
    ----------
    label_pa : float or None
        Cold pressure on the vehicle's label for the axle [Pa, gauge], above 0.
    is_trailer : bool
        Trailers are not covered.
    gvwr_kg : float
        Gross vehicle weight rating [kg], above 0.
    has_dual_wheels : bool
        Whether any axle of the vehicle has dual wheels: then none of its axles is covered.
    built_since_2007 : bool or None
        Whether it was built on 1 September 2007 or later; None where that is not known.
    tire : TelltaleTire or None
        Type of tire, None where it is not known.
    least_pa : float or None
        Least cold pressure for the load [Pa, gauge].

    Returns
    -------
    Telltale
        The higher of 25 % below the label and the table's minimum.

    Raises
    ------
    OutOfRange
        If rating or label is not above 0 and finite.

    Notes
    -----
    Source: 49 CFR 571.138 S2 (passenger cars, multipurpose passenger vehicles, trucks and buses of up to
    4,536 kg (10,000 lb), except those with dual wheels on an axle), S4.2(a) and table 1; of all vehicles built since
    1 September 2007 (S7, from memory). It may take 20 minutes.

    Examples
    --------
    >>> telltale(344_738.0, is_trailer=False, gvwr_kg=4_000.0, has_dual_wheels=False,
    ...     tire=TelltaleTire.LOAD_RANGE_E).threshold_pa
    320000.0

    """
    for field, value in (("gvwr_kg", gvwr_kg), ("label_pa", label_pa)):
        if value is not None and not 0 < value < inf:
            raise OutOfRange(f"{field}_out_of_range", field, f"{field} is {value}: it must be above 0 and finite.")
    for applies, because in (
        (is_trailer, NoTelltale.TRAILER),
        (exceeds(gvwr_kg, LIGHT_VEHICLE_KG), NoTelltale.ABOVE_LIGHT_VEHICLE),
        (has_dual_wheels, NoTelltale.DUAL_WHEELS),
        (built_since_2007 is False, NoTelltale.BUILT_BEFORE),
    ):
        if applies:
            return Telltale(is_required=False, because=because)
    if label_pa is None:
        return Telltale(built_since_2007, because=NoTelltale.NO_LABEL)
    floor_pa = None if tire is None else TELLTALE_FLOORS_PA[tire]
    threshold_pa = max(TELLTALE_SHARE * label_pa, floor_pa or 0.0)
    is_below_least = None if least_pa is None else exceeds(least_pa, threshold_pa)
    if tire is None and is_below_least:
        is_below_least = None
    return Telltale(built_since_2007, threshold_pa, floor_pa, is_below_least, exceeds(threshold_pa, label_pa))
