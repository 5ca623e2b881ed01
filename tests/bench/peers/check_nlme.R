# SPDX-License-Identifier: MIT
# One check by nlme: places within strips, slopes of strips about the common one.
library(nlme)
source(file.path(dirname(sub("--file=", "", grep("--file=", commandArgs(), value = TRUE))), "check_rows.R"))
d$place <- factor(d$position)
m <- lme(width ~ 0 + strip + px, d, random = list(strip = ~ 0 + px, place = ~ 1))
t <- summary(m)$tTable["px", ]
cat(sprintf("corner %.3e +- %.1e rad\n", -t[1] / 1000, t[2] * qt(0.975, 7) / 1000))
print(VarCorr(m))
