"""Reads the bench's part of a bank file: what must come off, steps, repairs and the tests that follow them."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from diagnostics.core.bank.bank import Access, BankStep, Repair, Retest
from diagnostics.core.bank.table import Table, known
from garage.core.errors import BadInput

MOST_MINUTES = 10_000


def read_access(whole: Table) -> dict[str, Access]:
    """Raises BadInput with the full path of what is wrong, as all readers here."""
    found = {}
    for name, table in whole.tables("access").items():
        found[name] = Access(table.text("say"), table.number("minutes", 0, MOST_MINUTES))
        table.close()
    return found


def read_steps(
    tables: Mapping[str, Table], fault_ids: frozenset[str], access: tuple[str, ...], traits: tuple[str, ...]
) -> tuple[BankStep, ...]:
    """Every fault needs a step that shows it for certain on all machines without opening the throttle."""
    steps = tuple(_step(name, table, fault_ids, access, traits) for name, table in tables.items())
    for fault in sorted(fault_ids):
        if not any(step.clears.get(fault) == 1 and not step.opens_throttle and not step.only_on for step in steps):
            raise BadInput(
                f"step.….clears.{fault}",
                None,
                "a step that clears it for certain (1.0), on all machines and without opening the throttle",
            )
    return steps


def _step(
    name: str, table: Table, fault_ids: frozenset[str], access: tuple[str, ...], traits: tuple[str, ...]
) -> BankStep:
    clears = table.numbers("clears", 0, 1)
    for fault in clears:
        known(table.place(f"clears.{fault}"), fault, fault_ids)
    needs = table.text("access", "")
    if needs:
        known(table.place("access"), needs, access)
    step = BankStep(
        id=name,
        do=table.text("do"),
        minutes=table.number("minutes", 0.1, MOST_MINUTES),
        access=needs,
        clears=clears,
        opens_throttle=table.yes("opens_throttle"),
        makes_safe=table.texts("makes_safe"),
        only_on=frozenset(known(table.place("only_on"), trait, traits) for trait in table.texts("only_on")),
    )
    table.close()
    return step


def read_repairs(whole: Table, fault_ids: Collection[str], traits: tuple[str, ...]) -> dict[str, Repair]:
    """By fault id; a fault without one is put right by the step that shows it."""
    retests = {name: _retest(table) for name, table in whole.tables("retest").items()}
    return {
        fault: _repair(fault, table, frozenset(fault_ids), retests, traits)
        for fault, table in whole.tables("repair").items()
    }


def _retest(table: Table) -> Retest:
    retest = Retest(table.text("do"), table.number("minutes", 0, MOST_MINUTES), table.yes("opens_throttle"))
    table.close()
    return retest


def _repair(
    fault: str, table: Table, fault_ids: frozenset[str], retests: Mapping[str, Retest], traits: tuple[str, ...]
) -> Repair:
    known(table.path, fault, fault_ids)
    then = table.text("then", "")
    on = {}
    for trait, other in table.tables("on").items():
        known(other.path, trait, traits)
        on[trait] = (other.text("do"), other.number("minutes", 0, MOST_MINUTES))
        other.close()
    repair = Repair(
        do=table.text("do"),
        minutes=table.number("minutes", 0, MOST_MINUTES),
        retest=retests[known(table.place("then"), then, tuple(retests))] if then else None,
        on=on,
    )
    table.close()
    return repair
