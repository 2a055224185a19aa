"""Receiving a machine, and keeping a photo of it."""

import contextlib
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from garage.core import routes, states
from garage.models.visits import Photo, Visit

pytestmark = pytest.mark.django_db
CAME = {"how_it_came": "trailer", "key_left": "on", "came_with": "spare plug", "remarks": "Scratch on the tank."}


def a_photo():
    out = io.BytesIO()
    Image.new("RGB", (20, 10)).save(out, "JPEG")
    return SimpleUploadedFile("photo.jpg", out.getvalue(), content_type="image/jpeg")


def test_a_machine_is_taken_in_once(desk, visit):
    address = reverse("take-in", args=[visit.number])
    assert desk.post(address, CAME).url == reverse("visit", args=[visit.number])
    again = Visit.objects.get()
    assert (again.state, again.take_in.remarks, again.take_in.key_left) == (states.HERE, "Scratch on the tank.", True)
    refused = desk.post(address, CAME)
    assert refused.status_code == 409
    assert "has been taken in already" in refused.text
    assert "Scratch on the tank." in refused.text


@pytest.mark.parametrize(
    "found", [{"must_not_run": ["It pinks."]}, {"route": "do-not-run", "route_reasons": ["It pinks."]}]
)
def test_a_machine_that_must_not_run_is_taken_in_with_the_warning(desk, visit, found):
    Visit.objects.filter(pk=visit.pk).update(**found)
    address = reverse("take-in", args=[visit.number])
    assert "<b>Do not run it.</b> It pinks." in desk.get(address).text
    assert desk.post(address, CAME).status_code == 302
    assert Visit.objects.get().state == states.HERE


def test_missing_fields_are_reported_and_typed_ones_stay(desk, visit):
    answer = desk.post(reverse("take-in", args=[visit.number]), CAME | {"how_it_came": ""})
    assert answer.status_code == 422
    assert "how_it_came" in answer.context["form"].errors
    assert "Scratch on the tank." in answer.text
    assert Visit.objects.get().arrived_at is None


@pytest.mark.parametrize(
    ("back", "page"), [("gate", "gate"), ("card", "card"), ("take-in", "take-in"), ("", "visit"), ("shop", "visit")]
)
def test_a_photo_is_kept_and_leads_back_to_the_page_of_its_button(desk, visit, back, page):
    sent = {"photo": a_photo(), "words": "Left side", "taken_for": "take-in", "back": back}
    answer = desk.post(reverse("photo-add", args=[visit.number]), sent)
    assert answer.url == f"{reverse(page, args=[visit.number])}#photos"
    kept = Photo.objects.get()
    assert (kept.visit, kept.words, kept.taken_for) == (visit, "Left side", "take-in")
    with contextlib.closing(desk.get(reverse("photo", args=[kept.pk]))) as shown:
        assert shown["Content-Type"] == "image/jpeg"


@pytest.mark.parametrize("sent", [{}, {"taken_for": "sale"}, {"photo": SimpleUploadedFile("photo.jpg", b"none")}])
def test_a_file_that_is_not_a_photo_is_refused_in_one_sentence_and_not_kept(desk, visit, sent):
    given = {"photo": a_photo(), "taken_for": "gate"} | sent if sent else {"taken_for": "gate"}
    answer = desk.post(reverse("photo-add", args=[visit.number]), given, follow=True)
    assert "allowed is a photo" in answer.text
    assert not Photo.objects.exists()


@pytest.mark.parametrize("found", [{"route": routes.DO_NOT_RUN}, {"must_not_run": ["It leaks petrol."]}])
def test_a_machine_that_must_not_run_and_was_ridden_goes_to_the_bench_with_a_plain_warning(desk, visit, found):
    for name, value in found.items():
        setattr(visit, name, value)
    visit.owner_remarks = ["It leaks petrol"]
    visit.save()
    address = reverse("take-in", args=[visit.number])
    page = desk.get(address).text
    assert "It leaks petrol." in page
    assert "to the bench first" in page
    after = desk.post(address, CAME | {"how_it_came": "ridden"}, follow=True).text
    assert "It was ridden here although it must not be run." in after
    assert "although it must not be run" in visit.trail.first().did


def test_no_warning_where_it_came_on_a_trailer_or_may_run(desk, visit):
    answer = desk.post(reverse("take-in", args=[visit.number]), CAME | {"how_it_came": "ridden"}, follow=True)
    assert "must not be run" not in answer.text


@pytest.mark.parametrize("back", ["gate", "card", "take-in"])
def test_a_photo_is_shown_and_deleted_where_it_was_taken(desk, visit, back):
    Visit.objects.update(state=states.HERE, arrived_at=timezone.now())
    address = reverse(back, args=[visit.number])
    desk.post(reverse("photo-add", args=[visit.number]), {"photo": a_photo(), "taken_for": "gate", "back": back})
    gone = reverse("photo-delete", args=[Photo.objects.get().pk])
    assert gone in desk.get(address).text
    assert desk.post(gone, {"back": back}).url == f"{address}#photos"
    assert gone not in desk.get(address).text
    assert desk.post(gone).status_code == 404


def test_a_photo_whose_file_is_gone_is_not_found_and_its_page_still_opens(desk, visit):
    desk.post(reverse("photo-add", args=[visit.number]), {"photo": a_photo(), "taken_for": "take-in"})
    kept = Photo.objects.get()
    kept.file.storage.delete(kept.file.name)
    assert desk.get(reverse("photo", args=[kept.pk])).status_code == 404
    assert desk.get(reverse("visit", args=[visit.number])).status_code == 200
