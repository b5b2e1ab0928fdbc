"""A small notification service for the tests: prints what it is shown, or refuses it."""

import json
import sys
from pathlib import Path

from jeepney import DBusAddress, HeaderFields, MessageType, new_error, new_method_return
from jeepney.bus_messages import message_bus
from jeepney.io.blocking import open_dbus_connection

NAME = "org.freedesktop.Notifications"
ADDRESS = DBusAddress("/org/freedesktop/Notifications", bus_name=NAME, interface=NAME)


def main(mode, log):
    connection = open_dbus_connection(bus="SESSION")
    connection.send_and_get_reply(message_bus.RequestName(NAME))
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    while True:
        message = connection.receive()
        if message.header.message_type is not MessageType.method_call:
            continue
        member = message.header.fields.get(HeaderFields.member)
        if member == "GetCapabilities":
            known = ["body", "body-markup"] if mode == "markup" else ["body"]
            connection.send(new_method_return(message, "as", (known,)))
        elif mode == "refuse":
            connection.send(new_error(message, f"{NAME}.Error.Full"))
        else:
            with Path(log).open("a", encoding="utf-8") as file:
                file.write(json.dumps(message.body[3:5]) + "\n")
            connection.send(new_method_return(message, "u", (7,)))


main(*sys.argv[1:])
