"""A run in English: how its curve came about, what it was corrected by, what its peaks are."""

from __future__ import annotations

from collections.abc import Sequence

from garage.core.text.languages import in_figures, told, told_later
from jobs.core.runs.air import Air, richer_percent
from jobs.core.runs.curve import STEP_RPM
from jobs.core.runs.jets import may_be_smaller
from jobs.core.runs.reading_a_run import FROM_ROLLERS, FROM_TORQUE
from jobs.core.runs.run_facts import RunFacts, is_corrected
from jobs.core.runs.units import POWER, SPEED

FITTED_WORDS = {  # within a sentence; the form's labels are longer (run_facts.py)
    "main_jet": told_later("main jet"),
    "needle": told_later("needle"),
    "clip": told_later("clip"),
    "slide": told_later("slide"),
    "idle_jet": told_later("idle jet"),
    "float_height": told_later("float height"),
    "plug": told_later("plug"),
    "timing": told_later("timing"),
}
TWO_STROKES = told_later(
    "These standards were fitted to four-strokes. A two-stroke loses another share to friction, and its pipe shifts "
    "with the heat, so measured power stands beside it in the table."
)
CHANGED_BY_PERCENT = 0.5  # of the mixture: less than any jet makes


def air_words(air: Air) -> str:
    """What was written down, and how dense that air is.

    >>> air_words(Air(974.5, 30, 40))
    '974.5 hPa, 30 °C, 40 % humidity, 1.112 kg/m³'
    """
    return told(
        "{pressure} hPa, {temperature} °C, {humidity} % humidity, {density} kg/m³",
        pressure=in_figures(f"{air.pressure_hpa:g}"),
        temperature=in_figures(f"{air.temperature_c:g}"),
        humidity=in_figures(f"{air.humidity_percent:g}"),
        density=in_figures(f"{air.density_kg_m3:.3f}"),
    )


def correction_sentences(runs: Sequence[RunFacts]) -> list[str]:
    """For the curves of these runs together: the standard, each factor, the air; or why nothing is corrected."""
    if is_corrected(runs):
        made = [run.correction for run in runs]
        standard = next(one.standard for one in made if one)
        values = {"standard": standard.says, "air": told(standard.air_words), "factors": _factors(runs)}
        return [told("Corrected to {standard}, that is to {air}: {factors}.", **values), told(TWO_STROKES)]
    return [told("Not corrected: shown as measured."), *filter(None, map(_why_not, runs))]


def _factors(runs: Sequence[RunFacts]) -> str:
    """Runs in the same air together."""
    letters: dict[Air, list[str]] = {}
    for run in runs:
        if run.air:
            letters.setdefault(run.air, []).append(run.letter)
    factor = {run.air: run.factor for run in runs}
    return "; ".join(_factor(these, factor[air], air) for air, these in letters.items())


def _factor(letters: Sequence[str], factor: float, air: Air) -> str:
    values = {"letters": ", ".join(letters), "factor": in_figures(f"{factor:.4f}"), "air": air_words(air)}
    if len(letters) == 1:
        return told("run {letters} times {factor} ({air})", **values)
    return told("runs {letters} times {factor} ({air})", **values)


def _why_not(run: RunFacts) -> str:
    made = run.correction
    if made is not None and made.why_not:
        values = {"letter": run.letter, "standard": made.standard.says, "why": made.why_not}
        return told("Run {letter} is outside the range of {standard}: {why}.", **values)
    if made is None and run.air is None:
        return told("The air at run {letter} was not written down.", letter=run.letter)
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
    return ", ".join(f"{told(FITTED_WORDS[name])} {said}" for name, said in run.fitted.items())


def spread_sentence(values: Sequence[float], unit: str) -> str:
    """values: the peaks of runs that repeat each other, in the unit.

    >>> spread_sentence([18.1, 18.4, 18.2], "hp")
    '3 runs with the same things fitted: 18.1 to 18.4 hp at the peak.'
    """
    if len(values) == 1:
        return told(
            "One run: how far the next would differ is not known. Two more with the same things fitted would say."
        )
    return told(
        "{count} runs with the same things fitted: {least} to {most} {unit} at the peak.",
        count=len(values),
        least=in_figures(f"{min(values):.1f}"),
        most=in_figures(f"{max(values):.1f}"),
        unit=unit,
    )


def gearing_sentence(km_h_per_rpm: float, *, gear: str = "") -> str:
    """For whoever says at which road speed something happens. gear: in words, if it is not that of the run.

    >>> gearing_sentence(0.0148)
    'In the gear of the run 1,000 rpm are 14.8 km/h or 9.2 mph, so 50 km/h are 3,378 rpm and 50 mph are 5,437 rpm.'
    """
    km_h = 1000 * km_h_per_rpm
    mph = SPEED.unit("mph").scale
    return told(
        "In {gear} {thousand} rpm are {km_h} km/h or {mph} mph, so 50 km/h are {at_km_h} rpm and 50 mph are "
        "{at_mph} rpm.",
        gear=gear or told("the gear of the run"),
        thousand=in_figures("1,000"),
        km_h=in_figures(f"{km_h:.1f}"),
        mph=in_figures(f"{km_h / mph:.1f}"),
        at_km_h=in_figures(f"{50 / km_h_per_rpm:,.0f}"),
        at_mph=in_figures(f"{50 * mph / km_h_per_rpm:,.0f}"),
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
    by = {"percent": in_figures(f"{abs(thinner):.1f}"), "name": name}
    is_thinner = thinner > 0
    air = (
        told("The air is {percent} % thinner than at {name}", **by)
        if is_thinner
        else told("The air is {percent} % denser than at {name}", **by)
    )
    changed_by = in_figures(f"{abs(changed):.1f}")
    if abs(changed) < CHANGED_BY_PERCENT:
        return told("{air}: the same jets mean about the same mixture.", air=air)
    if changed > 0:
        return told(
            "{air}: with the same jets about {percent} % richer (square-root rule, a rule of thumb).",
            air=air,
            percent=changed_by,
        )
    return told(
        "{air}: with the same jets about {percent} % leaner (square-root rule, a rule of thumb). A lean mixture runs "
        "hot and can seize the engine: read the plug.",
        air=air,
        percent=changed_by,
    )
