"""Two general-purpose libraries for networks of chances, asked as their users would ask them.

Both are in the `bench` extra and loaded only here. pyAgrum 3 (L. Torti, C. Gonzales, P.-H. Wuillemin)
and pgmpy 1 (A. Ankan, A. Panda).
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from tests.support.written_out import WrittenOut

YES, NO = 1, 0


def with_pyagrum(net: WrittenOut) -> Mapping[str, float]:
    """Give each cause's chance now by pyAgrum's lazy propagation."""
    import pyagrum  # noqa: PLC0415 - not in the suite's own environment

    return pyagrum_posteriors(pyagrum.LazyPropagation(in_pyagrum(net)), net)


def in_pyagrum(net: WrittenOut) -> Any:
    """Build the network for pyAgrum, every table written out."""
    import pyagrum  # noqa: PLC0415 - not in the suite's own environment

    network = pyagrum.BayesNet()
    for table in net.tables:
        network.add(pyagrum.LabelizedVariable(table.name, table.name, 2))
    for table in net.tables:
        for parent in table.parents:
            network.addArc(parent, table.name)
        # At one stroke: cell by cell takes thirty times as long, which would wrong it where it is timed.
        cells = [chance for key in sorted(table.yes) for chance in (1.0 - table.yes[key], table.yes[key])]
        network.cpt(table.name).fillWith(_in_its_order(network.cpt(table.name), table.parents, cells))
    return network


def _in_its_order(table: Any, parents: tuple[str, ...], cells: list[float]) -> list[float]:
    """Give cells, which run with the last parent fastest, in the order of the library's own variables."""
    shaped = np.array(cells).reshape([2] * (len(parents) + 1))
    names = [*parents, next(iter(table.names))]
    # The library's first variable runs fastest.
    return [float(x) for x in shaped.transpose([names.index(n) for n in reversed(table.names)]).reshape(-1)]


def pyagrum_posteriors(asked: Any, net: WrittenOut) -> Mapping[str, float]:
    """Give the posteriors of an inference of pyAgrum's once it is told what was seen."""
    asked.setTargets(set(net.now.values()))  # else it also works out every finding that was not looked at
    asked.setEvidence(dict(net.seen))
    asked.makeInference()
    return {cause: float(asked.posterior(name)[YES]) for cause, name in net.now.items()}


def with_pgmpy(net: WrittenOut) -> Mapping[str, float]:
    """Give each cause's chance now by pgmpy's variable elimination."""
    from pgmpy.factors.discrete import TabularCPD  # noqa: PLC0415 - not in the suite's own environment
    from pgmpy.inference import VariableElimination  # noqa: PLC0415 - the same
    from pgmpy.models import DiscreteBayesianNetwork  # noqa: PLC0415 - the same

    network = DiscreteBayesianNetwork(
        [(parent, table.name) for table in net.tables for parent in table.parents]
    )
    network.add_nodes_from([table.name for table in net.tables])
    for table in net.tables:
        yes = [table.yes[states] for states in sorted(table.yes)]
        network.add_cpds(
            TabularCPD(
                table.name,
                2,
                [[1.0 - chance for chance in yes], yes],
                evidence=list(table.parents) or None,
                evidence_card=[2] * len(table.parents) or None,
            )
        )
    asked = VariableElimination(network)
    return {
        cause: float(asked.query([name], evidence=dict(net.seen), show_progress=False).values[YES])
        for cause, name in net.now.items()
    }
