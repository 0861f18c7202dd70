"""The HTTP edge: requests in, answers out."""
