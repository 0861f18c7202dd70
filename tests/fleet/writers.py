"""A client that writes into the store without a pause, keeps account of it, and sends again what was not answered."""

import itertools
import json
import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from tests.api.probe import Reply
from tests.fleet.servers import Caller
from tests.fleet.yard import FLEET, coach, rig, weigh

_FIRST_DAY = date(2026, 1, 1)
_DAYS = 300
_SHARES = {"vehicles": 25, "odometer_readings": 40, "sessions": 20, "change": 15}
_READINGS_OF_A_WRITER = 1_000_000


@dataclass
class Sent:
    """A request, and how often it went out."""

    method: str
    path: str
    body: bytes
    headers: dict[str, str]
    times: int = 0


@dataclass
class Writer:
    """One client of the fleet: the only one that changes its own vehicle, and one of those who weigh each rig."""

    number: int
    key: str
    rig_ids: list[str]
    """The rigs of all writers."""
    counts: Counter[str] = field(default_factory=Counter)
    answered: dict[str, bytes] = field(default_factory=dict)
    """By the path of each thing, the body of the last answer that told of it."""
    asked_for: Counter[str] = field(default_factory=Counter)
    """How many things of each kind it asked to be made."""
    pending: Sent | None = None
    vehicle_id: str = ""
    _tag: str = ""
    _revision: int = 1
    _unread: set[str] = field(default_factory=set)

    def begin(self, caller: Caller) -> None:
        """Make the vehicle and the rig that it writes about."""
        self._random = random.Random(self.number)
        self._numbers = itertools.count()
        made = self._sent_once(caller, self._post("vehicles", self._vehicle))
        self._tag = made.headers["etag"]
        self.vehicle_id = made.json["id"]
        self.rig_ids.append(self._sent_once(caller, self._post("rigs", lambda _: rig([self.vehicle_id]))).json["id"])

    def write_one(self, caller: Caller) -> Reply:
        """Send the next request, or again the one that was not answered; raises where no answer comes."""
        if self.pending is None:
            self.pending = self._next()
        sent = self.pending
        sent.times += 1
        reply = caller.send(sent.method, sent.path, sent.body, sent.headers)
        is_unheard = reply.status == 412 and sent.times > 1
        if is_unheard:  # an earlier try was stored and its answer lost: just that must be there
            reply = caller.send("GET", sent.path)
        if reply.status == 503:
            self.counts["unavailable"] += 1
            return reply
        if sent.method == "POST":
            self._note_made(sent, reply)
        else:
            self.counts["changed unheard"] += is_unheard
            self._note_changed(sent, reply)
        self.pending = None
        return reply

    def finish(self, caller: Caller) -> None:
        """See that the last request is answered, and all that was answered is there."""
        if self.pending is not None:
            reply = self.write_one(caller)
            assert reply.status < 300, reply.body
        self.require_read_back(caller)

    def require_read_back(self, caller: Caller) -> None:
        """Fail unless all that was answered since the last time is there, as it was answered.

        What a change without an answer went out for may be there by either; the answer to the next try settles it.
        """
        unsettled = set() if self.pending is None else {self.pending.path}
        for path in sorted(self._unread - unsettled):
            reply = caller.send("GET", path)
            assert (reply.status, reply.body) == (200, self.answered[path]), f"{path}: {reply.status} {reply.body!r}"
            self.counts["read back"] += 1
        self._unread &= unsettled

    def _sent_once(self, caller: Caller, sent: Sent) -> Reply:
        self.pending = sent
        reply = self.write_one(caller)
        assert reply.status == 201, reply.body
        return reply

    def _note_made(self, sent: Sent, reply: Reply) -> None:
        assert reply.status == 201, reply.body
        is_replayed = reply.headers.get("idempotency-replayed") == "true"
        assert sent.times > 1 or not is_replayed
        self.counts["replayed"] += is_replayed
        assert reply.json["document"] == json.loads(sent.body)
        assert reply.headers["location"] not in self.answered
        self._keep(reply.headers["location"], reply.body)

    def _note_changed(self, sent: Sent, reply: Reply) -> None:
        assert reply.status == 200, reply.body
        self._revision += 1
        assert (reply.json["revision"], reply.json["document"]) == (self._revision, json.loads(sent.body))
        self._tag = reply.headers["etag"]
        self._keep(sent.path, reply.body)

    def _keep(self, path: str, body: bytes) -> None:
        self.counts["acknowledged"] += 1
        self.answered[path] = body
        self._unread.add(path)

    def _next(self) -> Sent:
        [kind] = self._random.choices([*_SHARES], weights=[*_SHARES.values()])
        if kind == "vehicles":
            return self._post(kind, self._vehicle)
        if kind == "odometer_readings":
            return self._post(kind, self._odometer_reading)
        if kind == "sessions":
            return self._post(kind, self._session)
        body = json.dumps(self._vehicle(next(self._numbers))).encode()
        return Sent("PUT", f"{FLEET}/vehicles/{self.vehicle_id}", body, {"if-match": self._tag})

    def _post(self, kind: str, document: Callable[[int], dict[str, Any]]) -> Sent:
        number = next(self._numbers)
        self.asked_for[kind] += 1
        key = {"idempotency-key": f"writer-{self.number}-{number}"}
        return Sent("POST", f"{FLEET}/{kind}", json.dumps(document(number)).encode(), key)

    def _vehicle(self, number: int) -> dict[str, Any]:
        return coach(labels=[f"{self.number}-{number}"])

    def _odometer_reading(self, number: int) -> dict[str, Any]:
        reading = self.number * _READINGS_OF_A_WRITER + number
        return {"units": "us", "vehicle_id": self.vehicle_id, "read_on": _day(number), "reading": reading}

    def _session(self, number: int) -> dict[str, Any]:
        told = weigh(self._random.choice(self.rig_ids), _day(self._random.randrange(_DAYS)))
        told["session"]["ticket"] = f"{self.number}-{number}"
        return told


def _day(number: int) -> str:
    return (_FIRST_DAY + timedelta(days=number % _DAYS)).isoformat()
