"""How people meet it: the command line, the full screen, drawings."""
