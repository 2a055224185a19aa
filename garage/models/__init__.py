# Django loads the models through this file: the one __init__ that may hold imports. Import from the modules themselves.
from garage.models import attempts, messages, owners, packers, people, reminders, shop, standby, trail, visits  # noqa: F401
