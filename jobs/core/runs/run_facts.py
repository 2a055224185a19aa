"""What is known of a kept run besides its file: its name, its air, what was fitted, and its power as it is shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from garage.core.errors import BadInput, Refused
from garage.core.text.languages import told
from jobs.core.runs.air import Air
from jobs.core.runs.correction import NONE, STANDARDS, Correction, correction
from jobs.core.runs.curve import PowerCurve

STANDARD_CHOICES = [*((standard.id, standard.says) for standard in STANDARDS.values()), (NONE, "no correction")]

# The jet log of a run: what a curve is worth nothing without. By the name that a form and a row use.
FITTED = {
    "main_jet": "Main jet",
    "needle": "Needle",
    "clip": "Clip, from the top",
    "slide": "Slide",
    "idle_jet": "Idle jet",
    "float_height": "Float height",
    "plug": "Plug",
    "timing": "Timing",
}
LONGEST_FITTED = 30  # letters
LETTERS = 1
MOST_A_DAY = len(ascii_uppercase)


@dataclass(frozen=True)
class RunFacts:
    """A run as pages and pictures take it. name: as "30 November, run A". air: None if nobody wrote it down."""

    name: str
    letter: str
    curve: PowerCurve
    air: Air | None
    standard: str
    fitted: Mapping[str, str]

    @property
    def correction(self) -> Correction | None:
        """None without air, or where no standard is wanted."""
        return correction(self.standard, self.air) if self.air and self.standard in STANDARDS else None

    @property
    def factor(self) -> float:
        """What its power is multiplied by where corrected power may be shown, else 1."""
        made = self.correction
        return 1.0 if made is None or made.why_not else made.factor


@dataclass(frozen=True)
class Repeats:
    """Runs with the same things fitted, one after the other: how far they differ is the band of the curve."""

    runs: tuple[RunFacts, ...]

    @property
    def name(self) -> str:
        """As a line of the picture is named at its end."""
        letters = ", ".join(run.letter for run in self.runs)
        if len(self.runs) == 1:
            return told("run {letters}", letters=letters)
        return told("runs {letters}", letters=letters)


def next_letter(taken: Sequence[str]) -> str:
    """taken: the letters of the machine's day, struck out ones too. Refused after the last one.

    >>> next_letter([]), next_letter(["A", "B"])
    ('A', 'C')
    """
    free = [letter for letter in ascii_uppercase if letter not in taken]
    if not free:
        raise Refused(f"This machine has {MOST_A_DAY} runs today already: there is no letter left. Import it tomorrow.")
    return free[0]


def repeats_of(runs: Sequence[RunFacts]) -> list[Repeats]:
    """Neighbours with the same things fitted and the same standard, in order."""
    groups: list[list[RunFacts]] = []
    for run in runs:
        if groups and groups[-1][-1].fitted == run.fitted and groups[-1][-1].standard == run.standard:
            groups[-1].append(run)
        else:
            groups.append([run])
    return [Repeats(tuple(group)) for group in groups]


def is_corrected(runs: Sequence[RunFacts]) -> bool:
    """Whether corrected power may be shown of these together: of all by one standard, or of none."""
    return len({run.standard for run in runs}) == 1 and all(
        made is not None and not made.why_not for made in (run.correction for run in runs)
    )


def air_of(pressure_hpa: float | None, temperature_c: float | None, humidity_percent: float | None) -> Air | None:
    """None if nothing was written down. Raises BadInput for a part of it: no correction can be made of that."""
    given = {"Pressure": pressure_hpa, "Temperature": temperature_c, "Humidity": humidity_percent}
    missing = [name for name, value in given.items() if value is None]
    if len(missing) == len(given):
        return None
    if missing:
        raise BadInput(missing[0], None, "all three of pressure, temperature and humidity, or none of them")
    assert pressure_hpa is not None and temperature_c is not None and humidity_percent is not None  # noqa: S101, PT018
    return Air(pressure_hpa, temperature_c, humidity_percent)


def fitted_of(sent: Mapping[str, str]) -> dict[str, str]:
    """What was filled in, spaces around it gone, in the order of FITTED. Raises BadInput for what is too long."""
    words = {name: " ".join(sent.get(name, "").split()) for name in FITTED}
    for name, said in words.items():
        if len(said) > LONGEST_FITTED:
            raise BadInput(FITTED[name], said, f"up to {LONGEST_FITTED} letters")
    return {name: said for name, said in words.items() if said}
