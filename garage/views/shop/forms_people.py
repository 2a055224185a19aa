"""What is typed about people. These check types only: the changes decide what is allowed."""

from __future__ import annotations

from django import forms
from django.http import QueryDict

from garage.models.people import Person
from garage.views.row_form import RowForm
from garage.views.shop.forms import day_field


class PersonForm(RowForm[Person]):
    password = forms.CharField(
        label="Password",
        strip=False,
        help_text="Eight characters or more, and not like the name.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    class Meta:
        model = Person
        fields = ["first_name", "last_name", "username", "role", "does_bench", "does_rollers", "password"]
        labels = {"username": "Log-in name", "does_bench": "Works at the bench", "does_rollers": "Works on the rollers"}
        help_texts = {"username": "Letters, digits and @.+-_ only."}
        widgets = {"username": forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"})}
        error_messages = {"username": {"unique": "Somebody else has this log-in name."}}


class PersonChangeForm(PersonForm):
    def __init__(self, data: QueryDict | None = None, *, instance: Person) -> None:
        super().__init__(data, instance=instance)
        self.fields["password"].required = False
        self.fields["password"].help_text = "Leave it empty to keep it. A new one needs eight characters or more."

    class Meta(PersonForm.Meta):
        fields = [*PersonForm.Meta.fields, "is_active"]
        labels = PersonForm.Meta.labels | {"is_active": "Works here and can log in"}
        help_texts = PersonForm.Meta.help_texts | {"is_active": ""}


class AwayForm(forms.Form):
    first_day = day_field("First day")
    last_day = day_field("Last day")
    why = forms.CharField(label="Why", max_length=80, required=False)
