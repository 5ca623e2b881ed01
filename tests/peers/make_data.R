# SPDX-License-Identifier: MIT
# Makes the invented readings of tests/peers/data: simulated from the model of METHOD.md (M9)-(M14) with fixed seeds,
# written with six decimals so that rounding plays no part. Run: Rscript make_data.R FOLDER
#
# width = alpha - theta p + saw mark of the spot + reading,  theta = 4 eta + sum of the seating angles of four corners

kSpan <- 384
suppressWarnings(RNGkind("Mersenne-Twister", "Inversion", "Rejection"))

# One row a strip of a progressive test: strips from cut `first` to cut `last`, four turns each.
strips_of <- function(panel, first, last) {
  data.frame(panel = panel, from_cut = first:last, to_cut = first:last + 4)
}

# positions: the same for all strips, or a list; readings at each position: one number, or a list
simulate <- function(seed, strips, positions, readings, eta, reading, saw, seating) {
  set.seed(seed)
  angle <- new.env()
  rows <- list()
  for (j in seq_len(nrow(strips))) {
    corners <- paste(strips$panel[j], (strips$from_cut[j] + 1):strips$to_cut[j])
    for (corner in corners) {
      if (!exists(corner, envir = angle)) assign(corner, rnorm(1, 0, seating * sqrt(2) / kSpan), envir = angle)
    }
    theta <- 4 * eta + sum(mget(corners, envir = angle) |> unlist())
    alpha <- 22 + runif(1, -2, 2)
    p <- if (is.list(positions)) positions[[j]] else positions
    k <- if (is.list(readings)) readings[[j]] else rep(readings, length(p))
    for (i in seq_along(p)) {
      mark <- rnorm(1, 0, saw)
      width <- alpha - theta * p[i] + mark + rnorm(k[i], 0, reading)
      rows[[length(rows) + 1]] <- data.frame(strips[j, ], position = p[i], width = width, row.names = NULL)
    }
  }
  do.call(rbind, rows)
}

# Slopes of the strips pulled towards their mean, so that seating comes out at zero.
pull_slopes <- function(data, share) {
  key <- paste(data$panel, data$from_cut)
  slope <- sapply(split(data, key), function(d) coef(lm(width ~ position, d))[2])
  change <- share * (mean(slope) - slope)
  data$width <- data$width + change[match(key, names(split(data, key)))] * data$position
  data
}

# Spot means pulled towards their line, so that saw marks come out at zero.
pull_spots <- function(data, share) {
  key <- paste(data$panel, data$from_cut)
  for (k in unique(key)) {
    here <- key == k
    spot <- ave(data$width[here], data$position[here])
    line <- fitted(lm(spot ~ data$position[here]))
    data$width[here] <- data$width[here] - share * (spot - line)
  }
  data
}

out <- commandArgs(trailingOnly = TRUE)
if (length(out) != 1) stop("Rscript make_data.R FOLDER")

save <- function(name, data, test) {
  con <- file(file.path(out, paste0(name, ".csv")), "wb")
  on.exit(close(con))
  writeLines(c("# note: invented by make_data.R, measured by nobody", paste("# test:", test), "# unit: mm",
               "panel,from_cut,to_cut,position,width",
               sprintf("%d,%d,%d,%g,%.6f", data$panel, data$from_cut, data$to_cut, data$position, data$width)), con)
}

five <- function(panels) data.frame(panel = seq_len(panels), from_cut = 1L, to_cut = 5L)
four <- function(panels) data.frame(panel = seq_len(panels), from_cut = 0L, to_cut = 4L)

save("five_balanced", simulate(101, five(6), c(20, 260, 500), 3, 1.2e-4, 0.012, 0.015, 0.02), "five-cut")
save("five_unbalanced",
     simulate(102, five(6), list(c(15, 500), c(20, 250, 480), c(15, 160, 330, 505), c(25, 260, 510), c(20, 120, 260, 390, 520),
                                 c(30, 495)),
              list(c(3, 2), c(1, 4, 2), c(2, 2, 1, 3), c(3, 3, 3), c(1, 2, 1, 2, 4), c(4, 1)), -0.6e-4, 0.014, 0.01, 0.03),
     "five-cut")
save("four_cut", simulate(103, four(5), c(20, 180, 340, 500), 2, 0.8e-4, 0.01, 0.02, 0.04), "four-cut")
save("progressive_8", simulate(104, strips_of(1L, 1, 4), c(20, 180, 340, 500), 2, 1e-4, 0.01, 0.012, 0.03), "progressive")
save("progressive_saw_marks", simulate(105, strips_of(1L, 1, 3), c(20, 260, 500), 3, 0.5e-4, 0.012, 0.03, 0.02), "progressive")
save("progressive_12", simulate(106, strips_of(1L, 1, 8), c(20, 180, 340, 500), 2, 1.5e-4, 0.015, 0.01, 0.025), "progressive")
save("two_progressive", simulate(107, rbind(strips_of(1L, 1, 4), strips_of(2L, 1, 3)), c(15, 140, 265, 390), 2, 0.9e-4, 0.012, 0.015, 0.03),
     "progressive")
save("progressive_lost_strip",
     simulate(108, strips_of(1L, 1, 6)[-4, ], list(c(20, 250, 480), c(20, 160, 330, 500), c(20, 500, 260), c(25, 490, 300), c(20, 140, 260, 380, 500)),
              list(c(2, 1, 3), c(1, 1, 2, 2), c(3, 1, 2), c(2, 2, 2), c(1, 2, 1, 2, 1)), 2e-4, 0.011, 0.012, 0.035), "progressive")
save("seating_zero", pull_slopes(simulate(109, five(5), c(20, 260, 500), 3, 1e-4, 0.012, 0.02, 0.01), 0.9), "five-cut")
save("saw_marks_zero", pull_spots(simulate(110, strips_of(1L, 1, 5), c(20, 180, 340, 500), 3, 1e-4, 0.015, 0.005, 0.03), 0.8), "progressive")
