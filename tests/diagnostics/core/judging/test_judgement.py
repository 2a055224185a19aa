from dataclasses import replace

from diagnostics.core.assess import assess
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.small_banks import case_of


def test_the_findings_that_stop_it_are_named_once_and_only_where_a_rule_fired() -> None:
    stopped = assess(the_bank(), case_of(the_bank(), {"plug": "white", "changed": ("jets-smaller", "exhaust")}))
    assert stopped.stops == ("plug=white", "changed=jets-smaller", "changed=exhaust")
    assert assess(the_bank(), case_of(the_bank(), {"plug": "white"})).stops == ()


def test_the_leading_group_is_the_likeliest_group_of_faults_however_likely_nothing_wrong_is() -> None:
    groups = {"ignition": 0.1, "fuel-air": 0.2, "mechanical": 0.05, "nothing-wrong": 0.7}
    judgement = replace(assess(the_bank(), case_of(the_bank(), {})), groups=groups, spoilt_chance=0.25)
    assert judgement.leading_group == "fuel-air"
    assert judgement.ready_chance == 0.75
