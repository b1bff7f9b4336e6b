"""What was promised, what a file holds, and how often both agreed."""

import json
import os
import shutil
import threading
import time
from collections import Counter, defaultdict

# As README's list has them; what each one means here stands in the head of `benches/campaign`.
PROMISES = {
    "mark": "a mark that the screen showed is in the file, once, in the order of the keys",
    "reading": "a reading older than a second (and the machine's own sync) is in the file, once, in its order, none left out",
    "crash": "what stood in the file before a crash stands there after going on; only a last line may be torn",
    "full": "a full disk is told, nothing is lost by waiting it out, and what is lost by quitting is counted",
    "astray": "of a file deleted, renamed, replaced or cut all that survives goes on in a new one",
    "told": "what became of such a file is told in words, within two seconds",
    "replug": "a cable pulled is told, looked for, found, and both are in the record",
    "end": "told to end, it ends: sealed, whole, the terminal handed back",
    "keys": "in a storm of readings, sizes and stops no key is lost or doubled and nothing dies",
    "check": "a changed file does not pass `check`, and no command falls over it",
}


# So many cases of each promise are printed; the others stand in their folders.
SHOWN_EACH = 2


class Disk:
    """How long this machine itself takes for a sync: a byte in a file beside the sessions, again and again.

    A second is promised on a disk that takes a tenth of one for a sync; what the machine takes longer
    is no fault of the program and is given to it.
    """

    EVERY = 0.1

    def __init__(self, folder):
        self.path, self.begun, self.took = folder / "disk", time.monotonic(), []
        threading.Thread(target=self.work, daemon=True).start()

    def work(self):
        with open(self.path, "wb", buffering=0) as file:
            while True:
                self.begun = time.monotonic()
                file.write(b"x")
                os.fsync(file.fileno())
                time.sleep(self.EVERY)
                now = time.monotonic()
                self.took = [one for one in self.took if one[0] > now - 60] + [(now, now - self.begun - self.EVERY)]

    def slowest(self, since):
        """The longest that a sync took since then, one under way included."""
        now = time.monotonic()
        took = [took for ended, took in list(self.took) if ended > since] + [now - self.begun - self.EVERY]
        return max(took)


class Book:
    """Counts rounds, and keeps the folder of the first of each kind that broke."""

    def __init__(self, keep, disk, most_kept=40):
        self.keep, self.disk, self.most_kept = keep, disk, most_kept
        self.rounds, self.broken, self.cases = Counter(), Counter(), []
        self.done, self.most, self.skipped = Counter(), defaultdict(float), {}

    def second_before(self, moment, listening):
        """What was sent before this has to be in the file, where the program listened by then."""
        slow = self.disk.slowest(moment - 4)
        self.most["seconds that this disk took for a sync"] = max(slow, self.most["seconds that this disk took for a sync"])
        before = moment - 1 - max(0.0, slow - 0.1)
        return before if listening is not None and listening < before else float("-inf")

    def enter(self, promise, faults, folder, what):
        """One round of one promise: `faults` is what was wrong, in words, or nothing."""
        self.rounds[promise] += 1
        if not faults:
            return
        self.broken[promise] += 1
        kept = None
        if len(self.cases) < self.most_kept:
            kept = self.keep / f"{promise}-{self.broken[promise]}"
            shutil.rmtree(kept, ignore_errors=True)
            shutil.copytree(folder, kept, symlinks=True, ignore_dangling_symlinks=True)
            (kept / "why.txt").write_text(what + "\n" + "\n".join(faults) + "\n")
        self.cases.append((promise, what, faults, kept))
        print(f"  broken: {promise}: {what}: {shortened(faults[0])}", flush=True)

    def table(self):
        print("| promise | rounds | held | broken |\n| --- | --- | --- | --- |")
        for key, words in PROMISES.items():
            if self.rounds[key]:
                broken = self.broken[key]
                print(f"| {words} | {self.rounds[key]} | {self.rounds[key] - broken} | {broken} |")
        print()
        for what, count in self.done.items():
            print(f"{count} {what}")
        for what, most in self.most.items():
            print(f"{most:.1f} {what}, at most")
        for kind, why in self.skipped.items():
            print(f"skipped: {kind}: {why}")
        first = [case for n, case in enumerate(self.cases)
                 if [other[0] for other in self.cases[:n]].count(case[0]) < SHOWN_EACH]
        for promise, what, faults, kept in first:
            print(f"\nbroken: {PROMISES[promise]}\n  {what}, kept in {kept}")
            for fault in faults[:5]:
                print(f"  {shortened(fault)}")


def shortened(fault):
    """On one row; the whole stands in its folder."""
    said = " / ".join(fault.split("\n"))
    return said if len(said) < 400 else said[:200] + " ... " + said[-200:]


class Record:
    """A session file as it stands: numbers of its readings, its marks, and what is wrong with its lines."""

    def __init__(self, path):
        self.data = path.read_bytes() if path.exists() else b""
        self.readings, self.marks, self.facts, self.bad = [], [], Counter(), []
        lines = self.data.split(b"\n")
        self.torn = lines.pop()
        for n, line in enumerate(lines, 1):
            try:
                fact = json.loads(line)
            except ValueError:
                if line:
                    self.bad.append((n, line[:80]))
                continue
            if n == 1:
                continue
            if "a" in fact:
                self.readings.append(round(fact["a"] * 1e6))
            elif "mark" in fact:
                mark = fact["mark"]
                self.marks += [(mark["did"], label) for label in mark.get("what", [])]
            for key in fact:
                self.facts[key] += 1
            for what in fact.get("meter", {}):
                self.facts["meter " + what] += 1

    def readings_missing(self, sent, is_piped=True):
        """What is wrong with the readings, if these at least have to be in it. A pipe loses nothing, so
        within one life of the program no number is left out; between two at least a thousand are."""
        held, faults = set(self.readings), []
        holes = [(one, other) for one, other in zip(self.readings, self.readings[1:]) if 1 < other - one < 1000]
        if is_piped and holes:
            faults.append(f"{len(holes)} stretches are left out, the first between {holes[0]}")
        missing = [n for n in sent if n not in held]
        if missing:
            faults.append(f"{len(missing)} of {len(sent)} readings are missing, the first {missing[0]}, "
                          f"the last {missing[-1]}; the file ends with {self.readings[-3:]}")
        if len(held) != len(self.readings):
            twice = [n for n, count in Counter(self.readings).items() if count > 1]
            faults.append(f"readings stand twice: {twice[:5]}")
        if sorted(self.readings) != self.readings:
            faults.append("readings are not in their order")
        return faults

    def marks_missing(self, shown, typed):
        """What is wrong with the marks, if these were shown and those typed."""
        faults = [f"{did} {label} was shown and is not in the file" for did, label in shown
                  if (did, label) not in self.marks]
        order = [mark for mark in typed if mark in self.marks]
        if order != self.marks:
            faults.append(f"the file's marks are not those typed, in their order: {self.marks} of {typed}")
        return faults

    def torn_lines(self, crashes):
        """Lines that are none: after so many crashes at most so many."""
        return [f"line {n} is none: {line!r}" for n, line in self.bad] if len(self.bad) > crashes else []
