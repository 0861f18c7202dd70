"""Consistent requests for an assessment: rigs, weigh sessions and known loads as a yard would send them."""
