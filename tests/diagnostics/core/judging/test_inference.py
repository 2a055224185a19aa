"""Chances of faults against figures and programs from outside, and against a slow twin."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import Bank
from diagnostics.core.findings import Case, MachineFacts
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import (
    answer_chances,
    fault_chances,
    log_prior,
    model_of,
    sets_of_faults,
    story_chances,
    story_weight,
)
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
    """Sets of up to six faults: within the limit the chances are the same; the others move none by more than they have.

    The limit is part of the bank's model, not a tail cut off its sum: a sheet's chances are exact within it.
    """
    bank = the_bank()
    case = draw_sheet(bank, np.random.default_rng(40 + seed)).case
    every, ours = unlimited(bank, case), np.array(list(chances(bank, case).values()))
    assert every.within == pytest.approx(ours, abs=1e-9)
    assert 0 < np.abs(every.chances - ours).max() <= every.more < 0.05


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
        np.testing.assert_allclose((rows * weight).sum(axis=0), weight, rtol=0, atol=1e-15)


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


@pytest.fixture(name="weight", scope="module")
def weight_drawn() -> Float64s:
    return np.asarray(np.random.default_rng(3).dirichlet(np.ones(len(model_of(the_bank()).has))))


def test_the_chance_of_a_fault_is_the_sum_over_the_sets_with_it(weight: Float64s) -> None:
    model = model_of(the_bank())
    assert fault_chances(model, weight) == pytest.approx(weight @ model.has, abs=1e-14)
    sure = np.zeros(len(weight))
    sure[1] = 1.0 + 1e-12  # the first fault alone, a rounding error too likely
    assert fault_chances(model, sure).tolist() == [1.0] + [0.0] * (len(the_bank().faults) - 1)


def test_a_mask_marks_the_sets_with_any_of_the_faults() -> None:
    model = model_of(the_bank())
    held = [bool(row[0] or row[2]) for row in model.has]
    ids = the_bank().fault_ids
    assert model.fault_mask([ids[0], ids[2]]).tolist() == held
    assert not model.fault_mask([]).any()
    with pytest.raises(ValueError, match="read-only"):
        model.fault_mask([ids[0]])[0] = 1.0


def test_sets_are_counted_up_to_the_most_at_once_and_never_beyond_the_faults() -> None:
    assert sets_of_faults(2, 4).tolist() == [[0, 0], [1, 0], [0, 1], [1, 1]]
    assert sets_of_faults(5, 1).tolist() == [[0.0] * 5, *np.eye(5).tolist()]
    assert len(sets_of_faults(19, 4)) == 1 + 19 + 171 + 969 + 3876


def test_the_prior_adds_up_to_the_chance_of_the_story_and_of_no_more_faults_than_the_limit() -> None:
    """Nothing asked: all but the sets beyond the limit, one in a hundred at most. One way asked: its share of that."""
    bank, model = the_bank(), model_of(the_bank())
    everything = np.exp(log_prior(model, MachineFacts(), "set-up", {})).sum()
    assert 0.99 < everything < 1
    share = bank.question("came_on").share
    ways = [np.exp(log_prior(model, MachineFacts(), "set-up", {"came_on": (way,)})).sum() for way in share]
    assert sum(ways) == pytest.approx(everything)
    assert ways == pytest.approx(list(share.values()), abs=1e-2)


@pytest.mark.parametrize("story", [{}, {"changed": ("exhaust",)}, {"changed": ("exhaust", "cylinder")}])
def test_the_parts_of_a_story_add_up_over_its_open_answers(story: dict[str, tuple[str, ...]], weight: Float64s) -> None:
    """Each answer's part of the weight of every set is what the answer itself would leave of it."""
    model, traits = model_of(the_bank()), frozenset({"points", "set-up"})
    now = story_weight(model, traits, story)
    weights = np.array([weight, weight[::-1]])
    parts = story_chances(model, traits, story, "came_on", weights)
    answers = the_bank().question("came_on").answer_ids
    assert parts.shape == (len(answers), 2)
    assert parts.sum(axis=0) == pytest.approx([1.0, 1.0])
    for part, answer in zip(parts, answers, strict=True):
        after = story_weight(model, traits, {**story, "came_on": (answer,)})
        assert part == pytest.approx([(one * after / now).sum() for one in weights])


def test_a_story_weighs_each_set_by_its_factors_and_what_they_leave_unlikely() -> None:
    """By hand for one way, all questions answered: its share, the factors of the set, and 1 + odds of every fault."""
    bank, model = the_bank(), model_of(the_bank())
    changed, came_on = bank.question("changed"), bank.question("came_on")
    found = story_weight(model, frozenset({"set-up"}), {"changed": ("exhaust",), "came_on": ("slowly",)})
    factors = {
        f.id: changed.factors.get("exhaust", {}).get(f.id, 1.0) * came_on.factors.get("slowly", {}).get(f.id, 1.0)
        for f in bank.faults
    }
    odds = [f.chance / (1 - f.chance) * f.times.get("set-up", 1.0) * factors[f.id] for f in bank.faults]
    share = changed.share["exhaust"] * came_on.share["slowly"] / np.prod([1 + one for one in odds])
    of_sets = np.where(model.has > 0, list(factors.values()), 1.0).prod(axis=1)
    assert found == pytest.approx(share * of_sets)


def test_banks_that_differ_only_in_base_rates_share_their_tables() -> None:
    one, other = (
        replace(the_bank(), faults=tuple(replace(fault, chance=chance) for fault in the_bank().faults))
        for chance in (0.123, 0.124)  # that no other test has had in the cache
    )
    assert model_of(one).chance is model_of(other).chance
    assert model_of(other).bank is other


def test_the_tables_of_a_model_have_a_row_for_each_answer_that_is_a_sign() -> None:
    bank, model = the_bank(), model_of(the_bank())
    signs = [(q.id, answer) for q in bank.questions if q.background for answer in q.answer_ids]
    assert list(model.row) == signs
    assert list(model.row.values()) == list(range(len(signs)))
    assert np.array_equal(model.log_chance, np.log(model.chance))
    assert (model.story, tuple(model.shown)) == (("changed", "came_on"), ("rev_out",))
    assert model.shown["rev_out"] == pytest.approx(answer_chances(bank.question("rev_out"), bank.fault_ids, model.has))


def test_what_was_changed_together_counts_together() -> None:
    """Jets up and down and the same trouble: the jets have had their turn. The slow twin counts it too."""
    bank = the_bank()
    both = case_of(bank, {"trouble": "misfires", "changed": ("jets-bigger", "jets-smaller"), "came_on": "slowly"})
    assert chances(bank, both) == pytest.approx(plain_chances(bank, both), abs=1e-12)
    apart = replace(bank, questions=tuple(replace(q, together=()) for q in bank.questions))
    assert chances(bank, both)["main-jet-rich"] < chances(apart, both)["main-jet-rich"]
