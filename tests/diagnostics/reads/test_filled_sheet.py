import pytest

from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.rev_out_safety import RUNS_THE_ENGINE
from diagnostics.reads.filled_sheet import filled_sheet
from tests.factories import garage
from tests.factories.diagnostics import HEALTHY, answered

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit(machine=garage.machine(kind=garage.machine_kind()))


def test_an_answer_added_to_the_case_gives_the_same_as_reading_it_again(visit):
    answered(visit, HEALTHY)
    before = filled_sheet(visit)
    answered(visit, {"plug": "white"})
    after = filled_sheet(visit)
    at_hand = before.known.with_finding(after.findings["plug"])
    assert at_hand == after.known
    assert at_hand.values == after.known.values
    assert before.known.values != after.known.values


def test_what_the_bench_tries_instead_has_a_page_and_what_cannot_be_asked_has_none(visit):
    visit.machine.gearbox = "automatic"
    filled = filled_sheet(visit)
    assert REV_OUT not in {question.id for question in filled.asked}
    assert all(filled.has_page_for(question) for question in RUNS_THE_ENGINE)
    assert not filled.has_page_for("every_gear")
    assert not filled.has_page_for("gremlins")


def test_a_sheet_must_have_the_same_until_an_answer_brings_more(visit):
    assert filled_sheet(visit).must == ("trouble", "where", "changed", "nipped", "pinking", "rev_out")
    answered(visit, HEALTHY)
    assert filled_sheet(visit).must == ()
    answered(visit, {"plug": "white"})
    assert filled_sheet(visit).must == ("falls_back",)


def test_what_is_known_of_a_visit_is_read_in_five_queries(visit, django_assert_num_queries):
    answered(visit, HEALTHY)
    with django_assert_num_queries(5):
        filled = filled_sheet(visit)
        assert filled.next_after()
        assert filled.why_not == ()
