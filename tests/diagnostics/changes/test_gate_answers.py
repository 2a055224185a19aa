"""The lines of a gate, each saved as it is answered."""

from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import findings, gate_answers, gates
from diagnostics.core.gate_list import AT_BENCH, STRAPPED_LINES
from diagnostics.core.gate_sheet import GateSheet
from diagnostics.models.gates import Gate
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import standing
from garage.core import states
from garage.core.errors import BadInput, Refused
from tests.factories import garage
from tests.factories.diagnostics import gate_answered, gate_ended, gate_sheet
from tests.sentences import refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic():
    garage.shop()
    return garage.person()


@pytest.fixture
def visit(mechanic):
    machine = garage.machine(kind=garage.machine_kind())
    return garage.visit(machine=machine, state=states.HERE, arrived_at=timezone.now())


def begun(visit, by):
    return gates.begin(visit, by=by, now=timezone.now())


def answered(gate, given, by):
    return gate_answers.answer(gate, given=given, by=by, now=timezone.now())


def test_each_answer_is_saved_with_who_gave_it_and_when(visit, mechanic):
    gate, other = begun(visit, mechanic), garage.person()
    first = timezone.now()
    gate_answers.answer(gate, given=GateSheet({"leaks": "ok"}), by=mechanic, now=first)
    gate_answers.answer(gate, given=GateSheet({"fuel": "bad"}, {"fuel": "half a cup"}), by=other, now=timezone.now())
    rows = {row.item: (row.result, row.words, row.by) for row in gate.items.all()}
    assert rows == {"leaks": ("ok", "", mechanic), "fuel": ("bad", "half a cup", other)}
    assert gate.items.get(item="leaks").at == first


def test_a_line_put_right_is_answered_again_and_the_old_answer_stays_in_the_trail(visit, mechanic):
    gate = begun(visit, mechanic)
    answered(gate, GateSheet({"tyre": "bad"}, {"tyre": "a nail"}), mechanic)
    answered(gate, GateSheet({"tyre": "bad"}, {"tyre": "a nail"}), mechanic)
    answered(gate, GateSheet({"tyre": "ok"}), garage.person())
    row = gate.items.get(item="tyre")
    assert (row.result, row.words) == ("ok", "")
    said = [row.did for row in visit.trail.all() if row.did.startswith("gate, ")]
    assert said == [
        "gate, Tyre sound, at the right pressure, nothing loose in the tread: in order; was not in order: a nail"
    ]


def test_the_gauge_s_reading_is_kept_with_its_unit(visit, mechanic):
    gate = begun(visit, mechanic)
    answered(gate, GateSheet({"compression": "ok"}, compression=(142, "psi")), mechanic)
    gate = Gate.objects.get()
    assert (float(gate.compression), gate.compression_unit) == (142, "psi")
    answered(gate, GateSheet({"compression": "na"}, {"compression": "no adapter"}), mechanic)
    gate = Gate.objects.get()
    assert (gate.compression, gate.compression_unit) == (None, "")


def test_nobody_starts_an_engine_that_leaks(visit, mechanic):
    gate = begun(visit, mechanic)
    for item in ("mix", "oil-coolant", "throttle", "exhaust"):
        answered(gate, gate_sheet().only(item), mechanic)
    answered(gate, GateSheet({"leaks": "bad"}), mechanic)
    with pytest.raises(Refused, match="leave the engine off until these are in order: No leaks"):
        answered(gate, GateSheet({"kill-switch": "ok"}), mechanic)
    answered(gate, GateSheet({"leaks": "ok"}), mechanic)
    answered(gate, GateSheet({"kill-switch": "bad"}), mechanic)
    with pytest.raises(Refused, match="The kill switch stops it"):
        answered(gate, GateSheet(rev_out="clean"), mechanic)
    answered(gate, GateSheet(rev_out="not-done"), mechanic)  # that it was left out can always be said


@pytest.mark.parametrize("given", [GateSheet(), GateSheet({"tyre": "round"}), GateSheet({"tires": "ok"})])
def test_an_answer_that_is_none_saves_nothing(visit, mechanic, given):
    with pytest.raises(BadInput):
        answered(begun(visit, mechanic), given, mechanic)
    assert not Gate.objects.get().items.exists()


def test_two_people_at_one_machine_keep_each_other_s_answers(visit, mechanic):
    """Each has the gate as it was before the other answered."""
    other, stale = garage.person(), begun(visit, mechanic)
    fresh = Gate.objects.get()
    answered(fresh, gate_sheet().only("compression"), mechanic)
    answered(stale, GateSheet({"mix": "ok"}, fuel_mix="1:40"), other)
    gate = Gate.objects.get()
    assert (float(gate.compression), gate.fuel_mix) == (9.5, "1:40")
    assert {row.item: row.by for row in gate.items.all()} == {"compression": mechanic, "mix": other}


def test_several_lines_may_be_saved_at_once(visit, mechanic):
    sheet = gate_sheet().without(STRAPPED_LINES)
    answered(begun(visit, mechanic), sheet, mechanic)
    assert Gate.objects.get().items.count() == len(sheet.answered)


def test_of_several_lines_all_are_saved_or_none(visit, mechanic):
    gate = begun(visit, mechanic)
    with pytest.raises(Refused):
        answered(gate, GateSheet({"leaks": "bad", "kill-switch": "ok"}), mechanic)
    assert not gate.items.exists()


def test_what_the_strobe_and_the_rev_out_showed_is_kept_as_a_result_too(visit, mechanic):
    gate = gate_answered(begun(visit, mechanic), by=mechanic, part=AT_BENCH, rev_out="ceiling")
    results = dict(gate.items.filter(item__in=["strobe", "rev-out"]).values_list("item", "result"))
    assert results == {"strobe": "ok", "rev-out": "bad"}
    answered(gate, GateSheet(strobe=((1400.0, 17.0), (9000.0, 14.0))), mechanic)
    assert (gate.items.get(item="strobe").result, Gate.objects.get().strobe_verdict) == ("bad", "retards-far")
    answered(gate, GateSheet(not_seen="cover"), mechanic)
    gate = Gate.objects.get()
    assert (gate.items.get(item="strobe").result, gate.strobe_verdict, gate.strobe_readings) == ("na", "", [])


def test_a_line_that_may_not_be_done_now_says_what_comes_first(visit, mechanic):
    gate = begun(visit, mechanic)
    with refuses(
        "The kill switch stops it: leave the engine off until these are in order: No leaks of petrol, oil or coolant; "
        "The right petrol, with the right oil in it; Oil and coolant at their marks; The throttle opens fully and "
        "snaps shut by itself; Exhaust on and tight."
    ):
        answered(gate, GateSheet({"kill-switch": "ok"}), mechanic)
    findings.record(visit, question="nipped", answer="yes", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    with refuses("The rev-out on the stand: not with this engine. A finding says do not run, so leave it off."):
        answered(gate, GateSheet(rev_out="clean"), mechanic)


def test_an_answer_given_again_is_noted_with_the_one_before(visit, mechanic):
    gate, other, now = begun(visit, mechanic), garage.person(), timezone.now() + timedelta(minutes=3)
    answered(gate, GateSheet({"mix": "ok"}, fuel_mix="1:40"), mechanic)
    gate_answers.answer(gate, given=GateSheet({"mix": "bad"}, {"mix": "no oil"}), by=other, now=now)
    said = "gate, The right petrol, with the right oil in it: not in order: no oil; was in order: 1:40"
    row = visit.trail.get(did__startswith="gate, ")
    assert (row.did, row.by, row.at) == (said, other, now)


def test_a_part_asked_afresh_is_noted_once(visit, mechanic):
    gate = gate_answered(begun(visit, mechanic), by=mechanic, part=AT_BENCH)
    gate = gates.put_on_the_rollers(
        gates.end_at_the_bench(gate, by=mechanic, now=timezone.now()), station=1, by=mechanic, now=timezone.now()
    )
    gates.take_off_the_rollers(gate, by=mechanic, now=timezone.now())
    asked = "gate: to be answered again: guards"
    assert not visit.trail.filter(did=asked).exists()
    gate = gates.put_on_the_rollers(gate, station=1, by=mechanic, now=timezone.now())
    answered(gate, GateSheet({"guards": "ok"}), mechanic)
    gates.take_off_the_rollers(gate, by=mechanic, now=timezone.now())
    assert visit.trail.filter(did=asked).count() == 1
    assert gate.items.count() == len(gate_sheet().without(STRAPPED_LINES).answered)


def test_a_gate_that_is_over_says_so(visit, mechanic):
    with refuses("This gate is already over: begin another one."):
        answered(gate_ended(visit, by=mechanic), GateSheet({"leaks": "ok"}), mechanic)


def test_the_second_person_is_picked_and_is_not_one_of_those_at_the_rollers(visit, mechanic):
    gate = gate_answered(begun(visit, mechanic), by=mechanic, part=AT_BENCH)
    gate = gates.end_at_the_bench(gate, by=mechanic, now=timezone.now())
    gate = gates.put_on_the_rollers(gate, station=1, by=mechanic, now=timezone.now())
    straps, left = garage.person(), garage.person(is_active=False)
    answered(gate, GateSheet({"strapping": "ok"}), straps)
    for second_id in (None, mechanic.pk, straps.pk, left.pk):
        with pytest.raises(BadInput, match="Second person within call"):
            answered(gate, GateSheet({"second-person": "ok"}, second_id=second_id), mechanic)
    other = garage.person(first_name="Jo")
    gate = answered(gate, GateSheet({"second-person": "ok"}, second_id=other.pk), mechanic)
    assert (gate.second, gate.second_person) == (other, "Jo")
    gate = answered(gate, GateSheet({"second-person": "bad"}), mechanic)
    assert (gate.second_id, gate.second_person) == (None, "")


def test_what_an_answer_shows_stands_as_a_finding_and_stops_the_machine_at_once(visit, mechanic):
    gate = begun(visit, mechanic)
    answered(gate, GateSheet({"mix": "bad"}), mechanic)
    visit.refresh_from_db()
    assert (standing(visit)["fuel"].answer, len(visit.must_not_run)) == ("wrong-mix", 1)
    answered(gate, GateSheet({"mix": "ok"}), mechanic)
    visit.refresh_from_db()
    assert (standing(visit)["fuel"].answer, visit.must_not_run) == ("fresh", [])
    gate_answered(gate, by=mechanic, part=AT_BENCH, strobe=(), rev_out="")
    answered(gate, GateSheet(strobe=((1400.0, 14.0), (9000.0, 19.5))), mechanic)
    visit.refresh_from_db()
    assert visit.must_not_run
    with pytest.raises(Refused, match="not with this engine"):
        answered(gate, GateSheet(rev_out="clean"), mechanic)
    answered(gate, GateSheet(strobe=((1400.0, 17.0), (9000.0, 16.5))), mechanic)
    answered(gate, GateSheet(rev_out="clean"), mechanic)
    assert standing(visit)["rev_out"].by == mechanic


def test_that_the_mix_is_right_says_nothing_of_the_petrol_where_nobody_doubted_it(visit, mechanic):
    answered(begun(visit, mechanic), GateSheet({"mix": "ok"}), mechanic)
    assert "fuel" not in standing(visit)
