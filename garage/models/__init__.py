# Django loads the models through this file: the one __init__ that may hold imports. Import from the modules themselves.
from garage.models import (  # noqa: F401
    attempts,
    forgetting,
    list_files,
    messages,
    owners,
    packers,
    people,
    plans,
    reminders,
    safety,
    sessions,
    shop,
    standby,
    start_code,
    trail,
    visits,
)
