"""Runs a command as if it were always the same evening, so that a page that shows dates stays true.

The first word is how many days later than that evening it is.
"""

import sys
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from typing import Final

from tui.cli.commands import run_commands
from tui.wiring import here

EVENING: Final = datetime(2026, 11, 25, 18, 0, tzinfo=timezone(timedelta(hours=1)))

if __name__ == "__main__":
    now = EVENING + timedelta(days=int(sys.argv[1]))
    sys.exit(run_commands(sys.argv[2:], replace(here(), clock=lambda: now)))
