"""Passes over a scale to wheel-end loads with their doubt."""
