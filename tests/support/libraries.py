"""Two general-purpose libraries for networks of chances, asked as their users would ask them.

Both are in the `bench` extra and loaded only here. pyAgrum 3 (L. Torti, C. Gonzales, P.-H. Wuillemin)
and pgmpy 1 (A. Ankan, A. Panda).
"""

from collections.abc import Mapping
from typing import Any

from tests.support.written_out import WrittenOut

YES, NO = 1, 0


def with_pyagrum(net: WrittenOut) -> Mapping[str, float]:
    """Give each cause's chance now by pyAgrum's lazy propagation."""
    import pyagrum  # noqa: PLC0415 - not in the suite's own environment

    network = pyagrum.BayesNet()
    for table in net.tables:
        network.add(pyagrum.LabelizedVariable(table.name, table.name, 2))
    for table in net.tables:
        for parent in table.parents:
            network.addArc(parent, table.name)
        for states, chance in table.yes.items():
            network.cpt(table.name)[dict(zip(table.parents, states, strict=True))] = [1.0 - chance, chance]
    return pyagrum_posteriors(pyagrum.LazyPropagation(network), net)


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
