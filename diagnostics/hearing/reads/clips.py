"""Clips of a visit, and the doors to one."""

from __future__ import annotations

from django.db.models import Q, QuerySet
from django.http import Http404

from diagnostics.hearing.models.clips import Clip
from garage.models.people import Person
from garage.models.visits import Visit
from garage.reads import access


def clips_of(visit: Visit) -> QuerySet[Clip]:
    """Newest first."""
    return Clip.objects.filter(visit=visit).select_related("by", "own_by", "visit__machine__kind")


def sent_clips(visit: Visit) -> QuerySet[Clip]:
    """Those that the owner sent, newest first."""
    return clips_of(visit).filter(by=None)


def clips_before(clip: Clip) -> int:
    """How many came before one that waits and are not heard yet: the one that has waited longest is heard first."""
    to_hear = Clip.objects.filter(state__in=(Clip.WAITS, Clip.WORKING))
    return to_hear.filter(Q(at__lt=clip.at) | Q(at=clip.at, pk__lt=clip.pk)).count()


def clip_for(person: Person, number: int, clip_id: int) -> Clip:
    """A clip of the visit with that number, for anybody who works here; Http404 otherwise."""
    visit = access.visit_for(person, number)
    found = _or_404(clips_of(visit).filter(pk=clip_id).first())
    found.visit = visit  # with all that was read of it
    return found


def clip_by_link(visit: Visit, clip_id: int) -> Clip:
    """A clip that this visit's owner sent; Http404 otherwise. The visit came by its personal link."""
    return _or_404(sent_clips(visit).filter(pk=clip_id).first())


def _or_404(clip: Clip | None) -> Clip:
    if clip is None:
        raise Http404
    return clip
