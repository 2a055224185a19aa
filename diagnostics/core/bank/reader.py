"""Reads the text of a bank file into a Bank; errors name the full path of what is wrong."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping

from diagnostics.core.bank.bank import (
    GROUPS,
    NUMBER,
    ONE,
    SEVERAL,
    VISIT_KINDS,
    Bank,
    Choice,
    Fault,
    Hearing,
    Question,
    Routing,
    Spread,
    Strobe,
)
from diagnostics.core.bank.bench_reader import read_access, read_repairs, read_steps
from diagnostics.core.bank.table import Table, known
from garage.core.errors import BadInput

MACHINE_TRAITS = ("points", "battery", "automatic", "four-stroke", "vacuum-tap", "pump")
OF_MACHINE = ("oiling", "spec_curve")  # what a question may tell of the machine
MOST_SHOWN = 0.99  # a fault may not show its answers with certainty: every answer must stay possible
LEAST_BACKGROUND = 1e-4
SUM_TOLERANCE = 1e-9
MOST_SETS_OF = 6  # most faults at once for which the table of sets fits in memory


def read_bank(text: str) -> Bank:
    """The bank in a TOML text.

    Raises BadInput naming the full path of the first thing wrong: a chance outside 0…1, an unknown fault, question or
    answer, a missing source, an unknown key, or a fault that no step clears for certain.

    >>> read_bank('edition = "x"')
    Traceback (most recent call last):
    garage.core.errors.BadInput: model is missing; allowed is a table.
    """
    try:
        whole = Table(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise BadInput("bank", f"not TOML ({error})", "a TOML file") from error
    edition, model = whole.text("edition"), whole.table("model")
    faults = tuple(_fault(name, table) for name, table in _some(whole, "fault").items())
    fault_ids = frozenset(fault.id for fault in faults)
    strobe = _strobe(whole.table("strobe"), fault_ids)
    questions = tuple(_question(name, table, fault_ids, strobe) for name, table in _some(whole, "question").items())
    for question in questions:
        _check_answers(f"question.{question.id}.not_when", question.not_when, questions)
        _check_answers(f"question.{question.id}.needs", dict.fromkeys(question.needs, ()), questions)
    access = read_access(whole)
    steps = read_steps(_some(whole, "step"), fault_ids, tuple(access), MACHINE_TRAITS)
    bank = Bank(
        edition=edition,
        most_at_once=int(model.number("most_at_once", 1, MOST_SETS_OF)),
        equivalent_cards=model.number("equivalent_cards", 1, 10**6),
        ignition_worth_a_caution=model.number("ignition_worth_a_caution", 0, 1),
        fault_worth_a_caution=model.number("fault_worth_a_caution", 0, 1),
        routing=_routing(whole.table("routing")),
        hearing=_hearing(whole.table("heard")),
        strobe=strobe,
        faults=faults,
        questions=questions,
        contradictions=tuple(_contradiction(table, questions) for table in whole.listed("contradiction")),
        access=access,
        steps=steps,
        repairs=read_repairs(whole, fault_ids, MACHINE_TRAITS),
    )
    model.close()
    whole.close()
    return bank


def _some(whole: Table, key: str) -> dict[str, Table]:
    found = whole.tables(key)
    if not found:
        raise BadInput(key, None, f"at least one [{key}.…]")
    return found


def _routing(table: Table) -> Routing:
    costs = table.table("costs")
    routing = Routing(
        settled_by_call=table.number("settled_by_call", 0, 1),
        settled_by_call_at_most=table.number("settled_by_call_at_most", 0, 1),
        settled_more_by_a_contradiction=table.number("settled_more_by_a_contradiction", 0, 1),
        merely_rich=table.number("merely_rich", 0, 1),
        stopped_in_time_pence=table.number("stopped_in_time_pence", 0, 10**9),
        costs={
            name: int(costs.number(name, 0, 10**9)) for name in ("slot_lost", "bench_check", "call", "bench_minute")
        },
    )
    costs.close()
    table.close()
    return routing


def _hearing(table: Table) -> Hearing:
    hearing = Hearing(
        confidence_at_most=table.number("confidence_at_most", 0.5, 0.9999),
        limiter_from=table.number("limiter_from", 0, 1),
        limiter_not_below=table.number("limiter_not_below", 0, 1),
        weight_without_design_rpm=table.number("weight_without_design_rpm", 0, 1),
        own_verdict_confidence=table.number("own_verdict_confidence", 0.5, 1),
        revs_out_from=table.number("revs_out_from", 0, 1),
        revs_out_not_below=table.number("revs_out_not_below", 0, 1),
    )
    table.close()
    return hearing


def _strobe(table: Table, fault_ids: frozenset[str]) -> Strobe:
    healthy, eases_back = table.table("healthy"), table.table("eases_back_deg")
    strobe = Strobe(
        reading_error_deg=table.number("reading_error_deg", 0.1, 10),
        wild_reading=table.number("wild_reading", 1e-6, 0.5),
        lowest_deg=table.number("lowest_deg", -180, 180),
        highest_deg=table.number("highest_deg", -180, 180),
        offset=_spreads(table, "offset", fault_ids),
        drift=_spreads(table, "drift", fault_ids),
        healthy_offset_spread=healthy.number("offset_spread", 0.01, 90),
        healthy_drift=Spread(healthy.number("drift_mean", -90, 90), healthy.number("drift_spread", 0.01, 90)),
        eases_back_by_design=table.number("eases_back_by_design", 0.001, 0.999),
        eases_back=Spread(eases_back.number("mean", -90, 90), eases_back.number("spread", 0.01, 90)),
    )
    healthy.close()
    table.close()
    return strobe


def _spreads(table: Table, key: str, fault_ids: frozenset[str]) -> dict[str, Spread]:
    found = {}
    for fault, inner in table.tables(key).items():
        known(inner.path, fault, fault_ids)
        found[fault] = Spread(inner.number("mean", -90, 90), inner.number("spread", 0, 90))
        inner.close()
    return found


def _fault(name: str, table: Table) -> Fault:
    chance = table.number("chance", 1e-6, 0.9)
    spoils = table.texts("spoils")
    times = table.numbers("times", 0.001, 1000)
    fault = Fault(
        id=name,
        group=known(table.place("group"), table.text("group"), GROUPS),
        say=table.text("say"),
        spoils=frozenset(known(table.place("spoils"), kind, VISIT_KINDS) for kind in spoils),
        is_jetting=table.yes("is_jetting"),
        chance=chance,
        times={known(table.place(f"times.{key}"), key, MACHINE_TRAITS + VISIT_KINDS): times[key] for key in times},
    )
    table.close()
    return fault


def _question(name: str, table: Table, fault_ids: frozenset[str], strobe: Strobe) -> Question:
    kind = known(table.place("kind"), table.text("kind"), (ONE, SEVERAL, NUMBER))
    answers = table.table("answers") if kind != NUMBER else Table({}, table.place("answers"))
    choices = tuple(Choice(answer, answers.text(answer)) for answer in answers)
    if kind != NUMBER and len(choices) < 2:
        raise BadInput(table.place("answers"), len(choices), "two answers or more")
    ids = tuple(choice.id for choice in choices)
    not_when = table.table("not_when") if "not_when" in table else Table({})
    question = Question(
        id=name,
        ask=table.text("ask"),
        how=table.texts("how"),
        cautions=table.texts("cautions"),
        kind=kind,
        answers=choices,
        nothing=known(table.place("nothing"), table.text("nothing"), ids) if kind == SEVERAL else "",
        unit=table.text("unit", ""),
        lowest=strobe.lowest_deg,
        highest=strobe.highest_deg,
        always=table.yes("always"),
        not_on=frozenset(known(table.place("not_on"), trait, MACHINE_TRAITS) for trait in table.texts("not_on")),
        not_when={other: not_when.texts(other) for other in not_when},
        cost_pence=table.number("cost_pence", 0, 10**6),
        background=_shares(table, "background", ids),
        shows=_shows(table, ids, fault_ids),
        said=_said(table, ids),
        share=_shares(table, "share", ids),
        factors=_factors(table, ids, fault_ids),
        together=tuple(_together(inner, ids, fault_ids) for inner in table.listed("together")),
        of_machine=known(table.place("of_machine"), table.text("of_machine"), OF_MACHINE)
        if "of_machine" in table
        else "",
        needs=table.texts("needs"),
    )
    _check_shape(table, question)
    table.close()
    return question


def _check_shape(table: Table, question: Question) -> None:
    if question.kind == NUMBER:
        return
    if question.of_machine and not (question.background or question.is_story):
        return
    if question.is_story == bool(question.background):
        raise BadInput(
            table.place("background"), "not as it should be", "either background and shows, or share and times"
        )
    if question.kind == SEVERAL and not question.is_story:
        raise BadInput(table.place("kind"), SEVERAL, "several only with share and times")
    if question.said and set(question.said) != set(question.answer_ids):
        raise BadInput(table.place("said"), ", ".join(question.said), "a table for every answer")


def _shares(table: Table, key: str, answer_ids: tuple[str, ...]) -> dict[str, float]:
    """A chance above 0 for every answer, adding up to 1; {} if the key is missing."""
    if key not in table:
        return {}
    found = table.numbers(key, LEAST_BACKGROUND, 1)
    for answer in found:
        known(table.place(f"{key}.{answer}"), answer, answer_ids)
    for answer in answer_ids:
        if answer not in found:
            raise BadInput(table.place(f"{key}.{answer}"), None, "a chance for every answer")
    if abs(sum(found.values()) - 1) > SUM_TOLERANCE:
        raise BadInput(table.place(key), f"adding up to {sum(found.values()):.6g}", "chances that add up to 1")
    return found


def _said(table: Table, answer_ids: tuple[str, ...]) -> dict[str, dict[str, float]]:
    if "said" not in table:
        return {}
    inner = table.table("said")
    return {shown: _shares(inner, shown, answer_ids) for shown in inner}


def _shows(table: Table, answer_ids: tuple[str, ...], fault_ids: frozenset[str]) -> dict[str, dict[str, float]]:
    if "shows" not in table:
        return {}
    inner, found = table.table("shows"), {}
    for fault in inner:
        known(inner.place(fault), fault, fault_ids)
        chances = inner.numbers(fault, 0, 1)
        for answer in chances:
            known(inner.place(f"{fault}.{answer}"), answer, answer_ids)
        if sum(chances.values()) > MOST_SHOWN:
            raise BadInput(inner.place(fault), f"adding up to {sum(chances.values()):.6g}", f"at most {MOST_SHOWN}")
        found[fault] = chances
    return found


def _factors(table: Table, answer_ids: tuple[str, ...], fault_ids: frozenset[str]) -> dict[str, dict[str, float]]:
    if "times" not in table:
        return {}
    inner, found = table.table("times"), {}
    for answer in inner:
        known(inner.place(answer), answer, answer_ids)
        found[answer] = inner.numbers(answer, 0.001, 1000)
        for fault in found[answer]:
            known(inner.place(f"{answer}.{fault}"), fault, fault_ids)
    return found


def _together(
    table: Table, answer_ids: tuple[str, ...], fault_ids: frozenset[str]
) -> tuple[frozenset[str], Mapping[str, float]]:
    answers = frozenset(known(table.place("answers"), answer, answer_ids) for answer in table.texts("answers"))
    factors = table.numbers("times", 0.001, 1000)
    for fault in factors:
        known(table.place(f"times.{fault}"), fault, fault_ids)
    table.close()
    return answers, factors


def _contradiction(table: Table, questions: tuple[Question, ...]) -> dict[str, str]:
    inner = table.table("answers")
    pair = {question: inner.text(question) for question in inner}
    _check_answers(inner.path, {question: (answer,) for question, answer in pair.items()}, questions)
    table.close()
    return pair


def _check_answers(path: str, found: Mapping[str, tuple[str, ...]], questions: tuple[Question, ...]) -> None:
    by_id = {question.id: question for question in questions}
    for question, answers in found.items():
        known(f"{path}.{question}", question, tuple(by_id))
        for answer in answers:
            known(f"{path}.{question}", answer, by_id[question].answer_ids)
