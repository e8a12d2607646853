"""The command line: one module a command, or a folder where it has several; imported on use."""
