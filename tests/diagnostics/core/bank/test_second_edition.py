"""The bank in use, its second edition: ids that stay, what its faults spoil, and a source for every number."""

from __future__ import annotations

import tomllib
from typing import Any

from diagnostics.core.bank.bank import GROUPS, VISIT_KINDS
from diagnostics.reads.bank import BANK_FILE, the_bank

# Ids that stay: garages have answers that are kept under them.
FAULTS = {
    "ignition": "spark-module pickup-coil source-coil ht-side earth-or-wiring timing-set-wrong pickup-misaligned "
    "flywheel-key rotor-weak pickup-reversed",
    "fuel-air": "main-jet-rich main-jet-lean needle-or-slide idle-circuit rich-otherwise fuel-starved air-leak "
    "reed-valve jet-blocked crank-seal",
    "mechanical": "exhaust-choked low-compression clutch-slip throttle-short head-gasket main-bearing oil-pump",
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
    "oiling": "mixed pump",
    "fuel": "fresh old wrong-mix",
    "fuel_flow": "steady weak",
    "kick": "strong weak",
    "stood": "in-use weeks months",
    "rebuilt": "just middling far",
    "strobe_idle": "",
    "strobe_peak": "",
    "ignition_curve": "fixed retarding advancing",
}


def test_the_bank_has_its_lasting_faults_in_their_groups() -> None:
    bank = the_bank()
    assert {group: {f.id for f in bank.faults if f.group == group} for group in GROUPS} == {
        group: set(ids.split()) for group, ids in FAULTS.items()
    }


def test_the_bank_asks_its_lasting_questions_in_their_order() -> None:
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

    check(tomllib.loads(BANK_FILE.read_text(encoding="utf-8")), "", None)


def test_every_fault_has_its_repair_and_every_step_its_own_words() -> None:
    bank = the_bank()
    assert set(bank.repairs) == set(bank.fault_ids)
    words = [step.do for step in bank.steps] + [repair.do for repair in bank.repairs.values()]
    assert len(set(words)) == len(words)


def test_what_the_first_edition_did_on_the_bench_keeps_its_ids() -> None:
    """Cards have outcomes that are kept under them."""
    ids = (
        "earths loom plug coil unit strobe level key pickup source-winding main-jet needle idle choke-and-filter float "
    )
    ids += "flow rubber pressure reeds exhaust compression clutch"
    assert set(ids.split()) <= {step.id for step in the_bank().steps}


def test_what_opens_the_throttle_is_marked() -> None:
    marked = {step.id for step in the_bank().steps if step.opens_throttle}
    assert marked == {"plug", "unit", "strobe"}
    retests = {
        repair.retest.do: repair.retest.opens_throttle for repair in the_bank().repairs.values() if repair.retest
    }
    assert [opens for do, opens in sorted(retests.items()) if "gauge" in do] == [False]
    assert all(opens for do, opens in retests.items() if "rev it out" in do or "strobe" in do)


def test_quick_looks_and_pull_downs_take_the_minutes_of_a_tuners_list() -> None:
    bank = the_bank()
    quick = {step.id: step.minutes for step in bank.steps if "a tuner" in _source(f"step.{step.id}")}
    assert quick == {"gauge": 5, "port": 5, "breather": 1, "resistance": 3, "belt-cover": 15}
    clutch = bank.repairs["clutch-slip"].minutes + bank.access_minutes["clutch"]
    pull_downs = {fault: bank.repairs[fault].minutes for fault in ("source-coil", "exhaust-choked")}
    assert pull_downs | {"clutch-slip": clutch} == {"source-coil": 75, "exhaust-choked": 120, "clutch-slip": 75}
    assert bank.repairs["spark-module"].on["points"][1] == 35


def _source(path: str) -> str:
    table: Any = tomllib.loads(BANK_FILE.read_text(encoding="utf-8"))
    for key in path.split("."):
        table = table[key]
    return str(table["source"])
