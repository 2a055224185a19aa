"""What take-in must know, in the owner's words."""

import pytest
from django.utils import timezone

from garage.changes.visit import remarks
from garage.models.actors import OWNER
from tests.factories import garage
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("said", "words"), [((), "none"), (("It leaks petrol", "Not run in"), "it leaks petrol, not run in")]
)
def test_what_the_owner_says_replaces_all_that_was_said_before(said, words):
    visit, now = garage.visit(owner_remarks=["It rattles"]), timezone.now()
    assert remarks.now_stand(visit, remarks=said, by=OWNER, now=now).owner_remarks == list(said)
    check_noted(f"remarks for take-in: {words}", by=OWNER, at=now, visit=visit)
    visit.refresh_from_db()
    assert visit.owner_remarks == list(said)
