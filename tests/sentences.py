"""What a change said, word for word: the sentence of a refusal and the newest line of the trail."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

import pytest

from garage.core.errors import Refused, Showable
from garage.models.actors import Actor, actor_words, person_of
from garage.models.trail import TrailRow
from garage.models.visits import Visit


@contextmanager
def refuses(sentence: str, error: type[Showable] = Refused) -> Iterator[None]:
    """That what is done inside is refused with this whole sentence."""
    with pytest.raises(error) as caught:
        yield
    assert str(caught.value) == sentence


def check_noted(
    did: str, *, by: Actor, at: datetime, visit: Visit | None = None, about: str = "", **detail: object
) -> None:
    """That the newest line of the trail says this, of this visit and about it, or about what is named."""
    row = TrailRow.objects.order_by("id").last()
    assert row is not None
    assert (row.did, row.by, row.by_words, row.at) == (did, person_of(by), actor_words(by), at)
    assert (row.visit, row.about) == (visit, about or f"visit {visit.number}")
    assert row.detail == detail
