"""Indexes of three letters each for what people look for, where the database can have them.

They are kept by the database itself. On SQLite a later migration that makes one of these tables anew drops its
triggers and has to call ``add`` again; ``tests/shop/jobs/test_finding.py`` fails otherwise.
"""

from django.db import DatabaseError, migrations, models, transaction

# Table, its key, and the column that is looked into.
TABLES = (("shop_jobwords", "job_id", "text"), ("shop_customer", "id", "sort_name"), ("shop_fact", "id", "key"))
SQLITE = (
    'CREATE VIRTUAL TABLE "{t}_index" USING fts5("{c}", content="{t}", content_rowid="{k}", tokenize="trigram")',
    'CREATE TRIGGER "{t}_index_ai" AFTER INSERT ON "{t}" BEGIN '
    'INSERT INTO "{t}_index"(rowid, "{c}") VALUES (new."{k}", new."{c}"); END',
    'CREATE TRIGGER "{t}_index_ad" AFTER DELETE ON "{t}" BEGIN '
    'INSERT INTO "{t}_index"("{t}_index", rowid, "{c}") VALUES (\'delete\', old."{k}", old."{c}"); END',
    'CREATE TRIGGER "{t}_index_au" AFTER UPDATE OF "{c}" ON "{t}" BEGIN '
    'INSERT INTO "{t}_index"("{t}_index", rowid, "{c}") VALUES (\'delete\', old."{k}", old."{c}"); '
    'INSERT INTO "{t}_index"(rowid, "{c}") VALUES (new."{k}", new."{c}"); END',
    'INSERT INTO "{t}_index"("{t}_index") VALUES (\'rebuild\')',
)


def add(apps, schema_editor):
    """Add them; a database that has no such index finds the same by reading all."""
    connection = schema_editor.connection
    try:
        with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
            if connection.vendor == "postgresql":
                cursor.execute("SELECT 1 FROM pg_available_extensions WHERE name = 'pg_trgm'")
                if cursor.fetchone():
                    cursor.execute("CREATE EXTENSION IF NOT EXISTS pg_trgm")
                    for table, _key, column in TABLES:
                        cursor.execute(
                            f'CREATE INDEX "{table}_index" ON "{table}" USING gin ("{column}" gin_trgm_ops)'
                        )
            elif connection.vendor == "sqlite":
                for table, key, column in TABLES:
                    for statement in SQLITE:
                        cursor.execute(statement.format(t=table, k=key, c=column))
    except DatabaseError as error:
        print(f"\n  No index for parts of words, finding reads all texts: {error}")


def remove(apps, schema_editor):
    """Take them away again."""
    connection = schema_editor.connection
    with connection.cursor() as cursor:
        for table, _key, _column in TABLES:
            if connection.vendor == "postgresql":
                cursor.execute(f'DROP INDEX IF EXISTS "{table}_index"')
            elif connection.vendor == "sqlite":
                for end in ("ai", "ad", "au"):
                    cursor.execute(f'DROP TRIGGER IF EXISTS "{table}_index_{end}"')
                cursor.execute(f'DROP TABLE IF EXISTS "{table}_index"')


def note_shared(apps, schema_editor):
    """Mark the facts that two records have."""
    facts = apps.get_model("shop", "Fact").objects
    keys = facts.order_by().values("kind", "key").annotate(n=models.Count("customer")).filter(n__gte=2)
    for row in keys.iterator(chunk_size=500):
        facts.filter(kind=row["kind"], key=row["key"]).update(shared=True)


class Migration(migrations.Migration):

    dependencies = [
        ('shop', '0033_what_long_lists_sort_by'),
    ]

    operations = [
        migrations.RunPython(note_shared, migrations.RunPython.noop),
        migrations.RunPython(add, remove),
    ]
