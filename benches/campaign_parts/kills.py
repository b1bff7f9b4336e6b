"""kill -9 at any moment, then `check`, going on, and kill again."""

import signal
import time

from .book import Record
from .meter import Piped
from .program import Board, Lines, run

MARKS_MOST = 90


class Hand:
    """Types marks on a board, each with a label of its own."""

    def __init__(self, dice):
        self.dice, self.typed, self.out = dice, [], []

    def type(self, board):
        if self.out and self.dice.random() < 0.4:
            did, label = "refit", self.out.pop(0)
        elif len(self.typed) < MARKS_MOST:
            did, label = "pull", f"X{len(self.typed) + 1:03}"
            self.out.append(label)
        else:
            return
        self.typed.append((did, label))
        board.press(f"{did[0]}{label}\r")


def live(book, program, folder, dice, hand, first, is_first):
    """One life of the program, to its sudden end; and which readings have to be in the file."""
    meter = Piped(dice.choice((4, 20, 60, 250)), first)
    on_board = dice.random() < 0.6 or not is_first
    if is_first:
        args = ["live" if on_board else "record", "--meter", "pipe:-", "--out", "hunt.lull"]
    else:
        args = ["open", "hunt.lull", "--meter", "pipe:-"]
    running = (Board if on_board else Lines)(program, args, folder, meter.far)
    meter.given()
    meter.start()
    is_early = dice.random() < 0.25
    until = time.monotonic() + (dice.uniform(0, 0.4) if is_early else 20)
    listening = None
    while time.monotonic() < until:
        time.sleep(dice.uniform(0.01, 0.25))
        if listening is None and running.shows("receiving from" if on_board else "readings come from"):
            listening = time.monotonic()
            until = until if is_early else listening + dice.uniform(0.5, 3)
        if on_board and listening:
            hand.type(running)
    early = meter.older_than(book.second_before(time.monotonic(), listening))
    code = running.kill()
    meter.stop()
    return running, meter, early, code


def rounds(book, program, fresh, dice, count):
    """So many kills; every session lives up to four times."""
    kills = 0
    while kills < count:
        folder = fresh()
        path, hand, before, first, crashes = folder / "hunt.lull", Hand(dice), b"", 1, 0
        sent, marks = [], []
        for life in range(dice.randint(1, 4)):
            if life and not before:
                # Nothing was in it yet: there is nothing to go on with.
                break
            running, meter, early, code = live(book, program, folder, dice, hand, first, life == 0)
            kills, crashes = kills + 1, crashes + 1
            book.done["readings asked for by number after a kill"] += len(early)
            book.done["marks shown before a kill and asked for"] += len(running.seen())
            what = f"kill {kills}, life {life + 1}, {meter.rate}/s"
            record = Record(path)
            ended = [] if code == -signal.SIGKILL else [f"it had ended by itself with {code}: {running.picture()}"]
            sent += early
            marks += [mark for mark in running.seen() if mark not in marks]
            book.enter("reading", record.readings_missing(sent) + ended, folder, what)
            if marks or hand.typed:
                # An outcome that nobody saw may be either way: a key that was still on its way.
                book.enter("mark", record.marks_missing(marks, hand.typed), folder, what)
            faults = record.torn_lines(crashes)
            if not record.data.startswith(before):
                faults.append("what stood before the crash was changed")
            if record.data:
                code, said = run(program, ["check", "hunt.lull"], folder)
                if code != 1 or "panicked" in said:
                    faults.append(f"check of a session without its end: {code}: {said}")
                code, said = run(program, ["judge", "hunt.lull"], folder)
                if code not in (0, 3, 4) and record.readings or "panicked" in said:
                    faults.append(f"judge of what is left: {code}: {said}")
            book.enter("crash", faults, folder, what)
            before = record.data
            first = meter.next + 1000
            running.close()
        if before:
            finish(book, program, folder, before, first, sent, marks, hand)
    book.done["kills, each followed by `check`, `judge` and most by going on"] += kills


def finish(book, program, folder, before, first, sent, marks, hand):
    """Goes on once more, and ends as it should."""
    meter = Piped(20, first)
    board = Board(program, ["open", "hunt.lull", "--meter", "pipe:-"], folder, meter.far)
    meter.given()
    meter.start()
    faults = [] if board.wait_for("receiving from") else [f"never received again: {board.picture()}"]
    listening = time.monotonic()
    hand.type(board)
    time.sleep(0.4)
    old = meter.older_than(book.second_before(time.monotonic(), listening))
    board.signal(signal.SIGTERM)
    code = board.end()
    if code != 0:
        faults.append(f"ended with {code}: {board.picture()}")
    meter.stop()
    record = Record(folder / "hunt.lull")
    faults += record.readings_missing(sent + old)
    faults += record.marks_missing(marks + [m for m in board.seen() if m not in marks], hand.typed)
    if not record.data.startswith(before):
        faults.append("what stood before the crash was changed")
    code, said = run(program, ["check", "hunt.lull"], folder)
    expected = 1 if record.bad else 0
    if code != expected:
        faults.append(f"check of the session that went on: {code}, not {expected}: {said}")
    book.enter("crash", faults, folder, "going on after the last kill, and ending")
    board.close()
