"""Measures the hearing on the reported set, beside pYIN (librosa) and the theoretical bound: `make bench`.

    python -m tests.bench.hearing [clips of each kind] [file for the note]

Every clip goes through its file, the decoder's child and the core, as in `listen`. Real recordings are read from
RECORDINGS and never kept. The tests run nothing of this. Times are of one thread.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import librosa
import numpy as np

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.track import follow
from diagnostics.hearing.core.hear import hear
from diagnostics.hearing.decoding.decode import Decoder
from tests.bench.figures import EVEN, Measured, note
from tests.bench.hearing_measured import Labels, measured_clip
from tests.revouts.codecs import suffix
from tests.revouts.engine import TRUTH_STEP_S
from tests.revouts.measures import speed_errors
from tests.revouts.sets import KINDS, REPORT, Clip, clip

RECORDINGS = Path(__file__).resolve().parents[3] / "shared" / "sounds"
PYIN_CLIPS = 16


def measure(clip: Clip, samples: np.ndarray) -> Measured:
    truth = clip.truth
    kind = EVEN if truth is not None and truth.even else clip.kind
    return measured_clip(
        Labels(kind, clip.codec.name, clip.noise_kind, clip.snr_db), truth, samples, clip.fires_per_turn
    )


def decoded(clip: Clip, decoder: Decoder) -> np.ndarray:
    with tempfile.NamedTemporaryFile(suffix="." + suffix(clip.codec)) as file:
        file.write(clip.file)
        file.flush()
        return decoder.samples(file.name)


def _wanted(each: int) -> Iterator[Clip]:
    """`each` of every kind, and a third as many of the two that only need no answer."""
    for number in range(each):
        for kind in KINDS:
            if kind not in ("short", "late") or number % 3 == 0:
                yield clip(REPORT, kind, number)


def reported(each: int) -> tuple[list[Measured], list[str]]:
    measured, beside = [], []
    pyin = _pyin()
    with Decoder() as decoder:
        for number, one in enumerate(_wanted(each)):
            samples = decoded(one, decoder)
            measured.append(measure(one, samples))
            if one.truth is not None and one.snr_db >= 10 and len(beside) < PYIN_CLIPS and number % 3 == 0:
                beside.append(pyin(one, samples, measured[-1]))
    cpu = resource.getrusage(resource.RUSAGE_CHILDREN)
    decoding_s = cpu.ru_utime + cpu.ru_stime
    for one in measured:
        one.took_s += decoding_s * one.seconds / sum(other.seconds for other in measured)
    return measured, beside


def _pyin():
    """A function that runs pYIN on a clip, warmed up."""
    librosa.pyin(np.random.default_rng(0).normal(size=8000), fmin=20, fmax=500, sr=limits.RATE_HZ, frame_length=1024)

    def run(clip: Clip, samples: np.ndarray, ours: Measured) -> tuple[float, ...]:
        began = time.process_time()
        low, high = 600 / 60 * clip.fires_per_turn, 15000 / 60 * clip.fires_per_turn
        hz, voiced, _ = librosa.pyin(
            samples,
            fmin=max(low, 20.0),
            fmax=high,
            sr=limits.RATE_HZ,
            frame_length=1024,
            hop_length=160,
            resolution=0.2,
        )
        took_s = time.process_time() - began
        rpm = [float(f) * 60 / clip.fires_per_turn if v else None for f, v in zip(hz, voiced, strict=True)]
        at_s = np.arange(len(rpm)) * 160 / limits.RATE_HZ
        errors = speed_errors(at_s, rpm, clip.truth.rpm, clip.truth.firing, TRUTH_STEP_S)
        return (*_followed(errors), ours.seconds / took_s, *_followed(ours.errors), ours.seconds / ours.took_s)

    return run


def _followed(errors: np.ndarray) -> tuple[float, float]:
    """Share of all frames within 3 %, and median error of those with a speed."""
    there = errors[~np.isnan(errors)]
    return float(np.mean(np.nan_to_num(errors, nan=9.0) < 0.03)), float(np.median(there)) if len(there) else float(
        "nan"
    )


def bound() -> tuple[float, float]:
    """Median error on harmonics in white noise, and the median at the bound (Rife & Boorstyn 1974), Hz.

    The formula is from memory. The Fisher information of the harmonics adds up; the k-th is k times as sharp.
    """
    hz, sigma, found = 120.0, 0.5, []
    rng = np.random.default_rng(3)
    at = np.arange(4 * limits.RATE_HZ) / limits.RATE_HZ
    for _ in range(8):
        sound = sum(np.cos(2 * np.pi * k * hz * at + k) / k for k in range(1, 9)) + sigma * rng.normal(size=len(at))
        found += list(np.abs(follow((sound / 8).astype(np.float32), 1.0).firing_hz[40:-40:10] - hz))
    window = round(0.05 * limits.RATE_HZ)
    strength = sum(1 / (2 * sigma**2) for _ in range(8))
    spread = np.sqrt(12 * limits.RATE_HZ**2 / ((2 * np.pi) ** 2 * strength * window * (window**2 - 1)))
    return float(np.median(found)), float(0.6745 * spread)


def memory_mb() -> float:
    """Peak memory of a process that hears three minutes, MB."""
    code = (
        "import numpy as np\nfrom diagnostics.hearing.core.hear import hear\n"
        "hear(np.random.default_rng(0).normal(size=8000 * 180).astype('float32'), 1.0)\n"
        "print([line.split()[1] for line in open('/proc/self/status') if line.startswith('VmHWM')][0])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return float(done.stdout) / 1024


def recordings() -> list[tuple[str, str, float]]:
    """The verdict on each real recording beside the project, if any."""
    out = []
    with Decoder() as decoder:
        for path in sorted(RECORDINGS.glob("*.ogg")):
            heard = hear(decoder.samples(str(path)), 1.0)
            out.append((path.name, heard.verdict, heard.confidence))
    return out


def main(each: int, file: str | None) -> None:
    measured, beside = reported(each)
    text = note(measured, beside, bound(), memory_mb(), recordings(), each)
    sys.stdout.write(text)
    if file:
        Path(file).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 62, sys.argv[2] if len(sys.argv) > 2 else None)
