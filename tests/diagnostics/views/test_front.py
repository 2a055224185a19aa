import gzip
import re
from decimal import Decimal

import pytest
from django.urls import reverse

from tests.factories import garage

pytestmark = pytest.mark.django_db

# What has to come before its first words; how long that takes on a slow network: tests/bench/first_words.md.
MOST_BEFORE_WORDS, MOST_PACKED_BYTES = 3, 14_000


@pytest.fixture
def kinds():
    garage.shop()
    garage.person()
    return (
        garage.visit_kind(),
        garage.visit_kind(slug="power-run", booked_as="power-run", name="Power run", minutes=45, price=Decimal("65")),
        garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", price=Decimal("45")),
    )


def asked(client, **given):
    return client.get(reverse("ask-me"), given)


def test_the_front_page_says_result_price_and_first_time_of_each_kind(client, kinds):
    page = client.get(reverse("front")).text
    for kind in kinds:
        assert kind.goes_home_with in page
        assert f"£{kind.price:.2f}" in page
        assert reverse("book-time", args=[kind.slug]) in page
    assert page.count("First free:") == 3


def test_both_home_tests_are_shown_with_their_cautions(client, kinds):
    page = client.get(reverse("front")).text
    assert "The rev-out on the stand" in page
    assert "The strobe on the flywheel marks" in page
    assert page.count("Take care.") == 2


def test_little_has_to_come_before_the_first_words(client, kinds):
    """The page and its style sheets. A script may not hold them up, a letter file swaps in or is left out."""
    page = client.get(reverse("front")).text
    links = re.findall(r"<link[^>]*>", page)
    sheets = [link for link in links if 'rel="stylesheet"' in link and 'media="print"' not in link]
    addresses = [re.search(r'href="([^"]+)"', link)[1] for link in sheets]
    texts = [page, *(b"".join(client.get(address)).decode() for address in addresses)]
    assert len(texts) <= MOST_BEFORE_WORDS
    assert sum(len(gzip.compress(text.encode())) for text in texts) < MOST_PACKED_BYTES
    assert not re.search(r"<script(?![^>]*(?: defer| type=\"module\"))", page.split("</body>")[0])
    assert all("@import" not in text for text in texts)
    assert "".join(texts).count("@font-face") == "".join(texts).count("font-display: optional")


def test_the_front_page_works_before_there_is_a_shop(client):
    assert client.get(reverse("front")).status_code == 200


def test_one_question_a_page_and_then_an_advice(client, kinds):
    assert "nipped up" in asked(client).text
    assert "rattle" in asked(client, nipped="no").text
    assert "changed" in asked(client, nipped="no", pinking="no").text
    assert "rev out" in asked(client, nipped="no", pinking="no", changed="nothing").text
    advice = asked(client, nipped="no", pinking="no", changed="nothing", rev_out="ceiling")
    assert "Book: bench check" in advice.text
    assert "Book: power run" in asked(client, nipped="no", pinking="no", changed="nothing", rev_out="clean").text


def test_an_engine_that_nipped_up_is_not_asked_for_the_rev_out(client, kinds):
    advice = asked(client, nipped="yes", pinking="no", changed="nothing").text
    assert "Book: bench check" in advice
    assert "Take care." in advice


def test_an_invalid_answer_is_asked_again_and_the_others_are_kept(client, kinds):
    again = asked(client, nipped="no", pinking="perhaps")
    assert again.status_code == 422
    assert '<input type="hidden" name="nipped" value="no">' in again.text
    none_ticked = asked(client, nipped="no", pinking="no", asked="changed")
    assert none_ticked.status_code == 422


def test_asking_stores_nothing(client, kinds):
    asked(client, nipped="no", pinking="no", changed=["exhaust", "air-filter"], rev_out="not-tried")
    assert set(client.cookies) <= {"csrftoken"}  # no session: nothing is remembered
