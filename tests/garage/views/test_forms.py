import pytest
from django import forms

from garage.core.errors import BadInput, Refused
from garage.views.forms import carried_out, status_of


class Form(forms.Form):
    rod_mm = forms.IntegerField(label="Rod, mm")


def raising(error):
    def change():
        raise error

    return change


def test_a_form_not_sent_changes_nothing_and_is_fine():
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


@pytest.mark.parametrize("where", ["rod_mm", "Rod, mm", "rod, MM"])
def test_bad_input_is_said_at_the_field_it_names(where):
    form = Form({"rod_mm": "11"})
    assert not carried_out(form, raising(BadInput(where, 11, "20 to 400")))
    assert form.errors["rod_mm"] == [f"{where} is 11; allowed is 20 to 400."]
    assert status_of(form) == 422


def test_bad_input_of_no_field_is_said_at_the_head():
    form = Form({"rod_mm": "110"})
    assert not carried_out(form, raising(BadInput("stroke", 3, "more")))
    assert form.non_field_errors() == ["stroke is 3; allowed is more."]


def test_a_refusal_is_said_at_the_head_and_answers_409():
    form = Form({"rod_mm": "110"})
    assert not carried_out(form, raising(Refused("Not while it is here.")))
    assert form.non_field_errors() == ["Not while it is here."]
    assert status_of(form) == 409


def test_any_other_error_is_not_swallowed():
    with pytest.raises(ZeroDivisionError):
        carried_out(Form({"rod_mm": "110"}), lambda: 1 / 0)
