"""A vehicle's roll shares and stiffnesses, from two weighs between which a known shift lies.

Source: generalised least squares (Gauss-Newton where the model is not linear) with the covariance of the errors, and
the global test of its residuals against chi-squared; statics as in `axlewright.core.loads.statics`.

The loads differ by what statics makes of the shift. Roll shares enter it linearly and are fitted as they are; ratios of
stiffness are fitted in their logarithms. A motor vehicle on three supports has two ratios, and one shift gives one
equation for them: only a trailer's can be told apart.
"""

from collections.abc import Sequence
from enum import StrEnum
from math import sqrt
from typing import Final

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray

from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.loads.aboard import Move, Spot
from axlewright.core.loads.changes import added
from axlewright.core.loads.shift_fit import WIDEST, Agreement, Differences, Fit, fitted
from axlewright.core.loads.statics import STIFFNESS_DOUBT, Statics, supports_of, vehicle_statics
from axlewright.core.rig import Stated, Vehicle

Matrix = NDArray[np.float64]

MOST_SHARE_U: Final = 0.1
"""Standard uncertainty of a roll share beyond which the fit tells no more than the default does; judgement."""
MOST_STIFFNESS_U: Final = STIFFNESS_DOUBT
"""The same of a ratio of stiffnesses, as a share of it; judgement."""
NO_MOMENT_KG_M: Final = 1e-6
"""A smaller moment [kg m] is rounding."""


class NotDetermined(StrEnum):
    """Why a parameter is not told."""

    WHEEL_ENDS_UNKNOWN = "wheel_ends_unknown"
    DOUBT_UNSTATED = "doubt_unstated"
    CROSS_CHECK_FAILED = "cross_check_failed"
    NO_SHIFT = "no_shift"
    NO_ROLL_MOMENT = "no_roll_moment"
    NOT_SEPARATED = "not_separated"
    TOO_DOUBTFUL = "too_doubtful"
    BEYOND_RANGE = "beyond_range"
    DISAGREES = "disagrees"
    NOT_NEEDED = "not_needed"


class Calibration(Struct, frozen=True):
    """What two weighs tell of a vehicle, by axle name as `Vehicle` takes it, or why they do not.

    Attributes
    ----------
    roll_shares
        Each axle's share of the roll moment; they add up to 1, so that their errors are not independent.
    stiffnesses
        Vertical stiffness of each axle against that of the first, which is 1.
    agreement
        How the loads fit the shift; None where nothing was fitted.
    """

    roll_shares: dict[str, Stated] | NotDetermined
    stiffnesses: dict[str, Stated] | NotDetermined
    agreement: Agreement | None = None


def calibrate(
    vehicle: Vehicle, before: LoadEstimates, after: LoadEstimates, moves: Sequence[Move], significance: float
) -> Calibration:
    """Return the roll shares and stiffnesses that a shift between two weighs shows.

    Parameters
    ----------
    vehicle
        What it states of its own roll shares and stiffnesses is not used.
    before, after
        The two weighs; their errors count as independent.
    moves
        What was otherwise at the second weigh than at the first: all of it.
    significance
        Probability below which the residuals count as a contradiction, and nothing is told.

    Raises
    ------
    CoreError
        As `vehicle_statics`.
    """
    own = [each for move in moves if (each := _on_vehicle(move, vehicle)) is not None]
    reason = _unusable(vehicle, before) or _unusable(vehicle, after) or (None if own else NotDetermined.NO_SHIFT)
    if reason is not None:
        return Calibration(reason, reason if _has_ratios(vehicle) else NotDetermined.NOT_NEEDED)
    differences, rows = _differences(vehicle, before, after)
    # A point that carries mass, and its moments, in place of the loads: statics are linear in them.
    point = Statics(np.eye(3), {}, ())
    shift = added([move.change({vehicle.name: point}) for move in own], 3)
    errors = sum((np.outer(each, each) for each in shift.effects.values()), np.zeros((3, 3)))

    def per_mass(values: Matrix) -> Matrix:
        return rows @ vehicle_statics(_with_parameters(vehicle, values), before.columns, before).per_mass

    fit = fitted(per_mass, differences, shift.loads, errors, _defaults(vehicle), len(vehicle.axles) - 1)
    shares, stiffnesses = _roll_shares(vehicle, fit, float(shift.loads[2])), _stiffnesses(vehicle, fit)
    if fit.agreement.probability < significance:
        shares = NotDetermined.DISAGREES
        stiffnesses = stiffnesses if stiffnesses is NotDetermined.NOT_NEEDED else NotDetermined.DISAGREES
    return Calibration(shares, stiffnesses, fit.agreement)


def _on_vehicle(move: Move, vehicle: Vehicle) -> Move | None:
    """Return what a move does on one vehicle of the rig, None where that is nothing."""

    def here(spot: Spot | None) -> Spot | None:
        return spot if spot is not None and spot.vehicle == vehicle.name else None

    own = structs.replace(move, comes_from=here(move.comes_from), goes_to=here(move.goes_to))
    return None if own.comes_from is None and own.goes_to is None else own


def _unusable(vehicle: Vehicle, estimates: LoadEstimates) -> NotDetermined | None:
    """Return why the loads of a vehicle's wheel ends cannot be fitted, None where they can."""
    loads = [estimates.known({name: 1.0}) for name in vehicle.sum_of]
    if any(isinstance(load, UnknownBecause) for load in loads):
        return NotDetermined.WHEEL_ENDS_UNKNOWN
    if any(isinstance(load, Estimate) and load.provisional for load in loads):
        return NotDetermined.CROSS_CHECK_FAILED
    if any(isinstance(load, Estimate) and load.u is None for load in loads):
        return NotDetermined.DOUBT_UNSTATED
    return None


def _differences(vehicle: Vehicle, before: LoadEstimates, after: LoadEstimates) -> tuple[Differences, Matrix]:
    """Return what changed at the wheel ends (n), and the rows (n, m) that pick them from the loads of the first."""
    rows, rows_after = (np.array([each.columns.row({n: 1.0}) for n in vehicle.sum_of]) for each in (before, after))
    difference = rows_after @ np.array(after.joint.loads) - rows @ np.array(before.joint.loads)
    covariance = rows @ np.array(before.joint.covariance) @ rows.T
    covariance = covariance + rows_after @ np.array(after.joint.covariance) @ rows_after.T
    return Differences(difference, covariance), rows


def _has_ratios(vehicle: Vehicle) -> bool:
    """Return whether equilibrium leaves open how the supports share; a trailer's coupling is one of them."""
    return len(supports_of(vehicle)) + vehicle.is_trailer > 2


def _defaults(vehicle: Vehicle) -> Matrix:
    """Return where the fit starts: the roll shares of all axles but the first, then the logarithms of ratios, 0."""
    rolls = np.array([axle.gawr_kg * axle.track_m**2 for axle in vehicle.axles])
    ratios = len(supports_of(vehicle)) - 1 if _has_ratios(vehicle) else 0
    return np.concatenate([rolls[1:] / rolls.sum(), np.zeros(ratios)])


def _split(vehicle: Vehicle, values: Matrix) -> tuple[Matrix, Matrix]:
    """Return the roll shares of all axles, and the logarithms, against the defaults, of all supports' stiffnesses."""
    count = len(vehicle.axles) - 1
    shares = np.concatenate([[1.0 - values[:count].sum()], values[:count]])
    return shares, np.concatenate([[0.0], values[count:]])


def _with_parameters(vehicle: Vehicle, values: Matrix) -> Vehicle:
    """Return the vehicle with parameters stated as exact."""
    shares, logarithms = _split(vehicle, values)
    return structs.replace(
        vehicle,
        roll_shares={axle.name: Stated(float(share)) for axle, share in zip(vehicle.axles, shares, strict=True)},
        stiffnesses={name: Stated(value) for name, value in _axle_stiffnesses(vehicle, logarithms).items()},
    )


def _axle_stiffnesses(vehicle: Vehicle, logarithms: Matrix) -> dict[str, float]:
    """Return each axle's stiffness against the first one's; within a group they go by rating."""
    factors = np.exp(logarithms)
    supports = supports_of(vehicle)
    first_kg = vehicle.axles[0].gawr_kg
    # Where two supports carry all, there is one logarithm only, and stiffness matters to nothing.
    scaled = zip(supports, np.resize(factors, len(supports)), strict=True)
    return {axle.name: float(factor) * axle.gawr_kg / first_kg for axles, factor in scaled for axle in axles}


def _roll_shares(vehicle: Vehicle, fit: Fit, moment_kg_m: float) -> dict[str, Stated] | NotDetermined:
    """Return the share of every axle; the first one's follows from the others."""
    count = len(vehicle.axles) - 1
    if count and abs(moment_kg_m) < NO_MOMENT_KG_M:
        return NotDetermined.NO_ROLL_MOMENT
    covariance = fit.covariance[:count, :count]
    us = np.sqrt(np.concatenate([[covariance.sum()], np.diag(covariance)]).clip(0.0))
    if not fit.seen[:count].all() or us.max() > MOST_SHARE_U:
        return NotDetermined.TOO_DOUBTFUL
    shares, _ = _split(vehicle, fit.values)
    if not fit.settled or shares.min() <= 0.0:
        return NotDetermined.BEYOND_RANGE
    return _stated(vehicle, shares, us)


def _stiffnesses(vehicle: Vehicle, fit: Fit) -> dict[str, Stated] | NotDetermined:
    """Return the stiffness of every axle; of a group each has more doubt than all of it together."""
    if not _has_ratios(vehicle):
        return NotDetermined.NOT_NEEDED
    count = len(vehicle.axles) - 1
    us = np.sqrt(np.concatenate([[0.0], np.diag(fit.covariance)[count:]]).clip(0.0))
    _, logarithms = _split(vehicle, fit.values)
    if not fit.seen[count:].all():
        return NotDetermined.NOT_SEPARATED
    if us.max() > MOST_STIFFNESS_U:
        return NotDetermined.TOO_DOUBTFUL
    if not fit.settled or np.abs(logarithms).max() >= WIDEST:
        return NotDetermined.BEYOND_RANGE
    values = _axle_stiffnesses(vehicle, logarithms)
    relative_us = {
        axle.name: float(u) * _spread_over([each.gawr_kg for each in axles])
        for axles, u in zip(supports_of(vehicle), us, strict=True)
        for axle in axles
    }
    return {name: Stated(value, value * relative_us[name]) for name, value in values.items()}


def _spread_over(weights: Sequence[float]) -> float:
    """Return how much larger the relative doubt of each part is than that of their sum, their errors independent."""
    return sum(weights) / sqrt(sum(weight**2 for weight in weights))


def _stated(vehicle: Vehicle, values: Matrix, us: Matrix) -> dict[str, Stated]:
    return {axle.name: Stated(float(value), float(u)) for axle, value, u in zip(vehicle.axles, values, us, strict=True)}
