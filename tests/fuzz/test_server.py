"""The same campaign, longer and with several seeds, against a server process on a free port of the loopback.

`pytest -m long tests/fuzz` runs it; it takes some minutes.
"""

from collections.abc import Iterator

import pytest
import schemathesis

from tests.fuzz.campaign import RIG_OPERATIONS, configuration, with_rigs
from tests.fuzz.outcome import run
from tests.fuzz.served import serving

SEEDS = (1, 2, 3)
"""With the first the coverage phase, which depends little on it, tries every value of every operation."""
EXAMPLES = 500

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with serving(AXLEWRIGHT_STATELESS="1") as address:
        yield address


@pytest.mark.parametrize("seed", SEEDS)
def test_every_check_holds_over_real_connections(address: str, seed: int, capsys: pytest.CaptureFixture[str]) -> None:
    config = configuration(seed, EXAMPLES, cover_all=seed == SEEDS[0])
    schema = schemathesis.openapi.from_url(f"{address}/v1/openapi.json", config=config, wait_for_schema=30)
    outcome = run(with_rigs(schema), RIG_OPERATIONS)
    with capsys.disabled():
        print(f"\nseed {seed}: {outcome.summary()}")
    assert outcome.findings == []
    assert outcome.accepted_share >= 0.5
