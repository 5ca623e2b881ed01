# SPDX-License-Identifier: MIT
"""One check with NumPy alone: restricted likelihood of readings, places and slopes of strips, Fisher scoring."""
import sys

import numpy as np

rows = [line.strip().split(",") for line in open(sys.argv[1], encoding="utf-8") if line[0].isdigit()]
y, strip, place, px = [], [], [], []
for i, (panel, first, last, position, widths) in enumerate(rows):
    for width in widths.split():
        y.append(float(width))
        strip.append((panel, first, last))
        place.append(i)
        px.append((int(last) - int(first)) * float(position) / 1000)
y, px = np.array(y), np.array(px)
columns = sorted(set(strip))
of = np.array([columns.index(s) for s in strip])
zs = (of[:, None] == np.arange(len(columns))).astype(float)
zp = (np.array(place)[:, None] == np.arange(len(rows))).astype(float)
x = np.column_stack([zs, px])
kernels = [np.eye(len(y)), zp @ zp.T, (zs * px[:, None]) @ (zs * px[:, None]).T]
theta = np.array([1e-4, 1e-4, 1e-4])
for step in range(100):
    vi = np.linalg.inv(sum(t * k for t, k in zip(theta, kernels)))
    cov = np.linalg.inv(x.T @ vi @ x)
    p = vi - vi @ x @ cov @ x.T @ vi
    pk = [p @ k for k in kernels]
    py = p @ y
    gradient = np.array([-0.5 * np.trace(a) + 0.5 * py @ k @ py for a, k in zip(pk, kernels)])
    information = np.array([[0.5 * np.sum(a * b.T) for b in pk] for a in pk])
    change = np.linalg.solve(information, gradient)
    new = np.maximum(theta + change, theta / 10)
    done = np.max(np.abs(new - theta) / new) < 1e-8
    theta = new
    if done:
        break
b = cov @ x.T @ vi @ y
print(f"corner {-b[-1] / 1000:.3e} +- {2.36 * np.sqrt(cov[-1, -1]) / 1000:.1e} rad, sd {np.sqrt(theta)}")
