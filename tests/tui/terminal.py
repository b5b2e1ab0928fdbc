"""A program on a pseudo terminal, for what cannot be seen from inside."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import termios
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]


def run_on_a_terminal(words, environment):
    """Run a program on a pseudo terminal; return its status and all it wrote."""
    leader, follower = pty.openpty()
    child = subprocess.Popen(
        words, stdin=follower, stdout=follower, stderr=follower, env=environment, cwd=ROOT
    )
    fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    os.close(follower)
    told, until = b"", time.monotonic() + 40
    while time.monotonic() < until:
        ready, _, _ = select.select([leader], [], [], 0.2)
        if ready:
            try:
                told += os.read(leader, 65536)
            except OSError:
                break
        elif child.poll() is not None:
            break
    if child.poll() is None:
        child.kill()
    os.close(leader)
    status = child.wait()
    return status, told.decode(errors="replace")


def environment_in(folder, **more):
    """Return the environment of a program that keeps everything in a folder."""
    return {
        **os.environ,
        "HOME": str(folder),
        "XDG_STATE_HOME": str(folder),
        "TERM": "xterm-256color",
        **more,
    }
