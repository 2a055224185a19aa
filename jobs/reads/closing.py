"""What closing a card goes by."""

from garage.models.visits import Visit


def has_begun(visit: Visit) -> bool:
    """Whether the booked work has begun. A visit for which none was ever planned is no reason to keep its card open."""
    booked = visit.steps.filter(at=visit.kind.at, is_check=False)
    return booked.filter(began_at__isnull=False).exists() or not booked.exists()
