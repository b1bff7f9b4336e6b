"""The meter's cable is pulled and put in again, while lines or the board record."""

import signal
import time

from .book import Record
from .kills import Hand
from .meter import Plugged
from .program import Board, Lines, run

EACH = 4
MIDWAY_S = 0.2


def between(meter, since, until):
    """The numbers sent while the program surely listened: what comes right after a line is opened may have
    begun before, and is left out by it."""
    return [number for number, at in list(meter.sent) if since + MIDWAY_S < at < until]


def heard(running):
    """How much was said by now, where saying goes on for ever."""
    return len(running.said) if isinstance(running, Lines) else None


def told(running, what, after):
    return running.wait_for(what, 30) if after is None else running.wait_for(what, 30, after)


def one(book, program, folder, dice, times):
    meter, hand = Plugged(dice.choice((10, 40)), folder / "meter"), Hand(dice)
    on_board = dice.random() < 0.5
    args = ["live" if on_board else "record", "--meter", meter.uri(), "--out", "hunt.lull"]
    running = (Board if on_board else Lines)(program, args, folder)
    lost, found = ("METER LOST", "receiving from") if on_board else ("meter lost", "readings come from")
    meter.start()
    faults = [] if running.wait_for(found) else [f"never received: {running.picture()}"]
    sent, first = [], 0
    for _ in range(times):
        since = time.monotonic()
        time.sleep(dice.uniform(0.5, 2.5))
        sent += between(meter, since, time.monotonic() - 1)
        said = heard(running)
        meter.unplug()
        if not told(running, lost, said):
            faults.append(f"the loss was not told: {running.picture()}")
        time.sleep(dice.uniform(0, 3))
        if on_board:
            hand.type(running)
        said, first = heard(running), meter.next
        meter.plug_in()
        if not told(running, found, said):
            faults.append(f"never found again: {running.picture()}")
        book.done["cables pulled and put in again"] += 1
    since = time.monotonic()
    time.sleep(1.5)
    sent += between(meter, since, time.monotonic() - 1)
    running.signal(signal.SIGTERM)
    code = running.end()
    meter.stop()
    record = Record(folder / "hunt.lull")
    faults += record.readings_missing(sent, is_piped=False)
    if record.facts["meter lost"] != times or record.facts["meter back"] != times:
        faults.append(f"{times} times pulled; in the file {record.facts}")
    if not record.readings or record.readings[-1] < first:
        faults.append("no reading after the last return")
    faults += record.marks_missing(running.seen(), hand.typed)
    checked = run(program, ["check", "hunt.lull"], folder)
    if code != 0 or checked[0] != 0:
        faults.append(f"ended with {code}, check {checked}")
    book.enter("replug", faults, folder, f"{'board' if on_board else 'lines'}, {times} times, {meter.rate}/s")
    running.close()


def rounds(book, program, fresh, dice, count):
    while count > 0:
        one(book, program, fresh(), dice, min(EACH, count))
        count -= EACH
