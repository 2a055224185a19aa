import pytest
from django.urls import reverse

from diagnostics.reads.bank import the_bank
from diagnostics.reads.case import standing
from diagnostics.reads.filled_sheet import filled_sheet
from diagnostics.reads.judgement import latest
from garage.core import states
from garage.reads import links
from garage.reads.shop import the_shop
from tests.factories import garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY, PINKING, answered

pytestmark = pytest.mark.django_db
LARGEST_BYTES = 100_000  # issue: a page weighs 100 kB at most


@pytest.fixture
def visit():
    garage.shop(fix_first_acts_alone=True)
    return garage.visit(machine=garage.machine(kind=garage.machine_kind()))


@pytest.fixture
def token(visit):
    return links.token(visit, links.SHEET)


def at(name, token, *more):
    return reverse(name, args=[token, *more])


def test_one_question_a_page_each_saved_and_the_next_follows(client, token, visit):
    page = client.get(at("sheet", token))
    assert page.status_code == 200
    assert at("sheet-question", token, "trouble") in page.text
    answer = client.post(at("sheet-question", token, "trouble"), {"answer": "misfires"})
    assert answer.url == at("sheet-question", token, "where")
    assert standing(visit)["trouble"].answer == "misfires"
    assert "2 of about" in client.get(answer.url).text


def asked_in_all(client, token, visit):
    """How many questions a sheet asks whose owner finds nothing wrong."""
    visit.findings.all().delete()
    url, seen = at("sheet-question", token, "trouble"), []
    while url != at("sheet", token):
        question = url.rstrip("/").split("/")[-1]
        seen.append(question)
        given = {"answer": HEALTHY.get(question, "unsure")}
        url = client.post(url, given).url
    return len(seen)


def test_the_more_a_stopped_engine_is_worth_to_the_shop_the_more_the_sheet_asks(client, token, visit):
    shop = the_shop()
    assert shop.stopped_in_time_pence == the_bank().routing.stopped_in_time_pence
    counts = []
    for pence in (0, 1500):
        shop.stopped_in_time_pence = pence
        shop.save()
        counts.append(asked_in_all(client, token, visit))
    assert counts[0] < counts[1]


def test_reading_a_page_changes_nothing(client, token, visit):
    for name in ("sheet", "sheet-send", "sheet-outcome"):
        client.get(at(name, token))
    client.get(at("sheet-question", token, "trouble"))
    assert not hasattr(visit, "sheet")
    assert not visit.findings.exists()


def test_every_question_offers_not_sure_and_not_tried_and_weighs_little(client, token, visit):
    answered(visit, {key: FALSE_CEILING[key] for key in ("trouble", "where", "changed", "nipped", "pinking")})
    asked = filled_sheet(visit).asked
    assert len(asked) >= len(the_bank().questions) - 2  # how it is oiled and its curve are asked where they are unknown
    for question in asked:
        page = client.get(at("sheet-question", token, question.id))
        assert 'value="unsure"' in page.text
        assert 'value="not-tried"' in page.text
        assert len(page.content) < LARGEST_BYTES
        assert "no-referrer" in page["Referrer-Policy"]


def test_the_sheet_goes_from_question_to_question_and_ends_at_the_list(client, token, visit):
    url, seen = at("sheet-question", token, "trouble"), []
    while url != at("sheet", token):
        seen.append(url)
        url = client.post(url, {"answer": "not-tried"}).url
    assert len(seen) == len(set(seen)) == len(standing(visit))
    page = client.get(url).text
    assert "To try at the machine" in page
    assert "Anything else you know about it" in page
    assert at("sheet-question", token, "strobe_idle") in page


def test_the_rev_out_page_sends_back_to_what_must_be_asked_before(client, token, visit):
    answered(visit, {"trouble": "none", "where": "idle"})
    assert client.get(at("sheet-question", token, "rev_out")).url == at("sheet-question", token, "changed")


def test_a_rattling_engine_must_not_do_the_test(client, token, visit):
    answered(visit, {"trouble": "none", "where": "idle", "changed": ["nothing"], "nipped": "no"})
    answer = client.post(at("sheet-question", token, "pinking"), {"answer": "yes"})
    assert answer.url == at("sheet-question", token, "rev_out")
    page = client.get(answer.url).text
    assert "Please don’t do this test" in page
    assert "do it on the bench" in page
    assert 'value="ceiling"' not in page


def test_a_tick_keeps_the_test_off_and_can_be_taken_back(client, token, visit):
    answered(visit, {key: HEALTHY[key] for key in ("trouble", "where", "changed", "nipped", "pinking")})
    url = at("sheet-question", token, "rev_out")
    assert 'value="ceiling"' in client.get(url).text
    answer = client.post(url, {"tick": "leaks_petrol", "answer": "clean"})
    assert answer.url == url
    assert 'value="ceiling"' not in client.get(url).text
    client.post(url, {"answer": ""})
    assert 'value="ceiling"' in client.get(url).text


def test_a_test_that_must_not_be_done_says_so_and_takes_what_was_found_earlier(client, token, visit):
    answered(visit, {"trouble": "none", "where": "idle", "changed": ["nothing"], "nipped": "yes", "pinking": "no"})
    url = at("sheet-question", token, "strobe_peak")
    page = client.get(url).text
    assert "Please don’t do this test" in page
    assert "Did you do it earlier?" in page
    assert "Hold it open" not in page  # how to do it
    refused = client.post(url, {"answer": "24"})
    assert refused.status_code == 409
    assert 'value="24"' in refused.text
    assert "strobe_peak" not in standing(visit)
    assert client.post(url, {"answer": "24", "earlier": "yes", "from": "list"}).url == at("sheet", token)
    assert standing(visit)["strobe_peak"].answer == 24


def test_an_answer_picked_on_a_page_that_is_no_longer_good_is_kept_marked(client, token, visit):
    answered(visit, {"trouble": "none", "where": "idle", "changed": ["nothing"], "nipped": "yes", "pinking": "no"})
    refused = client.post(at("sheet-question", token, "half_choke"), {"answer": "better"})
    assert refused.status_code == 409
    assert '<button class="pick chosen" name="answer" value="better">' in refused.text


def test_several_changes_are_ticked_and_nothing_excludes_the_rest(client, token, visit):
    url = at("sheet-question", token, "changed")
    refused = client.post(url, {"answer": ["nothing", "exhaust"]})
    assert refused.status_code == 422
    assert "nothing only by itself" in refused.text
    client.post(url, {"answer": ["jets-smaller", "exhaust"]})
    assert standing(visit)["changed"].answer == ["jets-smaller", "exhaust"]


def test_a_number_out_of_range_is_reported_and_kept_as_typed(client, token, visit):
    url = at("sheet-question", token, "strobe_idle")
    for typed in ("99", "seventeen"):
        refused = client.post(url, {"answer": typed})
        assert refused.status_code == 422
        assert f'value="{typed}"' in refused.text
    client.post(url, {"answer": "17,5"})
    assert standing(visit)["strobe_idle"].answer == 17.5


def test_a_question_left_open_is_asked_again(client, token, visit):
    assert client.post(at("sheet-question", token, "trouble"), {}).status_code == 422
    assert client.post(at("sheet-question", token, "gremlins"), {"answer": "yes"}).status_code == 404


def test_an_answer_is_changed_from_the_list_and_goes_back_there(client, token, visit):
    answered(visit, {"trouble": "misfires"})
    page = client.get(at("sheet", token))
    assert "It misfires" in page.text
    answer = client.post(at("sheet-question", token, "trouble"), {"answer": "none", "from": "list"})
    assert answer.url == at("sheet", token)
    assert "Nothing is wrong" in client.get(answer.url).text


def test_the_sheet_is_sent_and_its_outcome_is_explained_kindly(client, token, visit):
    answered(visit, {key: value for key, value in FALSE_CEILING.items() if key != "rev_out"})
    assert client.post(at("sheet-send", token)).status_code == 409
    client.post(at("sheet-question", token, "rev_out"), {"answer": "ceiling"})
    assert client.get(at("sheet-outcome", token)).url == at("sheet", token)
    answer = client.post(at("sheet-send", token))
    assert answer.url == at("sheet-outcome", token)
    page = client.get(answer.url)
    assert "The bench first, then the rollers" in page.text
    assert "Bench work to find and mend it: £" in page.text
    assert "%" not in page.text


def test_do_not_run_is_warned_of_plainly(client, token, visit):
    answered(visit, PINKING)
    client.post(at("sheet-send", token))
    page = client.get(at("sheet-outcome", token)).text
    assert "Please do not run it hard" in page
    assert "on a trailer" in page


def test_the_link_dies_at_arrival(client, token, visit):
    assert client.get(at("sheet", token)).status_code == 200
    visit.state, visit.arrived_at = states.HERE, visit.booked_at
    visit.save()
    assert client.get(at("sheet", token)).status_code == 410
    assert client.post(at("sheet-question", token, "trouble"), {"answer": "none"}).status_code == 410


def test_pages_need_few_queries(client, token, visit, django_assert_max_num_queries):
    answered(visit, PINKING)
    with django_assert_max_num_queries(8):
        client.get(at("sheet", token))
    with django_assert_max_num_queries(8):
        client.get(at("sheet-question", token, "plug"))


def test_a_saved_answer_builds_the_case_once(client, token, visit, django_assert_max_num_queries):
    """Twelve questions, two that count what is sent by a link, and a savepoint: what it is judged from is read once."""
    answered(visit, HEALTHY)
    with django_assert_max_num_queries(16):
        assert client.post(at("sheet-question", token, "plug"), {"answer": "tan"}).status_code == 302
    assert standing(visit)["plug"].answer == "tan"


def test_a_question_not_meant_for_this_machine_has_no_page_and_takes_no_answer(client, token, visit):
    visit.machine.gearbox = "automatic"
    visit.machine.save()
    url = at("sheet-question", token, "every_gear")
    assert client.get(url).status_code == 404
    assert client.post(url, {"answer": "same-revs"}).status_code == 404
    assert not visit.findings.exists()


def test_a_rev_out_sent_before_its_time_leads_back_to_what_must_be_asked_first(client, token, visit):
    answered(visit, {"trouble": "none", "where": "idle"})
    answer = client.post(at("sheet-question", token, "rev_out"), {"answer": "clean"})
    assert answer.url == at("sheet-question", token, "changed")
    assert "rev_out" not in standing(visit)


def test_the_owner_of_an_automatic_is_shown_the_ticks_though_not_asked_for_the_test(client, token, visit):
    visit.machine.gearbox = "automatic"
    visit.machine.save()
    answered(visit, {"trouble": "none", "where": "idle", "changed": ["nothing"], "nipped": "no"})
    answer = client.post(at("sheet-question", token, "pinking"), {"answer": "no"})
    assert answer.url == at("sheet-question", token, "rev_out")
    page = client.get(answer.url).text
    assert "It leaks petrol" in page
    assert 'value="ceiling"' not in page
    client.post(answer.url, {"tick": "leaks_petrol", "answer": ""})
    assert latest(visit).route == "do-not-run"


def test_brakes_or_tyres_are_ticked_and_the_test_is_answered_on_the_same_page(client, token, visit):
    answered(visit, {key: HEALTHY[key] for key in ("trouble", "where", "changed", "nipped", "pinking")})
    url = at("sheet-question", token, "rev_out")
    answer = client.post(url, {"tick": "brakes_or_tyres", "answer": "clean"})
    assert answer.url != url
    assert standing(visit)["rev_out"].answer == "clean"
    assert latest(visit).route == "phone-first"


def test_the_owner_who_ticks_a_leak_reads_that_it_must_not_be_started(client, token, visit):
    answered(visit, {key: HEALTHY[key] for key in ("trouble", "where", "changed", "nipped", "pinking")})
    client.post(at("sheet-question", token, "rev_out"), {"tick": "leaks_petrol", "answer": ""})
    client.post(at("sheet-send", token))
    page = client.get(at("sheet-outcome", token)).text
    assert "Please do not start it" in page
    assert "It leaks petrol." in page
    assert "Ready for the rollers" not in page


def test_an_owner_who_has_seen_the_outcome_has_read_that_it_must_not_run(client, token, visit):
    answered(visit, PINKING)
    client.post(at("sheet-send", token))
    visit.refresh_from_db()
    assert visit.is_kept_off
    client.head(at("sheet-outcome", token))
    visit.refresh_from_db()
    assert visit.page_opened_at is None
    client.get(at("sheet-outcome", token))
    visit.refresh_from_db()
    assert visit.page_opened_at is not None


def test_back_shows_the_earlier_answer_and_changing_it_keeps_the_later_ones(client, token, visit):
    first = at("sheet-question", token, "trouble")
    second = client.post(first, {"answer": "misfires"}).url
    third = client.post(second, {"answer": "top"}).url
    assert f'href="{second}">Back' in client.get(third).text
    page = client.get(second).text
    assert "Question 2 of about" in page
    assert "Your answer so far" in page
    assert f'href="{first}">Back' in page
    client.post(first, {"answer": "four-strokes"})
    kept = {asked: row.answer for asked, row in standing(visit).items()}
    assert kept == {"trouble": "four-strokes", "where": "top"}
    assert f'href="{second}">On, without a change' in client.get(first).text
    assert "Back</a>" not in client.get(first).text


def sent(client, token, visit, answers):
    answered(visit, answers)
    client.post(at("sheet-send", token))
    return client.get(at("sheet-outcome", token)).text


def test_an_owner_sent_to_the_bench_sees_the_likely_places_ringed_and_named(client, token, visit):
    page = sent(client, token, visit, FALSE_CEILING)
    assert latest(visit).route == "fix-first"
    assert "Where that is on the engine" in page
    assert "Ringed and numbered: 1 " in page
    assert "style=" not in page.partition("<svg")[2].partition("</svg>")[0]


@pytest.mark.parametrize(
    ("answers", "route", "sentence"),
    [(HEALTHY, "roller-ready", "your answers point to none"), (PINKING, "do-not-run", "the bench looks at it before")],
)
def test_where_nothing_is_marked_no_engine_is_drawn_and_words_say_why(client, token, visit, answers, route, sentence):
    page = sent(client, token, visit, answers)
    assert latest(visit).route == route
    assert "pointed-at" not in page
    assert sentence in page
