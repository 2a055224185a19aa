"""What an owner gets on paper of a visit whose card is closed: no prices, no names of who did what, no notes."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnostics.core.readings import line_told
from diagnostics.pages.causes import cause_lines
from diagnostics.pages.gate_readings import gate_readings
from garage.core.text.languages import in_figures, told
from garage.models.safety import SafetyRemark
from garage.models.visits import Visit
from garage.reads.safety import safety_remarks_of
from jobs.core.runs.air import Air
from jobs.core.watch_words import ON_THE_ROLLERS, watch_words
from jobs.models.cards import Card, CardLine
from jobs.models.runs import Run
from jobs.models.service import ServiceReminder
from jobs.pages.jets import smaller_main_jet
from jobs.pages.runs import ShownRuns, shown_runs
from jobs.reads.access import closed_card_of

DONE = (CardLine.WORK, CardLine.JET, CardLine.PART)


@dataclass(frozen=True)
class BeforeAndAfter:
    """Of what was read once, one of the two is empty."""

    says: str
    before: str
    after: str

    @property
    def once(self) -> str:
        """The only value; empty where there are two."""
        return "" if self.before and self.after else self.before or self.after


@dataclass(frozen=True)
class VisitReport:
    """readings: of the gates and of the card. done: work, jets and parts, oldest first."""

    visit: Visit
    card: Card
    causes: list[str]
    found_good: list[str]
    readings: list[BeforeAndAfter]
    shown: ShownRuns
    done: list[CardLine]
    watch: list[str]
    service: ServiceReminder | None
    safety: list[SafetyRemark]


def visit_report(visit: Visit) -> VisitReport:
    """Raises Http404 while the card is open."""
    card, named, shown = closed_card_of(visit), cause_lines(visit), shown_runs(visit)
    lines = [line for line in card.lines.all() if line.struck_at is None]
    return VisitReport(
        visit=visit,
        card=card,
        causes=[line.says for line in named if not line.cause.found_good],
        found_good=[line.says for line in named if line.cause.found_good],
        readings=[*_at_the_gates(visit), *_on_the_card(lines)],
        shown=shown,
        done=[line for line in lines if line.what in DONE],
        watch=_watch(lines, shown),
        service=getattr(card.visit, "service_reminder", None),
        safety=list(safety_remarks_of(visit)),
    )


def _at_the_gates(visit: Visit) -> list[BeforeAndAfter]:
    """The first and the last of each: a machine that was put right passes a second gate."""
    said: dict[str, list[str]] = {}
    for reading in gate_readings(visit):
        said.setdefault(reading.says, []).append(reading.said)
    return [BeforeAndAfter(says, all_of[0], all_of[-1] if len(all_of) > 1 else "") for says, all_of in said.items()]


def _on_the_card(lines: list[CardLine]) -> list[BeforeAndAfter]:
    return [
        BeforeAndAfter(
            _what(line),
            f"{_figures(line.before)} {told(line.unit)}".strip() if line.before else "",
            f"{_figures(line.after)} {told(line.unit)}".strip() if line.after else "",
        )
        for line in lines
        if line.what == CardLine.READING
    ]


def _what(line: CardLine) -> str:
    says = line_told(line.words)
    return told("{what}, at {rpm} rpm", what=says, rpm=in_figures(f"{line.rpm:,}")) if line.rpm else says


def _figures(typed: str) -> str:
    """A number, which was typed with a point; anything else stays as it was typed."""
    return in_figures(typed) if re.fullmatch(r"[-−]?\d+\.\d+", typed) else typed


def _watch(lines: list[CardLine], shown: ShownRuns) -> list[str]:
    jet = smaller_main_jet(lines)
    said = watch_words(main_jet=(jet.before, jet.after) if jet else None, air=_last_air(shown.standing_runs))
    return [*said, told(ON_THE_ROLLERS)] if shown.standing else said


def _last_air(runs: list[Run]) -> Air | None:
    airs = [run.air for run in runs if run.air]
    return Air(**airs[-1]) if airs else None
