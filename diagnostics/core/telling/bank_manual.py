"""The parts of the `assess` manual that come from the bank: its questions, its faults and the numbers that routes
depend on.
"""

from __future__ import annotations

from diagnostics.core.bank.bank import GROUPS, NUMBER, SEVERAL, VISIT_KINDS, Bank, Fault, Question

HEAD, ROW = "  ", "      "
FOR_THE_ROLLERS = frozenset({"set-up", "power-run"})  # what most faults spoil


def bank_in_words(bank: Bank) -> dict[str, str]:
    """The text of each placeholder in the manual, by name."""
    routing, hearing = bank.routing, bank.hearing
    return {
        "questions": "\n".join(line for question in bank.questions for line in question_lines(question)),
        "faults": "\n".join(line for group in GROUPS for line in _group_lines(bank, group)),
        "costs": ", ".join(f"{name} {pence}" for name, pence in routing.costs.items()),
        "most_at_once": str(bank.most_at_once),
        "merely_rich": f"{routing.merely_rich:g}",
        "settled_by_call": f"{routing.settled_by_call:g}",
        "settled_by_call_at_most": f"{routing.settled_by_call_at_most:g}",
        "limiter_from": f"{hearing.limiter_from:.0%}",
        "limiter_not_below": f"{hearing.limiter_not_below:.0%}",
        "revs_out_from": f"{hearing.revs_out_from:.0%}",
        "revs_out_not_below": f"{hearing.revs_out_not_below:.0%}",
        "ignition_worth_a_caution": f"{bank.ignition_worth_a_caution:g}",
    }


def question_lines(question: Question) -> list[str]:
    """The question's id and wording, then a line for each answer."""
    head = f"{HEAD}{question.id}: {question.ask}"
    if question.kind == NUMBER:
        return [head, f"{ROW}a number from {question.lowest:g} to {question.highest:g}, {question.unit}"]
    several = f" (one or several; {question.nothing} only by itself)" if question.kind == SEVERAL else ""
    return [head + several, *_columns([(answer.id, answer.say) for answer in question.answers])]


def _group_lines(bank: Bank, group: str) -> list[str]:
    rows = [(fault.id, fault.say + _spoils(fault)) for fault in bank.faults if fault.group == group]
    return [HEAD + group, *_columns(rows)]


def _spoils(fault: Fault) -> str:
    if fault.spoils == FOR_THE_ROLLERS:
        return ""
    kinds = [kind for kind in VISIT_KINDS if kind in fault.spoils]
    return f" [spoils only {' and '.join(kinds)}]" if kinds else " [spoils nothing]"


def _columns(rows: list[tuple[str, str]]) -> list[str]:
    width = max((len(name) for name, _ in rows), default=0)
    return [f"{ROW}{name:<{width}}  {words}" for name, words in rows]
