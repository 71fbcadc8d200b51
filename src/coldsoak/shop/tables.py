"""The tables as the program knows them now; the migrations make them, and a test compares the two.

Times are whole microseconds since 1970 UTC, except inside events, whose text is what was hashed.
"""

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

NAMES = {
    "ix": "%(table_name)s_by_%(column_0_N_name)s",
    "uq": "%(table_name)s_one_%(column_0_N_name)s",
    "ck": "%(table_name)s_is_%(constraint_name)s",
    "fk": "%(table_name)s_of_%(referred_table_name)s",
    "pk": "%(table_name)s_key",
}
tables = MetaData(naming_convention=NAMES)

setting = Table(
    "setting",
    tables,
    Column("name", String(64), primary_key=True),
    Column("value", Text, nullable=False),
)

person = Table(
    "person",
    tables,
    Column("id", Integer, primary_key=True),
    Column("name", String(64), nullable=False),
    Column("name_key", String(128), nullable=False, unique=True),
    Column("role", String(16), nullable=False),
    Column("passphrase_hash", String(256), nullable=False),
    Column("active", Boolean, nullable=False),
    Column("preferences", Text, nullable=False),
    Column("made_us", BigInteger, nullable=False),
    CheckConstraint("role IN ('technician', 'lead', 'reader')", name="known_role"),
)

session = Table(
    "session",
    tables,
    Column("token_hash", LargeBinary(32), primary_key=True),
    Column("person_id", ForeignKey("person.id"), nullable=False, index=True),
    Column("device", String(128), nullable=False),
    Column("made_us", BigInteger, nullable=False),
    Column("seen_us", BigInteger, nullable=False),
    Column("ended_us", BigInteger),
)

login_attempt = Table(
    "login_attempt",
    tables,
    Column("id", Integer, primary_key=True),
    Column("name_key", String(128), nullable=False),
    Column("address", String(64), nullable=False),
    Column("at_us", BigInteger, nullable=False),
    Column("good", Boolean, nullable=False),
    Index("login_attempt_by_name", "name_key", "at_us"),
    Index("login_attempt_by_address", "address", "at_us"),
)

audit = Table(
    "audit",
    tables,
    Column("id", Integer, primary_key=True),
    Column("at_us", BigInteger, nullable=False, index=True),
    Column("by", String(64), nullable=False),
    Column("action", String(32), nullable=False),
    Column("what", Text, nullable=False),
)

blob = Table(
    "blob",
    tables,
    Column("sha256", LargeBinary(32), primary_key=True),
    Column("size_bytes", BigInteger, nullable=False),
    Column("kind", String(16), nullable=False),
    Column("media_type", String(64), nullable=False),
    Column("name", String(128), nullable=False),
    Column("by", String(64), nullable=False),
    Column("put_us", BigInteger, nullable=False),
)

paper = Table(
    "paper",
    tables,
    Column("kind", String(16), primary_key=True),
    Column("name", String(64), primary_key=True),
    Column("version", Integer, primary_key=True),
    Column("sha256", LargeBinary(32), nullable=False, index=True),
    Column("text", Text, nullable=False),
    Column("by", String(64), nullable=False),
    Column("put_us", BigInteger, nullable=False),
    CheckConstraint("kind IN ('unit', 'crib', 'prices')", name="known_kind"),
)

job = Table(
    "job",
    tables,
    Column("id", Integer, primary_key=True),
    Column("key", String(64), nullable=False, unique=True),
    Column("last_seq", Integer, nullable=False),
    Column("last_hash", LargeBinary(32), nullable=False),
    Column("opened_us", BigInteger, nullable=False),
    Column("changed_us", BigInteger, nullable=False, index=True),
    Column("is_open", Boolean, nullable=False),
    Column("stage", String(16), nullable=False),
    Column("waits_for", String(16), nullable=False),
    Column("header", Text, nullable=False),
    Column("shown", Text, nullable=False),
    Index("job_by_change", "is_open", "changed_us", "id"),
    Index("job_by_stage", "is_open", "stage", "changed_us", "id"),
)

event = Table(
    "event",
    tables,
    Column("job_id", ForeignKey("job.id"), primary_key=True),
    Column("seq", Integer, primary_key=True),
    Column("id", String(64), nullable=False),
    Column("kind", String(32), nullable=False),
    Column("canonical", LargeBinary, nullable=False),
    Column("hash", LargeBinary(32), nullable=False),
    UniqueConstraint("id", name="event_one_id"),
    sqlite_with_rowid=False,
)

# Which files events speak of; a record made elsewhere may speak of files that are not here (yet).
attachment = Table(
    "attachment",
    tables,
    Column("job_id", ForeignKey("job.id"), primary_key=True),
    Column("seq", Integer, primary_key=True),
    Column("sha256", LargeBinary(32), primary_key=True, index=True),
)

# In SQLite a table of its full-text index; PostgreSQL has a column of lexemes beside these two.
job_search = Table(
    "job_search",
    MetaData(),
    Column("rowid", Integer, primary_key=True),
    Column("words", Text, nullable=False),
)
