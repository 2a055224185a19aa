"""What happened, in the past tense, for higher rooms. Sent inside the transaction. Each receiver calls one change."""

from django.dispatch import Signal

visit_booked = Signal()  # visit, told (draft.ToldOfSafety), by, now
visit_arrived = Signal()  # visit, by
visit_called_off = Signal()  # visit
visit_forgotten = Signal()  # visit: what was sent in for it goes. Answers counts by word; Refused while work is left
deposit_recorded = Signal()  # visit
machine_measured = Signal()  # machine, now: what is known of it has changed
machine_kind_measured = Signal()  # kind, now
step_begun = Signal()  # step, by, now: work has begun at a station
step_ended = Signal()  # step, by, now: it was running until now
packers_taken = Signal()  # visit, packers (packer_stock.PackersMoved), by, now: out of stock, under its plate
packers_put_back = Signal()  # visit, packers, by, now
