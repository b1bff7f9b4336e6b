"""The session file is deleted, renamed, replaced or cut under the recorder, at any moment."""

import re
import time

from .book import Record
from .meter import Piped
from .program import Lines, run, wait


def replace(path):
    data = path.read_bytes()
    path.unlink()
    path.write_bytes(data.replace(b"0.0000", b"0.9990"))


def cut(path):
    length = path.stat().st_size
    with open(path, "r+b") as file:
        file.truncate(length * 2 // 3)


# Two seconds are promised; one more for a machine that is busy.
TOLD_WITHIN_S = 3
GOES_ON = re.compile(r"goes on in (\S+\.lull)")
FAULTS = {
    "deleted": (lambda path: path.unlink(), "deleted, moved or renamed"),
    "renamed": (lambda path: path.rename(path.with_suffix(".old")), "deleted, moved or renamed"),
    "replaced": (replace, "another file stands in the place"),
    "cut": (cut, "cut short by another program"),
}


def holes(sent, held):
    """Stretches of what was sent that are not there."""
    found = []
    for number in sent:
        if number in held:
            continue
        if found and found[-1][1] == number - 1:
            found[-1][1] = number
        else:
            found.append([number, number])
    return found


def one(book, program, folder, dice, how):
    meter = Piped(dice.choice((5, 50, 400)))
    lines = Lines(program, ["record", "--meter", "pipe:-", "--out", "hunt.lull"], folder, meter.far)
    meter.given()
    meter.start()
    faults = [] if lines.wait_for("readings come from") else [f"never received: {lines.said}"]
    path, times, untold = folder / "hunt.lull", 0, []
    for _ in range(dice.randint(1, 3)):
        time.sleep(dice.uniform(0.3, 2))
        said = len(lines.said)
        do, told = FAULTS[how]
        do(path)
        since = time.monotonic()
        wait(lambda: told in lines.said[said:] or GOES_ON.search(lines.said, said), 20)
        took = time.monotonic() - since
        wait(lambda: GOES_ON.search(lines.said, said), 20)
        if told not in lines.said[said:]:
            untold.append(f"what became of the file was not told: {lines.said}")
        elif took > TOLD_WITHIN_S:
            untold.append(f"told after {took:.1f} s")
        book.most["seconds until a lost file is told"] = max(took, book.most["seconds until a lost file is told"])
        times += 1
        found = GOES_ON.search(lines.said, said)
        if not found:
            faults.append(f"it did not go on: {lines.said}")
            break
        path = folder / found[1]
    meter.paused.set()
    time.sleep(0.5)
    sent = meter.older_than(time.monotonic())
    meter.stop()
    code = lines.end()
    record = Record(path)
    if how == "cut":
        # What was cut off in place is lost and named: one stretch a cut.
        faults += record.readings_missing([], is_piped=False)
        if len(holes(sent, set(record.readings))) > times:
            faults.append(f"more than was cut off is missing: {holes(sent, set(record.readings))}")
        if "that were cut off" not in lines.said:
            faults.append(f"what was cut off is not named: {lines.said}")
    else:
        faults += record.readings_missing(sent)
    checked = run(program, ["check", path.name], folder)
    if code != 0 or (how != "cut" and checked[0] != 0):
        faults.append(f"ended with {code}, check {checked}")
    what = f"{how}, {times} times, {meter.rate}/s"
    book.enter("astray", faults, folder, what)
    book.enter("told", untold, folder, what)
    lines.close()


def rounds(book, program, fresh, dice, count):
    for n in range(count):
        one(book, program, fresh(), dice, list(FAULTS)[n % len(FAULTS)])
    book.done["recordings whose file was taken away, some of them more than once"] += count
