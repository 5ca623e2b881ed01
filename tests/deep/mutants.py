#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Mutants of src/stats and src/correct, and how many of them the suites notice.

    python3 tests/deep/mutants.py BUILD [--mutants 260] [--seed 1] [--only N,N] [--keep FOLDER]

BUILD is a release build of library and tests. A copy of the two folders gets all its mutants at once, each under a
number (tests/deep/mutant.hpp), and is compiled and linked before the library once; a run of the suites with
QUARTERTURN_MUTANT=N is then mutant N. Nothing outside the copy is written. Survivors have to stand in
tests/deep/mutants_survive.csv with a reason, and a reason there has to be needed.
"""
import argparse, collections, concurrent.futures, csv, json, os, random, re, shlex, shutil, subprocess, sys, tempfile, time

from mutant_sites import sites_of, written

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
FOLDERS = ("stats", "correct")
HEADERS = ("src/stats/root.hpp", "src/stats/streams.hpp")
# In this order, what kills soonest first; only suites that run in the test program itself.
SUITES = {"stats": ("stats", "check", "plan", "history", "survey", "app"),
          "correct": ("correct", "app", "plan", "report")}
NO_MUTANT = 77  # the operator's other side does not exist for these types
KILLED_AT = 0.90


def files():
    found = [f"src/{folder}/{name}" for folder in FOLDERS for name in sorted(os.listdir(f"{ROOT}/src/{folder}"))]
    return [f for f in found if f.endswith(".cpp") or f in HEADERS]


def chosen(count, seed):
    """Mutants a file by the root of its places, kinds in turn: big files and common kinds do not crowd out others."""
    texts = {f: open(f"{ROOT}/{f}", encoding="utf-8").read() for f in files()}
    places = {f: sites_of(text) for f, text in texts.items()}
    weight = {f: len(p) ** 0.5 for f, p in places.items()}
    whole = sum(weight.values())
    picked = {}
    for f in files():
        rng = random.Random(f"{seed} {f}")
        kinds = collections.defaultdict(list)
        for place in places[f]:
            kinds[place.kind].append(place)
        for group in kinds.values():
            rng.shuffle(group)
        order = sorted(kinds)
        want = min(len(places[f]), max(1, round(count * weight[f] / whole))) if places[f] else 0
        picked[f] = []
        while len(picked[f]) < want:
            for kind in order:
                if kinds[kind] and len(picked[f]) < want:
                    picked[f].append(kinds[kind].pop())
    number = 0
    for f in files():
        picked[f].sort(key=lambda place: place.at)
        for place in picked[f]:
            number += 1
            place.number, place.file = number, f
            place.line = texts[f].count("\n", 0, place.at) + 1
            place.shown = texts[f].split("\n")[place.line - 1].strip()
    return texts, picked


def run(command, cwd, **more):
    return subprocess.run(command, cwd=cwd, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **more)


class Build:
    def __init__(self, build, copy):
        self.build, self.copy = os.path.abspath(build), copy
        with open(f"{self.build}/compile_commands.json", encoding="utf-8") as f:
            self.commands = {os.path.relpath(c["file"], ROOT): c["command"] for c in json.load(f)}
        self.program = f"{copy}/mutants"

    def includers(self):
        """Test sources that see one of the mutated headers; other folders keep the sources' own."""
        said = run(["ninja", "-C", self.build, "-t", "deps"], ROOT).stdout
        seen, target = set(), ""
        for line in said.splitlines():
            if line and not line.startswith(" "):
                target = line.split(":")[0]
            elif any(line.strip().endswith(h) for h in HEADERS):
                source = re.sub(r"^.*?\.dir/(.*)\.o$", r"\1", target)
                if source.startswith(tuple(f"tests/{f}/" for f in FOLDERS)):
                    seen.add(source)
        return sorted(seen)

    def command(self, source, target):
        words = shlex.split(self.commands[source])
        words = [w for w in words if not re.match(r"-W|-O\d|-g|-Wp", w)]
        if os.path.basename(words[0]) == "ccache":
            words = words[1:]
        words[words.index("-o") + 1] = target
        words[words.index("-c") + 1] = f"{self.copy}/{source}"
        words = [f"-I{self.copy}/src" if w == f"-I{ROOT}/src" else w for w in words]
        return words + ["-O1", "-w", "-include", f"{ROOT}/tests/deep/mutant.hpp", "-I", f"{ROOT}/tests"]

    def link(self, objects):
        said = run(["ninja", "-C", self.build, "-t", "commands", "quarterturn_tests"], ROOT).stdout
        words = shlex.split(said.strip().splitlines()[-1])
        words = words[words.index("&&") + 1:] if words[0] == ":" else words
        words = words[:words.index("&&")] if "&&" in words else words
        words[words.index("-o") + 1] = self.program
        replaced = {o for o in words if o.endswith(".o") and o.split(".dir/", 1)[1][:-2] in objects}
        words = [w for w in words if w not in replaced]
        first = next(i for i, w in enumerate(words) if w.endswith(".o"))
        words[first:first] = list(objects.values()) + ["-fuse-ld=lld"]
        done = run(words, self.build)
        if done.returncode:
            sys.exit("linking failed:\n" + done.stdout[-3000:])


def compiled(build, source, texts, picked):
    """The object of one source; places that do not compile under a mutant are left out, and said."""
    target = f"{build.copy}/{source}.o"
    left_out = []
    for _ in range(8):
        if source in texts:
            with open(f"{build.copy}/{source}", "w", encoding="utf-8") as f:
                f.write(written(texts[source], picked[source]))
        done = run(build.command(source, target), build.build)
        if done.returncode == 0:
            return target, left_out
        lines = {int(n) for n in re.findall(re.escape(f"/{source}") + r":(\d+):", done.stdout)}
        bad = [p for p in picked.get(source, []) if p.lines & lines]
        bad = bad or [p for p in picked.get(source, []) if p.constant]
        if not bad:
            sys.exit(f"{source} does not compile:\n{done.stdout[:3000]}")
        left_out += bad
        picked[source] = [p for p in picked[source] if p not in bad]
    sys.exit(f"{source} does not compile without its mutants")


def tried(build, place, suites, seconds):
    """-> killed by what, or None; 'timeout'; 'none'."""
    stem = os.path.splitext(os.path.basename(place.file))[0]
    folder = place.file.split("/")[1]
    first = f"*tests/{folder}/{stem}_test.cpp"
    asked = [("--source-file=" + first,)] + [("--test-suite=" + s,) for s in suites]
    environment = dict(os.environ, QUARTERTURN_MUTANT=str(place.number), XDG_DATA_HOME=f"{build.copy}/home")
    for arguments in asked:
        limit = seconds.get(arguments[0].split("=")[1], max(seconds.values()))
        try:
            done = subprocess.run([build.program, *arguments, "--test-suite-exclude=coverage", "--abort-after=1", "--no-colors"],
                                  env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, timeout=limit)
        except subprocess.TimeoutExpired:
            return "timeout"
        place.reached = place.reached or b"mutant reached" in done.stderr
        if done.returncode == NO_MUTANT:
            return "none"
        if done.returncode:
            return arguments[0].split("=")[1]
    return None


def stands(key):
    """Whether the line of a reason is there still."""
    file, line, _ = key
    with open(f"{ROOT}/{file}", encoding="utf-8") as f:
        return line.rsplit(" @ ", 1)[0] in f.read()


def reasons():
    path = f"{ROOT}/tests/deep/mutants_survive.csv"
    with open(path, encoding="utf-8", newline="") as f:
        return {(r["file"], r["line"], r["kind"]): r["reason"] for r in csv.DictReader(f)}


def main():
    asked = argparse.ArgumentParser()
    asked.add_argument("build")
    asked.add_argument("--mutants", type=int, default=260)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", default="")
    asked.add_argument("--keep", default="")
    asked.add_argument("--jobs", type=int, default=os.cpu_count())
    given = asked.parse_args()
    texts, picked = chosen(given.mutants, given.seed)
    copy = given.keep or tempfile.mkdtemp(prefix="mutants-")
    copy = os.path.abspath(copy)
    try:
        for folder in ("src", "tests"):
            shutil.copytree(f"{ROOT}/{folder}", f"{copy}/{folder}", dirs_exist_ok=True)
        judge(given, Build(given.build, copy), texts, picked)
    finally:
        if not given.keep:
            shutil.rmtree(copy, ignore_errors=True)


def judge(given, build, texts, picked):
    started = time.monotonic()
    for header in HEADERS:  # before anything that includes them
        with open(f"{build.copy}/{header}", "w", encoding="utf-8") as f:
            f.write(written(texts[header], picked[header]))
    sources = [f for f in files() if f.endswith(".cpp")] + build.includers()
    with concurrent.futures.ThreadPoolExecutor(given.jobs) as pool:
        objects = dict(zip(sources, pool.map(lambda s: compiled(build, s, texts, picked), sources)))
    uncompiled = sum(len(left) for _, left in objects.values())
    build.link({s: o for s, (o, _) in objects.items()})
    print(f"compiled and linked in {time.monotonic() - started:.0f} s; {uncompiled} places left out, as they do not compile",
          flush=True)
    seconds = {}
    for suite in sorted({s for group in SUITES.values() for s in group}):
        begun = time.monotonic()
        done = subprocess.run([build.program, f"--test-suite={suite}", "--no-colors"], stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, text=True,
                              env=dict(os.environ, XDG_DATA_HOME=f"{build.copy}/home"))
        if done.returncode:
            sys.exit(f"without a mutant the suite {suite} fails:\n{done.stdout[-3000:]}")
        taken = time.monotonic() - begun
        seconds[suite] = 10 + 8 * taken
        print(f"suite {suite}: {taken:.1f} s", flush=True)
    places = [p for f in files() for p in picked[f]]
    if given.only:
        wanted = {int(n) for n in given.only.split(",")}
        places = [p for p in places if p.number in wanted]
    def one(place):
        place.killer = tried(build, place, SUITES[place.file.split("/")[1]], seconds)
        if place.killer is None:
            print(f"survives: {place.number} {place.file}:{place.line} {place.kind} `{place.what}`"
                  f" {'reached' if place.reached else 'NOT REACHED'}: {place.shown}", flush=True)
    with concurrent.futures.ThreadPoolExecutor(given.jobs) as pool:
        list(pool.map(one, places))
    told(places, started, partly=bool(given.only))


def told(places, started, partly):
    real = [p for p in places if p.killer != "none"]
    killed = [p for p in real if p.killer is not None]
    late = [p for p in killed if p.killer == "timeout"]
    print("\n| kind | mutants | killed |\n| --- | --- | --- |")
    for kind in sorted({p.kind for p in real}):
        mine = [p for p in real if p.kind == kind]
        print(f"| {kind} | {len(mine)} | {sum(p.killer is not None for p in mine)} |")
    known = reasons()
    survivors = {(p.file, p.line_text(), p.kind): p for p in real if p.killer is None}
    without = [p for key, p in survivors.items() if key not in known]
    # Which places are looked at depends on all sources: a reason for one that was not looked at stays.
    tested = {(p.file, p.line_text(), p.kind) for p in real}
    unneeded = [] if partly else [key for key in known if key in tested and key not in survivors or not stands(key)]
    print(f"\n{len(real)} mutants in {len({p.file for p in real})} files; killed {len(killed)} "
          f"({100 * len(killed) / max(1, len(real)):.1f} %), {len(late)} of them by the clock; {len(survivors)} survive, "
          f"{len(without)} without a reason; {time.monotonic() - started:.0f} s")
    for p in late:
        print(f"killed by the clock: {p.file}:{p.line} {p.kind} `{p.what}`: {p.shown}")
    for p in without:
        print(f"no reason: {p.file}:{p.line} {p.kind} `{p.what}`: {p.shown}")
    for key in unneeded:
        print("a reason that is not needed:", *key)
    if len(killed) < KILLED_AT * len(real) or without or unneeded:
        sys.exit(1)


if __name__ == "__main__":
    main()
