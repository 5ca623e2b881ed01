#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Cuts the power 1,000 times while records are kept, amended and merged, and kills the program 1,000 times at random
# moments. Figures go into DEVELOPERS.md.
set -euo pipefail
QUARTERTURN_CUTS=1000 build/quarterturn_tests --test-suite=logbook --test-case='*when the power fails*'
QUARTERTURN_KILLS=1000 build/quarterturn_tests --test-suite=terminal --test-case='*killed at a random moment*'
