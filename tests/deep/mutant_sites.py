# SPDX-License-Identifier: MIT
"""Where a C++ source of this house's format can be mutated, and its text with mutants written in."""
import re
from dataclasses import dataclass, field

BINARY = {"+": 1, "-": 2, "*": 3, "/": 4}
COMPARE = {"<": 5, "<=": 6, ">": 7, ">=": 8, "==": 9, "!=": 10}


@dataclass(eq=False)
class Place:
    kind: str
    at: int
    what: str
    edits: list  # (position, rank at one position, characters replaced, text with NUMBER)
    constant: bool = False  # of a constexpr, which becomes const
    lines: set = field(default_factory=set)
    number: int = 0
    file: str = ""
    line: int = 0
    shown: str = ""
    reached: bool = False
    killer: str = None

    def line_text(self):
        return f"{self.shown} @ {self.what}"


def masked(text):
    """Comments and literals of text blanked, places kept."""
    blank = lambda m: re.sub(r"[^\n]", " ", m.group(0))
    return re.sub(r'//[^\n]*|/\*.*?\*/|"(?:\\.|[^"\\\n])*"|(?<![\w])\'(?:\\.|[^\'\\\n])+\'|^[ \t]*#[^\n]*', blank, text,
                  flags=re.S | re.M)


def matching(code, at):
    """The place of the bracket that closes the one at `at`."""
    depth = 0
    for i in range(at, len(code)):
        if code[i] in "([{":
            depth += 1
        elif code[i] in ")]}":
            depth -= 1
            if depth == 0:
                return i
    return len(code)


def in_functions(code):
    """One flag a character: whether it is in the body of a function."""
    flags = bytearray(len(code))
    i = 0
    while i < len(code):
        if code[i] == "{":
            before = code[max(code.rfind(c, 0, i) for c in ";{}") + 1:i]
            if re.search(r"\b(namespace|struct|class|union)\b", before) and "(" not in before:
                pass  # its content is looked at in turn
            elif ")" in before and not re.search(r"=\s*$", before) and not re.search(r"\benum\b", before):
                end = matching(code, i)
                if not re.search(r"\bconstexpr\b", before):  # it has to stay one
                    flags[i:end] = b"\1" * (end - i)
                i = end
            else:
                i = matching(code, i)
        i += 1
    return flags


def sites_of(text):
    code = masked(text)
    inside = in_functions(code)
    places = []
    add = lambda *a, **k: places.append(Place(*a, **k))

    for m in re.finditer(r"(?<=\s)(<=|>=|==|!=|[-+*/<>])(?=\s)", code):
        if not inside[m.start()] or re.search(r"\b(operator|return|template)\s*$", code[:m.start()][-12:]):
            continue
        op = m.group(1)
        kind, word = ("arithmetic", BINARY[op]) if op in BINARY else ("comparison", COMPARE[op])
        add(kind, m.start(), op, [(m.start(), 5, len(op), f"{op} mutant::M<NUMBER, {word}>{{}} {op}")])

    for m in re.finditer(r"(?<=[\s(\[{,])-(?=[A-Za-z_(0-9.])", code):
        before = code[:m.start()].rstrip()
        if inside[m.start()] and not before.endswith(("*", "/", "<", "case")):
            add("sign", m.start(), "-", [(m.start(), 5, 1, "mutant::Minus<NUMBER>{} * ")])

    for m in re.finditer(r"(?<=\s)([-+]=)\s", code):
        end = code.find(";", m.end())
        value = code[m.end():end]
        if inside[m.start()] and "{" not in value and value.count("(") == value.count(")"):
            add("sign", m.start(), m.group(1), [(m.end(), 1, 0, "mutant::more<NUMBER>("), (end, 0, 0, ")")])

    number = r"(?<![\w.])(\d+\.\d*(?:[eE][-+]?\d+)?|\d+(?:[eE]-?\d+)?)(?![\w.'])"
    for m in re.finditer(number, code):
        line = code[code.rfind("\n", 0, m.start()) + 1:code.find("\n", m.end())]
        statement = code[max(code.rfind(c, 0, m.start()) for c in ";{}") + 1:m.start()]
        constant = re.match(r"\s*(static )?constexpr (double|int|std::size_t) \w+\s*=", statement)
        around = code[m.start() - 1] + code[m.end()]
        if "<" in around or ">" in around or re.search(r"\b(case|static_assert|template)\b", line):
            continue
        edits = [(m.start(), 5, len(m.group(1)), f"mutant::number<NUMBER>({m.group(1)})")]
        if constant:
            word = code.rfind("constexpr", 0, m.start())
            edits.append((word, 9, len("constexpr"), "const"))
            add("constant", m.start(), m.group(1), edits, constant=True)
        elif inside[m.start()] and "constexpr" not in statement:
            add("constant", m.start(), m.group(1), edits)

    starts = {m.end() for m in re.finditer(r"[;{}]\s*", code)}
    for m in re.finditer(r"\b(if|for|while) \(", code):
        close = matching(code, m.end() - 1)
        if not inside[m.start()]:
            continue
        follows = re.match(r"\s*", code[close + 1:])
        starts.add(close + 1 + follows.end())
        if m.group(1) != "if":
            continue
        begin = max(m.end(), code.rfind(";", m.end(), close) + 1)
        if not re.search(r"[\w>*&] = |\w = |^\s*\w+ \w+\(", code[begin:close]) and "[" not in code[begin:close].split("(")[0]:
            add("condition", m.start(), "if", [(begin, 0, 0, "mutant::condition<NUMBER>(static_cast<bool>("), (close, 3, 0, "))")])

    for m in re.finditer(r"\belse\s+(?!if\b|\{)", code):
        starts.add(m.end())
    statement = re.compile(r"(?!return\b|delete\b|using\b|const\b|else\b|if\b|for\b|while\b|do\b|switch\b|case\b|break\b|continue\b|default\b)"
                           r"(throw [^;]*|(\+\+|--)[\w.>\-\[\]()]+|\*?[\w.:>\-\[\]()*]+ (=|\+=|-=|\*=|/=) [^;]*|[\w.:>\-]+\([^;]*\))$")
    for at in sorted(starts):
        if at >= len(code) or not inside[at - 1]:
            continue
        end = code.find(";", at)
        body = code[at:end]
        if end < 0 or any(body.count(a) != body.count(b) for a, b in ("()", "{}", "[]")) or not statement.match(body.replace("\n", " ")):
            continue
        what = re.split(r"[ (]", body, maxsplit=1)[0]
        add("statement", at, what, [(at, -1, 0, "(void)(mutant::kept<NUMBER>() && ((void)("), (end, 1, 0, "), true))")])
    for place in places:
        last = max(position + length for position, _, length, _ in place.edits)
        first = text.count("\n", 0, min(p for p, *_ in place.edits)) + 1
        place.lines = set(range(first, text.count("\n", 0, last) + 2))
    return places


def written(text, places):
    edits = {}
    for place in places:
        for position, rank, length, new in place.edits:
            # two numbers of one constexpr ask for the same word
            edits[(position, rank, new if length == 0 else "")] = (position, rank, length, new.replace("NUMBER", str(place.number)))
    for position, _, length, new in sorted(edits.values(), reverse=True):
        text = text[:position] + new + text[position + length:]
    return text
