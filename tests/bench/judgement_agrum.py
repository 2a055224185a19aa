"""The judgement's chances beside pyAgrum's, a general-purpose library: the same queries, their difference and time."""

from __future__ import annotations

import time
from collections.abc import Iterable

import numpy as np

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import fault_chances, model_of
from tests.diagnostics.core.agrum_network import asked, network_of, with_few_answers


def agrum_lines(bank: Bank, networks: int, larger: int) -> list[str]:
    """What was changed and one or two answers more; then three more: with each, pyAgrum's time grows several times."""
    chance = np.random.default_rng(500)
    few = _compared(bank, (with_few_answers(bank, chance, 1, 2) for _ in range(networks)))
    more = _compared(bank, (with_few_answers(bank, chance, 3, 3) for _ in range(larger)))
    return _told(f"{networks} evidence sets of two or three answers", *few) + _told(f"{larger} of four", *more)


def _told(which: str, worst: float, whole: float, asking: float) -> list[str]:
    return [
        f"beside pyAgrum: {which}: largest difference of a chance {worst:.1e} (to reach: 1e-9)",
        f"beside pyAgrum: {which}: {whole:.0f} times as fast on the same queries (to reach: 100), {asking:.0f} times "
        "where the time in which it builds its network is left out",
    ]


def _compared(bank: Bank, cases: Iterable[Case]) -> tuple[float, float, float]:
    """Largest difference of a chance; theirs over our CPU time, their network's making counted and not."""
    model, worst, ours_s, theirs_s, asked_s = model_of(bank), 0.0, 0.0, 0.0, 0.0
    for case in cases:
        start = time.process_time()
        ours = fault_chances(model, gather(model, case).weight()).tolist()
        between = time.process_time()
        network = network_of(bank, case)
        built = time.process_time()
        theirs = asked(bank, *network)
        end = time.process_time()
        ours_s, theirs_s, asked_s = ours_s + between - start, theirs_s + end - between, asked_s + end - built
        worst = max(worst, *(abs(a - theirs[fault]) for fault, a in zip(bank.fault_ids, ours, strict=True)))
    return worst, theirs_s / ours_s, asked_s / ours_s
