"""Fix first: its owner puts it right at home, leaves it with us, or says nothing. Order: lock, check, write, notify."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from garage.changes import trail
from garage.changes.day import locks, routes, selling
from garage.changes.mail import notices
from garage.changes.visit import going_on, limits, visits
from garage.core.errors import Refused
from garage.core.selling import owner_choice
from garage.core.text.languages import in_english
from garage.models.actors import OWNER, SYSTEM, Actor
from garage.models.visits import Visit
from garage.output.post import Enclosed
from garage.reads import free
from garage.reads.owner_choice import choice_facts_of, unanswered
from garage.reads.shop import the_shop


@transaction.atomic
def fix_it_yourself(visit: Visit, *, guides: Sequence[tuple[str, str]], by: Actor, now: datetime) -> Visit:
    """Its time is given back. A new one is picked by the link once it is put right and judged again.

    guides: to what is worth trying, each with its title in English and its address, for the mail.
    """
    visit, shop = locks.visit_for_change(visit), the_shop()
    owner_choice.check_may_fix_it(choice_facts_of(visit, shop), shop.telephone)
    visit, taken_out = _given_back(visit, by=by, now=now)
    _chose(visit, owner_choice.MYSELF, by=by, now=now)
    notices.to_fix_at_home(visit, shop, guides=guides, taken_out=taken_out, now=now)
    return visit


@transaction.atomic
def leave_with_us(visit: Visit, *, starts_at: datetime, limit_pounds: int, may_go_on: bool, now: datetime) -> Visit:
    """By the personal link: bench time is booked, and the rollers follow once it has passed the gate.

    starts_at: at the bench. limit_pounds: bench work up to this needs no further word. may_go_on: nor do the rollers,
    when they come free.
    """
    visit, shop = locks.visit_for_change(visit), the_shop()
    local = shop.local_time
    locks.days_for_change(*(local.day(moment) for moment in (visit.starts_at, starts_at) if moment))
    locks.shop_for_change()
    owner_choice.check_may_leave_it(choice_facts_of(visit, shop), shop.telephone)
    limits.agree_bench_limit(visit, pounds=limit_pounds, by=OWNER, now=now)
    visit, _ = _given_back(locks.visit_for_change(visit), by=OWNER, now=now)
    selling.sell(visit, asked=free.asked_to_leave_it(visit, shop), starts_at=starts_at, now=now)
    _chose(visit, owner_choice.WITH_US, by=OWNER, now=now, bench_at=in_english(local.in_words, starts_at))
    visits.come_back(visit, shop, now=now)
    if may_go_on:
        visit = going_on.agree(visit, by=OWNER, now=now)
    notices.left_with_us(visit, shop, now=now)
    return visit


@transaction.atomic
def take_time(visit: Visit, *, starts_at: datetime, now: datetime) -> Visit:
    """By the personal link: a new time for a visit without one, as one put right at home and judged ready again."""
    visit, shop = locks.visit_for_change(visit), the_shop()
    owner_choice.check_may_take_time(choice_facts_of(visit, shop), shop.telephone)
    asked = free.asked_anew(visit, shop)
    trail.about_visit(visit, "its owner picks a new time", by=OWNER, now=now)
    return visits.take_free_time(visit, starts_at=starts_at, asked=asked, by=OWNER, now=now)


@transaction.atomic
def give_the_time_back(visit: Visit, *, by: Actor, now: datetime) -> Visit:
    """Nobody has answered, or the owner said so when rung: the route acts."""
    visit, shop = locks.visit_for_change(visit), the_shop()
    if not visit.waits_for_its_owner:
        raise Refused(f"The owner of visit {visit.number} is not asked any more: look at its page.")
    visit, taken_out = _given_back(visit, by=by, now=now)
    notices.time_given_back(visit, shop, taken_out=taken_out, now=now)
    return visit


def act_on_silence(*, now: datetime) -> int:
    """The route acts for each owner who has not answered within the shop's limit. Returns for how many."""
    count = 0
    for visit in unanswered(now):
        with transaction.atomic():
            locks.visit_for_change(visit)
            if unanswered(now).filter(pk=visit.pk).exists():
                give_the_time_back(visit, by=SYSTEM, now=now)
                count += 1
    return count


def _given_back(visit: Visit, *, by: Actor, now: datetime) -> tuple[Visit, Enclosed | None]:
    """The visit without its time on the rollers, and the file that takes it out of the owner's diary."""
    if not visit.waits_for_its_owner:
        return visit, None
    taken_out = notices.taken_out_of_the_diary(visit, the_shop(), now=now)
    minutes = visit.bench_minutes or free.UNKNOWN_BENCH_MIN
    reasons, chance = visit.route_reasons, visit.ready_chance
    visit = routes.fix_first(visit, reasons=reasons, ready_chance=chance, bench_minutes=minutes, by=by, now=now)
    return visit, taken_out


def _chose(visit: Visit, choice: str, *, by: Actor, now: datetime, **detail: object) -> None:
    visit.choice, visit.choose_by, visit.chosen_at = choice, None, now
    visit.save(update_fields=["choice", "choose_by", "chosen_at"])
    trail.about_visit(visit, f"fix first: {owner_choice.WORDS[choice]}", by=by, now=now, **detail)
