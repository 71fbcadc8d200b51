"""Words of every job, to be found by their beginnings."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the search index; the program fills it from the events when it next opens the store."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            "CREATE VIRTUAL TABLE job_search USING fts5(words, prefix='2 3 4', "
            'tokenize="unicode61 remove_diacritics 0")'
        )
    else:
        op.create_table(
            "job_search",
            sa.Column("rowid", sa.Integer, nullable=False),
            sa.Column("words", sa.Text, nullable=False),
            sa.PrimaryKeyConstraint("rowid", name="job_search_key"),
            sa.ForeignKeyConstraint(["rowid"], ["job.id"], name="job_search_of_job"),
        )
        op.execute(
            "ALTER TABLE job_search ADD COLUMN lexemes tsvector "
            "GENERATED ALWAYS AS (array_to_tsvector(string_to_array(words, ' '))) STORED"
        )
        op.execute("CREATE INDEX job_search_lexemes ON job_search USING gin (lexemes)")
    op.execute("DELETE FROM setting WHERE name = 'summary_version'")
