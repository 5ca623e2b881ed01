#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
# data/schema read by another reader of the same standard (python3-jsonschema): each is a right schema of its draft,
# and says of real documents, whole and made wrong, what tests/support/json_schema.cpp says of them.
#   python3 tests/peers/schemas.py build/quarterturn        from the root
import glob
import json
import os
import subprocess
import sys
import tempfile

import jsonschema

PROGRAM = sys.argv[1]


def run(*arguments):
    return subprocess.run([PROGRAM, *arguments], check=True, capture_output=True, text=True).stdout


home = tempfile.TemporaryDirectory(prefix="quarterturn-")
os.environ["XDG_DATA_HOME"] = home.name
os.environ.pop("QUARTERTURN_LOG", None)
schemas = {}
for path in glob.glob("data/schema/*.json"):
    with open(path, encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    schemas[os.path.basename(path)[:-5]] = jsonschema.Draft202012Validator(schema)

documents = []
for path in sorted(glob.glob("examples/stations/*.json")):
    with open(path, encoding="utf-8") as file:
        documents.append(("station", path, json.load(file)))
for path in sorted(glob.glob("examples/readings/*")):
    owner = os.path.basename(path).split("-")[0]
    setup = [] if owner != "tour" else ["--setup", "mitre" if "frame" in path else "crosscut"]
    for word in ("check", "correct"):
        told = run(word, path, "--station", f"examples/stations/{owner}.json", *setup, "--json")
        documents.append(("check", path, json.loads(told)))
for name in ("dock", "loft"):
    run("station", "add", f"examples/stations/{name}.json")
run("log", "import", *glob.glob("examples/logs/*/*.csv"), "examples/logs/events.csv")
for schema, words in {
    "log": ["log", "export"],
    "log-list": ["log", "list", "--json"],
    "log-check": ["log", "show", "dock/1", "--json"],
    "history": ["history", "--station", "loft", "--json"],
    "find": ["find", "--station", "dock", "--json"],
    "plan": ["plan", "--station", "dock", "--json"],
    "stations": ["station", "list", "--json"],
    "shims": ["shims", "list", "--station", "dock", "--json"],
    "calipers": ["caliper", "list", "--station", "dock", "--json"],
    "caliper-trial": ["caliper", "--trial", "22.74 22.73 22.75", "--json"],
    "survey": ["survey", "examples/surveys/loft.csv", "--station", "examples/stations/loft.json", "--json"],
}.items():
    documents.append((schema, " ".join(words), json.loads(run(*words))))

for check in ("dock/1", "loft/9"):
    words = ["report", check, "--format", "json", "--output", "-"]
    documents.append(("check", " ".join(words), json.loads(run(*words))))
words = ["correct", "examples/readings/loft-wet.csv", "--station", "examples/stations/loft.json", "--survey",
         "examples/surveys/loft.csv", "--json"]
documents.append(("check", " ".join(words), json.loads(run(*words))))

faults = [f"no document of {name}" for name in schemas if name not in {d[0] for d in documents}]
for schema, label, document in documents:
    faults += [f"{label}: {error.message}" for error in schemas[schema].iter_errors(document)]
    for key in document:
        wrong = dict(document, **{key: 12.5 if isinstance(document[key], (str, dict, list, bool)) else "a word"})
        if schemas[schema].is_valid(wrong):
            faults.append(f"{label}: {key} of a wrong type is not refused")
print(*faults, sep="\n", end="\n" if faults else "")
print(f"{len(schemas)} schemas, {len(documents)} documents, {len(faults)} faults")
sys.exit(1 if faults else 0)
