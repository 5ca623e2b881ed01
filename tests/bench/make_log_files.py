# SPDX-License-Identifier: MIT
"""Readings files for a long log, a strip of three places each, one check every 25 minutes; all invented.

    python3 make_log_files.py COUNT FOLDER
"""
import datetime
import os
import random
import sys

count, folder = int(sys.argv[1]), sys.argv[2]
os.makedirs(folder, exist_ok=True)
draw = random.Random(7)
at = datetime.datetime(2020, 1, 1, 6, 0)
for i in range(count):
    at += datetime.timedelta(minutes=25)
    eta = draw.gauss(0, 2e-5) + (1e-5 if i > count // 2 else 0)
    width = draw.uniform(13, 24)
    rows = []
    for place in (15, 250, 495):
        two = [f"{width + 4 * eta * place + draw.gauss(0, 0.012):.2f}" for _ in range(2)]
        rows.append(f"1,1,5,{place},{' '.join(two)}")
    with open(f"{folder}/{i:06d}.csv", "w", encoding="ascii") as out:
        out.write("# station: dock\n# setup: crosscut\n"
                  f"# date: {at:%Y-%m-%dT%H:%M:%S}+00:00\n# test: progressive\n# caliper: digital\n"
                  "# tolerance: 0.10 over 600\n# note: invented\n"
                  "panel,from_cut,to_cut,position,width\n" + "\n".join(rows) + "\n")
