"""From what was heard in the hold to a verdict: few physical features, rules for `unclear`, calibrated chances."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from diagnostics.core.hearing import fitted
from diagnostics.core.hearing.course import HIGHEST_IDLE_RPM, Climb
from diagnostics.core.hearing.drop_outs import Firings, runs_of
from diagnostics.core.hearing.parts import Parts
from diagnostics.core.hearing.phase import BLOCK_S, Doubles
from diagnostics.core.hearing.track import Track

REVS_OUT, BREAKS_DOWN, UNCLEAR = "revs-out", "breaks-down", "unclear"
LEAST_HOLD_S = 1.0  # contract
BOG_S = (
    0.5  # what happens so soon after opening is the slide carburettor's, not the ignition's; common practice, no source
)
AT_TOP = 0.88  # share of the hold's speed from which the climb is over
NAMES = ("lost_share", "lost_rate", "late_lost_share", "sag", "wobble", "fade", "weak_firings", "skipping")
FADE_LEAVES_BLOCKS = 15  # at the end of the hold, which may be put too late
SUREST = 0.985  # sounds unlike those it was fitted on will come; common sense, no source
SILENT_LULLS = -4.0  # natural logarithm of loudness: an engine that turns is never so quiet; seen on generated clips
LEAST_PEAK_RPM = 2500.0  # an engine that is revved gets there; common practice, no source
UP_FROM = 0.75  # of the peak: the climb is nearly over
SLOPE_S = 0.06
FASTEST_LOG_S = 2.0  # change of ln speed a second that no engine makes at speed; common practice, no source
FAST_FALLS_AT_MOST = 0.1  # share of the time in which it may seem to fall so fast
DIVES_LOG_S, DIVES_AT_MOST, LEAST_FIRING_BLOCKS = 1.3, 0.15, 20  # fall of ln speed a second; share of the time
STILL_LOG_S = 0.15  # slower counts as standing still
STEP_AT_LEAST, STEP_AT_MOST_S, STILL_AROUND_S = 0.04, 0.18, 0.08  # ln speed; how long it lasts; stillness to both sides
STEPS_FROM, STEPS_A_SECOND = 5, 0.7  # a tune has more than one a second, an engine hardly any
LEAST_SWELL = -0.6  # an opened throttle does not quieten (natural logarithm of loudness, automatic gain and noise)
LEAST_IDLE_EVIDENCE = 0.6  # what is heard before the rise must be an engine too
# Where noise or a voice drowns tickover the climb shows the rise as well: a plain one after tickover of so long, or a
# fainter one after longer, a sound that swells, has no pauses as speech has, and falls as a flywheel lets it.
PLAIN_TOTAL, PLAIN_MEAN, PLAIN_TICKS_S = 12.0, 0.95, 0.6
FAINT_TOTAL, FAINT_MEAN, FAINT_TICKS_S = 5.0, 0.8, 1.2
DROWNED_LOG_S, DROWNED_FALLS_AT_MOST, DROWNED_SWELL, PAUSE = 1.3, 0.05, -0.3, -1.6
# The speed of the hold, heard already before the rise, while the sound does not swell: the rise was before the clip.
UP_ALREADY, SWELLS = 0.75, 0.1
GAINS_LOG_S = -0.2  # firing that fails while the speed gains more than this is none that fails, but a gain that swings
# Where firing seems to fail for less than a quarter of the time, the engine has to slow down meanwhile (ln speed a
# second), plainly so where hardly any firing is much quieter, and mustn't skip evenly: else a load or a gain swings, or
# it runs rich. A few hundredths of the time with hardly a quiet firing are never enough. Chosen, down to SOUND_WEAK, on
# clips of the ranges of the set `choose` and on firings cut from real saws.
SELDOM, RARE, SLOWS_LOG_S, PLAINLY_LOG_S, RICH_SKIPS, LEAST_WEAK = 0.25, 0.04, 0.02, 0.15, 0.2, 0.08
RICH_MOSTLY = 0.3  # share of the hold that skips evenly: what is missing more now and then is a change of that rhythm
NO_WEAK = 0.035  # share of firings: if fewer are much quieter and it does not plainly slow, or it gains, none failed
# So many much quieter firings, in hardly any even rhythm, are an ignition that fails or cuts, however short each time.
OFTEN_WEAK, SKIPS_HARDLY = 0.4, 0.1
SOUND_WEAK = 0.05  # an engine whose ignition never fails, and that keeps no rhythm, has hardly a weak firing
LEAST_CLIMB = 0.6  # evidence in the climb: less is a jump through nothing
BEFORE_S = 1.2
LEAST_CLEAR = 0.8  # evidence in the better half of the hold, or in the climb, where even a bad ignition fires
LEAST_HEARD = 0.63  # evidence in the hold, which failing firing lowers
CLIMB_BLOCKS = 15

REASONS = {
    "short_clip": "The clip is too short to hear a rev-out in it.",
    "nothing": "No engine can be followed in this clip.",
    "flat": "The speed does not rise in this clip: the throttle was not opened, or it is not heard.",
    "late": "The clip begins with the engine already revved up, so the opening is not heard.",
    "hold": "The throttle is held open for less than a second, which is too short to tell.",
    "jumps": "What is heard jumps about as no engine can, so firing cannot be followed.",
    "swell": "The sound does not swell as an opened throttle does, so it may be no rev-out.",
    "faint": "Firing cannot be followed well enough through noise or distortion.",
    "doubt": "It could be a rev-out or a breakdown; the clip does not tell them apart.",
}


@dataclass(frozen=True)
class Verdict:
    """confidence: share of right ones among verdicts so sure; for unclear the chance that none could be given."""

    verdict: str
    confidence: float
    reason: str


def features(track: Track, parts: Parts, firings: Firings, lost: list[tuple[float, float]]) -> dict[str, float]:
    """What tells a breakdown: time lost and how often, sags and wobble of speed, weak firings, skipping."""
    assert parts.held is not None  # noqa: S101  only asked where there is a hold
    start_s, end_s = parts.held
    blocks = slice(int(start_s / BLOCK_S), max(int(end_s / BLOCK_S), int(start_s / BLOCK_S) + 1))
    rpm = ndimage.median_filter(track.rpm[blocks], 5, mode="nearest")
    top = float(np.percentile(rpm, 85))
    up = int(np.argmax(rpm > AT_TOP * top))
    settled = np.log(rpm[min(up + 10, len(rpm) - 1) :])
    slow = ndimage.median_filter(settled, 15, mode="nearest")[:-FADE_LEAVES_BLOCKS]
    begins_s = min(start_s + BOG_S, end_s - 0.3)
    middle_s = begins_s + (end_s - begins_s) / 2
    around = ndimage.percentile_filter(settled, 90, size=min(61, len(settled)), mode="nearest")
    late = firings.at_s >= begins_s
    plain = late & (firings.pattern == 1)
    return {
        "lost_share": _share(lost, begins_s, end_s) ** 0.5,
        "lost_rate": float(np.log1p(sum(a >= begins_s for a, _ in lost) / (end_s - begins_s))),
        "late_lost_share": _share(lost, middle_s, end_s) ** 0.5,
        "sag": float(np.clip((around - settled).mean(), 0, 0.2)),
        "wobble": float(np.clip(np.abs(settled[6:] - settled[:-6]).mean() if len(settled) > 12 else 0.0, 0, 0.2)),
        "weak_firings": float(((firings.level < -0.8) & plain).sum() / max(late.sum(), 1)),
        "fade": float(np.clip((np.maximum.accumulate(slow) - slow).mean(), 0, 0.4)) if len(slow) else 0.0,
        "slows": slowing(track.rpm, [gap for gap in lost if gap[0] >= begins_s]),
        "skipping": float((firings.pattern[late] > 1).mean()) if late.any() else 0.0,
        "dives": _dives(track.rpm[blocks], up, [(a - start_s, b - start_s) for a, b in lost]),
    }


def measured(
    track: Track, parts: Parts, firings: Firings, lost: list[tuple[float, float]]
) -> tuple[dict[str, float], list[tuple[float, float]]]:
    """The features, and the drop-outs without those that can be none: all of them, or none, as they are told apart by
    what they do together."""
    values = features(track, parts, firings, lost)
    seldom = values["lost_share"] ** 2 < SELDOM
    slows, weak = values["slows"], values["weak_firings"]
    none = (weak < NO_WEAK and slows < PLAINLY_LOG_S) or slows < -SLOWS_LOG_S or values["skipping"] > RICH_MOSTLY
    if lost and seldom and none:
        return features(track, parts, firings, []), []
    return values, lost


def slowing(rpm: Doubles, lost: list[tuple[float, float]]) -> float:
    """How fast ln speed falls a second while firing fails, on the mean: an engine that does not fire slows down.

    >>> round(slowing(np.exp(np.arange(100.0) * -0.01), [(0.2, 0.4), (0.5, 0.8)]), 3)
    1.0
    """
    fell, lasted_s = 0.0, 0.0
    for start_s, end_s in lost:
        first, last = int(start_s / BLOCK_S), int(np.ceil(end_s / BLOCK_S))
        before, after = rpm[max(first - 2, 0) : first + 3], rpm[max(last - 2, 0) : last + 3]
        if len(before) and len(after):
            fell += float(np.log(np.median(before) / np.median(after)))
            lasted_s += (last - first) * BLOCK_S
    return fell / max(lasted_s, BLOCK_S)


def _dives(rpm: Doubles, up: int, lost: list[tuple[float, float]]) -> float:
    """Share of the time from block `up` on, drop-outs apart, in which it falls as no engine does that fires."""
    falls = _slopes(rpm) < -DIVES_LOG_S
    fires = np.arange(len(rpm)) >= up
    for start_s, end_s in lost:
        fires[max(round((start_s - SLOPE_S) / BLOCK_S), 0) : max(round((end_s + SLOPE_S) / BLOCK_S), 0)] = False
    return float(falls[fires].mean()) if fires.sum() > LEAST_FIRING_BLOCKS else 0.0


def _share(lost: list[tuple[float, float]], start_s: float, end_s: float) -> float:
    """Share of the time between that is lost.

    >>> _share([(0.0, 1.0), (3.0, 5.0)], 0.5, 4.5)
    0.5
    """
    return float(sum(max(0.0, min(b, end_s) - max(a, start_s)) for a, b in lost) / max(end_s - start_s, 1e-6))


def chance_of_breakdown(values: dict[str, float]) -> float:
    """Probability that the ignition breaks down, by the fitted logistic model."""
    total = fitted.VERDICT["always"]
    for name in NAMES:
        middle, spread = fitted.SCALES[name]
        total += fitted.VERDICT[name] * float(np.clip((values[name] - middle) / spread, -3, 3))
    return float(np.clip(1 / (1 + np.exp(-np.clip(total, -30, 30))), 1 - SUREST, SUREST))


def why_unclear(track: Track, parts: Parts) -> str:
    """The rule by which no verdict is given, or "": what the sound itself shows, before any probability."""
    if parts.held is None:
        return parts.why or "flat"
    if parts.from_rpm > HIGHEST_IDLE_RPM:
        return "late"
    if (parts.peak_rpm or 0.0) < LEAST_PEAK_RPM:
        return "flat"
    if parts.held[1] - parts.held[0] < LEAST_HOLD_S:
        return "hold"
    blocks = slice(int(parts.held[0] / BLOCK_S), int(parts.held[1] / BLOCK_S))
    return _why_no_rise(track, parts, blocks) or _why_no_hold(track, parts, blocks)


def _why_no_rise(track: Track, parts: Parts, blocks: slice) -> str:
    before = slice(max(blocks.start - round(BEFORE_S / BLOCK_S), 0), max(blocks.start - 15, 1))
    up = _up_at(track, parts, blocks)
    ticks = parts.idle_rpm is not None and float(track.evidence[before].mean()) >= LEAST_IDLE_EVIDENCE
    if track.climb is None or _climb_evidence(track, blocks, up) < LEAST_CLIMB:
        return "late"
    if track.climb.ahead > UP_ALREADY and parts.swell < SWELLS:
        return "late"
    return "" if ticks or _rise_is_plain(track.climb, parts, track.rpm[up : blocks.stop]) else "late"


def _why_no_hold(track: Track, parts: Parts, blocks: slice) -> str:
    up, hold = _up_at(track, parts, blocks), track.evidence[blocks]
    if parts.lulls < SILENT_LULLS:
        return "nothing"
    if parts.swell < LEAST_SWELL:
        return "swell"
    if _jumps(track.rpm[: blocks.stop], up):
        return "jumps"
    clear = max(float(np.percentile(hold, 60)), _climb_evidence(track, blocks, up))
    return "faint" if clear < LEAST_CLEAR or float(np.median(hold)) < LEAST_HEARD else ""


def _up_at(track: Track, parts: Parts, blocks: slice) -> int:
    """The block of the hold at which the speed is nearly up."""
    return int(blocks.start + np.argmax(track.rpm[blocks] > UP_FROM * (parts.peak_rpm or 0.0)))


def _climb_evidence(track: Track, blocks: slice, up: int) -> float:
    return float(np.median(track.evidence[blocks.start : max(up, blocks.start + CLIMB_BLOCKS)]))


def _rise_is_plain(climb: Climb, parts: Parts, hold_rpm: Doubles) -> bool:
    """Whether the rise is heard though tickover is drowned; hold_rpm: the speed once it is up."""
    plain = climb.total > PLAIN_TOTAL and climb.mean > PLAIN_MEAN and climb.ticks_s > PLAIN_TICKS_S
    faint = climb.total > FAINT_TOTAL and climb.mean > FAINT_MEAN and climb.ticks_s > FAINT_TICKS_S
    sounds = parts.swell > DROWNED_SWELL and parts.lulls > PAUSE
    return (plain or faint) and sounds and not _falls_as_no_engine(hold_rpm, DROWNED_LOG_S, DROWNED_FALLS_AT_MOST)


def _jumps(rpm: Doubles, up: int) -> bool:
    """Whether the speed moves as no engine's does: falls too fast once it is up, or steps as a tune does."""
    steps = steps_in(rpm)
    tune = steps >= STEPS_FROM and steps >= STEPS_A_SECOND * len(rpm) * BLOCK_S
    return tune or _falls_as_no_engine(rpm[up:], FASTEST_LOG_S, FAST_FALLS_AT_MOST)


def _slopes(rpm: Doubles) -> Doubles:
    """Change of ln speed a second about each block, over SLOPE_S."""
    smooth = np.log(ndimage.median_filter(rpm, 5, mode="nearest"))
    half = round(SLOPE_S / BLOCK_S) // 2
    slopes = np.zeros(len(smooth))
    if len(smooth) > 2 * half:
        slopes[half:-half] = (smooth[2 * half :] - smooth[: -2 * half]) / SLOPE_S
    return slopes


def _falls_as_no_engine(rpm: Doubles, log_s: float, at_most: float) -> bool:
    """Whether the speed, once up, falls faster than a flywheel lets it for more of the time than may be."""
    return len(rpm) > 0 and float(np.mean(_slopes(rpm) < -log_s)) > at_most


def steps_in(rpm: Doubles) -> int:
    """How often the speed stands still, moves at once and stands still again, as notes do and engines do not.

    >>> steps_in(np.repeat([3000.0, 4000.0, 3500.0, 3500.0], 20))
    2
    >>> steps_in(np.linspace(2000.0, 9000.0, 80))
    0
    """
    still = np.abs(_slopes(rpm)) < STILL_LOG_S
    around = round(STILL_AROUND_S / BLOCK_S)
    steps = 0
    for first, last in runs_of(~still):
        if first < around or last + around > len(rpm) or (last - first) * BLOCK_S > STEP_AT_MOST_S:
            continue
        moved = abs(float(np.log(rpm[last] / rpm[first - 1])))
        steps += bool(
            still[first - around : first].all() and still[last : last + around].all() and moved > STEP_AT_LEAST
        )
    return steps


def _can_fail(values: dict[str, float], lost: list[tuple[float, float]]) -> bool:
    """Whether the firing that was missed can have been missing: an engine that does not fire slows down."""
    if not lost:
        return False
    slows, share = values["slows"], values["lost_share"] ** 2
    often = values["weak_firings"] >= OFTEN_WEAK and values["skipping"] <= SKIPS_HARDLY
    if share >= SELDOM or often:
        return slows > GAINS_LOG_S
    quiet = values["weak_firings"] >= LEAST_WEAK or (slows >= PLAINLY_LOG_S and share >= RARE)
    return slows > SLOWS_LOG_S and quiet and values["skipping"] <= RICH_SKIPS


def judge(values: dict[str, float], lost: list[tuple[float, float]]) -> Verdict:
    """Verdict, confidence and sentence where the rules leave it to the probability."""
    chance = chance_of_breakdown(values)
    sure = max(chance, 1 - chance)
    if values["dives"] > DIVES_AT_MOST:
        return Verdict(UNCLEAR, fitted.RULED_OUT, REASONS["jumps"])
    least = fitted.BREAKS_FROM if chance > 0.5 else fitted.CLEAR_FROM
    weak = values["weak_firings"] > SOUND_WEAK and values["skipping"] <= RICH_SKIPS
    against = not _can_fail(values, lost) if chance > 0.5 else weak
    if sure < least or against:
        return Verdict(UNCLEAR, round(float(np.clip(2 * (1 - sure), 0, 1)), 3), REASONS["doubt"])
    if chance < 0.5:
        how = "It skips turns evenly, as a rich engine does, but" if values["skipping"] > 0.3 else "The engine"
        return Verdict(REVS_OUT, round(sure, 3), f"{how} gets to its speed and holds it.")
    times = f"{len(lost)} time{'s' if len(lost) != 1 else ''}"
    told = (
        f"firing fails {times} while it is held open" if lost else "the speed sags and stutters while it is held open"
    )
    return Verdict(BREAKS_DOWN, round(sure, 3), f"The engine meets a ceiling: {told}.")
