"""What happened, for the room around this flat: sent inside the transaction. Receivers call one change each."""

from django.dispatch import Signal

clip_verdict_changed = Signal()  # visit; by: the person who said otherwise, or the system once it has heard a clip
