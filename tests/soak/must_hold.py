"""What must hold after each answer and each sweep: of the rows, and of what pages show of them."""

from __future__ import annotations

import re
from collections import Counter
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.core import mail
from django.db import connection
from django.db.models import Count, F, Q, Sum

from garage.core import states
from garage.models.messages import Message
from garage.models.visits import SoldPiece, Step, Visit
from jobs.models.book import Payment
from tests.kills import OF_ANY_GARAGE
from tests.soak.browser import Broken

if TYPE_CHECKING:
    from tests.soak.garage import SoakGarage

RUNS_ON_THE_ROLLERS = Q(at="roller", began_at__isnull=False, is_check=False)


class Watch:
    """reached: how often a visit came into each state. were: the state of each visit when last looked at."""

    def __init__(self, garage: SoakGarage) -> None:
        self._garage = garage
        self.reached: Counter[str] = Counter()
        self.moves: Counter[tuple[str, str]] = Counter()
        self._were: dict[int, str] = {}
        self._came_into: Counter[tuple[int, str]] = Counter()
        self._begun: set[int] = set()

    def after(self, what: str) -> None:
        """Cheap enough for each answer: states that follow each other, and nothing on the rollers that may not be."""
        for visit in Visit.objects.only("number", "state", "must_not_run", "route"):
            self._moved(visit, what)
        for step in Step.objects.filter(RUNS_ON_THE_ROLLERS).exclude(pk__in=self._begun).select_related("visit"):
            self._begun.add(step.pk)
            if step.visit.is_kept_off or not step.visit.gate_passed_at:
                raise self._broken(f"visit {step.visit.number} runs on the rollers and must not", what)

    def _moved(self, visit: Visit, what: str) -> None:
        was = self._were.get(visit.number)
        if was == visit.state:
            return
        self._were[visit.number] = visit.state
        self.reached[visit.state] += 1
        self._came_into[visit.pk, visit.state] += 1
        if was is None:
            return
        self.moves[was, visit.state] += 1
        if visit.state not in states.MAY_FOLLOW[was]:
            raise self._broken(f"visit {visit.number} was {was} and is {visit.state}", what)
        if visit.state == states.ON_THE_ROLLERS and visit.is_kept_off:
            raise self._broken(f"visit {visit.number} is put on the rollers and must not run", what)

    def looks_at_all(self) -> None:
        wrong = [words for words, count in _counted().items() if count]
        wrong += [words for words, is_wrong in self._of_rows() if is_wrong]
        if wrong:
            raise self._broken("; ".join(wrong), "a step")

    def _of_rows(self) -> list[tuple[str, object]]:
        now = self._garage.now
        gone, others = Visit.objects.filter(state=states.COLLECTED), Visit.objects.exclude(state=states.COLLECTED)
        over = Visit.objects.filter(state__in=states.OVER - {states.COLLECTED})
        floor = Visit.objects.filter(state__in=states.IN_THE_BUILDING | {states.COLLECTED})
        running = Step.objects.filter(began_at__isnull=False, ended_at=None)
        in_time = Visit.objects.filter(state__in=states.COMING, starts_at__gt=now)
        pieces = in_time.annotate(sold=Count("pieces")).exclude(minutes__lte=5 * F("sold"))
        return [
            ("a visit that is over has time sold to it", SoldPiece.objects.filter(visit__in=over, begins_at__gt=now)),
            ("a visit has a time that is not sold to it", pieces),
            ("a visit is collected and says no time of it", gone.filter(collected_at=None)),
            ("a visit is in two states", floor.filter(Q(called_off_at__isnull=False) | Q(arrived_at=None))),
            ("a visit is in two states: collected", others.filter(collected_at__isnull=False)),
            ("a machine that is not here is worked on", running.exclude(visit__state__in=states.IN_THE_BUILDING)),
            ("a machine is worked on in two places", running.values("visit").annotate(n=Count("pk")).filter(n__gt=1)),
            ("two machines at one station", running.values("at", "station").annotate(n=Count("pk")).filter(n__gt=1)),
            *self._of_mails(),
            *self._of_money(),
        ]  # fmt: skip

    def _of_mails(self) -> list[tuple[str, object]]:
        """What an erased owner was sent is gone from the rows, never the other way round."""
        went = Counter(sent.extra_headers["Message-ID"].split("@")[0].strip("<") for sent in mail.outbox)
        rows = Message.objects.values_list("pk", "written_at", "sent_at")
        known = {f"tickover.{pk}.{at:%Y%m%d%H%M%S}": sent_at for pk, at, sent_at in rows}
        alike = Message.objects.values("visit", "what", "to", "text").annotate(n=Count("pk")).filter(n__gt=1)
        same = [row["what"] for row in alike if row["n"] > self._may_be(row)]
        return [
            ("a message went out twice", [name for name, times in went.items() if times > 1]),
            ("a message says it was sent and was not", [name for name, at in known.items() if at and name not in went]),
            ("a message went out and does not say so", [name for name, at in known.items() if not at and name in went]),
            (f"messages were written twice: {same}", same),
        ]

    def _may_be(self, row: dict[str, Any]) -> int:
        """How often the same words may have been written about a visit."""
        if row["what"] in MAY_COME_AGAIN:
            return int(row["n"])
        state = WITH_A_STATE.get(row["what"], "")
        return max(1, self._came_into[row["visit"], state])

    def _of_money(self) -> list[tuple[str, object]]:
        kept = Payment.objects.aggregate(sum=Sum("amount"))["sum"] or Decimal(0)
        return [(f"the till took {self._garage.till}, the book has {kept}", kept != self._garage.till)]

    def looks_at_pages(self) -> None:
        """What the book shows, against the till."""
        page = self._garage.boss.opens("/the-book/?first=2027-01-01&last=2027-12-31")
        shown = re.search(r"Received\s+(−?£[\d,]+\.\d\d)", page.text)
        if shown is None or _pounds(shown[1]) != self._garage.till:
            raise self._broken(f"the book shows {shown and shown[0]}, the till took {self._garage.till}", "the book")

    def _broken(self, wrong: str, what: str) -> Broken:
        return Broken(f"{wrong}, after {what}")


MAY_COME_AGAIN = frozenset({"fresh_link", "guide_sent"})  # whoever asks for it gets it
WITH_A_STATE = {"ready_to_collect": states.READY}  # written each time that the visit comes into it


def _pounds(words: str) -> Decimal:
    return Decimal(words.replace("£", "").replace(",", "").replace("−", "-"))


def _counted() -> dict[str, int]:
    with connection.cursor() as cursor:
        found = {}
        for words, statement in OF_ANY_GARAGE.items():
            cursor.execute(statement)
            found[words] = int(cursor.fetchone()[0])
    return found
