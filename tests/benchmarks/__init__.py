"""Benchmarks: ratios measured in one run, not times, which say more of the machine than of the service."""
