#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Every number that programs of the same sources tell, compared.

    python3 tests/deep/builds_compare.py FOLDER PROGRAM PROGRAM...

The first program is the one the others are held against. A number may differ by 1e-12 of itself or by 1e-15 (an
angle that is nothing but rounding); words have to be the same.
"""
import glob, json, os, subprocess, sys

RELATIVE, ABSOLUTE = 1e-12, 1e-15
PASSING = {"recorded", "id", "today", "now", "version", "program"}  # the clock, and names drawn by chance


def rows_reversed(text):
    lines = text.splitlines()
    rows = [n for n, line in enumerate(lines) if line[:1].isdigit() or line.startswith("distance,")]
    for a, b in zip(rows[: len(rows) // 2], reversed(rows)):
        lines[a], lines[b] = lines[b], lines[a]
    return "\n".join(lines) + "\n"


def cases():
    """-> name, arguments, standard input"""
    for path in sorted(glob.glob("examples/readings/*.csv")):
        station = "examples/stations/" + os.path.basename(path).split("-")[0] + ".json"
        base = ["check", "-", "--station", station, "--json", "--no-log"]
        with open(path, encoding="utf-8") as f:
            text = f.read()
        yield "check " + path, base, text
        yield "check, rows in reverse, " + path, base, rows_reversed(text)
        yield "correct " + path, ["correct", *base[1:]], text
    for path in sorted(glob.glob("examples/surveys/*.csv")):
        station = "examples/stations/" + os.path.basename(path)[:-4].split("-")[0] + ".json"
        yield "survey " + path, ["survey", path, "--station", station, "--json"], ""
    for spots in ("2", "3"):
        given = ["--tolerance", "0.10 over 600", "--fence-baseline", "384", "--spots", spots]
        yield f"plan, {spots} places", ["plan", *given, "--json"], ""


def told(program, folder, arguments, text):
    environment = dict(os.environ, XDG_DATA_HOME=os.path.abspath(folder), XDG_STATE_HOME=os.path.abspath(folder))
    done = subprocess.run([program, *arguments], input=text, text=True, capture_output=True, env=environment)
    return done.returncode, done.stdout, done.stderr


def flat(value, at=""):
    if isinstance(value, dict):
        for key, part in value.items():
            if key not in PASSING:
                yield from flat(part, f"{at}/{key}")
    elif isinstance(value, list):
        for n, part in enumerate(value):
            yield from flat(part, f"{at}/{n}")
    else:
        yield at, value


def compared(one, other):
    """-> numbers, those that are not the same to the last bit, the largest relative difference and where, what is wrong"""
    a, b = dict(flat(one)), dict(flat(other))
    worst, where, wrong, count, unlike = 0.0, "", [], 0, 0
    for key in sorted(a.keys() | b.keys()):
        x, y = a.get(key), b.get(key)
        number = all(isinstance(v, (int, float)) and not isinstance(v, bool) for v in (x, y))
        if not number:
            if x != y:
                wrong.append(f"{key}: {x!r} and {y!r}")
            continue
        count += 1
        apart = abs(x - y)
        unlike += x != y
        if apart <= ABSOLUTE:
            continue
        relative = apart / max(abs(x), abs(y))
        if relative > worst:
            worst, where = relative, key
        if relative > RELATIVE:
            wrong.append(f"{key}: {x!r} and {y!r}")
    return count, unlike, worst, where, wrong


def main():
    folder, programs = sys.argv[1], sys.argv[2:]
    failed = False
    for program in programs[1:]:
        numbers, unlike, worst, where = 0, 0, 0.0, ""
        for name, arguments, text in cases():
            first = told(programs[0], folder, arguments, text)
            again = told(program, folder, arguments, text)
            if first[0] or again[0]:
                failed = True
                print(f"{program}: {name}: {first[0]} {first[2]!r} and {again[0]} {again[2]!r}")
                continue
            count, odd, apart, key, wrong = compared(json.loads(first[1]), json.loads(again[1]))
            numbers += count
            unlike += odd
            if apart > worst:
                worst, where = apart, f"{name} {key}"
            for line in wrong[:3]:
                failed = True
                print(f"{program}: {name}: {line}")
        print(f"{program} beside {programs[0]}: {numbers} numbers, {unlike} not the same to the last bit, "
              f"largest relative difference above 1e-15 {worst:.1e} ({where})", flush=True)
    sys.exit(failed)


main()
