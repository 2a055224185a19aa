from datetime import UTC, datetime

from garage.core.keeping import periods
from garage.core.keeping.periods import Period, invoices_before, kept_things

NOW = datetime(2030, 6, 15, 10, tzinfo=UTC)


def test_an_invoice_is_kept_for_six_years_after_the_latest_end_of_its_business_year():
    assert invoices_before(NOW) == datetime(2023, 6, 15, 10, tzinfo=UTC)


def test_a_month_without_that_day_ends_sooner():
    assert Period(3, "month").before(NOW.replace(month=5, day=31)) == NOW.replace(month=2, day=28)


def test_every_period_that_an_owner_is_told_of_is_the_one_the_sweeps_go_by():
    said = " ".join(thing.how_long for thing in kept_things(backups=7))
    for name in ("SHEETS", "MAILS", "ENCLOSURES", "INVOICES", "NEVER_INVOICED", "SESSIONS", "ATTEMPTS", "HOLD_COUNTS"):
        assert getattr(periods, name).words in said, name
    assert "7 days" in said


def test_where_no_backup_is_made_by_itself_no_number_of_days_is_promised():
    assert "days" not in kept_things(backups=0)[-1].how_long
