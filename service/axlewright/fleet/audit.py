"""The audit trail: who changed what when."""

from msgspec import Raw, Struct

from axlewright.fleet.rows import Held, Part, Rows
from axlewright.fleet.schemas import present_text
from axlewright.fleet.tables import CHANGES
from axlewright.fleet.unit import Unit


class ChangeRow(Struct, frozen=True, kw_only=True):
    """One change, as the contract's `Change`."""

    id: str
    made_at: str
    key_id: str
    kind: str
    resource_id: str
    revision: int
    action: str
    document: Raw


_C = CHANGES.c
_CHANGES = Rows(
    CHANGES,
    (_C.id, _C.made_at, _C.key_id, _C.kind, _C.resource_id, _C.revision, _C.action, _C.schema, _C.document),
)


def changes(unit: Unit, held: Held, part: Part) -> list[ChangeRow]:
    """Return a part of the changes in the order in which they were made."""
    return [
        ChangeRow(
            id=row.id,
            made_at=row.made_at,
            key_id=row.key_id,
            kind=row.kind,
            resource_id=row.resource_id,
            revision=row.revision,
            action=row.action,
            document=Raw(present_text(row.kind, row.schema, row.document)),
        )
        for row in _CHANGES.page(unit, held, part)
    ]
