"""The list and what fails it: common practice, no source. Strobe verdicts and do-not-run rules: the manuals."""

import pytest

from diagnostics.core.findings import read_case
from diagnostics.core.gate import ITEMS, NOT_DONE, judge_gate, stops_before
from diagnostics.reads.bank import the_bank
from garage.core.errors import BadInput
from tests.factories.diagnostics import gate_sheet

MACHINE = {"spec_btdc": 17, "spec_curve": "fixed"}


def judged(*, machine=MACHINE, booked="set-up", answers=None, **given):
    line = {"case": "gate", "machine": machine, "booked": booked, "answers": answers or {}}
    return judge_gate(the_bank(), read_case(the_bank(), line), gate_sheet(**given))


def test_everything_in_order_passes():
    assert judged().passed


@pytest.mark.parametrize("item", [item.id for item in ITEMS])
def test_any_line_not_in_order_fails_it_and_says_which(item):
    result = judged(bad=[item], words={item: "seen by the door"})
    bad = next(line.bad for line in ITEMS if line.id == item)
    assert not result.passed
    assert result.fails[0] == f"{bad} seen by the door"


@pytest.mark.parametrize(
    ("readings", "passes"),
    [  # the table of the manual of `timing`, spec 17 fixed
        (((1400, 17), (9000, 16.5)), True),  # in-spec
        (((1400, 17), (9000, 15.5)), True),  # eases-back
        (((1400, 14), (9000, 19.5)), False),  # advances
        (((1400, 17), (5000, 20), (9000, 17)), False),  # erratic
        (((1400, 17), (9000, 14)), False),  # retards-far
        (((1400, 19), (9000, 19)), False),  # set-wrong
    ],
)
def test_the_strobe_passes_on_in_spec_and_eases_back_only(readings, passes):
    assert judged(strobe=readings).passed is passes


def test_marks_not_seen_need_a_reason():
    assert judged(strobe=(), not_seen="no marks on this flywheel").passed
    with pytest.raises(BadInput, match="strobe"):
        judged(strobe=())


def test_without_a_known_spec_only_the_drift_is_judged():
    assert judged(machine={}, strobe=((1400, 23), (9000, 22.5))).passed
    assert not judged(machine={}, strobe=((1400, 14), (9000, 19.5))).passed


def test_a_curve_without_its_size_is_asked_for():
    moving = {"spec_btdc": 17, "spec_curve": "retarding"}
    assert judged(machine=moving | {"curve_deg": 5}, strobe=((1400, 17), (9000, 12))).passed
    with pytest.raises(BadInput, match="timing change"):
        judged(machine=moving, strobe=((1400, 17), (9000, 12)))


@pytest.mark.parametrize(
    ("rev_out", "passes"), [("clean", True), ("smoky", True), ("ceiling", False), ("dies", False), (NOT_DONE, False)]
)
def test_the_rev_out_passes_where_it_gets_there_and_holds(rev_out, passes):
    assert judged(rev_out=rev_out).passed is passes


def test_rich_on_a_power_run_is_noted_for_the_owner():
    assert "offer the owner a set-up" in " ".join(judged(rev_out="smoky", booked="power-run").notes)
    assert "what a set-up is for" in " ".join(judged(rev_out="smoky").notes)


@pytest.mark.parametrize(
    "answers", [{"pinking": "yes"}, {"nipped": "yes"}, {"plug": "speckled"}, {"plug": "white", "falls_back": "hangs"}]
)
def test_a_do_not_run_rule_fails_the_gate(answers):  # the rules: manual of `assess`
    result = judged(answers=answers)
    assert (result.passed, result.do_not_run) == (False, True)
    line = {"case": "gate", "booked": "set-up", "answers": answers}
    assert stops_before(the_bank(), read_case(the_bank(), line))


def test_the_wrong_mix_stops_a_two_stroke_and_only_fails_a_four_stroke():
    assert judged(bad=["mix"]).do_not_run
    four = judged(bad=["mix"], machine={"fires_per_turn": 0.5})
    assert (four.passed, four.do_not_run) == (False, False)


def test_every_line_is_answered_and_few_may_not_apply():
    results = {item.id: "ok" for item in ITEMS}
    assert judged(results=results | {"drive": "na"}).passed
    with pytest.raises(BadInput, match="Brakes"):
        judged(results=results | {"brakes": "na"})
    with pytest.raises(BadInput, match="Extraction"):
        judged(results={key: value for key, value in results.items() if key != "extraction"})


def test_the_second_person_has_a_name_and_the_limit_of_revs_is_sensible():
    with pytest.raises(BadInput, match="second person"):
        judged(second_person=" ")
    assert judged(second_person="J").passed
    assert "not above 6000 rpm" in " ".join(judged(highest_rpm=6000).notes)
    assert not any("rpm" in note for note in judged(highest_rpm=None).notes)


def test_nobody_need_be_named_where_the_second_person_is_missing():
    assert judged(bad=["second-person"], second_person="").fails == ("No second person is within call.",)


@pytest.mark.parametrize(("rpm", "is_taken"), [(499, False), (500, True), (30_000, True), (30_001, False)])
def test_the_highest_revs_of_today_lie_within_what_an_engine_does(rpm, is_taken):
    if is_taken:
        assert f"not above {rpm} rpm" in " ".join(judged(highest_rpm=rpm).notes)
    else:
        with pytest.raises(BadInput, match=r"Highest revs today.*500 to 30000 rpm, or empty"):
            judged(highest_rpm=rpm)
