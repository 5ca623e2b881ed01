# SPDX-License-Identifier: MIT
# One check by nlme: places within strips, slopes of strips about the common one.
library(nlme)
d <- read.csv(commandArgs(TRUE)[1], comment.char = "#", colClasses = c(width = "character"))
n <- lengths(strsplit(d$width, " "))
width <- as.numeric(unlist(strsplit(d$width, " ")))
d <- d[rep(seq_len(nrow(d)), n), ]
d$width <- width
d$strip <- factor(paste(d$panel, d$from_cut, d$to_cut))
d$px <- (d$to_cut - d$from_cut) * d$position / 1000
d$place <- factor(d$position)
m <- lme(width ~ 0 + strip + px, d, random = list(strip = ~ 0 + px, place = ~ 1))
t <- summary(m)$tTable["px", ]
cat(sprintf("corner %.3e +- %.1e rad\n", -t[1] / 1000, t[2] * qt(0.975, 7) / 1000))
print(VarCorr(m))
