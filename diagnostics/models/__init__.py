# Django loads the models through this file: the one __init__ that may hold imports. Import from the modules themselves.
from diagnostics.models import (  # noqa: F401
    bench,
    causes,
    gates,
    judgements,
    learned_sums,
    learning,
    put_right,
    readings,
    returning,
    sheets,
    unnamed,
)
