"""In and out: logins, sessions, cookies, roles. Source: OWASP ASVS 5.0 by the numbers given; RFC 9110; RFC 6265bis."""

import re
from html import escape

import pytest
from tests.web.visitors import (
    HOME,
    HOST,
    JSON,
    PASSPHRASE,
    PEOPLE,
    TLS,
    Visited,
    entry,
    log_in,
    token_in,
    token_of,
)

from coldsoak.shop import Policy
from coldsoak.web.bay.cookies import DEVICE, SESSION

ANA, BERO = PEOPLE["lead"], PEOPLE["technician"]
MINUTE = 60.0


def is_in(device: object) -> bool:
    answer = device.get("/token", headers=JSON)  # type: ignore[attr-defined]
    assert answer.status_code in {200, 401}
    return bool(answer.status_code == 200)


def test_a_login_begins_a_session_and_leads_where_it_was_wanted(lan: Visited) -> None:
    device = lan.device()
    to = "/?find=orrin&closed=true"
    asked = device.get(to)
    page = device.get(asked.headers["location"]).text
    assert f'name="to" value="{escape(to)}"' in page
    form = {"token": token_in(page), "name": BERO, "passphrase": PASSPHRASE, "to": to}
    answer = device.post("/login", data=form)
    assert (answer.status_code, answer.headers["location"]) == (303, to)
    assert is_in(device)


@pytest.mark.parametrize("name", [BERO, "nobody at all", "", "x" * 5000])
def test_a_wrong_login_does_not_say_which_part_was_wrong(name: str, lan: Visited) -> None:
    answer = log_in(lan.device(), name, "a wrong passphrase")
    assert answer.status_code == 403
    assert "name and passphrase do not go together" in answer.text
    assert "a wrong passphrase" not in answer.text


def test_there_is_no_account_from_the_start(lan: Visited) -> None:
    """ASVS 6.3.2."""
    for name in ("admin", "root", "lead", "coldsoak", "Somebody at the shop's machine"):
        assert log_in(lan.device(), name, name).status_code == 403


def test_a_login_needs_the_token_of_its_own_page(lan: Visited) -> None:
    """Otherwise a page elsewhere could log a device in as somebody else, whose name its entries would bear."""
    mine, other = lan.device(), lan.device()
    token = token_in(mine.get("/login").text)
    other.get("/login")
    form = {"name": BERO, "passphrase": PASSPHRASE, "to": "/"}
    assert other.post("/login", data={**form, "token": token}).status_code == 403
    assert lan.device().post("/login", data={**form, "token": token}).status_code == 403
    assert (
        mine.post("/login", data={**form, "token": token}, headers={"origin": "http://a.example"}).status_code
        == 403
    )
    assert not any(is_in(one) for one in (mine, other))


def test_a_session_that_was_planted_is_not_taken_over(lan: Visited) -> None:
    """ASVS 7.2.4: a new token at every login, and the old one ends."""
    device = lan.device()
    device.cookies.set(SESSION, "planted", domain=HOST)
    log_in(device, BERO)
    assert (
        "planted" not in device.cookies.get_dict().values() if hasattr(device.cookies, "get_dict") else True
    )
    first = device.cookies.get(SESSION, domain=HOST)
    log_in(device, ANA)
    second = device.cookies.get(SESSION, domain=HOST)
    assert len({"planted", first, second}) == 3
    old = lan.device()
    old.cookies.set(SESSION, str(first), domain=HOST)
    assert not is_in(old)
    assert is_in(device)


def test_tokens_are_long_and_never_the_same(lan: Visited) -> None:
    """ASVS 7.2.3: at least 128 bit; 32 bytes in base64 are 43 characters (hand-worked: 32 · 4 / 3, rounded up)."""
    tokens = {str(lan.at("reader").cookies.get(SESSION, domain=HOST)) for _ in range(5)}
    assert len(tokens) == 5
    assert {len(one) for one in tokens} == {43}


def test_cookies_are_kept_from_scripts_and_other_sites(lan: Visited) -> None:
    """ASVS 3.3.2, 3.3.4."""
    device = lan.device()
    made = [device.get("/login").headers["set-cookie"], log_in(device, BERO).headers["set-cookie"]]
    assert [one.partition("=")[0] for one in made] == [DEVICE, SESSION]
    for one in made:
        assert {"HttpOnly", "Path=/", "SameSite=strict"} <= set(one.split("; "))
        assert "Domain" not in one
    assert "Max-Age" not in made[1]  # a session goes with the browser


def test_over_tls_cookies_are_for_this_host_and_tls_only(lan: Visited) -> None:
    """ASVS 3.3.1, 3.4.1; RFC 6265bis 4.1.3.2: __Host- needs Secure, Path=/ and no Domain."""
    device = lan.device(TLS)
    first = device.get("/login")
    made = [first.headers["set-cookie"], log_in(device, BERO).headers["set-cookie"]]
    for one in made:
        assert one.startswith("__Host-")
        assert {"Secure", "Path=/", "HttpOnly"} <= set(one.split("; "))
    assert int(first.headers["strict-transport-security"].removeprefix("max-age=")) >= 31_536_000
    assert is_in(device)
    gone = device.post("/logout", data={"token": token_of(device)}).headers["set-cookie"]
    assert gone.startswith(f"__Host-{SESSION}=")
    assert "Secure" in gone


def test_without_tls_nothing_promises_tls(lan: Visited) -> None:
    answer = lan.device().get("/login")
    assert "strict-transport-security" not in answer.headers
    assert "Secure" not in answer.headers["set-cookie"]


@pytest.mark.parametrize(
    "to",
    ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere.example", "/\t/elsewhere.example",
     "javascript:alert(1)", "elsewhere.example", "", "/\r\nset-cookie: a=b", "/%0d%0a //x", "\x00/"],
)  # fmt: skip
def test_a_login_leads_nowhere_else(to: str, lan: Visited) -> None:
    answer = log_in(lan.device(), BERO, to=to)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/"
    page = lan.device().get("/login", params={"to": to}).text
    assert 'name="to" value="/"' in page


@pytest.mark.parametrize(
    "to", ["//elsewhere.example", "/jobs/1\\@elsewhere.example", "https://elsewhere.example"]
)
def test_an_entry_leads_nowhere_else(to: str, lan: Visited) -> None:
    answer = entry(lan.at("technician"), lan, to=to)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/jobs/{lan.job_id}")


def test_guesses_at_one_name_are_limited_and_the_answer_says_how_long(lan: Visited) -> None:
    """ASVS 6.3.1; RFC 9110 10.2.3: Retry-After in whole seconds. Hand-worked: six guesses at one moment free again
    after the whole window."""
    device = lan.device()
    for _ in range(Policy().guesses_by_name):
        assert log_in(device, BERO, "wrong again and again").status_code == 403
    held = log_in(device, BERO)
    assert held.status_code == 429
    assert held.headers["retry-after"] == f"{Policy().guesses_within_s:.0f}"
    assert "too many wrong tries" in held.text
    assert log_in(device, ANA).status_code == 303
    lan.clock.wait(Policy().guesses_within_s + 1)
    assert log_in(lan.device(), BERO).status_code == 303


def test_a_program_that_logs_in_is_refused_in_json(lan: Visited) -> None:
    """RFC 9110 12.5.1: what a caller accepts decides how it is answered."""
    device = lan.device()
    for _ in range(Policy().guesses_by_name):
        wrong = log_in(device, BERO, "wrong again and again", **JSON)
        assert (wrong.status_code, wrong.json().keys()) == (403, {"sentence"})
    held = log_in(device, BERO, **JSON)
    assert (held.status_code, held.headers["retry-after"]) == (429, f"{Policy().guesses_within_s:.0f}")
    assert "too many wrong tries" in held.json()["sentence"]


def test_guesses_from_one_address_at_many_names_are_limited(lan: Visited) -> None:
    device = lan.device()
    for n in range(Policy().guesses_by_address):
        assert log_in(device, f"name {n}", "wrong").status_code == 403
    held = log_in(device, ANA)
    assert held.status_code == 429
    assert int(held.headers["retry-after"]) > 0


def test_an_address_cannot_be_changed_by_what_a_request_says(lan: Visited) -> None:
    """Nothing that stands before the program is trusted: the address is that of the connection."""
    for n in range(Policy().guesses_by_address):
        log_in(
            lan.device(),
            f"name {n}",
            "wrong",
            **{"x-forwarded-for": f"10.0.0.{n}", "forwarded": f"for=10.0.1.{n}"},
        )
    assert log_in(lan.device(), ANA, **{"x-forwarded-for": "10.9.9.9"}).status_code == 429


def test_a_session_ends_by_itself_when_nothing_happens(lan: Visited) -> None:
    """ASVS 7.3.1."""
    device = lan.at("technician")
    lan.clock.wait(Policy().idle_s - MINUTE)
    assert is_in(device)
    lan.clock.wait(Policy().idle_s - MINUTE)
    assert is_in(device)
    lan.clock.wait(Policy().idle_s + 1)
    assert not is_in(device)
    assert device.get("/").headers["location"].startswith("/login")


def test_a_session_ends_after_a_day_of_work_whatever_happens(lan: Visited) -> None:
    """ASVS 7.3.2."""
    device = lan.at("technician")
    for _ in range(int(Policy().absolute_s / 3600) - 1):
        lan.clock.wait(3600)
        assert is_in(device)
    lan.clock.wait(3601)
    assert not is_in(device)


def test_a_logout_ends_the_session_on_the_server(lan: Visited) -> None:
    """ASVS 7.4.1: the old token opens nothing, even when it is sent again."""
    device = lan.at("technician")
    token = device.cookies.get(SESSION, domain=HOST)
    answer = device.post("/logout", data={"token": token_of(device)})
    assert (answer.status_code, answer.headers["location"]) == (303, "/login")
    assert answer.headers["clear-site-data"] == '"cache"'
    device.cookies.set(SESSION, str(token), domain=HOST)
    assert not is_in(device)


def test_one_may_log_out_elsewhere_and_everywhere(lan: Visited) -> None:
    """ASVS 7.5.2."""
    here, there, third = (lan.at("technician") for _ in range(3))
    other = lan.at("lead")
    page = here.get("/me").text
    assert page.count("(this device)") == 1
    keys = re.findall(r'name="which" value="([0-9a-f]{64})"', page)
    assert len(keys) == 2
    answer = here.post("/logout", data={"token": token_of(here), "which": keys[0]})
    assert (answer.status_code, answer.headers["location"]) == (303, "/me")
    assert [is_in(one) for one in (here, there, third)].count(True) == 2
    assert is_in(here)
    here.post("/logout", data={"token": token_of(here), "which": "all"})
    assert not any(is_in(one) for one in (here, there, third))
    assert is_in(other)


def test_nobody_ends_the_session_of_somebody_else(lan: Visited) -> None:
    lead, technician = lan.at("lead"), lan.at("technician")
    theirs = lan.shop.sessions.of(1)[0].key
    technician.post("/logout", data={"token": token_of(technician), "which": theirs})
    assert is_in(lead)
    assert technician.post("/logout", data={"token": token_of(technician), "which": "zz"}).status_code == 422


def test_who_is_locked_out_is_out_at_once(lan: Visited) -> None:
    """ASVS 7.4.2."""
    lead, technician = lan.at("lead"), lan.at("technician")
    form = {"token": token_of(lead), "what": "active", "person": "2", "active": "no"}
    assert lead.post("/people", data=form).status_code == 303
    assert not is_in(technician)
    assert log_in(technician, BERO).status_code == 403


def test_another_role_counts_from_the_next_request_on(lan: Visited) -> None:
    lead, technician = lan.at("lead"), lan.at("technician")
    form = {"token": token_of(lead), "what": "role", "person": "2", "role": "reader"}
    assert lead.post("/people", data=form).status_code == 303
    assert entry(technician, lan).status_code == 403


def test_a_new_passphrase_needs_the_current_one_and_ends_every_session(lan: Visited) -> None:
    """ASVS 6.2.3, 7.4.3."""
    here, there = lan.at("technician"), lan.at("technician")
    form = {"token": token_of(here), "units": "si", "passphrase": "a lift and two jacks", "current": "guess"}
    assert here.post("/me", data=form).status_code == 422
    assert is_in(there)
    assert here.post("/me", data={**form, "current": PASSPHRASE, "passphrase": "short"}).status_code == 422
    assert here.post("/me", data={**form, "current": PASSPHRASE}).headers["location"] == "/login"
    assert not any(is_in(one) for one in (here, there))
    assert log_in(here, BERO).status_code == 403
    assert log_in(here, BERO, "a lift and two jacks").status_code == 303


def test_guesses_at_a_device_left_open_are_counted_too(lan: Visited) -> None:
    device = lan.at("technician")
    lan.clock.wait(1)
    form = {
        "token": token_of(device),
        "units": "si",
        "passphrase": "a lift and two jacks",
        "current": "guess",
    }
    said = [device.post("/me", data=form).status_code for _ in range(Policy().guesses_by_name + 1)]
    assert said == [422] * Policy().guesses_by_name + [429]


def test_a_session_opens_nothing_in_another_shop(lan: Visited, home: Visited) -> None:
    """ASVS 7.2.1: the session is looked up on the server, and nothing in the token says who it is."""
    token = lan.at("lead").cookies.get(SESSION, domain=HOST)
    other = Visited(home.shop.place.folder.parent / "other", lan=True)
    device = other.device()
    device.cookies.set(SESSION, str(token), domain=HOST)
    assert not is_in(device)
    other.shop.close()


def test_on_the_shops_own_machine_nobody_logs_in_and_entries_bear_the_name_chosen_there(
    home: Visited,
) -> None:
    device = home.device()
    assert device.get("/login").headers["location"] == "/"
    page = device.get("/me").text
    form = {"token": token_in(page), "units": "us", "name": "Łucja Öberg"}
    assert device.post("/me", data=form).status_code == 303
    assert "You are Łucja Öberg" in device.get("/me").text
    assert entry(device, home).status_code == 303
    assert home.shop.jobs.entries(home.job_id)[-1].event.by == "Łucja Öberg"


@pytest.mark.parametrize("name", ["x" * 65, "a\x00b", "a\u202eb"])
def test_what_is_no_name_is_refused(name: str, home: Visited) -> None:
    device = home.device()
    form = {"token": token_in(device.get("/me").text), "units": "si", "name": name}
    assert device.post("/me", data=form).status_code == 422


@pytest.mark.parametrize("value", ["%00", "x" * 9000, "%E2%80%AE", '"', "a\\", "%ff%fe"])
def test_a_cookie_that_was_made_up_does_no_harm(value: str, home: Visited, lan: Visited) -> None:
    for visited in (home, lan):
        for name in ("coldsoak_who", "coldsoak_units", SESSION, DEVICE):
            answer = visited.device().get(
                "/login" if visited.lan else "/", headers={"cookie": f"{name}={value}"}
            )
            assert answer.status_code == 200


def test_home_is_not_answered_under_a_name_of_somebody_else(home: Visited) -> None:
    """A page elsewhere whose name is pointed at this machine (DNS rebinding) gets nothing."""
    for base in (
        "http://elsewhere.example",
        "http://localhost.elsewhere.example",
        "http://127.0.0.1.elsewhere.example",
    ):
        answer = home.device(base).get("/")
        assert answer.status_code == 421
        assert "serve" in answer.text
        assert "2027" not in answer.text
    for base in (HOME, "http://127.0.0.1:8765", "http://[::1]:8765", "http://LOCALHOST"):
        assert home.device(base).get("/").status_code == 200
