# SPDX-License-Identifier: MIT
"""The functions that runs of a program went through, as a script for the linker: those of the first run first.

    code_order.py PROGRAM MAP RUN...    MAP: the linker's map of PROGRAM; RUN: a file of callgrind, names not demangled
"""
import bisect
import re
import subprocess
import sys

HEAD = """/* SPDX-License-Identifier: MIT
   Written by tests/bench/code_order.sh: what a check and the other short words run, side by side. */
SECTIONS {
 .text.touched : {
"""
WHOLE_FILE = 1 << 15  # bytes of one section: most of it would not be run
TAIL = " }\n} INSERT BEFORE .text;\n"


def addresses(program):
    """Where each name stands."""
    of_name = {}
    told = subprocess.run(["nm", "--defined-only", program], check=True, capture_output=True, text=True).stdout
    for line in told.splitlines():
        place, kind, name = line.split(maxsplit=2)
        if kind in "tTwWiuV":
            of_name.setdefault(name, []).append(int(place, 16))
    return of_name


def sections(map_file):
    """(address, size, section, object) of all code, by address."""
    with open(map_file, encoding="utf-8") as f:
        text = f.read()
    text = text[text.index("Linker script and memory map"):]
    found = re.findall(r"^ (\.text\S*)\s+(0x[0-9a-f]+)\s+(0x[0-9a-f]+)\s+(\S+)$", text, re.M)
    return sorted((int(a, 16), int(size, 16), name, where) for name, a, size, where in found if int(size, 16) > 0)


def functions(run):
    """The names that a run went through, in the order in which the file has them."""
    with open(run, encoding="utf-8") as f:
        for line in f:
            match = re.match(r"c?fn=\(\d+\) (.+)", line)
            if match:
                yield re.sub(r"'\d+$", "", match[1])


def archived(where):
    """The archive, libm-2.36.a without its version, and the file in it."""
    member = re.search(r"/(lib[^/]+\.a)\((\S+)\)$", where)
    return (re.sub(r"-[0-9.]+\.a$", "*.a", member[1]), member[2]) if member else ("", "")


def pattern(size, section, where, others):
    """What the linker is told. Parts of archives that are one section a file are named by their file, and with the
    variants for other processors, which the machine that looked has not run."""
    if re.search(r"_Z|_GLOBAL_|__cxa|__dynamic_cast", section):
        return [f"*({section})"]
    archive, part = archived(where)
    if not archive or size > WHOLE_FILE:
        return []
    parts = {part} | {p for p in others.get(archive, ()) if alike(p) == alike(part)}
    return [f"*{archive}:{p}(.text .text.*)" for p in sorted(parts)]


def alike(part):
    """strlen-avx2.o and strlen-evex.o are variants of one another, for processors met today."""
    return re.sub(r"-(avx2?|evex)(-|\.)", r"-*\2", part)


def main():
    program, map_file, runs = sys.argv[1], sys.argv[2], sys.argv[3:]
    of_name = addresses(program)
    lying = sections(map_file)
    starts = [s[0] for s in lying]
    others = {}
    for _, _, _, where in lying:
        archive, part = archived(where)
        others.setdefault(archive, set()).add(part)
    told = {}
    for run in runs:
        fresh = set()
        for name in functions(run):
            for address in of_name.get(name, ()):
                i = bisect.bisect(starts, address) - 1
                if i >= 0 and address < lying[i][0] + lying[i][1]:
                    fresh.update(pattern(*lying[i][1:], others))
        for line in sorted(fresh):
            told.setdefault(line)
    sys.stdout.write(HEAD + "".join(f"  {line}\n" for line in told) + TAIL)


if __name__ == "__main__":
    main()
