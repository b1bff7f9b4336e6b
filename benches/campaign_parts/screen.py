"""What a terminal would show: as much of one as the board makes use of."""

import codecs
import re

CONTROL = re.compile(
    r"\x1b\[(?P<args>[?>=0-9;]*)(?P<end>[@-~])|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[^\[\]]"
)


class Screen:
    """Rows of characters; colours are nobody's business here."""

    def __init__(self, columns, rows):
        self.size(columns, rows)
        self.text = codecs.getincrementaldecoder("utf-8")("replace")
        self.rest = ""
        self.modes = {"25"}

    def size(self, columns, rows):
        self.columns, self.lines = columns, rows
        self.cells = [[" "] * columns for _ in range(rows)]
        self.at = [0, 0]

    def feed(self, data):
        text, i = self.rest + self.text.decode(data), 0
        self.rest = ""
        while i < len(text):
            sign = text[i]
            if sign == "\x1b":
                found = CONTROL.match(text, i)
                if not found:
                    # The end of it has not come yet, or it is none.
                    if len(text) - i < 4096:
                        self.rest = text[i:]
                        return
                    i += 1
                    continue
                if found["end"]:
                    self.control(found["args"], found["end"])
                i = found.end()
                continue
            self.put(sign)
            i += 1

    def put(self, sign):
        row, column = self.at
        if sign == "\r":
            self.at[1] = 0
        elif sign == "\n":
            if row + 1 < self.lines:
                self.at[0] += 1
            else:
                self.cells = self.cells[1:] + [[" "] * self.columns]
        elif sign == "\b":
            self.at[1] = max(0, column - 1)
        elif sign >= " ":
            if row < self.lines and column < self.columns:
                self.cells[row][column] = sign
            self.at[1] += 1

    def control(self, args, end):
        if args.startswith("?"):
            for mode in args[1:].split(";"):
                (self.modes.add if end == "h" else self.modes.discard)(mode)
                if mode == "1049":
                    self.size(self.columns, self.lines)
            return
        numbers = [int(n) if n.isdigit() else 0 for n in args.split(";")]
        one = max(1, numbers[0])
        row, column = self.at
        if end in "Hf":
            column = numbers[1] if len(numbers) > 1 else 1
            self.at = [min(one, self.lines) - 1, max(1, column) - 1]
        elif end == "A":
            self.at[0] = max(0, row - one)
        elif end == "B":
            self.at[0] = min(self.lines - 1, row + one)
        elif end == "C":
            self.at[1] = column + one
        elif end == "D":
            self.at[1] = max(0, column - one)
        elif end == "G":
            self.at[1] = one - 1
        elif end == "d":
            self.at[0] = min(one, self.lines) - 1
        elif end == "J":
            self.cells = [[" "] * self.columns for _ in range(self.lines)]
        elif end == "K" and row < self.lines:
            self.cells[row][column:] = [" "] * max(0, self.columns - column)

    def rows(self):
        return ["".join(row).rstrip() for row in self.cells]

    def is_board(self):
        return "1049" in self.modes
