import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import guides
from diagnostics.core.guides.guides import GUIDES
from garage.core.errors import BadInput, Refused
from garage.models.actors import OWNER
from garage.models.messages import Message
from garage.models.trail import TrailRow
from garage.reads import links
from tests.factories import garage
from tests.factories.diagnostics import HEALTHY, PINKING, answered

pytestmark = pytest.mark.django_db
REV_OUT, LEVEL = "rev-out", "level"


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit(machine=garage.machine(kind=garage.machine_kind()))


def mail(visit, slug, by=OWNER):
    return guides.mail(visit, slug=slug, by=by, now=timezone.now())


def test_a_guide_goes_to_the_owner_with_its_sentence_and_address(visit):
    guide = mail(visit, LEVEL)
    [message] = Message.objects.filter(visit=visit)
    assert message.to == visit.owner.email
    for text in (message.text, message.html):
        assert reverse("guide", args=[LEVEL]) in text
        assert guide.tells in text
    assert guide.title in message.subject
    assert TrailRow.objects.filter(did__contains=guide.title).exists()


def test_a_guide_that_revs_up_is_not_sent_for_an_engine_that_must_not_be(visit):
    answered(visit, {key: PINKING[key] for key in ("trouble", "where", "changed", "nipped", "pinking")})
    with pytest.raises(Refused, match="must not be revved up"):
        mail(visit, REV_OUT)
    mail(visit, LEVEL)
    assert Message.objects.filter(visit=visit).count() == 1


def test_the_same_guide_is_sent_for_one_that_may_be(visit):
    answered(visit, {key: HEALTHY[key] for key in ("trouble", "where", "changed", "nipped", "pinking")})
    assert mail(visit, REV_OUT).slug == REV_OUT


def test_without_an_address_nothing_is_written_and_it_says_so(visit):
    visit.owner.email = ""
    visit.owner.save()
    with pytest.raises(Refused, match="no email address"):
        mail(visit, LEVEL)
    assert not Message.objects.exists()


def test_no_other_guide_is_sent(visit):
    with pytest.raises(BadInput, match="one of the guides"):
        mail(visit, "no-such-guide")


def test_the_desk_sends_one_with_two_taps(client, visit):
    client.force_login(garage.person())
    assert reverse("visit-guides", args=[visit.number]) in client.get(reverse("visit", args=[visit.number])).text
    page = client.get(reverse("visit-guides", args=[visit.number])).text
    assert page.count('name="slug"') == len(GUIDES)
    answer = client.post(reverse("visit-guides", args=[visit.number]), {"slug": LEVEL}, follow=True)
    assert "is on its way to" in answer.text
    assert Message.objects.filter(visit=visit, what=guides.GUIDE_SENT).count() == 1


def test_the_owner_asks_for_one_by_the_link(client, visit):
    token = links.token(visit, links.VISIT)
    assert reverse("owner-guides", args=[token]) in client.get(reverse("owner-visit", args=[token])).text
    answer = client.post(reverse("owner-guides", args=[token]), {"slug": LEVEL})
    assert "is on its way to you" in answer.text
    assert Message.objects.filter(visit=visit, what=guides.GUIDE_SENT).count() == 1
    assert client.post(reverse("owner-guides", args=[token]), {"slug": "none"}).status_code == 422
    assert client.post(reverse("owner-guides", args=[token])).status_code == 422
