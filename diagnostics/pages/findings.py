"""The workshop's page of findings: every question with its current answer, and the judgement they lead to."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from diagnostics.core.bank.bank import NUMBER, SEVERAL, Bank, Question
from diagnostics.core.findings import MachineFacts, read_machine
from diagnostics.core.judging.judgement import BenchStep, Cheapest
from diagnostics.core.judging.speak_together import contradictions, speak_together
from diagnostics.core.rev_out_safety import IS_AUTOMATIC, REMARK_OF, TICKS
from diagnostics.core.telling.bench_cost_words import bench_cost_words
from diagnostics.core.telling.judgement_words import (
    CAUTION_WORDS,
    GROUP_WORDS,
    chance_words,
    finding_words,
    percent_words,
    weight_words,
    why_in_words,
)
from diagnostics.core.telling.remark_words import remark_words
from diagnostics.core.telling.rule_words import rule_means
from diagnostics.core.telling.together_words import contradiction_words, together_words
from diagnostics.hearing.reads.heard import ClipLine, clip_lines
from diagnostics.models.judgements import Acted, KeptJudgement
from diagnostics.models.put_right import PutRight
from diagnostics.models.sheets import Finding, RemarkPutRight, Sheet
from diagnostics.pages.sheet import Pick, picks
from diagnostics.reads.bank import the_bank
from diagnostics.reads.bench_cost import bench_cost_of
from diagnostics.reads.case import answer_words, sheet_of, standing, standing_ticks
from diagnostics.reads.judgement import acted_on, latest
from diagnostics.reads.machine_facts import facts_of
from diagnostics.reads.put_right import put_right_of
from diagnostics.reads.weighed import Weighed, weighed
from garage.core import money, routes, states
from garage.models.shop import Shop
from garage.models.visits import Visit

LEAST_SHOWN = 0.01  # less likely faults are not listed


@dataclass(frozen=True)
class FindingLine:
    """said: the current answer in words, empty if there is none; before: how many older ones are kept."""

    question: Question
    said: str
    giver: str
    at: datetime | None
    picks: tuple[Pick, ...]
    chosen: Any
    before: int
    not_asked: str  # why the owner is not asked this
    stops: bool  # it keeps the machine from being run
    put_right: PutRight | None

    @property
    def is_several(self) -> bool:
        return self.question.kind == SEVERAL

    @property
    def is_number(self) -> bool:
        return self.question.kind == NUMBER


@dataclass(frozen=True)
class ChanceLine:
    name: str
    words: str
    chance: float

    @property
    def percent(self) -> str:
        return percent_words(self.chance)


@dataclass(frozen=True)
class JudgementView:
    """A judgement in words and figures, for the workshop only. means: what the rule that stopped it means. cost: of
    the bench work, in words for the owner.
    """

    row: KeptJudgement
    route_words: str
    why: str
    is_by_cost: bool
    is_by_a_rule: bool
    means: tuple[str, ...]
    costs: tuple[tuple[str, str], ...]
    groups: tuple[ChanceLine, ...]
    faults: tuple[ChanceLine, ...]
    because: tuple[tuple[str, str], ...]
    together: tuple[tuple[str, str], ...]
    contradictions: tuple[str, ...]
    ask_next: str
    ask_next_worth: str
    bench_order: tuple[BenchStep, ...]
    bench_minutes: int
    bench_price: str
    bench_minute_price: str
    cost: str
    cautions: tuple[str, ...]
    acted: Acted | None

    @property
    def must_not_run(self) -> bool:
        return self.row.route == routes.DO_NOT_RUN


@dataclass(frozen=True)
class RemarkLine:
    id: str
    words: str


@dataclass(frozen=True)
class FindingsPage:
    """remarks: those that stand. put_right: what the workshop has put right of them. may_be_told: the other remarks."""

    visit: Visit
    sheet: Sheet | None
    is_automatic: bool
    remarks: tuple[RemarkLine, ...]
    put_right: tuple[tuple[str, RemarkPutRight], ...]
    may_be_told: tuple[RemarkLine, ...]
    groups: tuple[tuple[str, tuple[FindingLine, ...]], ...]
    judgement: JudgementView | None
    routes: tuple[tuple[str, str], ...]
    clips: tuple[ClipLine, ...]
    is_open: bool
    is_here: bool

    @property
    def is_to_decide(self) -> bool:
        """Somebody is asked for a yes or no: what it is decided by comes first, and the questions are folded."""
        judged = self.judgement
        return bool(judged and not judged.acted and self.visit.route_asked and self.is_open)


def findings_page(visit: Visit, shop: Shop) -> FindingsPage:
    bank, sheet = the_bank(), sheet_of(visit)
    ticks = standing_ticks(visit, sheet)
    remarks = {name: RemarkLine(remark, TICKS[name]) for name, remark in REMARK_OF.items()}
    judged = latest(visit)
    stops = judged.judgement.stopping_questions if judged else frozenset()
    lines = _lines(visit, bank, read_machine(facts_of(visit, sheet)), stops)
    return FindingsPage(
        visit=visit,
        sheet=sheet,
        is_automatic=IS_AUTOMATIC in ticks,
        remarks=tuple(line for name, line in remarks.items() if name in ticks),
        put_right=_put_right(visit, sheet, ticks),
        may_be_told=tuple(line for name, line in remarks.items() if name not in ticks),
        groups=_grouped(lines),
        judgement=_view(bank, judged, bench_cost_words(bench_cost_of(visit, judged.judgement, shop)))
        if judged
        else None,
        routes=_routes_to_choose(judged),
        clips=clip_lines(visit),
        is_open=visit.state not in states.OVER,
        is_here=visit.state in states.IN_THE_BUILDING,
    )


def _put_right(visit: Visit, sheet: Sheet | None, ticks: Collection[str]) -> tuple[tuple[str, RemarkPutRight], ...]:
    """Read only if a tick of the sheet no longer stands."""
    if sheet is None or all(name in ticks for name in REMARK_OF if getattr(sheet, name)):
        return ()
    rows = visit.remarks_put_right.select_related("by")
    return tuple((remark_words(row.remark), row) for row in rows)


def _lines(visit: Visit, bank: Bank, machine: MachineFacts, stops: frozenset[str]) -> list[FindingLine]:
    found = standing(visit)
    put_right = put_right_of(visit, found)
    kept: dict[str, int] = {}
    for asked in visit.findings.filter(is_standing=False).values_list("question", flat=True):
        kept[asked] = kept.get(asked, 0) + 1
    lines = []
    for question in bank.questions:
        row = found.get(question.id)
        lines.append(
            FindingLine(
                question=question,
                said=answer_words(question.id, row.answer) if row else "",
                giver=_giver(row) if row else "",
                at=row.at if row else None,
                picks=picks(question, row.answer if row else None),
                chosen=row.answer if row else "",
                before=kept.get(question.id, 0),
                not_asked=_why_not_asked(question.not_on & machine.traits),
                stops=question.id in stops,
                put_right=put_right.get(question.id),
            )
        )
    return lines


def _why_not_asked(traits: frozenset[str]) -> str:
    if "automatic" in traits:
        return "not asked of an automatic's owner"
    return "not asked of such a machine" if traits else ""


def _giver(row: Finding) -> str:
    if row.source == Finding.OWNER:
        return f"the owner, entered by {row.by.name}" if row.by else "the owner"
    return row.by.name if row.by else row.get_source_display()


def _grouped(lines: list[FindingLine]) -> tuple[tuple[str, tuple[FindingLine, ...]], ...]:
    """Questions for everybody first, then signs and tests in the bank's order, readings last."""
    titles = {
        "Asked of everybody": [line for line in lines if line.question.always],
        "Signs and tests": [line for line in lines if not line.question.always and not line.is_number],
        "Strobe": [line for line in lines if line.is_number],
    }
    return tuple((title, tuple(group)) for title, group in titles.items() if group)


def _routes_to_choose(judged: KeptJudgement | None) -> tuple[tuple[str, str], ...]:
    """The other routes a person may choose; none if a rule has stopped it."""
    if judged is None or judged.route == routes.DO_NOT_RUN:
        return ()
    return tuple((route, words) for route, words in routes.WORDS.items() if route != judged.route)


def _view(bank: Bank, kept: KeptJudgement, cost: str) -> JudgementView:
    judgement, asked, bench_minute_pence = kept.judgement, kept.judgement.ask_next, kept.costs.bench_minute
    faults = sorted(judgement.chances.items(), key=lambda item: -item[1])
    known = weighed(kept)
    return JudgementView(
        row=kept,
        route_words=routes.WORDS[kept.route],
        why=why_in_words(bank, judgement),
        is_by_cost=isinstance(judgement.why, Cheapest),
        is_by_a_rule=judgement.is_by_a_rule,
        means=rule_means(judgement),
        costs=tuple((routes.WORDS[route], _money(pence)) for route, pence in judgement.route_costs_pence.items()),
        groups=tuple(ChanceLine(GROUP_WORDS[g], chance_words(c), c) for g, c in judgement.groups.items()),
        faults=tuple(ChanceLine(_fault_words(bank, f), chance_words(c), c) for f, c in faults if c >= LEAST_SHOWN),
        because=tuple((finding_words(bank, r.answer), weight_words(r.towards, r.weight)) for r in judgement.because),
        together=_together(bank, known),
        contradictions=_contradictions(bank, known),
        ask_next=bank.question(asked.question).ask if asked else "",
        ask_next_worth=_money(asked.pence) if asked and asked.pence > 0 else "",
        bench_order=judgement.bench_order,
        bench_minutes=round(judgement.expected_bench_minutes),
        bench_price=_money(judgement.expected_bench_minutes * bench_minute_pence),
        bench_minute_price=_money(bench_minute_pence),
        cost=cost,
        cautions=tuple(CAUTION_WORDS[caution] for caution in judgement.cautions),
        acted=acted_on(kept),
    )


def _together(bank: Bank, known: Weighed | None) -> tuple[tuple[str, str], ...]:
    """Empty for a judgement by another edition of the bank."""
    return tuple(together_words(bank, group) for group in speak_together(known.evidence)) if known else ()


def _contradictions(bank: Bank, known: Weighed | None) -> tuple[str, ...]:
    return tuple(contradiction_words(bank, pair) for pair in contradictions(known.model, known.case)) if known else ()


def _fault_words(bank: Bank, fault: str) -> str:
    return bank.fault(fault).say if fault in bank.fault_ids else fault


def _money(pence: float) -> str:
    return money.pounds_words(money.from_pence(round(pence)))
