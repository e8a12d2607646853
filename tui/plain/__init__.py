"""The plain front: the interview line by line, for pipes, screen readers and small terminals."""
