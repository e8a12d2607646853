"""Screens: each holds one value, hands parts of it down, and takes messages from its widgets."""
