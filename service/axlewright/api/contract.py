"""The contract at its stable address."""

from typing import Any

from litestar import Request, get

OPENAPI = "openapi"


@get(
    "/v1/openapi.json",
    operation_id="contract",
    tags=["service"],
    summary="This contract",
    sync_to_thread=False,
)
def contract(request: Request[Any, Any, Any]) -> dict[str, Any]:
    """Answer the OpenAPI 3.1 document of this version of the service."""
    document: dict[str, Any] = request.app.state[OPENAPI]
    return document
