"""The handlers under /v1/fleet, and who may call them."""
