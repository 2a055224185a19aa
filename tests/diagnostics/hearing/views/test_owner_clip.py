from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import resolve, reverse
from django.utils import timezone

from diagnostics.changes import sheets
from diagnostics.core.rev_out_safety import TICKS, TICKS_THAT_RULE_IT_OUT
from diagnostics.hearing.changes import clips, taking_in
from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.tasks import hear_clips
from garage.changes.visit.receiving import take_in
from garage.core.routes import DO_NOT_RUN
from garage.reads import links
from tests.browser import rev_out
from tests.factories import garage
from tests.factories.diagnostics import HEALTHY, PINKING, answered

pytestmark = pytest.mark.django_db
RECORDS = "record it here"
HOW_IT_CAME = {"how_it_came": "ridden", "key_left": True, "came_with": "", "remarks": "", "stays_overnight": False}
LINK = "Record it or send a clip"


@pytest.fixture
def visit(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    garage.shop(fix_first_acts_alone=True)
    return garage.visit(machine=garage.machine(kind=garage.machine_kind()))


@pytest.fixture
def token(visit):
    return links.token(visit, links.SHEET)


@pytest.fixture
def url(token):
    return reverse("sheet-clip", args=[token])


@pytest.fixture(scope="module")
def recorded():
    return rev_out.clip("healthy")


def upload(recorded, name="rev-out.m4a"):
    return SimpleUploadedFile(name, recorded, "audio/mp4")


def test_no_question_of_the_sheet_catches_the_page(url):
    assert resolve(url).url_name == "sheet-clip"


def test_a_machine_that_may_be_revved_is_recorded_here_with_the_cautions_said_before(client, visit, url):
    answered(visit, HEALTHY)
    page = client.get(url)
    assert RECORDS in page.text
    assert page.text.index("exhaust gas kills") < page.text.index(RECORDS)
    assert all(page.text.index(TICKS[name]) < page.text.index(RECORDS) for name in TICKS_THAT_RULE_IT_OUT)
    assert "3 minutes and 100 MB" in page.text
    assert "no-referrer" in page["Referrer-Policy"]


def test_what_was_recorded_may_be_played_on_this_page_only(client, visit, token, url):
    answered(visit, HEALTHY)
    assert "media-src 'self' blob:" in client.get(url)["Content-Security-Policy"]
    assert "blob:" not in client.get(reverse("sheet", args=[token]))["Content-Security-Policy"]


def test_nobody_is_asked_to_rev_it_out_before_what_must_be_asked(client, url):
    page = client.get(url)
    assert RECORDS not in page.text
    assert "Answer that first" in page.text
    assert 'type="file"' in page.text


def barred_by_an_answer(visit):
    answered(visit, PINKING)


def barred_by_a_tick(visit):
    answered(visit, HEALTHY)
    sheets.answer_rev_out(visit, given="", ticks=["leaks_petrol"], now=timezone.now())


def barred_by_its_gearbox(visit):
    answered(visit, HEALTHY)
    visit.machine.gearbox = "automatic"
    visit.machine.save()


def barred_by_our_word(visit):
    answered(visit, HEALTHY)
    visit.route = DO_NOT_RUN
    visit.save()


BARRED = [barred_by_an_answer, barred_by_a_tick, barred_by_its_gearbox, barred_by_our_word]


@pytest.mark.parametrize("bar", BARRED)
def test_a_machine_that_must_not_be_revved_is_not_asked_for_a_clip_and_the_page_says_why(client, visit, url, bar):
    bar(visit)
    page = client.get(url)
    assert "Please don’t rev it out." in page.text
    assert RECORDS not in page.text
    assert "record.js" not in page.text


@pytest.mark.parametrize("bar", BARRED)
def test_a_recording_from_before_is_taken_in_all_the_same(client, visit, url, recorded, bar):
    bar(visit)
    assert client.post(url, {"clip": upload(recorded)}).url == url
    assert Clip.objects.filter(visit=visit).count() == 1


def test_a_clip_is_taken_in_and_shown_until_it_is_deleted(client, visit, url, token, recorded):
    answered(visit, HEALTHY)
    client.post(url, {"clip": upload(recorded)})
    clip = Clip.objects.get(visit=visit)
    assert "The sound you sent" in client.get(url).text
    delete = reverse("sheet-clip-delete", args=[token, clip.pk])
    assert client.get(delete).status_code == 405
    assert client.post(delete).url == url
    assert "The sound you sent" not in client.get(url).text


def test_what_was_heard_is_told_kindly_with_its_picture_and_the_owner_is_not_asked_again(client, visit, url, token):
    answered(visit, HEALTHY)
    client.post(url, {"clip": upload(rev_out.clip("breaks"))})
    assert "We’ll start on it in a moment" in client.get(url).text
    hear_clips()
    page = client.get(url).text
    assert "it hits a ceiling at about" in page
    assert RECORDS not in page
    clip = Clip.objects.get(visit=visit)
    picture = client.get(reverse("sheet-clip-picture", args=[token, clip.pk]))
    assert (picture.status_code, picture["Content-Type"]) == (200, "image/svg+xml")
    sound = b"".join(client.get(reverse("sheet-clip-sound", args=[token, clip.pk])))
    assert sound == Path(clip.file.path).read_bytes() != rev_out.clip("breaks")  # the sound alone is kept


def test_a_healthy_engine_is_good_news_and_another_clip_is_offered_not_asked_for(client, visit, url, recorded):
    answered(visit, HEALTHY)
    client.post(url, {"clip": upload(recorded)})
    hear_clips()
    page = client.get(url).text
    assert "it revs out and holds" in page
    assert page.index("Send another") < page.index(RECORDS)


def test_a_file_that_cannot_be_heard_says_why_and_how_to_make_a_better_one(client, visit, url, token):
    answered(visit, HEALTHY)
    client.post(url, {"clip": upload(b"\x89PNG\r\n\x1a\n" + bytes(2000), name="picture.png")})
    hear_clips()
    page = client.get(url).text
    assert "allowed is" in page
    assert "To record a better one" in page
    assert RECORDS in page
    clip = Clip.objects.get(visit=visit)
    assert client.get(reverse("sheet-clip-picture", args=[token, clip.pk])).status_code == 404


def test_without_a_file_it_says_what_may_be_sent(client, url):
    answer = client.post(url, {})
    assert answer.status_code == 422
    assert "The clip is missing; allowed is a sound or video file" in answer.text


def test_an_empty_file_gets_a_sentence(client, url):
    answer = client.post(url, {"clip": upload(b"")})
    assert answer.status_code == 422
    assert "data-trouble" in answer.text


def test_the_clip_of_another_visit_is_not_there(client, token, recorded):
    other = taking_in.send(garage.visit(), upload=upload(recorded), now=timezone.now())
    for name in ("sheet-clip-sound", "sheet-clip-picture"):
        assert client.get(reverse(name, args=[token, other.pk])).status_code == 404
    assert client.post(reverse("sheet-clip-delete", args=[token, other.pk])).status_code == 404


def test_a_link_that_is_over_takes_no_clip(client, visit, url, recorded):
    visit.link_generation += 1
    visit.save()
    assert client.post(url, {"clip": upload(recorded)}).status_code == 410
    assert not Clip.objects.exists()


def places(visit, token):
    """The pages that ask for a clip."""
    return [
        reverse("sheet-question", args=[token, "rev_out"]),
        reverse("sheet", args=[token]),
        reverse("sheet-outcome", args=[token]),
        reverse("owner-visit", args=[links.token(visit, links.VISIT)]),
    ]


def test_each_page_of_the_owner_leads_to_it(client, visit, token, url):
    answered(visit, HEALTHY)
    sheets.send(visit, now=timezone.now())
    assert [path for path in places(visit, token) if url not in client.get(path).text] == []


@pytest.mark.parametrize("bar", BARRED)
def test_no_page_asks_for_a_clip_of_a_machine_that_must_not_be_revved(client, visit, token, bar):
    answered(visit, HEALTHY)
    sheets.send(visit, now=timezone.now())
    visit.refresh_from_db()
    bar(visit)
    assert [path for path in places(visit, token) if LINK in client.get(path).text] == []


@pytest.fixture
def arrived(visit, recorded):
    """The machine came with a clip that was heard; the link of its check sheet is over."""
    answered(visit, HEALTHY)
    clip = taking_in.send(visit, upload=upload(recorded), now=timezone.now())
    hear_clips()
    take_in(visit, by=garage.person(), now=timezone.now(), **HOW_IT_CAME)
    clip.refresh_from_db()
    return clip


def kept(clip, name, *more):
    return reverse(name, args=[links.token(clip.visit, links.VISIT), *more])


def test_once_the_machine_is_here_the_owner_still_sees_and_hears_the_clip(client, arrived, url):
    assert client.get(url).status_code == 410
    leads = kept(arrived, "owner-clip")
    assert leads in client.get(kept(arrived, "owner-visit")).text
    page = client.get(leads)
    assert "it revs out and holds" in page.text
    assert "no-referrer" in page["Referrer-Policy"]
    for name, content_type in (("owner-clip-picture", "image/svg+xml"), ("owner-clip-sound", "audio/mpeg")):
        address = kept(arrived, name, arrived.pk)
        assert address in page.text
        answer = client.get(address)
        assert (answer.status_code, answer["Content-Type"]) == (200, content_type)


def test_it_is_to_look_at_only(client, arrived, recorded):
    leads = kept(arrived, "owner-clip")
    page = client.get(leads).text
    assert 'type="file"' not in page
    assert "<form" not in page.split("<main")[1].split("</main>")[0]
    assert client.post(leads, {"clip": upload(recorded)}).status_code == 405
    for purpose in links.PURPOSES:
        token = links.token(arrived.visit, purpose)
        answer = client.post(reverse("sheet-clip-delete", args=[token, arrived.pk]))
        assert answer.status_code == 410
    assert Clip.objects.count() == 1


def test_nothing_is_asked_of_the_owner_any_more(client, arrived):
    arrived.result |= {"verdict": "breaks-down", "ceiling_rpm": 6000.0}
    arrived.save()
    assert "don’t rev it out again" not in client.get(kept(arrived, "owner-clip")).text
    arrived.result |= {"verdict": "unclear", "ceiling_rpm": None}
    arrived.save()
    page = client.get(kept(arrived, "owner-clip")).text
    assert "It counts neither for nor against your machine." in page
    assert "To record a better one" not in page


def test_a_clip_deleted_by_the_workshop_is_gone_for_the_owner_too(client, arrived):
    clips.delete(arrived, by=garage.person(), now=timezone.now())
    assert client.get(kept(arrived, "owner-clip-sound", arrived.pk)).status_code == 404
    assert "or it has been deleted" in client.get(kept(arrived, "owner-clip")).text
    assert kept(arrived, "owner-clip") not in client.get(kept(arrived, "owner-visit")).text


def test_a_clip_of_the_workshops_own_is_not_shown(client, arrived, recorded):
    own = taking_in.take_in(
        arrived.visit, upload=upload(recorded + b"0", "ours.m4a"), by=garage.person(), now=timezone.now()
    )
    assert own.name not in client.get(kept(arrived, "owner-clip")).text
    assert client.get(kept(arrived, "owner-clip-sound", own.pk)).status_code == 404


def test_another_visits_link_a_revoked_one_and_one_past_its_year_show_no_clip(client, arrived):
    other = garage.visit()
    for name in ("owner-clip-sound", "owner-clip-picture"):
        assert client.get(reverse(name, args=[links.token(other, links.VISIT), arrived.pk])).status_code == 404
    before = kept(arrived, "owner-clip-sound", arrived.pk)
    arrived.visit.collected_at = timezone.now() - links.LIVES_AFTER_THE_END
    arrived.visit.save()
    assert client.get(before).status_code == 410
    arrived.visit.collected_at = None
    arrived.visit.link_generation += 1
    arrived.visit.save()
    assert client.get(before).status_code == 410
