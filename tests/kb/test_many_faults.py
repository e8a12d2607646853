"""Many faults in one file, each of another kind: all are found in one run, in order, none twice."""

import re
from pathlib import Path

from kb.load import load_bytes

FILE = Path(__file__).with_name("many-faults.yaml")
MARK = re.compile(r"# <- ([a-z0-9-]+)$")


def test_fifty_seven_faults_of_different_kinds_are_found_in_one_run_in_order_and_none_twice() -> None:
    content = FILE.read_bytes()
    marked = [
        (number, mark[1])
        for number, line in enumerate(content.decode().splitlines(), 1)
        if (mark := MARK.search(line)) is not None
    ]
    assert len({name for _, name in marked}) == len(marked) == 57
    assert [(p.span.line, str(p.check)) for p in load_bytes("many.yaml", content).problems] == marked
