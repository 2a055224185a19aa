"""Storing an invoice's PDF and mailing it to the owner."""

import hashlib
from datetime import datetime

from django.core.files.base import ContentFile
from django.db import transaction

from garage.changes.kept_files import gone_without_their_rows
from garage.changes.mail import messages
from garage.models.actors import SYSTEM
from garage.output.post import Enclosed
from garage.reads.shop import the_shop
from jobs.changes import book_locks
from jobs.models.book import Invoice, Paper
from jobs.reads.book import frozen_sums


def made(paper: Paper, content: bytes, *, name: str, now: datetime) -> None:
    """content: the PDF. If two workers make it, the second finds it done and does nothing."""
    with gone_without_their_rows() as kept, transaction.atomic():
        paper = Paper.objects.select_for_update().get(pk=paper.pk)
        if paper.made_at:
            return
        invoice = paper.invoice
        paper.made_at, paper.sha256, paper.trouble = now, hashlib.sha256(content).hexdigest(), ""
        paper.file.save(name, ContentFile(content), save=False)
        kept.append(paper.file)
        paper.save()
        did = f"made the paper of {invoice.title[:1].lower()}{invoice.title[1:]}"
        book_locks.wrote(invoice, did, by=SYSTEM, now=now, number=invoice.number)
        if invoice.visit is None:  # sold over the counter: the paper is handed over
            return
        messages.write(
            _mail_of(invoice),
            to=invoice.visit.owner.email,
            visit=invoice.visit,
            shop=the_shop(),
            context={"invoice": invoice, "left": frozen_sums(invoice).left},
            enclosures=[Enclosed(name, "application/pdf", content)],
            now=now,
        )


def _mail_of(invoice: Invoice) -> str:
    if hasattr(invoice, "credit_note"):
        return "deposit_given_back" if invoice.credit_note.kept else "invoice_credited"
    return "deposit_kept" if hasattr(invoice, "kept_deposit") else "invoice_issued"


def failed(paper: Paper, *, why: str) -> None:
    """The failure shows on the invoice's page. The next sweep tries again."""
    Paper.objects.filter(pk=paper.pk, made_at=None).update(trouble=why[:300])
