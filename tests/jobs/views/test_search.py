import re

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.changes import closing, invoices
from jobs.reads.found import SHOWN
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    garage.shop()
    row = jobs.card().visit
    row.owner.name = "Robin Ashworth"
    row.owner.save()
    return row


def invoiced(visit):
    """A role that may not read invoices would be led to a refusal."""
    jobs.part(visit.card)
    by, now = garage.boss(), timezone.now()
    closing.close_with_nothing_wrong(visit, by=by, now=now)
    return invoices.issue(visit, by=by, now=now)


def search(client, words):
    return client.get(reverse("search"), {"q": words})


@pytest.mark.parametrize("who", [garage.boss, garage.front_desk, garage.person])
def test_everything_that_is_found_may_be_opened_by_who_sees_it(client, visit, who):
    invoice = invoiced(visit)
    client.force_login(who())
    page = search(client, "ashworth").text.partition("<main")[2]
    links = re.findall(r'href="(/[^"]+)"', page.partition("</main>")[0])
    assert reverse("invoice", args=[invoice.number]) in links
    assert len(links) == 5  # visit, card, invoice, owner, machine
    assert [client.get(link).status_code for link in links] == [200] * 5


def test_the_box_stands_on_every_page_of_the_workshop_and_needs_no_script(client, visit):
    assert reverse("search") not in client.get(reverse("front")).text
    client.force_login(garage.person())
    form = client.get(reverse("visits")).text.partition(f'action="{reverse("search")}"')
    assert form[0].rpartition("<form")[2].strip() == 'method="get"'
    assert 'name="q"' in form[2].partition("</form>")[0]


def test_what_was_typed_stays_in_the_box(client, visit):
    client.force_login(garage.person())
    assert 'value="&lt;Ash&gt;"' in search(client, "<Ash>").text


@pytest.mark.parametrize("words", ["x" * 81])
def test_what_cannot_be_sought_is_one_sentence(client, visit, words):
    client.force_login(garage.person())
    answer = search(client, words)
    assert (answer.status_code, 'role="alert"' in answer.text) == (422, True)


def test_without_words_and_without_a_match_the_page_says_what_to_type(client, visit):
    client.force_login(garage.person())
    assert "Type a number" in search(client, "").text
    assert "Nothing found" in search(client, "nobody-at-all").text


def test_a_search_takes_few_queries_with_many_rows(client, visit, django_assert_max_num_queries):
    client.force_login(garage.person())
    for _ in range(SHOWN + 2):
        jobs.card()
    with django_assert_max_num_queries(8):  # four, and session, person, shop and its zone
        page = search(client, "Owner").text
    assert f"There are more than {SHOWN}" in page
