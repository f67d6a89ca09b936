"""The database emptied after a test that commits: quicker than Django's flush, with the same outcome.

Flush empties every table and fills content types and permissions again; here only tables that have
rows are emptied, and those two stay.
"""

from functools import lru_cache

from django.contrib.auth.models import Permission
from django.contrib.contenttypes.models import ContentType
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder

KEPT = {
    model._meta.db_table
    for model in (Permission, ContentType, MigrationRecorder.Migration)
}


@lru_cache(maxsize=1)
def question():
    """Asks in one go which tables have rows."""
    tables = connection.introspection.django_table_names(
        only_existing=True, include_views=False
    )
    quoted = connection.ops.quote_name
    return " UNION ALL ".join(
        f"SELECT '{table}' WHERE EXISTS (SELECT 1 FROM {quoted(table)})"
        for table in sorted(set(tables) - KEPT)
    )


def empty_database(_case=None):
    """Foreign keys are checked when the transaction ends, so the tables' order does not matter."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(question())
        for (table,) in cursor.fetchall():
            cursor.execute(f"DELETE FROM {connection.ops.quote_name(table)}")
