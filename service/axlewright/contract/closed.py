"""What every document that a client sends has in common."""

from msgspec import Struct


class Input(Struct, frozen=True, forbid_unknown_fields=True):
    """A document that a client sends: closed, so that a misspelt name is refused and not ignored."""
