from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import sheets
from diagnostics.core.rev_out_safety import RUNS_THE_ENGINE, TICKS
from diagnostics.models.sheets import Finding, Sheet
from diagnostics.pages.sheet import question_page, sheet_page
from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import standing, visit_case
from garage.core import routes, states
from garage.core.errors import BadInput, Refused
from garage.models.actors import OWNER
from garage.models.trail import TrailRow
from tests.factories import garage
from tests.factories.diagnostics import HEALTHY, answered
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
BEFORE_THE_TEST = {key: HEALTHY[key] for key in ("trouble", "where", "changed", "nipped", "pinking")}


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit(machine=garage.machine(kind=garage.machine_kind()))


@pytest.mark.parametrize("left_out", ["changed", "nipped", "pinking"])
def test_the_rev_out_is_taken_only_after_the_three_questions_of_safety(visit, left_out):
    answered(visit, {key: value for key, value in BEFORE_THE_TEST.items() if key != left_out})
    with pytest.raises(Refused, match="Before the rev-out"):
        sheets.answer_rev_out(visit, given="clean", ticks=[], now=timezone.now())
    sheets.answer(visit, question=left_out, given=BEFORE_THE_TEST[left_out], now=timezone.now())
    sheets.answer_rev_out(visit, given="clean", ticks=[], now=timezone.now())
    assert standing(visit)["rev_out"].answer == "clean"


@pytest.mark.parametrize("bad", ["nipped", "pinking"])
def test_an_engine_that_nipped_up_or_rattles_is_not_sent_to_the_rev_out(visit, bad):
    answered(visit, BEFORE_THE_TEST, **{bad: "yes"})
    with pytest.raises(Refused, match="do not do this test"):
        sheets.answer_rev_out(visit, given="clean", ticks=[], now=timezone.now())
    assert "rev_out" not in standing(visit)
    assert question_page(visit, the_bank().question("rev_out")).why_not


@pytest.mark.parametrize("tick", ["leaks_petrol", "not_run_in", "no_exhaust"])
def test_a_tick_on_the_rev_out_page_keeps_the_answer_out_and_is_a_remark(visit, tick):
    answered(visit, HEALTHY)
    assert visit_case(visit).values["answers"]["rev_out"] == "clean"
    sheets.answer_rev_out(visit, given="smoky", ticks=[tick], now=timezone.now())
    assert "rev_out" not in visit_case(visit).values["answers"]
    assert getattr(visit.sheet, tick)
    visit.refresh_from_db()
    assert visit.owner_remarks == [TICKS[tick]]  # for take-in and gate
    asked = {line.question.id for line in sheet_page(visit).lines if not line.said and not line.is_only_earlier}
    assert not asked & set(RUNS_THE_ENGINE)
    sheets.answer_rev_out(visit, given="", ticks=[], now=timezone.now())
    assert visit_case(visit).values["answers"]["rev_out"] == "clean"


def test_a_rev_out_without_tick_or_answer_is_refused(visit):
    answered(visit, BEFORE_THE_TEST)
    with pytest.raises(BadInput, match="list"):
        sheets.answer_rev_out(visit, given="", ticks=[], now=timezone.now())


def test_an_automatic_s_owner_is_not_asked_for_the_rev_out_nor_the_gears(visit):
    assert {"rev_out", "every_gear"} <= {line.question.id for line in sheet_page(visit).lines}
    visit.machine.gearbox = "automatic"
    visit.machine.save()
    assert not {"rev_out", "every_gear"} & {line.question.id for line in sheet_page(visit).lines}
    answered(visit, BEFORE_THE_TEST)
    with pytest.raises(Refused, match="automatic"):
        sheets.answer_rev_out(visit, given="clean", ticks=[], now=timezone.now())


def test_where_the_gears_are_not_known_the_owner_can_say_that_it_is_an_automatic():
    garage.shop()
    visit = garage.visit()
    answered(visit, BEFORE_THE_TEST)
    assert "is_automatic" in [name for name, _, _ in question_page(visit, the_bank().question("rev_out")).ticks]
    sheets.answer_rev_out(visit, given="", ticks=["is_automatic"], now=timezone.now())
    assert visit_case(visit).values["machine"] == {"gearbox": "automatic"}
    asked = {line.question.id for line in sheet_page(visit).lines}
    assert "every_gear" not in asked
    assert "strobe_idle" in asked


def test_where_the_gears_are_known_it_is_not_asked(visit):
    answered(visit, BEFORE_THE_TEST)
    assert "is_automatic" not in [name for name, _, _ in question_page(visit, the_bank().question("rev_out")).ticks]


def test_a_test_not_tried_is_listed_to_try(visit):
    answered(visit, BEFORE_THE_TEST, rev_out="not-tried", plug="unsure")
    page = sheet_page(visit)
    assert [line.question.id for line in page.to_try] == ["rev_out"]
    assert "plug" in [line.question.id for line in page.answered]


def test_a_sheet_is_sent_once_what_is_asked_of_everybody_is_done(visit):
    answered(visit, BEFORE_THE_TEST)
    with pytest.raises(Refused, match="How does it rev out"):
        sheets.send(visit, now=timezone.now())
    assert visit.sheet.sent_at is None
    sheets.answer_rev_out(visit, given="not-tried", ticks=[], now=timezone.now())
    assert sheets.send(visit, now=timezone.now()).sent_at


def test_an_answer_changed_after_sending_asks_for_sending_again(visit):
    answered(visit, HEALTHY)
    sheets.send(visit, now=timezone.now())
    assert not sheet_page(visit).is_newer
    sheets.answer(visit, question="plug", given="black-dry", now=timezone.now())
    assert sheet_page(visit).is_newer
    sheets.send(visit, now=timezone.now())
    assert not sheet_page(visit).is_newer


def test_a_sheet_is_sent_ten_times_a_day_at_most_since_each_can_be_a_mail(visit):
    now = timezone.now()
    answered(visit, HEALTHY)
    for _ in range(10):
        sheets.send(visit, now=now)
    with pytest.raises(Refused, match="sent 10 times within a day: ring 01632 960100"):
        sheets.send(visit, now=now)
    sheets.send(visit, now=now + timedelta(hours=25))


def test_the_sheet_closes_at_arrival(visit):
    answered(visit, HEALTHY)
    visit.state = states.HERE
    visit.save()
    with pytest.raises(Refused, match="closed"):
        sheets.answer(visit, question="plug", given="tan", now=timezone.now())
    with pytest.raises(Refused, match="closed"):
        sheets.send(visit, now=timezone.now())


def test_one_sign_of_lean_running_brings_questions_that_must_be_done(visit):
    answered(visit, HEALTHY)
    sheets.answer(visit, question="plug", given="white", now=timezone.now())
    with pytest.raises(Refused, match="how do the revs fall"):
        sheets.send(visit, now=timezone.now())
    sheets.answer(visit, question="falls_back", given="quickly", now=timezone.now())
    sheets.answer(visit, question="half_choke", given="not-tried", now=timezone.now())
    assert sheets.send(visit, now=timezone.now()).sent_at


def test_two_signs_of_lean_running_keep_the_test_off(visit):
    answered(visit, BEFORE_THE_TEST, trouble="runs-hot", plug="white")
    assert question_page(visit, the_bank().question("rev_out")).why_not
    with pytest.raises(Refused, match="full throttle may harm it"):
        sheets.answer_rev_out(visit, given="clean", ticks=[], now=timezone.now())
    assert sheets.send(visit, now=timezone.now()).sent_at  # and the sheet is finished without it


OTHER_TESTS = {"half_choke": "worse", "kill_lead": "same", "strobe_idle": 17, "strobe_peak": 16}


def test_the_other_tests_are_those_that_run_the_engine():
    assert {*OTHER_TESTS, "rev_out"} == set(RUNS_THE_ENGINE)


@pytest.mark.parametrize(("question", "found"), OTHER_TESTS.items())
@pytest.mark.parametrize("stopped_by", ["nipped", "leaks_petrol", "the boss", "nothing"])
def test_no_test_with_the_engine_running_is_taken_of_a_machine_that_is_stopped(visit, question, found, stopped_by):
    answered(visit, BEFORE_THE_TEST, **({"nipped": "yes"} if stopped_by == "nipped" else {}))
    if stopped_by == "leaks_petrol":
        sheets.answer_rev_out(visit, given="", ticks=["leaks_petrol"], now=timezone.now())
    if stopped_by == "the boss":
        visit.route = routes.DO_NOT_RUN
        visit.save()
    if stopped_by == "nothing":
        sheets.answer(visit, question=question, given=found, now=timezone.now())
        assert standing(visit)[question].answer == found
        return
    why = " ".join(question_page(visit, the_bank().question(question)).why_not)
    said = f"Please do not do this test: {why} If you did it earlier, say what you found then."
    with refuses(said):
        sheets.answer(visit, question=question, given=found, now=timezone.now())
    assert question not in standing(visit)


def test_what_was_read_before_it_was_stopped_is_told_all_the_same_and_the_trail_says_so(visit):
    answered(visit, BEFORE_THE_TEST, nipped="yes")
    now = timezone.now()
    sheets.answer(visit, question="strobe_peak", given=24, now=now, is_from_earlier=True)
    assert visit_case(visit).values["answers"]["strobe_peak"] == 24
    row = TrailRow.objects.get(did="finding strobe_peak: found earlier, not tried now")
    assert (row.by_words, row.at, row.visit) == ("the owner", now, visit)


def test_that_a_test_was_not_tried_or_is_not_known_may_always_be_said(visit):
    answered(visit, BEFORE_THE_TEST, nipped="yes")
    for word in (Finding.NOT_TRIED, "unsure"):
        sheets.answer(visit, question="half_choke", given=word, now=timezone.now())
        assert standing(visit)["half_choke"].answer == word
    assert not TrailRow.objects.filter(did__contains="found earlier").exists()


def test_a_reading_that_stopped_it_can_be_put_right_where_it_was_mistyped(visit):
    answered(visit, BEFORE_THE_TEST, strobe_idle=17, strobe_peak=40)
    assert question_page(visit, the_bank().question("strobe_peak")).why_not
    sheets.answer(visit, question="strobe_peak", given=16, now=timezone.now(), is_from_earlier=True)
    assert not question_page(visit, the_bank().question("strobe_peak")).why_not


def test_a_stopped_machine_s_tests_are_not_to_try_but_listed_for_what_was_found_earlier(visit):
    answered(visit, HEALTHY | {"trouble": "misfires"}, half_choke="not-tried")
    assert [line.question.id for line in sheet_page(visit).to_try] == ["half_choke"]
    answered(visit, {"pinking": "yes"})
    page = sheet_page(visit)
    assert page.to_try == ()
    assert [line.question.id for line in page.left_out if line.is_only_earlier] == [
        "kill_lead",
        "strobe_idle",
        "strobe_peak",
    ]
    assert next(line.note for line in page.lines if line.question.id == "half_choke") == "left to the bench"


def test_a_machine_that_the_boss_has_stopped_has_its_sheet_sent_without_the_rev_out(visit):
    answered(visit, BEFORE_THE_TEST)
    visit.route = routes.DO_NOT_RUN
    visit.save()
    assert sheet_page(visit).must == ()
    assert sheets.send(visit, now=timezone.now()).sent_at


def test_a_sheet_asks_the_first_six_and_then_by_worth_until_nothing_is_worth_asking(visit):
    asked = []
    while (question := sheet_page(visit).next_question) is not None:
        asked.append(question.id)
        sheets.answer(visit, question=question.id, given=HEALTHY.get(question.id, "not-tried"), now=timezone.now())
    assert asked[:6] == ["trouble", "where", "changed", "nipped", "pinking", "rev_out"]  # the order of the bank
    assert len(asked) == len(set(asked)) < len(the_bank().questions)
    page = sheet_page(visit)
    assert page.progress.done == page.progress.about == len(asked)
    assert {"strobe_idle", "strobe_peak"} <= {line.question.id for line in page.left_out}


def test_what_was_not_asked_may_be_told_all_the_same(visit):
    answered(visit, HEALTHY)
    assert (
        sheets.answer(visit, question="strobe_idle", given=17.5, now=timezone.now()).findings["strobe_idle"].answer
        == 17.5
    )


def test_a_sheet_is_begun_with_its_first_answer_and_noted_once(visit):
    now = timezone.now()
    sheets.answer(visit, question="trouble", given="none", now=now)
    check_noted("check sheet begun", by=OWNER, at=now, visit=visit)
    sheets.answer(visit, question="where", given="everywhere", now=now + timedelta(minutes=1))
    assert (visit.sheet.begun_at, visit.sheet.sent_at) == (now, None)
    assert TrailRow.objects.count() == 1
    row = standing(visit)["trouble"]
    assert (row.answer, row.source, row.by, row.at) == ("none", Finding.OWNER, None, now)
    assert [judged.at for judged in visit.judgements.order_by("pk")] == [now, now + timedelta(minutes=1)]


def test_a_sheet_sent_is_noted_with_when(visit):
    answered(visit, HEALTHY)
    now = timezone.now()
    sheets.send(visit, now=now)
    visit.sheet.refresh_from_db()
    assert visit.sheet.sent_at == now
    row = TrailRow.objects.get(did="check sheet sent")
    assert (row.by_words, row.at, row.visit) == ("the owner", now, visit)
    visit.refresh_from_db()
    assert visit.route_at == now


def test_ticks_are_kept_and_said_as_remarks_and_taken_off_again(visit):
    answered(visit, BEFORE_THE_TEST)
    now = timezone.now()
    sheets.answer_rev_out(visit, given="", ticks=["leaks_petrol", "not_run_in"], now=now)
    said = ", ".join(TICKS[name] for name in Sheet.TICKS if name in {"leaks_petrol", "not_run_in"}).lower()
    assert TrailRow.objects.get(did=f"remarks for take-in: {said}").at == now
    visit.sheet.refresh_from_db()
    assert (visit.sheet.leaks_petrol, visit.sheet.not_run_in, visit.sheet.no_exhaust) == (True, True, False)
    row = standing(visit)["rev_out"]
    assert (row.answer, row.at) == (Finding.NOT_TRIED, now)
    lines = TrailRow.objects.count()
    sheets.answer_rev_out(visit, given="", ticks=["not_run_in", "leaks_petrol"], now=now)
    assert TrailRow.objects.count() == lines
    sheets.answer_rev_out(visit, given="clean", ticks=[], now=now)
    visit.sheet.refresh_from_db()
    assert not visit.sheet.leaks_petrol
    assert standing(visit)["rev_out"].answer == "clean"


def test_each_refusal_of_a_sheet_says_what_to_do(visit):
    now, ask = timezone.now(), the_bank().question
    with refuses("The list is missing; allowed is a tick, or one of the answers below.", BadInput):
        sheets.answer_rev_out(visit, given="", ticks=[], now=now)
    sheets.answer(visit, question="trouble", given="none", now=now)
    for change in (
        lambda: sheets.answer(visit, question="rev_out", given="clean", now=now),
        lambda: sheets.answer_rev_out(visit, given="clean", ticks=[], now=now),
    ):
        with refuses(f'Before the rev-out, please answer: "{ask("changed").ask}"'):
            change()
    with refuses(f'One more thing before you send it: "{ask("where").ask}"'):
        sheets.send(visit, now=now)
    with refuses("This is not asked of this machine."):
        sheets.answer(visit, question="no_such_page", given="yes", now=now)
    answered(visit, BEFORE_THE_TEST, pinking="yes")
    with pytest.raises(Refused) as caught:
        sheets.answer_rev_out(visit, given="clean", ticks=[], now=now)
    why = " ".join(question_page(visit, ask("rev_out")).why_not)
    assert str(caught.value) == f"Please do not do this test: {why} It comes to the bench."
    visit.state = states.HERE
    visit.save()
    with refuses("Your machine is with us or the visit is over, so the sheet is closed: tell us by telephone."):
        sheets.send(visit, now=now)
