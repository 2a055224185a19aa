import pytest
from django.utils import timezone

from diagnostics.changes import findings, judgements, sheets
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import standing, visit_case
from diagnostics.reads.machine_facts import machine_facts
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.actors import OWNER
from garage.models.trail import TrailRow
from tests.factories import garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit(machine=garage.machine(kind=garage.machine_kind()))


def test_a_second_answer_counts_and_the_first_is_kept(visit):
    sheets.answer(visit, question="pinking", given="no", now=timezone.now())
    sheets.answer(visit, question="pinking", given="yes", now=timezone.now())
    assert [(row.answer, row.is_standing) for row in visit.findings.all()] == [("no", False), ("yes", True)]


def test_each_finding_has_its_giver_and_time(visit):
    mechanic = garage.person()
    sheets.answer(visit, question="plug", given="tan", now=timezone.now())
    findings.record(visit, question="plug", answer="white", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    row = standing(visit)["plug"]
    assert (row.source, row.by, row.at is not None) == (Finding.WORKSHOP, mechanic, True)
    assert (
        TrailRow.objects.get(visit=visit, by=mechanic).did
        == "finding plug: White or blistered, was Tan, grey or light brown"
    )


def test_the_same_answer_again_by_the_same_giver_adds_nothing(visit):
    for _ in range(2):
        sheets.answer(visit, question="plug", given="tan", now=timezone.now())
    assert visit.findings.count() == 1


@pytest.mark.parametrize(
    ("question", "answer"),
    [("colour", "red"), ("plug", "red"), ("strobe_idle", 99), ("changed", ["nothing", "exhaust"]), ("plug", None)],
)
def test_only_questions_and_answers_of_the_bank_are_taken(visit, question, answer):
    with pytest.raises(BadInput):
        findings.record(
            visit, question=question, answer=answer, source=Finding.OWNER, by=garage.person(), now=timezone.now()
        )
    assert visit.findings.count() == 0


def test_the_owner_answers_until_arrival_and_the_workshop_until_the_visit_is_over(visit):
    mechanic = garage.person()
    sheets.answer(visit, question="plug", given="tan", now=timezone.now())
    visit.state = states.HERE
    visit.save()
    with pytest.raises(Refused, match="closed"):
        sheets.answer(visit, question="plug", given="white", now=timezone.now())
    findings.record(visit, question="plug", answer="white", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    visit.state = states.COLLECTED
    visit.save()
    with pytest.raises(Refused, match="collected"):
        findings.record(visit, question="plug", answer="tan", source=Finding.WORKSHOP, by=mechanic, now=timezone.now())
    assert standing(visit)["plug"].answer == "white"


def test_unsure_is_passed_to_the_judgement_and_not_tried_is_left_out(visit):
    sheets.answer(visit, question="plug", given="unsure", now=timezone.now())
    findings.record(
        visit, question="rev_out", answer="not-tried", source=Finding.OWNER, by=garage.person(), now=timezone.now()
    )
    assert visit_case(visit).values["answers"] == {"plug": "unsure"}


def test_each_finding_is_judged_again_and_the_same_case_is_not_judged_twice(visit):
    findings.record(
        visit, question="rev_out", answer="ceiling", source=Finding.OWNER, by=garage.person(), now=timezone.now()
    )
    first = KeptJudgement.objects.get(visit=visit)
    assert judgements.judge_again(visit, now=timezone.now()) == first
    sheets.answer(visit, question="pinking", given="yes", now=timezone.now())
    assert [row.route for row in visit.judgements.all()] == ["do-not-run", "fix-first"]
    assert first.edition
    visit.refresh_from_db()
    assert (visit.route, visit.state) == ("", states.BOOKED)  # judging moves nothing


def test_a_machine_s_own_measures_override_those_of_its_kind():
    garage.shop()
    kind = garage.machine_kind(spec_btdc=17, spec_curve="retarding", curve_deg=4, design_rpm=9000)
    plain = machine_facts(garage.machine(kind=kind))
    assert (plain["spec_btdc"], plain["curve_deg"], plain["design_rpm"]) == (17.0, 4.0, 9000)
    own = machine_facts(garage.machine(kind=kind, spec_btdc=19, spec_curve="fixed"))
    assert (own["spec_btdc"], own["spec_curve"], own["design_rpm"]) == (19.0, "fixed", 9000)
    assert "curve_deg" not in own
    assert machine_facts(garage.machine()) == {}
    assert machine_facts(garage.machine(oiling="pump", tap="vacuum")) == {"oiling": "pump", "tap": "vacuum"}


def _record(visit, by, now, question="plug", answer="tan", source=Finding.WORKSHOP):
    return findings.record(visit, question=question, answer=answer, source=source, by=by, now=now)


def test_a_finding_is_kept_whole_noted_and_judged(visit):
    by, now = garage.person(), timezone.now()
    row = _record(visit, by, now)
    row.refresh_from_db()
    assert (row.visit, row.question, row.answer, row.source) == (visit, "plug", "tan", Finding.WORKSHOP)
    assert (row.by, row.at, row.is_standing) == (by, now, True)
    check_noted("finding plug: Tan, grey or light brown", by=by, at=now, visit=visit)
    assert KeptJudgement.objects.get(visit=visit).at == now


def test_an_owners_first_answer_is_no_line_of_the_trail_and_a_changed_one_is(visit):
    now = timezone.now()
    sheets.answer(visit, question="plug", given="tan", now=now)
    lines = TrailRow.objects.count()
    sheets.answer(visit, question="pinking", given="no", now=now)
    assert TrailRow.objects.count() == lines
    sheets.answer(visit, question="plug", given="white", now=now)
    said = "finding plug: White or blistered, was Tan, grey or light brown"
    check_noted(said, by=OWNER, at=now, visit=visit)


def test_the_same_answer_from_another_giver_or_source_is_a_finding_of_its_own(visit):
    by, now = garage.person(), timezone.now()
    _record(visit, by, now)
    assert _record(visit, by, now).pk == visit.findings.get().pk
    _record(visit, by, now, source=Finding.OWNER)
    last = _record(visit, garage.person(), now, source=Finding.OWNER)
    assert [row.is_standing for row in visit.findings.order_by("pk")] == [False, False, True]
    assert standing(visit)["plug"] == last


def test_an_answer_of_several_is_kept_as_a_list(visit):
    row = _record(visit, garage.person(), timezone.now(), question="changed", answer=["exhaust", "jets-bigger"])
    row.refresh_from_db()
    assert sorted(row.answer) == ["exhaust", "jets-bigger"]


def test_each_refusal_of_a_finding_says_what_is_allowed(visit):
    by, now = garage.person(), timezone.now()
    with refuses("The question is 'colour'; allowed is a question of the bank.", BadInput):
        _record(visit, by, now, question="colour")
    with pytest.raises(BadInput) as caught:
        _record(visit, by, now, answer="red")
    assert (caught.value.where, caught.value.found) == ("The answer", "red")
    assert "tan" in caught.value.allowed
    visit.state = states.COLLECTED
    visit.save()
    with refuses(f"Visit {visit.number} is collected: no more findings can be added."):
        _record(visit, by, now)
