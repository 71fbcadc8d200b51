"""All rows from one database into another of the same form, so that a backup of either kind can be restored to either."""

import sqlalchemy as sa
from sqlalchemy import Connection, Table

from coldsoak.shop.tables import job_search, login_attempt, session, tables

LEFT_OUT = {session.name, login_attempt.name}
"""What a copy does not need: whoever is logged in logs in again."""

_BATCH = 2000


def copy_tables(source: Connection, target: Connection) -> None:
    """Copy every row but sessions and login attempts into empty tables."""
    target.execute(tables.tables["setting"].delete())
    for table in (*tables.sorted_tables, job_search):
        if table.name in LEFT_OUT:
            continue
        keys = list(table.primary_key.columns)
        rows = source.execution_options(yield_per=_BATCH).execute(sa.select(table).order_by(*keys))
        for part in rows.mappings().partitions(_BATCH):
            target.execute(table.insert(), [dict(row) for row in part])
        if target.dialect.name == "postgresql":
            _count_on(target, table)


def _count_on(target: Connection, table: Table) -> None:
    """Have PostgreSQL count its numbers on from the last one that was copied."""
    keys = list(table.primary_key.columns)
    if len(keys) != 1 or not isinstance(keys[0].type, sa.Integer) or table is job_search:
        return
    highest = target.execute(sa.select(sa.func.max(keys[0]))).scalar()
    if highest is not None:
        sequence = sa.func.pg_get_serial_sequence(table.name, keys[0].name)
        target.execute(sa.select(sa.func.setval(sequence, highest)))
