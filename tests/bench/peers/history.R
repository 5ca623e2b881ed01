# SPDX-License-Identifier: MIT
# The record of many checks in base R: weighted trend with tau^2, likeliest step, EWMA, p by simulated scans.
arguments <- commandArgs(TRUE)
d <- if (grepl("\\.csv$", arguments[1])) {
  read.csv(arguments[1], header = FALSE)
} else {
  DBI::dbGetQuery(DBI::dbConnect(RSQLite::SQLite(), arguments[1]),
                  "SELECT utc, eta_rad, u_rad FROM check_versions ORDER BY utc")
}
trials <- as.integer(arguments[2])
t <- d[[1]] / 86400
y <- d[[2]]
v <- d[[3]]^2
n <- length(y)
tau2 <- var(y)
for (step in 1:50) { # Fisher scoring on the restricted likelihood
  w <- 1 / (v + tau2)
  dx <- t - sum(w * t) / sum(w)
  sxx <- sum(w * dx^2)
  slope <- sum(w * dx * (y - sum(w * y) / sum(w))) / sxx
  r <- y - sum(w * y) / sum(w) - slope * dx
  new <- max(0, tau2 + (sum((w * r)^2) - (sum(w) - sum(w^2) / sum(w) - sum(w^2 * dx^2) / sxx)) / sum(w^2))
  if (abs(new - tau2) <= 1e-10 * max(new, min(v))) break
  tau2 <- new
}
scan <- function(values, weights) {
  total <- sum(weights)
  k <- cumsum(weights)[-n]
  d <- cumsum(weights * (values - sum(weights * values) / total))[-n]
  d^2 / (k * (total - k) / total)
}
w <- 1 / v
z2 <- scan(y, w)
at <- which.max(z2)
z <- (y - sum(w * y) / sum(w)) * sqrt(w)
chart <- stats::filter(0.1 * z, 0.9, method = "recursive")
set.seed(1)
sd <- sqrt(v)
reached <- 0
for (i in seq_len(trials)) reached <- reached + (max(scan(sd * rnorm(n), w)) >= z2[at])
cat(sprintf("slope %.4e a day +- %.1e, step after %d, z2 %.2f, p %.3f, chart %.2f\n", slope, 2 / sqrt(sxx), at, z2[at],
            (1 + reached) / (1 + trials), max(abs(chart))))
