"""The covariance of a session's readings: a diagonal, and blocks for the errors that readings share."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from axlewright.core.estimates import VISIBLE, Columns
from axlewright.core.rig import Rig
from axlewright.core.scales import reading_error
from axlewright.core.sessions.adjustment import adjust
from axlewright.core.sessions.passes import (
    Reading,
    WeighSession,
    half_weighed_axles,
    is_raised,
    spots,
)

Matrix = NDArray[np.float64]


def covariance_of(session: WeighSession, rig: Rig, columns: Columns, design: Matrix) -> Matrix:
    """Return the covariance [kg2] (n, n) of a session's readings: scale, placement, and wheels off the plate's level.

    Parameters
    ----------
    columns, design
        The unknowns (m) and A (n, m), from which the load of a half-weighed axle is first estimated.
    """
    covariance = _scale_covariance(session)
    places = spots(rig, frozenset(wheel for reading in session.readings for wheel in reading.wheels))
    values = np.array([reading.value_kg for reading in session.readings])
    half_weighed = half_weighed_axles(session, places)
    if any(half_weighed):
        hanging_u = session.placement.hanging_side_share * _half_weighed_loads(
            half_weighed, columns, design, values, covariance
        )
        covariance += np.outer(hanging_u, hanging_u)
    raised_u = session.placement.raised_pad_share * values * is_raised(session, rig, places)
    _add_common(covariance, session.readings, lambda reading: reading.platform.name, raised_u)
    return covariance


def _half_weighed_loads(
    half_weighed: list[frozenset[str]], columns: Columns, design: Matrix, values: Matrix, covariance: Matrix
) -> Matrix:
    """Return for each reading the load [kg] of the axles of which it has one side only, 0 where there are none.

    An axle's load is its own reading (the mean of several), else the least-squares estimate without this error,
    else taken as twice what was read on its side.
    """
    rows = {axle: columns.row({f"{axle}.left": 1.0, f"{axle}.right": 1.0}) for axle in frozenset().union(*half_weighed)}
    loads: dict[str, float] = {}
    first = None
    for axle, row in rows.items():
        own = values[(design == row).all(axis=1)]
        if own.size:
            loads[axle] = float(own.mean())
            continue
        first = first or adjust(design, values, covariance)
        if not np.any(np.abs(row @ first.unobserved) > VISIBLE):
            loads[axle] = float(row @ first.solution)
    return np.array(
        [
            sum(loads[axle] for axle in axles) if loads.keys() >= axles else 2.0 * values[row]
            for row, axles in enumerate(half_weighed)
        ]
    )


def _scale_covariance(session: WeighSession) -> Matrix:
    """Return the covariance [kg2] (n, n) of what scale and stand alone put into the readings.

    A rectangular error of half-width h has the variance h^2/3 (JCGM 100:2008, 4.3.7). The span error is one
    for all readings of a platform; the rest of the tolerance one for its readings of the same wheels, so that
    repeating a reading does not average it away.
    """
    largest: dict[str, float] = defaultdict(float)
    for reading in session.readings:
        largest[reading.platform.name] = max(largest[reading.platform.name], reading.value_kg)
    slopes = {
        reading.platform.name: session.tolerance.slope(largest[reading.platform.name], reading.platform.division_kg)
        for reading in session.readings
    }
    errors = [
        reading_error(
            reading.value_kg,
            reading.platform.division_kg,
            session.tolerance,
            slopes[reading.platform.name],
            session.placement,
        )
        for reading in session.readings
    ]
    covariance = np.diag([error.independent_u**2 for error in errors])
    span_u = np.array([error.span_half_width for error in errors]) / sqrt(3)
    rest_u = np.array([error.rest_half_width for error in errors]) / sqrt(3)
    _add_common(covariance, session.readings, lambda reading: reading.platform.name, span_u)
    _add_common(covariance, session.readings, lambda reading: (reading.platform.name, reading.wheels), rest_u)
    return covariance


def _add_common(
    covariance: Matrix,
    readings: Iterable[Reading],
    key: Callable[[Reading], Hashable],
    us: Matrix,
) -> None:
    """Add one error common to all readings of the same key, with its standard uncertainty [kg] in each (n)."""
    sharers: dict[Hashable, list[int]] = defaultdict(list)
    for row, reading in enumerate(readings):
        sharers[key(reading)].append(row)
    for rows in sharers.values():
        covariance[np.ix_(rows, rows)] += np.outer(us[rows], us[rows])
