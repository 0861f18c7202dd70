"""The request headers of the fleet store (RFC 9110; the IETF draft on the Idempotency-Key header)."""

from typing import Final

IDEMPOTENCY_KEY: Final = "Idempotency-Key"
IF_MATCH: Final = "If-Match"
MOST_TAGS: Final = 1_000
"""Characters of an If-Match."""
_TAG = r'(?:W/)?"[!#-~]*"'
ENTITY_TAGS: Final = rf"^(?:\*|{_TAG}(?:[ \t]*,[ \t]*{_TAG})*)$"
"""The form of an If-Match in ASCII (RFC 9110, 8.8.3 and 13.1.1)."""
