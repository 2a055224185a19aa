"""What the placeholders of a worded message stand for that only this room and the check sheet know."""

from __future__ import annotations

from garage.core.money import money_words
from garage.core.text.languages import told
from garage.models.visits import Visit
from garage.reads.wordings import SHEET_WORDS
from jobs.reads.access import invoice_of
from jobs.reads.book import left_on
from jobs.reads.service import service_of


def more_values(visit: Visit, *, sheet: str) -> dict[str, str]:
    """sheet: how far the check sheet is. Invoice with what is left to pay, and service, only if there is one.
    In the language in force: the owner's, where they are for a mail.
    """
    invoice = invoice_of(visit)
    money = (
        {"invoice": str(invoice.number), "to_pay": money_words(left_on(invoice), invoice.currency)} if invoice else {}
    )
    service = service_of(visit)
    later = {"service": service.says} if service else {}
    return {"sheet_state": told(SHEET_WORDS[sheet])} | money | later
