"""Background tasks of the lowest room. Each is idempotent: it looks up afresh what is due."""

import time
from collections.abc import Callable
from datetime import datetime
from email.utils import formataddr
from urllib.parse import urlsplit
from zipfile import ZIP_DEFLATED

from celery import shared_task
from celery.exceptions import SoftTimeLimitExceeded
from celery.signals import task_prerun
from django.conf import settings
from django.utils import timezone

from garage.changes.day import holds
from garage.changes.left_over_files import forget_files
from garage.changes.mail import failures, forgetting, messages
from garage.changes.people import attempts, log_ins
from garage.changes.shop import exports, lists
from garage.changes.visit import confirming, offers, owner_choices, visits
from garage.changes.visit.forgetting import forget_old
from garage.core.currencies import put_in_force
from garage.core.text.languages import TAGS
from garage.models.exports import WholeExport
from garage.models.messages import Message
from garage.models.shop import Shop
from garage.models.visits import Photo
from garage.output.post import Enclosed, Mail, NotSent, hand_over
from garage.pages.everything import count_everything, write_everything
from garage.reads.deposits import unpaid_to_free
from garage.reads.exports import export_path, last_export
from garage.reads.messages import due
from garage.reads.shop import shop_or_none, the_shop
from garage.running.alone import alone
from garage.running.backups.archive import new_archive
from garage.running.backups.daily import back_up_if_due
from garage.wake import wake

BACK_UP_LIMIT_S = 2 * 3600  # years of photos to a slow disk; one that hangs does not keep a worker for good
# One run takes up messages for a minute. The last of them has two more before it is broken off, however slowly the mail
# server answers, and half of one to be put down. All of it is less than the lease of a message.
SEND_FOR_S, SEND_SOFT_LIMIT_S, SEND_LIMIT_S = 60, 180, 210
TOO_SLOW = "The mail server took minutes over this mail, so its sending was broken off."


@task_prerun.connect
def say_amounts_in_the_shops_money(**_: object) -> None:
    """As a request does. The next task of the same worker says it anew."""
    if shop := shop_or_none():
        put_in_force(shop.currency, shop.tax_name)


@shared_task(name="garage.tasks.send_due", soft_time_limit=SEND_SOFT_LIMIT_S, time_limit=SEND_LIMIT_S)
def send_due() -> None:
    """One sender in each folder: a mail server that stalls holds one process of the worker, and no other task waits."""
    with alone(settings.DATA / "sending.lock") as is_alone:
        goes_on = is_alone and send_all_due(timezone.now)
    if goes_on and due(timezone.now()).exists():  # written after the last look, by somebody who was told to go
        wake(messages.SEND_DUE)


def send_all_due(clock: Callable[[], datetime]) -> bool:
    """For a minute at most. Whether it may go on: False if the mail server is the trouble, so that the next mail would
    only wait in vain. It is due with the next sweep.

    clock: asked anew for each message, since a mail server takes its time.
    """
    until_s = time.monotonic() + SEND_FOR_S
    while time.monotonic() < until_s and (message := messages.claim_next(clock())):
        if not _send(message, clock):
            return False
    return True


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
    exports.sweep(now=now)


@shared_task(name="garage.tasks.forget_old_things", time_limit=BACK_UP_LIMIT_S)
def forget_old_things() -> None:
    """What is past its time (garage/core/keeping/periods.py)."""
    now = timezone.now()
    forget_old(now=now)
    forgetting.forget_old(now=now)
    forget_files_of_no_photo(now)


def forget_files_of_no_photo(now: datetime) -> int:
    return forget_files(Photo, folder="photos", now=now)


@shared_task(name="garage.tasks.free_unconfirmed")
def free_unconfirmed() -> None:
    confirming.lapse_all_due(now=timezone.now())


@shared_task(name="garage.tasks.back_up", time_limit=BACK_UP_LIMIT_S)
def back_up() -> None:
    back_up_if_due(now=timezone.now())


@shared_task(name="garage.tasks.make_export", time_limit=BACK_UP_LIMIT_S)
def make_export() -> None:
    """The export of everything that waits: begun anew if the worker that was at it was switched off."""
    with alone(settings.DATA / "export.lock") as is_alone:
        export = last_export()
        if is_alone and export and export.is_waiting:
            make(export)


def make(export: WholeExport) -> None:
    """A file with its name is whole."""
    path = export_path(export)
    unfinished = path.with_name(f"{path.name}.unfinished")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        unfinished.unlink(missing_ok=True)
        exports.begun(export, in_all=count_everything())
        told = OnceASecond(lambda done: exports.got_to(export, done))
        with new_archive(unfinished, compression=ZIP_DEFLATED) as archive:
            write_everything(archive, shop_name=the_shop().name, now=timezone.now(), progress=told)
        unfinished.replace(path)
    except OSError as trouble:
        unfinished.unlink(missing_ok=True)
        exports.failed(export, why=f"It could not be written: {trouble.strerror}.")
    else:
        exports.made(export, done=told.last, size_bytes=path.stat().st_size, now=timezone.now())


class OnceASecond:
    """Tells how far something is, seldom enough to cost nothing. last: what it was told last, told on or not."""

    def __init__(self, tell: Callable[[int], object]) -> None:
        self.last = 0
        self._tell, self._told_s = tell, time.monotonic()

    def __call__(self, done: int) -> None:
        self.last = done
        if time.monotonic() - self._told_s >= 1:
            self._tell(done)
            self._told_s = time.monotonic()


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


def _send(message: Message, clock: Callable[[], datetime]) -> bool:
    """Whether another mail would go now."""
    if not settings.EMAIL_URL:
        messages.keep_here(message, at=clock())
        return True
    try:
        hand_over(_mail(message))
    except SoftTimeLimitExceeded:
        messages.mark_not_sent(message, why=TOO_SLOW, for_good=False, may_have_arrived=True, at=clock())
        return False
    except NotSent as trouble:
        kept = {"for_good": trouble.for_good, "may_have_arrived": trouble.may_have_arrived}
        messages.mark_not_sent(message, why=str(trouble), **kept, at=clock())
        return not trouble.for_all
    messages.mark_sent(message, at=clock())
    return True


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
        language=TAGS[message.language],
        enclosures=tuple(Enclosed(row.name, row.content_type, bytes(row.content)) for row in message.enclosures.all()),
    )


@shared_task(name="garage.tasks.tell_failures")
def tell_failures() -> None:
    failures.tell(settings.DATA, now=timezone.now())
