import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from garage.models.triggers import refuse_changes

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def papers():
    """A table whose frozen rows are kept by triggers; the words of one hold an apostrophe and a per cent sign."""
    operations = refuse_changes("papers", when="OLD.frozen = 1", message="It can't be changed, 100 % sure.")
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE papers (id integer, frozen integer)")
        cursor.execute("INSERT INTO papers VALUES (1, 1), (2, 0)")
    for operation in operations:
        operation.code(None, _Editor())
    return operations


class _Editor:
    """SQLite's own schema editor refuses to be opened inside a transaction with its keys checked."""

    connection = connection

    def execute(self, statement, params):
        with connection.cursor() as cursor:
            cursor.execute(statement, params)


def _run(statement):
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
        return cursor.rowcount


@pytest.mark.parametrize("statement", ["UPDATE papers SET frozen = 0 WHERE id = 1", "DELETE FROM papers WHERE id = 1"])
def test_a_row_under_the_condition_cannot_be_changed(papers, statement):
    with pytest.raises(IntegrityError, match="It can't be changed, 100 % sure"):
        _run(statement)


@pytest.mark.parametrize("statement", ["UPDATE papers SET frozen = 1 WHERE id = 2", "DELETE FROM papers WHERE id = 2"])
def test_a_row_outside_the_condition_can_be_changed(papers, statement):
    assert _run(statement) == 1


def test_migrating_back_removes_the_triggers(papers):
    for operation in papers:
        operation.reverse_code(None, _Editor())
    assert _run("DELETE FROM papers WHERE id = 1") == 1


def test_a_broken_statement_is_not_taken_for_a_refusal(papers):
    with pytest.raises(DatabaseError) as caught:
        _run("DELETE FROM nowhere")
    assert not isinstance(caught.value, IntegrityError)
