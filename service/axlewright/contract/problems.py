"""Problem documents (RFC 9457): the one form in which the service says that something went wrong."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import msgspec
from msgspec import Meta

from axlewright.contract.faults import CrossFieldFaults, Fault, NotJson, ShapeFaults

MEDIA_TYPE = "application/problem+json"


class ProblemError(msgspec.Struct, frozen=True):
    """One fault of the document that was sent."""

    code: Annotated[str, Meta(max_length=100, description="Stable code of the fault; new ones may come.")]
    pointer: Annotated[
        str,
        Meta(
            max_length=2_000_000,
            description="Where the fault is: a JSON Pointer (RFC 6901) into the body, or into "
            "the query taken as an object.",
        ),
    ]
    message: Annotated[str, Meta(max_length=20_000, description="The fault in words, for a person.")]
    given: Annotated[
        Annotated[str, Meta(max_length=1000)] | None,
        Meta(description="The value that was given, as JSON text of at most 80 characters."),
    ]
    allowed: Annotated[
        Annotated[str, Meta(max_length=20_000)] | None, Meta(description="What is allowed in its place.")
    ]


class Problem(msgspec.Struct, frozen=True):
    """A problem document as in RFC 9457; `type` tells the kinds of problem apart."""

    type: Annotated[str, Meta(max_length=200, description="Stable URI reference of the kind of problem.")]
    title: Annotated[
        str, Meta(max_length=200, description="The kind of problem in words; the same for every occurrence.")
    ]
    status: Annotated[
        int,
        Meta(
            description="The HTTP status of this answer.",
            ge=400,
            le=599,
            extra_json_schema={"x-quantity": "number"},
        ),
    ]
    detail: Annotated[str, Meta(max_length=20_000, description="What went wrong this time, for a person.")]
    errors: Annotated[
        list[ProblemError], Meta(max_length=100, description="All faults that were found, in reading order.")
    ]
    omitted: Annotated[
        int,
        Meta(
            description="How many more faults there are than `errors` lists.",
            ge=0,
            le=2**31,
            extra_json_schema={"x-quantity": "number"},
        ),
    ]


@dataclass(frozen=True)
class ProblemKind:
    """A kind of problem: the last part of its type, its title and status, and what it means."""

    slug: str
    title: str
    status: int
    meaning: str

    @property
    def uri(self) -> str:
        """The stable `type` of its documents."""
        return f"/problems/{self.slug}"


KINDS = {
    kind.slug: kind
    for kind in (
        ProblemKind("bad-request", "The request cannot be read", 400, "The HTTP request is not well formed."),
        ProblemKind("not-json", "The body is not JSON", 400, "The body is empty, not UTF-8 or not JSON text."),
        ProblemKind(
            "invalid-query",
            "The query is not valid",
            400,
            "The query breaks the operation's parameters; `errors` lists every fault, `pointer` names the parameter.",
        ),
        ProblemKind(
            "not-found", "There is nothing at this address", 404, "No operation has this path, or nothing this id."
        ),
        ProblemKind(
            "method-not-allowed",
            "The method is not allowed here",
            405,
            "The path exists, for the methods that `Allow` lists.",
        ),
        ProblemKind(
            "unauthorized",
            "A key is needed",
            401,
            "No live key came with the request: none, a wrong one, one that expired or was revoked.",
        ),
        ProblemKind("forbidden", "The key may not do this", 403, "The key lacks the scope that the operation needs."),
        ProblemKind(
            "conflict",
            "It contradicts what is kept",
            409,
            "A name refers to nothing in the fleet, or stands there already; `errors` tells which.",
        ),
        ProblemKind(
            "in-progress",
            "The first request is still at work",
            409,
            "The first request with this `Idempotency-Key` has not ended; `Retry-After` says when to ask again.",
        ),
        ProblemKind(
            "precondition-failed",
            "It has changed since",
            412,
            "The thing is not the version that `If-Match` names; read it again and decide anew.",
        ),
        ProblemKind(
            "idempotency-mismatch",
            "The key belongs to another request",
            422,
            "This `Idempotency-Key` was used with another request; a new request needs a new key.",
        ),
        ProblemKind(
            "precondition-required",
            "Say which version you saw",
            428,
            "A change needs `If-Match` with the `ETag` of the version that it was made from.",
        ),
        ProblemKind(
            "too-many-requests",
            "The key has made all its requests for now",
            429,
            "`Retry-After` says in how many seconds there are new ones.",
        ),
        ProblemKind("too-slow", "The body took too long to arrive", 408, "Send the request again, faster."),
        ProblemKind("too-large", "The body is too large", 413, "The body is longer than the service reads."),
        ProblemKind(
            "unsupported-media-type",
            "The body must be plain JSON",
            415,
            "Send `Content-Type: application/json` in UTF-8, without a content coding.",
        ),
        ProblemKind(
            "invalid",
            "The document is not valid",
            422,
            "The body is JSON but breaks the contract's shape; `errors` lists every fault.",
        ),
        ProblemKind(
            "inconsistent",
            "The document contradicts itself",
            422,
            "Every value is valid alone, but not with the others; `errors` lists every contradiction.",
        ),
        ProblemKind(
            "not-yet-computed",
            "This is not computed yet",
            422,
            "The document is valid and asks for something that this version does not compute.",
        ),
        ProblemKind(
            "busy",
            "The service is busy",
            503,
            "As many searches run as may at once; `Retry-After` says in how many seconds one has ended for sure.",
        ),
        ProblemKind(
            "storage-unavailable",
            "The store cannot answer",
            503,
            "The database is down, busy, full or not migrated; what stores nothing goes on. Nothing was stored, or the "
            "same request with the same `Idempotency-Key` gets its answer.",
        ),
        ProblemKind("internal", "The service failed", 500, "A defect of the service; its log holds the cause."),
    )
}

NOT_YET_COMPUTED = "not_yet_computed"

EXAMPLE_FAULTS = {
    "invalid": Fault(
        "wrong_type",
        "/rig/vehicles/0/axles/0/gawr",
        'gawr must be a number; given is "1850".',
        '"1850"',
        "a number",
    ),
    "conflict": Fault("inconsistent_reference", "/rig_id", "The fleet has nothing of this id among its rigs."),
    "inconsistent": Fault(
        "inconsistent_reference",
        "/session/passes/0/readings/0/wheel_ends/0",
        "There is no wheel end of the rig of this name.",
        '"steer.left"',
        "front.left, front.right, rear.left, rear.right",
    ),
    "not-yet-computed": Fault(
        NOT_YET_COMPUTED,
        "/session/passes/0/state",
        "Passes made hitched are described in the contract but not computed yet; nothing of it is guessed.",
        None,
        "`solo`, with each vehicle weighed alone",
    ),
}
"""A fault of each kind of problem that lists faults, as the contract shows it."""


def problem(slug: str, detail: str, faults: Sequence[Fault] = (), omitted: int = 0) -> Problem:
    """Return the problem document of a kind, with what went wrong this time."""
    kind = KINDS[slug]
    errors = [ProblemError(f.code, f.pointer, f.message, f.given, f.allowed) for f in faults]
    return Problem(kind.uri, kind.title, kind.status, detail, errors, omitted)


def refusal_problem(refusal: NotJson | ShapeFaults) -> Problem:
    """Return the problem document of a document that was refused."""
    if isinstance(refusal, NotJson):
        return problem("not-json", f"{refusal.detail}.")
    slug = "invalid"
    if isinstance(refusal, CrossFieldFaults):
        is_later = all(fault.code == NOT_YET_COMPUTED for fault in refusal.faults)
        slug = "not-yet-computed" if is_later else "inconsistent"
    count = len(refusal.faults) + refusal.omitted
    detail = f"There {'is 1 fault' if count == 1 else f'are {count} faults'} in the document."
    return problem(slug, detail, refusal.faults, refusal.omitted)
