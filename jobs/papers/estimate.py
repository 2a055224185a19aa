"""The estimate as a PDF, made only from frozen columns, so making it again gives the same bytes."""

from __future__ import annotations

from django.template.loader import render_to_string

from garage.core.currencies import in_currency, tax_on_paper
from garage.core.text.languages import language_on_paper
from garage.output.pdf import pdf
from garage.output.speaking import speaking
from jobs.models.estimates import Estimate
from jobs.reads.estimates import frozen_estimate_sums, frozen_rows


def estimate_pdf(estimate: Estimate) -> bytes:
    """Tagged. It says who and what as it was issued; the answer came later and is no part of it."""
    values = {
        "estimate": estimate,
        "lines": frozen_rows(estimate),
        "totals": frozen_estimate_sums(estimate),
        "currency": estimate.currency,
    }
    with in_currency(estimate.currency, tax_on_paper(estimate.seller)), speaking(language_on_paper(estimate.buyer)):
        return pdf(render_to_string("papers/estimate.html", values))


def estimate_file_name(estimate: Estimate) -> str:
    return f"estimate-e{estimate.number}.pdf"
