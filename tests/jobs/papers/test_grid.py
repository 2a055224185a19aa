"""Every paper looks as one typographer has set it, on A4 and on Letter: read off the pictures of its pages."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garage.models.shop import A4, LETTER
from jobs.changes import invoices
from jobs.papers.estimate import estimate_pdf
from jobs.papers.invoice import invoice_pdf
from tests.factories import garage, jobs
from tests.jobs.papers.pictures import Picture, pictures

pytestmark = pytest.mark.django_db
SIZES = {A4: (595.28, 841.89), LETTER: (612.0, 792.0)}  # points; ISO 216: 210 mm by 297 mm, ANSI Y14.1: 8½ in by 11 in
TEXT_PT = 493.2  # points, how wide the text is on either (static/a4.css, static/letter.css)
TOP_PT, HALF_LINE_PT = 56.0, 7.0  # points; where the first line begins, and what every height is a multiple of
RULES_PT = (0.35, 1.4)  # points; the hairline and the thick one (static/paper_scale.css)
DOT_PT = 0.3  # points; a dot of the picture is 0.25
FOOT_PT = 56.0  # points; what is below is the line at the foot
PARTS = 24  # so many that the card and the invoice go on to a second page
UPRIGHT = ("card", "report", "invoice", "estimate", "statement")


def papers(size: str) -> dict[str, bytes]:
    """Each paper of one visit, by its name."""
    boss, client = garage.boss(), Client(headers={"host": "127.0.0.1"})
    shop = garage.shop(vat_number="GB980780684", paper_size=size)
    card = jobs.closed_card()
    for nth in range(PARTS):
        jobs.part(card, words=f"Main jet {80 + nth}", price_each=Decimal("4.20"))
    estimate = jobs.estimate(lines=[jobs.estimate_line()])
    invoice = invoices.issue(card.visit, by=boss, now=timezone.now())
    client.force_login(boss)
    number, day = card.visit.number, timezone.localdate() + timedelta(days=1)
    addresses = {
        "card": reverse("card-pdf", args=[number]),
        "report": reverse("visit-report-pdf", args=[number]),
        "statement": reverse("owner-statement-pdf", args=[card.visit.machine.owner_id]),
        "day sheet": reverse("day-sheet-pdf", args=[day]),
    }
    made = {name: client.get(address).content for name, address in addresses.items()}
    assert shop.paper_size == size
    return made | {"invoice": invoice_pdf(invoice), "estimate": estimate_pdf(estimate)}


@pytest.mark.parametrize("size", SIZES)
def test_every_paper_stands_on_one_grid(size: str, tmp_path: Path):
    made = papers(size)
    assert {*made} == {*UPRIGHT, "day sheet"}
    pages = {name: pictures(pdf, tmp_path / name) for name, pdf in made.items()}
    found = {
        f"{name}, page {nth}": wrong
        for name in UPRIGHT
        for nth, page in enumerate(pages[name], 1)
        if (wrong := _wrong(page, SIZES[size]))
    }
    assert found == {}
    assert len(pages["invoice"]) == 2
    assert [round(page.size[0] - SIZES[size][1]) for page in pages["day sheet"]] == [0]


def _wrong(page: Picture, size: tuple[float, float]) -> list[str]:
    wrong = [] if all(abs(has - asked) < 1 for has, asked in zip(page.size, size, strict=True)) else [f"{page.size}"]
    margin = (size[0] - TEXT_PT) / 2
    left, top, right, bottom = page.box()
    if not margin - DOT_PT <= left <= margin + 2 or right > size[0] - margin + DOT_PT:
        wrong.append(f"the text stands from {left} to {right}, its margin is {margin:.1f}")
    if top < TOP_PT or bottom > size[1] - HALF_LINE_PT:
        wrong.append(f"ink from {top} to {bottom}")
    for rule in page.rules(TEXT_PT * 0.3):
        if rule.top > size[1] - FOOT_PT:
            continue
        off = (rule.bottom - TOP_PT + HALF_LINE_PT / 2) % HALF_LINE_PT - HALF_LINE_PT / 2
        if abs(off) > DOT_PT:
            wrong.append(f"the rule at {rule.bottom} is {off:.2f} off its line")
        if not any(abs(rule.bottom - rule.top - thick) <= DOT_PT for thick in RULES_PT):
            wrong.append(f"the rule at {rule.bottom} is {rule.bottom - rule.top} thick")
    return wrong
