"""One clip heard and held against its truth."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

from diagnostics.hearing.core.hear import hear
from tests.bench.figures import Measured
from tests.revouts.engine import TRUTH_STEP_S, Truth
from tests.revouts.measures import drop_out_counts, overlap, speed_errors

SEVERE_RATIO = (1.8, 2.2)  # double, and half its inverse


@dataclass(frozen=True)
class Labels:
    kind: str
    codec: str
    noise: str
    snr_db: float
    drr_db: float | None = None


def measured_clip(labels: Labels, truth: Truth | None, samples: np.ndarray, fires_per_turn: float) -> Measured:
    """samples: (n,) float32 at RATE_HZ."""
    began = time.process_time()
    heard = hear(samples, fires_per_turn)
    took_s = time.process_time() - began
    at_s = heard.t0_s + heard.step_s * np.arange(len(heard.rpm))
    errors, octaves = np.zeros(0), 0
    if truth is not None:
        errors = speed_errors(at_s, heard.rpm, truth.rpm, truth.firing, TRUTH_STEP_S)
        octaves = int(_octaves(at_s, heard.rpm, truth.rpm, truth.firing))
    return Measured(
        kind=labels.kind,
        codec=labels.codec,
        noise=labels.noise,
        snr_db=labels.snr_db,
        truth="unclear" if truth is None else truth.verdict,
        verdict=heard.verdict,
        confidence=heard.confidence,
        errors=errors,
        octaves=octaves,
        overlap=overlap(heard.held, truth.held) if truth is not None else 0.0,
        ceiling_error=abs(heard.ceiling_rpm / truth.ceiling_rpm - 1)
        if truth is not None and heard.ceiling_rpm and truth.ceiling_rpm
        else None,
        drop_outs=drop_out_counts(heard.drop_outs, truth.drop_outs) if truth is not None else np.zeros(3),
        seconds=heard.seconds,
        took_s=took_s,
        drr_db=labels.drr_db,
    )


def _octaves(at_s: np.ndarray, rpm: tuple[float | None, ...], true_rpm: np.ndarray, firing: np.ndarray) -> float:
    if not len(at_s):
        return 0.0
    given = np.array([np.nan if value is None else value for value in rpm], float)
    ratio = (np.interp(np.arange(len(true_rpm)) * TRUTH_STEP_S, at_s, given) / true_rpm)[firing]
    double = (ratio > SEVERE_RATIO[0]) & (ratio < SEVERE_RATIO[1])
    half = (ratio > 1 / SEVERE_RATIO[1]) & (ratio < 1 / SEVERE_RATIO[0])
    return float(np.sum(double | half))
