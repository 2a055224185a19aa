"""The roller runs of a visit: their curves, peaks and what is said of them; and a file that waits to be one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from garage.core.machines.gearing import roll_out_mm, rpm_per_km_h
from garage.core.text.languages import in_figures, told
from garage.models.visits import Visit
from garage.output.pictures import as_data
from jobs.core.runs.curve import Peak, PowerBand, band_of, peak_power, peak_torque
from jobs.core.runs.logger.column_names import ColumnName, Holds, guesses
from jobs.core.runs.logger.logger_table import LoggerHead, read_head
from jobs.core.runs.run_facts import Repeats, RunFacts, is_corrected, repeats_of
from jobs.core.runs.run_words import (
    correction_sentences,
    fitted_words,
    gearing_sentence,
    how_sentence,
    leaner_jet_sentence,
    mixture_sentence,
    spread_sentence,
)
from jobs.core.runs.units import POWER, TORQUE
from jobs.models.runs import RollersSetUp, Run, RunFile
from jobs.pages.run_picture import ON_PAGE, ON_PAPER, ON_WALL, DrawnRuns, PictureForm, PictureUnits, run_picture
from jobs.reads.access import card_of
from jobs.reads.runs import content_of, facts_of, known_columns, last_run_before, rollers_set_up, runs_of

PX_PER_IN = 100  # of the picture's width and height in a page; it is drawn to whatever width there is


@dataclass(frozen=True)
class RunLine:
    """A row of the table, in the garage's units. corrected: empty where only measured power is shown."""

    run: Run
    fitted: str
    measured: str
    corrected: str
    torque: str
    how: str


@dataclass(frozen=True)
class DrawnPicture:
    """What the picture shows, and the same in words."""

    after: DrawnRuns
    before: DrawnRuns | None
    units: PictureUnits
    says: str

    @property
    def has_air_fuel(self) -> bool:
        return any(runs.air_fuel for runs in (self.before, self.after) if runs)

    def high_px(self, form: PictureForm) -> int:
        return round(PX_PER_IN * sum(form.high_in(has_air_fuel=self.has_air_fuel)))

    @property
    def page_high_px(self) -> int:
        return self.high_px(ON_PAGE)

    @property
    def wall_high_px(self) -> int:
        return self.high_px(ON_WALL)

    def svg(self, form: PictureForm) -> bytes:
        return run_picture(self.after, self.before, self.units, form)


@dataclass(frozen=True)
class ShownRuns:
    """The runs of a visit on any page or paper. lines: oldest first, struck out ones too. sentences: below the curves.
    picture: None with nothing to draw. care: of a smaller main jet, for the workshop; may be empty.
    """

    lines: list[RunLine]
    sentences: list[str]
    picture: DrawnPicture | None
    care: str = ""

    @property
    def letters(self) -> str:
        """Of those that stand: a picture with other letters is another one."""
        return "".join(line.run.letter for line in self.lines if line.run.struck_at is None)

    @property
    def standing(self) -> list[RunLine]:
        return [line for line in self.lines if line.run.struck_at is None]

    @property
    def newest_first(self) -> list[RunLine]:
        """On the wall nobody scrolls."""
        return self.standing[::-1]

    @property
    def standing_runs(self) -> list[Run]:
        return [line.run for line in self.standing]


@dataclass(frozen=True)
class RunsPage:
    """is_closed: the card, so that no run can be added."""

    visit: Visit
    shown: ShownRuns
    is_closed: bool


@dataclass(frozen=True)
class FileColumn:
    """number: counted from 0. first: what stands in the first rows."""

    number: int
    name: ColumnName
    first: tuple[str, ...]
    guess: Holds | None


@dataclass(frozen=True)
class FilePage:
    """is_known: whether the garage has said before what such a file's columns are."""

    file: RunFile
    head: LoggerHead
    columns: list[FileColumn]
    is_known: bool


def runs_page(visit: Visit) -> RunsPage:
    card = card_of(visit)
    return RunsPage(visit, shown_runs(visit), is_closed=bool(card and card.closed_at))


def shown_runs(visit: Visit) -> ShownRuns:
    """One query for a visit without runs."""
    rows = runs_of(visit)
    if not rows:
        return ShownRuns([], [], None)
    units, facts = units_of(rollers_set_up()), {run.pk: facts_of(run) for run in rows}
    groups = repeats_of([facts[run.pk] for run in rows if run.struck_at is None])
    return ShownRuns(
        lines=[_line(run, facts[run.pk], units) for run in rows],
        sentences=[*_sentences(visit, groups, units), *_gearing(rows)] if groups else [],
        picture=_picture(groups, units),
        care=leaner_jet_sentence(groups[0].runs[0], groups[-1].runs[-1]) if groups else "",
    )


def curve_on_paper(shown: ShownRuns) -> str:
    """The picture as an address that holds it. Empty with nothing to draw."""
    return as_data(shown.picture.svg(ON_PAPER)) if shown.picture else ""


def units_of(set_up: RollersSetUp) -> PictureUnits:
    return PictureUnits(
        power=set_up.power_unit,
        power_scale=POWER.unit(set_up.power_unit).scale,
        torque=set_up.torque_unit,
        torque_scale=TORQUE.unit(set_up.torque_unit).scale,
    )


def file_page(file: RunFile) -> FilePage:
    """With what was said of such a file before, else a guess at each column."""
    head = read_head(content_of(file))
    known = known_columns(head.columns)
    guessed = guesses(head.columns) if known is None else known
    columns = [
        FileColumn(index, name, tuple(row[index] for row in head.shown), guessed.get(index))
        for index, name in enumerate(head.columns)
    ]
    return FilePage(file, head, columns, known is not None)


def _line(run: Run, facts: RunFacts, units: PictureUnits) -> RunLine:
    power, torque = peak_power(facts.curve), peak_torque(facts.curve)
    rollers = run.said["rollers"] or {}
    is_shown = is_corrected([facts])
    window = {"window_s": run.said["window_s"], "lost_w": run.lost_w}
    return RunLine(
        run=run,
        fitted=fitted_words(facts),
        measured=_peak_words(power, units.power_scale, units.power),
        corrected=_peak_words(replace(power, value=power.value * facts.factor), units.power_scale, units.power)
        if is_shown
        else "",
        torque=_peak_words(torque, units.torque_scale, units.torque),
        how=how_sentence(run.how, **window, inertia_kg_m2=rollers.get("inertia_kg_m2")),
    )


def _peak_words(peak: Peak, scale: float, unit: str) -> str:
    power, rpm = in_figures(f"{peak.value / scale:.1f}"), in_figures(f"{peak.rpm:,}")
    return told("{power} {unit} at {rpm} rpm", power=power, unit=unit, rpm=rpm)


def _sentences(visit: Visit, groups: Sequence[Repeats], units: PictureUnits) -> list[str]:
    """Of the runs that are drawn."""
    drawn = [run for group in _drawn(groups) for run in group.runs]
    said, last = correction_sentences(drawn), groups[-1]
    factors = [run.factor if is_corrected(drawn) else 1.0 for run in last.runs]
    peaks = [
        peak_power(run.curve).value * factor / units.power_scale for run, factor in zip(last.runs, factors, strict=True)
    ]
    said.append(spread_sentence(peaks, units.power))
    earlier, air = last_run_before(visit), last.runs[-1].air
    if earlier and air and (before := facts_of(earlier)).air:
        said.append(mixture_sentence(air, before.air, name=before.name))
    return said


def _gearing(rows: Sequence[Run]) -> list[str]:
    """Of the last run whose gearing was said."""
    said = [run.said for run in rows if run.struck_at is None and run.said["reduction"]]
    if not said:
        return []
    return [gearing_sentence(1 / rpm_per_km_h(said[-1]["reduction"], roll_out_mm(said[-1]["tyre"])))]


def _drawn(groups: Sequence[Repeats]) -> list[Repeats]:
    """The first and the last, or the only one."""
    return [groups[0], groups[-1]] if len(groups) > 1 else [*groups]


def _picture(groups: Sequence[Repeats], units: PictureUnits) -> DrawnPicture | None:
    """None without runs, or if those with the same things fitted have no revs in common."""
    chosen = _drawn(groups)
    are_corrected = is_corrected([run for group in chosen for run in group.runs])
    drawn = [_drawn_runs(group, are_corrected=are_corrected) for group in chosen]
    if not drawn or drawn[-1] is None:
        return None
    after, before = drawn[-1], drawn[0] if len(drawn) > 1 else None
    says = [f"{runs.name} {_band_words(runs.band, units)}" for runs in (before, after) if runs]
    words = told("Power over the revs: {peaks}. The table below says the same.", peaks="; ".join(says))
    return DrawnPicture(after, before, units, words)


def _band_words(band: PowerBand, units: PictureUnits) -> str:
    highest = max(band.mean)
    return _peak_words(Peak(highest, band.rpm[band.mean.index(highest)]), units.power_scale, units.power)


def _drawn_runs(group: Repeats, *, are_corrected: bool) -> DrawnRuns | None:
    curves = [
        replace(run.curve, power_w=tuple(power * (run.factor if are_corrected else 1.0) for power in run.curve.power_w))
        for run in group.runs
    ]
    band, fuel = band_of(curves), group.runs[-1].curve
    if band is None:
        return None
    return DrawnRuns(group.name, band, tuple(zip(fuel.rpm, fuel.air_fuel, strict=True)) if fuel.air_fuel else ())
