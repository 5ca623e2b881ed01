# SPDX-License-Identifier: MIT
# The readings file as a row a reading, for the peers that fit it by a package.
d <- read.csv(commandArgs(TRUE)[1], comment.char = "#", colClasses = c(width = "character"))
n <- lengths(strsplit(d$width, " "))
width <- as.numeric(unlist(strsplit(d$width, " ")))
d <- d[rep(seq_len(nrow(d)), n), ]
d$width <- width
d$strip <- factor(paste(d$panel, d$from_cut, d$to_cut))
d$px <- (d$to_cut - d$from_cut) * d$position / 1000
