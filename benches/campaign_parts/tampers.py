"""Sealed sessions, changed in one place each: does `check` see it?"""

import re
import shutil

from .program import ROOT, run

BASES = ("steady-draw", "late-fall", "two-boxes", "short-wakes", "false-floor")


def turned(data, dice, barred):
    """One bit turned, outside of what is barred."""
    at = dice.randrange(len(data) - 1)
    while at in barred:
        at = dice.randrange(len(data) - 1)
    changed = bytearray(data)
    changed[at] ^= 1 << dice.randrange(8)
    return bytes(changed), f"a bit of byte {at} turned"


def changed(data, dice):
    """The file changed in one place, and how in words."""
    lines = data.splitlines(keepends=True)
    # The one thing that no seal covers: the time on its own line.
    start = len(data) - len(lines[-1])
    time = re.match(rb'\{"t":([0-9.-]+)', lines[-1])
    barred = range(start + time.start(1), start + time.end(1))
    how, n = dice.choice(("cut", "bit", "bit", "drop", "double", "swap", "add", "digit")), dice.randrange(len(lines))
    if how == "cut":
        at = dice.randrange(len(data))
        return data[:at], f"cut to {at} of {len(data)} bytes"
    if how == "bit":
        return turned(data, dice, barred)
    if how == "drop":
        del lines[n]
    elif how == "double":
        lines.insert(n, lines[n])
    elif how == "swap":
        n = dice.randrange(1, len(lines))
        lines[n - 1], lines[n] = lines[n], lines[n - 1]
    elif how == "add":
        lines.insert(n + 1, b'{"t":12.000,"a":0.050}\n')
    else:
        spots = [m.start() for m in re.finditer(rb"[0-9]", data) if m.start() not in barred]
        at = dice.choice(spots)
        digit = str((int(data[at:at + 1]) + dice.randint(1, 9)) % 10).encode()
        return data[:at] + digit + data[at + 1:], f"a digit at byte {at} changed"
    return b"".join(lines), f"{how} at line {n + 1}"


def rounds(book, program, fresh, dice, count):
    folder = fresh()
    bases = []
    for name in BASES:
        shutil.copy(ROOT / "sample-sessions" / f"{name}.lull", folder / "hunt.lull")
        code, said = run(program, ["check", "hunt.lull"], folder)
        book.enter("check", [] if code == 0 else [f"unchanged, and refused: {said}"], folder, f"{name} unchanged")
        bases.append((name, (folder / "hunt.lull").read_bytes()))
    for n in range(count):
        name, data = dice.choice(bases)
        tampered, how = changed(data, dice)
        (folder / "hunt.lull").write_bytes(tampered)
        faults = []
        code, said = run(program, ["check", "hunt.lull"], folder)
        if tampered == data:
            continue
        if code != 1 or not said.strip() or "panicked" in said:
            faults.append(f"check ended with {code}: {said}")
        if n % 4 == 0:
            code, said = run(program, ["judge", "hunt.lull"], folder)
            if code not in (0, 1, 3, 4) or "panicked" in said:
                faults.append(f"judge ended with {code}: {said}")
        book.enter("check", faults, folder, f"{name}, {how}")
        book.done["files changed in one place"] += 1
