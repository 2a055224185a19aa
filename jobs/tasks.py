"""Background tasks of the jobs room. Each may run twice, since it looks up what is waiting."""

from datetime import datetime

from celery import shared_task
from celery.utils.log import get_task_logger
from django.conf import settings
from django.utils import timezone

from garage.changes.left_over_files import forget_files
from garage.output.paper_trouble import PaperTrouble
from garage.reads.shop import shop_or_none
from garage.running import noted
from jobs.changes import asking_again, chain, forgetting, papers, reminders, runs, sent_forms
from jobs.changes.invoices import INVOICES
from jobs.models.book import Paper
from jobs.pages.mending import all_troubles
from jobs.papers.invoice import invoice_file_name, invoice_pdf
from jobs.reads.papers import waiting

log = get_task_logger(__name__)


@shared_task(name="jobs.tasks.make_papers")
def make_papers() -> None:
    for paper in waiting():
        make(paper, now=timezone.now())


@shared_task(name="jobs.tasks.forget_sent_forms")
def forget_sent_forms() -> None:
    sent_forms.sweep(now=timezone.now())


@shared_task(name="jobs.tasks.look_for_troubles")
def look_for_troubles() -> None:
    """What the boss reads on the page is told once in the log too."""
    now = timezone.now()
    noted.note(settings.DATA, all_troubles(now=now), now=now)


@shared_task(name="jobs.tasks.check_the_book")
def check_the_book() -> None:
    """Too long for a page: what it finds is kept, and the page of what needs mending reads it."""
    chain.look_through(series=INVOICES, now=timezone.now())


@shared_task(name="jobs.tasks.forget_old_invoices")
def forget_old_invoices() -> None:
    """And owners of whom there is no other."""
    now = timezone.now()
    forgetting.forget_old(now=now)
    forgetting.forget_owners(now=now)
    forget_files_of_no_paper(now)


def forget_files_of_no_paper(now: datetime) -> int:
    return forget_files(Paper, folder="invoices", now=now)


@shared_task(name="jobs.tasks.forget_run_files")
def forget_run_files() -> None:
    runs.sweep(now=timezone.now())


def make(paper: Paper, *, now: datetime) -> None:
    """A failure is recorded on its own paper and does not hold up the others."""
    try:
        content = invoice_pdf(paper.invoice)
        papers.made(paper, content, name=invoice_file_name(paper.invoice), now=now)
    except (PaperTrouble, OSError) as trouble:
        log.warning("The paper of invoice %s could not be made: %s", paper.invoice.number, trouble)
        papers.failed(paper, why=str(trouble))


@shared_task(name="jobs.tasks.remind_owners")
def remind_owners() -> None:
    if shop_or_none():
        now = timezone.now()
        reminders.remind_all(now=now)
        asking_again.ask_all_again(now=now)
