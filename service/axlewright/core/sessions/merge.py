"""Several weighs of one rig in one state of load, as one session: one adjustment of all readings."""

from collections.abc import Sequence

from msgspec import structs

from axlewright.core.sessions.passes import Platform, WeighSession
from axlewright.core.sessions.record import SessionRecord


def merged(sessions: Sequence[WeighSession]) -> WeighSession:
    """Return one session of the passes of several, each named with the number of its weigh.

    Every weigh keeps the tolerance of its scale. What is common to the readings of a scale, or to what left before a
    pass, is common to all weighs on that scale, and to all of which it was told alike. Where nobody told the identity
    of a scale it may be any of them: then all count as one, and what they share is not averaged away.
    """
    first = sessions[0]
    identities = [session.record.scale_identity for session in sessions]
    scales = [identities[0]] * len(sessions) if None in identities else identities

    def pass_name(weigh: int, name: str) -> str:
        return f"weigh {weigh + 1}: {name}"

    def platform(weigh: int, own: Platform) -> Platform:
        return structs.replace(
            own,
            name=f"weigh {weigh + 1}: {own.name}",
            tolerance=sessions[weigh].tolerance_of(own),
            one_with=f"weigh {scales.index(scales[weigh]) + 1}: {own.name}",
        )

    return WeighSession(
        readings=tuple(
            structs.replace(
                reading,
                pass_name=pass_name(weigh, reading.pass_name),
                platform=platform(weigh, reading.platform),
                scale=str(scales.index(scales[weigh]) + 1),
            )
            for weigh, session in enumerate(sessions)
            for reading in session.readings
        ),
        tolerance=first.tolerance,
        placement=first.placement,
        significance=first.significance,
        changes=tuple(
            structs.replace(change, pass_name=pass_name(weigh, change.pass_name))
            for weigh, session in enumerate(sessions)
            for change in session.changes
        ),
        record=SessionRecord(
            passes=tuple(
                structs.replace(each, name=pass_name(weigh, each.name))
                for weigh, session in enumerate(sessions)
                for each in session.record.passes
            )
        ),
    )
