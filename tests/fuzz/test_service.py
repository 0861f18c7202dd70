"""Schemathesis against what computes, in this process: every check and phase, bounded to about a minute."""

import pytest
import schemathesis
from schemathesis.config import SchemathesisConfig

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.contract.published import DOCUMENT
from tests.fuzz.campaign import RIG_OPERATIONS, configuration, negative_configuration, with_rigs
from tests.fuzz.outcome import PHASES, Outcome, run

SEED = 11
EXAMPLES = 150
NEGATIVE_EXAMPLES = 40

CHECKS = {
    "allow_header_conformance",
    "content_type_conformance",
    "ensure_resource_availability",
    "ignored_auth",
    "missing_required_header",
    "negative_data_rejection",
    "not_a_server_error",
    "object_level_authorization",
    "positive_data_acceptance",
    "response_headers_conformance",
    "response_schema_conformance",
    "status_code_conformance",
    "unsupported_method",
    "use_after_free",
}
"""All checks that schemathesis has; none is switched off."""

LISTED_CODES = {code["code"] for group in ("faults", "cross_field") for code in DOCUMENT["x-codes"][group]}


def outcome_of(config: SchemathesisConfig) -> Outcome:
    app = create_app(Settings(stateless=True))
    schema = schemathesis.openapi.from_asgi("/v1/openapi.json", app, config=config)
    return run(with_rigs(schema), RIG_OPERATIONS)


def test_every_check_of_every_phase_holds_and_half_of_the_positive_bodies_are_computed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    outcome = outcome_of(configuration(SEED, EXAMPLES, cover_all=False))
    with capsys.disabled():
        print(f"\n{outcome.summary()}")
    assert outcome.findings == []
    assert outcome.stopped == "completed"
    assert outcome.phases == dict.fromkeys(PHASES, "success")
    assert set(outcome.checks) == CHECKS
    assert outcome.codes <= LISTED_CODES
    assert outcome.accepted_share >= 0.5


def test_bodies_that_break_the_contract_are_refused() -> None:
    outcome = outcome_of(negative_configuration(SEED, NEGATIVE_EXAMPLES))
    assert outcome.findings == []
    assert outcome.codes <= LISTED_CODES
    refused = sum(count for status, count in outcome.statuses.items() if 400 <= status < 500)
    assert refused >= NEGATIVE_EXAMPLES / 2
