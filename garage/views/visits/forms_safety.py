"""What an owner is told about the machine's safety."""

from django import forms

from garage.changes.visit.safety import LONGEST
from garage.models.safety import HOW_TOLD


class SafetyForm(forms.Form):
    words = forms.CharField(
        label="What the owner is told",
        max_length=LONGEST,
        widget=forms.Textarea({"rows": 3}),
        help_text="Such as: The rear tyre is worn through to the cords.",
    )
    how = forms.ChoiceField(
        label="How", choices=HOW_TOLD, help_text="By email: it is sent now, in these words. Otherwise say it first."
    )
