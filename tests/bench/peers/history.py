# SPDX-License-Identifier: MIT
"""The record of many checks with NumPy: weighted trend with tau^2, likeliest step, EWMA, p by simulated scans.

    python3 history.py LOG|DATA.csv TRIALS
"""
import sqlite3
import sys

import numpy as np

if sys.argv[1].endswith(".csv"):
    data = np.loadtxt(sys.argv[1], delimiter=",")
else:
    rows = sqlite3.connect(sys.argv[1]).execute("SELECT utc, eta_rad, u_rad FROM check_versions ORDER BY utc")
    data = np.array(rows.fetchall())
trials = int(sys.argv[2])
t, y, v = data[:, 0] / 86400, data[:, 1], data[:, 2] ** 2
n = len(y)


def line(x, tau2):
    w = 1 / (v + tau2)
    centre = np.sum(w * x) / np.sum(w)
    dx = x - centre
    sxx = np.sum(w * dx * dx)
    mean = np.sum(w * y) / np.sum(w)
    slope = np.sum(w * dx * (y - mean)) / sxx
    r = y - mean - slope * dx
    return w, dx, sxx, slope, r


tau2 = np.var(y)
for _ in range(50):  # Fisher scoring on the restricted likelihood
    w, dx, sxx, slope, r = line(t, tau2)
    p = np.sum(w) - np.sum(w * w) / np.sum(w) - np.sum(w * w * dx * dx) / sxx
    new = max(0.0, tau2 + (np.sum((w * r) ** 2) - p) / np.sum(w * w))
    if abs(new - tau2) <= 1e-10 * max(new, np.min(v)):
        break
    tau2 = new


def scan(values, weights):
    cumulated = np.cumsum(weights)[:-1]
    total = np.sum(weights)
    d = np.cumsum(weights * (values - np.sum(weights * values) / total))[:-1]
    z2 = d * d / (cumulated * (total - cumulated) / total)
    return z2


w = 1 / v
z2 = scan(y, w)
at = int(np.argmax(z2))
chart = np.empty(n)
average, mean = 0.0, np.sum(w * y) / np.sum(w)
for i, z in enumerate((y - mean) * np.sqrt(w)):
    average = 0.1 * z + 0.9 * average
    chart[i] = average
draw = np.random.default_rng(1)
sd = np.sqrt(v)
reached = sum(scan(sd * draw.standard_normal(n), w).max() >= z2[at] for _ in range(trials))
print(f"slope {slope:.4e} a day +- {2 / np.sqrt(sxx):.1e}, step after {at}, z2 {z2[at]:.2f}, "
      f"p {(1 + reached) / (1 + trials):.3f}, chart {np.abs(chart).max():.2f}")
