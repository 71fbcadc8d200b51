"""The socket of `coldsoak serve`, the names it can be reached by, its certificate, and where its journal goes."""

import errno
import logging
import logging.handlers
import os
import socket
import ssl
from pathlib import Path

from coldsoak.errors import InputError

LARGEST_JOURNAL_BYTES = 20_000_000


def listen(host: str, port: int) -> socket.socket:
    """Return a listening socket, or say in one sentence why there is none."""
    # With the protocol named, connections send at once what they have (TCP_NODELAY); otherwise asyncio does not ask for it,
    # and each answer waits 40 ms for the other side to confirm its head.
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
    except OSError as error:
        made.close()
        if error.errno == errno.EADDRINUSE:
            raise InputError(
                f"port {port} is taken, perhaps by the shop's pages running already: open them, or name another --port."
            ) from None
        raise InputError(f"port {port} cannot be used ({error.strerror}): name another --port.") from None
    made.listen(128)
    return made


def addresses(lan: bool, names: tuple[str, ...]) -> tuple[str, ...]:
    """Return the hosts under which the pages can be opened, this machine's own first."""
    if not lan:
        return ("127.0.0.1",)
    own = socket.gethostname()
    found = [*names, own, own if "." in own else f"{own}.local", _own_address()]
    return tuple(dict.fromkeys(["127.0.0.1", *filter(None, found)]))


def check_certificate(cert: Path, key: Path) -> None:
    """Say in one sentence when certificate and key cannot be used, before anything else is begun."""
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(cert, key, password=_no_password)
    except (ssl.SSLError, ValueError):
        raise InputError(
            f"{cert.name} and {key.name} cannot be used: give a certificate and its private key as PEM files, the key "
            "without a passphrase."
        ) from None


def private_files() -> None:
    """Let whatever this program writes from now on be its owner's alone."""
    os.umask(0o077)


def write_journal(path: Path | None) -> None:
    """Send the program's log lines to a file, or warnings to the terminal; five files that are full are kept."""
    from coldsoak.web.bay.journal import Lines

    handler: logging.Handler = (
        logging.StreamHandler()
        if path is None
        else logging.handlers.RotatingFileHandler(
            path, maxBytes=LARGEST_JOURNAL_BYTES, backupCount=5, encoding="utf-8"
        )
    )
    handler.setFormatter(Lines())
    handler.setLevel(logging.WARNING if path is None else logging.INFO)
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(handler.level)


def _no_password() -> str:
    raise ValueError("the key has a passphrase")


def _own_address() -> str:
    """The address that other devices on the network see; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for documents (RFC 5737)
            return str(probe.getsockname()[0])
        except OSError:
            return ""
