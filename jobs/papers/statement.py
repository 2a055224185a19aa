"""An owner's statement as a PDF."""

from datetime import date

from django.template.loader import render_to_string

from garage.models.shop import Shop
from garage.output.pdf import pdf
from jobs.pages.statement import StatementPage


def statement_pdf(page: StatementPage, shop: Shop, *, today: date) -> bytes:
    return pdf(render_to_string("papers/statement.html", {"page": page, "shop": shop, "today": today}))
