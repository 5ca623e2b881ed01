#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# 100 programs keep 100 checks each in one log at once. It takes about an hour on two cores. Figures go into DEVELOPERS.md.
set -euo pipefail
QUARTERTURN_WRITERS=100 QUARTERTURN_EACH=100 build/quarterturn_tests --test-suite=terminal --test-case='many programs keep checks*'
