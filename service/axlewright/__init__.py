"""Axlewright: wheel-end loads, ratings, balance and cold tire pressures from weigh tickets."""

__version__ = "0.2.0"
