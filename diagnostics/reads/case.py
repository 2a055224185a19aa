"""A visit as input of a judgement: its machine, what is booked, what was found, and what mistakes cost."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from typing import Any

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import UNSURE, Case, ClipVerdict, read_case
from diagnostics.core.rev_out_safety import REMARK_OF, TICKS_THAT_RULE_IT_OUT
from diagnostics.hearing.reads.heard import clip_verdict
from diagnostics.models.learning import Learned
from diagnostics.models.put_right import PutRight
from diagnostics.models.sheets import Finding, RemarkPutRight, Sheet
from diagnostics.reads.bank import question_or_none, the_bank
from diagnostics.reads.learning import bank_with, counts_now
from diagnostics.reads.machine_facts import facts_of
from diagnostics.reads.put_right import put_right_of
from garage.core.text.languages import in_figures, told
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.reads.shop import the_shop


@dataclass(frozen=True)
class VisitCase:
    """Everything a visit is judged from, read once.

    findings: current ones, by question. put_right: those of them that no longer count. learned: the shop's counts.
    ticks: those of the sheet that stand, by field name, the one for an automatic among them.
    """

    visit: Visit
    sheet: Sheet | None
    findings: Mapping[str, Finding]
    put_right: Mapping[str, PutRight]
    heard: ClipVerdict | None
    shop: Shop
    learned: Learned | None
    ticks: tuple[str, ...]

    @property
    def bank(self) -> Bank:
        """With the base rates from the shop's counts."""
        return bank_with(self.learned)

    @cached_property
    def values(self) -> dict[str, Any]:
        """The line of input to the assess command for this visit."""
        return {
            "case": f"V-{self.visit.number}",
            "machine": facts_of(self.visit, self.sheet),
            "booked": self.visit.kind.booked_as,
            "answers": _answers(self.findings, self.put_right, self.ticks),
            "heard": asdict(self.heard) if self.heard else None,
            "costs": costs_of(self.shop),
        } | ({"remarks": remarks} if (remarks := remarks_of(self.ticks)) else {})

    @cached_property
    def case(self) -> Case:
        return read_case(the_bank(), self.values)

    def with_finding(self, row: Finding) -> VisitCase:
        """A finding entered anew counts again, whatever was put right before."""
        put_right = {question: right for question, right in self.put_right.items() if question != row.question}
        return replace(self, findings={**self.findings, row.question: row}, put_right=put_right)


def visit_case(visit: Visit) -> VisitCase:
    return case_with_sheet(visit, sheet_of(visit))


def case_with_sheet(visit: Visit, sheet: Sheet | None) -> VisitCase:
    """For callers that already have the sheet."""
    findings = standing(visit)
    return VisitCase(
        visit=visit,
        sheet=sheet,
        findings=findings,
        put_right=put_right_of(visit, findings),
        heard=clip_verdict(visit, the_bank().hearing.own_verdict_confidence),
        shop=the_shop(),
        learned=counts_now(),
        ticks=standing_ticks(visit, sheet),
    )


def standing(visit: Visit) -> dict[str, Finding]:
    """The current findings, by question."""
    return {row.question: row for row in visit.findings.filter(is_standing=True).select_related("by")}


def sheet_of(visit: Visit) -> Sheet | None:
    return Sheet.objects.filter(visit=visit).first()


def standing_ticks(visit: Visit, sheet: Sheet | None) -> tuple[str, ...]:
    """The names of what is ticked on the sheet, but for what the workshop has put right since."""
    ticked = () if sheet is None else tuple(name for name in Sheet.TICKS if getattr(sheet, name))
    if not remarks_of(ticked):
        return ticked
    done = set(RemarkPutRight.objects.filter(visit=visit).values_list("remark", flat=True))
    return tuple(name for name in ticked if REMARK_OF.get(name) not in done)


def remarks_of(ticks: Collection[str]) -> list[str]:
    """Ticks as remarks, ids as in the manual of `assess`."""
    return [remark for name, remark in REMARK_OF.items() if name in ticks]


def _answers(
    findings: Mapping[str, Finding], put_right: Mapping[str, PutRight], ticks: tuple[str, ...]
) -> dict[str, Any]:
    """Answers for assess, without those not tried or put right, and without the owner's rev-out if a tick rules it
    out.
    """
    is_ruled_out = not set(TICKS_THAT_RULE_IT_OUT).isdisjoint(ticks)
    return {
        question: row.answer
        for question, row in findings.items()
        if question not in put_right
        and row.answer != Finding.NOT_TRIED
        and not (question == "rev_out" and is_ruled_out and row.source == Finding.OWNER)
    }


def costs_of(shop: Shop) -> dict[str, int]:
    return {
        "slot_lost": shop.slot_lost_pence,
        "bench_check": shop.bench_check_pence,
        "call": shop.call_pence,
        "bench_minute": shop.bench_minute_pence,
    }


def answer_words(question_id: str, answer: Any) -> str:
    """The answer of a finding in words: "It falls away and won’t climb", "17.5 degrees BTDC", "not sure".

    In the language in force.
    """
    question = question_or_none(question_id)
    if answer == UNSURE:
        return told("not sure")
    if answer == Finding.NOT_TRIED:
        return told("not tried")
    if question is None:
        return str(answer)
    if isinstance(answer, list):
        return ", ".join(told(question.say(one)) for one in answer)
    return (
        told(question.say(answer)) if isinstance(answer, str) else f"{in_figures(f'{answer:g}')} {told(question.unit)}"
    )
