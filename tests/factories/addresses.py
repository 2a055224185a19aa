"""The addresses of a visit's own pages, as its mails carry them."""

from garage.models.visits import Visit
from garage.output.addresses import reminders_address, sheet_address, visit_address
from garage.reads import links


def personal_address(visit: Visit, purpose: str) -> str:
    by_purpose = {links.SHEET: sheet_address, links.VISIT: visit_address, links.REMINDERS: reminders_address}
    address = by_purpose[purpose]
    return address(links.token(visit, purpose))
