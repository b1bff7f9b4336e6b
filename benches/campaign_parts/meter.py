"""A meter in our hand: every reading has a number of its own, so that none can be lost or doubled unseen."""

import os
import pty
import threading
import time
import tty


class Meter:
    """Sends readings at a rate until it is stopped. The number of a reading is its current in µA."""

    def __init__(self, rate, first=1):
        self.rate, self.next, self.sent = rate, first, []
        self.off, self.paused = threading.Event(), threading.Event()
        self.worker = threading.Thread(target=self.work, daemon=True)

    def start(self):
        self.worker.start()
        return self

    def work(self):
        due = time.monotonic()
        while not self.off.is_set():
            due += 1 / self.rate
            pause = due - time.monotonic()
            if pause > 0:
                time.sleep(pause)
            elif pause < -1:
                # A meter does not catch up.
                due = time.monotonic()
            if self.paused.is_set():
                continue
            line = f"{self.next / 1e6:.6f} A\n".encode()
            if self.put(line):
                self.sent.append((self.next, time.monotonic()))
                self.next += 1

    def older_than(self, moment):
        """The numbers that were sent before this."""
        return [number for number, at in list(self.sent) if at < moment]

    def stop(self):
        self.off.set()
        self.worker.join(5)


class Piped(Meter):
    """By a pipe, which becomes the program's standard input."""

    def __init__(self, rate, first=1):
        super().__init__(rate, first)
        self.far, self.near = os.pipe()

    def put(self, line):
        try:
            return os.write(self.near, line) == len(line)
        except OSError:
            self.off.set()
            return False

    def given(self):
        """The program has its end; ours is closed, so that a dead reader is noticed."""
        os.close(self.far)

    def stop(self):
        self.off.set()
        self.worker.join(5)
        try:
            os.close(self.near)
        except OSError:
            pass


class Plugged(Meter):
    """On a serial line: a pseudo-terminal behind a fixed path, as udev gives it, that comes and goes."""

    def __init__(self, rate, path, first=1, line=None):
        super().__init__(rate, first)
        self.path, self.ends, self.lock = path, None, threading.Lock()
        self.line, self.rest = line, b""
        self.plug_in()

    def plug_in(self):
        near, far = pty.openpty()
        tty.setraw(far)
        os.set_blocking(near, False)
        with self.lock:
            self.ends = (near, far)
        os.symlink(os.ttyname(far), self.path)

    def unplug(self):
        os.remove(self.path)
        with self.lock:
            ends, self.ends, self.rest = self.ends, None, b""
            for end in ends or ():
                os.close(end)

    def put(self, line):
        with self.lock:
            if self.ends is None:
                return False
            if not self.rest:
                self.rest = self.line(self.next) if self.line else line
                is_new = True
            else:
                # Half a line waits for room: it goes first, and this one another time.
                is_new = False
            try:
                written = os.write(self.ends[0], self.rest)
            except BlockingIOError:
                if is_new:
                    self.rest = b""
                return False
            self.rest = self.rest[written:]
            return is_new

    def uri(self):
        return f"serial:{self.path}?baud=9600&format=text"
