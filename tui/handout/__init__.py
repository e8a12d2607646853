"""Handouts: one page for the wall or the phone, made of a ruleset or of one reed's history."""
