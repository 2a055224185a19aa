"""What is typed to word a message. The change decides whether the words can be used."""

from django import forms

from garage.core.mail.wording import LONGEST_SUBJECT, LONGEST_TEXT


class WordingForm(forms.Form):
    is_on = forms.BooleanField(label="Send it", required=False)
    subject = forms.CharField(label="Subject", max_length=LONGEST_SUBJECT)
    text = forms.CharField(label="Text", max_length=LONGEST_TEXT, widget=forms.Textarea({"rows": 14}))
    visit = forms.IntegerField(
        label="Show it with visit",
        min_value=1,
        required=False,
        help_text="The number of a visit; empty takes a recent one.",
        widget=forms.NumberInput({"class": "short"}),
    )
