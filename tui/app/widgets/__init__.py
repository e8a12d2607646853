"""Widgets: each shows one value that a screen hands down, and sends messages up."""
