"""Messages: which are due, which are waiting, which went out."""

from datetime import datetime, timedelta

from django.db.models import Case, Exists, F, IntegerField, OuterRef, Q, QuerySet, Value, When

from garage.core import routes, states
from garage.core.mail.mail_tries import MOST_TRIES
from garage.core.mail.reminders import BEFORE_THE_VISIT
from garage.core.mail.wording import NO_SHOW
from garage.models.messages import Message
from garage.models.standby import Offer

OFFERS = ("time_offered", "may_go_on")
TO_CONFIRM = "booking_to_confirm"
WARNING = "sheet_outcome_do_not_run"
READ_WITHIN = timedelta(hours=12)  # after that somebody rings, common practice, no source
NOT_REACHED = Q(sent_at=None, tries__gte=MOST_TRIES, in_hand=False) | Q(bounced_at__isnull=False)


def due(now: datetime) -> QuerySet[Message]:
    """Unsent messages whose time has come, the longest waiting first. One that is still in hand was cut off."""
    may_go = Q(tries__lt=MOST_TRIES) | Q(in_hand=True)
    return Message.objects.filter(may_go, sent_at=None, due_at__lte=now).order_by("due_at", "id")


def unsent() -> QuerySet[Message]:
    return Message.objects.filter(sent_at=None).select_related("visit__machine")


def went_out() -> QuerySet[Message]:
    """Messages sent or kept here, the newest first."""
    return Message.objects.exclude(sent_at=None).select_related("visit__machine")


def to_tell(now: datetime) -> QuerySet[Message]:
    """What no owner has got by mail and nobody has said otherwise yet: no address, refused, reported back; and a
    warning not to run a machine that nobody has read. The warnings first, then the longest waiting.

    A reminder is of no use any more once the time it was about has begun, nor an offer that is over, nor a warning
    that its owner has read by the link since, nor that a machine did not come which now has another time.
    """
    is_over = Q(what__in=OFFERS) & ~Exists(_open_offers(now).filter(visit=OuterRef("visit")))
    came_after_all = Q(what=NO_SHOW) & ~Q(visit__state=states.DID_NOT_COME)
    is_late = Q(what__in=BEFORE_THE_VISIT) & (Q(visit__starts_at__lte=now) | ~Q(visit__state__in=states.COMING))
    rows = Message.objects.filter(NOT_REACHED | _unread_warning(now), visit__isnull=False, told_at=None)
    is_warning = Case(When(what=WARNING, then=Value(0)), default=Value(1), output_field=IntegerField())
    is_read = Q(what=WARNING, visit__page_opened_at__gte=F("written_at"))  # it stands on top of the owner's page
    is_confirmed = Q(what=TO_CONFIRM) & ~Q(visit__state=states.HELD)
    rows = rows.exclude(is_late | is_over | came_after_all | is_read | is_confirmed)
    names = rows.select_related("visit__owner", "visit__machine", "visit__kind")
    return names.annotate(first=is_warning).order_by("first", "written_at", "id")


def _open_offers(now: datetime) -> QuerySet[Offer]:
    return Offer.objects.filter(answer="", open_until__gt=now, time__closed_at=None)


def _unread_warning(now: datetime) -> Q:
    """Of a machine that is still to come and must still not run. Without a mail server nobody could read it."""
    waited = Q(kept_here=True) | Q(sent_at__isnull=False, written_at__lte=now - READ_WITHIN)
    unread = Q(visit__page_opened_at=None) | Q(visit__page_opened_at__lt=F("written_at"))
    must_not = Q(visit__route=routes.DO_NOT_RUN) | ~Q(visit__must_not_run=[])
    return Q(what=WARNING, visit__state__in=states.COMING) & waited & unread & must_not
