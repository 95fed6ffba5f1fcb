"""Let the database itself refuse to change a ledger entry.

Deletion is left to the model: test runners on SQLite empty tables with DELETE.
"""

from django.db import migrations

POSTGRESQL = [
    """
    CREATE FUNCTION ledger_is_append_only() RETURNS trigger AS $$
    BEGIN RAISE EXCEPTION 'a ledger entry is never changed' USING ERRCODE = '23514'; END
    $$ LANGUAGE plpgsql
    """,
    """
    CREATE TRIGGER ledger_append_only BEFORE UPDATE ON school_ledgerentry
    FOR EACH ROW EXECUTE FUNCTION ledger_is_append_only()
    """,
]
SQLITE = [
    """
    CREATE TRIGGER ledger_append_only BEFORE UPDATE ON school_ledgerentry
    BEGIN SELECT RAISE(ABORT, 'a ledger entry is never changed'); END
    """
]


def guard(apps, schema_editor):
    for statement in POSTGRESQL if schema_editor.connection.vendor == "postgresql" else SQLITE:
        schema_editor.execute(statement)


def unguard(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP TRIGGER ledger_append_only ON school_ledgerentry")
        schema_editor.execute("DROP FUNCTION ledger_is_append_only")
    else:
        schema_editor.execute("DROP TRIGGER ledger_append_only")


class Migration(migrations.Migration):
    dependencies = [("school", "0001_initial")]
    operations = [migrations.RunPython(guard, unguard)]
