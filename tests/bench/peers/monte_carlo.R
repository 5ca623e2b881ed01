# SPDX-License-Identifier: MIT
# Trials of monte_carlo_bench.cpp in base R: 160 normal and 144 rectangular sources, shortest interval.
trials <- as.integer(commandArgs(TRUE)[1])
block <- 10000
normal <- 0.002 * (1 + 0.5 * cos(0.7 * (0:159)))
uniform <- 0.001 * (1 + 0.5 * sin(0.3 * (0:143)))
set.seed(1)
start <- proc.time()[["elapsed"]]
y <- unlist(lapply(seq_len(trials / block), function(k)
  matrix(rnorm(block * 160), block) %*% normal + matrix(runif(block * 144, -1, 1), block) %*% uniform))
y <- sort(y)
q <- round(0.95 * trials)
low <- which.min(y[(q + 1):trials] - y[1:(trials - q)])
seconds <- proc.time()[["elapsed"]] - start
cat(sprintf("u %.9g, shortest %.6g to %.6g\nseconds %.6g\n", sd(y), y[low], y[low + q], seconds))
