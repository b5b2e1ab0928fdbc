"""A CalDAV account, and where its password comes from: never from our own files."""

from __future__ import annotations

import ipaddress
import os
import shlex
import subprocess
from dataclasses import dataclass
from urllib.parse import urlsplit

from finplan.trade.errors import BadInput

PASSWORD_VARIABLE = "FINPLAN_CALDAV_PASSWORD"
KEYRING_SERVICE = "finplan caldav"
_COMMAND_TIMEOUT_S = 60


@dataclass(frozen=True, slots=True)
class Account:
    """Where the calendars are. ``url`` holds no password."""

    url: str
    user: str

    def __post_init__(self) -> None:
        """Refuse an address that would show the password to the network or to readers."""
        parts = urlsplit(self.url)
        if parts.scheme not in ("http", "https") or not parts.hostname:
            raise BadInput("give an address that begins with https://", "CalDAV address")
        if parts.password or parts.username:
            raise BadInput(
                "leave name and password out of the address: give the name apart, and the "
                f"password by keyring, {PASSWORD_VARIABLE} or a command",
                "CalDAV address",
            )
        if parts.scheme == "http" and not _is_loopback(parts.hostname):
            raise BadInput(
                f"{parts.hostname} would get the password unencrypted: use https://",
                "CalDAV address",
            )


def password_of(account: Account, command: str = "") -> str:
    """Return the account's password: by command if given, else environment, else keyring.

    Raises:
        BadInput: none of them has it; the sentence never shows what was found.
    """
    if command:
        return _from_command(command)
    from_environment = os.environ.get(PASSWORD_VARIABLE, "")
    return from_environment or _from_keyring(account)


def _from_command(command: str) -> str:
    try:
        done = subprocess.run(
            shlex.split(command),
            capture_output=True,
            text=True,
            check=False,
            timeout=_COMMAND_TIMEOUT_S,
        )
    except (OSError, ValueError, subprocess.TimeoutExpired) as error:
        raise BadInput(f"can't be run ({type(error).__name__})", "password command") from None
    password = done.stdout.split("\n", 1)[0]
    if done.returncode != 0 or not password:
        raise BadInput(f"gave no password (exit status {done.returncode})", "password command")
    return password


def _from_keyring(account: Account) -> str:
    place = f"for {account.user} at {urlsplit(account.url).hostname}"
    remedy = (
        f"keep it by 'keyring set \"{KEYRING_SERVICE}\" {account.user}', or set {PASSWORD_VARIABLE}"
    )
    try:
        import keyring

        password = keyring.get_password(KEYRING_SERVICE, account.user)
    except Exception as error:  # keyrings of many systems, each with errors of its own
        raise BadInput(f"no keyring {place} ({type(error).__name__}): {remedy}", "CalDAV") from None
    if not password:
        raise BadInput(f"no password {place}: {remedy}", "CalDAV")
    return password


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
