"""What a schedule will tell of loads, before anyone drives: the doubt that its readings leave."""

from collections.abc import Iterable, Mapping, Sequence
from math import sqrt

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray

from axlewright.core.estimates import Columns
from axlewright.core.rig import Axle, Rig, Vehicle
from axlewright.core.scales import Placement
from axlewright.core.sessions.adjustment import inverse_of
from axlewright.core.sessions.covariance import covariance_of
from axlewright.core.sessions.layout import independent_parts
from axlewright.core.sessions.passes import Reading, WeighSession
from axlewright.core.sessions.plan_question import PlanQuestion
from axlewright.core.sessions.plan_reach import expected_readings
from axlewright.core.sessions.schedule import are_checked
from axlewright.core.sessions.standing import Standing, Train, in_state

Matrix = NDArray[np.float64]


class Doubts(Struct, frozen=True):
    """Works out doubts for a question, on a rig whose vehicles stand there once for each coupling state."""

    question: PlanQuestion
    rig: Rig

    @classmethod
    def of(cls, question: PlanQuestion, trains: Iterable[Train]) -> "Doubts":
        """Return those for what drives onto the scale."""
        vehicles = {vehicle.name: vehicle for vehicle in question.rig.vehicles}
        apart = (_in_state(vehicles[name], train) for train in trains for name in train.vehicles)
        return cls(question, Rig(question.rig.name, tuple(apart)))

    def us_kg(self, passes: Sequence[Standing], sums: Sequence[Mapping[str, float]]) -> list[float]:
        """Return the standard uncertainty [kg] of sums that the passes make known, as a reconciliation would."""
        session = self.session(passes)
        columns, design = self._design(session)
        covariance = covariance_of(session, self.rig, columns, design)
        gain = np.zeros((len(columns.names), len(session.readings)))
        for rows, own in independent_parts(design):
            inverse = inverse_of(design[np.ix_(rows, own)], covariance[np.ix_(rows, rows)])
            gain[np.ix_(own, rows)] = inverse.gain
        weights = np.array([columns.row(each) for each in sums]) @ gain
        variances = np.einsum("ki,ij,kj->k", weights, covariance, weights)
        return [sqrt(max(variance, 0.0)) for variance in variances.tolist()]

    def are_checked(self, passes: Sequence[Standing], sums: Sequence[Mapping[str, float]]) -> list[bool]:
        """Return of sums that the passes make known whether a slip in any one reading would show."""
        columns, design = self._design(self.session(passes))
        return are_checked(design, np.array([columns.row(each) for each in sums]))

    def session(self, passes: Sequence[Standing]) -> WeighSession:
        """Return the session that passes are expected to be."""
        readings = tuple(
            Reading(str(number), platform, value_kg, wheels)
            for number, way in enumerate(passes)
            for (platform, wheels), value_kg in zip(way.rows, expected_readings(self.question, way), strict=True)
        )
        return WeighSession(readings, self.question.site.tolerance, Placement())

    def _design(self, session: WeighSession) -> tuple[Columns, Matrix]:
        columns = Columns.of_wheel_ends(self.rig.load_names(), ())
        return columns, np.array([columns.row(dict.fromkeys(reading.wheels, 1.0)) for reading in session.readings])


def _in_state(vehicle: Vehicle, train: Train) -> Vehicle:
    """Return a vehicle with its coupling state before every name by which loads go."""

    def named(axle: Axle) -> Axle:
        left, right = (structs.replace(end, name=in_state(train.state, end.name)) for end in axle.wheel_ends)
        return structs.replace(axle, name=in_state(train.state, axle.name), left=left, right=right)

    return structs.replace(
        vehicle,
        name=in_state(train.state, vehicle.name),
        axles=tuple(named(axle) for axle in vehicle.axles),
        coupling=in_state(train.state, vehicle.coupling),
    )
