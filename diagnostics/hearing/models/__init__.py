# Django loads the models through this file. Import from the modules themselves.
from diagnostics.hearing.models import clips  # noqa: F401
