"""The built program, as a user has it: on a terminal of its own or as lines, with what it may use bounded."""

import fcntl
import os
import pty
import re
import resource
import select
import signal
import struct
import subprocess
import termios
import threading
import time
from pathlib import Path

from .screen import Screen

ROOT = Path(__file__).resolve().parent.parent.parent
PATIENCE = 60.0
# A row of the list of trials: its time stands first, which no prompt's row has. A narrow screen cuts
# labels short, and those are told by no one.
SHOWN = re.compile(r"^\W*\d+:\d\d:\d\d (pull|refit) (X\d{3})(?= |$)")


def built():
    """The release program, built when it has to be."""
    build = ["cargo", "build", "--release", "--locked", "--quiet"]
    subprocess.run(build, cwd=ROOT, check=True, timeout=1800)
    return Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "release" / "lullboard"


def bounded():
    resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def ours():
    """An own terminal for the child: its standard output becomes the one that keys come from."""
    bounded()
    fcntl.ioctl(1, termios.TIOCSCTTY, 0)


def environment(folder):
    return {"TERM": "xterm-256color", "LANG": "C.UTF-8", "HOME": str(folder), "PATH": "/usr/bin:/bin"}


def wait(holds, patience=PATIENCE, every=0.01, between=lambda: None):
    """Whether it came to hold in time."""
    until = time.monotonic() + patience
    while not holds():
        if time.monotonic() > until:
            return False
        between()
        time.sleep(every)
    return True


class Running:
    """What both ways to run it have in common."""

    def signal(self, number):
        if self.child.poll() is None:
            os.kill(self.child.pid, number)

    def kill(self):
        """Ends it as a crash would, and reads what it had said by then."""
        self.signal(signal.SIGKILL)
        self.signal(signal.SIGCONT)
        return self.end()

    def end(self, patience=PATIENCE):
        """Its exit code, or None if it does not end."""
        try:
            code = self.child.wait(patience)
        except subprocess.TimeoutExpired:
            return None
        self.reader.join(5)
        return code


class Board(Running):
    """On a pseudo-terminal; the meter's bytes may come by its standard input."""

    def __init__(self, program, args, folder, meter=None, columns=100, rows=36):
        self.screen, self.lock = Screen(columns, rows), threading.Lock()
        self.marks, self.tail = [], b""
        # Whether what comes is only taken, which costs a fraction of looking at it.
        self.is_unread = False
        self.master, slave = pty.openpty()
        self.resize(columns, rows)
        self.modes = termios.tcgetattr(slave)[:4]
        self.child = subprocess.Popen(
            [program, *args], cwd=folder, env=environment(folder), preexec_fn=ours,
            start_new_session=True, stdin=slave if meter is None else meter, stdout=slave, stderr=slave,
        )
        # Held, so that the terminal can be asked for its modes at the end.
        self.slave = slave
        self.reader = threading.Thread(target=self.read, daemon=True)
        self.reader.start()

    def read(self):
        """Reads until the program is gone and nothing more comes."""
        while True:
            ready, _, _ = select.select([self.master], [], [], 0.1)
            if not ready:
                if self.child.poll() is not None:
                    return
                continue
            try:
                data = os.read(self.master, 1 << 16)
            except OSError:
                return
            with self.lock:
                self.tail = (self.tail + data)[-4000:]
                if self.is_unread:
                    continue
                self.screen.feed(data)
                for row in self.screen.rows():
                    shown = SHOWN.match(row)
                    if shown and shown.groups() not in self.marks:
                        self.marks.append(shown.groups())

    def resize(self, columns, rows):
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        with self.lock:
            self.screen.size(columns, rows)

    def press(self, keys):
        try:
            os.write(self.master, keys.encode())
        except OSError:
            pass

    def shows(self, text):
        with self.lock:
            return any(text in row for row in self.screen.rows())

    def wait_for(self, text, patience=PATIENCE):
        return wait(lambda: self.shows(text) or self.child.poll() is not None, patience) and self.shows(text)

    def picture(self):
        with self.lock:
            return "\n".join(self.screen.rows())

    def last_words(self):
        with self.lock:
            return self.tail.decode(errors="replace")

    def seen(self):
        """The marks that stood on the screen at any time."""
        with self.lock:
            return list(self.marks)

    def is_handed_back(self):
        with self.lock:
            board = self.screen.is_board() or "25" not in self.screen.modes
        return not board and termios.tcgetattr(self.slave)[:4] == self.modes

    def close(self):
        for end in (self.master, self.slave):
            os.close(end)


class Lines(Running):
    """Without a screen: what it says, line by line."""

    def __init__(self, program, args, folder, meter=subprocess.DEVNULL):
        self.said = ""
        self.child = subprocess.Popen(
            [program, *args], cwd=folder, env=environment(folder), preexec_fn=bounded, start_new_session=True,
            stdin=meter, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )
        self.reader = threading.Thread(target=self.read, daemon=True)
        self.reader.start()

    def read(self):
        for line in self.child.stdout:
            self.said += line

    def wait_for(self, text, patience=PATIENCE, after=0):
        return wait(lambda: text in self.said[after:] or self.child.poll() is not None, patience) \
            and text in self.said[after:]

    def shows(self, text):
        return text in self.said

    def last_words(self):
        return self.said

    def seen(self):
        return []

    def picture(self):
        return self.said[-3000:]

    def close(self):
        self.child.stdout.close()


def run(program, args, folder, patience=PATIENCE):
    """Runs it to its end; the exit code and all that it said."""
    done = subprocess.run(
        [program, *args], cwd=folder, env=environment(folder), preexec_fn=bounded, stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=patience, errors="replace",
    )
    return done.returncode, done.stdout
