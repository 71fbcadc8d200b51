"""`coldsoak serve`, started as people start it: what it prints, who reaches it, how it ends."""

import asyncio
import gc
import json
import os
import re
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import urllib.error
import urllib.request
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI

from coldsoak.cli import serve as serve_module
from coldsoak.cli.fill_sender import Sender
from coldsoak.cli.serve_socket import listen
from coldsoak.errors import AccessError, InputError
from coldsoak.shop import open_shop
from coldsoak.shop.passphrase import Hasher

PROGRAM = Path(sys.executable).with_name("coldsoak")
ADDRESS = re.compile(r"^Open (https?://127\.0\.0\.1:\d+)/$", re.MULTILINE)
SOON_S = 60


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Served:
    """A running `coldsoak serve`."""

    def __init__(self, data: Path, *options: str | Path) -> None:
        self.port = free_port()
        self.data = data
        command = [PROGRAM, "serve", "--data", data, "--port", str(self.port), *options]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        self.said = ""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said += line
            if line.startswith("Stop with"):
                break
        found = ADDRESS.search(self.said)
        self.address = found[1] if found else ""

    def get(self, path: str, context: ssl.SSLContext | None = None, **headers: str) -> tuple[int, Any, str]:
        """Status, headers and text of an answer."""
        request = urllib.request.Request(self.address + path, headers=headers)  # noqa: S310 (our own address)
        try:
            with urllib.request.urlopen(request, timeout=SOON_S, context=context) as answer:  # noqa: S310 (same)
                return answer.status, answer.headers, answer.read().decode()
        except urllib.error.HTTPError as error:
            with error:
                return error.code, error.headers, error.read().decode()

    def end(self, how: signal.Signals = signal.SIGINT) -> tuple[int, str]:
        """Stop it; return its exit status and what it said on standard error."""
        self.process.send_signal(how)
        out, err = self.process.communicate(timeout=SOON_S)
        self.said += out
        return self.process.returncode, err


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Callable[..., Served]]:
    running: list[Served] = []

    def start(*options: str | Path) -> Served:
        running.append(Served(tmp_path / "shop", *options))
        return running[-1]

    yield start
    for one in running:
        if one.process.poll() is None:
            one.process.kill()
            one.process.communicate()


def refused(tmp_path: Path, *options: str | Path) -> str:
    """What a start that is refused says."""
    command = [PROGRAM, "serve", "--data", tmp_path / "shop", *options]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=SOON_S)
    assert done.returncode == 2, done.stderr
    assert len(done.stderr.splitlines()) == 1, done.stderr
    return done.stderr


def test_it_serves_this_machine_prints_where_and_ends_with_ctrl_c(serve: Callable[..., Served]) -> None:
    served = serve()
    assert served.address == f"http://127.0.0.1:{served.port}"
    assert f"The data lie in {served.data}" in served.said
    status, headers, text = served.get("/")
    assert status == 200
    assert "No open jobs" in text
    assert "server" not in headers
    assert json.loads(served.get("/ready")[2]) == {"state": "ready"}
    status, err = served.end()
    assert status in {0, 130}
    assert "Traceback" not in err
    assert err.strip() in {"", "coldsoak: stopped."}


def test_only_this_machine_is_listened_for(serve: Callable[..., Served]) -> None:
    served = serve()
    rows = [line.split() for line in Path("/proc/net/tcp").read_text("ascii").splitlines()[1:]]
    bound = {
        row[1].partition(":")[0] for row in rows if row[1].endswith(f":{served.port:04X}") and row[3] == "0A"
    }
    assert bound == {"0100007F"}  # 127.0.0.1, little-endian (proc(5))


def test_a_stop_by_the_system_is_as_clean(serve: Callable[..., Served]) -> None:
    served = serve()
    served.get("/")
    status, err = served.end(signal.SIGTERM)
    assert status in {0, -signal.SIGTERM, 128 + signal.SIGTERM}
    assert err == ""
    with open_shop(served.data) as shop:
        assert shop.check() == []


def test_it_ends_while_somebody_listens_for_entries(serve: Callable[..., Served]) -> None:
    from tests.shop.entries import open_job  # noqa: PLC0415

    served = serve()
    with open_shop(served.data) as shop:
        job_id = open_job(shop).job_id
    with socket.create_connection(("127.0.0.1", served.port), timeout=SOON_S) as listening:
        listening.sendall(f"GET /jobs/{job_id}/live?since=0 HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n".encode())
        got = b""
        while b"event: entry" not in got:
            got += listening.recv(4096)
        status, err = served.end()
    assert status in {0, 130}
    assert "Traceback" not in err


def test_a_port_that_is_taken_is_said_in_a_sentence(serve: Callable[..., Served], tmp_path: Path) -> None:
    served = serve()
    said = refused(tmp_path, "--port", str(served.port))
    assert f"port {served.port} is taken" in said
    assert "--port" in said


def test_answers_are_sent_without_waiting_for_more() -> None:
    """asyncio asks for TCP_NODELAY only where the protocol is named; without it every answer waits 40 ms for a
    delayed acknowledgement (RFC 1122, 4.2.3.2 and 4.2.3.4)."""
    with listen("127.0.0.1", free_port()) as listening:
        assert listening.proto == socket.IPPROTO_TCP
        with socket.create_connection(listening.getsockname()):
            accepted, _ = listening.accept()
            with accepted:
                assert accepted.proto == socket.IPPROTO_TCP


@pytest.mark.parametrize("port", ["0", "70000", "x"])
def test_a_port_that_is_none_is_refused(port: str, tmp_path: Path) -> None:
    assert "--port" in refused(tmp_path, "--port", port)


def test_the_network_gets_in_only_when_somebody_has_a_passphrase(tmp_path: Path) -> None:
    said = refused(tmp_path, "--lan", "--port", str(free_port()))
    assert "coldsoak people add NAME --role lead" in said


def test_the_network_asks_everybody_and_says_what_crosses_it(
    serve: Callable[..., Served], tmp_path: Path
) -> None:
    with open_shop(tmp_path / "shop", hasher=Hasher(quick=True)) as shop:
        shop.people.add("Ana Sorel", "lead", "nine bolts on the bench", by="the test")
    served = serve("--lan", "--name", "Bay-1.example")
    assert "passphrases cross the network as they are" in served.said
    assert f"Open http://Bay-1.example:{served.port}/" in served.said
    assert f"{socket.gethostname()}" in served.said
    assert "Who is at this device?" in served.get("/")[2]
    assert served.get("/login", host="bay-1.example")[0] == 200
    status, _, text = served.get("/login", host="elsewhere.example")
    assert status == 421
    assert "--name" in text
    assert served.get("/api/jobs")[0] == 401


def certificate(folder: Path) -> tuple[Path, Path]:
    """A certificate of our own for 127.0.0.1, as a shop would make one."""
    openssl = shutil.which("openssl")
    if openssl is None:
        pytest.skip("openssl, which makes the certificate, is not installed")
    cert, key = folder / "cert.pem", folder / "key.pem"
    command = [openssl, "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2",
               "-subj", "/CN=127.0.0.1", "-addext", "subjectAltName=IP:127.0.0.1", "-keyout", key, "-out", cert]  # fmt: skip
    subprocess.run(command, check=True, capture_output=True, timeout=SOON_S)
    return cert, key


def test_tls_is_served_with_a_certificate_and_its_key(serve: Callable[..., Served], tmp_path: Path) -> None:
    cert, key = certificate(tmp_path)
    served = serve("--cert", cert, "--key", key)
    assert served.address.startswith("https://")
    trusting = ssl.create_default_context(cafile=cert)
    status, headers, _ = served.get("/", trusting)
    assert status == 200
    assert headers["strict-transport-security"].startswith("max-age=")
    assert headers["set-cookie"].startswith("__Host-")
    old = ssl.create_default_context(cafile=cert)
    old.maximum_version = ssl.TLSVersion.TLSv1_2
    assert served.get("/health", old)[0] == 200


def test_a_logger_logs_in_where_the_certificate_is_the_shops_own(
    serve: Callable[..., Served], tmp_path: Path
) -> None:
    cert, key = certificate(tmp_path)
    with open_shop(tmp_path / "shop", hasher=Hasher(quick=True)) as shop:
        shop.people.add("Ana Sorel", "technician", "nine bolts on the bench", by="the test")
    served = serve("--lan", "--cert", cert, "--key", key)

    def sender(trust: Path | None = cert) -> Sender:
        return Sender(served.address, 7, "contact probe", trust)

    with pytest.raises(InputError, match="name yourself with --person"):
        sender().send([(0.0, 20.0)], 0.0)
    with pytest.raises(InputError, match="do not go together"):
        sender().log_in("Ana Sorel", "eight bolts on the bench")
    with pytest.raises(AccessError, match="name its file with --trust"):
        sender(None).log_in("Ana Sorel", "nine bolts on the bench")
    with pytest.raises(InputError, match="holds no certificate"):
        sender(Path(__file__))
    known = sender()
    known.log_in("Ana Sorel", "nine bolts on the bench")
    with pytest.raises(InputError, match="there is no job 7"):
        known.send([(0.0, 20.0)], 0.0)


def test_a_certificate_without_its_key_is_refused(tmp_path: Path) -> None:
    cert, key = certificate(tmp_path)
    assert "give both --cert and --key" in refused(tmp_path, "--cert", cert)
    assert "give both --cert and --key" in refused(tmp_path, "--key", key)
    assert "cannot be used" in refused(tmp_path, "--cert", key, "--key", cert)
    (tmp_path / "other").mkdir()
    other = certificate(tmp_path / "other")[1]
    assert "cannot be used" in refused(tmp_path, "--cert", cert, "--key", other)
    assert "no-such.pem" in refused(tmp_path, "--cert", tmp_path / "no-such.pem", "--key", key)


def test_the_journal_is_lines_of_json_that_nobody_else_may_read(
    serve: Callable[..., Served], tmp_path: Path
) -> None:
    """Also the lines of the server itself; OWASP ASVS 5.0, 16.4.1, 16.4.2."""
    journal = tmp_path / "journal.jsonl"
    served = serve("--journal", journal)
    for path in ("/", "/nowhere?secret=1", "/%0A%7B%7D"):
        served.get(path)
    served.end()
    lines = [json.loads(line) for line in journal.read_text("utf-8").splitlines()]
    asked = [line for line in lines if line["text"] == "request"]
    assert [(line["path"], line["status"]) for line in asked] == [
        ("/", 200),
        ("/nowhere", 404),
        ("/\n{}", 404),
    ]
    assert {line["from_address"] for line in asked} == {"127.0.0.1"}
    assert "secret" not in journal.read_text("utf-8")
    assert journal.stat().st_mode & 0o077 == 0
    if os.name == "posix":
        for path in served.data.rglob("*"):
            assert path.stat().st_mode & 0o077 == 0, path


def test_a_journal_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    said = refused(tmp_path, "--journal", tmp_path / "no" / "folder.jsonl", "--port", str(free_port()))
    assert "no is not there" in said


def test_data_that_are_none_are_said(tmp_path: Path) -> None:
    (tmp_path / "shop").write_text("a file", "utf-8")
    assert "is a file" in refused(tmp_path, "--port", str(free_port()))


def test_a_stop_before_the_first_request_is_taken_says_nothing_else(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C between making the server and running it: Python warns of a coroutine that nobody awaited."""

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(asyncio.Runner, "run", stopped)
    monkeypatch.setattr(sys, "setswitchinterval", lambda _: None)
    for name in ("freeze", "set_threshold"):
        monkeypatch.setattr(gc, name, lambda *_: None)
    with warnings.catch_warnings(record=True) as said, socket.socket() as own:
        warnings.simplefilter("always")
        with pytest.raises(KeyboardInterrupt):
            serve_module._run(FastAPI(), own, None, None)
        gc.collect()
    assert not said
