#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""What of src/ was run, a row a folder, from `llvm-cov export -summary-only`; lines that were not, by file.

    python3 tests/deep/coverage_table.py SUMMARY.json ROOT

Fails under 95 % of the lines or 85 % of the branches of all of src/.
"""
import collections, json, os, sys

LINES, BRANCHES = 95.0, 85.0


def main():
    with open(sys.argv[1], encoding="utf-8") as f:
        files = json.load(f)["data"][0]["files"]
    src = os.path.join(os.path.abspath(sys.argv[2]), "src") + os.sep
    built = os.path.dirname(os.path.abspath(sys.argv[1]))
    folders = collections.defaultdict(lambda: [0, 0, 0, 0])
    worst = []
    for one in files:
        path = os.path.normpath(os.path.join(built, one["filename"]))  # a compiler cache leaves them relative
        if not path.startswith(src):
            continue
        name = path[len(src):]
        lines, branches = one["summary"]["lines"], one["summary"]["branches"]
        row = [lines["count"], lines["covered"], branches["count"], branches["covered"]]
        for key in (name.split(os.sep)[0] if os.sep in name else "main.cpp", "all"):
            folders[key] = [a + b for a, b in zip(folders[key], row)]
        worst.append((row[0] - row[1], row[2] - row[3], name))
    share = lambda count, covered: 100.0 * covered / count if count else 100.0
    print("| folder | lines | % run | branches | % taken |\n| --- | --- | --- | --- | --- |")
    for key in sorted(folders, key=lambda k: (k == "all", k)):
        n, run, b, taken = folders[key]
        print(f"| {key} | {n} | {share(n, run):.1f} | {b} | {share(b, taken):.1f} |")
    print("\nMost lines not run: " + ", ".join(f"{name} {lines}" for lines, _, name in sorted(worst, reverse=True)[:12]))
    n, run, b, taken = folders["all"]
    if share(n, run) < LINES or share(b, taken) < BRANCHES:
        sys.exit(f"under {LINES} % of the lines or {BRANCHES} % of the branches")


main()
