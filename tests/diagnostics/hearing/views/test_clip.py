import pytest
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone

from diagnostics.core.guides.sounds import SOUNDS
from diagnostics.hearing.changes import hearing, taking_in
from diagnostics.hearing.models.clips import Clip
from diagnostics.reads.judgement import latest
from garage.core import states
from garage.core.text.unbroken import kept_together
from tests.factories import garage
from tests.factories.diagnostics import heard_clip, upload

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    garage.shop()
    return garage.visit(machine=garage.machine(kind=garage.machine_kind(design_rpm=8800)))


@pytest.fixture
def boss(client):
    person = garage.person()
    client.force_login(person)
    return person


def at(name, visit, *more):
    return reverse(name, args=[visit.number, *[clip.pk for clip in more]])


def waiting(visit):
    return taking_in.send(visit, upload=upload(), now=timezone.now())


def test_nobody_from_outside_sees_or_hears_a_clip(client, visit):
    clip = heard_clip(visit)
    for name in ("clip", "clip-picture", "clip-sound"):
        assert client.get(at(name, visit, clip)).status_code == 302
    for name in ("clip-verdict", "clip-verdict-back", "clip-again", "clip-delete"):
        assert client.post(at(name, visit, clip)).url.startswith("/log-in/")
    assert Clip.objects.count() == 1


def test_the_clip_of_another_visit_is_not_found_here(client, visit, boss):
    other = heard_clip(garage.visit())
    for name in ("clip", "clip-picture", "clip-sound"):
        assert client.get(at(name, visit, other)).status_code == 404
    assert client.post(at("clip-delete", visit, other)).status_code == 404


def test_the_page_tells_what_was_heard_against_the_design_speed(client, visit, boss):
    clip = heard_clip(visit, verdict="breaks-down", ceiling_rpm=6100.0, confidence=0.9)
    page = client.get(at("clip", visit, clip)).text
    for words in (
        "It breaks down at about 6,100 rpm.",
        "Of clips like this one, nine in ten are heard correctly.",
        "69 % of its design speed of 8,800 rpm: a false one",  # 6100 / 8800 = 0.693
        "1,500 rpm",
        "1.50 to 6.00 s",
        "60 ms",
        at("clip-picture", visit, clip),
        at("clip-sound", visit, clip),
    ):
        assert kept_together(words) in page


def test_an_engine_heard_to_rev_out_far_below_its_design_speed_is_to_be_listened_to(client, visit, boss):
    low = heard_clip(visit, verdict="revs-out", peak_rpm=6050.0)
    page = client.get(at("clip", visit, low)).text
    assert kept_together("69 % of its design speed of 8,800 rpm, so this counts for nothing yet. Listen to it") in page
    assert "Of clips like this one" not in page
    nearly = client.get(at("clip", visit, heard_clip(visit, verdict="revs-out", peak_rpm=7480.0))).text
    assert kept_together("85 % of its design speed of 8,800 rpm, so this counts in part.") in nearly
    assert "Of clips like this one" in nearly
    reaches_it = heard_clip(visit, verdict="revs-out", peak_rpm=8700.0)
    assert "Listen to it yourself" not in client.get(at("clip", visit, reaches_it)).text
    breaks = heard_clip(visit, verdict="breaks-down", peak_rpm=6050.0)
    assert "Listen to it yourself" not in client.get(at("clip", visit, breaks)).text


def test_a_verdict_can_be_held_against_the_taught_sounds(client, visit, boss):
    """Folded, and where no verdict is given any more they are not there."""
    clip = heard_clip(visit)
    page = client.get(at("clip", visit, clip)).text
    folded = page[page.index("<summary>Six sounds") : page.index(at("clip-verdict", visit, clip))]
    for sound in SOUNDS:
        assert static(sound.sound_file) in folded
        assert static(sound.picture_file) in folded
        assert sound.shows in folded
    assert at("clip-sound", visit, clip) in folded
    visit.state = states.COLLECTED
    visit.save()
    assert "Six sounds" not in client.get(at("clip", visit, clip)).text


def test_a_breakdown_with_no_gap_long_enough_to_mark_says_so(client, visit, boss):
    # A limiter, or a failing ignition that misses one or two firings at a time.
    clip = heard_clip(visit, verdict="breaks-down", ceiling_rpm=6100.0, drop_outs=[])
    assert "each too short to mark" in client.get(at("clip", visit, clip)).text
    sound = heard_clip(visit, verdict="revs-out", ceiling_rpm=None, drop_outs=[])
    assert "too short to mark" not in client.get(at("clip", visit, sound)).text


def test_a_ceiling_at_the_design_speed_may_be_its_own_limiter(client, visit, boss):
    clip = heard_clip(visit, verdict="breaks-down", ceiling_rpm=8700.0)
    assert "that is its own limiter" in client.get(at("clip", visit, clip)).text


def test_picture_and_sound_are_files_of_their_own(client, visit, boss):
    clip = heard_clip(visit)
    picture, sound = client.get(at("clip-picture", visit, clip)), client.get(at("clip-sound", visit, clip))
    assert picture["Content-Type"] == "image/svg+xml"
    assert sound["Content-Type"].startswith("audio/")
    assert b"".join(sound.streaming_content).startswith(b"sound")


def test_a_clip_that_waits_has_no_picture_and_looks_again_by_itself_ever_more_rarely(client, visit, boss, monkeypatch):
    clip = waiting(visit)
    page = client.get(at("clip", visit, clip)).text
    assert 'hx-trigger="load delay:2s"' in page
    assert "It is waiting to be listened to." in page
    assert "<audio" not in page
    assert client.get(at("clip-picture", visit, clip)).status_code == 404
    for age_s, delay_s in ((10, 4), (60, 24), (3600, 30)):
        Clip.objects.update(at=clip.at - garage.timedelta(seconds=age_s))
        assert f'hx-trigger="load delay:{delay_s}s"' in client.get(at("clip", visit, clip)).text


def test_once_heard_it_looks_no_more(client, visit, boss):
    assert "hx-trigger" not in client.get(at("clip", visit, heard_clip(visit))).text


def test_a_clip_is_added_from_the_findings_and_leads_to_its_page(client, visit, boss):
    answer = client.post(at("clip-add", visit), {"clip": upload()})
    clip = Clip.objects.get(visit=visit)
    assert (answer.url, clip.by) == (at("clip", visit, clip), boss)
    for name in ("findings", "visit"):
        assert at("clip", visit, clip) in client.get(reverse(name, args=[visit.number])).text


@pytest.mark.parametrize("sent", [{}, {"clip": upload(content=b"")}], ids=["none", "empty"])
def test_what_is_no_clip_is_said_on_the_findings_page(client, visit, boss, sent):
    answer = client.post(at("clip-add", visit), sent, follow=True)
    assert "The clip is" in answer.text
    assert "allowed is a sound or video file" in answer.text
    assert not Clip.objects.exists()


def test_a_persons_verdict_wins_and_can_be_taken_back(client, visit, boss):
    clip = heard_clip(visit, verdict="breaks-down")
    page = client.post(at("clip-verdict", visit, clip), {"verdict": "revs-out"}, follow=True).text
    assert "It revs out." in page
    assert f"{boss.name} says so" in page
    assert "Heard: it breaks down." in page
    assert latest(visit).case["heard"]["verdict"] == "revs-out"
    client.post(at("clip-verdict-back", visit, clip))
    assert latest(visit).case["heard"]["verdict"] == "breaks-down"


def test_a_verdict_that_there_is_not_is_said_and_changes_nothing(client, visit, boss):
    clip = heard_clip(visit)
    answer = client.post(at("clip-verdict", visit, clip), {"verdict": "fine"}, follow=True)
    assert "Your verdict is &#x27;fine&#x27;; allowed is one of" in answer.text
    assert Clip.objects.get().own_verdict == ""


def test_of_a_visit_that_is_over_nothing_is_judged_but_a_clip_can_be_deleted(client, visit, boss):
    clip = heard_clip(visit)
    visit.state = states.COLLECTED
    visit.save()
    assert "What do you hear?" not in client.get(at("clip", visit, clip)).text
    answer = client.post(at("clip-verdict", visit, clip), {"verdict": "unclear"}, follow=True)
    assert "it is not judged any more" in answer.text
    assert Clip.objects.get().own_verdict == ""
    assert "deleted" in client.post(at("clip-delete", visit, clip), follow=True).text
    assert not Clip.objects.exists()


def test_one_that_could_not_be_heard_says_why_and_how_to_do_better_and_is_heard_again(client, visit, boss):
    clip = waiting(visit)
    hearing.begin_hearing(clip, timezone.now())
    hearing.could_not_hear(clip.pk, "This clip holds no sound.", now=timezone.now())
    page = client.get(at("clip", visit, clip)).text
    assert "This clip holds no sound." in page
    assert "two metres to the side" in page
    client.post(at("clip-again", visit, clip))
    assert Clip.objects.get().state == Clip.WAITS


def test_a_machine_known_otherwise_since_is_offered_to_be_heard_again(client, visit, boss):
    clip = heard_clip(visit, fires_per_turn=1.0)
    assert "Listen again" not in client.get(at("clip", visit, clip)).text
    visit.machine.fires_per_turn = 2
    visit.machine.save()
    assert "now known to fire 2 times" in client.get(at("clip", visit, clip)).text


def test_the_page_asks_before_it_deletes(client, visit, boss):
    clip = heard_clip(visit)
    page = client.get(at("clip", visit, clip)).text
    assert page.index("can’t get it back") < page.index("Delete the clip</button>")
    assert client.get(at("clip-delete", visit, clip)).status_code == 405
