"""The covariance of a session's readings: a diagonal, and blocks for the errors that readings share."""

from collections import defaultdict
from collections.abc import Hashable, Sequence
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from axlewright.core.estimates import VISIBLE, Columns
from axlewright.core.rig import CouplingState, Rig
from axlewright.core.scales import reading_error
from axlewright.core.sessions.adjustment import inverse_of
from axlewright.core.sessions.passes import LoadNames, WeighSession, half_weighed_axles, is_raised, spots

Matrix = NDArray[np.float64]


def covariance_of(session: WeighSession, rig: Rig, columns: Columns, design: Matrix) -> Matrix:
    """Return the covariance [kg2] (n, n) of a session's readings: scale, placement, and wheels off the plate's level.

    Parameters
    ----------
    columns, design
        The unknowns (m) and A (n, m), from which the load of a half-weighed axle is first estimated.
    """
    names = LoadNames.of(rig)
    covariance = _scale_covariance(session)
    places = spots(rig, frozenset(wheel for reading in session.readings for wheel in reading.wheels))
    values = np.array([reading.value_kg for reading in session.readings])
    half_weighed = half_weighed_axles(session, places)
    if any(half_weighed):
        states = [reading.state for reading in session.readings]
        standing = [
            frozenset((axle, state) for axle in axles) for axles, state in zip(half_weighed, states, strict=True)
        ]
        hanging_u = session.placement.hanging_side_share * _half_weighed_loads(
            standing, names, columns, design, values, covariance
        )
        covariance += _common(hanging_u) * _alike([reading.scale for reading in session.readings])
    raised = is_raised(session, rig, places)
    if any(raised):
        raised_u = session.placement.raised_pad_share * values * raised
        covariance += _common(raised_u) * _alike([reading.platform.errors_of for reading in session.readings])
    return covariance


def _half_weighed_loads(
    half_weighed: list[frozenset[tuple[str, CouplingState]]],
    names: LoadNames,
    columns: Columns,
    design: Matrix,
    values: Matrix,
    covariance: Matrix,
) -> Matrix:
    """Return for each reading the load [kg], in its state, of the axles of which it has one side only; 0 for none.

    An axle's load is its own reading (the mean of several), else the least-squares estimate without this error,
    else taken as twice what was read on its side.
    """
    read = design.tolist()
    loads: dict[tuple[str, CouplingState], float] = {}
    first = None
    for axle, state in frozenset().union(*half_weighed):
        row = columns.row(dict.fromkeys(names.names((f"{axle}.left", f"{axle}.right"), state), 1.0))
        wanted = row.tolist()
        own = [value for value, each in zip(values.tolist(), read, strict=True) if each == wanted]
        if own:
            loads[axle, state] = sum(own) / len(own)
            continue
        first = first or inverse_of(design, covariance)
        if not np.any(np.abs(row @ first.unobserved) > VISIBLE):
            loads[axle, state] = float(row @ (first.gain @ values))
    return np.array(
        [
            sum(loads[axle] for axle in axles) if loads.keys() >= axles else 2.0 * values[row]
            for row, axles in enumerate(half_weighed)
        ]
    )


def _scale_covariance(session: WeighSession) -> Matrix:
    """Return the covariance [kg2] (n, n) of what scale and stand alone put into the readings.

    A rectangular error of half-width h has the variance h^2/3 (JCGM 100:2008, 4.3.7). The span error is one
    for all readings of a platform; the rest of the tolerance one for its readings of the same wheels, in whichever
    coupling state, so that repeating a reading does not average it away.
    """
    largest: dict[str, float] = defaultdict(float)
    for reading in session.readings:
        largest[reading.platform.name] = max(largest[reading.platform.name], reading.value_kg)
    slopes = {
        platform: session.tolerance_of(platform).slope(largest[platform.name], platform.division_kg)
        for platform in {reading.platform for reading in session.readings}
    }
    errors = [
        reading_error(
            reading.value_kg,
            reading.platform.division_kg,
            session.tolerance_of(reading.platform),
            slopes[reading.platform],
            session.placement,
        )
        for reading in session.readings
    ]
    span_u = np.array([error.span_half_width for error in errors]) / sqrt(3)
    rest_u = np.array([error.rest_half_width for error in errors]) / sqrt(3)
    covariance = np.diag([error.independent_u**2 for error in errors])
    covariance += _common(span_u) * _alike([reading.platform.errors_of for reading in session.readings])
    covariance += _common(rest_u) * _alike(
        [(reading.platform.errors_of, reading.wheels) for reading in session.readings]
    )
    return covariance


def _common(us: Matrix) -> Matrix:
    """Return the covariance (n, n) of one error common to all readings, with its standard uncertainty in each (n)."""
    return us[:, np.newaxis] * us


def _alike(keys: Sequence[Hashable]) -> NDArray[np.bool_]:
    """Return for each two readings (n, n) whether their keys are the same."""
    numbers: dict[Hashable, int] = {}
    numbered = np.array([numbers.setdefault(key, len(numbers)) for key in keys])
    alike: NDArray[np.bool_] = numbered[:, np.newaxis] == numbered
    return alike
