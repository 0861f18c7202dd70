"""Tires: what the sidewall says, and what publications say a tire carries at a pressure."""
