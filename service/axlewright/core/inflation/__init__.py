"""Inflation: the gas in the tire, and the pressure that a load asks for."""
