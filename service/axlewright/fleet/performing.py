"""How a request that changes something is carried out: planned, done and answered in one transaction, once a key."""

from collections.abc import Callable
from contextlib import nullcontext, suppress
from datetime import timedelta

from msgspec import Struct
from sqlalchemy.exc import IntegrityError

from axlewright.contract.faults import Fault
from axlewright.fleet import idempotency
from axlewright.fleet.clock import moment, now
from axlewright.fleet.engines import Engines
from axlewright.fleet.errors import Unserializable
from axlewright.fleet.idempotency import Claims, GivenAnswer
from axlewright.fleet.keys import Key
from axlewright.fleet.refusals import Conflicting
from axlewright.fleet.unit import WritingUnit, reading, writing

KEPT_FOR = timedelta(days=2)
"""How long an answer is kept under its key at the least; clients may count on a day."""
_MOST_PLANS = 5

Deed = Callable[[WritingUnit], GivenAnswer]
Plan = Callable[[], Deed]
"""Reads and computes what a deed needs, outside of the transaction in which the deed is done."""


class Asked(Struct, frozen=True):
    """Who asks, under which key of idempotency if any, and what tells the request from others."""

    key: Key
    idempotency_key: str | None
    request: str


def perform(engines: Engines, claims: Claims, asked: Asked, plan: Plan) -> tuple[GivenAnswer, bool]:
    """Return the answer to a request, committed before it is told, and whether it was given before.

    Raises
    ------
    Refusal
        If it contradicts what is kept, or its key of idempotency is at work or was used otherwise.
    StoreUnavailable
        If the store cannot answer; then nothing has changed, or with the same key the same answer comes.
    """
    key = asked.idempotency_key
    with nullcontext() if key is None else claims.hold(asked.key.operator_id, key):
        if key is not None:
            with reading(engines, asked.key) as unit:
                before = idempotency.given(unit, key, asked.request)
            if before is not None:
                return before, True
        try:
            for _ in range(_MOST_PLANS - 1):
                with suppress(Unserializable):
                    return _done(engines, asked, plan())
            return _done(engines, asked, plan())
        except IntegrityError as broken:
            raise _conflict(broken) from broken


def _done(engines: Engines, asked: Asked, deed: Deed) -> tuple[GivenAnswer, bool]:
    key = asked.idempotency_key
    with writing(engines, asked.key) as unit:
        if key is not None:
            idempotency.claim(unit, key)
            before = idempotency.given(unit, key, asked.request)
            if before is not None:
                return before, True
        answer = deed(unit)
        if key is not None:
            idempotency.keep(unit, key, asked.request, answer, moment(now() - KEPT_FOR))
    engines.last_change.taken()
    return answer, False


def _conflict(broken: IntegrityError) -> Exception:
    """Return what a broken constraint means for the caller: a defect of ours, unless two asked for the same."""
    constraint = getattr(getattr(broken.orig, "diag", None), "constraint_name", None) or str(broken.orig)
    if constraint == "uq_vehicles_asset_number" or "vehicles.asset_number" in constraint:
        return Conflicting(Fault("inconsistent_name", "/asset_number", "Another vehicle has this asset number."))
    if constraint.endswith(("_operator_id_supersedes", ".supersedes")):
        return Conflicting(Fault("inconsistent_reference", "/supersedes", "It is superseded already."))
    return broken
