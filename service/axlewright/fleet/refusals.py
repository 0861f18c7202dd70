"""Why the store refuses what it understands; each is one answer of the service."""

from axlewright.contract.faults import Fault


class Refusal(Exception):  # noqa: N818
    """The store did not do what was asked; nothing changed."""


class NoLiveKey(Refusal):
    """The key has expired or was revoked since it was found."""


class NoSuchThing(Refusal):
    """Nothing of this operator has the id; another operator's thing is nothing too."""


class Stale(Refusal):
    """The thing has changed since the version that If-Match names."""


class Conflicting(Refusal):
    """What is asked contradicts what is kept."""

    def __init__(self, fault: Fault) -> None:
        """Say which name of the document it is."""
        super().__init__(fault.message)
        self.fault = fault


class InProgress(Refusal):
    """The first request with this Idempotency-Key has not ended."""


class OtherRequest(Refusal):
    """This Idempotency-Key was used with another request."""


class BadCursor(Refusal):
    """The cursor is not one that this list gave for this query."""
