import io
import re

import pytest
import segno
from django.test import Client
from django.urls import reverse
from PIL import Image

from garage.models.messages import Message
from garage.reads import links
from tests.factories import garage as make
from tests.factories.addresses import personal_address

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    make.shop()
    return make.visit()


@pytest.fixture
def mechanic(client):
    person = make.person()
    client.force_login(person)
    return person


def seen(answer):
    """The page without the CSRF mask, which is new each time."""
    return re.sub(r'"x-csrftoken": "[^"]+"', "", answer.content.decode())


def dead(visit, purpose="visit"):
    token = links.token(visit, purpose)
    visit.link_generation += 1
    visit.save()
    return token


def test_the_answer_does_not_reveal_whether_the_visit_exists(client, visit):
    known = client.post(reverse("fresh-link"), {"token": dead(visit)})
    unknown = client.post(reverse("fresh-link"), {"token": "1-1.forged"})
    nothing = client.post(reverse("fresh-link"))
    assert known.status_code == unknown.status_code == nothing.status_code == 200
    assert seen(known) == seen(unknown) == seen(nothing)
    assert Message.objects.get().to == visit.owner.email
    assert visit.owner.email.encode() not in known.content


def test_past_the_cap_the_answer_is_still_the_same(client, visit):
    answers = [client.post(reverse("fresh-link"), {"token": links.token(visit, "visit")}) for _ in range(15)]
    assert {answer.status_code for answer in answers} == {200}
    assert len({seen(answer) for answer in answers}) == 1


def test_asking_works_from_a_page_that_sends_no_origin(visit):
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post(reverse("fresh-link"), {"token": links.token(visit, "visit")}, headers={"Origin": "null"})
    assert answer.status_code == 200


def test_looking_at_a_fresh_link_page_is_not_asking(client, visit):
    assert client.get(reverse("fresh-link")).status_code == 405
    client.get(reverse("owner-visit", args=[dead(visit)]))
    assert not Message.objects.exists()


def test_the_workshop_sees_both_links_and_their_pictures(client, visit, mechanic):
    page = client.get(reverse("visit-link", args=[visit.number])).content.decode()
    for purpose in links.PURPOSES:
        assert personal_address(visit, purpose) in page
        picture = client.get(reverse("visit-link-picture", args=[visit.number, purpose]))
        assert picture["Content-Type"] == "image/png"
        assert links.token(visit, purpose) not in reverse("visit-link-picture", args=[visit.number, purpose])
        assert modules(picture.content) == [
            list(row) for row in segno.make(personal_address(visit, purpose), error="m").matrix
        ]


def modules(png, scale=6, border=4):
    """The dark and light modules of a picture, read off its pixels."""
    image = Image.open(io.BytesIO(png)).convert("1")
    across = image.width // scale - 2 * border
    at = [border * scale + scale // 2 + scale * number for number in range(across)]
    return [[0 if image.getpixel((x, y)) else 1 for x in at] for y in at]


def test_an_expired_link_is_not_shown(client, visit, mechanic):
    visit.state = "did-not-come"
    visit.save()
    page = client.get(reverse("visit-link", args=[visit.number])).content.decode()
    assert personal_address(visit, "sheet") not in page
    assert personal_address(visit, "visit") in page


def test_strangers_see_no_links(client, visit):
    for name, rest in (("visit-link", []), ("visit-link-picture", ["visit"])):
        answer = client.get(reverse(name, args=[visit.number, *rest]))
        assert answer.status_code == 302
        assert reverse("log-in") in answer["Location"]


def test_revoking_by_its_button_shows_the_new_links(client, visit, mechanic):
    old = personal_address(visit, "visit")
    page = client.post(reverse("visit-link-revoke", args=[visit.number]), follow=True).content.decode()
    visit.refresh_from_db()
    assert old not in page
    assert personal_address(visit, "visit") in page


def test_revoking_needs_a_post(client, visit, mechanic):
    before = visit.link_generation
    assert client.get(reverse("visit-link-revoke", args=[visit.number])).status_code == 405
    visit.refresh_from_db()
    assert visit.link_generation == before


def test_the_links_are_mailed_by_a_button(client, visit, mechanic):
    client.post(reverse("visit-link-send", args=[visit.number]))
    assert personal_address(visit, "visit") in Message.objects.get().text


def test_a_picture_of_an_unknown_purpose_is_not_found(client, visit, mechanic):
    assert client.get(reverse("visit-link-picture", args=[visit.number, "boss"])).status_code == 404
