# SPDX-License-Identifier: MIT
# The full mixed model of METHOD.md (M9), (M14) on all readings, by lme4, pbkrtest and nlme: the peers that check::fit is
# held against. Run by run_peers.sh, or: Rscript reml_peers.R OUT.csv   (in this folder)
#
#   width ~ strip intercepts + eta * (-turns p) + corner effects with Z = -p sqrt(2)/span + spot effects + residual
#
# so that the corner variance is s^2 in mm^2, span = 384 mm. lme4 builds the model through its modular functions, with
# the corner rows of Zt replaced. Its default stopping rule leaves 4 to 6 digits, so from there Newton's method goes on, in
# the logarithms of the variance ratios, on lme4's own deviance with Richardson derivatives (numDeriv), until the last step
# is below 1e-8 relative: that is the error of the variances here, apart from what the deviance's own rounding leaves
# (about 1e-9). 1e-6 relative between this file and another program is therefore a real agreement.
#
# Degrees of freedom: Satterthwaite with the EXPECTED information, as METHOD.md (M26). pbkrtest uses the same information
# for Kenward and Roger's degrees of freedom (its matrix W), whose value for one contrast is Satterthwaite's. Two values are
# written down: pbkrtest's and a dense computation's. (pbkrtest's SATmodcomp uses the observed information: not used.)
#
# Differences of -2 log restricted likelihood: dense computation, held against lme4's criterion at the maximum.
suppressPackageStartupMessages({library(lme4); library(nlme); library(pbkrtest); library(numDeriv)})

kSpan <- 384

read_design <- function(file) {
  d <- read.csv(file, comment.char = "#")
  d$strip <- factor(paste(d$panel, d$from_cut, d$to_cut))
  d$spot <- factor(paste(d$strip, d$position))
  d$px <- -(d$to_cut - d$from_cut) * d$position
  d
}

corner_matrix <- function(d) {
  names <- unique(unlist(lapply(seq_len(nrow(d)), function(i) paste(d$panel[i], (d$from_cut[i] + 1):d$to_cut[i]))))
  z <- matrix(0, nrow(d), length(names), dimnames = list(NULL, names))
  for (i in seq_len(nrow(d)))
    z[i, paste(d$panel[i], (d$from_cut[i] + 1):d$to_cut[i])] <- -d$position[i] * sqrt(2) / kSpan
  z
}

lme4_parts <- function(d) {
  z <- corner_matrix(d)
  d$corner <- factor(rep_len(seq_len(ncol(z)), nrow(d)))  # gives the term its size; its Zt is replaced
  control <- lmerControl(check.nobs.vs.nlev = "ignore", check.nobs.vs.nRE = "ignore", check.nobs.vs.rankZ = "ignore",
                         check.scaleX = "ignore")
  parts <- lFormula(width ~ 0 + strip + px + (1 | corner) + (1 | spot), d, REML = TRUE, control = control)
  term <- match("corner", names(parts$reTrms$cnms))
  rows <- (parts$reTrms$Gp[term] + 1):parts$reTrms$Gp[term + 1]
  stopifnot(length(rows) == ncol(z))
  parts$reTrms$Zt[rows, ] <- Matrix::Matrix(t(z), sparse = TRUE)
  parts$reTrms$Zt <- as(parts$reTrms$Zt, "CsparseMatrix")
  parts$reTrms$Ztlist[[term]] <- parts$reTrms$Zt[rows, ]
  parts$order <- names(parts$reTrms$cnms)
  parts
}

fit_lme4 <- function(d) {
  parts <- lme4_parts(d)
  deviance <- do.call(mkLmerDevfun, parts[c("fr", "X", "reTrms", "REML")])
  best <- NULL
  for (start in list(c(0.3, 0.3), c(1, 1), c(3, 0.3), c(0.3, 3))) {
    got <- nlminb(start, deviance, lower = c(0, 0), control = list(rel.tol = 1e-14, x.tol = 1e-10))
    if (is.null(best) || got$objective < best$objective) best <- got
  }
  ratio <- best$par^2
  free <- which(ratio > 1e-5)
  ratio[setdiff(1:2, free)] <- 0
  at <- function(u) { r <- ratio; r[free] <- r[free] * exp(u); deviance(sqrt(r)) }
  steps <- list(eps = 0.05, d = 0.05, r = 6, v = 2, zero.tol = 1)
  for (iteration in 1:20) {
    zero <- rep(0, length(free))
    step <- -solve(hessian(at, zero, method.args = steps), grad(at, zero, method.args = steps))
    ratio[free] <- ratio[free] * exp(step)
    if (max(abs(step)) < 1e-8) break
  }
  stopifnot(max(abs(step)) < 1e-8)
  for (k in setdiff(1:2, free)) {  # a variance at zero: the deviance rises from there
    up <- ratio; up[k] <- 1e-4
    stopifnot(deviance(sqrt(up)) > deviance(sqrt(ratio)))
  }
  deviance(sqrt(ratio))
  opt <- list(par = sqrt(ratio), fval = deviance(sqrt(ratio)), conv = 0, message = "")
  model <- mkMerMod(environment(deviance), opt, parts$reTrms, fr = parts$fr)
  names(ratio) <- parts$order
  list(model = model, ratio = ratio, last_step = max(abs(step)))
}

# The same model with dense matrices: differences of likelihood, expected information.

dense <- function(d) {
  z <- corner_matrix(d)
  spot <- model.matrix(~ 0 + spot, d)
  list(y = d$width, x = model.matrix(~ 0 + strip + px, d), v = list(diag(nrow(d)), tcrossprod(spot), tcrossprod(z)))
}

minus2 <- function(m, theta) {
  v <- Reduce(`+`, Map(`*`, m$v, theta))
  l <- chol(v)
  xs <- backsolve(l, m$x, transpose = TRUE)
  ys <- backsolve(l, m$y, transpose = TRUE)
  fit <- qr(xs)
  2 * sum(log(diag(l))) + 2 * sum(log(abs(diag(qr.R(fit))))) + sum(qr.resid(fit, ys)^2) +
    (nrow(m$x) - ncol(m$x)) * log(2 * pi)
}

satterthwaite <- function(m, theta) {
  v <- Reduce(`+`, Map(`*`, m$v, theta))
  vi <- chol2inv(chol(v))
  cov <- chol2inv(chol(t(m$x) %*% vi %*% m$x))
  p <- vi - vi %*% m$x %*% cov %*% t(m$x) %*% vi
  pv <- lapply(m$v, function(a) p %*% a)
  information <- outer(1:3, 1:3, Vectorize(function(a, b) sum(pv[[a]] * t(pv[[b]])) / 2))
  last <- ncol(m$x)
  a <- vi %*% m$x %*% cov[, last]
  gradient <- sapply(m$v, function(va) drop(t(a) %*% va %*% a))
  beta <- cov %*% t(m$x) %*% (vi %*% m$y)
  list(eta = beta[last], variance = cov[last, last],
       df = 2 * cov[last, last]^2 / drop(gradient %*% solve(information, gradient)))
}

# nlme fits designs whose strips share no corner and whose variances are above zero, to 5 or 6 digits.
# Returns values in the order of kQuantities.
fit_nlme <- function(d) {
  # four corners a strip, each with variance s^2: slope effect of variance 4 s^2 on -p sqrt(2)/span
  d$ps <- -d$position * sqrt(2) / kSpan * 2
  fit <- lme(width ~ 0 + strip + px, d, random = list(strip = ~ 0 + ps, spot = ~ 1), method = "REML",
             control = lmeControl(maxIter = 500, msMaxIter = 500, niterEM = 100, msTol = 1e-12, tolerance = 1e-12))
  ratio <- sapply(fit$modelStruct$reStruct, function(r) as.matrix(r)[1])  # to the variance of a reading
  c(fixef(fit)[["px"]], vcov(fit)["px", "px"], fit$sigma^2 * c(1, ratio[["spot"]], ratio[["strip"]]),
    -2 * as.numeric(logLik(fit)))
}

independent_strips <- function(d) !any(duplicated(unique(d[c("panel", "strip")])$panel))

rows <- list()
put <- function(design, quantity, value, peer)
  rows[[length(rows) + 1]] <<- data.frame(design, quantity, value = sprintf("%.15g", value), peer)

agree <- function(a, b, tolerance, what) {
  error <- abs(a - b) / max(abs(b), 1e-300)
  if (!(error < tolerance)) stop(what, ": ", sprintf("%.15g against %.15g", a, b))
}

# Differences of -2 log restricted likelihood from the maximum: one variance raised by that of a reading.
put_differences <- function(name, m, theta) {
  for (k in 1:3) {
    up <- theta
    up[k] <- up[k] + theta[1]
    put(name, paste0("rise_", c("reading", "saw_marks", "seating")[k]), minus2(m, up) - minus2(m, theta), "dense")
  }
}

kQuantities <- c("eta_rad", "variance_eta", "reading_mm2", "saw_marks_mm2", "seating_mm2", "minus2_reml")

# Writes down one design; returns the last Newton step.
one_design <- function(name, d) {
  got <- fit_lme4(d)
  sigma2 <- sigma(got$model)^2
  theta <- c(sigma2, sigma2 * got$ratio[["spot"]], sigma2 * got$ratio[["corner"]])
  values <- c(fixef(got$model)[["px"]], as.matrix(vcov(got$model))["px", "px"], theta, REMLcrit(got$model))
  for (k in seq_along(values)) put(name, kQuantities[k], values[k], "lme4")

  m <- dense(d)
  own <- satterthwaite(m, theta)
  agree(own$eta, values[1], 1e-9, paste(name, "eta, dense"))
  agree(own$variance, values[2], 1e-8, paste(name, "variance, dense"))
  agree(minus2(m, theta), values[6], 1e-11, paste(name, "criterion, dense"))
  put_differences(name, m, theta)
  put(name, "df_expected", own$df, "dense")

  contrast <- as.numeric(colnames(vcov(got$model)) == "px")
  kr <- Lb_ddf(contrast, vcov(got$model), vcovAdj(got$model))
  agree(kr, own$df, 1e-8, paste(name, "degrees of freedom, pbkrtest"))
  put(name, "df_expected", kr, "pbkrtest")

  if (independent_strips(d) && all(theta > 0)) {
    other <- fit_nlme(d)
    for (k in seq_along(other)) {
      agree(other[k], values[k], 1e-5, paste(name, kQuantities[k], "nlme"))
      put(name, kQuantities[k], other[k], "nlme")
    }
  }
  got$last_step
}

out <- commandArgs(trailingOnly = TRUE)
if (length(out) != 1) stop("Rscript reml_peers.R OUT.csv")
for (file in sort(list.files("data", pattern = "[.]csv$", full.names = TRUE), method = "radix")) {
  name <- sub("[.]csv$", "", basename(file))
  last <- one_design(name, read_design(file))
  cat(name, ": last step of the logarithms of the variances ", format(last, digits = 2), "\n", sep = "")
}
con <- file(out, "wb")
all_rows <- do.call(rbind, rows)
writeLines(c(paste(names(all_rows), collapse = ","), do.call(paste, c(all_rows, sep = ","))), con)
close(con)
cat(R.version.string, "\n")
for (package in c("lme4", "nlme", "pbkrtest", "numDeriv", "Matrix")) cat(package, as.character(packageVersion(package)), "\n")
