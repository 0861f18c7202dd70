"""The optional memory: an operator's vehicles, rigs, weighs and upkeep, kept in SQLite or PostgreSQL."""
