"""A real CalDAV server for the tests, on a free loopback port and a folder of its own."""

import base64
import contextlib
import shutil
import socket
import subprocess
import sys
import time
import urllib.request

USER, PASSWORD = "shop", "a-made-up-word"

CONFIG = """[server]
hosts = 127.0.0.1:{port}
[auth]
type = htpasswd
htpasswd_filename = {folder}/users
htpasswd_encryption = plain
delay = 0
[rights]
type = owner_only
[storage]
filesystem_folder = {folder}/data
[web]
type = none
"""


class Radicale:
    """Starts and stops the server; the port and the data stay the same."""

    def __init__(self, folder):
        self.folder = folder
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        users = folder / "users"
        users.write_text(f"{USER}:{PASSWORD}\n")
        users.chmod(0o600)
        self.config = folder / "config"
        self.config.write_text(CONFIG.format(port=self.port, folder=folder))
        self.process = None
        self.start()

    @property
    def url(self):
        return f"http://127.0.0.1:{self.port}/"

    def start(self):
        self.process = subprocess.Popen(
            [sys.executable, "-m", "radicale", "--config", str(self.config)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for _ in range(200):
            with contextlib.suppress(OSError):
                socket.create_connection(("127.0.0.1", self.port), timeout=1).close()
                return
            time.sleep(0.05)
        raise RuntimeError("the server did not come up")

    def empty(self):
        """Take everything out of the account."""
        shutil.rmtree(self.folder / "data" / "collection-root" / USER, ignore_errors=True)

    def lay_in(self, calendar, items):
        """Put items into a calendar by its folder, and wait until the server has read them all.

        A thousand sent one by one take a minute, and the first look at as many takes the server
        half of that on a busy machine: no client would wait so long.
        """
        name = calendar.rstrip("/").rsplit("/", 1)[-1]
        folder = self.folder / "data" / "collection-root" / USER / name
        for file, data in items.items():
            (folder / file).write_bytes(data)
        key = base64.b64encode(f"{USER}:{PASSWORD}".encode()).decode()
        asked = urllib.request.Request(
            calendar, headers={"Authorization": f"Basic {key}", "Depth": "1"}, method="PROPFIND"
        )
        with urllib.request.urlopen(asked, timeout=600) as answer:
            answer.read()

    def stop(self):
        self.process.terminate()
        try:
            self.process.wait(5)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
