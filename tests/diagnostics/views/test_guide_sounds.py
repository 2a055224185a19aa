"""A taught sound's file as a browser asks for it: some play only what they can have in ranges."""

import re
from contextlib import closing

import pytest
from django.templatetags.static import static
from django.urls import reverse

from diagnostics.core.guides.sounds import SOUNDS, UNNAMED
from tests.rules.tree import ROOT

pytestmark = pytest.mark.django_db
MOST_BYTES = 150_000  # of the page with its pictures, fonts, style sheets and script
ADDRESS = static(SOUNDS[0].sound_file)


def got(client, **headers):
    with closing(client.get(ADDRESS, headers=headers)) as answer:
        return answer, answer.getvalue()


def test_a_range_of_a_sound_is_what_was_asked_for(client):
    """As Safari begins: with the first two bytes."""
    _, whole = got(client)
    answer, two = got(client, range="bytes=0-1")
    assert answer.status_code == 206
    assert answer["Content-Range"] == f"bytes 0-1/{len(whole)}"
    assert two + got(client, range=f"bytes=2-{len(whole) - 1}")[1] == whole


@pytest.mark.parametrize(
    ("file", "kind"), [(SOUNDS[0].sound_file, "audio/mpeg"), (SOUNDS[0].picture_file, "image/svg+xml")]
)
def test_sound_and_picture_are_kept_for_good_as_what_they_are(client, file, kind):
    answer = client.head(static(file))
    assert answer["Content-Type"].split(";")[0] == kind
    assert "immutable" in answer["Cache-Control"]
    assert "Content-Encoding" not in answer


def test_a_file_without_a_mark_is_asked_for_again(client):
    assert "immutable" not in client.head(static("sounds.js"))["Cache-Control"]


def test_the_guide_plays_the_six_by_name_and_keeps_the_names_of_three_folded(client):
    text = client.get(reverse("guide", args=["hear-the-difference"])).text
    for sound in SOUNDS:
        assert static(sound.sound_file) in text
        assert f'alt="{sound.shows}"' in text
    assert text.count('preload="none"') == text.count("<audio") == len(SOUNDS) + len(UNNAMED)
    for sound in UNNAMED:
        before, folded = text.split(static(sound.sound_file))[1].split("<details>")[:2]
        assert sound.title not in before
        assert sound.title in folded.split("</details>")[0]


def test_the_guide_with_all_its_pictures_is_light_and_no_sound_comes_unasked(client):
    answer = client.get(reverse("guide", args=["hear-the-difference"]))
    drawn = {match[1] for match in re.finditer(r'src="/static/([^"]*\.svg)"', answer.text)}
    assert {sound.picture_file for sound in (*SOUNDS, *UNNAMED)} < drawn
    files = ("sounds.js", "sounds.css", "paper.css", "threads.css", "print.css", "guide.css", "paper_scale.css", *drawn)
    fonts = sum(path.stat().st_size for path in (ROOT / "static/vendor/atkinson").glob("*latin-?00-normal.woff2"))
    assert len(answer.content) + fonts + sum((ROOT / "static" / file).stat().st_size for file in files) < MOST_BYTES
