"""The list and what fails it: common practice, no source. Strobe verdicts and do-not-run rules: the manuals."""

import pytest

from diagnostics.core.findings import MachineFacts, read_case
from diagnostics.core.gate import judge_part, stops_before, why_no_gate
from diagnostics.core.gate_list import AT_BENCH, ITEMS, STRAPPED_DOWN, line_called
from diagnostics.core.gate_sheet import NOT_DONE, GateSheet, gate_findings
from diagnostics.core.telling.judgement_words import finding_words
from diagnostics.core.way_back import Check
from diagnostics.reads.bank import the_bank
from garage.core.errors import BadInput
from tests.factories.diagnostics import gate_sheet

GAUGE = "Piston and bore: 9.5 bar."  # of gate_sheet
MACHINE = {"spec_btdc": 17, "spec_curve": "fixed"}


def judged(*, machine=MACHINE, booked="set-up", answers=None, part=AT_BENCH, **given):
    line = {"case": "gate", "machine": machine, "booked": booked, "answers": answers or {}}
    return judge_part(the_bank(), read_case(the_bank(), line), gate_sheet(**given), part)


def strapped(**given):
    return judged(part=STRAPPED_DOWN, **given)


def refused(**given):
    with pytest.raises(BadInput) as error:
        judged(**given)
    return error.value.where, error.value.found, error.value.allowed


def test_everything_in_order_passes():
    result = judged()
    assert (result.passed, result.do_not_run, result.strobe.verdict) == (True, False, "in-spec")
    assert result.notes == ("Strobe: " + " ".join(result.strobe.means), GAUGE)
    assert (strapped().passed, strapped().notes, strapped().strobe) == (True, (), None)


def test_a_gate_begins_for_a_machine_that_is_in_the_building_and_goes_on_the_rollers():
    assert why_no_gate(41, "here", "Set-up", goes_on_the_rollers=True) == ""
    here_first = "Visit 41 is booked: take the machine in first."
    assert why_no_gate(41, "booked", "Set-up", goes_on_the_rollers=True) == here_first
    assert why_no_gate(41, "booked", "Bench check", goes_on_the_rollers=False) == here_first


def test_the_lowest_reading_is_tickover_and_the_highest_is_peak_in_whatever_order_they_were_taken():
    sheet = gate_sheet(strobe=((9000, 16.5), (1400, 17), (5000, 16.8)), rev_out="smoky")
    found = gate_findings(sheet, MachineFacts())
    assert found == {"rev_out": "smoky", "strobe_idle": 17.0, "strobe_peak": 16.5}
    assert {type(found[question]) for question in ("strobe_idle", "strobe_peak")} == {float}  # as the sheet has them


def test_the_gate_answers_only_what_was_looked_at():
    sheet = gate_sheet(strobe=(), not_seen="no marks", rev_out=NOT_DONE)
    assert gate_findings(sheet, MachineFacts()) == {}
    assert gate_findings(gate_sheet(strobe=(), rev_out=NOT_DONE, bad=["mix"]), MachineFacts()) == {"fuel": "wrong-mix"}
    assert gate_findings(gate_sheet(strobe=(), rev_out=NOT_DONE, results={}), MachineFacts()) == {}


def test_what_the_gate_finds_goes_over_what_the_sheet_said_and_leaves_the_rest():
    dies_on_the_sheet = {"strobe_idle": 14, "strobe_peak": 19.5, "rev_out": "dies"}
    assert judged(answers=dies_on_the_sheet).passed
    assert judged(answers=dies_on_the_sheet | {"pinking": "yes"}).do_not_run


@pytest.mark.parametrize("item", [item.id for item in ITEMS if item.bad])
def test_any_line_not_in_order_fails_its_part_and_says_which(item):
    line = line_called(item)
    result = judged(bad=[item], words={item: "seen by the door"}, part=line.part)
    assert not result.passed
    assert result.fails[0] == f"{line.bad} seen by the door"
    other = STRAPPED_DOWN if line.part == AT_BENCH else AT_BENCH
    assert not any(line.bad in fail for fail in judged(bad=[item], part=other).fails)


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


def test_a_strobe_that_fails_says_what_it_means():
    result = judged(strobe=((1400, 17), (9000, 14)))
    assert result.fails == ("Strobe: " + " ".join(result.strobe.means),)
    assert result.notes == (GAUGE,)


def test_a_strobe_that_passes_is_noted_with_all_that_it_means():
    result = judged(strobe=((1400, 17), (9000, 15.5)))
    assert len(result.strobe.means) > 1
    assert result.notes == ("Strobe: " + " ".join(result.strobe.means), GAUGE)


def test_marks_not_seen_need_a_reason():
    result = judged(strobe=(), not_seen=" no marks on this flywheel. ")
    assert (result.passed, result.strobe) == (True, None)
    assert result.notes == ("Timing marks not seen: no marks on this flywheel.", GAUGE)
    scratch = judged(strobe=(), not_seen="somebody scratched an X.")
    assert scratch.notes == ("Timing marks not seen: somebody scratched an X.", GAUGE)
    needed = ("The strobe", None, "readings at tickover and at peak revs, or why the marks were not seen")
    assert refused(strobe=()) == refused(strobe=(), not_seen=" ") == needed


def test_a_reason_for_marks_not_seen_does_not_hide_readings():
    assert judged(strobe=((1400, 17), (9000, 17)), not_seen="hard to see").strobe is not None


def test_without_a_known_spec_only_the_drift_is_judged():
    only_drift = "Its timing spec is not known, so only the drift was judged."
    steady = judged(machine={}, strobe=((1400, 23), (9000, 22.5)))
    assert steady.passed
    assert steady.notes == (only_drift, "Strobe: " + " ".join(steady.strobe.means), GAUGE)
    drifting = judged(machine={}, strobe=((1400, 14), (9000, 19.5)))
    assert not drifting.passed
    assert drifting.notes == (only_drift, GAUGE)


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


def test_a_rev_out_that_fails_says_what_was_found():
    assert judged(rev_out=NOT_DONE).fails == ("The rev-out was not done.",)
    assert judged(rev_out="ceiling").fails == (finding_words(the_bank(), "rev_out=ceiling"),)


def test_a_rev_out_has_one_of_its_answers():
    allowed = "one of its answers, or that it was not done"
    assert refused(rev_out="loud") == ("The rev-out", "loud", allowed)
    assert refused(rev_out="") == ("The rev-out", None, allowed)


def test_what_the_gauge_read_is_noted_or_why_it_was_not_used():
    assert judged(compression=(142, "psi")).notes[-1] == "Piston and bore: 142 psi."
    assert judged(compression=(8, "%")).notes[-1] == "Piston and bore: 8% leak-down."
    not_measured = gate_sheet().results | {"compression": "na"}
    result = judged(results=not_measured, words={"compression": "no adapter."}, compression=None)
    assert (result.passed, result.notes[-1]) == (True, "Compression not measured: no adapter.")


def test_rich_on_a_power_run_is_noted_for_the_owner():
    sold = judged(rev_out="smoky", booked="power-run").notes
    assert sold[1:] == ("It runs rich but revs out: offer the owner a set-up.", GAUGE)
    assert judged(rev_out="smoky").notes[1:] == ("It runs rich but revs out: that is what a set-up is for.", GAUGE)


@pytest.mark.parametrize(
    "answers", [{"pinking": "yes"}, {"nipped": "yes"}, {"plug": "speckled"}, {"plug": "white", "falls_back": "hangs"}]
)
def test_a_do_not_run_rule_fails_the_gate(answers):  # the rules: manual of `assess`
    result = judged(answers=answers)
    assert (result.passed, result.do_not_run) == (False, True)
    words = [finding_words(the_bank(), f"{question}={answer}") for question, answer in answers.items()]
    assert result.fails == (f"Do not run: {' '.join(words)}",)
    line = {"case": "gate", "booked": "set-up", "answers": answers}
    assert stops_before(the_bank(), read_case(the_bank(), line)) == tuple(words)


def test_what_stops_it_before_the_gate_is_said_once():
    answers = {"plug": "white", "falls_back": "hangs", "fuel_flow": "weak", "half_choke": "better", "where": "top"}
    stops = stops_before(the_bank(), read_case(the_bank(), {"case": "gate", "booked": "set-up", "answers": answers}))
    assert sorted(stops) == sorted(finding_words(the_bank(), f"{key}={value}") for key, value in answers.items())


def test_the_wrong_mix_stops_a_two_stroke_and_only_fails_a_four_stroke():
    assert judged(bad=["mix"], rev_out="", strobe=()).do_not_run
    four = judged(bad=["mix"], machine={"fires_per_turn": 0.5})
    assert (four.passed, four.do_not_run) == (False, False)


def test_every_line_of_the_part_is_answered_and_few_may_not_apply():
    results = gate_sheet().results
    assert judged(results=results | {"drive": "na"}).passed
    assert refused(results=results | {"brakes": "na"}) == (
        "Brakes work and release",
        "na",
        "in order or not in order",
    )
    without = {item: result for item, result in results.items() if item not in ("drive", "extraction")}
    allowed = "in order or not in order or does not apply"
    assert refused(results=without) == ("Drive chain or belt: wear, tension, guard", None, allowed)
    with pytest.raises(BadInput, match="Extraction running and at the exhaust is missing"):
        strapped(results=without)


def test_where_something_keeps_the_engine_off_the_lines_that_run_it_are_not_missed():
    result = judged(bad=["leaks"], rev_out="", strobe=(), results=_without("kill-switch") | {"leaks": "bad"})
    assert result.fails == ("It leaks.",)
    stopped = judged(answers={"pinking": "yes"}, rev_out="", strobe=(), results=_without("kill-switch"))
    assert (stopped.passed, stopped.do_not_run) == (False, True)


def _without(item):
    return {name: result for name, result in gate_sheet().results.items() if name != item}


def test_a_do_not_run_finding_fails_the_second_part_too():
    assert strapped(answers={"nipped": "yes"}).do_not_run


def test_a_limit_of_revs_is_noted():
    limited = gate_sheet().results | {"highest-revs": "ok"}
    assert strapped(results=limited, highest_rpm=6000).notes == ("Running in: not above 6000 rpm today.",)


def test_nobody_need_be_named_where_the_second_person_is_missing():
    assert strapped(bad=["second-person"], second_person="").fails == ("No second person is within call.",)


@pytest.mark.parametrize(
    ("asked", "left_out", "missing"),
    [
        (
            Check.STROBE,
            gate_sheet(strobe=(), not_seen="no marks"),
            "the strobe is read at tickover and at peak revs",
        ),
        (
            Check.GAUGE,
            gate_sheet().with_answers(GateSheet({"compression": "na"}, {"compression": "no adapter"})),
            "compression or leak-down is measured",
        ),
    ],
)
def test_what_was_put_right_must_be_seen_by_the_check_that_fits_it(asked, left_out, missing):
    case = read_case(the_bank(), {"case": "gate", "machine": MACHINE, "booked": "set-up"})
    done = gate_sheet()
    assert judge_part(the_bank(), case, left_out, AT_BENCH).passed
    (said,) = judge_part(the_bank(), case, left_out, AT_BENCH, {asked}).fails
    assert missing in said
    assert judge_part(the_bank(), case, done, AT_BENCH, {asked}).passed
    assert judge_part(the_bank(), case, gate_sheet(compression=(8.0, "%")), AT_BENCH, {asked}).passed
    assert judge_part(the_bank(), case, done, STRAPPED_DOWN, {asked}).passed
