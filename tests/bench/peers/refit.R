# SPDX-License-Identifier: MIT
# Refits of an even check one by one in base R: restricted likelihood in the eigenbasis, nlminb with gradients left to it.
strips <- 8
spots <- 6
repeats <- 3
span <- 384
position <- (0:5) * 80 - 200
sxx <- sum(position^2)
counts <- outer(1:strips, 1:(strips + 3), function(j, c) (c >= j & c < j + 4) * 1)
eigen <- eigen(tcrossprod(counts) * 2 / span^2, symmetric = TRUE)
turned <- drop(crossprod(eigen$vectors, rep(4, strips)))
nu_line <- strips * (spots - 2)
nu_pure <- strips * spots * (repeats - 1)
set.seed(1)
drawn <- function() {
  corners <- counts %*% rnorm(strips + 3, 0, 0.02 * sqrt(2) / span)
  width <- -outer(drop(corners), position) + rnorm(strips * spots, 0, 0.007)
  read <- round((rep(width, repeats) + rnorm(strips * spots * repeats, 0, 0.013)) / 0.01) * 0.01
  read <- array(read, c(strips, spots, repeats))
  mean <- apply(read, 1:2, mean)
  centred <- mean - rowMeans(mean)
  slope <- drop(centred %*% position) / sxx
  list(z = drop(crossprod(eigen$vectors, -slope)), line = sum((centred - outer(slope, position))^2),
       pure = sum((read - rep(mean, repeats))^2))
}
minus <- function(log_theta, d) {
  theta <- exp(log_theta)
  spot <- theta[2] + theta[1] / repeats
  w <- 1 / (theta[3] * eigen$values + spot / sxx)
  a <- sum(turned^2 * w)
  r <- d$z - turned * (sum(turned * d$z * w) / a)
  0.5 * (nu_line * log(spot) + d$line / spot - sum(log(w)) + log(a) + sum(r^2 * w) + nu_pure * log_theta[1] + d$pure / theta[1])
}
many <- as.integer(commandArgs(TRUE)[1])
data <- replicate(many, drawn(), simplify = FALSE)
start <- proc.time()[["elapsed"]]
for (d in data) best <- nlminb(log(c(1.7e-4, 5e-5, 4e-4)), minus, d = d, lower = log(1e-9), upper = 0)
cat(sprintf("last %.4f\n", exp(best$par / 2)), sprintf("seconds %.6g\n", (proc.time()[["elapsed"]] - start) / many), sep = "")
