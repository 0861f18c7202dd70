"""Pure computation: no I/O but reading its own tables, no clock, no web; SI units inside."""
