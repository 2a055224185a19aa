"""Forms of the gate: one for each line, and the override."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.http import QueryDict

from diagnostics.core.gate_list import COMPRESSION, HIGHEST_REVS, MIX, REV_OUT_LINE, SECOND_LINE, STROBE_LINE, Item
from diagnostics.core.gate_people import LEAST_REASON, MOST_REASON, SECOND_PERSON
from diagnostics.core.gate_sheet import NOT_DONE, GateSheet
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.readings import GAUGES, MOST_OF_A_GAUGE, PER_CENT
from diagnostics.reads.bank import the_bank
from garage.models.people import Person
from garage.reads.people import who_works_here
from garage.views.answers import ButtonForm

READINGS = (("idle", "Tickover"), ("between", "Between"), ("peak", "Peak revs"))
READING_FIELDS = tuple(f"{name}_{of}" for name, _ in READINGS for of in ("rpm", "deg"))
SAVE = "save"  # the button of the strobe: its readings are the answer


def _number(label: str, least: int, most: int, kind: type[forms.IntegerField] = forms.FloatField) -> forms.Field:
    field = kind(label=label, required=False, min_value=least, max_value=most)
    field.widget.attrs.update({"class": "short", "inputmode": "decimal", "step": "any"})
    return field


def _words(label: str, longest: int, **more: Any) -> forms.Field:
    return forms.CharField(label=label, required=False, max_length=longest, **more)


class LineForm(forms.Form):
    """One line of the gate. A button sends its result; the core says what is missing, so that page and core cannot
    disagree.
    """

    result = forms.CharField(required=False)

    def __init__(
        self,
        line: Item,
        data: QueryDict | None = None,
        *,
        by: Person,
        standing: GateSheet | None = None,
        typed: QueryDict | None = None,
    ) -> None:
        """by: who answers, and so cannot be the second person. standing: what was found so far, to be answered again.
        typed: what was sent with another line; of it the strobe, whose fields have names of their own, keeps its.
        """
        initial = _standing_values(line, standing) if standing else {}
        if typed and line.id == STROBE_LINE:
            initial |= typed.dict()
        super().__init__(data, auto_id=f"{line.id}-%s", initial=initial)
        self.line = line
        self.fields |= _FIELDS.get(line.id, dict)()
        if line.id == SECOND_LINE:
            self.fields["second_person"] = _second_person(by)
        if line.results and line.id not in (HIGHEST_REVS, SECOND_LINE):
            self.fields["words"] = _words("The note", 160)

    @property
    def own_fields(self) -> list[forms.BoundField]:
        """What is asked beside the result and the note, the strobe's readings apart."""
        return [self[name] for name in self.fields if name not in ("result", "words", *READING_FIELDS)]

    @property
    def readings(self) -> list[tuple[str, forms.BoundField, forms.BoundField]]:
        if self.line.id != STROBE_LINE:
            return []
        return [(label, self[f"{name}_rpm"], self[f"{name}_deg"]) for name, label in READINGS]

    @property
    def note(self) -> forms.BoundField | None:
        return self["words"] if "words" in self.fields else None

    @property
    def buttons(self) -> list[tuple[str, str]]:
        """What each button sends, and what it says."""
        if self.line.id == REV_OUT_LINE:
            rev_outs = [(answer.id, answer.say) for answer in the_bank().question(REV_OUT).answers]
            return [*rev_outs, (NOT_DONE, "Not done")]
        if self.line.id == STROBE_LINE:
            return [(SAVE, "Save the strobe")]
        return list(self.line.results)

    def clean(self) -> dict[str, Any]:
        for name, label in READINGS if self.line.id == STROBE_LINE else ():
            rpm, deg = self.cleaned_data.get(f"{name}_rpm"), self.cleaned_data.get(f"{name}_deg")
            if (rpm is None) != (deg is None) and not {f"{name}_rpm", f"{name}_deg"} & set(self.errors):
                missing = f"{name}_rpm" if rpm is None else f"{name}_deg"
                self.add_error(missing, f"{label}: a reading needs both revs and degrees.")
        return self.cleaned_data

    def given(self) -> GateSheet:
        """What was found, as input for the core: this line alone."""
        data = self.cleaned_data
        if self.line.id == REV_OUT_LINE:
            return GateSheet(rev_out=data["result"])
        if self.line.id == STROBE_LINE:
            pairs = [(data[f"{name}_rpm"], data[f"{name}_deg"]) for name, _ in READINGS]
            strobe = tuple((float(rpm), float(deg)) for rpm, deg in pairs if rpm is not None)
            return GateSheet(strobe=strobe, not_seen=data["not_seen"])
        value = data.get("value")
        return GateSheet(
            results={self.line.id: data["result"]},
            words={self.line.id: data.get("words", "")},
            compression=None if value is None else (value, data["unit"]),
            highest_rpm=data.get("highest_rpm"),
            fuel_mix=data.get("fuel_mix", ""),
            second_id=data.get("second_person"),
        )


def _standing_values(line: Item, sheet: GateSheet) -> dict[str, Any]:
    """What was answered, as the fields hold it."""
    if line.id == STROBE_LINE:
        names = [name for name, _ in READINGS if name != "between" or len(sheet.strobe) > 2]
        pairs = dict(zip(names, sorted(sheet.strobe), strict=False))
        rpm = {f"{name}_rpm": f"{pair[0]:g}" for name, pair in pairs.items()}
        return rpm | {f"{name}_deg": f"{pair[1]:g}" for name, pair in pairs.items()} | {"not_seen": sheet.not_seen}
    value, unit = sheet.compression or (None, "bar")
    return {
        "words": sheet.words.get(line.id, ""),
        "value": None if value is None else f"{value:g}",
        "unit": unit,
        "fuel_mix": sheet.fuel_mix,
        "second_person": sheet.second_id,
        "highest_rpm": sheet.highest_rpm,
    }


def _second_person(by: Person) -> forms.Field:
    others = [(person.pk, person.name) for person in who_works_here() if person.pk != by.pk]
    choices = forms.Select(choices=[("", "choose"), *others])
    return forms.IntegerField(label=SECOND_PERSON, required=False, widget=choices)


def _strobe_fields() -> dict[str, forms.Field]:
    fields: dict[str, forms.Field] = {}
    for name, label in READINGS:
        fields[f"{name}_rpm"] = _number(f"{label}, rpm", 1, 100_000)
        fields[f"{name}_deg"] = _number(f"{label}, degrees BTDC", -10, 60)
    return fields | {"not_seen": _words("Marks not seen, because", 120, help_text="Instead of readings.")}


_FIELDS: dict[str, Any] = {
    STROBE_LINE: _strobe_fields,
    COMPRESSION: lambda: {
        "value": _number("The gauge", 0, MOST_OF_A_GAUGE),
        "unit": forms.ChoiceField(
            label="The unit",
            choices=[(unit, "% leak-down" if unit == PER_CENT else unit) for unit in GAUGES],
            required=False,
        ),
    },
    MIX: lambda: {"fuel_mix": _words("Fuel and mix in it", 40, help_text="Such as 98 octane, 1:40.")},
    HIGHEST_REVS: lambda: {"highest_rpm": _number("Revs a minute", 500, 30_000, forms.IntegerField)},
}


class RollerForm(ButtonForm):
    station = forms.IntegerField(min_value=1)
    allowed: ClassVar[Mapping[str, str]] = {"station": "the number of a roller"}


class OverrideForm(forms.Form):
    """The change says what a reason must hold."""

    reason = forms.CharField(
        label="The reason",
        required=False,
        help_text=f"In {LEAST_REASON} to {MOST_REASON} letters: what is wrong, and why it can run all the same.",
        widget=forms.Textarea({"rows": 2}),
    )
