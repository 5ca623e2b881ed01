# SPDX-License-Identifier: MIT
# Two small networks of holes by dense matrices in R: free with inner constraints by MASS::ginv, and as the mixed model
# with a given scatter of holes by generalised least squares written out. survey::FreeNetwork and survey::Adjustment are
# held against them. Run by run_peers.sh, or: Rscript survey_peers.R DATA.csv OUT.csv   (in this folder)
#
# Displacements x, y of each hole of a 4 x 4 grid, pitch 96 mm; a distance or a difference of two, to first order:
#   y = A d,  A of unit vectors.  Free: steps (A'PA)^+ A'P (y - f(d)), f exact, A as it is nominally; covariance (A'PA)^+.
# The pseudo-inverse leaves displacements without part in what no observation feels, which is movement and turning of the
# whole where the net is rigid. Mixed, to first order throughout: d = F b + v, v ~ N(0, s^2 I), F pitch x, pitch y and shear; eps of a pair g'd by BLUP with the variance of
# the prediction error.
suppressPackageStartupMessages(library(MASS))
arguments <- commandArgs(trailingOnly = TRUE)
kPitch <- 96; kColumns <- 4; kRows <- 4; kSd <- 0.1

centre <- function(hole) kPitch * hole
at <- function(hole) 2 * ((hole[1] - 1) * kRows + hole[2] - 1) + 1
unknowns <- 2 * kColumns * kRows

length_row <- function(a, b) {
  along <- centre(b) - centre(a)
  u <- along / sqrt(sum(along^2))
  row <- numeric(unknowns)
  row[at(a) + 0:1] <- -u
  row[at(b) + 0:1] <- u
  row
}
nominal <- function(a, b) sqrt(sum((centre(b) - centre(a))^2))

data <- read.csv(arguments[1], comment.char = "#")
rows <- t(sapply(seq_len(nrow(data)), function(i) {
  d <- data[i, ]
  one <- length_row(c(d$c1, d$r1), c(d$c2, d$r2))
  if (d$kind == "compare") one <- one - length_row(c(d$c3, d$r3), c(d$c4, d$r4))
  one
}))
expected <- sapply(seq_len(nrow(data)), function(i) {
  d <- data[i, ]
  n <- nominal(c(d$c1, d$r1), c(d$c2, d$r2))
  if (d$kind == "compare") n <- n - nominal(c(d$c3, d$r3), c(d$c4, d$r4))
  n
})
y <- data$value - expected
out <- data.frame(set = character(), quantity = character(), value = character(), peer = character())
put <- function(set, quantity, value, peer)
  out[nrow(out) + 1, ] <<- list(set, quantity, sprintf("%.15g", value), peer)

weight <- diag(1 / data$u^2)
inverse <- ginv(t(rows) %*% weight %*% rows, tol = 1e-11)
exact <- function(d) sapply(seq_len(nrow(data)), function(i) {
  one <- data[i, ]
  moved <- function(a, b) {
    away <- centre(b) - centre(a) + d[at(b) + 0:1] - d[at(a) + 0:1]
    sqrt(sum(away^2))
  }
  l <- moved(c(one$c1, one$r1), c(one$c2, one$r2))
  if (one$kind == "compare") l <- l - moved(c(one$c3, one$r3), c(one$c4, one$r4))
  l
})
d <- numeric(unknowns)
for (step in 1:60) {
  by <- as.vector(inverse %*% t(rows) %*% weight %*% (data$value - exact(d)))
  d <- d + by
  if (max(abs(by)) < 1e-14) break
}
stopifnot(max(abs(by)) < 1e-13)
stopifnot(qr(rows)$rank == unknowns - 3)
for (c in seq_len(kColumns)) for (r in seq_len(kRows)) {
  i <- at(c(c, r))
  hole <- paste0(LETTERS[c], r)
  put("free", paste0(hole, "_x"), d[i], "ginv")
  put("free", paste0(hole, "_y"), d[i + 1], "ginv")
  put("free", paste0(hole, "_ux"), sqrt(inverse[i, i]), "ginv")
  put("free", paste0(hole, "_uy"), sqrt(inverse[i + 1, i + 1]), "ginv")
}

effects <- matrix(0, unknowns, 3)
for (c in seq_len(kColumns)) for (r in seq_len(kRows)) {
  x <- kPitch * (c - (kColumns + 1) / 2); yy <- kPitch * (r - (kRows + 1) / 2)
  i <- at(c(c, r))
  effects[i, ] <- c(x, 0, -yy / 2)
  effects[i + 1, ] <- c(0, yy, -x / 2)
}
v <- kSd^2 * rows %*% t(rows) + diag(data$u^2)
x <- rows %*% effects
vi <- solve(v)
information <- t(x) %*% vi %*% x
b <- solve(information, t(x) %*% vi %*% y)
for (k in 1:3) {
  put("mixed", c("pitch_x", "pitch_y", "shear")[k], b[k], "gls")
  put("mixed", paste0("u_", c("pitch_x", "pitch_y", "shear")[k]), sqrt(solve(information)[k, k]), "gls")
}
# eps of square lines: rail in column c, rows near and far; fence in row r, columns left and right (METHOD.md (M1))
eps_row <- function(column, near, far, row, left, right) {
  g <- numeric(unknowns)
  br <- kPitch * (far - near); bf <- kPitch * (right - left)
  g[at(c(column, far))] <- -1 / br
  g[at(c(column, near))] <- 1 / br
  g[at(c(right, row)) + 1] <- g[at(c(right, row)) + 1] - 1 / bf
  g[at(c(left, row)) + 1] <- g[at(c(left, row)) + 1] + 1 / bf
  g
}
pairs <- list(c(2, 1, 4, 3, 1, 4), c(1, 2, 4, 1, 2, 4), c(4, 1, 3, 4, 1, 3))
for (p in pairs) {
  g <- eps_row(p[1], p[2], p[3], p[4], p[5], p[6])
  covariance <- kSd^2 * as.vector(t(g) %*% t(rows))
  value <- sum(g * (effects %*% b)) + sum(covariance * (vi %*% (y - x %*% b)))
  rest <- as.vector(t(g) %*% effects) - as.vector(covariance %*% vi %*% x)
  variance <- kSd^2 * sum(g^2) - as.vector(covariance %*% vi %*% covariance) +
    as.vector(rest %*% solve(information, rest))
  name <- paste(p, collapse = "_")
  put("mixed", paste0("eps_", name), value, "gls")
  put("mixed", paste0("u_eps_", name), sqrt(variance), "gls")
}
write.csv(out, arguments[2], row.names = FALSE, quote = FALSE)
cat(R.version.string, "\n")
cat("MASS", as.character(packageVersion("MASS")), "\n")
