"""Chances of faults against figures and programs from outside, and against a slow twin."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case, MachineFacts
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.agrum_network import agrum_chances, pyagrum
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.plain_judge import plain_chances
from tests.diagnostics.core.small_banks import case_of, small_bank
from tests.diagnostics.core.unlimited import unlimited

# Noisy-OR with priors A .10, B .05, C .20, links .8 .5 .6, leak .02. Source: pgmpy 1.1.2, pyAgrum 3.3.1
# addNoisyORNet and enumeration, all agreeing to 1e-9 (pgmpy 1.1.2, pyAgrum 3.3.1).
# "Link" is net of the leak here (Díez).
LINKS = {"A": 0.8, "B": 0.5, "C": 0.6}
PRIORS = {"A": 0.10, "B": 0.05, "C": 0.20}


def reference_bank() -> Bank:
    shows = {fault: {"yes": link} for fault, link in LINKS.items()}
    test_of_a = ({"minus": 0.9, "plus": 0.1}, {"A": {"plus": 0.85 / 0.9}})
    return small_bank(PRIORS, {"symptom": ({"no": 0.98, "yes": 0.02}, shows), "test": test_of_a})


def chances(bank: Bank, case: Case) -> dict[str, float]:
    weight = gather(model_of(bank), case).weight()
    return dict(zip(bank.fault_ids, (weight @ model_of(bank).has).tolist(), strict=True))


@pytest.mark.parametrize(
    ("answer", "a", "b", "c"),
    [
        pytest.param("yes", 0.367372824, 0.133220744, 0.572701513, id="symptom present: pgmpy and pyAgrum, net links"),
        pytest.param("no", 0.021739130, 0.025641026, 0.090909091, id="symptom absent: pgmpy and pyAgrum"),
    ],
)
def test_the_published_noisy_or_example_is_matched(answer: str, a: float, b: float, c: float) -> None:
    bank = reference_bank()
    found = chances(bank, case_of(bank, {"symptom": answer}))
    assert [found["A"], found["B"], found["C"]] == pytest.approx([a, b, c], abs=1e-9)


def test_the_chance_of_the_symptom_itself_is_matched() -> None:
    bank = reference_bank()
    model = model_of(bank)
    prior = gather(model, case_of(bank, {})).weight()
    assert float(prior @ model.chance[model.row["symptom", "yes"]]) == pytest.approx(0.2264272, abs=1e-9)


def test_links_that_include_the_leak_would_give_other_figures() -> None:
    """Source: pyAgrum addNoisyOR (compound, Henrion), same inputs: P(S) 0.224242432. The bank's links are not those."""
    net = pyagrum.BayesNet()
    for fault, prior in PRIORS.items():
        net.add(pyagrum.LabelizedVariable(fault, "", 2))
        net.cpt(fault)[:] = [1 - prior, prior]
    net.addNoisyORCompound(pyagrum.LabelizedVariable("S", "", 2), 0.02)
    for fault, link in LINKS.items():
        net.addWeightedArc(fault, "S", link)
    ask = pyagrum.LazyPropagation(net)
    ask.makeInference()
    assert ask.posterior("S")[1] == pytest.approx(0.224242432, abs=1e-9)


@pytest.mark.parametrize(
    ("result", "a", "b", "c"),
    [
        pytest.param("minus", 0.031253372, 0.174820084, 0.759002864, id="test of A negative: by enumeration"),
        pytest.param("plus", 0.846549123, 0.073916179, 0.307107864, id="test of A positive: by enumeration"),
    ],
)
def test_a_test_of_one_fault_moves_the_others(result: str, a: float, b: float, c: float) -> None:
    """The test is positive with .95 where A is bad and .10 where good: .10 is the leak, the net link .85 / .90."""
    bank = reference_bank()
    found = chances(bank, case_of(bank, {"symptom": "yes", "test": result}))
    assert [found["A"], found["B"], found["C"]] == pytest.approx([a, b, c], abs=1e-9)


@pytest.mark.parametrize("seed", range(25))
def test_random_small_networks_agree_with_pyagrum(seed: int) -> None:
    """Source: pyAgrum 3, exact inference (lazy propagation); five faults, all of which may be present at once."""
    chance = np.random.default_rng(seed)
    faults = [f"f{k}" for k in range(5)]
    questions = {}
    for q in range(4):
        answers = [f"a{k}" for k in range(int(chance.integers(2, 5)))]
        background = chance.dirichlet(np.ones(len(answers))) * 0.9 + 0.1 / len(answers)
        links = {
            f: dict(zip(answers, (chance.dirichlet(np.ones(len(answers))) * 0.95).tolist(), strict=True))
            for f in faults
            if chance.random() < 0.7
        }
        questions[f"q{q}"] = (dict(zip(answers, (background / background.sum()).tolist(), strict=True)), links)
    bank = small_bank({f: float(chance.uniform(0.02, 0.5)) for f in faults}, questions)
    given = {q: str(chance.choice(list(background))) for q, (background, _) in questions.items()}
    case = case_of(bank, given)
    assert chances(bank, case) == pytest.approx(agrum_chances(bank, case), abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_the_whole_bank_agrees_with_pyagrum(seed: int) -> None:
    """Source: pyAgrum 3, exact inference, on the bank's own network with its limit of faults at once."""
    bank = the_bank()
    case = some_answers(bank, seed, at_most=3)
    assert chances(bank, case) == pytest.approx(agrum_chances(bank, case), abs=1e-9)


@pytest.mark.parametrize("seed", range(2))
def test_a_whole_sheet_agrees_with_the_slow_twin(seed: int) -> None:
    bank = the_bank()
    case = draw_sheet(bank, np.random.default_rng(seed)).case
    assert chances(bank, case) == pytest.approx(plain_chances(bank, case), abs=1e-12)


@pytest.mark.parametrize("seed", range(2))
def test_it_differs_from_the_sum_over_every_set_only_by_the_limit_of_faults_at_once(seed: int) -> None:
    """All 2^19 sets: of those within the limit the chances are the same; the others move none by more than they have.

    The limit is part of the bank's model, not a tail cut off its sum: a sheet's chances are exact within it.
    """
    bank = the_bank()
    case = draw_sheet(bank, np.random.default_rng(40 + seed)).case
    every, ours = unlimited(bank, case), np.array(list(chances(bank, case).values()))
    assert every.within == pytest.approx(ours, abs=1e-9)
    assert 0 < np.abs(every.chances - ours).max() <= every.more < 0.02


def test_answers_that_contradict_each_other_all_along_stay_exact() -> None:
    """The least likely answer to everything: alternating sums would lose their digits here."""
    bank = the_bank()
    rare = {q.id: min(q.background, key=lambda a, q=q: q.background[a]) for q in bank.questions if q.background}
    case = case_of(bank, rare | {"changed": ["ignition-parts"], "came_on": "suddenly"})
    assert chances(bank, case) == pytest.approx(plain_chances(bank, case), abs=1e-12)


def test_what_is_not_asked_and_what_is_unsure_weigh_the_same_nothing() -> None:
    bank = the_bank()
    plain = case_of(bank, {"trouble": "misfires"})
    unsure = case_of(bank, {"trouble": "misfires"}, unsure=frozenset(q.id for q in bank.questions if q.id != "trouble"))
    assert chances(bank, plain) == chances(bank, unsure)


def test_the_mean_over_a_questions_answers_is_the_chance_without_it() -> None:
    """Coherence: for every question, answers weighed by their chances give back the chances before asking."""
    bank = the_bank()
    model = model_of(bank)
    case = case_of(bank, {"trouble": "bogs", "rev_out": "dies"})
    weight = gather(model, case).weight()
    for question in bank.questions:
        if question.id in case.answers or not question.background:
            continue
        rows = model.chance[[model.row[question.id, answer] for answer in question.answer_ids]]
        assert (rows * weight).sum(axis=0) == pytest.approx(weight, abs=1e-15)


@pytest.mark.parametrize("traits", [{"ignition": "points"}, {"fed_by": "battery"}, {"gearbox": "automatic"}])
def test_base_rates_depend_on_the_machine(traits: dict[str, str]) -> None:
    bank = the_bank()
    assert chances(bank, case_of(bank, {}, machine=MachineFacts(**traits))) != chances(bank, case_of(bank, {}))


def some_answers(bank: Bank, seed: int, at_most: int) -> Case:
    """A few questions of a drawn sheet, the rest not asked."""
    chance = np.random.default_rng(1000 + seed)
    drawn = draw_sheet(bank, chance).case
    kept = chance.choice(list(drawn.answers), size=int(chance.integers(1, at_most + 1)), replace=False)
    return case_of(bank, {q: drawn.answers[q] for q in kept}, machine=drawn.machine, booked=drawn.booked)  # type: ignore[arg-type]
