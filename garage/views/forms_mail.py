"""What is typed to write to an owner, and a report that is pasted in."""

from django import forms

from garage.core.mail.delivery_report import MOST
from garage.core.mail.wording import LONGEST_SUBJECT, LONGEST_TEXT


class FreeTextForm(forms.Form):
    subject = forms.CharField(label="Subject", max_length=LONGEST_SUBJECT)
    text = forms.CharField(label="Text", max_length=LONGEST_TEXT, widget=forms.Textarea({"rows": 8}))


class ReportForm(forms.Form):
    source = forms.CharField(
        label="The report",
        max_length=MOST,
        strip=False,
        widget=forms.Textarea({"rows": 10, "spellcheck": "false"}),
        help_text="The whole mail as its source: most mail programs call it “show original” or “view source”.",
    )
