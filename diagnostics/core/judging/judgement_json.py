"""A judgement to JSON values and back, unrounded, as it is stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from diagnostics.core.judging.judgement import (
    AskNext,
    BenchStep,
    BookedForTheBench,
    Caution,
    Cheapest,
    Judgement,
    KeptOffTheRollers,
    Reason,
    RichPowerRun,
    RichSetUp,
    Stopped,
    Why,
)
from garage.core.errors import BadInput

VERSION = 2  # raise it when a key, a kind or a caution changes
READ = (1, VERSION)  # version 1 knows no kind "kept-off" and no caution "leak", and is otherwise the same
KINDS: dict[type[Why], str] = {
    Stopped: "stopped",
    KeptOffTheRollers: "kept-off",
    BookedForTheBench: "booked-for-the-bench",
    RichSetUp: "rich-set-up",
    RichPowerRun: "rich-power-run",
    Cheapest: "cheapest",
}


def to_json(judgement: Judgement) -> dict[str, Any]:
    """Plain JSON values; floats keep every digit.

    >>> why_to_json(Cheapest(523.25, "phone-first"))
    {'kind': 'cheapest', 'by_pence': 523.25, 'next_route': 'phone-first'}
    """
    return {
        "version": VERSION,
        "case": judgement.case,
        "edition": judgement.edition,
        "route": judgement.route,
        "why": why_to_json(judgement.why),
        "chances": dict(judgement.chances),
        "groups": dict(judgement.groups),
        "because": [asdict(reason) for reason in judgement.because],
        "ask_next": None if judgement.ask_next is None else asdict(judgement.ask_next),
        "bench_order": [step._asdict() for step in judgement.bench_order],
        "expected_bench_minutes": judgement.expected_bench_minutes,
        "cautions": [caution.value for caution in judgement.cautions],
        "spoilt_chance": judgement.spoilt_chance,
        "route_costs_pence": dict(judgement.route_costs_pence),
    }


def from_json(values: Mapping[str, Any]) -> Judgement:
    """The inverse of to_json. Raises BadInput for an unknown version."""
    if values.get("version") not in READ:
        raise BadInput("version", values.get("version"), f"{' or '.join(map(str, READ))}, as judgements are kept")
    asked = values["ask_next"]
    return Judgement(
        case=values["case"],
        edition=values["edition"],
        route=values["route"],
        why=_why_from_json(values["why"]),
        chances=values["chances"],
        groups=values["groups"],
        because=tuple(Reason(**reason) for reason in values["because"]),
        ask_next=None if asked is None else AskNext(**asked),
        bench_order=tuple(BenchStep(**step) for step in values["bench_order"]),
        expected_bench_minutes=values["expected_bench_minutes"],
        cautions=tuple(Caution(caution) for caution in values["cautions"]),
        spoilt_chance=values["spoilt_chance"],
        route_costs_pence=values["route_costs_pence"],
    )


def why_to_json(why: Why) -> dict[str, Any]:
    fields = {key: list(value) if isinstance(value, tuple) else value for key, value in asdict(why).items()}
    return {"kind": KINDS[type(why)], **fields}


def _why_from_json(values: Mapping[str, Any]) -> Why:
    kind = next(kind for kind, name in KINDS.items() if name == values["kind"])
    fields: dict[str, Any] = {key: value for key, value in values.items() if key != "kind"}
    if "findings" in fields:
        fields["findings"] = tuple(fields["findings"])
    return kind(**fields)
