"""What the operations of the contract share: how a key is sent, headers of answers, parameters in headers."""

from collections.abc import Mapping
from typing import Any

from axlewright.contract.fleet.headers import ENTITY_TAGS, MOST_TAGS

KEY_SCHEME = "key"
SECURITY_SCHEMES: Mapping[str, Any] = {
    KEY_SCHEME: {
        "type": "http",
        "scheme": "bearer",
        "description": "A key made by `axlewright keys`. The fleet store needs one; whoever runs the "
        "service may ask for it everywhere. Scopes: `read`, `write`, `manage`, each on its own.",
    }
}
HEADERS: Mapping[str, Any] = {
    "Link": {
        "description": 'The next page (RFC 8288, `rel="next"`); absent on the last one.',
        "schema": {"type": "string", "maxLength": 4000},
    },
    "RetryAfter": {
        "description": "In how many seconds to ask again.",
        "schema": {"type": "integer", "minimum": 1, "maximum": 3600, "x-quantity": "count"},
    },
    "Authenticate": {
        "description": "How to say who asks (RFC 9110): `Bearer`.",
        "schema": {"type": "string", "maxLength": 20},
    },
    "ETag": {
        "description": "The strong entity tag of this version (RFC 9110); a change names it in `If-Match`.",
        "schema": {"type": "string", "maxLength": 80},
    },
    "Location": {
        "description": "Where what was made is read.",
        "schema": {"type": "string", "maxLength": 200},
    },
    "IdempotencyReplayed": {
        "description": "`true` where the answer is that of an earlier request with this `Idempotency-Key`.",
        "schema": {"type": "string", "enum": ["true"]},
    },
    "RateLimit": {
        "description": "What is left of the key's window, as this process knows (IETF draft, may change).",
        "schema": {"type": "string", "maxLength": 100},
    },
    "RateLimitPolicy": {
        "description": "Requests `q` in a window of `w` seconds (IETF draft, may change).",
        "schema": {"type": "string", "maxLength": 100},
    },
    "RequestId": {
        "description": "The id of this request, also in the service's log.",
        "schema": {"type": "string", "pattern": "^[A-Za-z0-9._-]{1,128}$"},
    },
}
PARAMETERS: Mapping[str, Any] = {
    "IfMatch": {
        "name": "If-Match",
        "in": "header",
        "required": True,
        "description": "The `ETag` of the version that the change was made from, or several; `*` for any.",
        "schema": {"type": "string", "minLength": 1, "maxLength": MOST_TAGS, "pattern": ENTITY_TAGS},
    },
    "IdempotencyKey": {
        "name": "Idempotency-Key",
        "in": "header",
        "description": "A key of yours for this request, new for each: sent again with it, within a day or "
        "longer, it is done once and answered as before.",
        "schema": {"type": "string", "minLength": 1, "maxLength": 255, "pattern": "^[!-~]+$"},
    },
    "RequestId": {
        "name": "X-Request-ID",
        "in": "header",
        "description": "An id of yours for this request: 1 to 128 letters, digits, `.` `_` `-`. "
        "One of another form is replaced, not refused.",
        "schema": {"type": "string"},
    },
}
