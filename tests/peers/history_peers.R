# SPDX-License-Identifier: MIT
# Meta-analysis, change point and Welch's test by metafor, strucchange and stats: the peers that stats/meta_analysis and
# stats/change_point are held against. Run by run_peers.sh, or: Rscript history_peers.R FOLDER OUT.csv   (in this folder)
#
# The data sets are those that R's packages ship; they are rounded to twelve digits and written to FOLDER, so that the
# tests read what R read:
#   bcg            log relative risks of 13 trials against the absolute latitude (metadat dat.bcg; Colditz and others, 1994)
#   teachers       19 standardised differences against weeks of contact (metadat dat.raudenbush1985; Raudenbush, 1984)
#   smoke          37 log odds ratios against the year (metadat dat.hackshaw1998; Hackshaw and others, 1997)
#   lidocaine      6 log odds ratios against the number treated: nothing between them (metadat dat.hine1989; Hine and others, 1989)
#   sprays         means, variances of the means and degrees of freedom of 6 groups (datasets InsectSprays; Beall, 1942)
# and eta, its variance and the day of the checks in two of the example logs (example_logs).
# metafor stops by default when tau^2 changes by less than 1e-5; here by less than 1e-13.
suppressPackageStartupMessages({library(metafor); library(strucchange)})

out <- commandArgs(trailingOnly = TRUE)
if (length(out) != 2) stop("Rscript history_peers.R FOLDER OUT.csv")

write_lines <- function(path, lines) {
  con <- file(path, "wb")
  on.exit(close(con))
  writeLines(lines, con)
}

rows <- list()
put <- function(set, quantity, value, peer)
  rows[[length(rows) + 1]] <<- paste(set, quantity, sprintf("%.15g", as.numeric(value)), peer, sep = ",")

control <- list(threshold = 1e-13, maxiter = 5000)

meta <- function(name, y, v, x) {
  y <- signif(y, 12)
  v <- signif(v, 12)
  write_lines(file.path(out[1], paste0(name, ".csv")), c("y,v,x", sprintf("%.12g,%.12g,%.12g", y, v, x)))
  for (method in c("REML", "DL")) {
    mean <- rma(y, v, method = method, control = control, test = "knha")
    line <- rma(y, v, mods = ~ x, method = method, control = control, test = "knha")
    key <- function(quantity) paste0(tolower(method), "_", quantity)
    put(name, key("tau2"), mean$tau2, "metafor")
    put(name, key("mean"), mean$beta, "metafor")
    put(name, key("mean_se"), mean$se, "metafor")
    put(name, key("mean_low"), mean$ci.lb, "metafor")
    put(name, key("line_tau2"), line$tau2, "metafor")
    put(name, key("slope"), line$beta[2], "metafor")
    put(name, key("slope_se"), line$se[2], "metafor")
    put(name, key("slope_p"), line$pval[2], "metafor")
    put(name, key("slope_low"), line$ci.lb[2], "metafor")
    at <- predict(line, newmods = max(x) + 1)
    put(name, key("beyond"), at$pred, "metafor")
    put(name, key("beyond_se"), at$se, "metafor")
  }
  put(name, "q", mean$QE, "metafor")
  put(name, "q_p", mean$QEp, "metafor")
  put(name, "line_q", line$QE, "metafor")
  put(name, "line_q_p", line$QEp, "metafor")
  interval <- confint(rma(y, v, control = control), control = list(tol = 1e-14, maxiter = 100000))$random
  put(name, "tau2_low", interval["tau^2", "ci.lb"], "metafor")
  put(name, "tau2_high", interval["tau^2", "ci.ub"], "metafor")
}

d <- escalc(measure = "RR", ai = tpos, bi = tneg, ci = cpos, di = cneg, data = dat.bcg)
meta("bcg", as.numeric(d$yi), d$vi, d$ablat)
meta("teachers", as.numeric(dat.raudenbush1985$yi), dat.raudenbush1985$vi, dat.raudenbush1985$weeks)
meta("smoke", as.numeric(dat.hackshaw1998$yi), dat.hackshaw1998$vi, dat.hackshaw1998$year)
d <- escalc(measure = "OR", ai = ai, n1i = n1i, ci = ci, n2i = n2i, data = dat.hine1989)
meta("lidocaine", as.numeric(d$yi), d$vi, d$n1i)

# Two of the example logs, as history has them: eta in 1e-4 rad, its variance, days since the first check.
for (name in c("dock-year", "loft-seasons")) {
  d <- read.csv(file.path("example_logs", paste0(name, ".csv")))
  meta(name, d$y, d$v, d$x)
}

groups <- split(InsectSprays$count, InsectSprays$spray)
n <- sapply(groups, length)
write_lines(file.path(out[1], "sprays.csv"),
            c("y,v,dof", sprintf("%.12g,%.12g,%d", sapply(groups, mean), sapply(groups, var) / n, n - 1L)))
welch <- oneway.test(count ~ spray, InsectSprays)
put("sprays", "welch_f", welch$statistic, "stats")
put("sprays", "welch_dof2", welch$parameter[2], "stats")
put("sprays", "welch_p", welch$p.value, "stats")

# One change of the mean of the Nile's annual flow; every year but the first and last may be the last before it.
one <- breakpoints(Nile ~ 1, breaks = 1)
put("nile", "last_before", one$breakpoints, "strucchange")
put("nile", "rss", sum(residuals(one)^2), "strucchange")
put("nile", "low", confint(one)$confint[1], "strucchange")
put("nile", "high", confint(one)$confint[3], "strucchange")
put("nile", "sup_f", max(Fstats(Nile ~ 1, from = 2, to = length(Nile) - 2)$Fstats), "strucchange")

write_lines(out[2], c("set,quantity,value,peer", unlist(rows)))
cat(R.version.string, "\n")
for (package in c("metafor", "metadat", "strucchange")) cat(package, as.character(packageVersion(package)), "\n")
