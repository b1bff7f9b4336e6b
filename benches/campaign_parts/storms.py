"""Two thousand readings a second, keys in bursts, and signals at any moment; then told to end."""

import signal
import time

from .book import Record
from .kills import Hand
from .meter import Piped
from .program import Board, run, wait

RATE = 2000
# Keys that look and never mark: each is undone by itself or by Escape.
LOOKS = ("f", "f", "g", "c", "\x1b", "k", "\x1b", "w", "\x1b", "j", "\x1b", "?", "\x1b", "+", "-", "t", "T", "b", "\x0c")


def burst(board, hand, dice):
    for _ in range(dice.randint(3, 12)):
        hand.type(board)


def looked(board, dice):
    for _ in range(dice.randint(5, 40)):
        board.press(dice.choice(LOOKS))
        time.sleep(0.002)
    # An Escape with a key right behind it is another key, so each waits for what it does.
    for _ in range(20):
        board.press("\x1b")
        if wait(lambda: is_open(board), 0.5):
            time.sleep(0.3)
            if is_open(board):
                return
    # Far digits stay until they are sent away by their own key.
    board.press("f")
    wait(lambda: is_open(board), 5)


def is_open(board):
    """Whether a mark's key meets the board: its own keys stand below, and no panel over it."""
    return board.shows("l lock") and not board.shows("back to the board")


def signalled(board, dice):
    """Stops it, sends it on, gives it another size. Whether it stood still."""
    how = dice.choice(("winch", "winch", "tstp", "stop", "stop long", "bare winch"))
    if how == "winch":
        for _ in range(dice.randint(1, 8)):
            board.resize(dice.randint(20, 140), dice.randint(5, 50))
            time.sleep(0.01)
        board.resize(100, 36)
        return False
    if how == "bare winch":
        for _ in range(50):
            board.signal(signal.SIGWINCH)
        return False
    board.signal(signal.SIGTSTP if how == "tstp" else signal.SIGSTOP)
    time.sleep(1.4 if how == "stop long" else dice.uniform(0.02, 0.4))
    # A CONT that comes before the stop is lost.
    wait(lambda: not is_stopped(board), 10, 0.05, lambda: board.signal(signal.SIGCONT))
    return True


def is_stopped(board):
    with open(f"/proc/{board.child.pid}/stat", encoding="utf-8") as stat:
        return stat.read().rpartition(")")[2].split()[0] == "T"


def one(book, program, folder, dice, n):
    with_signals = n % 2 == 1
    meter, hand = Piped(RATE), Hand(dice)
    board = Board(program, ["live", "--meter", "pipe:-", "--out", "hunt.lull"], folder, meter.far)
    meter.given()
    meter.start()
    faults = [] if board.wait_for("receiving from") else [f"never received: {board.picture()}"]
    begun = moved = time.monotonic()
    for _ in range(dice.randint(3, 7)):
        if with_signals and signalled(board, dice):
            moved = time.monotonic()
            if not board.wait_for("receiving from", 20):
                faults.append(f"no board after a stop: {board.picture()}")
        if not with_signals:
            looked(board, dice)
        burst(board, hand, dice)
        time.sleep(dice.uniform(0.05, 0.5))
    if with_signals and dice.random() < 0.3:
        board.signal(signal.SIGSTOP)
        time.sleep(0.1)
        moved = time.monotonic()
    else:
        # Each key has had its second, so that it may be asked for.
        wait(lambda: len(board.seen()) >= 1 and board.seen()[-1] == hand.typed[-1], 5)
    told = time.monotonic()
    last = signal.SIGHUP if dice.random() < 0.4 else signal.SIGTERM
    board.signal(last)
    board.signal(signal.SIGCONT)
    code = board.end(20)
    took = time.monotonic() - told
    meter.stop()
    record = Record(folder / "hunt.lull")
    what = f"storm {n}, {'signals' if with_signals else 'keys'}, {last.name}, {len(hand.typed)} keys typed"
    ended = []
    book.most["seconds from being told to end to the end, in a storm"] = max(
        took, book.most["seconds from being told to end to the end, in a storm"])
    if code != 0 or took > 3:
        ended.append(f"ended with {code} after {took:.1f} s: {board.picture()}")
        board.kill()
    if not board.is_handed_back():
        ended.append(f"the terminal is not as it was: {board.screen.modes}")
    code, said = run(program, ["check", "hunt.lull"], folder)
    if code != 0:
        ended.append(f"check: {said}")
    book.enter("end", ended, folder, what)
    # While it stood still the pipe filled: what waited there was never read.
    old = meter.older_than(min(book.second_before(told, begun), moved - 1 if told - moved < 1.5 else told))
    book.enter("reading", record.readings_missing(old), folder, what)
    if not with_signals and record.marks != hand.typed:
        faults.append(f"typed {hand.typed}, in the file {record.marks}")
    faults += record.marks_missing(board.seen(), hand.typed)
    book.enter("keys", faults, folder, what)
    book.enter("mark", record.marks_missing(board.seen(), hand.typed), folder, what)
    board.close()


def rounds(book, program, fresh, dice, count):
    for n in range(count):
        one(book, program, fresh(), dice, n)
    book.done["storms of 2000 readings a second, half of them with signals"] += count
