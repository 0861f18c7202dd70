"""`python -m tests.benchmarks`: the whole assessment over HTTP against handlers that compute nothing, in ratios.

The service runs by its own command as it is served to everybody: edge, limits, request ids, and a log line a request
into a file. Each peer (`tests.benchmarks.peers`) decodes and validates the same request and encodes a ready-made
answer. Peers answer in turn, so that over the whole set of requests all servers send the same documents; before
anything is measured every answer of every server is compared with the service's as a JSON value. What FastAPI sends
may differ from the others' in how numbers are written, not in what they are.

Every server is one worker of the same HTTP server with the same settings, in a process of its own; servers that are
not asked stand idle. A round goes through the whole set a number of times, with a few requests under way at once.
Rounds take turns (service, peers, service, ...), and a ratio is taken within one turn: what else the machine does
strikes both alike. The client's own share of a processor is printed: where it comes near 100 %, the client was the
limit, and that server is faster than the table says.

Two sets of requests are sent, one after the other: the contract's examples, rigs as they come to a scale, and generated
ones, most of them larger than any on the road.

A ratio of 0.5 means that the service takes twice the time of an empty handler.
"""

import argparse
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

import msgspec

from axlewright.contract.examples import examples_of
from tests.benchmarks.load import CONNECTIONS, Measured, WrongAnswerError, answer_body, put_to_work, request_bytes
from tests.benchmarks.peers import ANSWERS, PEERS
from tests.benchmarks.servers import Address, cpu_seconds, served
from tests.benchmarks.work import answer_to, request_bodies, written

ROUNDS = 7
SECONDS = 1.0
WARM_UP_SECONDS = 0.3

SERVICE = "Axlewright, whole assessment"


@dataclass
class Contestant:
    """One running server, what its answers may measure, and what its rounds took."""

    name: str
    address: Address
    pid: int
    lengths: Sequence[frozenset[int]]
    rounds: list[Measured] = field(default_factory=list)
    cpu_seconds: list[float] = field(default_factory=list)

    def run(self, requests: Sequence[bytes], seconds: float) -> None:
        """Measure one more round."""
        before = cpu_seconds(self.pid)
        measured = put_to_work(self.address, requests, self.lengths, seconds)
        self.cpu_seconds.append((cpu_seconds(self.pid) - before) / measured.requests)
        self.rounds.append(measured)

    @property
    def rates(self) -> list[float]:
        """Requests per second, by round."""
        return [each.requests / each.seconds for each in self.rounds]

    @property
    def client_share(self) -> float:
        """Median share of a processor that the client took."""
        return median(each.client_cpu_seconds / each.seconds for each in self.rounds)


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description="Ratios measured in one run.")
    parser.add_argument("--seconds", type=float, default=SECONDS, help=f"length of a round, {SECONDS:g} if left out")
    seconds = parser.parse_args(arguments).seconds
    bodies = request_bodies()
    shown = len(examples_of("assess").requests)
    for title, chosen in (("As the contract shows them", bodies[:shown]), ("Generated, of any size", bodies[shown:])):
        print(f"{title}: ", end="")
        _measure(chosen, seconds)


def _measure(bodies: Sequence[bytes], seconds: float) -> None:
    answers = [answer_to(body) for body in bodies]
    ready = [msgspec.json.encode(answer) for answer in answers]
    requests = [request_bytes(body) for body in bodies]
    print(f"{len(bodies)} requests, {_sizes(bodies)}; answers, {_sizes(ready)}")
    print(f"{ROUNDS} rounds of {seconds:g} s and more, {CONNECTIONS} connections, one worker each\n", flush=True)
    with ExitStack() as stack:
        directory = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        (directory / "answers.json").write_bytes(written(answers))
        environment = {ANSWERS: str(directory / "answers.json")}
        contestants = []
        for name, factory in [(SERVICE, None), *((name, make.__name__) for name, make in PEERS.items())]:
            address, pid = stack.enter_context(served(factory, environment))
            lengths = _lengths(name, address, requests, ready)
            put_to_work(address, requests, lengths, WARM_UP_SECONDS)
            contestants.append(Contestant(name, address, pid, lengths))
        for _ in range(ROUNDS):
            for each in contestants:
                each.run(requests, seconds)
    print("\n".join(_table(contestants)), end="\n\n", flush=True)


def _lengths(name: str, address: Address, requests: Sequence[bytes], ready: Sequence[bytes]) -> list[frozenset[int]]:
    """Compare every answer with the service's, as a JSON value; return the lengths that each request may get."""
    lengths = []
    for place, (request, answer) in enumerate(zip(requests, ready, strict=True)):
        body = answer_body(address, request)
        if msgspec.json.decode(body) != msgspec.json.decode(answer):
            raise WrongAnswerError(f"{name} answered request {place} with another document")
        lengths.append(len(body))
    if name == SERVICE:
        return [frozenset([length]) for length in lengths]
    return [frozenset(lengths)] * len(lengths)


def _table(contestants: Sequence[Contestant]) -> Iterator[str]:
    service = contestants[0]
    yield f"{'':<30}{'requests/s':>12}{'server CPU':>14}{'client CPU':>12}   service's rate over this one's"
    yield f"{'':<30}{'median':>12}{'ms a request':>14}{'% of a core':>12}   median (lowest to highest round)"
    for each in contestants:
        ratios = [own / other for own, other in zip(service.rates, each.rates, strict=True)]
        shown = "" if each is service else f"{median(ratios):.3f} ({min(ratios):.3f} to {max(ratios):.3f})"
        yield (
            f"{each.name:<30}{median(each.rates):>12,.0f}{1000 * median(each.cpu_seconds):>14.3f}"
            f"{100 * each.client_share:>12.0f}   {shown}"
        ).rstrip()


def _sizes(documents: Sequence[bytes]) -> str:
    sizes = sorted(len(document) for document in documents)
    return f"{sizes[0]:,} to {sizes[-1]:,} bytes, {median(sizes):,.0f} in the median"


if __name__ == "__main__":
    main()
