"""What is typed about visit kinds and machine kinds. These check types only: the changes decide what is allowed."""

from django import forms

from garage.models.owners import MachineKind
from garage.models.shop import VisitKind
from garage.views.money_labels import in_units
from garage.views.row_form import RowForm

SPARKS = [("", "not known"), (0.5, "½: four-stroke single"), (1.0, "1: two-stroke single"), (2.0, "2: two-stroke twin")]


class VisitKindForm(RowForm[VisitKind]):
    class Meta:
        model = VisitKind
        fields = ["name", "goes_home_with", "booked_as", "at", "minutes", "price", "deposit", "order", "is_offered"]
        labels = {
            "goes_home_with": "What you go home with",
            "booked_as": "The judgement treats it as",
            "at": "Where",
            "price": in_units("Price, {units}"),
            "deposit": in_units("Deposit, {units}"),
            "order": "Place on the front page",
            "is_offered": "Can be booked online",
        }
        help_texts = {
            "price": in_units("{tax} included. Visits already booked keep the price agreed."),
            "booked_as": "",
            "minutes": "In steps of five.",
        }


MEASURES = [
    *("fires_per_turn", "gearbox", "ignition", "fed_by", "oiling", "tap", "stroke_mm", "rod_mm", "flywheel_mm"),
    *("spec_btdc", "spec_curve", "curve_deg", "design_rpm"),
    *("primary_ratio", "gear_ratios", "final_ratio", "tyre"),
]
MEASURE_LABELS = {
    "fires_per_turn": "Sparks per turn",
    "fed_by": "Ignition fed by",
    "oiling": "Two-stroke oil comes from",
    "tap": "Fuel tap",
    "stroke_mm": "Stroke, mm",
    "rod_mm": "Rod, mm",
    "flywheel_mm": "Flywheel, mm across",
    "spec_btdc": "Static timing, degrees BTDC",
    "spec_curve": "Timing against revs",
    "curve_deg": "Change from tickover to peak, degrees",
    "design_rpm": "Revs on the stand",
    "primary_ratio": "Primary reduction",
    "gear_ratios": "Gear ratios",
    "final_ratio": "Final drive",
    "tyre": "Tyre on the driven wheel",
}
MEASURE_HELPS = {
    "rod_mm": "From centre to centre.",
    "curve_deg": "The size of the design's own change. Its direction is above.",
    "spec_btdc": "At tickover.",
    "design_rpm": "What a healthy one reaches and holds, in rpm.",
    "fires_per_turn": "",
    "primary_ratio": "Crank turns for one of the gearbox, such as 2.65.",
    "gear_ratios": "First to top, such as 2.92 1.83 1.36 1.04. A single speed: 1.",
    "final_ratio": "Gearbox turns for one of the wheel: teeth behind by teeth in front, such as 2.47.",
    "tyre": "Its size, such as 90/90-18, or how far the wheel rolls in a turn, such as 1854 mm.",
    "oiling": "With a pump, neat petrol in the tank is right.",
    "tap": "A vacuum tap gives nothing without the engine’s suction.",
}


class MachineKindForm(RowForm[MachineKind]):
    fires_per_turn = forms.TypedChoiceField(
        label="Sparks per turn", choices=SPARKS, coerce=float, empty_value=None, required=False
    )

    class Meta:
        model = MachineKind
        fields = ["make", "model", "first_year", "last_year", *MEASURES]
        labels = {"first_year": "First year", "last_year": "Last year"} | MEASURE_LABELS
        help_texts = MEASURE_HELPS
