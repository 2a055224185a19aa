"""What is typed to remind an owner of a service, and the owner's yes or no."""

from django import forms

from jobs.core.service import LONGEST_WHAT, MOST_KM, MOST_MONTHS
from jobs.views.forms import CardForm


class ServiceForm(CardForm):
    name = "service"
    what = forms.CharField(max_length=LONGEST_WHAT, label="What to do then", help_text="Such as: strobe it again.")
    after_km = forms.IntegerField(
        min_value=1,
        max_value=MOST_KM,
        required=False,
        label="After how many km",
        help_text="Empty if it goes by the date alone. The email says it; it goes out by the date.",
    )
    months = forms.IntegerField(min_value=1, max_value=MOST_MONTHS, initial=6, label="Write in how many months")


class ServiceYesNoForm(forms.Form):
    wants = forms.ChoiceField(
        choices=[("none", "no reminders"), ("again", "reminders again")],
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Press one of the buttons on the page."),
    )
