"""What owners were told about the safety of their machines."""

from django.db.models import QuerySet

from garage.models.safety import SafetyRemark
from garage.models.visits import Visit


def safety_remarks_of(visit: Visit) -> QuerySet[SafetyRemark]:
    return SafetyRemark.objects.filter(visit=visit).select_related("by", "message")
