"""What is typed about owners, and which two are joined."""

from django import forms

from garage.core.text.languages import LANGUAGES
from garage.models.owners import Machine, Owner
from garage.reads.owners import every_machine, every_owner
from garage.views.plain_words import leads_nowhere
from garage.views.row_form import RowForm
from garage.views.shop.forms_kinds import MEASURE_HELPS, MEASURE_LABELS, MEASURES, SPARKS


class ContactForm(forms.Form):
    name = forms.CharField(label="Name", max_length=80, validators=[leads_nowhere])
    email = forms.CharField(
        label="Email address", max_length=254, required=False, widget=forms.EmailInput(attrs={"autocomplete": "off"})
    )
    telephone = forms.CharField(
        label="Telephone", max_length=30, required=False, widget=forms.TextInput({"type": "tel"})
    )
    address = forms.CharField(
        label="Postal address", max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    is_business = forms.BooleanField(label="A business, not a private person", required=False)
    language = forms.ChoiceField(label="Reads in", choices=LANGUAGES.items())

    @classmethod
    def values_of(cls, owner: Owner) -> dict[str, object]:
        return {name: getattr(owner, name) for name in cls.base_fields}


class EraseForm(forms.Form):
    was_asked = forms.BooleanField(
        label="The owner has asked for it, and it was the owner who asked",
        help_text="Rung from the number on file, written from the address on file, or been here.",
        error_messages={"required": "Tick this first: nobody is erased because somebody else asked."},
    )


class OwnersJoinForm(forms.Form):
    kept = forms.ModelChoiceField(every_owner(), label="Kept")
    duplicate = forms.ModelChoiceField(every_owner(), label="Joined to it")


class MachinesJoinForm(forms.Form):
    kept = forms.ModelChoiceField(every_machine(), label="Kept")
    duplicate = forms.ModelChoiceField(every_machine(), label="Joined to it")


class MachineForm(RowForm[Machine]):
    words = forms.CharField(label="What the owner calls it", max_length=80, validators=[leads_nowhere])
    fires_per_turn = forms.TypedChoiceField(
        label="Sparks per turn", choices=SPARKS, coerce=float, empty_value=None, required=False
    )

    class Meta:
        model = Machine
        fields = ["words", "kind", "year", "registration", *MEASURES]
        labels = {"kind": "Machine kind"} | MEASURE_LABELS
        help_texts = {"kind": "Anything left empty here comes from the kind."} | MEASURE_HELPS
