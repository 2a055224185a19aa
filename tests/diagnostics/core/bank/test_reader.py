"""The bank's file: what is wrong in it is named with its full path, and nothing in it goes unread."""

from __future__ import annotations

import tomllib

import pytest

from diagnostics.core.bank.bank import GROUPS, VISIT_KINDS
from diagnostics.core.bank.reader import read_bank
from diagnostics.reads.bank import FIRST_EDITION, the_bank
from garage.core.errors import BadInput
from tests.diagnostics.core.small_banks import small_bank_text

TEXT = FIRST_EDITION.read_text(encoding="utf-8")

# Ids that stay: garages have answers that are kept under them.
FAULTS = {
    "ignition": "spark-module pickup-coil source-coil ht-side earth-or-wiring timing-set-wrong pickup-misaligned "
    "flywheel-key",
    "fuel-air": "main-jet-rich main-jet-lean needle-or-slide idle-circuit rich-otherwise fuel-starved air-leak "
    "reed-valve",
    "mechanical": "exhaust-choked low-compression clutch-slip",
}
ANSWERS = {
    "trouble": "none bogs misfires cuts-out four-strokes surges down-on-power slips runs-hot hard-to-start",
    "where": "idle bottom middle top everywhere",
    "changed": "jets-bigger jets-smaller exhaust cylinder carburettor air-filter ignition-parts nothing",
    "nipped": "yes no",
    "pinking": "yes no",
    "rev_out": "clean smoky ceiling dies",
    "every_gear": "same-revs only-under-load",
    "came_on": "suddenly slowly after-work",
    "heat": "worse-hot worse-cold same",
    "hot_start": "starts only-cooled",
    "damp": "yes no",
    "plug": "tan black-dry black-wet white speckled",
    "new_plug": "better same",
    "falls_back": "quickly hangs",
    "half_choke": "better worse same",
    "earths": "clean-tight loose-or-dirty",
    "kill_lead": "better same",
    "fuel": "fresh old wrong-mix",
    "fuel_flow": "steady weak",
    "kick": "strong weak",
    "strobe_idle": "",
    "strobe_peak": "",
}


def test_the_first_edition_has_its_lasting_faults_in_their_groups() -> None:
    bank = the_bank()
    assert {group: {f.id for f in bank.faults if f.group == group} for group in GROUPS} == {
        group: set(ids.split()) for group, ids in FAULTS.items()
    }


def test_the_first_edition_asks_its_lasting_questions_in_their_order() -> None:
    bank = the_bank()
    assert [question.id for question in bank.questions] == list(ANSWERS)
    for question in bank.questions:
        assert set(question.answer_ids) == set(ANSWERS[question.id].split())


def test_jetting_faults_do_not_spoil_a_set_up_and_all_others_do() -> None:
    jetting = {"main-jet-rich", "main-jet-lean", "needle-or-slide", "idle-circuit", "rich-otherwise"}
    bank = the_bank()
    assert {fault.id for fault in bank.faults if "set-up" not in fault.spoils} == jetting
    assert {fault.id for fault in bank.faults if fault.is_jetting} == jetting
    assert all(fault.spoils <= set(VISIT_KINDS) for fault in bank.faults)


def test_every_table_of_numbers_has_its_source_said() -> None:
    """Walks the file by itself: each table that holds numbers has a source in it or around it."""

    def check(values: dict[str, object], path: str, source: object) -> None:
        source = values.get("source", source)
        for key, value in values.items():
            if isinstance(value, dict):
                check(value, f"{path}.{key}", source)
            elif isinstance(value, int | float) and not isinstance(value, bool):
                assert source, f"{path}.{key} has no source"

    check(tomllib.loads(TEXT), "", None)


WRONG = [
    ("chance = 0.035", "chance = 1.5", "fault.spark-module.chance"),
    ("chance = 0.035", "chance = -0.1", "fault.spark-module.chance"),
    ("chance = 0.035", "chance = nan", "fault.spark-module.chance"),
    ("chance = 0.035", 'chance = "often"', "fault.spark-module.chance"),
    ('group = "ignition"\nsay = "the ignition', 'group = "magic"\nsay = "the ignition', "fault.spark-module.group"),
    ('group = "ignition"\nsay = "the ignition', 'grupp = "ignition"\nsay = "the ignition', "fault.spark-module.group"),
    ("air-leak = { yes = 0.15 }", "air-leek = { yes = 0.15 }", "question.nipped.shows.air-leek"),
    ("air-leak = { yes = 0.15 }", "air-leak = { yes = 1.15 }", "question.nipped.shows.air-leak.yes"),
    ("air-leak = { yes = 0.15 }", "air-leak = { maybe = 0.15 }", "question.nipped.shows.air-leak.maybe"),
    ("air-leak = { yes = 0.15 }", "air-leak = { yes = 0.6, no = 0.5 }", "question.nipped.shows.air-leak"),
    ("background = { no = 0.94, yes = 0.06 }", "background = { no = 0.94, yes = 0.07 }", "question.damp.background"),
    ("background = { no = 0.94, yes = 0.06 }", "background = { no = 1.0 }", "question.damp.background.yes"),
    ("clears = { clutch-slip = 1.0 }", "clears = { clutch-slip = 0.9 }", "clears.clutch-slip"),
    ('access = "flywheel"\nclears = { flywheel-key', 'access = "sump"\nclears = { flywheel-key', "step.key.access"),
    ('earths = "clean-tight", kill_lead', 'earths = "clean", kill_lead', "contradiction[6].answers.earths"),
    ("settled_by_call = 0.4", "settled_by_call = 4", "routing.settled_by_call"),
    ("limiter_from = 0.95", "limiter_form = 0.95", "heard.limiter_from"),
    ("most_at_once = 4", "most_at_once = 0", "model.most_at_once"),
    ("is_jetting = true", "is_jeting = true", "fault.main-jet-rich.is_jeting"),
    ('edition = "first-1"', "edition = 1", "edition"),
]


@pytest.mark.parametrize(("right", "wrong", "path"), WRONG)
def test_invalid_values_are_refused_with_their_full_path(right: str, wrong: str, path: str) -> None:
    assert right in TEXT
    with pytest.raises(BadInput) as refused:
        read_bank(TEXT.replace(right, wrong, 1))
    assert path in refused.value.where


def test_a_missing_source_is_refused_with_its_full_path() -> None:
    start = TEXT.index("[fault.ht-side]")
    source = TEXT.index("source =", start)
    without = TEXT[:source] + TEXT[TEXT.index("\n", source) + 1 :]
    with pytest.raises(BadInput) as refused:
        read_bank(without)
    assert refused.value.where == "fault.ht-side.source"


@pytest.mark.parametrize("text", ["", "not toml at all [", 'edition = "x"\n[model]\nmost_at_once = 4'])
def test_a_file_that_is_not_a_bank_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(BadInput):
        read_bank(text)


def test_a_small_bank_is_read_as_it_was_written() -> None:
    bank = read_bank(small_bank_text({"A": 0.1}, {"q": ({"no": 0.9, "yes": 0.1}, {"A": {"yes": 0.5}})}))
    assert bank.fault("A").chance == 0.1
    assert bank.question("q").shows == {"A": {"yes": 0.5}}
