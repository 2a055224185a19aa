"""One way to answer for a form, one for a button."""

import pytest
from django import forms
from django.contrib.messages import get_messages
from django.contrib.messages.storage.cookie import CookieStorage
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.test import RequestFactory

from garage.core.errors import BadInput, Refused
from garage.views.answers import ButtonForm, carried_out, error_of, posted, pressed, sentence_of, status_of


class Form(forms.Form):
    rod_mm = forms.IntegerField(label="Rod, mm")


def raising(error):
    def change():
        raise error

    return change


def test_a_form_not_sent_changes_nothing_and_is_accepted():
    form = Form()
    assert not carried_out(form, raising(AssertionError))
    assert status_of(form) == 200


def test_a_form_that_cannot_be_used_is_not_tried():
    form = Form({"rod_mm": "long"})
    assert not carried_out(form, raising(AssertionError))
    assert status_of(form) == 422


def test_a_change_that_is_made_says_so():
    made = []
    form = Form({"rod_mm": "110"})
    assert carried_out(form, lambda: made.append(form.cleaned_data["rod_mm"]))
    assert made == [110]
    assert status_of(form) == 200


def test_the_return_value_of_the_change_is_available():
    form = Form({"rod_mm": "110"})
    assert carried_out(form, lambda: form.cleaned_data["rod_mm"] * 2).made == 220


@pytest.mark.parametrize("where", ["rod_mm", "Rod, mm", "rod, MM"])
def test_bad_input_is_reported_at_the_field_it_names(where):
    form = Form({"rod_mm": "11"})
    assert not carried_out(form, raising(BadInput(where, 11, "20 to 400")))
    assert form.errors["rod_mm"] == [f"{where} is 11; allowed is 20 to 400."]
    assert status_of(form) == 422


def test_bad_input_of_no_field_is_reported_at_the_top():
    form = Form({"rod_mm": "110"})
    assert not carried_out(form, raising(BadInput("stroke", 3, "more")))
    assert form.non_field_errors() == ["stroke is 3; allowed is more."]


def test_a_refusal_is_shown_at_the_top_and_answers_409():
    form = Form({"rod_mm": "110"})
    assert not carried_out(form, raising(Refused("Not while it is here.")))
    assert form.non_field_errors() == ["Not while it is here."]
    assert status_of(form) == 409


def test_any_other_error_is_not_swallowed():
    with pytest.raises(ZeroDivisionError):
        carried_out(Form({"rod_mm": "110"}), lambda: 1 / 0)


class Later(Refused):
    """A refusal with a status of its own."""

    status = 429


def test_a_refusal_of_its_own_kind_answers_with_its_own_status():
    form = Form({"rod_mm": "110"})
    assert not carried_out(form, raising(Later("Wait an hour.")))
    assert status_of(form) == 429


def test_no_form_is_no_trouble():
    assert status_of(None) == 200


def test_a_form_is_bound_to_the_request_even_if_it_is_empty():
    assert posted(RequestFactory().get("/?rod_mm=110")) is None
    assert Form(posted(RequestFactory().post("/", {}))).errors["rod_mm"]


BACK = redirect("/back/")


def told(request: HttpRequest) -> list[tuple[str, str]]:
    return [(message.level_tag, message.message) for message in get_messages(request)]


def a_press(*, by_htmx: bool = False) -> HttpRequest:
    request = RequestFactory().post("/")
    request._messages, request.htmx = CookieStorage(request), by_htmx
    return request


def drawn(trouble: str) -> HttpResponse:
    return HttpResponse(f"<p>{trouble}</p>")


def test_a_button_goes_back_to_its_page_and_says_what_was_done():
    request = a_press()
    assert pressed(request, lambda: None, then=BACK, said="Struck out.") is BACK
    assert told(request) == [("success", "Struck out.")]


@pytest.mark.parametrize("error", [Refused("The card is closed."), BadInput("step", "x", "one of the card's")])
def test_a_button_that_is_refused_goes_back_to_its_page_and_says_why_not(error):
    request = a_press()
    assert pressed(request, raising(error), then=BACK, said="Struck out.", fragment=drawn) is BACK
    assert told(request) == [("error", error.sentence)]


def test_a_button_goes_back_to_the_place_that_was_tapped_and_to_the_top_if_it_is_refused():
    done = pressed(a_press(), lambda: None, then=redirect("/back/?day=2#hand"))
    refused = pressed(a_press(), raising(Refused("No.")), then=redirect("/back/?day=2#hand"))
    assert (done.url, refused.url) == ("/back/?day=2#hand", "/back/?day=2")


@pytest.mark.parametrize(("error", "status"), [(Refused("The card is closed."), 409), (BadInput("step", 3, "2"), 422)])
def test_htmx_gets_the_fragment_with_the_sentence_and_the_status(error, status):
    request = a_press(by_htmx=True)
    answer = pressed(request, raising(error), then=BACK, said="Struck out.", fragment=drawn)
    assert (answer.status_code, answer.content.decode()) == (status, f"<p>{error.sentence}</p>")
    assert told(request) == []


def test_htmx_gets_the_fragment_on_success():
    answer = pressed(a_press(by_htmx=True), lambda: None, then=BACK, said="Struck out.", fragment=drawn)
    assert (answer.status_code, answer.content.decode()) == (200, "<p></p>")


def test_a_page_without_a_fragment_answers_htmx_with_the_redirect():
    assert pressed(a_press(by_htmx=True), raising(Refused("No.")), then=BACK) is BACK


class Press(ButtonForm):
    rod_mm = forms.IntegerField()
    allowed = {"rod_mm": "20 to 400"}


def test_input_with_a_button_is_checked_by_its_form():
    assert Press({"rod_mm": "110"}).sent() == {"rod_mm": 110}


@pytest.mark.parametrize(("sent", "said"), [({"rod_mm": "long"}, "Rod mm is 'long'"), ({}, "Rod mm is missing")])
def test_unusable_input_with_a_button_is_refused_in_one_sentence(sent, said):
    with pytest.raises(BadInput, match=f"^{said}; allowed is 20 to 400.$"):
        Press(sent).sent()


def test_a_page_with_one_place_for_a_sentence_gets_the_first():
    assert sentence_of(None) == sentence_of(Form()) == ""
    assert sentence_of(Form({"rod_mm": "long"})) == "Enter a whole number."
    form = Form({"rod_mm": "110"})
    carried_out(form, raising(Refused("Not while it is here.")))
    assert sentence_of(form) == "Not while it is here."


def test_a_page_can_use_the_error_of_a_change_to_say_more():
    form, refused = Form({"rod_mm": "110"}), Refused("Not while it is here.")
    carried_out(form, raising(refused))
    assert error_of(form) is refused
    assert error_of(Form({"rod_mm": "long"})) is error_of(None) is None


def test_another_error_of_a_button_is_not_swallowed():
    with pytest.raises(ZeroDivisionError):
        pressed(a_press(), lambda: 1 / 0, then=BACK)
