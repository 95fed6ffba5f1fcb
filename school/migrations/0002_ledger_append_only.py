"""Let the database itself refuse to change an entry of the ledger or of instructor pay.

Deletion is left to the models: test runners on SQLite empty tables with DELETE.
"""

from django.db import migrations

TABLES = {"ledger": "school_ledgerentry", "pay": "school_payentry"}

POSTGRESQL_FUNCTION = """
    CREATE FUNCTION entries_are_append_only() RETURNS trigger AS $$
    BEGIN RAISE EXCEPTION 'an entry is never changed' USING ERRCODE = '23514'; END
    $$ LANGUAGE plpgsql
"""
POSTGRESQL = """
    CREATE TRIGGER {name}_append_only BEFORE UPDATE ON {table}
    FOR EACH ROW EXECUTE FUNCTION entries_are_append_only()
"""
SQLITE = """
    CREATE TRIGGER {name}_append_only BEFORE UPDATE ON {table}
    BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END
"""


def guard(apps, schema_editor):
    is_postgresql = schema_editor.connection.vendor == "postgresql"
    if is_postgresql:
        schema_editor.execute(POSTGRESQL_FUNCTION)
    for name, table in TABLES.items():
        statement = POSTGRESQL if is_postgresql else SQLITE
        schema_editor.execute(statement.format(name=name, table=table))


def unguard(apps, schema_editor):
    is_postgresql = schema_editor.connection.vendor == "postgresql"
    for name, table in TABLES.items():
        where = f" ON {table}" if is_postgresql else ""
        schema_editor.execute(f"DROP TRIGGER {name}_append_only{where}")
    if is_postgresql:
        schema_editor.execute("DROP FUNCTION entries_are_append_only")


class Migration(migrations.Migration):
    dependencies = [("school", "0001_initial")]
    operations = [migrations.RunPython(guard, unguard)]
