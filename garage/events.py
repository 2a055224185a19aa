"""What happened, for higher rooms: sent inside the transaction, in the past tense. Receivers call one change each."""

from django.dispatch import Signal

visit_booked = Signal()  # visit
visit_arrived = Signal()  # visit, by
visit_called_off = Signal()  # visit
deposit_recorded = Signal()  # visit
machine_measured = Signal()  # machine: what is known of it has changed
machine_kind_measured = Signal()  # kind
packers_taken = (
    Signal()
)  # visit, packers (garage.changes.packer_stock.PackersMoved), by: out of stock, under its stator plate
packers_put_back = Signal()  # visit, packers, by
