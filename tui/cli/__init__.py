"""The command line: one module a command, imported on use."""
