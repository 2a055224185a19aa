"""What happened, in the past tense, for higher rooms. Sent inside the transaction. Each receiver calls one change."""

from django.dispatch import Signal

visit_booked = Signal()  # visit
visit_arrived = Signal()  # visit, by
visit_called_off = Signal()  # visit
deposit_recorded = Signal()  # visit
machine_measured = Signal()  # machine: what is known of it has changed
machine_kind_measured = Signal()  # kind
packers_taken = (
    Signal()
)  # visit, packers (garage.changes.packer_stock.PackersMoved), by: taken from stock, fitted under its stator plate
packers_put_back = Signal()  # visit, packers, by
