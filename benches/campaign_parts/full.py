"""A small disk in memory, filled while it is recorded on: freed, killed, quit, or left for another."""

import os
import signal
import subprocess
import time

from .book import Record
from .kills import Hand
from .meter import Piped
from .program import Board, Lines, run, wait

SIZE_KIB = 256


def mounted(folder):
    done = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={SIZE_KIB}k", "tmpfs", folder],
                          capture_output=True, text=True)
    return None if done.returncode == 0 else done.stderr.strip() or "mount refused"


def fill(disk):
    """Takes every byte that is left."""
    with open(disk / "filler", "ab", buffering=0) as filler:
        for size in (4096, 64, 1):
            try:
                while filler.write(b"x" * size):
                    pass
            except OSError:
                pass


def one(book, program, folder, dice, how):
    disk = folder / "disk"
    disk.mkdir()
    refused = mounted(disk)
    if refused:
        book.skipped["full"] = f"no tmpfs ({refused}); it needs root"
        return False
    try:
        played(book, program, folder, disk, dice, how)
    finally:
        wait(lambda: subprocess.run(["umount", disk], capture_output=True).returncode == 0, 20, 0.2)
    return True


def played(book, program, folder, disk, dice, how):
    meter, hand = Piped(dice.choice((20, 100, 400))), Hand(dice)
    on_board = how == "elsewhere" or dice.random() < 0.5
    args = ["live" if on_board else "record", "--meter", "pipe:-", "--out", "disk/hunt.lull"]
    running = (Board if on_board else Lines)(program, args, folder, meter.far)
    meter.given()
    meter.start()
    faults = []
    if not running.wait_for("receiving from" if on_board else "readings come from"):
        faults.append(f"never received: {running.picture()}")
    listening = time.monotonic()
    time.sleep(dice.uniform(0.2, 1.5))
    if on_board:
        hand.type(running)
        time.sleep(0.3)
    before = running.seen()
    old = meter.older_than(book.second_before(time.monotonic(), listening))
    for _ in range(dice.randint(1, 3)):
        said = 0 if on_board else len(running.said)
        fill(disk)
        is_told = running.wait_for("NOT SAVED", 40) if on_board else running.wait_for("kept in memory until", 40, said)
        if not is_told:
            faults.append(f"the full disk was not told: {running.picture()}")
        if on_board:
            hand.type(running)
        time.sleep(dice.uniform(0.1, 1.5))
        if how != "freed":
            break
        said = 0 if on_board else len(running.said)
        (disk / "filler").unlink()
        is_told = wait(lambda: not running.shows("NOT SAVED"), 30) if on_board \
            else running.wait_for("taken everything again", 30, said)
        if not is_told:
            faults.append(f"the room was not used: {running.picture()}")
    finish(book, program, folder, disk, how, running, meter, hand, before, old, faults)


def finish(book, program, folder, disk, how, running, meter, hand, before, old, faults):
    place = disk / "hunt.lull"
    if how == "elsewhere":
        place = folder / "hunt_2.lull"
        running.press(f"G{place}\r")
        if not running.wait_for("Recording goes on in"):
            faults.append(f"it did not go on elsewhere: {running.picture()}")
        time.sleep(0.5)
    if how == "killed":
        running.kill()
    else:
        # All that was sent is in, but for the last moment's.
        meter.paused.set()
        time.sleep(0.5)
        old = meter.older_than(time.monotonic()) if how != "quit" else old
        running.signal(signal.SIGTERM)
        code = running.end()
        if code != (1 if how == "quit" else 0):
            faults.append(f"ended with {code}: {running.picture()}")
        if how == "quit" and "not on disk" not in running.last_words():
            faults.append(f"what is lost was not told: {running.picture()}")
    meter.stop()
    record = Record(place)
    faults += record.readings_missing(old)
    shown = running.seen() if how in ("freed", "elsewhere") else before
    faults += record.marks_missing(shown, hand.typed)
    if record.bad:
        faults.append(f"lines that are none: {record.bad[:3]}")
    if how in ("freed", "elsewhere"):
        checked = run(program, ["check", str(place)], folder)
        if checked[0] != 0:
            faults.append(f"check: {checked}")
    book.enter("full", faults, folder, f"{how}, {meter.rate}/s")
    book.done["times a tmpfs was filled"] += 1
    running.close()


def rounds(book, program, fresh, dice, count):
    if os.name != "posix" or os.geteuid() != 0:
        book.skipped["full"] = "a small tmpfs is mounted by root alone"
        return
    for n in range(count):
        if not one(book, program, fresh(), dice, ("freed", "elsewhere", "killed", "quit")[n % 4]):
            return
