# SPDX-License-Identifier: MIT
# One check in base R: restricted likelihood of readings, places and slopes of strips, by optim on dense matrices.
d <- read.csv(commandArgs(TRUE)[1], comment.char = "#", colClasses = c(width = "character"))
n <- lengths(strsplit(d$width, " "))
y <- as.numeric(unlist(strsplit(d$width, " ")))
d <- d[rep(seq_len(nrow(d)), n), ]
strip <- factor(paste(d$panel, d$from_cut, d$to_cut))
place <- factor(paste(strip, d$position))
px <- (d$to_cut - d$from_cut) * d$position
x <- cbind(model.matrix(~ 0 + strip), px / 1000)
zp <- model.matrix(~ 0 + place)
zs <- model.matrix(~ 0 + strip) * px / 1000
kp <- tcrossprod(zp)
ks <- tcrossprod(zs)
fit <- function(theta) {
  v <- exp(theta[1]) * diag(length(y)) + exp(theta[2]) * kp + exp(theta[3]) * ks
  r <- chol(v)
  xr <- backsolve(r, x, transpose = TRUE)
  yr <- backsolve(r, y, transpose = TRUE)
  q <- qr(xr)
  list(b = qr.coef(q, yr), v = chol2inv(qr.R(q)),
       minus = sum(log(diag(r))) + sum(log(abs(diag(qr.R(q))))) + sum(qr.resid(q, yr)^2) / 2)
}
best <- optim(log(c(1e-4, 1e-4, 1e-4)), function(t) fit(t)$minus, method = "BFGS")
last <- fit(best$par)
k <- ncol(x)
eta <- -last$b[k] / 1000
u <- sqrt(last$v[k, k]) / 1000
cat(sprintf("corner %.3e +- %.1e rad, sd %.4f %.4f mm\n", eta, u * qt(0.975, 7), exp(best$par[1] / 2), exp(best$par[2] / 2)))
