"""The addresses of a visit's own pages, as its mails carry them."""

from garage.models.visits import Visit
from garage.output.addresses import sheet_address, visit_address
from garage.reads import links


def personal_address(visit: Visit, purpose: str) -> str:
    address = {links.SHEET: sheet_address, links.VISIT: visit_address}[purpose]
    return address(links.token(visit, purpose))
