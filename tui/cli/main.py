"""The command `canebrake`: its entry point.

`--version` is answered before anything else is imported, argparse included; all else waits in
`commands`, where a subcommand's module is imported when it is used.
"""

import sys

VERSION = "0.1.0"
"""Said again in pyproject.toml; a test holds the two equal. Asking the installation costs 50 ms."""


def run() -> int:
    """Run the command line given by the user and return its exit code."""
    if sys.argv[1:] == ["--version"]:
        sys.stdout.write(f"canebrake {VERSION}\n")
        return 0
    try:
        from tui.cli.commands import run_commands  # noqa: PLC0415 - the docstring above says why
        from tui.wiring import here  # noqa: PLC0415 - the same

        return int(run_commands(sys.argv[1:], here()))
    except KeyboardInterrupt:
        # Pressed before the frame, which says the same, was even loaded.
        sys.stderr.write("canebrake: interrupted.\n")
        return 130


if __name__ == "__main__":
    sys.exit(run())
