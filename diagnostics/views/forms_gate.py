"""Forms of the gate."""

from __future__ import annotations

from typing import Any

from django import forms

from diagnostics.core.gate import BAD, ITEMS, NOT_DONE, OK, RESULTS, GateSheet
from diagnostics.core.gate_people import LEAST_REASON, MOST_REASON, SECOND_PERSON
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.reads.bank import the_bank
from garage.models.people import Person
from garage.reads.people import who_works_here

READINGS = (("idle", "Tickover"), ("between", "Between"), ("peak", "Peak revs"))


def _number(label: str, least: int, most: int, kind: type[forms.IntegerField] = forms.FloatField) -> forms.Field:
    field = kind(label=label, required=False, min_value=least, max_value=most)
    field.widget.attrs.update({"class": "short", "inputmode": "decimal", "step": "any"})
    return field


class GateForm(forms.Form):
    """One choice per line of the list. The core says what is missing, so that page and core cannot disagree.

    by: who runs the gate, and so cannot be the second person.
    """

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for item in ITEMS:
            results = [(r, w) for r, w in RESULTS.items() if r in (OK, BAD) or item.may_not_apply]
            self.fields[f"item-{item.id}"] = forms.ChoiceField(
                label=item.say, choices=results, required=False, widget=forms.RadioSelect
            )
            remark = forms.TextInput(
                attrs={"aria-label": f"Note: {item.say}", "placeholder": "Note", "class": "remark"}
            )
            self.fields[f"words-{item.id}"] = forms.CharField(required=False, max_length=160, widget=remark)
        rev_outs = [(c.id, c.say) for c in the_bank().question(REV_OUT).answers]
        self.fields["rev_out"] = forms.ChoiceField(
            label="The rev-out on the stand",
            choices=[*rev_outs, (NOT_DONE, "Not done")],
            required=False,
            widget=forms.RadioSelect,
        )
        for name, label in READINGS:
            self.fields[f"{name}_rpm"] = _number(f"{label}, rpm", 1, 100_000)
            self.fields[f"{name}_deg"] = _number(f"{label}, degrees BTDC", -10, 60)
        self.fields["not_seen"] = forms.CharField(
            label="Marks not seen, because", required=False, max_length=120, help_text="Instead of readings."
        )
        self.fields["highest_rpm"] = _number("Running in: highest revs today, rpm", 500, 30_000, forms.IntegerField)
        self.fields["fuel_mix"] = forms.CharField(
            label="Fuel and mix in it", required=False, max_length=40, help_text="Such as 98 octane, 1:40."
        )
        others = [(person.pk, person.name) for person in who_works_here() if person.pk != by.pk]
        self.fields["second_person"] = forms.IntegerField(
            label=SECOND_PERSON, required=False, widget=forms.Select(choices=[("", "choose"), *others])
        )

    @property
    def lines(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"item-{item.id}"], self[f"words-{item.id}"]) for item in ITEMS]

    @property
    def readings(self) -> list[tuple[str, forms.BoundField, forms.BoundField]]:
        return [(label, self[f"{name}_rpm"], self[f"{name}_deg"]) for name, label in READINGS]

    def clean(self) -> dict[str, Any]:
        for name, label in READINGS:
            rpm, deg = self.cleaned_data.get(f"{name}_rpm"), self.cleaned_data.get(f"{name}_deg")
            if (rpm is None) != (deg is None) and not {f"{name}_rpm", f"{name}_deg"} & set(self.errors):
                missing = f"{name}_rpm" if rpm is None else f"{name}_deg"
                self.add_error(missing, f"{label}: a reading needs both revs and degrees.")
        return self.cleaned_data

    def sheet(self) -> GateSheet:
        """What was found, as input for the core."""
        data = self.cleaned_data
        pairs = [(data[f"{name}_rpm"], data[f"{name}_deg"]) for name, _ in READINGS]
        return GateSheet(
            results={item.id: data[f"item-{item.id}"] for item in ITEMS},
            words={item.id: data[f"words-{item.id}"] for item in ITEMS},
            rev_out=data["rev_out"],
            strobe=tuple((float(rpm), float(deg)) for rpm, deg in pairs if rpm is not None),
            not_seen=data["not_seen"],
            highest_rpm=data["highest_rpm"],
            fuel_mix=data["fuel_mix"].strip(),
            second_id=data["second_person"],
        )


class OverrideForm(forms.Form):
    """The change says what a reason must hold."""

    reason = forms.CharField(
        label="The reason",
        required=False,
        help_text=f"In {LEAST_REASON} to {MOST_REASON} letters: what is wrong, and why it can run all the same.",
        widget=forms.Textarea({"rows": 2}),
    )
