"""Estimates of what a tire carries at less than its reference pressure, where no table is at hand."""

from functools import lru_cache
from math import inf
from types import MappingProxyType
from typing import Final

from axlewright.core.errors import CoreError, OutOfRange
from axlewright.core.tires.family import Family
from axlewright.core.units import exceeds

EXPONENT: Final = MappingProxyType(
    {
        Family.P_METRIC: 0.60,
        Family.PASSENGER_METRIC: 0.80,
        Family.LT_RADIAL: 0.70,
        Family.LT_BIAS: 0.585,
        Family.FLOTATION: 0.70,
        Family.SPECIAL_TRAILER: 0.585,
        Family.COMMERCIAL: 0.80,
        Family.CAMPER: 0.80,
        Family.TRUCK_RADIAL: 0.70,
        Family.TRUCK_BIAS: 0.585,
    }
)
"""Exponent n [1] of load with gauge pressure by family of tire; a temporary tire has none.

- P-metric, 0.60, judgement between two published laws, so that with the 0.97 the estimate lies above neither:
  0.50, the Tire and Rim Association's passenger formula L = 6.67e-5 P^0.5 Sd^1.39 (Dr + Sd), as printed in an
  engineering forum's answers collection, faq108-1148 (2005); 0.65, load index charts referenced to 240 kPa.
- Passenger metric, 0.80: the load index table by inflation pressure of the European Tyre and Rim Technical
  Organisation, as printed in "Automotive Engineering: Powertrain, Chassis System and Vehicle Body"
  (ed. D. A. Crolla, 2009, editor and year from memory), chapter 10. Charts referenced to 240 kPa follow 0.65; the
  larger exponent gives the lower load and so the higher pressure.
- LT radial, 0.70: fits the load/inflation rows of LT235/85R16 load range E in a 1990 motorhome
  specifications manual within 0.8 %.
- Flotation, 0.70: fits the rows of 31x10.50R15LT load range C in a trade flotation chart within 0.5 %. A bias
  flotation tire takes it too: the lower load of the two.
- Truck radial, 0.70: fits the rows of 295/75R22.5 load range G in a trade magazine's worked example, and of
  225/70R19.5 and 8R19.5 in a tire engineer's published answers.
- LT bias and truck bias, 0.585: fits the rows of 7.50-16LT in the General Motors motorhome chassis manual
  (1990 printing) within 0.6 %.
- Special trailer, radial or bias, 0.585: fits seven sizes of a maker's special-trailer chart within 1.4 %.
- Commercial (C) and camper (CP), 0.80: the rows of 205/65R15C in the Michelin RV tire guide.
"""

ESTIMATED_FAMILIES: Final = frozenset(EXPONENT)
"""The families for which an estimate exists."""

LOWEST_PRESSURE_SHARE: Final = 0.6
"""Least share [1] of the reference pressure for which an estimate is given (judgement).

The published rows that the exponents were checked against thin out below it.
"""

CAUTION_SHARE: Final = 0.97
"""Share [1] of the law's load that an estimate promises (judgement).

With it no published row seen, rounded as published, lies below the estimate.
"""


def estimated_load_kg(
    family: Family, reference_load_kg: float, reference_pressure_pa: float, pressure_pa: float
) -> float:
    """Return a cautious estimate of what a tire carries at a pressure.

    Parameters
    ----------
    family : Family
        Family of the tire's designation; a temporary tire has no estimate.
    reference_load_kg : float
        Most load as marked [kg], single or dual as fitted, above 0.
    reference_pressure_pa : float
        Cold gauge pressure marked with that load [Pa], above 0.
    pressure_pa : float
        Cold gauge pressure in question [Pa], 0.6 to 1 of the reference pressure.

    Returns
    -------
    float
        Load of one tire [kg]. At the reference pressure itself the marked load governs, not this.

    Raises
    ------
    OutOfRange
        If a reference is not above 0 and finite, or the pressure lies outside its span.
    CoreError
        If the family has no estimate.

    Notes
    -----
    L = 0.97 L_ref (P/P_ref)^n with n of `EXPONENT`.

    Examples
    --------
    >>> round(estimated_load_kg(Family.LT_RADIAL, 1380.0, 550_000.0, 440_000.0), 1)
    1145.0

    """
    exponent = _exponent(family)
    _require_positive("reference_load_kg", reference_load_kg)
    _require_positive("reference_pressure_pa", reference_pressure_pa)
    lowest_pa = LOWEST_PRESSURE_SHARE * reference_pressure_pa
    _require_within("pressure_pa", pressure_pa, lowest_pa, reference_pressure_pa, "Pa")
    return float(CAUTION_SHARE * reference_load_kg * (pressure_pa / reference_pressure_pa) ** exponent)


@lru_cache(maxsize=1024)
def lowest_estimated_load_kg(family: Family, reference_load_kg: float, reference_pressure_pa: float) -> float:
    """Return the estimate [kg] at the least pressure for which there is one; raises as `estimated_load_kg` does.

    >>> round(lowest_estimated_load_kg(Family.LT_RADIAL, 1380.0, 550_000.0), 1)
    936.2
    """
    lowest_pa = LOWEST_PRESSURE_SHARE * reference_pressure_pa
    return estimated_load_kg(family, reference_load_kg, reference_pressure_pa, lowest_pa)


def estimated_pressure_pa(
    family: Family, reference_load_kg: float, reference_pressure_pa: float, load_kg: float
) -> float:
    """Return the pressure at which a tire carries a load by the cautious estimate.

    Parameters
    ----------
    family : Family
        Family of the tire's designation; a temporary tire has no estimate.
    reference_load_kg : float
        Most load as marked [kg], single or dual as fitted, above 0.
    reference_pressure_pa : float
        Cold gauge pressure marked with that load [Pa], above 0.
    load_kg : float
        Load of one tire [kg], between the estimates at 0.6 and 1 of the reference pressure.

    Returns
    -------
    float
        Cold gauge pressure [Pa], 0.6 to 1 of the reference pressure.

    Raises
    ------
    OutOfRange
        If a reference is not above 0 and finite, or the load lies outside its span.
    CoreError
        If the family has no estimate.

    Notes
    -----
    P = P_ref (L/(0.97 L_ref))^(1/n) with n of `EXPONENT`, the inverse of `estimated_load_kg`.

    Examples
    --------
    >>> round(estimated_pressure_pa(Family.LT_RADIAL, 1380.0, 550_000.0, 1145.0))
    439988

    """
    lowest_kg = lowest_estimated_load_kg(family, reference_load_kg, reference_pressure_pa)
    highest_kg = CAUTION_SHARE * reference_load_kg
    _require_within("load_kg", load_kg, lowest_kg, highest_kg, "kg")
    return float(reference_pressure_pa * (load_kg / highest_kg) ** (1 / _exponent(family)))


def _exponent(family: Family) -> float:
    if family not in EXPONENT:
        raise CoreError(
            "no_estimate_for_family",
            "family",
            f"No load/pressure law is published for the family {family.value}: use the tire maker's table.",
        )
    return EXPONENT[family]


def _require_positive(field: str, value: float) -> None:
    if not 0 < value < inf:
        raise OutOfRange(f"{field}_out_of_range", field, f"{field} is {value}: it must be above 0 and finite.")


def _require_within(field: str, value: float, lowest: float, highest: float, unit: str) -> None:
    if not 0 < value < inf or exceeds(lowest, value) or exceeds(value, highest):
        raise OutOfRange(
            f"{field}_out_of_range",
            field,
            f"{field} is {value} {unit}: an estimate is given from {lowest} to {highest} {unit} only; "
            "use the tire maker's table.",
        )
