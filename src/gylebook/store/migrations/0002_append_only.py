"""Refuse every change of a journal row, whoever asks: a correction is a new entry."""

from __future__ import annotations

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

REFUSAL = "the journal is only ever added to: write a correcting entry"

SQLITE_INSTALL = (
    f"""CREATE TRIGGER journal_entry_no_update BEFORE UPDATE ON journal_entry
        BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END""",
    f"""CREATE TRIGGER journal_entry_no_delete BEFORE DELETE ON journal_entry
        BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END""",
    # INSERT OR REPLACE removes the row in its way without asking a delete trigger.
    f"""CREATE TRIGGER journal_entry_no_replace BEFORE INSERT ON journal_entry
        WHEN EXISTS (SELECT 1 FROM journal_entry WHERE brew = NEW.brew AND seq = NEW.seq)
          OR EXISTS (SELECT 1 FROM journal_entry WHERE command_id = NEW.command_id)
        BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END""",  # noqa: S608 - no input reaches this text
)
SQLITE_REMOVE = tuple(f"DROP TRIGGER journal_entry_no_{what}" for what in ("update", "delete", "replace"))

POSTGRESQL_INSTALL = (
    f"""CREATE FUNCTION journal_entry_refuse() RETURNS trigger LANGUAGE plpgsql AS
        $$ BEGIN RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'restrict_violation'; END $$""",
    """CREATE TRIGGER journal_entry_no_change BEFORE UPDATE OR DELETE ON journal_entry
        FOR EACH ROW EXECUTE FUNCTION journal_entry_refuse()""",
    """CREATE TRIGGER journal_entry_no_truncate BEFORE TRUNCATE ON journal_entry
        FOR EACH STATEMENT EXECUTE FUNCTION journal_entry_refuse()""",
)
POSTGRESQL_REMOVE = (
    "DROP TRIGGER journal_entry_no_truncate ON journal_entry",
    "DROP TRIGGER journal_entry_no_change ON journal_entry",
    "DROP FUNCTION journal_entry_refuse()",
)


def install(_apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Set the triggers of the engine at hand."""
    for sql in SQLITE_INSTALL if schema_editor.connection.vendor == "sqlite" else POSTGRESQL_INSTALL:
        schema_editor.execute(sql)


def remove(_apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Take them away again, on the way back to an empty database."""
    for sql in SQLITE_REMOVE if schema_editor.connection.vendor == "sqlite" else POSTGRESQL_REMOVE:
        schema_editor.execute(sql)


class Migration(migrations.Migration):
    dependencies = [("store", "0001_journal")]

    operations = [migrations.RunPython(install, remove)]
