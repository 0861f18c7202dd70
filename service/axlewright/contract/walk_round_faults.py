"""What contradicts itself in a walk round, and its tires' texts, read."""

from collections.abc import Iterator
from datetime import date

from msgspec import Struct

from axlewright.contract.faults import Fault, given_text
from axlewright.contract.likely_days import unlikely_day
from axlewright.contract.rig import repeated
from axlewright.contract.tire_marking import not_read
from axlewright.contract.walk_round_request import JudgeWalkRoundRequest, TireSeenInput
from axlewright.core.tires.identification import Identification, read_identification
from axlewright.core.tires.marking import Marking, read_marking
from axlewright.core.tires.size import NotRead
from axlewright.core.upkeep.events import wheel_end_of


class TextsRead(Struct, frozen=True):
    """What a tire's texts say; None where nothing was sent, NotRead where it cannot be read."""

    marking: Marking | NotRead | None
    identification: Identification | NotRead | None


def texts_read(tire: TireSeenInput, as_of: date) -> TextsRead:
    """Return what a tire's designation and identification number say, seen on a day."""
    return TextsRead(
        None if tire.designation is None else read_marking(tire.designation),
        None if tire.identification is None else read_identification(tire.identification, as_of),
    )


def walk_round_faults(request: JudgeWalkRoundRequest, texts: list[TextsRead]) -> Iterator[Fault]:
    """Yield every contradiction within a walk round."""
    if not request.tires and not request.heights and request.overall_height is None:
        message = "There is nothing to judge: send what was seen."
        yield Fault("inconsistent_choice", "", message, None, "tires, overall_height, heights, or several of them")
    names = [tire.name for tire in request.tires]
    yield from repeated("tire", "/tires/{}/name", names)
    yield from repeated("height", "/heights/{}/name", [height.name for height in request.heights])
    yield from unlikely_day(request.as_of, "/as_of")
    for place, (tire, read) in enumerate(zip(request.tires, texts, strict=True)):
        wheel_end = wheel_end_of(tire.name)
        if tire.name != wheel_end and wheel_end in names:
            message = f"`{wheel_end}` has a single tire and, by `{tire.name}`, a dual."
            allowed = f"{wheel_end} alone, or {wheel_end}.inner and {wheel_end}.outer"
            yield Fault("inconsistent_fitment", f"/tires/{place}/name", message, None, allowed)
        yield from _tire_faults(tire, read, request.as_of, f"/tires/{place}")


def _tire_faults(tire: TireSeenInput, read: TextsRead, as_of: date, pointer: str) -> Iterator[Fault]:
    if isinstance(read.marking, NotRead):
        yield not_read("designation", "inconsistent_marking", f"{pointer}/designation", read.marking)
    yield from _identification_faults(read.identification, as_of, f"{pointer}/identification")
    if tire.made_on is None:
        return
    yield from unlikely_day(tire.made_on, f"{pointer}/made_on")
    if tire.made_on > as_of:
        message = f"A tire seen on {as_of} cannot have been made on {tire.made_on}: read its date code again."
        yield Fault(
            "inconsistent_day",
            f"{pointer}/made_on",
            message,
            given_text(tire.made_on.isoformat()),
            f"{as_of} or earlier",
        )
    if tire.identification is not None:
        message = "The day of manufacture is sent twice: as `made_on`, and within `identification`."
        yield Fault("inconsistent_choice", pointer, message, None, "made_on, or identification")


def _identification_faults(read: Identification | NotRead | None, as_of: date, pointer: str) -> Iterator[Fault]:
    if isinstance(read, NotRead):
        yield not_read("identification", "inconsistent_identification", pointer, read)
    elif read is not None and read.first_day is not None and read.first_day > as_of:
        message = f"A tire seen on {as_of} cannot have been made in a week that begins on {read.first_day}."
        yield Fault("inconsistent_identification", pointer, message, None, "a number whose week is not yet to come")
