"""What a finding says, and which rooms tell it."""

from typing import Literal, TypeAlias

from msgspec import Struct

from axlewright.core.findings import Severity

Room: TypeAlias = Literal["sessions", "loads", "balance", "inflation", "upkeep"]

EVERY_ROOM: tuple[Room, ...] = ("sessions", "loads", "balance", "inflation")
TIRE_ROOMS: tuple[Room, ...] = ("loads", "inflation")


class Words(Struct, frozen=True):
    """A finding's meaning, its text with places for facts, what to do, what it rests on, how grave it can be.

    ``rooms`` tell it; a critical one every room tells.
    """

    meaning: str
    message: str
    action: str
    basis: str
    severities: tuple[Severity, ...]
    rooms: tuple[Room, ...]
