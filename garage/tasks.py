"""Background tasks of the lowest room. Each is idempotent: it looks up afresh what is due."""

from collections.abc import Callable
from datetime import datetime
from email.utils import formataddr
from urllib.parse import urlsplit

from celery import shared_task
from django.conf import settings
from django.utils import timezone

from garage.changes.day import holds
from garage.changes.mail import messages
from garage.changes.people import attempts, log_ins
from garage.changes.shop import lists
from garage.changes.visit import offers, owner_choices, visits
from garage.models.messages import Message
from garage.models.shop import Shop
from garage.output.post import Enclosed, Mail, NotSent, hand_over
from garage.reads.deposits import unpaid_to_free
from garage.reads.shop import shop_or_none, the_shop
from garage.running.backups.daily import back_up_if_due

BACK_UP_LIMIT_S = 2 * 3600  # years of photos to a slow disk; one that hangs does not keep a worker for good


@shared_task(name="garage.tasks.send_due")
def send_due() -> None:
    send_all_due(timezone.now)


def send_all_due(clock: Callable[[], datetime]) -> None:
    """clock: asked anew for each message, since a mail server takes its time."""
    while message := messages.claim_next(clock()):
        _send(message, clock)


@shared_task(name="garage.tasks.act_on_silence")
def act_on_silence() -> None:
    owner_choices.act_on_silence(now=timezone.now())


@shared_task(name="garage.tasks.offer_freed_times")
def offer_freed_times() -> None:
    offers.offer_all_due(now=timezone.now())


@shared_task(name="garage.tasks.free_lapsed_holds")
def free_lapsed_holds() -> None:
    now = timezone.now()
    holds.free_lapsed(now=now)
    attempts.sweep(now=now)
    log_ins.sweep(now=now)
    lists.sweep(now=now)


@shared_task(name="garage.tasks.back_up", time_limit=BACK_UP_LIMIT_S)
def back_up() -> None:
    back_up_if_due(now=timezone.now())


@shared_task(name="garage.tasks.free_unpaid")
def free_unpaid() -> None:
    """Times whose deposit has not come, by the shop's rule, and not at night: the owner is written to."""
    shop = shop_or_none()
    if shop:
        free_all_unpaid(shop, now=timezone.now())


def free_all_unpaid(shop: Shop, *, now: datetime) -> None:
    days, local = shop.deposit_frees_after_days, shop.local_time
    if days is None or shop.quiet_hours.is_quiet(now, local):
        return
    for visit in unpaid_to_free(local.day(now), days, now=now):
        visits.call_off_unpaid(visit, now=now)


def _send(message: Message, clock: Callable[[], datetime]) -> None:
    if not settings.EMAIL_URL:
        messages.keep_here(message, at=clock())
        return
    try:
        hand_over(_mail(message))
    except NotSent as trouble:
        messages.mark_not_sent(message, why=str(trouble), for_good=trouble.for_good, at=clock())
    else:
        messages.mark_sent(message, at=clock())


def _mail(message: Message) -> Mail:
    shop, host = the_shop(), urlsplit(settings.SITE_URL).hostname
    return Mail(
        number_words=f"tickover.{message.pk}.{message.written_at:%Y%m%d%H%M%S}@{host}",
        sender=settings.MAIL_FROM or formataddr((shop.name, shop.email)),
        reply_to=shop.email,
        to=message.to,
        subject=message.subject,
        text=message.text,
        html=message.html,
        enclosures=tuple(Enclosed(row.name, row.content_type, bytes(row.content)) for row in message.enclosures.all()),
    )
