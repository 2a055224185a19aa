"""A machine's history: its visits, the cause each time, what is fitted, and its owners."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from diagnostics.models.causes import Cause
from diagnostics.models.gates import Gate
from diagnostics.pages.packers import PackersShown, packers_shown
from diagnostics.pages.timing import DegreesShown, StrobeShown, degrees_shown, strobe_shown
from diagnostics.reads.causes import cause_words
from diagnostics.reads.gates import gates_with_readings
from garage.models.owners import Join, Machine
from garage.models.visits import Visit
from garage.reads.gearing import gearing_on_file
from jobs.core.runs.run_words import gearing_sentence
from jobs.models.book import Invoice
from jobs.models.cards import Card, CardLine
from jobs.reads.access import invoices_for_work
from jobs.reads.runs import letters_by_visit


@dataclass(frozen=True)
class Past:
    visit: Visit
    card: Card | None
    causes: list[str]
    found_good: list[str]
    jets: list[CardLine]
    runs: str
    invoice: Invoice | None


@dataclass(frozen=True)
class Had:
    """An owner, and the first visit in a row under that owner."""

    name: str
    since: datetime


@dataclass(frozen=True)
class Timing:
    """strobe: the latest readings. earlier: previous gates with readings, newest first."""

    strobe: StrobeShown | None
    earlier: list[Gate]
    degrees: DegreesShown
    packers: PackersShown


@dataclass(frozen=True)
class MachinePage:
    machine: Machine
    facts: list[tuple[str, str]]
    fitted: list[tuple[str, str]]
    past: list[Past]
    owners: list[Had]
    joins: list[Join]
    timing: Timing
    gearing: str


def machine_page(machine: Machine) -> MachinePage:
    visits = list(machine.visits.select_related("owner", "kind", "card").order_by("-number"))
    ids = [visit.pk for visit in visits]
    invoices = {invoice.visit_id: invoice for invoice in invoices_for_work().filter(visit__in=ids)}
    causes, jets, runs = _causes(ids), _jets(ids), letters_by_visit(ids)
    past = [
        Past(
            visit=visit,
            card=getattr(visit, "card", None),
            causes=[cause_words(row) for row in causes[visit.pk] if not row.found_good],
            found_good=[cause_words(row) for row in causes[visit.pk] if row.found_good],
            jets=jets[visit.pk],
            runs=", ".join(runs[visit.pk]),
            invoice=invoices.get(visit.pk),
        )
        for visit in visits
    ]
    joined = Join.objects.filter(Q(what="machine", kept_id=machine.pk), undone_at=None).select_related("by")
    fitted = sorted(machine.fitted.items())
    facts = _facts(machine)
    return MachinePage(machine, facts, fitted, past, _owners(visits), list(joined), _timing(machine), _gearing(machine))


def _gearing(machine: Machine) -> str:
    """Empty where it is not written down."""
    on_file = gearing_on_file(machine)
    return gearing_sentence(1 / on_file.top, gear=on_file.top_says) if on_file else ""


def _timing(machine: Machine) -> Timing:
    gates = gates_with_readings(machine)
    return Timing(
        strobe=strobe_shown(machine, gates),
        earlier=gates[1:],
        degrees=degrees_shown(machine),
        packers=packers_shown(machine, gates),
    )


def _causes(ids: list[int]) -> dict[int, list[Cause]]:
    found: dict[int, list[Cause]] = defaultdict(list)
    for cause in Cause.objects.filter(visit__in=ids, withdrawn_at=None):
        found[cause.visit_id].append(cause)
    return found


def _jets(ids: list[int]) -> dict[int, list[CardLine]]:
    found: dict[int, list[CardLine]] = defaultdict(list)
    for line in CardLine.objects.filter(card__visit__in=ids, what=CardLine.JET, struck_at=None).select_related("card"):
        found[line.card.visit_id].append(line)
    return found


def _owners(visits: list[Visit]) -> list[Had]:
    """Oldest first, with a new row each time the owner changes."""
    had: list[Had] = []
    for visit in reversed(visits):
        if not had or had[-1].name != visit.owner.name:
            had.append(Had(visit.owner.name, visit.booked_at))
    return had


def _facts(machine: Machine) -> list[tuple[str, str]]:
    """The machine's own measures if it differs from its kind, else the kind's. Unknown ones are left out."""
    kind = machine.kind
    measures = {
        "Fires per turn": ("fires_per_turn", ""),
        "Gearbox": ("gearbox", ""),
        "Ignition": ("ignition", ""),
        "Fed by": ("fed_by", ""),
        "Two-stroke oil": ("oiling", ""),
        "Fuel tap": ("tap", ""),
        "Stroke": ("stroke_mm", "mm"),
        "Rod": ("rod_mm", "mm"),
        "Flywheel": ("flywheel_mm", "mm across"),
        "Static timing": ("spec_btdc", "degrees BTDC"),
        "Its curve": ("spec_curve", ""),
        "Reaches and holds on the stand": ("design_rpm", "rpm"),
        "Primary reduction": ("primary_ratio", ""),
        "Gear ratios": ("gear_ratios", ""),
        "Final drive": ("final_ratio", ""),
        "Tyre": ("tyre", ""),
    }
    facts = [("Kind", str(kind))] if kind else []
    facts += [("Year", str(machine.year))] if machine.year else []
    facts += [("Registration", machine.registration)] if machine.registration else []
    for name, (field, unit) in measures.items():
        own, kinds = getattr(machine, field), getattr(kind, field, None)
        value = own if own not in (None, "") else kinds
        if value not in (None, ""):
            differs = kinds not in (None, "", value)
            facts.append((name, f"{_plain(value)} {unit}".strip() + (" (not as its kind)" if differs else "")))
    return facts


def _plain(value: object) -> str:
    if isinstance(value, int):
        return f"{value:,}"
    text = str(value)
    return text.rstrip("0").rstrip(".") if "." in text else text
