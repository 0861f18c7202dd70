"""Cross-origin access (the Fetch standard's CORS protocol) for the origins that the settings name."""

from dataclasses import dataclass

Headers = list[tuple[bytes, bytes]]

_EXPOSED = b"ETag, Link, Location, Retry-After, X-Request-ID"
_PREFLIGHT: Headers = [
    (b"access-control-allow-methods", b"DELETE, GET, HEAD, PATCH, POST, PUT"),
    (
        b"access-control-allow-headers",
        b"Authorization, Content-Type, Idempotency-Key, If-Match, X-Request-ID",
    ),
    (b"access-control-max-age", b"600"),
]


@dataclass(frozen=True)
class CrossOrigin:
    """What the answers tell browsers; without origins, nothing."""

    origins: tuple[str, ...]

    def headers(self, request_headers: Headers, is_preflight: bool) -> Headers:
        """Return the headers for one answer."""
        if not self.origins:
            return []
        origin = next((value for name, value in request_headers if name.lower() == b"origin"), None)
        any_origin = "*" in self.origins
        headers: Headers = [] if any_origin else [(b"vary", b"Origin")]
        if origin is None or not (any_origin or origin.decode("latin-1") in self.origins):
            return headers
        headers.append((b"access-control-allow-origin", b"*" if any_origin else origin))
        return headers + (_PREFLIGHT if is_preflight else [(b"access-control-expose-headers", _EXPOSED)])

    def is_preflight(self, method: str, request_headers: Headers) -> bool:
        """Tell whether a browser asks before it sends the request itself."""
        names = {name.lower() for name, _ in request_headers}
        return (
            bool(self.origins)
            and method == "OPTIONS"
            and b"origin" in names
            and b"access-control-request-method" in names
        )
