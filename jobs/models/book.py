"""The book: numbered, frozen invoices and the payments against them."""

from django.conf import settings
from django.db import models

from garage.core.text.languages import told, told_later
from garage.models.bounds import PER_CENT, POUNDS, POUNDS_OR_BACK, within
from garage.models.owners import Owner
from garage.models.visits import Visit
from jobs.core.billing.hand_lines import KIND_WORDS, MOST_WORDS
from jobs.core.billing.invoice import EXEMPT, MOST_QUANTITY, OUTSIDE, STANDARD, ZERO

CURRENCY = "GBP"  # ISO 4217
VAT_CATEGORY_WORDS = [
    (STANDARD, "standard or reduced rate"),
    (ZERO, "zero-rated"),
    (EXEMPT, "exempt"),
    (OUTSIDE, "not registered for VAT"),
]


class Series(models.Model):
    """The last number issued. Its row is locked while the next is taken, so there are no gaps or duplicates."""

    name = models.CharField(max_length=12, unique=True)
    last = models.PositiveIntegerField(default=0)


class Invoice(models.Model):
    """Frozen at frozen_at. From then on database triggers refuse any change to it or its lines."""

    stays_in_the_book = True  # whoever asks to be erased: the law wants it for years
    also_of_owner = ("counter_sale__owner__in",)

    number = models.PositiveIntegerField(unique=True)
    visit = models.ForeignKey(
        Visit, models.PROTECT, null=True, blank=True, related_name="invoices", help_text="Empty: sold over the counter."
    )
    issued_on = models.DateField(help_text="Local date; the tax point unless supplied_on differs.")
    supplied_on = models.DateField()
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    seller = models.JSONField(help_text="Name, address lines, VAT number, as they were.")
    buyer = models.JSONField()
    machine = models.CharField(max_length=120)
    net = models.DecimalField(max_digits=9, decimal_places=2)
    vat = models.DecimalField(max_digits=9, decimal_places=2)
    gross = models.DecimalField(max_digits=9, decimal_places=2)
    vat_by_rate = models.JSONField(
        help_text="[[percent, net, vat, category], …] as strings; papers of before categories name none."
    )
    exemption_words = models.CharField(
        max_length=200, blank=True, default="", db_default="", help_text="Why no VAT is charged, where none is."
    )
    currency = models.CharField(max_length=3, default=CURRENCY, db_default=CURRENCY)
    deposit = models.DecimalField(max_digits=9, decimal_places=2)
    deposit_vat = models.DecimalField(
        max_digits=9, decimal_places=2, default=0, db_default=0, help_text="VAT that was due when the deposit was paid."
    )
    payment_words = models.TextField(blank=True)
    frozen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-number"]
        constraints = [
            within(**dict.fromkeys(("net", "vat", "gross"), POUNDS_OR_BACK), deposit=POUNDS, deposit_vat=POUNDS)
        ]

    @property
    def owner_id(self) -> int | None:
        """Whose statement it stands on: nobody's if it was sold over the counter without a name."""
        sale: CounterSale | None = getattr(self, "counter_sale", None)
        return self.visit.owner_id if self.visit else sale.owner_id if sale else None

    @property
    def title(self) -> str:
        """A credit note has a number of the same series."""
        if hasattr(self, "credit_note"):
            return told("Credit note {number}", number=self.number)
        return told("Invoice {number}", number=self.number)


class CounterSale(models.Model):
    """A paper without a visit, the credit note of one too, that is for an owner whom the garage knows."""

    invoice = models.OneToOneField(Invoice, models.PROTECT, related_name="counter_sale")
    owner = models.ForeignKey(Owner, models.PROTECT, related_name="counter_sales")


class InvoiceLine(models.Model):
    stays_in_the_book = True

    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="lines")
    index = models.PositiveSmallIntegerField()
    words = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=9, decimal_places=2)
    unit = models.CharField(max_length=12, blank=True)
    price_each = models.DecimalField(max_digits=9, decimal_places=2, help_text="VAT included.")
    vat_percent = models.DecimalField(max_digits=5, decimal_places=2)
    vat_category = models.CharField(
        max_length=1, choices=VAT_CATEGORY_WORDS, default=STANDARD, db_default=STANDARD, help_text="UNTDID 5305."
    )
    net = models.DecimalField(max_digits=9, decimal_places=2, help_text="Shares of the invoice's net and VAT.")
    vat = models.DecimalField(max_digits=9, decimal_places=2)
    gross = models.DecimalField(max_digits=9, decimal_places=2)
    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="corrected_by", help_text="Of a credit note."
    )

    class Meta:
        ordering = ["index"]
        constraints = [
            models.UniqueConstraint(fields=["invoice", "index"], name="one_invoice_line_an_index"),
            within(
                **dict.fromkeys(("price_each", "net", "vat", "gross"), POUNDS_OR_BACK),
                quantity=(0, MOST_QUANTITY),
                vat_percent=PER_CENT,
            ),
        ]


class KeptDeposit(models.Model):
    """A deposit that became the shop's income: of an owner who called off late or did not come. The invoice is its
    paper.
    """

    stays_in_the_book = True  # whoever asks to be erased: the law wants it for years

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="kept_deposits")
    invoice = models.OneToOneField(Invoice, models.PROTECT, related_name="kept_deposit")
    why = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]


class CreditNote(models.Model):
    """What is taken off an invoice later, in whole or in part. Its paper is a row of Invoice with its sums below 0."""

    stays_in_the_book = True  # whoever asks to be erased: the law wants it for years

    invoice = models.OneToOneField(Invoice, models.PROTECT, related_name="credit_note")
    corrects = models.ForeignKey(
        Invoice, models.PROTECT, null=True, related_name="corrected_by", help_text="Empty only before it was known."
    )
    kept = models.ForeignKey(KeptDeposit, models.PROTECT, null=True, blank=True, related_name="credit_notes")
    why = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]


class Paper(models.Model):
    """The PDF of an invoice, made later by a task."""

    invoice = models.OneToOneField(Invoice, models.PROTECT, related_name="paper")
    wanted_at = models.DateTimeField()
    made_at = models.DateTimeField(null=True, blank=True)
    file = models.FileField(upload_to="invoices/%Y", blank=True)
    sha256 = models.CharField(max_length=64, blank=True)
    trouble = models.CharField(max_length=300, blank=True)


class SentForm(models.Model):
    """The key of a form that has counted: sent again, it changes nothing. Swept after some months."""

    key = models.UUIDField(unique=True)
    visit = models.ForeignKey(Visit, models.CASCADE, null=True, blank=True, related_name="+")
    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")


class Payment(models.Model):
    """Money in (or back, negative): a deposit before the invoice, or a payment against it."""

    also_of_owner = ("invoice__counter_sale__owner__in",)

    visit = models.ForeignKey(Visit, models.PROTECT, null=True, blank=True, related_name="payments")
    invoice = models.ForeignKey(Invoice, models.PROTECT, null=True, blank=True, related_name="payments")
    amount = models.DecimalField(max_digits=9, decimal_places=2)
    how = models.CharField(
        max_length=10,
        choices=[
            ("cash", told_later("cash")),
            ("card", told_later("card machine")),
            ("transfer", told_later("bank transfer")),
        ],
    )
    is_deposit = models.BooleanField(default=False)
    vat = models.DecimalField(
        max_digits=9, decimal_places=2, null=True, blank=True, help_text="Of a deposit: its VAT, due when it is paid."
    )
    vat_percent = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(amount=0), name="a_payment_is_not_nothing"),
            within(amount=POUNDS_OR_BACK, vat=POUNDS_OR_BACK, vat_percent=PER_CENT),
        ]


class HandLine(models.Model):
    """A line put on a visit's invoice by hand, before it is issued: money off, or something that no card names."""

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="hand_lines")
    kind = models.CharField(max_length=10, choices=list(KIND_WORDS.items()))
    words = models.CharField(max_length=MOST_WORDS)
    quantity = models.DecimalField(max_digits=9, decimal_places=2)
    unit = models.CharField(max_length=12, blank=True, default="", db_default="", help_text="h: hours of an estimate.")
    price_each = models.DecimalField(max_digits=9, decimal_places=2, help_text="VAT included; below 0 is money off.")
    vat_percent = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True, help_text="Empty: the shop's rate."
    )
    exempt_why = models.CharField(max_length=100, blank=True, help_text="Of what is exempt from VAT: by which rule.")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    struck_at = models.DateTimeField(null=True, blank=True, help_text="Taken off again: counts no more.")

    class Meta:
        ordering = ["at", "id"]
        constraints = [within(quantity=(0, MOST_QUANTITY), price_each=POUNDS_OR_BACK, vat_percent=PER_CENT)]
