"""Login, one's own settings, the people of the shop and the list of deeds."""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.shop.audit import Deed
from coldsoak.shop.people import Person
from coldsoak.shop.sessions import Device
from coldsoak.web.bay.door import Caller
from coldsoak.web.bay.views.shown import count

ROLES = {
    "technician": "enters what was done",
    "lead": "also keeps people, sheets, prices and settings",
    "reader": "looks and enters nothing",
}

# What a device says (RFC 9110, section 10.1.5) and what people call it; the first that is found counts.
BROWSERS = {
    "Edg": "Edge",
    "Firefox": "Firefox",
    "FxiOS": "Firefox",
    "Chrome": "Chrome",
    "CriOS": "Chrome",
    "Safari": "Safari",
}
SYSTEMS = {
    "Android": "Android",
    "iPhone": "iPhone",
    "iPad": "iPad",
    "Windows": "Windows",
    "Macintosh": "Mac",
    "Linux": "Linux",
}
LONGEST_DEVICE = 60


@dataclass(frozen=True)
class LoginView:
    """The login page; `anybody` says whether there is anybody who could log in."""

    to: str
    name: str
    anybody: bool


@dataclass(frozen=True)
class DeviceRow:
    """One running session; `here` is the one that asks."""

    key: str
    here: bool
    device: str
    since: str
    seen: str


@dataclass(frozen=True)
class MeView:
    """What somebody sets for themselves."""

    name: str
    role: str
    units: str
    session: bool
    devices: tuple[DeviceRow, ...]


@dataclass(frozen=True)
class PersonRow:
    """One person."""

    id: int
    name: str
    role: str
    active: bool


@dataclass(frozen=True)
class PeopleView:
    """The people of the shop."""

    sentence: str
    people: tuple[PersonRow, ...]
    roles: dict[str, str]
    name: str
    role: str


@dataclass(frozen=True)
class DeedRow:
    """One line of the list of deeds."""

    at: str
    by: str
    action: str
    what: str


@dataclass(frozen=True)
class AuditView:
    """Who did what, the last first; `next` is where the older ones begin."""

    deeds: tuple[DeedRow, ...]
    next: int | None


def me_view(caller: Caller, devices: Sequence[Device], here: str) -> MeView:
    """Return the page of one's own settings; `here` is the key of the session that asks."""
    rows = (
        DeviceRow(
            one.key,
            one.key == here,
            device_words(one.device),
            f"{one.made_at.astimezone():%Y-%m-%d %H:%M}",
            f"{one.seen_at.astimezone():%Y-%m-%d %H:%M}",
        )
        for one in devices
    )
    return MeView(caller.name, caller.person.role, caller.units, caller.session is not None, tuple(rows))


def device_words(agent: str) -> str:
    """Return the browser and the system that a device says it is, in as many words as people use.

    >>> device_words("Mozilla/5.0 (Linux; Android 15; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/131.0.0.0 Mobile")
    'Chrome on Android'
    >>> device_words(""), device_words("curl/8.5.0")
    ('a device', 'curl/8.5.0')
    """
    browser = next((word for sign, word in BROWSERS.items() if sign in agent), "")
    system = next((word for sign, word in SYSTEMS.items() if sign in agent), "")
    return " on ".join(filter(None, [browser, system])) or agent[:LONGEST_DEVICE] or "a device"


def people_view(people: Sequence[Person], name: str = "", role: str = "") -> PeopleView:
    """Return the page of the people, with a name and a role that were typed and not taken."""
    able = sum(one.active for one in people)
    return PeopleView(
        sentence=_may_log_in(able, len(people)),
        people=tuple(PersonRow(one.id, one.name, one.role, one.active) for one in people),
        roles=ROLES,
        name=name,
        role=role,
    )


def _may_log_in(able: int, many: int) -> str:
    """Return who may log in, in words.

    >>> _may_log_in(0, 0), _may_log_in(1, 1), _may_log_in(2, 3)
    ('Nobody has a passphrase yet.', '1 person may log in.', '2 of 3 people may log in.')
    """
    if not many:
        return "Nobody has a passphrase yet."
    return f"{count(many, 'person', 'people') if able == many else f'{able} of {many} people'} may log in."


def audit_view(deeds: Sequence[Deed], limit: int) -> AuditView:
    """Return a page of the list of deeds."""
    rows = (
        DeedRow(f"{one.at.astimezone():%Y-%m-%d %H:%M:%S}", one.by, one.action, one.what) for one in deeds
    )
    return AuditView(tuple(rows), deeds[-1].id if len(deeds) == limit else None)
