"""What a schedule will tell of loads, before anyone drives: the doubt that its readings leave."""

from collections.abc import Iterable, Mapping, Sequence
from math import sqrt

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.estimates import Columns
from axlewright.core.scales import Placement
from axlewright.core.sessions.adjustment import inverse_of
from axlewright.core.sessions.covariance import covariance_of
from axlewright.core.sessions.layout import independent_parts
from axlewright.core.sessions.passes import LoadNames, Reading, WeighSession
from axlewright.core.sessions.plan_question import PlanQuestion
from axlewright.core.sessions.plan_reach import expected_readings
from axlewright.core.sessions.schedule import are_checked
from axlewright.core.sessions.standing import Standing
from axlewright.core.sessions.ties import EXACT_U_SHARE, TieKind, ties_of
from axlewright.core.sessions.train import Train, out_of_state, state_of

Matrix = NDArray[np.float64]


class Doubts(Struct, frozen=True):
    """Works out doubts for a question, by the unknowns of a session in all coupling states of its passes."""

    question: PlanQuestion
    names: LoadNames
    columns: Columns

    @classmethod
    def of(cls, question: PlanQuestion, trains: Iterable[Train]) -> "Doubts":
        """Return those for what drives onto the scale."""
        names = LoadNames.of(question.rig)
        alone = list(question.rig.load_names())
        read = {names.name(out_of_state(wheel), train.state) for train in trains for wheel in train.wheels}
        return cls(question, names, Columns.of_wheel_ends((*alone, *sorted(read.difference(alone))), ()))

    def us_kg(self, passes: Sequence[Standing], sums: Sequence[Mapping[str, float]]) -> list[float]:
        """Return the standard uncertainty [kg] of sums that the passes make known, as a reconciliation would."""
        session = self.session(passes)
        design = self.design(session)
        covariance = covariance_of(session, self.question.rig, self.columns, design)
        ties = [tie for tie in ties_of(self.question.rig, session) if tie.kind is TieKind.WEIGHT]
        if ties:
            exact = EXACT_U_SHARE**2 * covariance.diagonal().max() * np.eye(len(ties))
            apart = np.zeros((len(design), len(ties)))
            design = np.vstack([design, *(self.columns.row(dict(tie.weights)) for tie in ties)])
            covariance = np.block([[covariance, apart], [apart.T, exact]])
        gain = np.zeros(design.T.shape)
        for rows, own in independent_parts(design):
            inverse = inverse_of(design[np.ix_(rows, own)], covariance[np.ix_(rows, rows)])
            gain[np.ix_(own, rows)] = inverse.gain
        weights = np.array([self.row(each) for each in sums]) @ gain
        variances = np.einsum("ki,ij,kj->k", weights, covariance, weights)
        return [sqrt(max(variance, 0.0)) for variance in variances.tolist()]

    def are_checked(self, passes: Sequence[Standing], sums: Sequence[Mapping[str, float]]) -> list[bool]:
        """Return of sums that the passes make known whether a slip in any one reading would show."""
        return are_checked(self.design(self.session(passes)), np.array([self.row(each) for each in sums]))

    def session(self, passes: Sequence[Standing]) -> WeighSession:
        """Return the session that passes are expected to be."""
        readings = tuple(
            Reading(str(number), platform, value_kg, frozenset(map(out_of_state, wheels)), way.train.state)
            for number, way in enumerate(passes)
            for (platform, wheels), value_kg in zip(way.rows, expected_readings(self.question, way), strict=True)
        )
        return WeighSession(readings, self.question.site.tolerance, Placement())

    def design(self, session: WeighSession) -> Matrix:
        """Return which unknowns (m) each reading is the sum of (n, m)."""
        loads = (self.names.names(reading.wheels, reading.state) for reading in session.readings)
        return np.array([self.columns.row(dict.fromkeys(each, 1.0)) for each in loads])

    def row(self, terms: Mapping[str, float]) -> Matrix:
        """Return the weights (m) of a sum of wheel ends in their states."""
        row = np.zeros(len(self.columns.names))
        for wheel, weight in terms.items():
            row += self.columns.row({self.names.name(out_of_state(wheel), state_of(wheel)): weight})
        return row
