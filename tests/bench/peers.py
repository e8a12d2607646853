"""All posteriors of one round beside general-purpose libraries, in one run on the same networks.

Needs the `bench` extra. pyAgrum is asked with the network and the evidence as a user would write
them (its own noisy-OR, all findings), and in the strongest forms that we know to give it, with our
own preparation: answers *no* folded into the priors, findings without an answer and causes that touch
no *yes* left out, tables written out. The preparing itself is not timed. Prepared, it is told three
times: with the network built, which is made anew for every case; with that and the inference made anew;
and *asked again*, the same inference kept with all that it worked out from the network alone.

Ours is timed from the case on, answers read and negatives folded, with nothing of the case remembered: only
the ruleset's own numbers stand collected, as the library's network does where it is *as written*.
Each library works in a process of its own, with so much patience and memory.
"""

import multiprocessing
import resource
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from math import prod
from statistics import median
from typing import Any

from engine.belief import believe
from engine.case import Case
from engine.sweep import in_good_order
from kb.ids import CauseId
from kb.model import Answer, Ruleset
from tests.bench.engine_times import RUNS, took
from tests.bench.networks import clinic, examined, told, workshop
from tests.support.libraries import YES, in_pyagrum, pyagrum_posteriors, with_pgmpy
from tests.support.written_out import WrittenOut, one_round

PATIENCE = 60.0
"""Seconds that a library is given."""
MEMORY = 8 << 30
"""Bytes that it is given."""
CASES = 3


def peers() -> Iterator[str]:
    """Give the lines of both tables."""
    ruleset = workshop(1)
    yield f"all posteriors, 40 causes × 80 findings, one round, 20 no; {CASES} cases each, {RUNS} runs"
    yield _HEAD
    for positives in (4, 8, 12):
        yield _line(f"{positives} yes", ruleset, [told(ruleset, seed, 1, positives) for seed in range(CASES)])
    big = clinic(1)
    yield "the same, 570 causes × 4,000 findings"
    yield _HEAD
    yield _line("12 yes", big, [examined(big, seed, 12) for seed in range(CASES)])


_HEAD = (
    f"  {'':<8}{'ours':>12}{'pyAgrum as written':>22}{'prepared and built':>22}{'prepared':>22}"
    f"{'asked again':>22}{'pgmpy':>22}{'furthest apart':>18}"
)


def _line(what: str, ruleset: Ruleset, cases: list[Case]) -> str:
    ours = median(took(partial(_afresh, ruleset, case)) for case in cases)
    cells, apart = [], 0.0
    for ask in (_as_written, _prepared_and_built, _prepared, _asked_again, _with_pgmpy):
        found = [_apart(ask, ruleset, case) for case in (cases[:1] if ask is _with_pgmpy else cases)]
        times = [answer[0] for answer in found if isinstance(answer, tuple)]
        if len(times) < len(found):
            cells.append(next(answer for answer in found if isinstance(answer, str)))
            continue
        cells.append(f"{median(times):.2f} ms, {median(times) / ours:.1f}×")
        for (_, theirs), case in zip((a for a in found if isinstance(a, tuple)), cases, strict=True):
            belief = believe(ruleset, case)
            apart = max(apart, *(abs(belief.chance(CauseId(id_)) - chance) for id_, chance in theirs.items()))
    return f"  {what:<8}{f'{ours:.2f} ms':>12}" + "".join(f"{cell:>22}" for cell in cells) + f"{apart:>18.0e}"


def _afresh(ruleset: Ruleset, case: Case) -> None:
    in_good_order.cache_clear()
    believe(ruleset, case)


Asked = tuple[float, Mapping[str, float]]


def _apart(ask: Callable[[Ruleset, Case], Asked], ruleset: Ruleset, case: Case) -> Asked | str:
    """Ask in a process of its own; say why there is no answer."""
    ours, theirs = multiprocessing.Pipe(duplex=False)
    child = multiprocessing.Process(target=_answer, args=(theirs, ask, ruleset, case))
    child.start()
    theirs.close()
    answer: Asked | str = "refused: no answer"
    if ours.poll(PATIENCE):
        try:
            answer = ours.recv()
        except EOFError:
            answer = "refused: died"
    else:
        answer = f"over {PATIENCE:.0f} s"
    child.kill()
    child.join()
    return answer


def _answer(out: Any, ask: Callable[[Ruleset, Case], Asked], ruleset: Ruleset, case: Case) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    try:
        out.send(ask(ruleset, case))
    except Exception as fault:  # noqa: BLE001 - another library's, of whatever kind: it is what we came to see
        out.send(f"refused: {type(fault).__name__}")


def _timed(action: Callable[[], Mapping[str, float]]) -> Asked:
    times, answer = [], {}
    for _ in range(RUNS):
        began = time.process_time()
        answer = dict(action())
        times.append(1000 * (time.process_time() - began))
        if sum(times) > 1000 * PATIENCE / 4:
            break
    return median(times), answer


def _as_written(ruleset: Ruleset, case: Case) -> Asked:
    """Ask pyAgrum with its own noisy-OR and everything that the ruleset holds."""
    import pyagrum  # noqa: PLC0415 - in the bench extra

    network = pyagrum.BayesNet()
    for cause in ruleset.causes:
        network.add(pyagrum.LabelizedVariable(cause.id, cause.id, 2))
        network.cpt(cause.id).fillWith([1.0 - cause.how_common, cause.how_common])
    for finding in ruleset.findings:
        network.addNoisyOR(pyagrum.LabelizedVariable(finding.id, finding.id, 2), finding.leak)
    for cause in ruleset.causes:
        for show in cause.shows:
            network.addWeightedArc(cause.id, show.finding, show.strength)
    seen = {str(id_): int(answer is Answer.YES) for id_, answer in case.present.answers}
    net = WrittenOut((), seen, {cause.id: cause.id for cause in ruleset.causes})
    return _timed(lambda: pyagrum_posteriors(pyagrum.LazyPropagation(network), net))


def _prepared(ruleset: Ruleset, case: Case) -> Asked:
    """Ask pyAgrum what is left once negatives are folded and all that touches no yes is left out."""
    net = one_round(*_narrowed(ruleset, case))
    network = in_pyagrum(net)
    return min((_timed(partial(_by, kind, network, net)) for kind in _kinds()), key=_time)


def _prepared_and_built(ruleset: Ruleset, case: Case) -> Asked:
    """Ask the same, and time the building of the network too."""
    net = one_round(*_narrowed(ruleset, case))
    return min((_timed(partial(_built_by, kind, net)) for kind in _kinds()), key=_time)


def _asked_again(ruleset: Ruleset, case: Case) -> Asked:
    """Ask an inference that is kept, once more, with the evidence set anew."""
    net = one_round(*_narrowed(ruleset, case))
    network = in_pyagrum(net)
    return min((_timed(_again(kind(network), net)) for kind in _kinds()), key=_time)


def _again(asked: Any, net: WrittenOut) -> Callable[[], Mapping[str, float]]:
    pyagrum_posteriors(asked, net)

    def again() -> Mapping[str, float]:
        for name, state in net.seen.items():
            asked.chgEvidence(name, state)
        asked.makeInference()
        return {cause: float(asked.posterior(name)[YES]) for cause, name in net.now.items()}

    return again


def _kinds() -> tuple[Any, ...]:
    import pyagrum  # noqa: PLC0415 - in the bench extra

    return pyagrum.ShaferShenoyInference, pyagrum.LazyPropagation


def _by(kind: Any, network: Any, net: WrittenOut) -> Mapping[str, float]:
    return pyagrum_posteriors(kind(network), net)


def _built_by(kind: Any, net: WrittenOut) -> Mapping[str, float]:
    return _by(kind, in_pyagrum(net), net)


def _time(asked: Asked) -> float:
    return asked[0]


def _narrowed(ruleset: Ruleset, case: Case) -> tuple[Ruleset, Case]:
    """Fold the answers no into the priors, and leave out what no answer yes touches: exact."""
    no = {id_ for id_, answer in case.present.answers if answer is Answer.NO}
    yes = {id_ for id_, answer in case.present.answers if answer is Answer.YES}
    causes = []
    for cause in ruleset.causes:
        shows = tuple(show for show in cause.shows if show.finding in yes)
        silent = prod(1.0 - show.strength for show in cause.shows if show.finding in no)
        there = cause.how_common * silent
        if shows:
            causes.append(replace(cause, how_common=there / (1.0 - cause.how_common + there), shows=shows))
    findings = tuple(finding for finding in ruleset.findings if finding.id in yes)
    left = Case()
    for id_ in sorted(yes):
        left = left.with_answer(id_, Answer.YES)
    return replace(ruleset, causes=tuple(causes), findings=findings, operations=()), left


def _with_pgmpy(ruleset: Ruleset, case: Case) -> Asked:
    """Ask pgmpy with every table written out."""
    if max(sum(s.finding == f.id for c in ruleset.causes for s in c.shows) for f in ruleset.findings) > MOST:
        raise MemoryError
    net = one_round(ruleset, case)
    return _timed(lambda: with_pgmpy(net))


MOST = 24
"""Parents of one finding beyond which its table cannot be written out: 2^24 numbers and more."""
