"""Forms for roller runs: a logger's file, what its columns are, and the garage's rollers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from garage.views.number_field import NumberField
from jobs.changes.runs import SaidOfRun
from jobs.core.runs.logger.column_names import HOLDS
from jobs.core.runs.logger.file_text import MOST_BYTES
from jobs.core.runs.rollers import Rollers, rollers_of
from jobs.core.runs.run_facts import FITTED, LONGEST_FITTED, STANDARD_CHOICES, air_of
from jobs.core.runs.units import PRESSURE, TEMPERATURE
from jobs.models.runs import POWER_UNITS, TORQUE_UNITS
from jobs.pages.runs import FileColumn, FilePage

LEFT_OUT = ("", "leave it out")
PULLED_CHOICES = [("", "nobody looked"), ("yes", "no, it pulled clean to the end"), ("no", "yes, it broke down")]
HOLDS_CHOICES = [LEFT_OUT, *((key, f"{holds.quantity.says}, {holds.unit.symbol}") for key, holds in HOLDS.items())]


class RunFileForm(forms.Form):
    file = forms.FileField(
        label="The logger’s file",
        help_text=f"CSV text as the logger exports it, one run in a file, up to {MOST_BYTES / 1e6:.0f} MB.",
    )


class RunForm(forms.Form):
    """What a file's columns are, the air, how to work it out, and what was fitted."""

    pressure = NumberField(
        label="Pressure",
        required=False,
        help_text="In the room, as a barometer shows it: a weather report’s is reduced to sea level.",
    )
    pressure_unit = forms.ChoiceField(
        label="Unit of the pressure", choices=[(unit.symbol, unit.symbol) for unit in PRESSURE.units]
    )
    temperature = NumberField(label="Temperature", required=False, help_text="Of the air that the engine breathes.")
    temperature_unit = forms.ChoiceField(
        label="Unit of the temperature", choices=[(unit.symbol, unit.symbol) for unit in TEMPERATURE.units]
    )
    humidity = NumberField(label="Humidity", required=False, help_text="Relative, in per cent.")
    standard = forms.ChoiceField(
        label="Correct to", choices=STANDARD_CHOICES, help_text="No correction if the logger has corrected it already."
    )
    smoothing = NumberField(label="Smoothing", help_text="Seconds over which straight lines are fitted; 0: none.")
    adds_losses = forms.BooleanField(
        label="The clutch was pulled after the run: add what the run-down lost", required=False
    )
    reduction = NumberField(
        label="Reduction",
        required=False,
        help_text="Crank turns for one of the wheel, in the gear of the run. Needed if no column has the engine’s "
        "speed; it also tells the road speed that an owner names in revs.",
    )
    tyre = forms.CharField(
        label="Tyre",
        required=False,
        max_length=30,
        help_text="Such as 90/90-18, or better how far the wheel rolls in a turn, such as 1854 mm.",
    )

    pulled = forms.ChoiceField(
        label="Did it break down or misfire under load?",
        choices=PULLED_CHOICES,
        required=False,
        help_text="A smaller main jet needs a run of this visit that did not.",
    )

    def __init__(self, data: Mapping[str, Any] | None, page: FilePage, initial: Mapping[str, Any]) -> None:
        super().__init__(data, initial=dict(initial))
        self._columns = page.columns
        for column in page.columns:
            self.fields[f"column_{column.number}"] = forms.ChoiceField(
                label=f"Column {column.number + 1}, {column.name.words or 'without a name'}",
                choices=HOLDS_CHOICES,
                required=False,
                initial=column.guess.key if column.guess else "",
            )
        for name, label in FITTED.items():
            self.fields[name] = forms.CharField(label=label, max_length=LONGEST_FITTED, required=False)

    def columns(self) -> Iterator[tuple[FileColumn, BoundField]]:
        return ((column, self[f"column_{column.number}"]) for column in self._columns)

    def air_fields(self) -> list[BoundField]:
        names = ("pressure", "pressure_unit", "temperature", "temperature_unit", "humidity", "standard")
        return [self[name] for name in names]

    def working_fields(self) -> list[BoundField]:
        return [self[name] for name in ("smoothing", "adds_losses", "reduction", "tyre")]

    def fitted_fields(self) -> list[BoundField]:
        return [*(self[name] for name in FITTED), self["pulled"]]

    def said(self) -> SaidOfRun:
        """Only of a form that is valid. Raises BadInput for air that cannot be."""
        given = self.cleaned_data
        keys = ((column.number, given[f"column_{column.number}"]) for column in self._columns)
        pressure, temperature = PRESSURE.unit(given["pressure_unit"]), TEMPERATURE.unit(given["temperature_unit"])
        air = air_of(
            None if given["pressure"] is None else pressure.to_own(float(given["pressure"])),
            None if given["temperature"] is None else temperature.to_own(float(given["temperature"])),
            _float(given["humidity"]),
        )
        return SaidOfRun(
            columns={number: key for number, key in keys if key},
            air=air,
            standard=given["standard"],
            window_s=float(given["smoothing"]),
            adds_losses=given["adds_losses"],
            reduction=float(given["reduction"] or 0),
            tyre=given["tyre"],
            fitted={name: given[name] for name in FITTED},
            pulled_clean={"yes": True, "no": False}.get(given["pulled"]),
        )


class RollersForm(forms.Form):
    inertia = NumberField(
        label="Inertia",
        required=False,
        help_text="kg·m², of all that turns with the rollers, seen at the roller. Empty if your logger gives power.",
    )
    diameter = NumberField(label="Diameter", required=False, help_text="Of the roller, in mm.")
    standard = forms.ChoiceField(label="Correct to", choices=STANDARD_CHOICES)
    power_unit = forms.ChoiceField(label="Power in", choices=POWER_UNITS)
    torque_unit = forms.ChoiceField(label="Torque in", choices=TORQUE_UNITS)

    def rollers(self) -> Rollers | None:
        """Only of a form that is valid. Raises BadInput for rollers that cannot be."""
        return rollers_of(*map(_float, (self.cleaned_data["inertia"], self.cleaned_data["diameter"])))

    def units(self) -> dict[str, str]:
        return {name: self.cleaned_data[name] for name in ("standard", "power_unit", "torque_unit")}


def _float(typed: Decimal | None) -> float | None:
    return None if typed is None else float(typed)
