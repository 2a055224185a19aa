"""What is typed on the pages of the shop. These check types only: the changes decide what is allowed."""

from typing import Any

from django import forms

from garage.changes.shop.shop import LAST_DAY, UNPAID_DAYS
from garage.core.currencies import CURRENCIES
from garage.core.paid_to import COUNTRIES
from garage.models.shop import PLACE_KINDS, Shop
from garage.views.day_field import DayField
from garage.views.money_labels import in_units
from garage.views.row_form import RowForm


def day_field(label: str) -> forms.DateField:
    return DayField(label=label)


def optional_day_field(label: str, help_text: str) -> forms.DateField:
    field = day_field(label)
    field.required, field.help_text = False, help_text
    return field


SHOP_PARTS = {
    "Name and address": ["name", "address", "telephone", "email", "does_words"],
    "Place and holidays": ["zone", "holiday_country", "holiday_part"],
    "Money": [
        "labour_per_hour",
        "labour_rounding",
        "bench_limit_pounds",
        "vat_number",
        "vat_percent",
        "company_number",
        "deposit_days",
        "deposit_frees_after_days",
        "late_hours",
        "cancel_words",
    ],
    "How owners pay": ["payment_words", "bank_account", "bank_bic", "bank_holder", "currency", "tax_name", "country"],
    "Papers": ["paper_size"],
    "Does a route act on its own, or ask the boss first?": [
        "fix_first_acts_alone",
        "phone_first_acts_alone",
        "do_not_run_acts_alone",
    ],
    "Fix first: its owner chooses": ["choose_hours", "floor_places"],
    "A freed time goes to standby first": [
        "standby_minutes",
        "standby_today_minutes",
        "offer_minutes",
        "offers_at_once",
    ],
    "What being wrong costs": [
        "slot_lost_pence",
        "bench_check_pence",
        "call_pence",
        "bench_minute_pence",
        "stopped_in_time_pence",
    ],
    "Clips": ["keeps_clip_originals"],
    "Times": ["gate_minutes", "strap_minutes", "guard_minutes", "bookable_days", "notice_minutes"],
    "Messages": ["quiet_from", "quiet_until", "ask_again_hours", "invoice_due_days", "calling_code"],
    "Booking online": [
        "hold_minutes",
        "hold_minutes_in_all",
        "holds_per_address_and_hour",
        "holds_per_network",
        "confirm_hours",
        "visits_per_owner",
        "most_unconfirmed",
        "most_online_an_hour",
    ],
}


class OneOf(forms.Select):
    """For a row's text with few values. Django gives it the text's maxlength, which HTML's select has not."""

    def build_attrs(self, *attrs: Any) -> dict[str, Any]:
        return {name: value for name, value in super().build_attrs(*attrs).items() if name != "maxlength"}


_LONG = {name: forms.Textarea(attrs={"rows": 3}) for name in ("address", "payment_words", "does_words", "cancel_words")}
_CLOCK = {
    name: forms.TimeInput(attrs={"type": "time", "class": "short"}, format="%H:%M")
    for name in ("quiet_from", "quiet_until")
}
_CHOSEN = {
    "currency": OneOf(choices=list(CURRENCIES.items())),
    "country": OneOf(choices=list(COUNTRIES.items())),
}


class ShopForm(RowForm[Shop]):
    class Meta:
        model = Shop
        fields = [name for names in SHOP_PARTS.values() for name in names]
        labels = {
            "zone": "Time zone",
            "keeps_clip_originals": "Keep clips as they were sent",
            "holiday_country": "Country of the bank holidays",
            "holiday_part": "Part of the country",
            "email": "Email address",
            "does_words": "What the garage does",
            "vat_number": in_units("{tax} number"),
            "vat_percent": in_units("{tax}, per cent"),
            "labour_per_hour": in_units("Labour, {units} an hour"),
            "labour_rounding": "Labour by the clock is rounded to tenths of an hour",
            "bench_limit_pounds": in_units("Bench work up to, without asking again, {units}"),
            "payment_words": "How to pay",
            "bank_account": "Account",
            "bank_bic": "BIC",
            "bank_holder": "Name of the account",
            "currency": "Currency of prices",
            "tax_name": "What the tax on sales is called",
            "country": "Country",
            "company_number": "Company number",
            "paper_size": "Paper in the printer",
            "deposit_days": "Days to pay a deposit",
            "deposit_frees_after_days": UNPAID_DAYS,
            "late_hours": "Hours before a time from which it is late",
            "cancel_words": "What happens to a deposit",
            "slot_lost_pence": in_units("A lost roller slot, {hundredths}"),
            "bench_check_pence": in_units("A check on the bench, {hundredths}"),
            "call_pence": in_units("A telephone call, {hundredths}"),
            "bench_minute_pence": in_units("A minute at the bench, {hundredths}"),
            "stopped_in_time_pence": in_units("An engine stopped in time, {hundredths}"),
            "fix_first_acts_alone": "Fix first acts without asking",
            "phone_first_acts_alone": "Phone first acts without asking",
            "do_not_run_acts_alone": "Do not run acts without asking",
            "choose_hours": "Hours an owner has to choose",
            "floor_places": "Machines that can stay overnight",
            "standby_minutes": "Minutes before everybody can book it",
            "standby_today_minutes": "The same for a time on the same day",
            "offer_minutes": "Minutes one owner has to say yes",
            "offers_at_once": "Owners asked at the same time",
            "guard_minutes": "Clear minutes before a promised time",
            "gate_minutes": "Minutes for the gate at the bench",
            "strap_minutes": "Minutes to strap down and check on the rollers",
            "hold_minutes": "Minutes a time is held open for somebody booking",
            "hold_minutes_in_all": "Minutes it is held at most",
            "holds_per_address_and_hour": "Times one network address can hold in an hour",
            "holds_per_network": "Times one network can hold at once",
            "confirm_hours": "Opening hours an owner has to confirm",
            "visits_per_owner": "Visits to come with one email address or telephone",
            "most_unconfirmed": "Bookings that may wait to be confirmed",
            "most_online_an_hour": "Online bookings in an hour",
            "bookable_days": "Days that can be booked ahead",
            "notice_minutes": "Minutes' notice before a time that can be booked",
            "quiet_from": "No message from",
            "quiet_until": "until",
            "ask_again_hours": "Hours without an answer until an owner is reminded",
            "invoice_due_days": "Days after which an invoice is due",
            "calling_code": "Country code of telephone numbers",
        }
        help_texts = {
            "zone": "Such as Europe/London.",
            "keeps_clip_originals": "Otherwise it is kept as sound alone once it was heard, without picture and place.",
            "stopped_in_time_pence": "The higher it is, the more the check sheet asks to protect the engine.",
            "choose_hours": "Until then the time on the rollers is kept. 0: it is given back at once.",
            "floor_places": "While a place is free, owners may leave a machine with you to be put right.",
            "standby_minutes": "0: a freed time is on sale at once.",
            "offers_at_once": "With several, the first yes has it.",
            "cancel_words": "Shown at booking and when a visit is called off.",
            "late_hours": "Shown at booking. From then on owners ring to move it, and you say if a deposit is kept.",
            "deposit_frees_after_days": "Empty: never by itself. The visit is on the ring list until then.",
            "quiet_from": "Reminders wait outside these hours, such as 20:00 to 08:00. Both alike: at any hour.",
            "ask_again_hours": "Of more work you asked about; only open days count. Then ring them. 0: never.",
            "calling_code": "Of numbers that begin with 0; 44 for the United Kingdom.",
            "holiday_country": "Two letters, such as GB.",
            "does_words": "For the front page.",
            "labour_per_hour": in_units("{tax} included."),
            "labour_rounding": "",  # the label says it, as with the others that are empty
            "bench_limit_pounds": "",
            "payment_words": "As printed on invoices.",
            "bank_account": "Printed on invoices: an IBAN, or sort code and account number. Empty: none.",
            "bank_bic": "With an IBAN, if your bank asks for it.",
            "bank_holder": "Empty: the garage’s name.",
            "currency": "In euros, with an IBAN, invoices carry a code that banking programs read.",
            "tax_name": "As your papers say it: VAT, GST, IVA, MwSt.",
            "country": in_units("Of the address and the {tax} number."),
            "company_number": "In the register of companies, if there is one.",
            "paper_size": "Papers that are issued keep the size they had. Guides and pages fit either.",
            "deposit_days": "After booking.",
            "standby_today_minutes": "As long before that, the owner of a machine left here may say that work goes on.",
            "offer_minutes": "",
            "gate_minutes": "",
            "guard_minutes": "What they bring and cost stands below. 0: none.",
            "bookable_days": "",
            "notice_minutes": "Online only: the desk can book at any notice.",
            "holds_per_network": "Those that wait to be confirmed count too.",
            "confirm_hours": "By the link we mail. Until then the time is held and the visit is on the ring list.",
            "visits_per_owner": "More than that are booked by telephone.",
            "most_unconfirmed": "With more, nobody can book online until some are confirmed. The ring list says so.",
            "most_online_an_hour": "With more, nobody can book online for a while. The ring list says so.",
            "holiday_part": "ENG, WLS, SCT or NIR; empty for none.",
        }
        widgets = _LONG | _CLOCK | _CHOSEN


class ClosedDayForm(forms.Form):
    day = day_field("Day")
    last_day = optional_day_field(LAST_DAY, "For several days, such as a winter closing. Empty for one day.")
    why = forms.CharField(label="Why", max_length=80)
    open_after_all = forms.BooleanField(label="A bank holiday we work", required=False)

    def clean(self) -> dict[str, Any]:
        if self.cleaned_data.get("open_after_all") and self.cleaned_data.get("last_day"):
            self.add_error("last_day", "Holidays that are worked are added one by one: leave this empty.")
        return self.cleaned_data


class StationForm(forms.Form):
    kind = forms.ChoiceField(label="Kind", choices=PLACE_KINDS)
    name = forms.CharField(label="Name", max_length=40)


class StationNameForm(forms.Form):
    name = forms.CharField(label="Name", max_length=40)
