"""Upkeep: what falls due when, by date or distance, and what a look around the rig gives to know."""
