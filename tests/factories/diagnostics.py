"""A visit with its check sheet filled, and a gate with everything in order: a test states only what it is about."""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from diagnostics.changes import gate_answers, gates, sheets
from diagnostics.core.findings import BREAKS_DOWN, REVS_OUT, UNCLEAR
from diagnostics.core.gate_list import HIGHEST_REVS, ITEMS, LINES, STRAPPED_DOWN
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.hearing.changes import hearing, taking_in
from diagnostics.hearing.core.heard import Heard, HeardReason
from diagnostics.hearing.models.clips import Clip
from diagnostics.models.gates import Gate
from diagnostics.models.judgements import KeptJudgement
from diagnostics.reads.judgement import latest
from garage.core import states
from garage.core.errors import Refused
from garage.models.people import Person
from garage.models.shop import VisitKind
from garage.models.visits import SoldPiece, Visit
from tests.factories import garage

HEALTHY = {
    "trouble": "none",
    "where": "everywhere",
    "changed": ["nothing"],
    "nipped": "no",
    "pinking": "no",
    "rev_out": "clean",
}
FALSE_CEILING = HEALTHY | {"trouble": "misfires", "where": "top", "rev_out": "ceiling", "came_on": "suddenly"}
MERELY_RICH = HEALTHY | {
    "trouble": "four-strokes",
    "where": "top",
    "changed": ["jets-bigger"],
    "rev_out": "smoky",
    "plug": "black-dry",
    "half_choke": "worse",
}
PINKING = HEALTHY | {"trouble": "down-on-power", "pinking": "yes"}


def answered(visit: Visit, answers: dict[str, Any], **more: Any) -> Visit:
    """The owner's answers, put down one by one in the order given."""
    given = answers | more
    for question, answer in given.items():
        if question == "rev_out":
            if "yes" not in (given.get("nipped"), given.get("pinking")):
                sheets.answer_rev_out(visit, given=answer, ticks=[], now=timezone.now())
        else:
            sheets.answer(visit, question=question, given=answer, now=timezone.now())
    return visit


def visit_to_judge(kind: VisitKind | None = None, **shop: object) -> Visit:
    """A machine whose kind is known, booked with a deposit, its roller time sold. shop: its settings."""
    garage.shop(**shop)
    machine, paid = garage.machine(kind=garage.machine_kind()), Decimal(30)
    visit = garage.visit(machine=machine, kind=kind, deposit=paid, deposit_paid=paid)
    if visit.at == "roller":
        SoldPiece.objects.create(at="roller", place=1, begins_at=visit.starts_at, visit=visit)
    return visit


def sheet_sent(visit: Visit, answers: dict[str, Any]) -> KeptJudgement | None:
    """The judgement of the sheet that the owner filled and sent; the visit is as it then stands."""
    sheets.send(answered(visit, answers), now=timezone.now())
    visit.refresh_from_db()
    return latest(visit)


def mails_about(visit: Visit) -> list[str]:
    """Their names, oldest first."""
    return list(visit.messages.order_by("id").values_list("what", flat=True))


def gate_sheet(**given: Any) -> GateSheet:
    """Everything in order, clean rev-out, timing in spec for 17 degrees; bad=[item ids] spoils lines."""
    bad = given.pop("bad", ())
    values: dict[str, Any] = {
        "results": {item.id: "bad" if item.id in bad else "ok" for item in ITEMS} | {HIGHEST_REVS: "na"},
        "words": {},
        "compression": (9.5, "bar"),
        "rev_out": "clean",
        "strobe": ((1400.0, 17.0), (9000.0, 16.5)),
        "second_person": "Person within call",
    }
    return GateSheet(**values | given)


def gate_answered(gate: Gate, *, by: Person, part: str = "", **given: Any) -> Gate:
    """Its lines answered as gate_sheet says, as far as they may be; part: only those of this one.

    All in one go if none is refused, which judges and saves once.
    """
    given = {"second_id": garage.person().pk} | given
    sheet = gate_sheet(**given)
    lines = [line for line in LINES if sheet.only(line.id).answered]
    mine = [line for line in lines if line.part == (part or line.part)]
    with suppress(Refused):
        whole = sheet.without([line for line in lines if line not in mine])
        return gate_answers.answer(gate, given=whole, by=by, now=timezone.now())
    for line in mine:
        with suppress(Refused):
            gate = gate_answers.answer(gate, given=sheet.only(line.id), by=by, now=timezone.now())
    return gate


def gate_ended(visit: Visit, *, by: Person, **given: Any) -> Gate:
    """Both parts done as gate_sheet says, or as far as it gets: not on the rollers if it fails at the bench."""
    gate = gates.begin(visit, by=by, now=timezone.now())
    gate = gates.end_at_the_bench(gate_answered(gate, by=by, **given), by=by, now=timezone.now())
    if gate.bench_passed_at:
        gate = gates.put_on_the_rollers(gate, station=1, by=by, now=timezone.now())
        gate_answered(gate, by=by, part=STRAPPED_DOWN, **given)
        gate = gates.end_strapped_down(gate, by=by, now=timezone.now())
    visit.refresh_from_db()
    return gate


def gate_over(**given: Any) -> Gate:
    """A gate that is over, of a machine that is here; machine, visit and state may be given."""
    machine, state = given.pop("machine", None), given.pop("state", states.HERE)
    visit = given.pop("visit", None) or garage.visit(machine=machine, state=state)
    now = timezone.now()
    values = {"visit": visit, "begun_at": now, "ended_at": now, "passed": True, "by": given.pop("by", None)}
    values["by"] = values["by"] or garage.person()
    return Gate.objects.create(**values | given)


def heard(**given: Any) -> Heard:
    """What was heard of a ceiling, met and held for three seconds; a verdict given has a reason that goes with it."""
    rpm = [1500.0] * 50 + [1500.0 + 46 * step for step in range(100)] + [6050.0] * 150 + [None] * 3 + [1500.0] * 97
    breaks_down = given.get("verdict", BREAKS_DOWN) == BREAKS_DOWN
    reasons = {REVS_OUT: HeardReason.HOLDS, BREAKS_DOWN: HeardReason.FAILS, UNCLEAR: HeardReason.DOUBT}
    values: dict[str, Any] = {
        "seconds": 8.0,
        "fires_per_turn": 1.0,
        "t0_s": 0.01,
        "step_s": 0.02,
        "rpm": tuple(rpm),
        "idle_rpm": 1500.0,
        "peak_rpm": 6050.0,
        "held": (1.5, 6.0),
        "verdict": BREAKS_DOWN,
        "ceiling_rpm": 6100.0 if breaks_down else None,
        "drop_outs": ((6.0, 6.06),),
        "confidence": 0.9,
        "reason": reasons[given.get("verdict", BREAKS_DOWN)],
        "outline": (0.2, 0.5, 1.0, 0.4),
    }
    return Heard(**values | given)


def upload(content: bytes = b"sound", name: str = "rev-out.m4a") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, "audio/mp4")


def heard_clip(visit: Visit, *, by: Person | None = None, **given: Any) -> Clip:
    """A clip that was heard, as `heard` says; without `by` the owner sent it."""
    file = upload(f"sound {Clip.objects.count()}".encode())
    clip = (
        taking_in.take_in(visit, upload=file, by=by, now=timezone.now())
        if by
        else taking_in.send(visit, upload=file, now=timezone.now())
    )
    hearing.begin_hearing(clip, timezone.now())
    hearing.keep(clip.pk, heard(**given), now=timezone.now())
    return Clip.objects.get(pk=clip.pk)
