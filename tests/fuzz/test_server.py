"""The same campaign, longer and with several seeds, against a server process on a free port of the loopback.

`pytest -m long tests/fuzz` runs it; it takes some minutes.
"""

import os
import subprocess
import sys
from collections.abc import Iterator

import pytest
import schemathesis

from tests.fuzz.campaign import configuration, run, with_rigs

SEEDS = (1, 2, 3)
"""With the first the coverage phase, which depends little on it, tries every value of every operation."""
EXAMPLES = 500
STARTED = "axlewright serves "

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    command = [sys.executable, "-m", "axlewright.cli", "serve", "--port", "0"]
    environment = {**os.environ, "AXLEWRIGHT_LOG_LEVEL": "warning"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        assert process.stdout is not None
        for line in process.stdout:
            if line.startswith(STARTED):
                break
        else:
            pytest.fail("the server did not start")
        yield line.removeprefix(STARTED).strip()
        process.terminate()
        process.stdout.read()
        assert process.wait(30) == 0


@pytest.mark.parametrize("seed", SEEDS)
def test_every_check_holds_over_real_connections(address: str, seed: int, capsys: pytest.CaptureFixture[str]) -> None:
    config = configuration(seed, EXAMPLES, cover_all=seed == SEEDS[0])
    schema = schemathesis.openapi.from_url(f"{address}/v1/openapi.json", config=config, wait_for_schema=30)
    outcome = run(with_rigs(schema))
    with capsys.disabled():
        print(f"\nseed {seed}: {outcome.summary()}")
    assert outcome.findings == []
    assert outcome.accepted_share >= 0.5
