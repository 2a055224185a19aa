from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import findings, gate_answers, gates
from diagnostics.core.gate_list import AT_BENCH, BENCH_LINES, ITEMS, STRAPPED_DOWN, STRAPPED_LINES, line_called
from diagnostics.core.gate_people import NEVER_OVERRIDDEN
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.models.gates import Gate
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import standing
from garage.changes.day import planned_steps, steps
from garage.changes.visit import floor
from garage.core import routes, states
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import SoldPiece, Step, Visit
from garage.reads.routed import routed
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import gate_answered, gate_ended, gate_sheet
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
REASON = "Worn to the marks, sound for one low-speed run."


@pytest.fixture
def mechanic():
    garage.shop()
    return garage.person()


@pytest.fixture
def visit(mechanic):
    visit = garage.visit(machine=garage.machine(kind=garage.machine_kind()), state=states.HERE)
    visit.arrived_at = visit.booked_at
    visit.save()
    planned_steps.plan_booked(visit, the_shop())
    SoldPiece.objects.create(at="roller", place=1, begins_at=visit.starts_at, visit=visit)
    return visit


def begun(visit, by):
    return gates.begin(visit, by=by, now=timezone.now())


def at_the_bench(visit, by, **given):
    """A gate whose part at the bench has been ended."""
    gate = gate_answered(begun(visit, by), by=by, part=AT_BENCH, **given)
    gate = gates.end_at_the_bench(gate, by=by, now=timezone.now())
    visit.refresh_from_db()
    return gate


def strapped_down(gate, by, **given):
    """Its second part answered, on the rollers, not ended yet."""
    gate = gates.put_on_the_rollers(gate, station=1, by=by, now=timezone.now())
    return gate_answered(gate, by=by, part=STRAPPED_DOWN, **given)


def answered(gate, given, by):
    return gate_answers.answer(gate, given=given, by=by, now=timezone.now())


def roller_step(visit):
    return Step.objects.get(visit=visit, at="roller")


def test_only_both_parts_passed_open_the_rollers(visit, mechanic):
    def runs():
        return steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1)

    with pytest.raises(Refused, match="not passed the gate"):
        runs()
    gate = at_the_bench(visit, mechanic)
    assert (gate.passed, visit.gate_at_bench_passed_at is not None, visit.gate_passed_at) == (None, True, None)
    with pytest.raises(Refused, match="not passed the gate"):
        runs()
    gate = strapped_down(gate, mechanic)
    visit.refresh_from_db()
    assert (visit.state, visit.gate_passed_at) == (states.ON_THE_ROLLERS, None)
    with pytest.raises(Refused, match="not passed the gate"):
        runs()
    gate = gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (gate.passed, gate.fails, gate.strobe_verdict) == (True, [], "in-spec")
    assert visit.gate_passed_at
    assert runs().began_at


def test_it_stands_on_the_rollers_only_after_its_part_at_the_bench(visit, mechanic):
    gate = gate_answered(begun(visit, mechanic), by=mechanic, part=AT_BENCH)
    with pytest.raises(Refused, match="at the bench comes first"):
        gates.put_on_the_rollers(gate, station=1, by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="at the bench comes first"):
        answered(gate, GateSheet({"strapping": "ok"}), mechanic)
    with pytest.raises(Refused, match="not on the rollers yet"):
        gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    gate = gates.end_at_the_bench(gate, by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="not on the rollers"):
        answered(gate, GateSheet({"strapping": "ok"}), mechanic)


def test_a_part_begun_by_one_is_gone_on_with_by_another(visit, mechanic):
    other = garage.person()
    answered(begun(visit, mechanic), gate_sheet().only("leaks"), mechanic)
    gate = gate_answered(begun(visit, other), by=other, part=AT_BENCH)
    gate = gates.end_at_the_bench(gate, by=other, now=timezone.now())
    assert (gate.by, gate.bench_passed_at is not None) == (mechanic, True)
    assert {row.by for row in gate.items.all()} == {other}
    assert Gate.objects.count() == 1


def test_with_a_do_not_run_finding_the_engine_stays_off(visit, mechanic):
    findings.record(visit, question="pinking", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    gate = gate_answered(begun(visit, mechanic), by=mechanic, part=AT_BENCH)
    assert not gate.items.filter(item__in=["kill-switch", "rev-out", "strobe"]).exists()
    with pytest.raises(Refused, match="do not run"):
        answered(gate, GateSheet(rev_out="clean"), mechanic)
    gate = gates.end_at_the_bench(gate, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (gate.passed, visit.gate_at_bench_passed_at, visit.route) == (False, None, routes.DO_NOT_RUN)


def test_taken_off_and_put_on_again_it_is_strapped_and_asked_afresh(visit, mechanic):
    gate = strapped_down(at_the_bench(visit, mechanic), mechanic)
    gates.take_off_the_rollers(gate, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    gate.refresh_from_db()
    assert (visit.state, gate.second_person, visit.gate_at_bench_passed_at is not None) == (states.HERE, "", True)
    assert (gate.rev_out, gate.strobe_verdict) == ("clean", "in-spec")
    assert (roller_step(visit).strapped_from, roller_step(visit).by) == (None, None)
    assert not gate.items.filter(item="strapping").exists()
    assert gate.items.filter(item="leaks").exists()
    gate = gates.put_on_the_rollers(gate, station=1, by=mechanic, now=timezone.now())
    with pytest.raises(BadInput, match="Strapped down, straps and anchors sound is missing"):
        gates.end_strapped_down(gate, by=mechanic, now=timezone.now())


def test_after_a_passed_gate_too_a_machine_put_on_again_is_strapped_and_asked_afresh(visit, mechanic):
    gate = gates.end_strapped_down(
        strapped_down(at_the_bench(visit, mechanic), mechanic), by=mechanic, now=timezone.now()
    )
    visit.refresh_from_db()
    floor.say(visit, states.WAITING_FOR_PARTS, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.gate_at_bench_passed_at is not None, visit.gate_passed_at) == (True, None)
    with pytest.raises(Refused, match="has not passed the gate"):
        steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1)
    with pytest.raises(Refused, match="has not passed the gate"):
        floor.say(visit, states.ON_THE_ROLLERS, by=mechanic, now=timezone.now())
    now = timezone.now()
    again = gates.begin(visit, by=mechanic, now=now)
    check_noted("gate begun, to be strapped down again", by=mechanic, at=now, visit=visit)
    assert (again.pk != gate.pk, again.bench_passed_at) == (True, visit.gate_at_bench_passed_at)
    again = strapped_down(again, mechanic)
    assert gates.end_strapped_down(again, by=mechanic, now=timezone.now()).passed
    assert Gate.objects.get(pk=gate.pk).items.filter(item="strapping").exists()  # the first one stays as it was
    assert steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1).began_at


def test_a_second_session_is_strapped_down_again_and_found_fault_with_it_is_looked_at_on_the_bench_again(
    visit, mechanic
):
    gates.end_strapped_down(strapped_down(at_the_bench(visit, mechanic), mechanic), by=mechanic, now=timezone.now())
    first = steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1)
    steps.end(first, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert visit.gate_passed_at is None
    second = Step.objects.create(visit=visit, index=9, at="roller", minutes=30, what="power run")
    with pytest.raises(Refused, match="has not passed the gate"):
        steps.begin(second, by=mechanic, now=timezone.now(), station=1)
    findings.record(visit, question="pinking", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    assert gates.begin(visit, by=mechanic, now=timezone.now()).bench_passed_at is None


def test_a_gate_that_is_passed_and_stands_is_done_again_from_the_bench(visit, mechanic):
    gates.end_strapped_down(strapped_down(at_the_bench(visit, mechanic), mechanic), by=mechanic, now=timezone.now())
    assert gates.begin(visit, by=mechanic, now=timezone.now()).bench_passed_at is None


def test_what_is_found_between_the_parts_keeps_it_off_the_rollers_until_the_bench_has_looked_again(visit, mechanic):
    gate = at_the_bench(visit, mechanic)
    findings.record(visit, question="pinking", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="Something was found since"):
        gates.put_on_the_rollers(gate, station=1, by=mechanic, now=timezone.now())
    now = timezone.now()
    gate = gates.do_the_bench_again(gate, by=mechanic, now=now)
    check_noted("the gate at the bench is done again", by=mechanic, at=now, visit=visit)
    visit.refresh_from_db()
    assert (visit.gate_at_bench_passed_at, gate.bench_passed_at, gate.rev_out, gate.strobe_readings) == (
        None,
        None,
        "",
        [],
    )
    assert set(gate.items.values_list("item", flat=True)) == {line.id for line in BENCH_LINES if not line.runs_engine}
    findings.record(visit, question="pinking", answer="no", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    assert gate_ended(visit, by=mechanic).passed is True


def test_a_part_that_no_longer_counts_is_done_again(visit, mechanic):
    gate = at_the_bench(visit, mechanic)
    Visit.objects.filter(pk=visit.pk).update(gate_at_bench_passed_at=None)
    lapsed = "Something was found since the part at the bench was passed: do that part again."
    with refuses(lapsed):
        gates.put_on_the_rollers(gate, station=1, by=mechanic, now=timezone.now())
    Visit.objects.filter(pk=visit.pk).update(state=states.ON_THE_ROLLERS)
    with refuses(lapsed):
        gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    with refuses("It stands on the rollers: take it off first."):
        gates.do_the_bench_again(gate, by=mechanic, now=timezone.now())
    gates.take_off_the_rollers(gate, by=mechanic, now=timezone.now())
    gate = gates.do_the_bench_again(gate, by=mechanic, now=timezone.now())
    with refuses("The part at the bench is not passed yet: go on with it."):
        gates.do_the_bench_again(gate, by=mechanic, now=timezone.now())


def test_a_do_not_run_finding_on_the_rollers_ends_the_way_there(visit, mechanic):
    gate = strapped_down(at_the_bench(visit, mechanic), mechanic)
    findings.record(visit, question="nipped", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="Something was found since"):
        gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.gate_at_bench_passed_at, visit.gate_passed_at) == (None, None)


def test_a_passed_part_is_not_answered_again(visit, mechanic):
    gate = at_the_bench(visit, mechanic)
    with pytest.raises(Refused, match="is passed"):
        answered(gate, GateSheet({"leaks": "bad"}), mechanic)
    with pytest.raises(Refused, match="passed already"):
        gates.end_at_the_bench(gate, by=mechanic, now=timezone.now())


def test_a_gate_that_fails_strapped_down_comes_off_the_rollers(visit, mechanic):
    gate = strapped_down(at_the_bench(visit, mechanic), mechanic, bad=["extraction"])
    gate = gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (gate.passed, gate.fails) == (False, ["The extraction is not running."])
    assert (visit.state, visit.gate_at_bench_passed_at, visit.gate_passed_at) == (states.HERE, None, None)
    assert (visit.route, visit.starts_at) == (routes.FIX_FIRST, None)
    assert roller_step(visit).strapped_from is None


def test_a_failed_gate_sends_to_fix_first_and_frees_the_rollers(visit, mechanic):
    gate = at_the_bench(visit, mechanic, rev_out="ceiling")
    assert (gate.passed, len(gate.fails)) == (False, 1)
    assert "ceiling" in gate.fails[0]
    assert (visit.route, visit.gate_passed_at, visit.starts_at) == (routes.FIX_FIRST, None, None)
    assert not SoldPiece.objects.exists()
    assert list(routed().to_fix_first) == [visit]
    open_steps = Step.objects.filter(visit=visit, began_at=None).order_by("index")
    assert [step.what for step in open_steps] == ["fix first", "gate", "set-up"]
    with pytest.raises(Refused, match="not passed the gate"):
        steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1)


def test_what_the_gate_found_stands_as_findings_of_the_workshop(visit, mechanic):
    at_the_bench(visit, mechanic, rev_out="smoky", strobe=((9000.0, 16.0), (1400.0, 17.0)))
    found = {question: (row.answer, row.source, row.by) for question, row in standing(visit).items()}
    assert found == {
        "rev_out": ("smoky", Finding.WORKSHOP, mechanic),
        "strobe_idle": (17.0, Finding.WORKSHOP, mechanic),
        "strobe_peak": (16.0, Finding.WORKSHOP, mechanic),
    }


def test_the_do_not_run_rules_run_on_what_the_gate_found(visit, mechanic):
    gate = at_the_bench(visit, mechanic, strobe=((1400.0, 14.0), (9000.0, 19.5)))
    assert gate.strobe_verdict == "advances"  # 14 climbing to 19.5: manual of `timing`
    assert gate.rev_out == ""  # it is not revved out any more
    assert (visit.route, visit.ready_chance) == (routes.DO_NOT_RUN, 0)
    assert any(line.startswith("Do not run:") for line in gate.fails)
    with pytest.raises(Refused, match="Nobody overrides that"):
        gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON)


def test_the_strobe_may_show_that_the_timing_was_put_right(visit, mechanic):
    at_the_bench(visit, mechanic, strobe=((1400.0, 14.0), (9000.0, 19.5)))
    assert gate_ended(visit, by=mechanic).passed is True


def test_what_the_owner_said_stops_it_until_the_bench_has_found_otherwise(visit, mechanic):
    findings.record(visit, question="nipped", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    assert gate_ended(visit, by=mechanic).passed is False
    findings.record(visit, question="nipped", answer="no", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    assert gate_ended(visit, by=mechanic).passed is True


def test_the_boss_lets_a_gate_that_failed_at_the_bench_go_on_with_its_second_part(visit, mechanic):
    gate = gate_ended(visit, by=mechanic, bad=["tyre"])
    boss = garage.boss()
    for too_little in ("  ", "low-speed run", "x" * 201):
        with pytest.raises(BadInput, match="reason"):
            gates.override(gate, by=boss, now=timezone.now(), reason=too_little)
    visit.refresh_from_db()
    assert visit.gate_at_bench_passed_at is None
    gates.override(gate, by=boss, now=timezone.now(), reason=f"  {REASON} ")
    visit.refresh_from_db()
    gate.refresh_from_db()
    assert (gate.overridden_by, gate.override_reason, gate.passed, gate.ended_at) == (boss, REASON, False, None)
    assert (visit.gate_at_bench_passed_at is not None, visit.gate_passed_at) == (True, None)
    with pytest.raises(Refused, match="not passed the gate"):
        steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1)
    with pytest.raises(Refused, match="already overridden"):
        gates.override(gate, by=boss, now=timezone.now(), reason=REASON)
    gate = gates.end_strapped_down(strapped_down(gate, mechanic), by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (gate.passed, gate.overridden_by, visit.gate_passed_at is not None) == (False, boss, True)
    assert list(routed().to_fix_first) == []
    assert steps.begin(roller_step(visit), by=mechanic, now=timezone.now(), station=1).began_at


def test_let_through_at_the_bench_it_can_still_fail_strapped_down(visit, mechanic):
    gate = gate_ended(visit, by=mechanic, bad=["tyre"])
    gate = gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON)
    gate = strapped_down(gate, mechanic, bad=["guards"])
    gate = gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (gate.fails, gate.overridden_by, gate.override_reason) == (["A guard is missing."], None, "")
    assert (visit.gate_at_bench_passed_at, visit.gate_passed_at) == (None, None)


def test_let_through_strapped_down_it_is_strapped_down_and_asked_again_before_it_runs(visit, mechanic):
    gate = strapped_down(at_the_bench(visit, mechanic), mechanic, bad=["ears"])
    gate = gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    gate = gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON)
    visit.refresh_from_db()
    assert (visit.gate_at_bench_passed_at is not None, visit.gate_passed_at) == (True, None)
    gate = gates.put_on_the_rollers(gate, station=1, by=mechanic, now=timezone.now())
    assert not gate.items.filter(item__in=[line.id for line in STRAPPED_LINES]).exists()
    gate = gate_answered(gate, by=mechanic, part=STRAPPED_DOWN, bad=["ears"], words={"ears": "one pair short"})
    gate = gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (gate.passed, gate.fails, visit.gate_passed_at is not None) == (
        False,
        ["Ear protection is missing."],
        True,
    )


def test_let_through_for_one_line_it_still_fails_for_another(visit, mechanic):
    gate = strapped_down(at_the_bench(visit, mechanic), mechanic, bad=["ears"])
    gate = gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    gate = gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON)
    gate = gates.end_strapped_down(
        strapped_down(gate, mechanic, bad=["ears", "strapping"]), by=mechanic, now=timezone.now()
    )
    visit.refresh_from_db()
    assert (gate.overridden_by, visit.gate_passed_at, visit.state) == (None, None, states.HERE)
    assert "The strapping is not sound." in gate.fails


@pytest.mark.parametrize("role", [Person.MECHANIC, Person.FRONT_DESK])
def test_only_the_boss_lets_a_failed_gate_pass(visit, mechanic, role):
    gate = gate_ended(visit, by=mechanic, bad=["tyre"])
    with pytest.raises(Refused, match="Only the boss"):
        gates.override(gate, by=garage.person(role=role), now=timezone.now(), reason=REASON)


def test_the_boss_who_ran_the_gate_or_answered_a_line_of_it_does_not_let_it_pass(visit, mechanic):
    boss = garage.boss()
    answered(begun(visit, mechanic), GateSheet({"leaks": "ok"}), mechanic)
    answered(begun(visit, mechanic), GateSheet({"brakes": "ok"}), boss)
    gate = Gate.objects.get()
    for line in BENCH_LINES:
        if line.id not in ("leaks", "brakes"):
            answered(gate, gate_sheet(bad=["tyre"]).only(line.id), mechanic)
    gate = gates.end_at_the_bench(gate, by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="ran this gate"):
        gates.override(gate, by=boss, now=timezone.now(), reason=REASON)
    assert gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON).overridden_by


@pytest.mark.parametrize("line", sorted(NEVER_OVERRIDDEN))
def test_some_lines_nobody_overrides(visit, mechanic, line):
    if line_called(line).part == AT_BENCH:
        gate = gate_ended(visit, by=mechanic, bad=[line, "tyre"])
    else:
        gate = strapped_down(at_the_bench(visit, mechanic), mechanic, bad=[line])
        gate = gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="Nobody overrides this"):
        gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON)
    visit.refresh_from_db()
    assert (visit.gate_at_bench_passed_at, visit.gate_passed_at) == (None, None)


def test_who_ends_the_second_part_is_not_the_second_person(visit, mechanic):
    second = garage.person(first_name="Jo")
    gate = strapped_down(at_the_bench(visit, mechanic), mechanic, second_id=second.pk)
    with pytest.raises(BadInput, match="Second person within call"):
        gates.end_strapped_down(gate, by=second, now=timezone.now())
    gate = gates.end_strapped_down(gate, by=mechanic, now=timezone.now())
    assert (gate.passed, gate.second, gate.second_person) == (True, second, "Jo")


def test_a_finding_after_the_gate_takes_the_pass_back_and_asks_for_another_gate(visit, mechanic):
    gate_ended(visit, by=mechanic)
    findings.record(visit, question="pinking", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.gate_at_bench_passed_at, visit.gate_passed_at) == (None, None)
    assert visit.must_not_run == ["Does it rattle or pink under load? Yes."]
    waiting = Step.objects.filter(visit=visit, began_at=None).order_by("index")
    assert [step.what for step in waiting] == ["gate", "set-up"]
    findings.record(visit, question="pinking", answer="no", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.gate_passed_at, visit.must_not_run) == (None, [])


def test_only_a_failed_gate_is_overridden(visit, mechanic):
    passed = gate_ended(visit, by=mechanic)
    with pytest.raises(Refused, match="Only a failed gate"):
        gates.override(passed, by=garage.boss(), now=timezone.now(), reason=REASON)


def test_a_gate_begins_once_the_machine_is_here(visit, mechanic):
    coming = garage.visit()
    with pytest.raises(Refused, match="take the machine in first"):
        gates.begin(coming, by=mechanic, now=timezone.now())
    assert begun(visit, mechanic) == begun(visit, mechanic)
    assert Gate.objects.count() == 1


def test_a_gate_that_is_over_takes_no_more_answers(visit, mechanic):
    gate = gate_ended(visit, by=mechanic)
    with pytest.raises(Refused, match="already over"):
        answered(gate, gate_sheet().only("leaks"), mechanic)
    with pytest.raises(Refused, match="already over"):
        gates.end_strapped_down(gate, by=mechanic, now=timezone.now())


def test_what_is_missing_ends_nothing(visit, mechanic):
    gate = gate_answered(begun(visit, mechanic), by=mechanic, part=AT_BENCH, strobe=())
    with pytest.raises(BadInput, match="strobe"):
        gates.end_at_the_bench(gate, by=mechanic, now=timezone.now())
    assert Gate.objects.get().ended_at is None


def test_a_gate_of_one_part_begun_before_can_be_gone_on_with(visit, mechanic):
    Gate.objects.create(visit=visit, begun_at=timezone.now(), by=mechanic)  # as the release before left it
    gate = gate_ended(visit, by=mechanic)
    assert (gate.passed, gate.items.count()) == (True, len(ITEMS) + 2)


def test_a_gate_that_fails_at_the_bench_is_kept_whole_from_beginning_to_end(visit, mechanic):
    now, by = timezone.now(), garage.person()
    gate = begun_at(visit, mechanic, now)
    check_noted("gate begun", by=mechanic, at=now, visit=visit)
    end = now + timedelta(minutes=18)
    gate_answered(gate, by=by, part=AT_BENCH, bad=["tyre"], words={"tyre": " worn "}, fuel_mix=" 1:50 ")
    gates.end_at_the_bench(gate, by=by, now=end)
    row = Gate.objects.get()
    assert (row.visit, row.begun_at, row.ended_at, row.by, row.passed) == (visit, now, end, mechanic, False)
    assert (row.ended_by, row.finished_by, row.bench_passed_at) == (by, by, None)
    assert (row.rev_out, row.strobe_readings) == ("clean", [[1400.0, 17.0], [9000.0, 16.5]])
    assert (row.strobe_verdict, row.strobe_not_seen, row.fuel_mix) == ("in-spec", "", "1:50")
    items = {item.item: (item.result, item.words) for item in row.items.all()}
    assert items == {line.id: ("bad", "worn") if line.id == "tyre" else ("ok", "") for line in BENCH_LINES}
    step = Step.objects.get(visit=visit, is_check=True, ended_at=end)
    assert (step.began_at, step.by) == (now, by)
    failed = visit.trail.get(did="failed the gate")
    assert (failed.by, failed.at, failed.detail) == (by, end, {"reasons": row.fails})
    check_noted("routed: fix first", by=by, at=end, visit=visit, reasons=row.fails)
    found = standing(visit)["rev_out"]
    assert (found.by, found.source) == (by, Finding.WORKSHOP)


def begun_at(visit, by, now):
    return gates.begin(visit, by=by, now=now)


def test_both_parts_are_noted_as_they_pass(visit, mechanic):
    now, later = timezone.now(), timezone.now() + timedelta(minutes=25)
    gate = gate_answered(begun_at(visit, mechanic, now), by=mechanic, part=AT_BENCH)
    gate = gates.end_at_the_bench(gate, by=mechanic, now=now)
    reasons = ["The gate was passed at the bench."]
    check_noted("routed: roller-ready", by=mechanic, at=now, visit=visit, reasons=reasons)
    visit.refresh_from_db()
    assert (visit.route, visit.ready_chance, visit.gate_at_bench_passed_at) == (routes.ROLLER_READY, 1.0, now)
    gates.put_on_the_rollers(gate, station=1, by=mechanic, now=now)
    check_noted("put on roller 1, to be strapped down", by=mechanic, at=now, visit=visit)
    sam = garage.person(first_name="Sam")
    limited = gate_sheet().results | {"highest-revs": "ok"}
    gate_answered(gate, by=mechanic, part=STRAPPED_DOWN, results=limited, highest_rpm=6000, second_id=sam.pk)
    gates.end_strapped_down(gate, by=mechanic, now=later)
    check_noted("let through the gate", by=mechanic, at=later, visit=visit)
    visit.refresh_from_db()
    row = Gate.objects.get()
    assert (visit.gate_passed_at, row.ended_at, row.passed, row.finished_by) == (later, later, True, mechanic)
    assert (row.highest_rpm, row.second_person, row.second) == (6000, "Sam", sam)
    assert row.notes[-1] == "Running in: not above 6000 rpm today."
    assert any(note.startswith("Piston and bore") for note in row.notes)


def test_a_gate_that_stops_the_machine_is_noted_as_do_not_run(visit, mechanic):
    gate = at_the_bench(visit, mechanic, strobe=((1400.0, 14.0), (9000.0, 19.5)))
    check_noted("routed: do not run", by=mechanic, at=gate.ended_at, visit=visit, reasons=gate.fails)
    assert (visit.route, visit.route_reasons) == (routes.DO_NOT_RUN, gate.fails)
    assert visit.bench_minutes == Step.objects.get(visit=visit, what="fix first").minutes
    assert visit.bench_minutes_from <= visit.bench_minutes <= visit.bench_minutes_to


def test_an_override_is_kept_and_noted_in_its_own_name(visit, mechanic):
    gate, boss, now = gate_ended(visit, by=mechanic, bad=["tyre"]), garage.boss(first_name="Bo"), timezone.now()
    gates.override(gate, by=boss, now=now, reason=f" {'x' * 200} ")
    reason = "x" * 200
    row = Gate.objects.get()
    assert (row.overridden_by, row.overridden_at, row.override_reason, row.bench_passed_at) == (boss, now, reason, now)
    said = visit.trail.get(did__startswith="gate overridden: x")
    assert (said.by, said.at, said.detail) == (boss, now, {"fails": row.fails})
    reasons = [f"Bo let it through a failed gate: {reason}"]
    check_noted("routed: roller-ready", by=boss, at=now, visit=visit, reasons=reasons)
    visit.refresh_from_db()
    assert (visit.gate_at_bench_passed_at, visit.ready_chance, visit.route_reasons) == (now, 1.0, reasons)


def test_each_refusal_of_a_gate_says_what_to_do(visit, mechanic):
    boss, now = garage.boss(first_name="Bo"), timezone.now()
    gate = begun_at(visit, mechanic, now)
    with refuses("Only a failed gate can be overridden."):
        gates.override(gate, by=boss, now=now, reason=REASON)
    with refuses("The part at the bench comes first: it does not go on the rollers before that is passed."):
        gates.put_on_the_rollers(gate, station=1, by=mechanic, now=now)
    with refuses("The part at the bench comes first: it is not strapped down before that is passed."):
        answered(gate, GateSheet({"guards": "ok"}), mechanic)
    with refuses("The answer is missing; allowed is what was found.", BadInput):
        answered(gate, GateSheet(), mechanic)
    gates.end_at_the_bench(gate_answered(gate, by=mechanic, part=AT_BENCH, bad=["tyre"]), by=mechanic, now=now)
    with refuses("This gate is already over: begin another one."):
        gates.end_at_the_bench(gate, by=mechanic, now=now)
    allowed = "allowed is why it may go on the rollers all the same, in 20 to 200 letters."
    with refuses(f"The reason is missing; {allowed}", BadInput):
        gates.override(gate, by=boss, now=now, reason=" ")
    with refuses(f"The reason is 201 characters; {allowed}", BadInput):
        gates.override(gate, by=boss, now=now, reason="x" * 201)
    newer = begun_at(visit, mechanic, now + timedelta(minutes=1))
    with refuses("This visit has a newer gate: look at that one."):
        gates.override(gate, by=boss, now=now, reason=REASON)
    newer.delete()
    gates.override(gate, by=boss, now=now, reason=REASON)
    with refuses("This gate was already overridden, by Bo."):
        gates.override(gate, by=boss, now=now, reason=REASON)


def test_each_refusal_on_the_rollers_says_what_to_do(visit, mechanic):
    now = timezone.now()
    gate = at_the_bench(visit, mechanic)
    with refuses("The part at the bench is passed already: next it is strapped down on the rollers."):
        gates.end_at_the_bench(gate, by=mechanic, now=now)
    with refuses("It is not on the rollers: say which one it stands on, then go on."):
        answered(gate, GateSheet({"guards": "ok"}), mechanic)
    with refuses("There is no roller 2: the shop has 1 to 1."):
        gates.put_on_the_rollers(gate, station=2, by=mechanic, now=now)
    desk = garage.front_desk(first_name="Ari")
    with refuses("Ari is not down for work at the rollers. See The shop, people."):
        gates.put_on_the_rollers(gate, station=1, by=desk, now=now)
    gate = gates.put_on_the_rollers(gate, station=1, by=mechanic, now=now)
    with refuses("It stands on the rollers already."):
        gates.put_on_the_rollers(gate, station=1, by=mechanic, now=now)
    with refuses("The part at the bench is passed. If something has changed since, do that part again."):
        answered(gate, GateSheet({"leaks": "bad"}), mechanic)


def test_a_machine_that_must_not_run_is_not_let_through(visit, mechanic):
    gate = gate_ended(visit, by=mechanic, strobe=((1400.0, 14.0), (9000.0, 19.5)))
    with pytest.raises(Refused, match=f"^Visit {visit.number} must not run. ") as refused:
        gates.override(gate, by=garage.boss(), now=timezone.now(), reason=REASON)
    assert str(refused.value).endswith(
        "Nobody overrides that: write down what the bench found, then do the gate again."
    )
    assert all(reading in str(refused.value) for reading in ("14 degrees BTDC.", "19.5 degrees BTDC."))
