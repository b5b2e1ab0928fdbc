"""A notice on the desktop, and whether it really got there."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
import sys
from dataclasses import dataclass
from html import escape

from finplan.trade.errors import BadInput

_TIMEOUT_S = 5.0
_LONGEST = 1000
_SCRIPT = (
    "on run argv\ndisplay notification (item 2 of argv) with title (item 1 of argv)\nend run\n"
)


@dataclass(frozen=True, slots=True)
class Notice:
    """What is shown: a title of one line, and a body."""

    title: str
    body: str


class NotDelivered(BadInput):
    """The desktop did not take a notice: one sentence that says why and what else there is."""


def send_notice(notice: Notice) -> None:
    """Show a notice on this person's desktop.

    Raises:
        NotDelivered: no desktop took it. Nothing is hidden: only a reply of the desktop's own
            notification service counts as delivered.
    """
    if sys.platform == "darwin":
        _send_by_script(notice)
    elif sys.platform == "win32":
        raise NotDelivered("desktop notices are not known here: use the bell or a calendar")
    else:
        _send_by_bus(notice)


def _send_by_bus(notice: Notice) -> None:
    """Desktop Notifications Specification over D-Bus, the reply looked at."""
    from jeepney import DBusAddress, MessageType, new_method_call
    from jeepney.io.blocking import open_dbus_connection

    service = DBusAddress(
        "/org/freedesktop/Notifications",
        bus_name="org.freedesktop.Notifications",
        interface="org.freedesktop.Notifications",
    )
    try:
        connection = open_dbus_connection(bus="SESSION")
    except KeyError:
        raise NotDelivered(_away("there is no session bus")) from None
    except (OSError, ValueError, RuntimeError) as error:
        raise NotDelivered(_away(str(error) or type(error).__name__)) from None
    with contextlib.closing(connection):
        try:
            asked = connection.send_and_get_reply(
                new_method_call(service, "GetCapabilities"), timeout=_TIMEOUT_S
            )
            if asked.header.message_type is MessageType.error:
                raise NotDelivered(_away("no notification service answers"))
            body = notice.body[:_LONGEST]
            if "body-markup" in asked.body[0]:
                body = escape(body, quote=False)
            hints = {"urgency": ("y", 1)}
            actions: list[str] = []
            fields = ("finplan", 0, "", notice.title[:_LONGEST], body, actions, hints, -1)
            reply = connection.send_and_get_reply(
                new_method_call(service, "Notify", "susssasa{sv}i", fields), timeout=_TIMEOUT_S
            )
        except (OSError, TimeoutError, EOFError) as error:
            raise NotDelivered(_away(str(error) or type(error).__name__)) from None
        if reply.header.message_type is MessageType.error:
            raise NotDelivered(_away("the notification service refused it"))


def _send_by_script(notice: Notice) -> None:
    program = shutil.which("osascript")
    if program is None:
        raise NotDelivered(_away("osascript is not there"))
    try:
        done = subprocess.run(
            [program, "-", notice.title[:_LONGEST], notice.body[:_LONGEST]],
            input=_SCRIPT,
            text=True,
            capture_output=True,
            check=False,
            timeout=_TIMEOUT_S,
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise NotDelivered(_away(f"osascript: {type(error).__name__}")) from None
    if done.returncode != 0:
        raise NotDelivered(_away("osascript refused it"))


def _away(why: str) -> str:
    return f"the desktop took no notice ({why}): look at the calendar or run 'finplan due'"
