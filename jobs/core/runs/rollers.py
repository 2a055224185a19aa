"""Power from how the rollers gain speed: inertia × angular acceleration × angular speed, and what the run-down lost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from garage.core.errors import BadInput, Unquoted
from jobs.core.runs.logger.cell_numbers import Numbers
from jobs.core.runs.smoothing import smoothed

INERTIA_KG_M2 = (0.01, 1000.0)  # from a hand-made roller for mopeds to one for lorries
DIAMETER_MM = (50.0, 3000.0)
WINDOW_S = (0.0, 2.0)
KM_H_PER_M_S = 3.6
LEAST_RISE = 0.2  # share of the highest speed by which a pull rises; less is a steady hold
FROM_LOWEST = 0.05  # share of the rise that is left out at the beginning: the throttle is still opening
FEWEST = 10  # readings in a pull or in a run-down


@dataclass(frozen=True)
class Rollers:
    """inertia_kg_m2: of all that turns with the rollers, seen at the roller. diameter_mm: of the roller.

    What turns at another speed counts times that ratio squared. Raises BadInput naming the value out of range.
    """

    inertia_kg_m2: float
    diameter_mm: float

    def __post_init__(self) -> None:
        least, most = INERTIA_KG_M2
        if not least <= self.inertia_kg_m2 <= most:
            allowed = f"{least:g} to {most:g} kg·m², as on the rollers’ plate or from a fall test"
            raise BadInput("Inertia", Unquoted(f"{self.inertia_kg_m2:g}"), allowed)
        least, most = DIAMETER_MM
        if not least <= self.diameter_mm <= most:
            raise BadInput("Diameter", Unquoted(f"{self.diameter_mm:g}"), f"{least:g} to {most:g} mm")

    def turning(self, speed_km_h: Numbers) -> Numbers:
        """Angular speed of the roller in rad/s."""
        return speed_km_h / KM_H_PER_M_S / (self.diameter_mm / 2000)


def rollers_of(inertia_kg_m2: float | None, diameter_mm: float | None) -> Rollers | None:
    """None if nobody wrote them down. Raises BadInput for one without the other, and for rollers that cannot be."""
    if inertia_kg_m2 is None and diameter_mm is None:
        return None
    if inertia_kg_m2 is None or diameter_mm is None:
        missing = "Inertia" if inertia_kg_m2 is None else "Diameter"
        raise BadInput(missing, None, "both inertia and diameter, or neither")
    return Rollers(inertia_kg_m2, diameter_mm)


@dataclass(frozen=True)
class RollerPull:
    """Between each two readings of the pull: (n,) float64 each.

    time_s: in the middle. seconds: how long. speed: rad/s of the roller. power_w: into the rollers, with what the
    run-down lost if that is added. lost_w: that share.
    """

    time_s: Numbers
    seconds: Numbers
    speed: Numbers
    power_w: Numbers
    lost_w: Numbers


def roller_pull(time_s: Numbers, speed: Numbers, rollers: Rollers, *, window_s: float, adds_losses: bool) -> RollerPull:
    """time_s: rising strictly. speed: rad/s of the roller; (n,) both. window_s: of the smoothing, which is done twice.

    Power between two readings is what the smoothed speed adds to the energy of the rollers, over the time: so all of it
    together is ½ · inertia · (last² − first²), whatever the smoothing. Raises BadInput if nothing is pulled, or if
    losses are wanted and the file has no run-down.

    >>> t = np.arange(0, 4.001, 0.01)
    >>> pull = roller_pull(t, 66 + 11 * t, Rollers(6.25, 500), window_s=0.2, adds_losses=False)
    >>> round(float(pull.power_w[100] / pull.speed[100]), 6)  # Nm: inertia × acceleration
    68.75
    """
    smooth = smoothed(time_s, smoothed(time_s, speed, window_s), window_s)
    begins, highest = pull_of(smooth)
    ends = int(np.searchsorted(time_s, time_s[highest] - (window_s if highest < len(time_s) - 1 else 0), "right"))
    if ends - begins < FEWEST:
        raise _no_pull()
    t, turning = time_s[begins:ends], smooth[begins:ends]
    seconds = np.diff(t)
    middle = (turning[:-1] + turning[1:]) / 2
    power = rollers.inertia_kg_m2 * middle * np.diff(turning) / seconds
    lost = np.zeros_like(power)
    if adds_losses:
        after = int(np.searchsorted(time_s, time_s[highest] + window_s))
        lost = middle * _drag(time_s[after:], smooth[after:], rollers.inertia_kg_m2, middle)
    return RollerPull((t[:-1] + t[1:]) / 2, seconds, middle, power + lost, lost)


def pull_of(rising: Numbers, left_out: float = FROM_LOWEST) -> tuple[int, int]:
    """Where the pull begins, and its highest reading. rising: smoothed speed or revs.

    left_out: share of the rise that is left out at its beginning. Raises BadInput without a pull.
    """
    highest = int(np.argmax(rising))
    before = rising[: highest + 1]
    lowest = float(before.min())
    if highest < FEWEST or rising[highest] - lowest < LEAST_RISE * rising[highest]:
        raise _no_pull()
    still_low = np.flatnonzero(before <= lowest + left_out * (rising[highest] - lowest))
    return int(still_low[-1]), highest


def _no_pull() -> BadInput:
    allowed = "a file in which the speed rises through a pull by a fifth or more, over ten readings or more"
    return BadInput("The file", Unquoted("without a pull"), allowed)


def _drag(time_s: Numbers, speed: Numbers, inertia_kg_m2: float, at: Numbers) -> Numbers:
    """The torque in Nm that slows the rollers at these speeds: constant, linear and quadratic parts fitted to the
    run-down. Outside its speeds that of its nearest speed counts.

    A run-down: from the highest speed on, as long as it falls, by a fifth or more.
    """
    falls = _falling(speed)
    t, turning = time_s[:falls], speed[:falls]
    if falls < FEWEST or turning[0] - turning[-1] < LEAST_RISE * turning[0]:
        allowed = (
            "a file that goes on after the pull while the rollers run down by a fifth or more with the clutch pulled"
        )
        raise BadInput("The run-down", None, allowed)
    middle = (turning[:-1] + turning[1:]) / 2
    torque = -inertia_kg_m2 * np.diff(turning) / np.diff(t)
    scale = float(middle[0])
    terms = np.vander(middle / scale, 3)
    fitted, *_ = np.linalg.lstsq(terms * np.sqrt(np.diff(t))[:, None], torque * np.sqrt(np.diff(t)), rcond=None)
    within = np.clip(at, middle.min(), middle.max())
    return np.maximum(np.polyval(fitted, within / scale), 0.0)


def _falling(speed: Numbers) -> int:
    """How many readings from the first one on until the speed rises again or the rollers stand."""
    lowest = np.minimum.accumulate(speed)
    rises = np.flatnonzero(speed > lowest + 0.02 * speed[0]) if len(speed) else np.array([])
    stands = np.flatnonzero(speed <= 0.02 * speed[0]) if len(speed) else np.array([])
    return int(min([len(speed), *rises[:1], *stands[:1]]))


def check_window(window_s: float) -> None:
    """Raises BadInput out of range."""
    least, most = WINDOW_S
    if not least <= window_s <= most:
        raise BadInput("Smoothing", Unquoted(f"{window_s:g}"), f"{least:g} to {most:g} s")
