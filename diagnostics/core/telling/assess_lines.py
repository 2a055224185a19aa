"""A judgement as output of the assess command: the keys of its manual, figures rounded."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from diagnostics.core.judging.judgement import BenchStep, Judgement
from diagnostics.core.telling.judgement_words import CAUTION_WORDS, Voice, why_sentence

CHANCE_DECIMALS = 12
FIGURE_DECIMALS = 6
PENCE_DECIMALS = 2
PLAIN = Voice(finding=str, money=lambda pence: f"{pence:.0f} pence", chance=lambda chance: f"{chance:.0%}")


def assess_line(judgement: Judgement) -> dict[str, Any]:
    asked = judgement.ask_next
    return {
        "case": judgement.case,
        "route": judgement.route,
        "why": why_sentence(judgement, PLAIN),
        "chances": {fault: round(chance, CHANCE_DECIMALS) for fault, chance in judgement.chances.items()},
        "groups": {group: round(chance, CHANCE_DECIMALS) for group, chance in judgement.groups.items()},
        "because": [
            {"answer": r.answer, "towards": r.towards, "weight": round(r.weight, FIGURE_DECIMALS)}
            for r in judgement.because
        ],
        "ask_next": asked and {"question": asked.question, "pence": round(asked.pence, PENCE_DECIMALS)},
        "bench_order": _bench_order(judgement.bench_order),
        "expected_bench_minutes": round(judgement.expected_bench_minutes, FIGURE_DECIMALS),
        "cautions": [CAUTION_WORDS[caution] for caution in judgement.cautions],
    }


def _bench_order(steps: Sequence[BenchStep]) -> list[dict[str, Any]]:
    """Rounded all at once: a judgement has some sixty steps."""
    told, minutes, finds = zip(*steps, strict=True) if steps else ((), (), ())
    rounded = np.round([minutes, finds], FIGURE_DECIMALS).tolist()
    return [{"do": do, "minutes": took, "finds": found} for do, took, found in zip(told, *rounded, strict=True)]
