"""A run in English: how its curve came about, what it was corrected by, what its peaks are."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.core.runs.air import Air, richer_percent
from jobs.core.runs.curve import STEP_RPM
from jobs.core.runs.jets import may_be_smaller
from jobs.core.runs.reading_a_run import FROM_ROLLERS, FROM_TORQUE
from jobs.core.runs.run_facts import FITTED, RunFacts, is_corrected
from jobs.core.runs.units import POWER, SPEED

TWO_STROKES = (
    "These standards were fitted to four-strokes. A two-stroke loses another share to friction, and its pipe shifts "
    "with the heat, so measured power stands beside it in the table."
)
CHANGED_BY_PERCENT = 0.5  # of the mixture: less than any jet makes


def air_words(air: Air) -> str:
    """What was written down, and how dense that air is.

    >>> air_words(Air(974.5, 30, 40))
    '974.5 hPa, 30 °C, 40 % humidity, 1.112 kg/m³'
    """
    return (
        f"{air.pressure_hpa:g} hPa, {air.temperature_c:g} °C, {air.humidity_percent:g} % humidity, "
        f"{air.density_kg_m3:.3f} kg/m³"
    )


def correction_sentences(runs: Sequence[RunFacts]) -> list[str]:
    """For the curves of these runs together: the standard, each factor, the air; or why nothing is corrected."""
    if is_corrected(runs):
        made = [run.correction for run in runs]
        standard = next(one.standard for one in made if one)
        return [f"Corrected to {standard.says}, that is to {standard.air_words}: {_factors(runs)}.", TWO_STROKES]
    return ["Not corrected: shown as measured.", *filter(None, map(_why_not, runs))]


def _factors(runs: Sequence[RunFacts]) -> str:
    """Runs in the same air together."""
    letters: dict[Air, list[str]] = {}
    for run in runs:
        if run.air:
            letters.setdefault(run.air, []).append(run.letter)
    factor = {run.air: run.factor for run in runs}
    named = ((air, f"run{'s' if len(these) > 1 else ''} {', '.join(these)}") for air, these in letters.items())
    return "; ".join(f"{name} times {factor[air]:.4f} ({air_words(air)})" for air, name in named)


def _why_not(run: RunFacts) -> str:
    made = run.correction
    if made is not None and made.why_not:
        return f"Run {run.letter} is outside the range of {made.standard.says}: {made.why_not}."
    if made is None and run.air is None:
        return f"The air at run {run.letter} was not written down."
    return ""


def how_sentence(how: str, *, window_s: float, lost_w: float | None, inertia_kg_m2: float | None) -> str:
    """How the power came about, and the smoothing."""
    if how == FROM_ROLLERS:
        came = f"Power from how the rollers gain speed, with an inertia of {inertia_kg_m2:g} kg·m²"
        kilowatts = (lost_w or 0) / POWER.unit("kW").scale
        came += f"; what the run-down lost is added, {kilowatts:.1f} kW at the top" if lost_w is not None else ""
    elif how == FROM_TORQUE:
        came = "Power from the logged torque and revs"
    else:
        came = "Power as the logger gives it"
    smooth = f"smoothed by straight lines over {window_s:g} s, twice" if window_s else "not smoothed"
    return f"{came}; {smooth}; means of every {STEP_RPM} rpm."


def fitted_words(run: RunFacts) -> str:
    """The jet log in one line.

    >>> from jobs.core.runs.curve import PowerCurve
    >>> fitted_words(RunFacts("", "A", PowerCurve((), ()), None, "none", {"main_jet": "98", "plug": "8"}))
    'main jet 98, plug 8'
    """
    return ", ".join(f"{FITTED[name].split(',')[0].lower()} {said}" for name, said in run.fitted.items())


def spread_sentence(values: Sequence[float], unit: str) -> str:
    """values: the peaks of runs that repeat each other, in the unit.

    >>> spread_sentence([18.1, 18.4, 18.2], "hp")
    '3 runs with the same things fitted: 18.1 to 18.4 hp at the peak.'
    """
    if len(values) == 1:
        return "One run: how far the next would differ is not known. Two more with the same things fitted would say."
    return f"{len(values)} runs with the same things fitted: {min(values):.1f} to {max(values):.1f} {unit} at the peak."


def gearing_sentence(km_h_per_rpm: float, *, gear: str = "the gear of the run") -> str:
    """For whoever says at which road speed something happens. gear: in words.

    >>> gearing_sentence(0.0148)
    'In the gear of the run 1,000 rpm are 14.8 km/h or 9.2 mph, so 50 km/h are 3,378 rpm and 50 mph are 5,437 rpm.'
    """
    km_h = 1000 * km_h_per_rpm
    mph = SPEED.unit("mph").scale
    return (
        f"In {gear} 1,000 rpm are {km_h:.1f} km/h or {km_h / mph:.1f} mph, so 50 km/h are "
        f"{50 / km_h_per_rpm:,.0f} rpm and 50 mph are {50 * mph / km_h_per_rpm:,.0f} rpm."
    )


def leaner_jet_sentence(before: RunFacts, after: RunFacts) -> str:
    """The caution where the main jet went down between two runs; empty if it did not."""
    jets = before.fitted.get("main_jet", ""), after.fitted.get("main_jet", "")
    if not all(jets) or not may_be_smaller(before=jets[0], after=jets[1]):
        return ""
    return (
        f"Run {after.letter} has a smaller main jet, {jets[1]} in place of {jets[0]}: leaner. A lean mixture runs hot "
        "and can seize the engine. Read the plug after a run at working load."
    )


def mixture_sentence(now: Air, before: Air, *, name: str) -> str:
    """What the change of the air means for the same jets. name: of the earlier run."""
    changed = richer_percent(now, before)
    thinner = 100 * (1 - now.density_kg_m3 / before.density_kg_m3)
    air = f"The air is {abs(thinner):.1f} % {'thinner' if thinner > 0 else 'denser'} than at {name}"
    if abs(changed) < CHANGED_BY_PERCENT:
        return f"{air}: the same jets mean about the same mixture."
    side = "richer" if changed > 0 else "leaner"
    care = "" if changed > 0 else " A lean mixture runs hot and can seize the engine: read the plug."
    return f"{air}: with the same jets about {abs(changed):.1f} % {side} (square-root rule, a rule of thumb).{care}"
