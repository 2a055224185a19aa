# Django loads the models through this file: the one __init__ that may hold imports. Import from the modules themselves.
from jobs.models import book, cards, chain, consents, estimates, parts, runs, service  # noqa: F401
