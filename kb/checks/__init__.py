"""Checks over a whole ruleset: one module a check, all of them listed in `catalogue`."""
