"""Jobs with their chained events, people, sheets and files."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

NEVER = "events are never changed or removed: enter an undo instead"
GAP = "an event must carry the number after the last one of its job, and an id of its own"
KEPT = "what was noted for the audit and every version of a sheet is kept"


def upgrade() -> None:
    """Make the tables and the triggers that guard what may only be added to."""
    _shop_tables()
    _people_tables()
    _job_tables()
    if op.get_bind().dialect.name == "sqlite":
        _guard_sqlite()
    else:
        _guard_postgresql()


def _shop_tables() -> None:
    op.create_table(
        "setting",
        sa.Column("name", sa.String(64), nullable=False),
        sa.Column("value", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("name", name="setting_key"),
    )
    op.create_table(
        "blob",
        sa.Column("sha256", sa.LargeBinary(32), nullable=False),
        sa.Column("size_bytes", sa.BigInteger, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("media_type", sa.String(64), nullable=False),
        sa.Column("name", sa.String(128), nullable=False),
        sa.Column("by", sa.String(64), nullable=False),
        sa.Column("put_us", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="blob_key"),
    )
    op.create_table(
        "paper",
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("name", sa.String(64), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("sha256", sa.LargeBinary(32), nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("by", sa.String(64), nullable=False),
        sa.Column("put_us", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("kind", "name", "version", name="paper_key"),
        sa.CheckConstraint("kind IN ('unit', 'crib', 'prices')", name="paper_is_known_kind"),
    )
    op.create_index("paper_by_sha256", "paper", ["sha256"])


def _people_tables() -> None:
    op.create_table(
        "person",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(64), nullable=False),
        sa.Column("name_key", sa.String(128), nullable=False),
        sa.Column("role", sa.String(16), nullable=False),
        sa.Column("passphrase_hash", sa.String(256), nullable=False),
        sa.Column("active", sa.Boolean, nullable=False),
        sa.Column("preferences", sa.Text, nullable=False),
        sa.Column("made_us", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("id", name="person_key"),
        sa.UniqueConstraint("name_key", name="person_one_name_key"),
        sa.CheckConstraint("role IN ('technician', 'lead', 'reader')", name="person_is_known_role"),
    )
    op.create_table(
        "session",
        sa.Column("token_hash", sa.LargeBinary(32), nullable=False),
        sa.Column("person_id", sa.Integer, nullable=False),
        sa.Column("device", sa.String(128), nullable=False),
        sa.Column("made_us", sa.BigInteger, nullable=False),
        sa.Column("seen_us", sa.BigInteger, nullable=False),
        sa.Column("ended_us", sa.BigInteger),
        sa.PrimaryKeyConstraint("token_hash", name="session_key"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="session_of_person"),
    )
    op.create_index("session_by_person_id", "session", ["person_id"])
    op.create_table(
        "login_attempt",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name_key", sa.String(128), nullable=False),
        sa.Column("address", sa.String(64), nullable=False),
        sa.Column("at_us", sa.BigInteger, nullable=False),
        sa.Column("good", sa.Boolean, nullable=False),
        sa.PrimaryKeyConstraint("id", name="login_attempt_key"),
    )
    op.create_index("login_attempt_by_name", "login_attempt", ["name_key", "at_us"])
    op.create_index("login_attempt_by_address", "login_attempt", ["address", "at_us"])
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("at_us", sa.BigInteger, nullable=False),
        sa.Column("by", sa.String(64), nullable=False),
        sa.Column("action", sa.String(32), nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="audit_key"),
    )
    op.create_index("audit_by_at_us", "audit", ["at_us"])


def _job_tables() -> None:
    op.create_table(
        "job",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("last_seq", sa.Integer, nullable=False),
        sa.Column("last_hash", sa.LargeBinary(32), nullable=False),
        sa.Column("opened_us", sa.BigInteger, nullable=False),
        sa.Column("changed_us", sa.BigInteger, nullable=False),
        sa.Column("is_open", sa.Boolean, nullable=False),
        sa.Column("stage", sa.String(16), nullable=False),
        sa.Column("waits_for", sa.String(16), nullable=False),
        sa.Column("header", sa.Text, nullable=False),
        sa.Column("shown", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="job_key"),
        sa.UniqueConstraint("key", name="job_one_key"),
    )
    op.create_index("job_by_change", "job", ["is_open", "changed_us", "id"])
    op.create_index("job_by_changed_us", "job", ["changed_us"])
    op.create_index("job_by_stage", "job", ["is_open", "stage", "changed_us", "id"])
    op.create_table(
        "event",
        sa.Column("job_id", sa.Integer, nullable=False),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("canonical", sa.LargeBinary, nullable=False),
        sa.Column("hash", sa.LargeBinary(32), nullable=False),
        sa.PrimaryKeyConstraint("job_id", "seq", name="event_key"),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name="event_of_job"),
        sa.UniqueConstraint("id", name="event_one_id"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "attachment",
        sa.Column("job_id", sa.Integer, nullable=False),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("sha256", sa.LargeBinary(32), nullable=False),
        sa.PrimaryKeyConstraint("job_id", "seq", "sha256", name="attachment_key"),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name="attachment_of_job"),
    )
    op.create_index("attachment_by_sha256", "attachment", ["sha256"])


def _guard_sqlite() -> None:
    for table, words in (("event", NEVER), ("paper", KEPT), ("audit", KEPT)):
        for action in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{words}'); END"
            )
    op.execute(
        "CREATE TRIGGER event_in_order BEFORE INSERT ON event "  # noqa: S608 (words of this module)
        "WHEN NEW.seq <> 1 + coalesce((SELECT max(seq) FROM event WHERE job_id = NEW.job_id), 0) "
        "OR EXISTS (SELECT 1 FROM event WHERE id = NEW.id) "
        "BEGIN SELECT RAISE(ABORT, '" + GAP + "'); END"
    )


def _guard_postgresql() -> None:
    for table, words in (("event", NEVER), ("paper", KEPT), ("audit", KEPT)):
        op.execute(
            f"CREATE FUNCTION {table}_refuse() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{words}'; END $$"
        )
        op.execute(
            f"CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {table}_refuse()"
        )
    op.execute(
        "CREATE FUNCTION event_in_order() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "  # noqa: S608 (same)
        "IF NEW.seq <> 1 + coalesce((SELECT max(seq) FROM event WHERE job_id = NEW.job_id), 0) THEN "
        "RAISE EXCEPTION '" + GAP + "'; END IF; RETURN NEW; END $$"
    )
    op.execute(
        "CREATE TRIGGER event_in_order BEFORE INSERT ON event FOR EACH ROW EXECUTE FUNCTION event_in_order()"
    )
