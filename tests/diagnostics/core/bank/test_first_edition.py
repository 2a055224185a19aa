"""The first edition of the bank: ids that stay, what its faults spoil, and a source for every number."""

from __future__ import annotations

import tomllib

from diagnostics.core.bank.bank import GROUPS, VISIT_KINDS
from diagnostics.reads.bank import FIRST_EDITION, the_bank

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

    check(tomllib.loads(FIRST_EDITION.read_text(encoding="utf-8")), "", None)
