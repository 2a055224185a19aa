"""A photo as it is sent: said before what is taken, kept under a random name, served as a picture and nothing else."""

from __future__ import annotations

import io
import re

import pytest
from django.conf import settings
from django.contrib.staticfiles.finders import find
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from garage.changes.visit.photos import ALLOWED
from garage.core import states
from garage.models.visits import Photo
from tests.factories import garage

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit(client):
    garage.shop()
    client.force_login(garage.person())
    return garage.visit(state=states.HERE)


def picture():
    out, exif = io.BytesIO(), Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"  # GPSInfo: which half of the earth
    exif[0x010F] = "Jocasta's phone"
    Image.new("RGB", (40, 30)).save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_it_is_kept_under_a_random_name_that_no_address_serves_and_without_place_or_phone(visit, client):
    sent = SimpleUploadedFile("../visit-1.php", picture(), "text/html")
    client.post(reverse("photo-add", args=[visit.number]), {"photo": sent, "taken_for": "card", "back": "visit"})
    row = Photo.objects.get()
    assert re.fullmatch(r"photos/\d{4}/\d\d/[0-9a-f]{32}\.jpg", row.file.name)
    with row.file.open() as kept, Image.open(kept) as opened:
        assert dict(opened.getexif()) == {}
    for path in (f"/media/{row.file.name}", f"/{row.file.name}", f"/static/{row.file.name}"):
        assert client.get(path).status_code == 404
    assert find(row.file.name) is None
    assert settings.MEDIA_ROOT not in settings.STATICFILES_DIRS


def test_it_is_served_as_a_picture_that_no_browser_takes_for_a_page(visit, client):
    sent = SimpleUploadedFile("a.jpg", picture(), "image/jpeg")
    client.post(reverse("photo-add", args=[visit.number]), {"photo": sent, "taken_for": "card", "back": "visit"})
    answer = client.get(reverse("photo", args=[Photo.objects.get().pk]))
    answer.close()
    assert (answer["Content-Type"], answer["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")


def test_what_is_taken_is_said_before_one_is_chosen(visit, client):
    assert ALLOWED[1:] in client.get(reverse("card", args=[visit.number])).text
