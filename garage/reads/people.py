"""Who works here."""

from django.db.models import Q, QuerySet

from garage.models.people import Person


def workers() -> QuerySet[Person]:
    """Those who may stand at a bench or at the rollers."""
    return Person.objects.filter(Q(does_bench=True) | Q(does_rollers=True), is_active=True).order_by(
        "first_name", "username"
    )
