#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Changes 10,000 bytes of a small log, one at a time, and cuts it off at every length. Figures go into DEVELOPERS.md.
set -euo pipefail
QUARTERTURN_FLIPS=10000 QUARTERTURN_LENGTHS=1 build/quarterturn_tests --test-suite=logbook \
  --test-case='a byte of a log*,a log that was cut off*'
