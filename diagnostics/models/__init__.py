# Django loads the models through this file: the one __init__ that may hold imports. Import from the modules themselves.
from diagnostics.models import bench, causes, gates, judgements, learning, put_right, readings, returning, sheets  # noqa: F401
