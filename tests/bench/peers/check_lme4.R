# SPDX-License-Identifier: MIT
# One check by lme4: places within strips, slopes of strips about the common one.
suppressPackageStartupMessages(library(lme4))
source(file.path(dirname(sub("--file=", "", grep("--file=", commandArgs(), value = TRUE))), "check_rows.R"))
d$place <- factor(paste(d$strip, d$position))
m <- suppressWarnings(suppressMessages(lmer(width ~ 0 + strip + px + (0 + px | strip) + (1 | place), d)))
t <- coef(summary(m))["px", ]
cat(sprintf("corner %.3e +- %.1e rad\n", -t[1] / 1000, t[2] * qt(0.975, 7) / 1000))
print(VarCorr(m))
