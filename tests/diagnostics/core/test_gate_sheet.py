"""What is left of a gate, and what an answer may be. Common practice, no source; the stops: manual of `assess`."""

import pytest

from diagnostics.core.findings import MachineFacts, read_case
from diagnostics.core.gate_list import (
    AT_BENCH,
    BENCH_LINES,
    LINES,
    RUNNING_LINES,
    STRAPPED_DOWN,
    STRAPPED_LINES,
    line_called,
)
from diagnostics.core.gate_sheet import (
    GateSheet,
    barred_results,
    check_answers,
    gate_findings,
    lines_left,
    may_be_answered,
    not_before,
)
from diagnostics.reads.bank import the_bank
from garage.core.errors import BadInput
from tests.diagnostics.core.small_banks import case_of
from tests.factories.diagnostics import gate_sheet

CLIMBS = ((1400.0, 14.0), (9000.0, 19.5))  # advances: manual of `timing`


def case(**answers):
    line = {"case": "gate", "machine": {"spec_btdc": 17}, "booked": "set-up", "answers": answers}
    return read_case(the_bank(), line)


def left(sheet, part=AT_BENCH, **answers):
    return [line.id for line in lines_left(case(**answers), sheet, part)]


def test_at_first_everything_is_left_that_needs_no_engine():
    assert left(GateSheet()) == [line.id for line in BENCH_LINES if not line.runs_engine]
    assert left(GateSheet(), STRAPPED_DOWN) == [line.id for line in STRAPPED_LINES]


def test_the_engine_is_offered_once_nothing_speaks_against_starting_it():
    ready = GateSheet(dict.fromkeys(("leaks", "mix", "oil-coolant", "throttle", "exhaust"), "ok"))
    assert "kill-switch" in left(ready)
    assert {"strobe", "rev-out"}.isdisjoint(left(ready))
    assert {"strobe", "rev-out"} <= set(left(ready.with_answers(GateSheet({"kill-switch": "ok"}))))
    assert "kill-switch" not in left(ready.with_answers(GateSheet({"leaks": "bad"})))
    assert "kill-switch" in left(ready.with_answers(GateSheet({"oil-coolant": "na"})))


def test_what_is_answered_is_not_left():
    assert left(gate_sheet()) == left(gate_sheet(), STRAPPED_DOWN) == []
    assert left(gate_sheet(rev_out="", strobe=(), not_seen="cover")) == ["rev-out"]


def test_a_do_not_run_finding_keeps_the_engine_off_whatever_else_is_in_order():
    everything_else = gate_sheet(rev_out="", strobe=())
    assert left(everything_else, nipped="yes") == []
    assert not_before(case(nipped="yes"), everything_else, line_called("rev-out")) is None
    assert not_before(case(nipped="yes"), everything_else, line_called("tyre")) == ()


def test_what_the_gate_itself_finds_keeps_the_engine_off_at_once():
    assert left(gate_sheet(bad=["mix"], rev_out="", strobe=())) == []
    assert left(gate_sheet(strobe=CLIMBS, rev_out="")) == []


def test_readings_of_before_keep_the_rev_out_off_and_not_the_strobe():
    before = {"strobe_idle": 14, "strobe_peak": 19.5}
    rest = gate_sheet(strobe=(), rev_out="")
    assert left(rest, **before) == ["strobe"]
    assert left(rest.with_answers(GateSheet(strobe=((1400.0, 17.0), (9000.0, 16.5)))), **before) == ["rev-out"]


def test_that_the_engine_was_not_run_can_always_be_said():
    stopped, sheet = case(pinking="yes"), GateSheet()
    assert may_be_answered(stopped, sheet, line_called("rev-out"), GateSheet(rev_out="not-done"))
    assert may_be_answered(stopped, sheet, line_called("strobe"), GateSheet(not_seen="engine off"))
    assert not may_be_answered(stopped, sheet, line_called("rev-out"), GateSheet(rev_out="clean"))
    assert not may_be_answered(stopped, sheet, line_called("strobe"), GateSheet(strobe=CLIMBS))
    assert may_be_answered(stopped, sheet, line_called("leaks"), GateSheet({"leaks": "ok"}))


@pytest.mark.parametrize("line", [line.id for line in LINES])
def test_a_sheet_is_its_lines_put_together(line):
    whole = gate_sheet(highest_rpm=None)
    one = whole.only(line)
    assert one.answered == (line,)
    put_together = GateSheet()
    for other in LINES:
        put_together = put_together.with_answers(whole.only(other.id))
    assert put_together == whole
    assert whole.with_answers(one) == whole


def test_a_line_answered_again_takes_its_note_and_what_belongs_to_it_along():
    sheet = GateSheet({"compression": "bad"}, {"compression": "low"}, compression=(4.0, "bar"))
    again = sheet.with_answers(GateSheet({"compression": "na"}, {"compression": "no adapter"}))
    assert (again.words, again.compression) == ({"compression": "no adapter"}, None)
    other = sheet.with_answers(GateSheet({"leaks": "ok"}))
    assert (other.words, other.compression) == ({"compression": "low"}, (4.0, "bar"))
    seen = GateSheet(not_seen="cover").with_answers(GateSheet(strobe=CLIMBS))
    assert (seen.strobe, seen.not_seen) == (CLIMBS, "")


def test_readings_are_the_answer_to_the_strobe_and_not_why_there_are_none():
    assert GateSheet().with_answers(GateSheet(strobe=CLIMBS, not_seen="cover")) == GateSheet(strobe=CLIMBS)
    assert GateSheet().with_answers(GateSheet(not_seen=" cover ")) == GateSheet(not_seen="cover")


def test_one_line_alone_holds_what_belongs_to_it_and_nothing_else():
    sheet = gate_sheet(bad=["leaks"], words={"leaks": "drips"}, fuel_mix="1:40")
    assert sheet.only("leaks") == GateSheet({"leaks": "bad"}, {"leaks": "drips"})
    assert sheet.only("mix") == GateSheet({"mix": "ok"}, fuel_mix="1:40")
    assert sheet.only("rev-out") == GateSheet(rev_out="clean")
    assert sheet.only("strobe") == GateSheet(strobe=((1400.0, 17.0), (9000.0, 16.5)))
    assert GateSheet(rev_out="clean", not_seen="cover").only("strobe") == GateSheet(not_seen="cover")
    assert GateSheet(rev_out="clean").only("tyre") == GateSheet()
    assert GateSheet({"tyre": "ok"}, not_seen="cover").only("tyre") == GateSheet({"tyre": "ok"})


def test_what_was_read_before_fills_in_the_lines_that_are_not_answered_yet():
    gauge = (8.5, "bar")
    assert GateSheet().with_readings(CLIMBS, gauge) == GateSheet(strobe=CLIMBS, compression=gauge)
    assert gate_sheet().with_readings(CLIMBS, gauge) == gate_sheet()
    unseen = GateSheet({"compression": "na"}, not_seen="cover")
    assert unseen.with_readings(CLIMBS, gauge) == unseen
    assert GateSheet({"compression": "na"}).with_readings(CLIMBS, gauge).strobe == CLIMBS


@pytest.mark.parametrize(
    ("sheet", "found"),
    [
        (GateSheet(), {}),
        (GateSheet(rev_out="not-done"), {}),
        (GateSheet(rev_out="ceiling"), {"rev_out": "ceiling"}),
        (GateSheet(not_seen="cover"), {}),
        (GateSheet(strobe=((9000, 19), (5000, 16), (1400, 14))), {"strobe_idle": 14.0, "strobe_peak": 19.0}),
        (GateSheet({"mix": "bad"}), {"fuel": "wrong-mix"}),
        (GateSheet({"mix": "ok"}), {}),
    ],
)
def test_what_the_gate_finds_answers_questions_of_the_bank(sheet, found):
    assert gate_findings(sheet, MachineFacts()) == found


def test_the_mix_of_a_four_stroke_is_no_finding_about_its_oil():
    assert gate_findings(GateSheet({"mix": "bad"}), MachineFacts(fires_per_turn=0.5)) == {}


def test_lines_asked_afresh_leave_the_others():
    sheet = gate_sheet().without(STRAPPED_LINES)
    assert set(sheet.answered) == {line.id for line in BENCH_LINES}
    assert sheet.second_person == ""
    engine_off = gate_sheet().without(RUNNING_LINES)
    assert (engine_off.strobe, engine_off.rev_out, engine_off.compression) == ((), "", (9.5, "bar"))


NEW = case_of(the_bank(), {})
IN_SPEC = case_of(the_bank(), {}, machine=MachineFacts(spec_btdc=17.0))


def refused(given):
    with pytest.raises(BadInput) as error:
        check_answers(the_bank(), IN_SPEC, given)
    return error.value.where, error.value.found, error.value.allowed


def test_what_is_not_given_is_not_asked_for():
    check_answers(the_bank(), NEW, GateSheet())
    check_answers(the_bank(), IN_SPEC, gate_sheet())


def test_an_answer_has_to_be_one_of_its_line_s():
    assert refused(GateSheet({"horn": "ok"})) == ("The line", "horn", "a line of the gate")
    assert refused(GateSheet({"rev-out": "ok"})) == ("The line", "rev-out", "a line of the gate")
    assert refused(GateSheet({"leaks": "na"})) == (
        "No leaks of petrol, oil or coolant",
        "na",
        "in order or not in order",
    )
    assert refused(GateSheet({"leaks": ""}))[1] is None
    allowed = "one of its answers, or that it was not done"
    assert refused(GateSheet(rev_out="loud")) == ("The rev-out", "loud", allowed)


@pytest.mark.parametrize(
    ("reading", "is_taken"),
    [
        ((0.1, "bar"), True),
        ((40, "bar"), True),
        ((580, "psi"), True),
        ((100, "%"), True),
        ((101, "%"), False),
        ((40.1, "bar"), False),
        ((581, "psi"), False),
        ((0, "bar"), True),  # a holed piston
        ((-0.1, "bar"), False),
        (None, False),
    ],
)
def test_the_gauge_reads_something_plausible(reading, is_taken):
    most = {"bar": "40 bar", "psi": "580 psi", "%": "100 %"}
    given = GateSheet({"compression": "ok"}, compression=reading)
    if is_taken:
        check_answers(the_bank(), NEW, given)
    else:
        value, unit = reading or (None, "bar")
        assert refused(given) == ("The gauge", value, f"what it read, up to {most[unit]}")


def test_the_gauge_has_a_unit_and_without_a_gauge_it_says_why():
    assert refused(GateSheet({"compression": "bad"}, compression=(9.0, "atm"))) == (
        "The unit",
        "atm",
        "bar or psi or %",
    )
    why = ("The note", None, "why the compression was not measured")
    assert (
        refused(GateSheet({"compression": "na"}))
        == refused(GateSheet({"compression": "na"}, {"compression": " "}))
        == why
    )
    check_answers(the_bank(), NEW, GateSheet({"compression": "na"}, {"compression": "no adapter"}))


def test_the_second_person_has_a_name():
    given = GateSheet({"second-person": "ok"}, second_person=" ")
    assert refused(given) == ("The second person's name", None, "who is within call")
    check_answers(the_bank(), NEW, GateSheet({"second-person": "bad"}))


@pytest.mark.parametrize(
    ("rpm", "is_taken"), [(499, False), (500, True), (30_000, True), (30_001, False), (None, False)]
)
def test_the_highest_revs_of_today_are_plausible(rpm, is_taken):
    given = GateSheet({"highest-revs": "ok"}, highest_rpm=rpm)
    if is_taken:
        check_answers(the_bank(), NEW, given)
    else:
        assert refused(given) == ("Highest revs today", rpm, "500 to 30000 rpm, or no limit")


def test_an_engine_that_is_not_run_in_has_its_limit_today():
    case = case_of(the_bank(), {}, remarks=("not-run-in",))
    with pytest.raises(BadInput) as error:
        check_answers(the_bank(), case, GateSheet({"highest-revs": "na"}))
    assert str(error.value) == "Highest revs today is no limit today; allowed is 500 to 30000 rpm: it is not run in."
    check_answers(the_bank(), case, GateSheet({"highest-revs": "ok"}, highest_rpm=6000))
    check_answers(the_bank(), NEW, GateSheet({"highest-revs": "na"}))
    barred = {line.id: barred_results(case, line) for line in LINES if barred_results(case, line)}
    assert barred == {"highest-revs": {"na"}}


def test_readings_that_cannot_be_judged_are_refused_where_they_are_given():
    with pytest.raises(BadInput):
        check_answers(the_bank(), NEW, GateSheet(strobe=((1400.0, 17.0),)))
