"""The command `canebrake`: its entry point.

`--version` is answered before anything else is imported, argparse included; all else waits in
`commands`, where a subcommand's module is imported when it is used.

A start makes some hundred thousand values and hardly any of them is rubbish, so the search for rubbish
is made rarer. Measured: it took 27 of the 327 ms until the first question stood on the screen.
"""

import gc
import sys

VERSION = "0.1.0"
"""Said again in pyproject.toml; a test holds the two equal. Asking the installation costs 50 ms."""
RARELY = 200_000
"""Values made before rubbish is looked for; Python's own number is 700."""


def run() -> int:
    """Run the command line given by the user and return its exit code."""
    if sys.argv[1:] == ["--version"]:
        sys.stdout.write(f"canebrake {VERSION}\n")
        return 0
    gc.set_threshold(RARELY)
    try:
        from tui.cli.commands import run_commands  # noqa: PLC0415 - the docstring above says why
        from tui.wiring import here  # noqa: PLC0415 - the same

        code = int(run_commands(sys.argv[1:], here()))
    except KeyboardInterrupt:
        # Pressed before the frame, which says the same, was even loaded.
        sys.stderr.write("canebrake: interrupted.\n")
        return 130
    # Python ends with one more search through all that a command still holds; it would find nothing.
    gc.freeze()
    return code


if __name__ == "__main__":
    sys.exit(run())
