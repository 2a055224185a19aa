"""What is typed on the pages of the shop. Types only: what is allowed is said by the changes."""

from django import forms

from garage.models.owners import Machine, MachineKind
from garage.models.people import Person
from garage.models.shop import PLACE_KINDS, Shop, VisitKind

SPARKS = [("", "not known"), (0.5, "½: four-stroke single"), (1.0, "1: two-stroke single"), (2.0, "2: two-stroke twin")]


def day_field(label: str) -> forms.DateField:
    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "class": "short"})
    return forms.DateField(label=label, widget=widget, input_formats=["%Y-%m-%d"])


SHOP_PARTS = {
    "Name and address": ["name", "address", "telephone", "email", "does_words"],
    "Place and holidays": ["zone", "holiday_country", "holiday_part"],
    "Money": ["labour_per_hour", "vat_number", "vat_percent", "payment_words", "cancel_words"],
    "Does a route act on its own, or ask the boss first?": [
        "fix_first_acts_alone",
        "phone_first_acts_alone",
        "do_not_run_acts_alone",
    ],
    "What being wrong costs": [
        "slot_lost_pence",
        "bench_check_pence",
        "call_pence",
        "bench_minute_pence",
        "stopped_in_time_pence",
    ],
    "Times": ["gate_minutes", "guard_minutes", "bookable_days", "notice_minutes"],
    "Holding a time open for somebody booking": ["hold_minutes", "hold_minutes_in_all", "holds_per_address_and_hour"],
}


class ShopForm(forms.ModelForm):
    class Meta:
        model = Shop
        fields = [name for names in SHOP_PARTS.values() for name in names]
        labels = {
            "zone": "Time zone",
            "holiday_country": "Country of the bank holidays",
            "holiday_part": "Part of the country",
            "email": "Email address",
            "does_words": "What the garage does",
            "vat_number": "VAT number",
            "vat_percent": "VAT, per cent",
            "labour_per_hour": "Labour, pounds an hour",
            "payment_words": "How to pay",
            "cancel_words": "What happens to a deposit",
            "slot_lost_pence": "A lost roller slot, pence",
            "bench_check_pence": "A check on the bench, pence",
            "call_pence": "A telephone call, pence",
            "bench_minute_pence": "A minute at the bench, pence",
            "stopped_in_time_pence": "An engine stopped in time, pence",
            "fix_first_acts_alone": "Fix first acts without asking",
            "phone_first_acts_alone": "Phone first acts without asking",
            "do_not_run_acts_alone": "Do not run acts without asking",
            "guard_minutes": "Minutes kept free between two machines on the rollers",
            "gate_minutes": "Minutes for the gate",
            "hold_minutes": "Minutes a time is held open for somebody booking",
            "hold_minutes_in_all": "Minutes it is held at most",
            "holds_per_address_and_hour": "Times one network address can hold in an hour",
            "bookable_days": "Days that can be booked ahead",
            "notice_minutes": "Minutes' notice before a time that can be booked",
        }
        help_texts = {
            "zone": "Such as Europe/London.",
            "stopped_in_time_pence": "The more it is worth, the more the check sheet asks for the engine’s sake.",
            "holiday_country": "Two letters, such as GB.",
            "holiday_part": "ENG, WLS, SCT or NIR; empty for none.",
        }
        widgets = {name: forms.Textarea(attrs={"rows": 3}) for name in ("address", "payment_words", "does_words")}


class ClosedDayForm(forms.Form):
    day = day_field("Day")
    why = forms.CharField(label="Why", max_length=80)
    open_after_all = forms.BooleanField(label="A bank holiday we work", required=False)


class StationForm(forms.Form):
    kind = forms.ChoiceField(label="Kind", choices=PLACE_KINDS)
    name = forms.CharField(label="Name", max_length=40)


class StationNameForm(forms.Form):
    name = forms.CharField(label="Name", max_length=40)


class VisitKindForm(forms.ModelForm):
    class Meta:
        model = VisitKind
        fields = ["name", "goes_home_with", "booked_as", "at", "minutes", "price", "deposit", "order", "is_offered"]
        labels = {
            "goes_home_with": "What you go home with",
            "booked_as": "The judgement treats it as",
            "at": "Where",
            "price": "Price, pounds",
            "deposit": "Deposit, pounds",
            "order": "Place on the front page",
            "is_offered": "Can be booked online",
        }
        help_texts = {
            "price": "VAT included. Visits already booked keep the price agreed.",
            "booked_as": "",
            "minutes": "In steps of five.",
        }


MEASURES = [
    *("fires_per_turn", "gearbox", "ignition", "fed_by", "stroke_mm", "rod_mm", "flywheel_mm"),
    *("spec_btdc", "spec_curve", "curve_deg", "design_rpm"),
]
MEASURE_LABELS = {
    "fires_per_turn": "Sparks per turn",
    "fed_by": "Ignition fed by",
    "stroke_mm": "Stroke, mm",
    "rod_mm": "Rod, mm",
    "flywheel_mm": "Flywheel, mm across",
    "spec_btdc": "Static timing, degrees BTDC",
    "spec_curve": "Timing against revs",
    "curve_deg": "Change from tickover to peak, degrees",
    "design_rpm": "Revs on the stand",
}
MEASURE_HELPS = {
    "rod_mm": "From centre to centre.",
    "curve_deg": "The size of the design's own change. Its direction is above.",
    "spec_btdc": "At tickover.",
    "design_rpm": "What a healthy one reaches and holds, in rpm.",
    "fires_per_turn": "",
}


class MachineKindForm(forms.ModelForm):
    fires_per_turn = forms.TypedChoiceField(
        label="Sparks per turn", choices=SPARKS, coerce=float, empty_value=None, required=False
    )

    class Meta:
        model = MachineKind
        fields = ["make", "model", "first_year", "last_year", *MEASURES]
        labels = {"first_year": "First year", "last_year": "Last year"} | MEASURE_LABELS
        help_texts = MEASURE_HELPS


class MachineForm(forms.ModelForm):
    fires_per_turn = forms.TypedChoiceField(
        label="Sparks per turn", choices=SPARKS, coerce=float, empty_value=None, required=False
    )

    class Meta:
        model = Machine
        fields = ["words", "kind", "year", "registration", *MEASURES]
        labels = {"words": "What the owner calls it", "kind": "Machine kind"} | MEASURE_LABELS
        help_texts = {"words": "", "kind": "Anything left empty here comes from the kind."} | MEASURE_HELPS


class PersonForm(forms.ModelForm):
    password = forms.CharField(
        label="Password",
        strip=False,
        help_text="Eight characters or more.",
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
    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
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
