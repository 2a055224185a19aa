"""Main jets of a machine: which is in, and what the rule of the rollers takes before a smaller one goes in."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from diagnostics.reads.gates import not_for_the_road_of
from garage.core.roller_rule import RollerFacts
from garage.models.shop import ROLLER
from garage.models.visits import Visit
from garage.reads.roller_facts import roller_facts_of
from jobs.core.runs.jets import MAIN_JET, is_main_jet
from jobs.models.cards import CardLine
from jobs.models.runs import Run


def main_jet_of(visit: Visit) -> str:
    """What cards and runs of the machine said last; a jet that only came out is what was in. Empty: nobody knows."""
    said: list[tuple[datetime, str]] = []
    jets = CardLine.objects.filter(card__visit__machine=visit.machine_id, what=CardLine.JET, struck_at=None)
    for at, words, before, after in jets.order_by("-at", "-id").values_list("at", "words", "before", "after"):
        if is_main_jet(words):
            said.append((at, after or before))
            break
    ran = Run.objects.filter(visit__machine=visit.machine_id, struck_at=None, fitted__main_jet__isnull=False)
    if last := ran.order_by("day", "id").last():
        said.append((last.at, last.fitted["main_jet"]))
    return max(said)[1] if said else visit.machine.fitted.get(MAIN_JET, "")


def jet_facts_of(visit: Visit, *, pulled_clean: bool = False) -> RollerFacts:
    """pulled_clean: a person's word, for a garage whose rollers keep no file. It counts once the session has begun and
    while no run of the visit says anything else.
    """
    facts = roller_facts_of(visit)
    return replace(
        facts,
        failed_for_good=not_for_the_road_of(visit),
        has_pulled_clean=has_pulled_clean(visit, word=pulled_clean),
    )


def has_pulled_clean(visit: Visit, *, word: bool) -> bool:
    """By the last run that says so, else by the word."""
    runs = Run.objects.filter(visit=visit, struck_at=None).exclude(pulled_clean=None)
    last = runs.order_by("day", "id").values_list("pulled_clean", flat=True).last()
    if last is not None:
        return bool(last)
    return word and visit.steps.filter(at=ROLLER, began_at__isnull=False).exists()
