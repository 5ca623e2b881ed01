# SPDX-License-Identifier: MIT
"""Trials of monte_carlo_bench.cpp with NumPy in one process: 160 normal and 144 rectangular sources, shortest interval."""
import sys
import time

import numpy as np

trials, block, coverage = int(sys.argv[1]), 10_000, 0.95
normal = 0.002 * (1 + 0.5 * np.cos(0.7 * np.arange(160)))
uniform = 0.001 * (1 + 0.5 * np.sin(0.3 * np.arange(144)))
start = time.perf_counter()
random = np.random.default_rng(1)
y = np.concatenate([random.standard_normal((block, 160)) @ normal + (2 * random.random((block, 144)) - 1) @ uniform
                    for _ in range(trials // block)])
y.sort()
q = round(coverage * trials)
widths = y[q:] - y[:trials - q]
low = np.argmin(widths)
seconds = time.perf_counter() - start
print(f"u {y.std(ddof=1):.9g}, shortest {y[low]:.6g} to {y[low + q]:.6g}")
print(f"seconds {seconds:.6g}")
