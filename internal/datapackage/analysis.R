# Recomputes the findings from the tables of this package, beside the report's own numbers:
#
#     Rscript analysis.R
#
# in the folder of the package. Base R; models of all samples need the package lmerTest (pbkrtest too where people came
# to several sittings), the order of answers on labels the package ordinal: the script says so when one is missing.
# Every number stands beside the report's; a difference beyond its tolerance ends the script with status 1. What it
# does not recompute it lists. Nothing here comes from the program that made the report: each method is R's own, or
# written out below from its source.
closed <- 1e-8 # relative, closed forms
searched <- 1e-6 # relative, where a root or a maximum is searched for

table_of <- function(file) read.csv(file, na.strings = "", colClasses = "character", check.names = FALSE)
ratings <- table_of("ratings.csv")
ratings$value <- as.numeric(ratings$value)
ratings$position <- as.integer(ratings$position)
if (file.exists("screening.csv")) { # whom the study's own rule leaves out
  screening <- table_of("screening.csv")
  out <- screening$assessor[screening$left_out == "true"]
  ratings <- ratings[!ratings$assessor %in% out, ]
}
if ("sitting" %in% names(ratings)) ratings$sitting <- factor(ratings$sitting)
everybody <- ratings # while somebody is left aside
anew <- if (file.exists("rechecks.csv")) table_of("rechecks.csv") # how primary findings were reckoned anew
said <- table_of("numbers.csv") # every number of findings.json, one a row
said$value <- as.numeric(said$value)
said$recomputed <- FALSE
worst <- 0
wrong <- 0

# check compares one number of a finding with R's. What the report does not give is not checked.
diverted <- NULL # while a finding is reckoned anew: which of its numbers that way has, and under which name
check <- function(finding, what, mine, tolerance = closed) {
  if (!is.null(diverted)) {
    if (!what %in% names(diverted)) return(invisible())
    what <- diverted[[what]]
  }
  row <- which(said$finding == finding & said$number == what)
  if (length(row) != 1 || is.na(said$value[row]) || length(mine) != 1 || is.na(mine)) return(invisible())
  theirs <- said$value[row]
  away <- abs(mine - theirs) / max(abs(theirs), 1e-4)
  said$recomputed[row] <<- TRUE
  worst <<- max(worst, away)
  sound <- away <= tolerance
  if (!sound) wrong <<- wrong + 1
  cat(sprintf("%-3s %-46s %20.12g %20.12g%s\n", finding, what, theirs, mine, if (sound) "" else "   DIFFERS"))
}
check_interval <- function(finding, what, ends, tolerance = closed) {
  check(finding, paste0(what, ".low"), ends[1], tolerance)
  check(finding, paste0(what, ".high"), ends[2], tolerance)
}
theirs <- function(finding, what) {
  row <- which(said$finding == finding & said$number == what)
  if (length(row) == 1) said$value[row] else NA
}

# sides is how a finding is tested: as planned for the primary ones, else on two sides.
alternative_of <- function(f) if (f$role == "primary") c(two = "two.sided", greater = "greater",
  less = "less")[[plan$sides]] else "two.sided"

one_side <- function(t, df, alternative) switch(alternative, greater = pt(t, df, lower.tail = FALSE), less = pt(t, df),
  two.sided = 2 * pt(-abs(t), df))

by_assessor <- function(attribute) { # means over replicates, assessors by samples
  r <- ratings[ratings$attribute == attribute & !is.na(ratings$sample), ]
  m <- tapply(r$value, list(r$assessor, r$sample), mean)
  m[order(as.integer(rownames(m))), , drop = FALSE]
}

# signed_rank is the exact test for any ties (Wilcoxon 1945; the null distribution by convolution over
# doubled midranks). Pairs without a difference are ranked, and give up their ranks (Pratt 1959).
signed_rank <- function(d, alternative) {
  d <- signif(d, 12) # halves of means that only the last digit tells apart are ties
  ranks <- round(2 * rank(abs(d)))[d != 0]
  d <- d[d != 0]
  v <- sum(ranks[d > 0])
  p <- 1
  for (r in ranks) p <- (c(p, numeric(r)) + c(numeric(r), p)) / 2
  above <- sum(p[(v + 1):length(p)]); below <- sum(p[1:(v + 1)])
  list(statistic = v / 2,
    p = switch(alternative, greater = above, less = below, two.sided = min(1, 2 * min(above, below))))
}

# noncentral_interval is that of a standardised effect: delta times scale has the t given.
noncentral_interval <- function(t, df, scale, level) {
  end <- function(p) uniroot(function(ncp) suppressWarnings(pt(t, df, ncp)) - p, t + c(-9, 9), extendInt = "downX",
    tol = 1e-12)$root
  c(end((1 + level) / 2), end((1 - level) / 2)) * scale
}
small_sample <- function(df) exp(lgamma(df / 2) - log(sqrt(df / 2)) - lgamma((df - 1) / 2)) # Hedges (1981), eq. 6e

pair <- function(id, f) {
  if (f$estimate == "model-difference") by_model(id, f)
  m <- by_assessor(f$attribute)
  if (!all(c(f$first, f$second) %in% colnames(m))) return(invisible())
  m <- m[, c(f$first, f$second)]
  m <- m[stats::complete.cases(m), , drop = FALSE]
  if (is.null(diverted)) left_out(id, nrow(m))
  two_means(id, f, m)
  if (f$estimate != "model-difference") position_of(id, f) # else that of the model
}

# by_model is a pair in the mixed model of all samples; those who rated both stand beside it.
by_model <- function(id, f, weights = function(model) one_minus(model, f$first, f$second)) {
  model <- model_once(id, f$attribute)
  if (is.null(model)) return(invisible())
  t <- contrast(model, weights(model)); loose <- model$loose
  check(id, "n", length(unique(model$r$assessor[f$kind == "factor" | model$r$sample %in% c(f$first, f$second)])))
  check(id, "difference", t$estimate, loose); check(id, "test.statistic", t$statistic, 10 * loose)
  check(id, "test.df", t$df, 10 * loose)
  check(id, "test.p", one_side(t$statistic, t$df, alternative_of(f)), 100 * loose)
  ends <- function(level) t$estimate + c(-1, 1) * qt((1 + level) / 2, t$df) * t$se
  check_interval(id, "ci", ends(theirs(id, "level")), 10 * loose)
  for (other in c("adjusted", "equivalence")) {
    of <- theirs(id, paste0("level_", other))
    if (!is.na(of)) check_interval(id, paste0("ci_", other), ends(of), 100 * loose)
  }
  if (model$apart) {
    at <- tested(model, of_term(model, "at"))
    for (x in names(at)) check(id, paste0("checks.position.", x), at[[x]], if (x == "p") 100 * loose else loose)
  }
}

# left_out counts who rated something and not both samples of a pair, where one reason holds for all of them.
left_out <- function(id, both) {
  reasons <- grep("^excluded[.](was not to rate both|did not rate both)", said$number[said$finding == id], value = TRUE)
  if (length(reasons) == 1) check(id, reasons, length(unique(ratings$assessor)) - both)
}

# once remembers what is worked out once for an attribute.
kept <- new.env()
once <- function(what, attribute, work) {
  name <- paste(what, attribute)
  if (is.null(kept[[name]])) kept[[name]] <- list(work())
  kept[[name]][[1]]
}

# position_of is the F test of position beside assessors and samples, by every rating of the attribute.
position_of <- function(id, f) {
  if (is.na(theirs(id, "checks.position.statistic"))) return(invisible())
  check_test(id, "checks.position.", once("position", f$attribute, function() {
    r <- ratings[ratings$attribute == f$attribute & !is.na(ratings$sample), ]
    left <- function(x) qr.resid(qr(x -
      rowsum(x, r$assessor)[r$assessor, , drop = FALSE] / c(table(r$assessor)[r$assessor])), y)
    y <- r$value - ave(r$value, r$assessor)
    samples <- model.matrix(~ sample, data.frame(sample = factor(r$sample)))[, -1, drop = FALSE]
    both <- cbind(samples, model.matrix(~ at, data.frame(at = factor(r$position)))[, -1, drop = FALSE])
    rank <- function(x) qr(x -
      rowsum(x, r$assessor)[r$assessor, , drop = FALSE] / c(table(r$assessor)[r$assessor]))$rank
    rest <- sum(left(both)^2); df <- rank(both) - rank(samples)
    df2 <- nrow(r) - length(unique(r$assessor)) - rank(both)
    f <- (sum(left(samples)^2) - rest) / df / (rest / df2)
    list(statistic = f, df = df, df2 = df2, p = pf(f, df, df2, lower.tail = FALSE))
  }))
}

# came_of is the place in an order of those who rated both samples, nobody of them left aside.
came_of <- function(f, order) {
  mine <- everybody[everybody$attribute == f$attribute & everybody$sample %in% c(f$first, f$second), ]
  both <- names(which(tapply(mine$sample, mine$assessor, function(s) length(unique(s))) == 2))
  tapply(as.integer(mine[[order]]), mine$assessor, max)[both]
}

# in_looks are the people of planned looks who count, with at which look each was in.
in_looks <- function(id, f, m) {
  came <- came_of(f, "look")
  m[rownames(m) %in% names(came)[came <= sort(came)[theirs(id, "n")]], , drop = FALSE]
}

# after_looks is a paired t test at planned looks: p, the estimate whose chance to be exceeded is one half, and the
# interval by the order of the stages (Fairbanks & Madsen 1982; Tsiatis, Rosner & Mehta 1984), between the bounds that
# the plan gives the looks. What goes on is carried from look to look as a density (Armitage, McPherson & Rowe 1969),
# here by Simpson's rule.
after_looks <- function(id, d, level, same) {
  look <- function(x) { # in order of the looks
    all <- said[said$finding == id & grepl(paste0("^looks[.]taken[.][0-9]+[.]", x, "$"), said$number), ]
    all$value[order(as.integer(gsub("[^0-9]", "", all$number)))]
  }
  t <- look("fraction"); bound <- look("z_bound"); last <- length(t); n <- length(d)
  statistic <- mean(d) / (sd(d) / sqrt(n))
  check(id, "test.statistic", statistic); check(id, "test.df", n - 1)
  check(id, "looks.plain.value", mean(d)); check_interval(id, "looks.plain.ci", t.test(d, conf.level = level)$conf.int)
  came <- came_of(f, "look")[names(d)]
  for (k in seq_len(last)) { # what each look saw
    of <- d[came <= sort(unique(came))[k]]; at_look <- function(x) paste0("looks.taken.", k, ".", x)
    check(id, at_look("n"), length(of)); check(id, at_look("difference"), mean(of))
    check(id, at_look("fraction"), length(of) / theirs(id, "looks.planned"))
    one <- t.test(of); check(id, at_look("t"), one$statistic); check(id, at_look("p_of_one_look"), one$p.value)
    if (bound[k] < 30) check(id, at_look("t_bound"),
      qt(pnorm(bound[k], lower.tail = FALSE), length(of) - 1, lower.tail = FALSE), searched)
  }
  t_of <- look("t"); t_bound <- look("t_bound")
  early <- which(abs(t_of) >= t_bound & look("n") < theirs(id, "looks.planned"))
  check(id, "looks.stopped_at", if (length(early) > 0) early[1] else 0)
  for (x in c("looks.later", "excluded.rated after the look that decided")) check(id, x, length(came_of(f, "look")) - n)
  if (last == 1) return(check(id, "test.p", t.test(d)$p.value))
  at <- list()
  for (k in seq_len(last - 1)) {
    b <- seq(-1, 1, length.out = 1601) * min(bound[k], 12) * sqrt(t[k])
    w <- c(1, rep(c(4, 2), 799), 4, 1) * (b[2] - b[1]) / 3
    at[[k]] <- if (k == 1) list(b = b, w = w * dnorm(b, 0, sqrt(t[1]))) else {
      from <- at[[k - 1]]
      list(b = b, w = w * vapply(b, function(x) sum(from$w * dnorm(x - from$b, 0, sqrt(t[k] - t[k - 1]))), 0))
    }
  }
  beyond <- function(k, z, drift) if (k == 1) pnorm(z - drift * sqrt(t[1]), lower.tail = FALSE) else {
    from <- at[[k - 1]]; step <- t[k] - t[k - 1]
    sum(from$w * exp(drift * from$b - drift^2 * t[k - 1] / 2) *
      pnorm((z * sqrt(t[k]) - from$b - drift * step) / sqrt(step), lower.tail = FALSE))
  }
  spend <- function(t) if (plan$spending == "evenly") plan$alpha * log1p((exp(1) - 1) * t) else 4 *
    pnorm(qnorm(1 - plan$alpha / 4) / sqrt(t), lower.tail = FALSE)
  spent <- c(0, spend(pmin(t, 1)))
  if (is.na(theirs(id, "looks.stopped_at")) || theirs(id, "looks.stopped_at") != last) spent[last + 1] <- plan$alpha
  for (k in seq_len(last)) { # which bound spends what the plan has for the look (Lan & DeMets 1983)
    more <- (spent[k + 1] - spent[k]) / 2
    if (bound[k] < 30) check(id, paste0("looks.taken.", k, ".z_bound"),
      uniroot(function(z) log(beyond(k, z, 0)) - log(more), c(0, 9), tol = 1e-12)$root, searched)
  }
  for (k in seq_len(last)) # the bounds spend what they say
    check(id, paste0("looks.taken.", k, ".alpha_spent"),
      2 * sum(vapply(seq_len(k), function(j) beyond(j, bound[j], 0), 0)), searched)
  z <- sign(statistic) * qnorm(pt(abs(statistic), n - 1, lower.tail = FALSE), lower.tail = FALSE)
  above <- function(drift) sum(vapply(seq_len(last - 1), function(k) beyond(k, bound[k], drift), 0)) + beyond(last, z,
    drift)
  points <- sqrt(t[last]) * mean(d) / z
  where <- function(p) uniroot(function(x) above(x) - p, z / sqrt(t[last]) + c(-3, 3) / sqrt(t[last]),
    extendInt = "upX", tol = 1e-11)$root * points
  p <- above(0)
  check(id, "test.p", 2 * min(p, 1 - p), searched)
  check(id, "difference", where(1 / 2), searched)
  check_interval(id, "ci", c(where((1 - level) / 2), where((1 + level) / 2)), searched)
  if (!is.na(same)) check_interval(id, "ci_equivalence", c(where((1 - same) / 2), where((1 + same) / 2)), searched)
}

# in_turn are the people of running evidence who count, in the order in which they came.
in_turn <- function(id, f, m) {
  came <- sort(came_of(f, "arrived"))[seq_len(theirs(id, "n"))]
  m[intersect(names(came), rownames(m)), , drop = FALSE]
}

# running_evidence is counted after each person, by a t mixture with a prior N(0, g) on mean/sd (Lai 1976) and by bets
# on differences within the ends of the scale (Waudby-Smith & Ramdas 2024); the interval holds the differences whose
# evidence is below 1/alpha.
running_evidence <- function(id, f, d, level, same) {
  g <- theirs(id, "evidence.at")^2; most <- theirs(id, "evidence.range"); n <- length(d)
  mixture <- function(x) {
    n <- length(x); ss <- sum((x - mean(x))^2)
    if (n < 2 || ss == 0) return(0)
    u <- n * mean(x)^2 / ss
    n / 2 * (log1p(u) - log1p(u / (1 + n * g))) - log(1 + n * g) / 2
  }
  y <- (d + most) / (2 * most); i <- seq_len(n)
  about <- (1 / 4 + cumsum((y - (1 / 2 + cumsum(y)) / (i + 1))^2)) / (i + 1)
  bets <- function(m, alpha) {
    stake <- sqrt(2 * log(2 / alpha) / (c(1 / 4, about[-n]) * i * log(1 + i)))
    list(up = cumsum(log1p(pmin(stake, 0.95 / m) * (y - m))),
      down = cumsum(log1p(-pmin(stake, 0.95 / (1 - m)) * (y - m))))
  }
  by_mixture <- vapply(i, function(k) mixture(d[seq_len(k)]), 0)
  b <- bets(1 / 2, plan$alpha); by_betting <- pmax(b$up, b$down) - log(2)
  mine <- if (f$method == "betting") by_betting else by_mixture
  other <- if (f$method == "betting") by_mixture else by_betting
  for (k in i) check(id, paste0("evidence.steps.", k), mine[k])
  check(id, "evidence.log_e", mine[n]); check(id, "evidence.log_e_beside", other[n])
  check(id, "test.statistic", mine[n])
  # of others: nobody looked before the end
  check(id, "test.p", exp(-max(0, mine[n], if (n >= 12 && is.null(diverted)) mine[12:n])))
  ends <- function(level) {
    alpha <- 1 - level
    if (f$method == "betting") {
      up <- function(m) tail(bets(m, alpha)$up, 1) - log(2 / alpha)
      down <- function(m) tail(bets(m, alpha)$down, 1) - log(2 / alpha)
      low <- if (up(1e-12) < 0) 0 else uniroot(up, c(1e-12, 1), tol = 1e-14)$root
      high <- if (down(1 - 1e-12) < 0) 1 else uniroot(down, c(0, 1 - 1e-12), tol = 1e-14)$root
      return(2 * most * c(low, high) - most)
    }
    spread <- 1 + n * g; c <- (spread / alpha^2)^(1 / n)
    if (c >= spread) return(c(-most, most))
    pmin(pmax(mean(d) + c(-1, 1) * sqrt(sum((d - mean(d))^2) / n) * sqrt((c - 1) / (1 - c / spread)), -most), most)
  }
  check(id, "difference", mean(d)); check_interval(id, "ci", ends(level), searched)
  of <- table_of("attributes.csv"); of <- of[of$attribute == f$attribute, ]
  check(id, "evidence.range", as.numeric(of$highest) - as.numeric(of$lowest))
  check(id, "evidence.enough", log(1 / plan$alpha))
  later <- length(came_of(f, "arrived")) - n
  check(id, "evidence.later", later); check(id, "excluded.rated after there was enough evidence", later)
  if (!is.na(same)) check_interval(id, "ci_equivalence", ends(same), searched)
  check(id, "evidence.plain.value", mean(d))
  if (sd(d) > 0) check_interval(id, "evidence.plain.ci", t.test(d, conf.level = level)$conf.int)
}

# check_held sees whether a number lies where draws of the lottery, counted here, leave it: within lines that one count
# in a million would pass by chance.
check_held <- function(finding, what, low, high, share = NA) {
  if (!is.null(diverted)) {
    if (!what %in% names(diverted)) return(invisible())
    what <- diverted[[what]]
  }
  row <- which(said$finding == finding & said$number == what)
  if (length(row) != 1 || is.na(said$value[row])) return(invisible())
  said$recomputed[row] <<- TRUE
  at <- if (is.na(share)) said$value[row] else share
  sound <- at >= low && at <= high
  if (!sound) wrong <<- wrong + 1
  mine <- if (is.na(share)) sprintf("%.3g to %.3g", low, high) else sprintf("%.3g in %.3g to %.3g", share, low, high)
  cat(sprintf("%-3s %-46s %20.12g %20s%s\n", finding, what, said$value[row], mine, if (sound) "" else "   DIFFERS"))
}

# by_redraws counts anew how often the plan's own lottery (Fisher 1935; Kempthorne 1952) gives as large a difference
# over its standard error: in the draws of redraws.txt, which are others than those that the report counts. Ratings
# stay with person and position; at the ends of an interval, taken off the first sample as served, the draws refuse at
# its tail.
by_redraws <- function(id, f, groups) {
  if (!file.exists("redraws.txt")) return(invisible())
  lines <- strsplit(readLines("redraws.txt"), " ", fixed = TRUE)
  r <- ratings[ratings$attribute == f$attribute & paste(ratings$assessor, ratings$position, sep = ":") %in%
    lines[[1]], ]
  place <- match(paste(r$assessor, r$position, sep = ":"), lines[[1]])
  drawn <- rbind(r$sample, do.call(rbind, lines[-1])[, place, drop = FALSE]) # the plan as served, then the draws
  statistics <- function(shift) {
    v <- r$value - shift * (r$sample == f$first)
    of <- function(s) { is <- t(drawn == s); list(n = rowsum(is * 1, r$assessor), y = rowsum(is * v, r$assessor)) }
    a <- of(f$first); b <- of(f$second)
    means <- function(x) colMeans(x, na.rm = TRUE)
    squared <- function(x) {
      n <- colSums(!is.na(x)); colSums((x - rep(means(x), each = nrow(x)))^2, na.rm = TRUE) / (n * (n - 1))
    }
    if (!groups) { d <- a$y / a$n - b$y / b$n; return(means(d) / sqrt(squared(d))) }
    x <- a$y / a$n; x[b$n > 0] <- NA
    y <- b$y / b$n; y[a$n > 0] <- NA
    (means(x) - means(y)) / sqrt(squared(x) + squared(y))
  }
  share <- function(shift, side) { # of draws that reach the plan, with the lines of one in a million
    t <- side * statistics(shift)
    t[is.nan(t)] <- 0 # all alike
    reach <- sum(t[-1] >= t[1] - 1e-9 * max(1, abs(t[1])))
    binom.test(reach, length(t) - 1, conf.level = 1 - 1e-6)$conf.int
  }
  check(id, "test.statistic", statistics(0)[1])
  one <- rbind(share(0, 1), share(0, -1))
  p <- switch(alternative_of(f), greater = one[1, ], less = one[2, ],
    two.sided = pmin(1, 2 * c(min(one[, 1]), min(one[, 2]))))
  check_held(id, "test.p", p[1], p[2])
  for (what in c("", "_equivalence", "_adjusted")) {
    level <- theirs(id, paste0("level", what))
    for (end in c("low", "high")) {
      name <- paste0("ci", what, ".", end)
      at <- theirs(id, if (is.null(diverted)) name else if (name %in% names(diverted)) diverted[[name]] else "")
      if (is.na(level) || is.na(at)) next
      # draws that tie just there count on both sides
      side <- if (end == "low") 1 else -1; near <- 1e-6 * max(1, abs(at))
      check_held(id, name, share(at - side * near, side)[1], share(at + side * near, side)[2], (1 - level) / 2)
    }
  }
}

# two_means compares two columns of the same people.
two_means <- function(id, f, m) {
  looked <- f$method == "planned-looks"
  counted <- f$method %in% c("mixture", "betting")
  if (looked) m <- in_looks(id, f, m)
  if (counted) m <- in_turn(id, f, m)
  d <- m[, 1] - m[, 2]
  n <- length(d)
  level <- theirs(id, "level")
  modelled <- f$estimate == "model-difference" || f$method %in% c("mixed-t", "mixed-f") # these stand beside
  if (!modelled) check(id, "n", n)
  for (s in c(f$first, f$second)) {
    check(id, paste0("means.", s), mean(m[, s]))
    check(id, paste0("sds.", s), sd(m[, s]))
  }
  check(id, "moved.up", sum(d > 0)); check(id, "moved.down", sum(d < 0)); check(id, "moved.same", sum(d == 0))
  alternative <- alternative_of(f)
  rank <- signed_rank(d, alternative)
  sign <- if (any(d != 0)) binom.test(sum(d > 0), sum(d != 0), alternative = alternative) else list(p.value = NA)
  t <- if (sd(d) > 0) t.test(d, alternative = alternative)
  mean_ci <- if (sd(d) > 0) t.test(d, conf.level = level)$conf.int else c(NA, NA)
  same <- theirs(id, "level_equivalence")
  if (modelled) {
    check(id, "effect.mean-difference.value", mean(d)); check_interval(id, "effect.mean-difference.ci", mean_ci)
  } else if (f$method == "lottery" && file.exists("redraws.txt")) {
    check(id, "difference", mean(d)); by_redraws(id, f, FALSE)
  } else if (f$method == "lottery") {
    check(id, "difference", mean(d)); if (sd(d) > 0) check(id, "test.statistic", mean(d) / sd(d) * sqrt(n))
    ends <- c(ci = level, ci_equivalence = same, ci_adjusted = theirs(id, "level_adjusted"))
    by_lottery(id, f, d, "test.p", ends, if (f$role == "primary" && is.null(diverted)) 99999 else 9999)
  } else if (f$estimate == "mean-difference") {
    check(id, "difference", mean(d)); check_interval(id, "ci", mean_ci)
    if (!is.na(same) && sd(d) > 0) check_interval(id, "ci_equivalence", t.test(d, conf.level = same)$conf.int)
    shared <- theirs(id, "level_adjusted") # Bonferroni's inequality
    if (!is.na(shared) && sd(d) > 0) check_interval(id, "ci_adjusted", t.test(d, conf.level = shared)$conf.int)
  } else if (looked || counted) {
    check(id, "effect.mean-difference.value", mean(d)); check_interval(id, "effect.mean-difference.ci", mean_ci)
  } else { # Hodges and Lehmann (1963): the middle of all averages of two
    walsh <- sort(outer(d, d, "+")[upper.tri(diag(n), diag = TRUE)] / 2)
    check(id, "difference", median(walsh))
    ends <- function(level) { k <- max(1, qsignrank((1 - level) / 2, n)); walsh[c(k, length(walsh) + 1 - k)] }
    check_interval(id, "ci", ends(level))
    for (other in c("adjusted", "equivalence")) {
      of <- theirs(id, paste0("level_", other))
      if (!is.na(of)) check_interval(id, paste0("ci_", other), ends(of))
    }
    check(id, "effect.mean-difference.value", mean(d)); check_interval(id, "effect.mean-difference.ci", mean_ci)
  }
  if (looked && sd(d) > 0) after_looks(id, d, level, same)
  if (counted) running_evidence(id, f, d, level, same)
  # two tests on one side each, of which the weaker counts (Schuirmann 1987)
  if (f$method == "equivalence" && !is.null(t)) {
    weaker <- (mean(d) + (if (mean(d) > 0) -1 else 1) * plan$smallest) / sd(d) * sqrt(n)
    check_test(id, "test.",
      list(statistic = weaker, df = n - 1,
        p = if (mean(d) > 0) pt(weaker, n - 1) else pt(weaker, n - 1, lower.tail = FALSE)))
  }
  if (!is.null(t)) {
    scores <- if (f$method == "paired-t") "test." else "also.paired-t."
    check(id, paste0(scores, "statistic"), t$statistic); check(id, paste0(scores, "df"), t$parameter)
    check(id, paste0(scores, "p"), t$p.value)
    ends <- noncentral_interval(t$statistic, n - 1, 1 / sqrt(n), level)
    j <- small_sample(n - 1)
    check(id, "effect.d_z.value", mean(d) / sd(d)); check_interval(id, "effect.d_z.ci", ends, searched)
    check(id, "effect.g_z.value", j * mean(d) / sd(d)); check_interval(id, "effect.g_z.ci", j * ends, searched)
  }
  for (part in c("test", "also")) {
    prefix <- function(method) if (part == "test") if (f$method == method) "test." else "none." else paste0("also.",
      method, ".")
    check(id, paste0(prefix("signed-rank"), "statistic"), rank$statistic)
    check(id, paste0(prefix("signed-rank"), "p"), rank$p)
    check(id, paste0(prefix("sign"), "statistic"), sum(d > 0))
    check(id, paste0(prefix("sign"), "p"), sign$p.value)
  }
  check(id, "effect.median-difference.value", median(d)) # its interval: order statistics, by the sign test
  k <- qbinom((1 - level) / 2, n, 0.5)
  if (k > 0) {
    check_interval(id, "effect.median-difference.ci", sort(d)[c(k, n + 1 - k)])
    check(id, "effect.median-difference.level", 1 - 2 * pbinom(k - 1, n, 0.5))
  }
  for (s in c(f$first, f$second)) if (!is.na(theirs(id, paste0("ordinal.counts.", s, ".1")))) {
    for (label in seq_len(max(m))) check(id, paste0("ordinal.counts.", s, ".", label), sum(m[, s] == label))
  }
  ordered_answers(id, f)
  order_of(id, f, names(d), d, rowSums(m))
  pair_again(id, f, m, level)
  if (plan$replicates > 1 && f$kind == "pair") people_differ(id, f, level)
}

# people_differ is whether people differ in what the samples do to them: between and within people, of pairs in the
# order tasted (Searle 1971, Linear Models, ch. 9).
people_differ <- function(id, f, level) {
  if (is.na(theirs(id, "people.n"))) return(invisible())
  r <- ratings[ratings$attribute == f$attribute & ratings$sample %in% c(f$first, f$second), ]
  r <- r[order(if (is.null(r$sitting)) rep(0, nrow(r)) else as.integer(as.character(r$sitting)), r$position), ]
  of <- function(s) split(r$value[r$sample == s], r$assessor[r$sample == s])
  x <- of(f$first); y <- of(f$second); both <- intersect(names(x), names(y))
  whole <- both[lengths(x[both]) >= plan$replicates & lengths(y[both]) >= plan$replicates]
  d <- t(sapply(whole, function(who) x[[who]][seq_len(plan$replicates)] - y[[who]][seq_len(plan$replicates)]))
  n <- nrow(d); k <- ncol(d); df <- n - 1; df2 <- n * (k - 1)
  between <- k * var(rowMeans(d)); within <- sum((d - rowMeans(d))^2) / df2; ratio <- between / within
  check(id, "people.n", n); check(id, "people.pairs", k); check(id, "people.left_out", length(both) - length(whole))
  check(id, "people.agree_in_sign", sum(apply(d > 0, 1, all) | apply(d < 0, 1, all)))
  check_test(id, "people.test.",
    list(statistic = ratio, df = df, df2 = df2, p = pf(ratio, df, df2, lower.tail = FALSE)))
  check(id, "people.sd_noise", sqrt(within)); people <- sqrt(max(0, (between - within) / k))
  check(id, "people.sd_people", people)
  share <- function(f) (f - 1) / (f + k - 1)
  ends <- share(c(ratio / qf((1 + level) / 2, df, df2), ratio * qf((1 + level) / 2, df2, df)))
  check(id, "people.share_of_variance", share(ratio))
  for (i in 1:2) {
    check(id, paste0("people.share_of_variance_ci.", i), ends[i])
    check(id, paste0("people.sd_people_ci.", i), sqrt(max(0, ends[i] / (1 - ends[i])) * within))
  }
  if (people > 0) check(id, "people.share_positive", pnorm(mean(d) / people))
}

# again calls a function with the place and the words of each way in which a finding was reckoned anew of the same
# people.
again <- function(id, by) if (is.null(diverted)) for (i in which(anew$finding == id & is.na(anew$without))) {
  by(function(x) paste0("rechecks.", anew$recheck[i], ".", x), anew$method[i], anew$says[i])
}

# aside reckons a finding anew without some of the people, by the function that reckoned it.
aside <- function(id, f) {
  for (i in which(anew$finding == id & !is.na(anew$without))) {
    as <- diverting[[f$kind]]
    if (is.null(as)) next
    limit <- f$kind == "choice" && !is.na(theirs(id, "alike.share")) || f$kind %in% c("pair", "groups") && plan$test ==
      "equivalence"
    if (limit) as[c("ci.low", "ci.high")] <- c("ci_equivalence.low", "ci_equivalence.high") # what the plan looks at
    diverted <<- setNames(paste0("rechecks.", anew$recheck[i], ".", names(as)), as)
    ratings <<- everybody[!everybody$assessor %in% strsplit(anew$without[i], " ")[[1]], ]
    kinds[[f$kind]](id, f)
    diverted <<- NULL; ratings <<- everybody
  }
}
# pair_again has the other tests of a pair, and the planned one without the person who moves it most.
pair_again <- function(id, f, m, level) again(id, function(what, method, says) {
  d <- m[, 1] - m[, 2]
  if (method == "mixed-t") in_model(id, f, what, level, says)
  if (method == "lottery") {
    check(id, what("n"), length(d)); check(id, what("difference"), mean(d))
    draws <- min(9999, max(999, 500000 %/% nrow(table_of("key.csv"))))
    by_lottery(id, f, d, what("p"), setNames(level, what("ci")), draws)
  }
  if (!method %in% c("paired-t", "signed-rank", "period-adjusted")) return(invisible())
  check(id, what("n"), length(d))
  if (method == "signed-rank") by_ranks(id, what, d, level, alternative_of(f))
  if (method == "paired-t" && sd(d) > 0) {
    t <- t.test(d, conf.level = level)
    check(id, what("difference"), mean(d)); check_interval(id, what("ci"), t$conf.int)
    check(id, what("p"), one_side(t$statistic, t$parameter, alternative_of(f)))
  }
  if (method == "period-adjusted") for (x in c("p", "ci.low", "ci.high")) check(id, what(x), adjusted_for_order[[x]])
  if (method == "period-adjusted") check(id, what("difference"), adjusted_for_order$estimate)
})

# by_lottery draws the serving plan anew where that is of two samples, each served once to everybody: people who sit
# next to each other in the plan, two and two, have the two orders between them, and swap them or do not. The interval
# holds the differences that no draw refuses. The report's draws and these are two samples of the same lottery: p and
# ends may part by four standard deviations of what that makes of them. Nothing for other lotteries.
by_lottery <- function(id, f, d, p_name, levels, theirs) {
  r <- ratings[ratings$attribute == f$attribute & ratings$sample %in% c(f$first, f$second), ]
  first <- r$position[match(paste(names(d), f$first), paste(r$assessor, r$sample))] == 1
  set <- (as.integer(names(d)) - 1) %/% 2
  pairs <- tapply(first, set, function(x) length(x) < 2 || sum(x) == 1)
  if (length(unique(ratings$sample[!is.na(ratings$sample)])) != 2 || plan$replicates > 1 || anyNA(pairs) ||
    !all(pairs)) return(invisible())
  sums <- rowsum(cbind(d, 1), set); k <- nrow(sums); exact <- 2^k <= theirs
  draws <- if (exact) 2^k else 19999
  set.seed(1935)
  swap <- if (exact) as.matrix(expand.grid(rep(list(0:1), k))) else matrix(stats::rbinom(draws * k, 1, 0.5), draws)
  drawn <- swap %*% sums; slack <- 1e-9 * (1 + sqrt(sum(d^2) * length(d)))
  up <- sum(drawn[, 1] <= slack); down <- sum(drawn[, 1] >= -slack); more <- if (exact) 0 else 1
  share <- function(reached) (more + reached) / (more + draws)
  p <- switch(alternative_of(f), greater = share(up), less = share(down), two.sided = min(1, 2 * share(min(up, down))))
  spread <- function(p) if (exact) 0 else 4 * sqrt(p * (1 - p) * (1 / draws + 1 / theirs)) + 1 / min(draws, theirs)
  one <- if (alternative_of(f) == "two.sided") p / 2 else p
  check(id, p_name, p, closed + (p / one) * spread(one) / p)
  edges <- sort(drawn[, 1] / drawn[, 2]) # where a draw gives as much as the plan; none where nobody swaps
  still <- draws - length(edges)
  at <- function(tail) { # the least difference that is not refused, and the greatest
    i <- floor((if (exact) tail * draws * (1 + 1e-9) else tail * (1 + draws) - 1) - still) + 1
    if (i < 1) c(-Inf, Inf) else c(edges[i], edges[length(edges) + 1 - i])
  }
  for (name in names(levels)[!is.na(levels)]) {
    tail <- (1 - levels[[name]]) / 2; ends <- at(tail)
    if (!all(is.finite(ends))) next
    reach <- abs(at(min(0.5, tail + spread(tail))) - at(max(1.5 / draws, tail - spread(tail))))
    for (end in 1:2) check(id, paste0(name, c(".low", ".high")[end]), ends[end],
      closed + reach[end] / max(abs(ends[end]), 1e-4))
  }
}

# by_ranks is the middle of all averages of two, between order statistics of them (Hodges & Lehmann 1963; Hollander &
# Wolfe 1999, sect. 3.3).
by_ranks <- function(id, what, d, level, alternative = "two.sided") {
  n <- length(d)
  walsh <- sort(outer(d, d, "+")[upper.tri(diag(n), diag = TRUE)] / 2)
  k <- max(1, qsignrank((1 - level) / 2, n))
  check(id, what("difference"), median(walsh)); check_interval(id, what("ci"), walsh[c(k, length(walsh) + 1 - k)])
  check(id, what("p"), signed_rank(d, alternative)$p)
}

# in_model is a pair, or two levels of a factor, in the mixed model of all samples.
in_model <- function(id, f, what, level, says) {
  model <- model_once(id, f$attribute, grepl("tasted just before", says))
  if (is.null(model)) return(invisible())
  t <- contrast(model, if (f$kind == "factor") level_weights(model, strsplit(f$compared, " ")[[1]],
    f$factor) else one_minus(model, f$first, f$second))
  check(id, what("n"), length(unique(ratings$assessor[ratings$attribute == f$attribute & !is.na(ratings$sample)])))
  check(id, what("difference"), t$estimate, model$loose)
  check_interval(id, what("ci"), t$estimate + c(-1, 1) * qt((1 + level) / 2, t$df) * t$se, 10 * model$loose)
  check(id, what("p"), one_side(t$statistic, t$df, alternative_of(f)), 100 * model$loose)
}

# ordered_answers is the cumulative logit model of answers on a few labels, assessors at random (Hedeker & Gibbons
# 1994).
ordered_answers <- function(id, f) {
  if (is.na(theirs(id, "ordinal.odds_ratio.value"))) return(invisible())
  if (!requireNamespace("ordinal", quietly = TRUE)) {
    cat(id, ": the order of answers on labels needs the package ordinal (install.packages(\"ordinal\"))\n", sep = "")
    return(invisible())
  }
  r <- ratings[ratings$attribute == f$attribute & ratings$sample %in% c(f$first, f$second), ]
  r$y <- factor(r$value, ordered = TRUE); r$x <- factor(r$sample, c(f$second, f$first))
  r$assessor <- factor(r$assessor)
  fit <- ordinal::clmm(y ~ x + (1 | assessor), r, nAGQ = 21,
    control = ordinal::clmm.control(gradTol = 1e-9, maxIter = 500))
  row <- coef(summary(fit))[nrow(coef(summary(fit))), ]
  loose <- 1e-3 # two optimisers, and standard errors from numeric derivatives
  z <- qnorm((1 + theirs(id, "level")) / 2)
  for (what in c("ordinal.odds_ratio", "effect.odds-ratio")) {
    check(id, paste0(what, ".value"), exp(row[1]), loose)
    check_interval(id, paste0(what, ".ci"), exp(row[1] + c(-z, z) * row[2]), loose)
  }
  test <- if (f$method == "ordinal") "test." else "also.ordinal."
  check(id, paste0(test, "statistic"), row[3], loose); check(id, paste0(test, "p"), row[4], 10 * loose)
  check(id, "ordinal.p", row[4], 10 * loose)
  # Shares of the labels over people like these: what one would say, over the normal distribution of their levels.
  cuts <- c(-Inf, fit$alpha, Inf); spread <- sqrt(ordinal::VarCorr(fit)$assessor[1])
  for (s in c(f$first, f$second)) for (label in seq_along(cuts)[-1]) {
    upto <- function(cut) if (is.finite(cut)) integrate(function(u) plogis(cut - (s == f$first) * row[1] - spread *
      u) * dnorm(u), -9, 9)$value else (cut > 0) * 1
    of <- as.integer(levels(r$y))[label - 1] # labels that nobody chose have no share
    check(id, paste0("ordinal.shares.", s, ".", of), upto(cuts[label]) - upto(cuts[label - 1]), loose)
  }
  for (s in c(f$first, f$second)) for (of in setdiff(seq_len(max(r$value) + 9), as.integer(levels(r$y)))) check(id,
    paste0("ordinal.shares.", s, ".", of), 0)
}

# rm_anova is the analysis of variance of the same people's ratings, degrees of freedom by Greenhouse and Geisser
# (1959).
rm_anova <- function(m) {
  n <- nrow(m); k <- ncol(m)
  rest <- m - outer(rowMeans(m), rep(1, k)) - outer(rep(1, n), colMeans(m)) + mean(m)
  f <- (n * sum((colMeans(m) - mean(m))^2) / (k - 1)) / (sum(rest^2) / ((n - 1) * (k - 1)))
  s <- cov(m)
  s <- s - outer(rowMeans(s), rep(1, k)) - outer(rep(1, k), colMeans(s)) + mean(s)
  e <- sum(diag(s))^2 / ((k - 1) * sum(s^2))
  list(statistic = f, df = e * (k - 1), df2 = e * (n - 1) * (k - 1),
    p = pf(f, e * (k - 1), e * (n - 1) * (k - 1), lower.tail = FALSE))
}
check_test <- function(id, what, t) for (x in names(t)) check(id, paste0(what, x), t[[x]])

# factor_of is what names do over dishes, or dishes over names: each person's own mean at each level.
factor_of <- function(id, f) {
  m <- by_assessor(f$attribute)
  level <- theirs(id, "level")
  of <- unique(ratings[!is.na(ratings$sample), c("sample", "dish", "name")])
  of$name[is.na(of$name)] <- "blind"
  if (f$factor == "name:dish") return(depends(id, f, m, of))
  levels <- strsplit(f$compared, " ")[[1]]
  samples <- lapply(levels, function(l) of$sample[of[[f$factor]] == l])
  if (!all(unlist(samples) %in% colnames(m))) return(invisible())
  effect_in_model(id, f,
    function(model) do.call(rbind, lapply(levels[-1], function(l) level_weights(model, c(levels[1], l), f$factor))))
  if (f$method %in% c("mixed-t", "mixed-f")) {
    for (s in unlist(samples)) {
      v <- m[!is.na(m[, s]), s]
      check(id, paste0("estimates.", s, ".n"), length(v)); check(id, paste0("estimates.", s, ".mean"), mean(v))
      check_interval(id, paste0("estimates.", s, ".ci"), mean_ends(v, 1 - plan$alpha))
    }
    check(id, "n", nrow(m))
    return(if (length(levels) == 2) by_model(id, f, function(model) level_weights(model, levels, f$factor)))
  }
  m <- m[stats::complete.cases(m[, unlist(samples)]), , drop = FALSE]
  at <- sapply(samples, function(s) rowMeans(m[, s, drop = FALSE]))
  dimnames(at) <- list(rownames(m), levels)
  for (s in unlist(samples)) {
    check(id, paste0("estimates.", s, ".n"), sum(!is.na(m[, s])))
    check(id, paste0("estimates.", s, ".mean"), mean(m[, s]))
    check_interval(id, paste0("estimates.", s, ".ci"), mean_ends(m[, s], 1 - plan$alpha))
  }
  if (length(levels) == 2) return(two_means(id, f, at))
  check(id, "n", nrow(at))
  if (f$method == "rm-anova") check_test(id, "test.", rm_anova(at))
}

# level_weights are those of samples in the difference of two levels of a factor.
level_weights <- function(model, levels, factor) {
  of <- unique(model$r[c("sample", "dish", "name")]); of$name[is.na(of$name)] <- "blind"
  at <- of[[factor]][match(levels(model$r$sample), of$sample)]
  (at == levels[1]) / sum(at == levels[1]) - (at == levels[2]) / sum(at == levels[2])
}

# effect_in_model is the test of an effect of crossed samples in their mixed model, by every rating.
effect_in_model <- function(id, f, rows) {
  what <- if (f$method %in%
    c("mixed-t", "mixed-f")) "test." else if (!is.na(theirs(id, "also.mixed-t.p"))) "also.mixed-t." else "also.mixed-f."
  if (is.na(theirs(id, paste0(what, "p"))) || !is.null(diverted)) return(invisible())
  model <- model_once(id, f$attribute)
  if (is.null(model)) return(invisible())
  t <- contrast(model, rows(model))
  check(id, paste0(what, "df"), t$df, model$loose)
  for (x in c("statistic", "df2", "p")) if (!is.null(t[[x]])) check(id, paste0(what, x), t[[x]],
    if (x == "p") 100 * model$loose else model$loose)
}

# depends is whether what the names do depends on the dish: in the model, and within those who rated the whole table,
# on orthonormal contrasts against their own scatter (Winer 1971, sect. 7.2), degrees of freedom by Greenhouse and
# Geisser (1959).
depends <- function(id, f, m, of) {
  dishes <- unique(of$dish); names <- unique(of$name)
  cell <- outer(dishes, names, Vectorize(function(d, n) of$sample[of$dish == d & of$name == n]))
  rows <- function(order) do.call(rbind,
    lapply(2:length(dishes), function(d) do.call(rbind, lapply(2:length(names), function(n)
    (order == cell[1, 1]) - (order == cell[1, n]) - (order == cell[d, 1]) + (order == cell[d, n])))))
  effect_in_model(id, f, function(model) rows(levels(model$r$sample)))
  m <- m[stats::complete.cases(m[, c(cell)]), c(cell), drop = FALSE]
  for (s in c(cell)) {
    check(id, paste0("estimates.", s, ".n"), sum(!is.na(m[, s])))
    check(id, paste0("estimates.", s, ".mean"), mean(m[, s]))
    check_interval(id, paste0("estimates.", s, ".ci"), mean_ends(m[, s], 1 - plan$alpha))
  }
  check(id, "n", nrow(m))
  if (f$method != "rm-anova") return(invisible())
  z <- m %*% qr.Q(qr(t(rows(colnames(m)))))
  s <- cov(z); q <- ncol(z); e <- sum(diag(s))^2 / (q * sum(s^2))
  check_test(id, "test.",
    list(statistic = nrow(m) * sum(colMeans(z)^2) / sum(diag(s)), df = e * q, df2 = e * q * (nrow(m) - 1),
    p = pf(nrow(m) * sum(colMeans(z)^2) / sum(diag(s)), e * q, e * q * (nrow(m) - 1), lower.tail = FALSE)))
}

# mean_ends are those of a mean by Student's t: both the mean where nothing scatters, where t.test stops.
mean_ends <- function(v, level) mean(v) + c(-1, 1) * qt((1 + level) / 2, length(v) - 1) * sd(v) / sqrt(length(v))

# two_groups is Welch's test (1947); NA where nothing scatters in either group, where t.test stops.
two_groups <- function(x, y, ...) if (sd(x) + sd(y) > 0) t.test(x, y, ...) else
  list(statistic = NA, parameter = NA, p.value = NA, conf.int = c(NA, NA), stderr = NA)

adjusted_for_order <- list(estimate = NA, ci.low = NA, ci.high = NA, p = NA)

# order_of is the analysis of two periods (Senn 2002, ch. 3): the order in which a pair was tasted, and carry-over.
order_of <- function(id, f, who, d, sums) {
  r <- ratings[ratings$attribute == f$attribute & ratings$sample %in% c(f$first, f$second), ]
  if (any(!is.finite(r$position)) || max(r$position) > 2 || plan$replicates > 1) return(invisible())
  at <- r$position[match(paste(who, f$first), paste(r$assessor, r$sample))]
  if (length(unique(at)) < 2) return(invisible())
  x <- ifelse(at == 1, 1, -1)
  level <- theirs(id, "level")
  fit <- lm(d ~ x)
  one <- function(what, row, scale, fit) {
    k <- coef(summary(fit))[row, ]
    check(id, paste0("checks.", what, ".estimate"), scale * k[1])
    check_interval(id, paste0("checks.", what, ".ci"), sort(scale * confint(fit, row, level = level)))
    check(id, paste0("checks.", what, ".statistic"), sign(scale) * k[3])
    check(id, paste0("checks.", what, ".df"), fit$df.residual)
    check(id, paste0("checks.", what, ".p"), k[4])
    ends <- sort(scale * confint(fit, row, level = level))
    if (what == "period-adjusted") adjusted_for_order <<-
      list(estimate = scale * k[[1]], ci.low = ends[1], ci.high = ends[2],
      p = one_side(k[[3]], fit$df.residual, alternative_of(f)))
  }
  one("period-adjusted", 1, 1, fit)
  one("period", 2, 1, fit)
  one("carry-over", 2, 2, lm(sums ~ x))
}

groups <- function(id, f) {
  r <- ratings[ratings$attribute == f$attribute & ratings$sample %in% c(f$first, f$second), ]
  x <- r$value[r$sample == f$first]; y <- r$value[r$sample == f$second]
  level <- theirs(id, "level")
  for (i in 1:2) {
    s <- c(f$first, f$second)[i]
    v <- r$value[r$sample == s]
    check(id, paste0("ns.", i), length(v)); check(id, paste0("means.", s), mean(v)); check(id, paste0("sds.", s), sd(v))
  }
  check(id, "n", nrow(r))
  sides <- alternative_of(f)
  where <- function(method) if (f$method == method) "test." else paste0("also.", method, ".")
  t <- two_groups(x, y, alternative = sides, conf.level = level)
  check_test(id, where("welch-t"), list(statistic = t$statistic, df = t$parameter, p = t$p.value))
  check(id, paste0(where("rank-sum"), "statistic"), sum(rank(c(x, y))[seq_along(x)]) - length(x) * (length(x) + 1) / 2)
  by_rank <- rank_sum_p(x, y, sides)
  check(id, paste0(where("rank-sum"), "p"), by_rank)
  above <- mean(outer(x, y, ">") + outer(x, y, "==") / 2) # its interval on Fisher's scale
  check(id, "effect.superiority.value", above)
  half <- qnorm((1 + level) / 2) * sqrt((length(x) + length(y) + 1) / (3 * length(x) * length(y)))
  check_interval(id, "effect.superiority.ci", (1 + tanh(atanh(2 * above - 1) + c(-half, half))) / 2)
  if (plan$strata > 0) stratified <- van_elteren(r, f, level)
  if (plan$strata > 0) check_test(id, where("stratified-rank-sum"), stratified[c("statistic", "p")])
  nx <- length(x); ny <- length(y); df <- nx + ny - 2
  pooled <- sqrt(((nx - 1) * var(x) + (ny - 1) * var(y)) / df); scale <- sqrt(1 / nx + 1 / ny)
  g <- small_sample(df) * (mean(x) - mean(y)) / pooled
  if (pooled > 0) check(id, "effect.hedges-g.value", g)
  if (pooled > 0) check_interval(id, "effect.hedges-g.ci",
    small_sample(df) * noncentral_interval((mean(x) - mean(y)) / pooled / scale, df, scale, level), searched)
  if (plan$strata > 0) { # the same difference within every stratum
    check(id, "strata", length(unique(r$stratum)))
    fit <- lm(value ~ I(1 * (sample == f$first)) + stratum, r)
    k <- coef(summary(fit))[2, ]
    check_test(id, where("stratified-t"),
      list(statistic = k[[3]], df = fit$df.residual, p = one_side(k[[3]], fit$df.residual, sides)))
  }
  by_ranks <- f$method %in% c("rank-sum", "stratified-rank-sum")
  ends_of_means <- function(level) if (plan$strata > 0) confint(fit, 2, level = level) else two_groups(x, y,
    conf.level = level)$conf.int
  shift <- sort(outer(x, y, "-")) # Hodges & Lehmann (1963); Hollander & Wolfe (1999), sect. 4.3
  ends_of_shift <- function(level) {
    i <- max(1, qwilcox((1 - level) / 2, length(x), length(y))); shift[c(i, length(shift) + 1 - i)]
  }
  ends <- function(level) if (!by_ranks) ends_of_means(level) else if (plan$strata > 0) van_elteren(r, f,
    level)$ci else ends_of_shift(level)
  means <- if (plan$strata > 0) k[[1]] else mean(x) - mean(y)
  drawn <- f$method == "lottery"
  check(id, "difference",
    if (drawn) mean(x) - mean(y) else if (!by_ranks) means else if (plan$strata >
      0) stratified$shift else median(shift))
  check(id, "effect.mean-difference.value", means)
  check_interval(id, "effect.mean-difference.ci", ends_of_means(level))
  if (drawn) by_redraws(id, f, TRUE) else check_interval(id, "ci", ends(level))
  for (other in if (!drawn) c("adjusted", "equivalence")) {
    of <- theirs(id, paste0("level_", other))
    if (!is.na(of)) check_interval(id, paste0("ci_", other), ends(of))
  }
  again(id, function(what, method, says) {
    check(id, what("n"), nrow(r))
    if (is.na(method)) return(invisible())
    if (method == "welch-t") {
      check(id, what("difference"), mean(x) - mean(y)); check(id, what("p"), t$p.value)
      check_interval(id, what("ci"), two_groups(x, y, conf.level = level)$conf.int)
    }
    if (method == "stratified-t") {
      check(id, what("difference"), means); check(id, what("p"), one_side(k[[3]], fit$df.residual, sides))
      check_interval(id, what("ci"), ends_of_means(level))
    }
    if (method == "stratified-rank-sum") {
      check(id, what("difference"), stratified$shift); check_interval(id, what("ci"), stratified$ci)
      check(id, what("p"), stratified$p)
    }
    if (method == "rank-sum") {
      check(id, what("difference"), median(shift)); check(id, what("p"), by_rank)
      check_interval(id, what("ci"), ends_of_shift(level))
    }
  })
}

# van_elteren is the rank-sum test within strata with the weights 1/(N + 1) (van Elteren 1960), given the ties: exact
# where that takes few sums, as the report does, else by the normal distribution; and the shift that leaves its
# statistic at its mean.
van_elteren <- function(r, f, level) {
  apart <- c(); weight <- c(); off <- 0; spread <- 0; plain <- 0; exact <- list(at = 0, p = 1)
  for (h in split(r, r$stratum)) {
    x <- h$value[h$sample == f$first]; y <- h$value[h$sample == f$second]; m <- length(x); n <- length(y)
    w <- 1 / (m + n + 1)
    if (m == 0 || n == 0) next
    ranks <- rank(c(x, y))
    off <- off + w * (sum(ranks[seq_len(m)]) - m * (m + n + 1) / 2)
    spread <- spread + w^2 * m * n / (m + n) * var(ranks); plain <- plain + w * m * n / 12
    apart <- c(apart, outer(x, y, "-")); weight <- c(weight, rep(w, m * n))
    if (length(exact$at) * m * n > 1e5 || (m + n) * min(m, n) * m * n > 2e7) exact$at <- numeric(1e5)
    if (length(exact$at) == 1e5) next
    ways <- rank_sum_ways(c(x, y), m); at <- which(ways > 0)
    sums <- outer(exact$at, w * ((at - 1) / 2 - m * (m + n + 1) / 2), "+"); key <- round(sums * 1e9)
    p <- rowsum(c(outer(exact$p, ways[at])), c(key))
    exact <- list(at = as.numeric(rownames(p)) / 1e9, p = p[, 1])
  }
  z <- off / sqrt(spread)
  in_order <- order(apart); reached <- cumsum(weight[in_order]); total <- sum(weight)
  at <- function(amount) {
    i <- which(reached >= amount - 1e-9 * amount)[1]
    if (reached[i] > amount + 1e-9 * amount || i ==
      length(reached)) apart[in_order[i]] else mean(apart[in_order[i + 0:1]])
  }
  reach <- qnorm((1 + level) / 2) * sqrt(plain)
  list(statistic = z, p = if (length(exact$at) < 1e5) beyond(exact$at, off, exact$p,
    alternative_of(f)) else one_side(z, Inf, alternative_of(f)),
    shift = at(total / 2), ci = c(at(total / 2 - reach), at(total / 2 + reach)))
}

# rank_sum_ways are the chances of each doubled rank sum of the first m of some values, from 0.
rank_sum_ways <- function(values, m) {
  ranks <- round(2 * rank(values))
  ways <- matrix(0, m + 1, sum(ranks) + 1); ways[1, 1] <- 1
  for (r in ranks) {
    up <- ways[-nrow(ways), seq_len(ncol(ways) - r)]
    ways[-1, (r + 1):ncol(ways)] <- ways[-1, (r + 1):ncol(ways)] + up
  }
  ways[nrow(ways), ] / sum(ways[nrow(ways), ])
}

# beyond is the chance of what lies as far out as what was seen, on a side or on both.
beyond <- function(at, seen, p,
  side) sum(p[switch(side, greater = at >= seen - 1e-6, less = at <= seen + 1e-6,
    two.sided = abs(at) >= abs(seen) - 1e-6)])

# rank_sum_p is the exact p of the rank sum for any ties (Wilcoxon 1945): the distribution over all ways to
# part the doubled midranks, by convolution. NA for groups so large that the report may have used the normal
# distribution.
rank_sum_p <- function(x, y, side = "two.sided") {
  if (max(length(x), length(y)) > 60) return(NA)
  p <- rank_sum_ways(c(x, y), length(x)); ranks <- round(2 * rank(c(x, y)))
  far <- seq_along(p) - 1 - length(x) * mean(ranks) # from the mean of the doubled rank sum
  beyond(far, far[sum(ranks[seq_along(x)]) + 1], p, side)
}

wilson <- function(k, n, level) prop.test(k, n, conf.level = level, correct = FALSE)$conf.int # Wilson (1927)

# rights are the turns and whether each was answered right, where that can be told from the tables: what was chosen was
# the plate that was alone, or was the known reference, or was what was asked for, or the plates were put together
# rightly.
rights <- function(f) {
  r <- ratings[!is.na(ratings$sample), ]
  turns <- split(r, paste(r$assessor, r$turn))
  one <- switch(plan$question,
    triangle = , `3-afc` = function(x) { alone <- names(which(table(x$sample) == 1)); x$sample[x$value == 1] == alone },
    `2-afc` = function(x) x$sample[x$value == 1] == f$first,
    `duo-trio` = if ("reference" %in% names(r)) function(x) x$dish[x$value == 1] == x$reference[1]
      else if (plan$reference == "constant") function(x) x$sample[x$value == 1] == f$first,
    tetrad = function(x) all(tapply(x$sample, x$value, function(s) length(unique(s)) == 1)))
  if (is.null(one)) return(NULL)
  data.frame(assessor = vapply(turns, function(x) x$assessor[1], ""),
    turn = vapply(turns, function(x) as.integer(x$turn[1]), 1L),
    arrived = vapply(turns, function(x) if ("arrived" %in% names(x)) as.integer(x$arrived[1]) else NA_integer_, 1L),
    right = vapply(turns, one, TRUE))
}

# share_at is the share of right answers at a sensory distance, by the rule that each question asks for (Ennis 1993;
# Macmillan & Creelman 2005).
share_at <- function(d) {
  whole <- function(g, from = -Inf) integrate(g, from, Inf, rel.tol = 1e-11)$value
  switch(plan$question,
    `2-afc` = pnorm(d / sqrt(2)),
    `3-afc` = whole(function(z) dnorm(z - d) * pnorm(z)^2),
    `duo-trio` = 1 - pnorm(d / sqrt(2)) - pnorm(d / sqrt(6)) + 2 * pnorm(d / sqrt(2)) * pnorm(d / sqrt(6)),
    triangle = 2 * whole(function(z) (pnorm(-z * sqrt(3) + d * sqrt(2 / 3)) + pnorm(-z * sqrt(3) - d * sqrt(2 / 3))) *
      dnorm(z), 0),
    tetrad = 1 - 2 * whole(function(z) dnorm(z) * (2 * pnorm(z) * pnorm(z - d) - pnorm(z - d)^2)),
    NA)
}
distance <- function(share, chance) {
  if (is.na(share_at(1)) || share >= share_at(20)) return(NA)
  if (share <= chance) 0 else uniroot(function(d) share_at(d) - share, c(0, 20), tol = 1e-13)$root
}

# right_answers is a test of difference: k of n right, by the exact binomial distribution (Clopper & Pearson 1934).
right_answers <- function(id, f, n, k, chance) {
  each <- rights(f)
  if (!is.null(each) && f$method == "sequential") { # how many were right after each answer, as they came
    after <- cumsum(each$right[order(each$arrived)])
    for (i in seq_along(after)) check(id, paste0("one_by_one.right_after.", i), after[i])
    one_by_one(id, after, chance)
    check_interval(id, "ci_equivalence", binom.test(k, n, conf.level = theirs(id, "level"))$conf.int)
  } else if (!is.null(each)) {
    check(id, "n", nrow(each)); check(id, "right", sum(each$right)); right_again(id, each, chance)
  }
  level <- theirs(id, "level")
  least <- which(pbinom(0:n - 1, n, chance, lower.tail = FALSE) <= plan$alpha)
  if (f$method %in% c("binomial", "similarity", "sequential")) check(id, "least_right",
    if (length(least) > 0) least[1] - 1 else n + 1)
  ends <- binom.test(k, n, conf.level = level)$conf.int
  if (!is.na(theirs(id, "alike.share"))) {
    truth <- chance + (1 - chance) * theirs(id, "alike.share")
    check(id, "alike.p", pbinom(k, n, truth)); check(id, "test.p", pbinom(k, n, truth)); check(id, "test.statistic", k)
    check(id, "also.binomial.p", binom.test(k, n, chance, "greater")$p.value); check(id, "also.binomial.statistic", k)
    most <- which(pbinom(0:n, n, truth) <= 1 - theirs(id, "alike.level")) - 1
    if (length(most) > 0) check(id, "alike.most_right", max(most))
    upper <- binom.test(k, n, alternative = "less", conf.level = theirs(id, "alike.level"))$conf.int
    check(id, "alike.upper", max(0, (upper[2] - chance) / (1 - chance)))
    check_interval(id, "ci_equivalence", upper)
  } else if (f$method == "binomial") {
    check(id, "test.statistic", k); check(id, "test.p", binom.test(k, n, chance, "greater")$p.value)
  }
  check(id, "share", k / n); check_interval(id, "ci", ends)
  tellers <- function(share) max(0, (share - chance) / (1 - chance))
  check(id, "tellers.value", tellers(k / n)); check_interval(id, "tellers.ci", c(tellers(ends[1]), tellers(ends[2])))
  check(id, "d_prime.value", distance(k / n, chance), searched)
  check_interval(id, "d_prime.ci", c(distance(ends[1], chance), distance(ends[2], chance)), searched)
}

# one_by_one is Wald's sequential test (1947, sect. 5.3): two lines; where the answers left the space between them; and
# the chance that guesses alone leave it above by as many answers or fewer.
one_by_one <- function(id, after, chance) {
  truth <- chance + theirs(id, "one_by_one.share") * (1 - chance)
  odds <- log(truth * (1 - chance) / (chance * (1 - truth)))
  slope <- log((1 - chance) / (1 - truth)) / odds; low <- log(plan$beta / (1 - plan$alpha)) / odds
  high <- log((1 - plan$beta) / plan$alpha) / odds
  check(id, "one_by_one.slope", slope); check(id, "one_by_one.low", low); check(id, "one_by_one.high", high)
  i <- seq_along(after)
  out <- c(which(after >= high + slope * i | after <= low + slope * i),
    min(length(after), theirs(id, "one_by_one.most")))[1]
  check(id, "n", out); check(id, "right", after[out]); check(id, "test.statistic", after[out]); 
  for (x in c("one_by_one.later", "excluded.answered after the answers had decided",
    "excluded.answered after the last answer that the plan takes")) check(id, x, length(after) - out)
  if (after[out] < high + slope * out) return(invisible())
  open <- 1; above <- 0
  for (n in seq_len(out)) {
    open <- c(open * (1 - chance), 0) + c(0, open * chance); right <- seq_along(open) - 1
    above <- above + sum(open[right >= high + slope * n])
    open[right >= high + slope * n | right <= low + slope * n] <- 0
  }
  check(id, "test.p", above)
}

# right_again is the same of the first answer of each.
right_again <- function(id, each, chance) again(id, function(what, method, says) {
  if (startsWith(says, "by the first answer of each")) each <-
    each[order(each$turn), ][!duplicated(each$assessor[order(each$turn)]), ]
  else return(invisible())
  k <- sum(each$right); n <- nrow(each)
  check(id, what("n"), n); check(id, what("share"), k / n)
  check_interval(id, what("ci"), binom.test(k, n, conf.level = theirs(id, "level"))$conf.int)
  if (is.na(theirs(id, "alike.share"))) check(id, what("p"), binom.test(k, n, chance, "greater")$p.value)
})

# two_normals is the distance of two normal distributions by how often the same was said of either (Macmillan &
# Creelman 2005, ch. 1), with its interval (Gourevitch & Galanter 1967). Each is how often, and of how many.
two_normals <- function(h, g, level) {
  p <- c(h[1] / h[2], g[1] / g[2])
  if (any(p == 0 | p == 1)) return(list(d = NA, ci = c(NA, NA)))
  d <- qnorm(p[1]) - qnorm(p[2]); se <- sqrt(sum(p * (1 - p) / c(h[2], g[2]) / dnorm(qnorm(p))^2))
  list(d = d, ci = d + c(-1, 1) * qnorm((1 + level) / 2) * se)
}

# two_pairs is the distance by pairs called the same, of equal plates and of unlike ones: two perceptions that differ
# by less than a criterion. The interval holds the distances that the likelihood ratio does not reject, each with the
# criterion that suits it.
two_pairs <- function(same, unlike, level) {
  called <- function(tau, d) pnorm((tau - d) / sqrt(2)) - pnorm((-tau - d) / sqrt(2))
  by <- function(x, p) dbinom(x[1], x[2], p, log = TRUE)
  profile <- function(d) optimize(function(tau) by(same, called(tau, 0)) + by(unlike, called(tau, d)), c(1e-9, d + 12),
    maximum = TRUE, tol = 1e-10)$objective
  p <- c(same[1] / same[2], unlike[1] / unlike[2])
  d <- if (p[1] <= p[2]) 0 else {
    tau <- -sqrt(2) * qnorm((1 - p[1]) / 2)
    uniroot(function(d) called(tau, d) - p[2], c(0, tau + 12), tol = 1e-13)$root
  }
  least <- profile(d) - qnorm((1 + level) / 2)^2 / 2
  end <- function(from, to) uniroot(function(d) profile(d) - least, c(from, to), tol = 1e-12)$root
  list(d = d, ci = c(if (d == 0 || profile(0) >= least) 0 else end(0, d), end(d, d + 12)))
}

# said_one is what was said of servings or pairs, one of two things: how often of those that were it, and of others.
said_one <- function(id, f) {
  r <- ratings[ratings$attribute == "said", ]
  r <- r[!duplicated(r[c("assessor", "turn")]), ]
  if (nrow(r) == 0 || is.na(theirs(id, "said.of_true.of"))) return(invisible())
  if (plan$question == "same-different") { # what stood on the table, by the codes of the turn
    turns <- table_of("turns.csv"); key <- table_of("key.csv")
    codes <- turns$codes[match(paste(r$assessor, r$turn), paste(turns$assessor, turns$turn))]
    truth <- mapply(function(codes,
      who) length(unique(key$sample[key$assessor == who & key$code %in% strsplit(codes, " ")[[1]]])) == 1, codes,
        r$assessor)
  } else truth <- r$sample == f$first
  yes <- r$value == 1
  check(id, "n", nrow(r))
  check(id, "said.of_true.of", sum(truth)); check(id, "said.of_other.of", sum(!truth))
  check(id, "said.of_true.said", sum(yes & truth)); check(id, "said.of_other.said", sum(yes & !truth))
  if (f$method != "fisher-within") return(invisible())
  within <- function(keep) { # exact, each person's answers shuffled among the person's own plates
    p <- 1
    apart <- if (anyDuplicated(r$assessor[keep])) r$assessor else rep("", nrow(r)) # one answer each: among all
    for (who in unique(apart[keep])) {
      own <- keep & apart == who
      q <- dhyper(0:sum(truth & own), sum(truth & own), sum(!truth & own), sum(yes & own))
      longer <- numeric(length(p) + length(q) - 1)
      for (i in seq_along(q)) longer[i - 1 + seq_along(p)] <- longer[i - 1 + seq_along(p)] + q[i] * p
      p <- longer
    }
    hits <- sum(yes & truth & keep)
    list(statistic = hits, p = sum(p[(hits + 1):length(p)]))
  }
  check_test(id, "test.", within(rep(TRUE, nrow(r))))
  level <- theirs(id, "level")
  apart <- function(what, keep) {
    h <- c(sum(yes[truth & keep]), sum(truth & keep)); g <- c(sum(yes[!truth & keep]), sum(!truth & keep))
    of <- if (plan$question == "a-not-a") two_normals(h, g, level) else two_pairs(h, g, level)
    check(id, what("distance"), of$d, searched); check_interval(id, what("ci"), of$ci, searched)
  }
  check(id, "test.p", within(rep(TRUE, nrow(r)))$p)
  apart(identity, rep(TRUE, nrow(r)))
  again(id, function(what, method, says) {
    if (!startsWith(says, "by the first answer of each")) return(invisible())
    keep <- !duplicated(r$assessor[order(as.integer(r$turn))])[order(order(as.integer(r$turn)))]
    check(id, what("n"), sum(keep)); check(id, what("p"), within(keep)$p)
    apart(what, keep)
  })
}

# together is the share of right answers where those of one person go together: beta-binomial over people (Ennis & Bi
# 1998), its error from the second differences of the likelihood; alike for all people where that fits best.
together <- function(id, each, chance) {
  right <- tapply(each$right, each$assessor, sum); of <- tapply(each$right, each$assessor, length)
  level <- theirs(id, "level")
  rising <- function(a, k, phi) vapply(k, function(k) sum(log(a + (seq_len(k) - 1) * phi)), 0)
  likely <- function(p, gamma) {
    phi <- gamma / (1 - gamma); sum(rising(p, right, phi) + rising(1 - p, of - right, phi) - rising(1, of, phi))
  }
  pooled <- max(chance, sum(right) / sum(of)); p <- pooled; gamma <- 0; best <- likely(pooled, 0)
  for (start in list(c(0, -2), c(-2, 0), c(1, 1))) {
    to <- function(u) c(chance + (1 - chance) * plogis(u[1]), plogis(u[2]))
    fit <- optim(start, function(u) -likely(to(u)[1], to(u)[2]), control = list(reltol = 1e-15, maxit = 5000))
    if (-fit$value > best + 1e-9) { best <- -fit$value; p <- to(fit$par)[1]; gamma <- to(fit$par)[2] }
  }
  h <- 1e-4; ends <- binom.test(sum(right), sum(of), conf.level = level)$conf.int; loose <- searched
  if (gamma > 0 && p - h >= chance && gamma > h) {
    loose <- 1e-4 # two optimisers on a flat hill
    pp <- (likely(p + h, gamma) - 2 * likely(p, gamma) + likely(p - h, gamma)) / h^2
    gg <- (likely(p, gamma + h) - 2 * likely(p, gamma) + likely(p, gamma - h)) / h^2
    pg <- (likely(p + h, gamma + h) - likely(p + h, gamma - h) - likely(p - h, gamma + h) +
      likely(p - h, gamma - h)) / (4 * h^2)
    ends <- pmin(1, pmax(0, p + c(-1, 1) * qnorm((1 + level) / 2) * sqrt(-gg / (pp * gg - pg^2))))
  } else p <- sum(right) / sum(of)
  check(id, "share", p, loose); check_interval(id, "ci", ends, loose)
  tell <- function(share) max(0, (share - chance) / (1 - chance))
  check(id, "tellers.value", tell(p), 10 * loose)
  check_interval(id, "tellers.ci", c(tell(ends[1]), tell(ends[2])), 10 * loose)
  check(id, "d_prime.value", distance(p, chance), 10 * loose)
  check_interval(id, "d_prime.ci", c(distance(ends[1], chance), distance(ends[2], chance)), 10 * loose)
}

choice <- function(id, f) {
  said_one(id, f)
  right <- theirs(id, "right"); first <- theirs(id, "first"); second <- theirs(id, "second")
  chance <- theirs(id, "chance")
  if (is.na(chance)) return(invisible())
  if (plan$replicates > 1) { # the report's share is that of a model of answers that go together
    each <- rights(f)
    if (is.na(first) && !is.null(each) && !is.na(right)) {
      check(id, "n", nrow(each)); check(id, "right", sum(each$right)); right_again(id, each, chance)
      least <- which(pbinom(0:nrow(each) - 1, nrow(each), chance, lower.tail = FALSE) <= plan$alpha)
      check(id, "least_right", if (length(least) > 0) least[1] - 1 else nrow(each) + 1)
      if (is.na(theirs(id, "alike.share"))) together(id, each, chance)
      if (f$method == "binomial") {
        check(id, "test.statistic", sum(each$right))
        check(id, "test.p", binom.test(sum(each$right), nrow(each), chance, "greater")$p.value)
      }
    }
    return(invisible())
  }
  if (is.na(first)) {
    each <- rights(f)
    if (is.null(each) && !is.null(diverted)) return(invisible())
    if (!is.null(diverted)) right_answers(id, f, nrow(each), sum(each$right), chance)
    else if (!is.na(right)) right_answers(id, f, theirs(id, "n"), right, chance)
    return(invisible())
  }
  if (f$method != "binomial") return(invisible())
  # those who have a preference
  chosen <- ratings[ratings$attribute == "choice" & ratings$value == 1 & !is.na(ratings$sample), ]
  k <- sum(chosen$sample == f$first); n <- k + sum(chosen$sample == f$second)
  check(id, "first", k); check(id, "second", n - k)
  turns <- unique(ratings[ratings$attribute == "choice", c("assessor", "turn")])
  check(id, "n", nrow(turns)); check(id, "none", nrow(turns) - n)
  check(id, "share", k / n)
  check(id, "test.statistic", k)
  check(id, "test.p", binom.test(k, n, chance, alternative_of(f))$p.value)
  check_interval(id, "ci", wilson(k, n, theirs(id, "level")))
  if (!is.na(theirs(id, "level_equivalence"))) check_interval(id, "ci_equivalence",
    wilson(k, n, theirs(id, "level_equivalence")))
  if (plan$question == "2-afc" || !is.na(theirs(id, "effect.d-prime.value"))) {
    check(id, "effect.d-prime.value", sqrt(2) * qnorm(k / n))
    check_interval(id, "effect.d-prime.ci", sqrt(2) * qnorm(wilson(k, n, theirs(id, "level"))))
  }
  at_first <- tapply(ratings$position, paste(ratings$assessor, ratings$turn), min)
  served_first <- sum(chosen$position == at_first[paste(chosen$assessor, chosen$turn)])
  check(id, "checks.served-first.statistic", served_first)
  check(id, "checks.served-first.p", binom.test(served_first, n)$p.value)
}

# Worths of samples by the model of Plackett and Luce (Newton's method, the sum of their logarithms being 0), with
# intervals by the delta method on log odds; nothing where some stand before all others in every order.
worths <- function(m, level) {
  k <- ncol(m); l <- numeric(k); o <- t(apply(m, 1, order))
  before <- sapply(seq_len(k), function(b) sapply(seq_len(k), function(a) any(m[, a] < m[, b])))
  for (v in seq_len(k)) before <- before | outer(before[, v], before[v, ], "&")
  if (!all(before[row(before) != col(before)])) return(NULL)
  for (step in 1:100) {
    g <- numeric(k); h <- matrix(1, k, k)
    for (i in seq_len(nrow(o))) for (p in seq_len(k - 1)) {
      j <- o[i, p:k]; w <- exp(l[j]) / sum(exp(l[j]))
      g[j] <- g[j] - w; g[j[1]] <- g[j[1]] + 1; h[j, j] <- h[j, j] + diag(w) - tcrossprod(w)
    }
    d <- solve(h, g); l <- l + d
    if (max(abs(d)) < 1e-12) break
  }
  w <- exp(l) / sum(exp(l)); v <- solve(h) - 1 / k^2
  se <- sapply(seq_len(k), function(j) { a <- -w / (1 - w[j]); a[j] <- 1; sqrt(drop(t(a) %*% v %*% a)) })
  list(value = w, low = plogis(qlogis(w) - qnorm((1 + level) / 2) * se),
    high = plogis(qlogis(w) + qnorm((1 + level) / 2) * se))
}

# two_of are the samples of a pair as its numbers name it, "one-other", where their own names may have a hyphen too.
two_of <- function(x) {
  ids <- unique(everybody$sample[!is.na(everybody$sample)])
  all <- expand.grid(first = ids, second = ids, stringsAsFactors = FALSE)
  unlist(all[paste(all$first, all$second, sep = "-") == x, ][1, ], use.names = FALSE)
}

ranking <- function(id, f) {
  r <- ratings[!is.na(ratings$sample) & ratings$attribute == "rank", ]
  m <- tapply(r$value, list(r$assessor, r$sample), sum)
  m <- m[stats::complete.cases(m), , drop = FALSE]
  if (nrow(m) == 0 || any(apply(m, 1, function(x) !setequal(x, seq_along(x))))) return(invisible())
  n <- nrow(m); k <- ncol(m)
  check(id, "n", n)
  for (s in colnames(m)) {
    check(id, paste0("rank_sums.", s), sum(m[, s])); check(id, paste0("mean_ranks.", s), mean(m[, s]))
    for (place in 1:k) check(id, paste0("places.", s, ".", place), sum(m[, s] == place))
  }
  t <- friedman.test(m)
  test <- if (f$method == "friedman") "test." else "also.friedman."
  check(id, paste0(test, "statistic"), t$statistic); check(id, paste0(test, "df"), t$parameter)
  check(id, paste0(test, "p"), t$p.value)
  check(id, "kendall_w", t$statistic / (n * (k - 1)))
  worth <- worths(m, 1 - plan$alpha)
  if (!is.null(worth)) for (j in seq_len(k)) {
    check(id, paste0("worths.", colnames(m)[j], ".value"), worth$value[j])
    check_interval(id, paste0("worths.", colnames(m)[j], ".ci"), c(worth$low[j], worth$high[j]))
  }
  if (f$method == "page") {
    trend <- page(m[, strsplit(plan$expected, " ")[[1]]]); check(id, "test.statistic", trend$statistic)
    check(id, "test.p", trend$p)
    again(id, function(what, method, says) if (method == "friedman") {
      check(id, what("n"), n); check(id, what("p"), t$p.value)
    })
  }
  if (!is.null(diverted)) {
    by <- given(id, "ranked_pairs[.](.*)[.]share"); two <- two_of(names(by)[which.max(abs(by - 0.5))])
    before <- sum(m[, two[1]] < m[, two[2]])
    check(id, "furthest.difference", before / n); check(id, "n", n)
    return(check_interval(id, "furthest.ci", wilson(before, n, 1 - plan$alpha)))
  }
  sums <- colSums(m)
  step <- sqrt(2 * (n * sum(m^2) - sum(sums^2)) / ((n - 1) * (k - 1))) # Conover (1999), sect. 5.8
  check(id, "least_significant_difference", qnorm(0.975) * sqrt(n * k * (k + 1) / 6))
  at <- ratings[!is.na(ratings$sample) & ratings$attribute == "rank", ]
  at <- tapply(at$value, list(at$assessor, at$position), sum)
  if (k > 2 && !anyNA(at)) {
    places <- friedman.test(at)
    check(id, "checks.rank-position.statistic", places$statistic)
    check(id, "checks.rank-position.df", places$parameter)
    check(id, "checks.rank-position.p", places$p.value)
  }
  ps <- c()
  conover <- c()
  for (i in seq_len(k - 1)) for (j in (i + 1):k) {
    a <- colnames(m)[i]; b <- colnames(m)[j]
    what <- function(x) paste0("ranked_pairs.", a, "-", b, ".", x)
    before <- sum(m[, a] < m[, b])
    check(id, what("before"), before); check(id, what("after"), n - before); check(id, what("share"), before / n)
    check_interval(id, what("ci"), wilson(before, n, theirs(id, what("level"))))
    # Bonferroni's inequality over all pairs; two tests on one side each (Schuirmann 1987)
    check_interval(id, what("ci_adjusted"), wilson(before, n, 1 - plan$alpha / choose(k, 2)))
    check_interval(id, what("ci_equivalence"), wilson(before, n, 1 - 2 * plan$alpha))
    p <- binom.test(before, n)$p.value
    check(id, what("test.p"), p); check(id, what("test.statistic"), before)
    ps[paste0(a, "-", b)] <- p
    x <- (sums[[b]] - sums[[a]]) / step
    check(id, what("test_of_rank_sums.statistic"), x); check(id, what("test_of_rank_sums.df"), (n - 1) * (k - 1))
    conover[paste0(a, "-", b)] <- 2 * pt(-abs(x), (n - 1) * (k - 1))
    check(id, what("test_of_rank_sums.p"), conover[[paste0(a, "-", b)]])
  }
  for (x in names(ps)) {
    check(id, paste0("ranked_pairs.", x, ".test.p_adjusted"), p.adjust(ps, "holm")[[x]])
    check(id, paste0("ranked_pairs.", x, ".test_of_rank_sums.p_adjusted"), p.adjust(conover, "holm")[[x]])
  }
}

# page is the test of a predicted order (Page 1963): the sum of place times rank sum, of people who each have the ranks
# 1 to k. Exact over all orders in which ranks may fall; like the report by the normal distribution where that takes
# over 1e9 products.
page <- function(m) {
  n <- nrow(m); k <- ncol(m); seen <- sum(m %*% seq_len(k))
  orders <- matrix(1, 1, 1)
  for (j in 2:k) orders <- do.call(rbind, lapply(0:(j - 1), function(a)
    cbind(orders[, seq_len(a), drop = FALSE], j, orders[, a + seq_len(j - 1 - a), drop = FALSE])))
  sums <- drop(orders %*% seq_len(k)); least <- min(sums)
  own <- tabulate(sums - least + 1) / nrow(orders)
  if (sum(1 + (seq_len(n) - 1) * (length(own) - 1)) * length(own) > 1e9) {
    z <- (seen - n * k * (k + 1)^2 / 4) / sqrt(n * k^2 * (k + 1) * (k^2 - 1) / 144)
    return(list(statistic = seen, p = pnorm(z, lower.tail = FALSE)))
  }
  p <- 1
  for (i in seq_len(n)) {
    longer <- numeric(length(p) + length(own) - 1)
    for (j in which(own > 0)) longer[j - 1 + seq_along(p)] <- longer[j - 1 + seq_along(p)] + own[j] * p
    p <- longer
  }
  list(statistic = seen, p = sum(p[(seen - n * least + 1):length(p)]))
}

# What of sittings is at random: nothing where each had one assessor or one sample, not the sitting
# itself where the positions in the model tell it, and an assessor's own of a sitting where they came back.
of_sittings <- function(r, positions) {
  n <- if (is.null(r$sitting) || anyNA(r$sitting)) 0 else nlevels(droplevels(r$sitting))
  if (n < 2) return(NULL)
  people <- length(unique(r$assessor)); visits <- nrow(unique(r[c("assessor", "sitting")]))
  if (nrow(unique(r[c("sample", "sitting")])) == n || (visits == n && n == people)) return(NULL)
  told <- positions && nrow(unique(r[c("at", "sitting")])) == nlevels(r$at)
  c(if (!told) "(1 | sitting)", if (visits > people && visits < nrow(r)) "(1 | assessor:sitting)")
}

# model_of is the mixed model of an attribute: sample and position fixed, assessor random, and what an assessor finds
# of a sample where somebody rated one several times; Satterthwaite's df. Of up to 400 ratings by people who come to
# several sittings by Kenward and Roger (1997). NULL where a package is missing.
model_of <- function(id, attribute, r = ratings[ratings$attribute == attribute & !is.na(ratings$sample), ],
  before = FALSE) {
  r$sample <- factor(r$sample); r$at <- factor(r$position)
  apart <- nlevels(r$at) > 1 # a position that goes with the samples cannot be told from them
  if (apart) { x <- model.matrix(~ sample + at, r); apart <- qr(x)$rank == ncol(x) }
  terms <- c("sample", if (apart) "at", "(1 | assessor)")
  if (anyDuplicated(r[c("assessor", "sample")])) terms <- c(terms, "(1 | assessor:sample)")
  terms <- c(terms, of_sittings(r, apart))
  several <- "(1 | assessor:sitting)" %in% terms && nrow(r) <= 400
  for (needed in c("lmerTest", if (several) "pbkrtest")) if (!requireNamespace(needed, quietly = TRUE)) {
    cat(id, ": a model of all samples needs the package ", needed, " (install.packages(\"", needed, "\"))\n", sep = "")
    return(NULL)
  }
  if (before) {
    first <- preceding(r)
    r <- r[first$known, ]; first <- first$was[first$known]
    terms <- c("sample", "at", "first", terms[grepl("|", terms, fixed = TRUE)])
    r$first <- outer(first, levels(r$sample), "==") * 1
    # R would drop of columns that depend on each other those that come last: what came before is told from position
    # and sample
    x <- model.matrix(~ sample + at, r); keep <- qr(cbind(x, r$first))
    r$first <- r$first[, setdiff(keep$pivot[seq_len(keep$rank)] - ncol(x), (1 - ncol(x)):0), drop = FALSE]
  }
  fit <- fitted_to(r, terms, several) # what scatters nothing counts there too: it might
  list(fit = fit, r = r, apart = apart, ddf = if (several) "Kenward-Roger" else "Satterthwaite",
    # two optimisers; on a flat hill where evenings are few
    own = new.env(), loose = if (!any(grepl("sitting", terms))) 1e-5 else 1e-3)
}
model_once <- function(id, attribute, before = FALSE) if (!is.null(diverted)) model_of(id, attribute,
  before = before) else once(if (before) "carry-over" else "model", attribute,
    function() model_of(id, attribute, before = before))

# preceding is the sample that somebody had just before at the same sitting, "" for none; and whether that is known.
preceding <- function(r) {
  at <- match(paste(r$assessor, r$position - 1), paste(r$assessor, r$position))
  sitting <- if (is.null(r$sitting)) rep("", nrow(r)) else paste(r$sitting)
  was <- ifelse(is.na(at) | sitting[at] != sitting, "", as.character(r$sample)[at])
  list(was = was, known = r$position == 1 | !is.na(at))
}

# tested holds rows of contrasts of a model's coefficients against nothing: one as an estimate, several together. The
# df of several hang on how these are written (Fai and Cornelius 1996): here as differences from one level.
tested <- function(model, rows) {
  if (model$ddf == "Kenward-Roger") return(by_kenward_roger(model, rows))
  if (nrow(rows) == 1) {
    t <- lmerTest::contest1D(model$fit, rows[1, ], ddf = model$ddf)
    return(list(estimate = t[["Estimate"]], se = t[["Std. Error"]], df = t[["df"]]))
  }
  f <- lmerTest::contestMD(model$fit, rows, ddf = model$ddf)
  list(statistic = f[["F value"]], df = f[["NumDF"]], df2 = f[["DenDF"]], p = f[["Pr(>F)"]])
}

# by_kenward_roger is theirs (1997, Biometrics 53:983), on the covariances that pbkrtest adjusts, which it would do
# anew for each.
by_kenward_roger <- function(model, rows) {
  if (is.null(model$own$adjusted)) model$own$adjusted <- pbkrtest::vcovAdj(model$fit)
  adjusted <- model$own$adjusted; plain <- as.matrix(vcov(model$fit)); estimate <- lme4::fixef(model$fit)
  if (nrow(rows) == 1) return(list(estimate = sum(rows * estimate),
    se = sqrt(drop(rows %*% as.matrix(adjusted) %*% t(rows))),
    df = pbkrtest::Lb_ddf(rows, plain, adjusted)))
  q <- nrow(rows)
  theta <- t(rows) %*% solve(rows %*% plain %*% t(rows), rows) %*% plain
  parts <- lapply(attr(adjusted, "P"), function(p) theta %*% as.matrix(p) %*% plain)
  w <- as.matrix(attr(adjusted, "W")); trace <- vapply(parts, function(p) sum(diag(p)), 0)
  a1 <- sum(w * outer(trace, trace))
  a2 <- sum(w * outer(seq_along(parts), seq_along(parts), Vectorize(function(i, j) sum(parts[[i]] * t(parts[[j]])))))
  b <- (a1 + 6 * a2) / (2 * q); g <- ((q + 1) * a1 - (q + 4) * a2) / ((q + 2) * a2)
  c <- c(g, q - g, q + 2 - g) / (3 * q + 2 * (1 - g))
  mean <- 1 / (1 - a2 / q); spread <- 2 / q * (1 + c[1] * b) / ((1 - c[2] * b)^2 * (1 - c[3] * b))
  df2 <- 4 + (q + 2) / (q * spread / (2 * mean^2) - 1)
  off <- rows %*% estimate
  f <- df2 / (mean * (df2 - 2)) * sum(off * solve(rows %*% as.matrix(adjusted) %*% t(rows), off)) / q
  list(statistic = f, df = q, df2 = df2, p = pf(f, q, df2, lower.tail = FALSE))
}

# of_term are rows that pick the coefficients of a term.
of_term <- function(model, term) {
  terms <- attr(terms(lme4::nobars(formula(model$fit))), "term.labels")
  diag(length(lme4::fixef(model$fit)))[attr(model.matrix(model$fit), "assign") == match(term, terms), , drop = FALSE]
}

# contrast is a sum of samples in a model, by weights in the order of its levels that sum to nothing; several as rows
# of a matrix.
contrast <- function(model, weights) {
  names <- names(lme4::fixef(model$fit))
  rows <- rbind(weights)[, -1, drop = FALSE]
  full <- matrix(0, nrow(rows), length(names))
  full[, match(paste0("sample", levels(model$r$sample)[-1]), names)] <- rows
  t <- tested(model, full)
  if (nrow(full) > 1) return(t)
  c(t, list(statistic = t$estimate / t$se, p = 2 * pt(-abs(t$estimate / t$se), t$df)))
}
one_minus <- function(model, first, second) (levels(model$r$sample) == first) - (levels(model$r$sample) == second)

# panel is what a whole panel's samples are in the model, beside those who rated every sample.
panel <- function(id, f) {
  m <- by_assessor(f$attribute)
  check(id, "n", nrow(m))
  m <- m[stats::complete.cases(m), , drop = FALSE]
  check(id, "n_complete", nrow(m))
  if (nrow(m) > 1 && ncol(m) > 2) { # who rated every sample
    check_test(id, if (f$method == "rm-anova") "test." else "also.rm-anova.", rm_anova(m))
    ranks <- friedman.test(m)
    small <- nrow(m) <= c(NA, NA, 30, 11)[ncol(m)]
    small <- if (ncol(m) > 4) nrow(m) <= 6 else small
    p <- if (!small) ranks$p.value else if (ncol(m) <= 4) friedman_exact(m) else NA
    check_test(id, if (f$method == "friedman") "test." else "also.friedman.",
      list(statistic = ranks$statistic, df = ranks$parameter, p = p))
    again(id, function(what, method, says) {
      if (is.na(method)) return(invisible())
      if (method == "mixed-f-carry-over") {
        two <- furthest_pair(id); model <- model_once(id, f$attribute, TRUE)
        if (is.null(model)) return(invisible())
        check(id, what("n"), length(unique(ratings$assessor[ratings$attribute == f$attribute &
          !is.na(ratings$sample)])))
        t <- contrast(model, one_minus(model, two[1], two[2]))
        check(id, what("difference"), t$estimate, model$loose)
        check_interval(id, what("ci"), t$estimate + c(-1, 1) * qt(1 - plan$alpha / 2, t$df) * t$se, 10 * model$loose)
        check(id, what("p"), tested(model, of_term(model, "sample"))$p, 100 * model$loose)
      }
      if (method == "friedman") check(id, what("p"), p)
      if (method == "rm-anova") check(id, what("p"), rm_anova(m)$p)
      if (method %in% c("friedman", "rm-anova")) check(id, what("n"), nrow(m))
    })
  }
  model <- model_once(id, f$attribute)
  if (is.null(model)) return(invisible())
  fit <- model$fit; r <- model$r; loose <- model$loose
  evenings <- theirs(id, "sittings")
  if (!is.na(evenings)) check(id, "sittings", nlevels(droplevels(r$sitting)))
  test_of <- function(what, t, loose) { # far out a p is as uncertain as its statistic is times what it weighs there
    check(id, paste0(what, "df"), t$df); check(id, paste0(what, "statistic"), t$statistic, loose)
    check(id, paste0(what, "df2"), t$df2, loose); check(id, paste0(what, "p"), t$p, 100 * loose)
  }
  if (model$apart) test_of("checks.position.", tested(model, of_term(model, "at")), loose)
  test_of(if (f$method == "mixed-f") "test." else "also.mixed-f.", tested(model, of_term(model, "sample")), loose)
  if (!is.null(diverted)) {
    two <- furthest_pair(id)
    t <- contrast(model, one_minus(model, two[1], two[2]))
    check(id, "furthest.difference", t$estimate, loose)
    half <- qtukey(1 - plan$alpha, nlevels(r$sample), t$df) / sqrt(2) * t$se
    return(check_interval(id, "furthest.ci", t$estimate + c(-1, 1) * half, 100 * loose))
  }
  scatter(id, fit, loose)
  carry_over(id, f, test_of)
  level <- 1 - plan$alpha
  at <- attr(model.matrix(fit), "assign"); share <- 1 / nlevels(r$at) # each position counts the same
  for (i in seq_len(nlevels(r$sample))) {
    s <- levels(r$sample)[i]
    row <- ifelse(at == 0, 1, ifelse(at == 1, 0, share)); if (i > 1) row[which(at == 1)[i - 1]] <- 1
    t <- tested(model, rbind(row))
    check(id, paste0("estimates.", s, ".mean"), t$estimate, loose)
    check_interval(id, paste0("estimates.", s, ".ci"), t$estimate + c(-1, 1) * qt((1 + level) / 2, t$df) * t$se,
      10 * loose)
    check(id, paste0("estimates.", s, ".n"), length(unique(r$assessor[r$sample == s])))
  }
  pairs_of(id, model, level, loose, if (f$method == "friedman") m)
}

# scatter are the parts of variance. What the likelihood tells of one that is near none is its variance, to 1e-5 of the
# rest's.
scatter <- function(id, fit, loose) {
  parts <- as.data.frame(lme4::VarCorr(fit))
  sd <- setNames(parts$sdcor, vapply(strsplit(parts$grp, ":"), function(x) paste(sort(x), collapse = ":"), ""))
  for (x in names(given(id, "scatter[.](.*)[.]sd"))) {
    of <- if (x == "rest") "Residual" else x
    name <- paste0("scatter.", x, ".sd"); mine <- if (of %in% names(sd)) sd[[of]] else 0; was <- theirs(id, name)
    flat <- 1e-5 * stats::sigma(fit)^2 / max(1e-12, (mine + was) * max(was, 1e-4))
    check(id, name, mine, max(loose, flat))
  }
}

# carry_over is the model with what was tasted just before.
carry_over <- function(id, f, test_of) {
  if (is.na(theirs(id, "checks.previous.statistic"))) return(invisible())
  model <- model_once(id, f$attribute, before = TRUE)
  if (is.null(model)) return(invisible())
  test_of("checks.previous.", tested(model, of_term(model, "first")), model$loose)
  test_of("also.mixed-f-carry-over.", tested(model, of_term(model, "sample")), model$loose)
  samples <- levels(model$r$sample)
  for (i in seq_along(samples)) for (j in seq_along(samples)) {
    what <- function(x) paste0("pairs.", samples[i], "-", samples[j], ".", x, "_with_carry_over")
    if (is.na(theirs(id, what("difference")))) next
    t <- contrast(model, one_minus(model, samples[i], samples[j]))
    check(id, what("difference"), t$estimate, model$loose)
    half <- qt(1 - plan$alpha / 2, t$df) * t$se
    check(id, paste0(what("ci"), ".low"), t$estimate - half, 10 * model$loose)
    check(id, paste0(what("ci"), ".high"), t$estimate + half, 10 * model$loose)
  }
}

# furthest_pair are the two samples of a whole panel that lie furthest apart.
furthest_pair <- function(id) {
  by <- given(id, "pairs[.](.*)[.]difference")
  two_of(names(by)[which.max(abs(by))])
}

# friedman_exact is the p of Friedman's test over all orders in which each person's ranks may fall.
friedman_exact <- function(m) {
  ranks <- t(round(2 * apply(m, 1, rank)))
  states <- matrix(0, 1, ncol(m)); chances <- 1
  orders <- unique(as.matrix(expand.grid(rep(list(seq_len(ncol(m))), ncol(m)))))
  orders <- orders[apply(orders, 1, function(o) !anyDuplicated(o)), ]
  for (i in seq_len(nrow(ranks))) {
    falls <- matrix(ranks[i, orders], nrow(orders))
    reached <- do.call(rbind, lapply(seq_len(nrow(falls)), function(j) sweep(states, 2, falls[j, ], "+")))
    # which sample has which sum is all one
    reached <- matrix(reached[order(row(reached), reached)], nrow(reached), byrow = TRUE)
    key <- drop(reached %*% 1000^(seq_len(ncol(m)) - 1))
    chances <- as.vector(rowsum(rep(chances / nrow(falls), nrow(falls)), key, reorder = FALSE))
    states <- reached[!duplicated(key), , drop = FALSE]
  }
  squares <- rowSums(states^2)
  sum(chances[squares >= sum(colSums(ranks)^2) - 0.5])
}

# fitted_to fits a mixed model, and again without what scatters nothing in it, of which no number of the others depends.
fitted_to <- function(r, terms, all = FALSE) {
  fit_of <- function(terms) suppressMessages(lmerTest::lmer(reformulate(terms, "value"), r, control = lme4::lmerControl(
    optCtrl = list(xtol_abs = 1e-12, ftol_abs = 1e-14, xtol_rel = 1e-12, ftol_rel = 1e-14))))
  fit <- fit_of(terms)
  if (all) return(fit)
  scatter <- as.data.frame(lme4::VarCorr(fit))
  flat <- scatter$grp[scatter$grp != "Residual" & scatter$sdcor < 1e-3 * stats::sigma(fit)]
  turned <- vapply(strsplit(flat, ":"), function(x) paste(rev(x), collapse = ":"), "") # it may name a:b as b:a
  kept <- terms[!terms %in% paste0("(1 | ", c(flat, turned), ")")]
  if (length(kept) < length(terms) && any(grepl("|", kept, fixed = TRUE))) fit_of(kept) else fit
}

# pairs_of compares every two samples of a panel in its model: p by Tukey's range.
# Of a plan by ranks pairs are of rank sums (Conover 1999, sect. 5.8), p by Holm's method.
pairs_of <- function(id, model, level, loose, ranked) for (x in names(given(id, "pairs[.](.*)[.]difference"))) {
  two <- two_of(x)
  what <- function(y) paste0("pairs.", x, ".", y)
  k <- nlevels(model$r$sample)
  t <- contrast(model, one_minus(model, two[1], two[2]))
  around <- function(half) t$estimate + c(-1, 1) * half * t$se
  check(id, what("difference"), t$estimate, loose)
  check_interval(id, what("ci"), around(qt((1 + level) / 2, t$df)), 10 * loose)
  if (!is.null(ranked)) {
    of <- conover(ranked)
    check_test(id, what("test."),
      list(statistic = of$t[two[1], two[2]], df = of$df, p = of$p[two[1], two[2]],
        p_adjusted = of$adjusted[two[1], two[2]]))
    next
  }
  # two tests on one side each (Schuirmann 1987)
  check_interval(id, what("ci_equivalence"), around(qt(1 - plan$alpha, t$df)), 100 * loose)
  check(id, what("test.statistic"), t$statistic, 10 * loose); check(id, what("test.df"), t$df, 10 * loose)
  check(id, what("test.p"), t$p, 100 * loose)
  # far out, as uncertain as the range's distribution
  check(id, what("test.p_adjusted"), ptukey(abs(t$statistic) * sqrt(2), k, t$df, lower.tail = FALSE),
    max(1e-2, 100 * loose))
  check_interval(id, what("ci_adjusted"), around(qtukey(level, k, t$df) / sqrt(2)), 100 * loose)
}

# conover are all pairs of rank sums of the same people.
conover <- function(m) {
  ranks <- t(apply(m, 1, rank)); n <- nrow(m); k <- ncol(m); sums <- colSums(ranks); df <- (n - 1) * (k - 1)
  t <- outer(sums, sums, "-") / sqrt(2 * (n * sum(ranks^2) - sum(sums^2)) / df)
  p <- 2 * pt(-abs(t), df); adjusted <- p; one <- upper.tri(p)
  adjusted[one] <- p.adjust(p[one], "holm"); adjusted[lower.tri(p)] <- t(adjusted)[lower.tri(p)]
  list(t = t, df = df, p = p, adjusted = adjusted)
}

# tasted_from is the threshold by best estimates (ASTM E679): a person's own lies midway, in logarithms, between the
# last amount missed and the next.
tasted_from <- function(id, f) {
  amount <- given(id, "threshold[.]amounts[.](.*)[.]amount")
  x <- sort(amount)
  k <- length(x)
  r <- ratings[ratings$attribute == "choice" & !is.na(ratings$sample), ]
  odd <- r[r$sample %in% names(x), ] # of each turn the serving with something in it
  m <- tapply(odd$value, list(odd$assessor, factor(odd$sample, names(x))), max)
  if (anyNA(m) || k < 2) return(invisible())
  m <- m[order(as.integer(rownames(m))), , drop = FALSE]
  check(id, "n", nrow(m)); check(id, "threshold.right", sum(m)); check(id, "threshold.answers", length(m))
  for (s in names(x)) {
    check(id, paste0("threshold.amounts.", s, ".right"), sum(m[, s]))
    check(id, paste0("threshold.amounts.", s, ".n"), nrow(m))
  }
  edges <- c(x[1]^2 / x[2], x, x[k]^2 / x[k - 1])
  missed <- apply(m, 1, function(right) max(0, which(right == 0)))
  own <- sqrt(edges[missed + 1] * edges[missed + 2])
  for (i in seq_along(own)) check(id, paste0("threshold.people.", rownames(m)[i], ".threshold"), own[i])
  check(id, "threshold.missed_largest", sum(missed == k)); check(id, "threshold.right_throughout", sum(missed == 0))
  check(id, "threshold.value", exp(mean(log(own)))); check(id, "threshold.log10_sd", sd(log10(own)))
  if (sd(own) > 0) check_interval(id, "ci", exp(t.test(log(own), conf.level = theirs(id, "level"))$conf.int))
  check(id, "test.statistic", sum(m))
  check(id, "test.p", binom.test(sum(m), length(m), theirs(id, "threshold.chance"), "greater")$p.value)
  # The curve: guessing fixed, the most likely place and steepness.
  right <- colSums(m); chance <- theirs(id, "threshold.chance")
  unlikely <- function(at) -
    sum(dbinom(right, nrow(m), chance + (1 - chance) * plogis(exp(at[2]) * (log10(x) - at[1])), log = TRUE))
  fit <- optim(c(mean(log10(own)), 1), unlikely, control = list(reltol = 1e-15, maxit = 5000))
  fit <- optim(fit$par, unlikely, control = list(reltol = 1e-15, maxit = 5000))
  check(id, "threshold.curve.value", 10^fit$par[1], 1e-4) # two optimisers, on a flat hill
  check(id, "effect.threshold-curve.value", 10^fit$par[1], 1e-4)
  check(id, "threshold.false_starts", sum(apply(m, 1, function(right) any(diff(right) < 0))))
  # Its interval by the scores of people (Liang & Zeger 1986, eq. 2.5) and Fieller's theorem on the logarithm.
  b <- exp(fit$par[2]); a <- -b * fit$par[1]; n <- nrow(m); x10 <- cbind(1, log10(x))
  s <- plogis(drop(x10 %*% c(a, b))); p <- chance + (1 - chance) * s; d <- (1 - chance) * s * (1 - s)
  inverse <- solve(t(x10) %*% (x10 * (n * d^2 / (p * (1 - p)))))
  scores <- t((t(m) - p) * d / (p * (1 - p))) %*% x10
  v <- inverse %*% crossprod(scores) %*% inverse * n / (n - 1)
  z <- qt((1 + theirs(id, "level")) / 2, n - 1); g <- z^2 * v[2, 2] / b^2; at <- -a / b
  check(id, "threshold.curve.slope", b, 1e-4)
  if (g < 1) {
    centre <- at + g / (1 - g) * (at + v[1, 2] / v[2, 2])
    half <- z / (b * (1 - g)) * sqrt(v[1, 1] + 2 * at * v[1, 2] + at^2 * v[2, 2] - g * (v[1, 1] - v[1, 2]^2 / v[2, 2]))
    for (of in c("threshold.curve.ci", "effect.threshold-curve.ci")) check_interval(id, of,
      10^(centre + c(-half, half)), 1e-4)
  }
}

# given are numbers of a finding by what stands in the brackets of a pattern: the amounts of a plan, say.
given <- function(id, pattern) {
  rows <- said$finding == id & grepl(paste0("^", pattern, "$"), said$number)
  setNames(said$value[rows], sub(paste0("^", pattern, "$"), "\\1", said$number[rows]))
}

# newcombe is the interval of a difference of two shares of the same people (Newcombe 1998, method 10).
newcombe <- function(both, first, second, neither, level) {
  n <- both + first + second + neither
  a <- wilson(both + first, n, level); b <- wilson(both + second, n, level)
  p <- (both + first) / n; q <- (both + second) / n
  top <- both * neither - first * second
  if (top > 0) top <- max(top - n / 2, 0)
  below <- (both + first) * (second + neither) * (both + second) * (first + neither)
  phi <- if (below > 0) top / sqrt(below) else 0
  d <- p - q
  c(d - sqrt((p - a[1])^2 - 2 * phi * (p - a[1]) * (b[2] - q) + (b[2] - q)^2),
    d + sqrt((a[2] - p)^2 - 2 * phi * (a[2] - p) * (q - b[1]) + (q - b[1])^2))
}

# cochran is the exact p of Cochran's Q (1950): the ticks of each person fall on any of the samples.
cochran <- function(m) {
  k <- ncol(m)
  states <- matrix(0, 1, k); chances <- 1
  for (ticks in rowSums(m)) if (ticks > 0 && ticks < k) {
    ways <- combn(k, ticks)
    next_states <- do.call(rbind,
      lapply(seq_len(ncol(ways)), function(j) { s <- states; s[, ways[, j]] <- s[, ways[, j]] + 1; s }))
    key <- drop(next_states %*% 1000^(seq_len(k) - 1))
    first <- !duplicated(key)
    chances <- as.vector(rowsum(rep(chances / ncol(ways), ncol(ways)), key, reorder = FALSE))
    states <- next_states[first, , drop = FALSE]
  }
  spread <- function(t) rowSums((t - rowMeans(t))^2)
  sum(chances[spread(states) >= spread(matrix(colSums(m), 1)) - 1e-6])
}

# shuffled is p of the sum of Cochran's Q over all words, each person's samples shuffled with all their words (Meyners,
# Castura & Carr 2013). The report's draws and these are two samples of the same shuffles: they may part by four
# standard deviations.
shuffled <- function(id, tables, total) {
  draws <- 1999; set.seed(20130309)
  n <- nrow(tables[[1]]); k <- ncol(tables[[1]])
  ticks <- do.call(cbind, lapply(tables, function(m) c(t(m)))) # a row for each person's sample
  rows <- sapply(tables, rowSums); within <- colSums(rows * (k - rows)); told <- within > 0
  ticks <- ticks[, told, drop = FALSE]
  weight <- k * (k - 1) / within[told]; constant <- sum((k - 1) * colSums(rows)[told]^2 / within[told])
  people <- rep(seq_len(n), each = k)
  reached <- sum(vapply(seq_len(draws), function(i) {
    # each person's rows in a random order: those with the same place are of one sample
    at <- order(people, runif(n * k))
    sums <- vapply(seq_len(k), function(j) colSums(ticks[at[seq(j, n * k, by = k)], , drop = FALSE]),
      numeric(ncol(ticks)))
    sum(weight * rowSums(rbind(sums)^2)) - constant >= total * (1 - 1e-12)
  }, TRUE))
  check_drawn(id, "test.p", (1 + reached) / (1 + draws), draws, 1999)
}

# check_drawn compares two shares of random draws: they may part by four standard deviations of their difference, and
# one draw.
check_drawn <- function(id, what, mine, draws, theirs) {
  row <- which(said$finding == id & said$number == if (is.null(diverted)) what else diverted[[what]])
  if (length(row) != 1) return(invisible())
  p <- (mine * draws + said$value[row] * theirs) / (draws + theirs)
  check(id, what, mine,
    (4 * sqrt(p * (1 - p) * (1 / draws + 1 / theirs)) + 1 / min(draws, theirs)) / max(said$value[row], 1e-4))
}

words <- function(id, f) {
  ids <- unique(ratings$attribute[startsWith(ratings$attribute, paste0(f$attribute, "."))])
  tables <- lapply(ids, by_assessor)
  keep <- Reduce(`&`, lapply(tables, stats::complete.cases))
  tables <- setNames(lapply(tables, function(m) m[keep, , drop = FALSE]), ids)
  n <- sum(keep)
  check(id, "n", n)
  k <- ncol(tables[[1]]); samples <- colnames(tables[[1]])
  total <- 0; of_words <- c(); of_rated <- c()
  other <- setdiff(unique(ratings$attribute), ids)
  for (w in ids) {
    m <- tables[[w]]
    what <- function(x) paste0("words.", w, ".", x)
    for (s in samples) check(id, what(paste0("ticked.", s)), sum(m[, s]))
    rows <- rowSums(m)
    if (sum(rows * (k - rows)) > 0) {
      q <- (k - 1) * k * sum((colSums(m) - sum(m) / k)^2) / sum(rows * (k - rows))
      total <- total + q
      if (k > 2) {
        check(id, what("test.statistic"), q); check(id, what("test.df"), k - 1)
        if (k <= 4) { check(id, what("test.p"), cochran(m), searched); of_words[w] <- cochran(m) }
      }
    }
    ps <- c()
    for (i in seq_len(k - 1)) for (j in (i + 1):k) {
      pair_of <- function(x) what(paste0("word_pairs.", samples[i], "-", samples[j], ".", x))
      if (is.na(theirs(id, pair_of("difference")))) { i2 <- j; j2 <- i } else { i2 <- i; j2 <- j }
      a <- m[, i2]; b <- m[, j2]
      pair_of <- function(x) what(paste0("word_pairs.", samples[i2], "-", samples[j2], ".", x))
      first <- sum(a > b); second <- sum(a < b)
      check(id, pair_of("only_first"), first); check(id, pair_of("only_second"), second)
      check(id, pair_of("difference"), (first - second) / n)
      for (end in list(c("ci", "level"), c("ci_adjusted", "level_adjusted"))) {
        level <- theirs(id, pair_of(end[2]))
        if (!is.na(level)) check_interval(id, pair_of(end[1]), newcombe(sum(a & b), first, second, sum(!a & !b), level))
      }
      check_interval(id, pair_of("ci_equivalence"),
        newcombe(sum(a & b), first, second, sum(!a & !b), 1 - 2 * plan$alpha))
      if (first + second > 0) {
        p <- binom.test(first, first + second)$p.value
        check(id, pair_of("test.statistic"), first); check(id, pair_of("test.p"), p)
        ps[pair_of("test.p_adjusted")] <- p
      } else ps[pair_of("test.p_adjusted")] <- 1
    }
    for (x in names(ps)) check(id, x, p.adjust(ps, "holm")[[x]])
    if (length(other) == 1) of_rated[w] <- rated_with(id, what, w, other)
  }
  check(id, "test.statistic", total)
  if (k > 1) shuffled(id, tables, total)
  if (!is.null(diverted)) {
    by <- given(id, "words[.](.*[.]word_pairs[.].*)[.]difference"); widest <- names(by)[which.max(abs(by))]
    part <- strsplit(widest, ".word_pairs.", fixed = TRUE)[[1]]; two <- two_of(part[2])
    if (by[[widest]] < 0) two <- rev(two)
    m <- tables[[part[1]]]; a <- m[, two[1]]; b <- m[, two[2]]
    check(id, "widest.difference", mean(a - b))
    return(check_interval(id, "widest.ci", newcombe(sum(a & b), sum(a > b), sum(a < b), sum(!a & !b), 1 - plan$alpha)))
  }
  none <- Reduce(`+`, tables) == 0
  for (s in samples) check(id, paste0("ticked_none.", s), sum(none[, s]))
  if (length(of_words) == length(ids)) for (w in ids) check(id, paste0("words.", w, ".test.p_adjusted"),
    p.adjust(of_words, "holm")[[w]], searched)
  of_rated <- of_rated[!is.na(of_rated)]
  for (w in names(of_rated)) check(id, paste0("words.", w, ".rated.test.p_adjusted"), p.adjust(of_rated, "holm")[[w]])
  counts <- sapply(tables, colSums) # samples by words: correspondence analysis (Greenacre 1984, ch. 4)
  counts <- counts[rowSums(counts) > 0, colSums(counts) > 0, drop = FALSE]
  if (min(dim(counts)) > 1) {
    p <- counts / sum(counts)
    e <- outer(rowSums(p), colSums(p))
    d <- svd((p - e) / sqrt(e))$d^2
    check(id, "map.inertia", sum(d))
    for (i in 1:2) check(id, paste0("map.shares.", i), d[i] / sum(d), searched)
    of <- svd((p - e) / sqrt(e))
    places <- rbind(of$u[, 1:2] / sqrt(rowSums(p)), of$v[, 1:2] / sqrt(colSums(p))) %*% diag(of$d[1:2])
    names <- c(paste0("map.samples.", rownames(p)), paste0("map.words.", colnames(p)))
    for (i in 1:2) { # an axis may point either way
      report <- vapply(names, function(x) theirs(id, paste0(x, ".", i)), 0)
      for (j in seq_along(names)) check(id, paste0(names[j], ".", i),
        sign(sum(places[, i] * report, na.rm = TRUE)) * places[j, i], searched)
    }
  }
}

# rated_with is how much higher the same people rate servings that they ticked the word for; its p.
rated_with <- function(id, what, w, rating) {
  r <- ratings[ratings$attribute == rating, ]
  at <- match(paste(r$assessor, r$turn), paste(ratings$assessor, ratings$turn)[ratings$attribute == w])
  ticked <- ratings$value[ratings$attribute == w][at]
  m <- tapply(r$value, list(r$assessor, ticked), mean)
  if (ncol(m) < 2) return(NA)
  m <- m[stats::complete.cases(m), , drop = FALSE]
  d <- m[, "1"] - m[, "0"]
  if (length(d) < 2 || sd(d) == 0) return(NA)
  t <- t.test(d, conf.level = 1 - plan$alpha)
  check(id, what("rated.n"), length(d)); check(id, what("rated.difference"), mean(d))
  check(id, what("rated.with"), mean(m[, "1"])); check(id, what("rated.without"), mean(m[, "0"]))
  check(id, what("rated.test.statistic"), t$statistic); check(id, what("rated.test.df"), t$parameter)
  check(id, what("rated.test.p"), t$p.value)
  check_interval(id, what("rated.ci"), t$conf.int)
  t$p.value
}

# fieller is the interval of a ratio of two means of the same people (Fieller 1954); none where it is not bounded.
fieller <- function(u, v, level) {
  n <- length(u); t2 <- qt((1 + level) / 2, n - 1)^2
  a <- mean(v)^2 - t2 * var(v) / n; b <- mean(u) * mean(v) - t2 * cov(u, v) / n; c <- mean(u)^2 - t2 * var(u) / n
  if (a <= 0 || b^2 < a * c) return(c(NA, NA))
  sort((b + c(-1, 1) * sqrt(b^2 - a * c)) / a)
}

# check_excluded holds the values between which Fieller's set has none, where it goes on to infinity on both sides.
check_excluded <- function(id, what, u, v, level) {
  n <- length(u); t2 <- qt((1 + level) / 2, n - 1)^2
  a <- mean(v)^2 - t2 * var(v) / n; b <- mean(u) * mean(v) - t2 * cov(u, v) / n; c <- mean(u)^2 - t2 * var(u) / n
  if (a >= 0 || b^2 < a * c) return(invisible())
  ends <- sort((b + c(-1, 1) * sqrt(b^2 - a * c)) / a)
  for (i in 1:2) check(id, paste0(what, ".", i), ends[i])
}

# dose is the line over amounts: each person's own, of those who rated every amount.
dose <- function(id, f) {
  amount <- sort(given(id, "dose[.]amounts[.](.*)[.]amount"))
  m <- by_assessor(f$attribute)
  if (!all(names(amount) %in% colnames(m)) || anyNA(m)) return(invisible())
  y <- m[, names(amount)]
  level <- theirs(id, "level")
  for (s in names(amount)) {
    check(id, paste0("dose.amounts.", s, ".mean"), mean(y[, s])); check(id, paste0("dose.amounts.", s, ".n"), nrow(y))
    check_interval(id, paste0("dose.amounts.", s, ".ci"), mean_ends(y[, s], level))
  }
  centre <- mean(amount)
  slopes <- drop(y %*% (amount - centre)) / sum((amount - centre)^2)
  check(id, "n", nrow(y)); check(id, "dose.centre", centre); check(id, "dose.rating_at_centre", mean(y))
  line <- function(what, v, level) {
    t <- t.test(v, conf.level = level)
    check(id, paste0(what, ".value"), mean(v)); check_interval(id, paste0(what, ".ci"), t$conf.int)
    check(id, paste0(what, ".se"), sd(v) / sqrt(length(v))); check(id, paste0(what, ".df"), t$parameter)
    check(id, paste0(what, ".p"), t$p.value)
    t
  }
  t <- line("dose.slope", slopes, level)
  long <- data.frame(value = c(y), who = factor(row(y)), x = amount[col(y)], at = factor(col(y)))
  bent <- anova(lm(value ~ who + x, long), lm(value ~ who + at, long))
  if (length(amount) > 2) {
    check(id, "checks.straight.statistic", bent$F[2]); check(id, "checks.straight.df", bent$Df[2])
    check(id, "checks.straight.df2", bent$Res.Df[2])
    check(id, "checks.straight.p", bent$`Pr(>F)`[2])
  }
  wished <- theirs(id, "dose.sought.rating")
  if (!is.na(wished)) {
    check(id, "dose.sought.amount", centre + (wished - mean(y)) / mean(slopes))
    check_interval(id, "dose.sought.ci", centre + fieller(wished - rowMeans(y), slopes, level))
  }
  if (f$kind == "named-dose") {
    at <- theirs(id, "dose.laid.amount")
    shift <- m[, f$first] - rowMeans(y) - slopes * (at - centre)
    check(id, "dose.laid.mean", mean(m[, f$first]))
    t <- line("dose.laid.shift", shift, level)
    worth <- mean(shift) / mean(slopes)
    check(id, "dose.difference", worth); check(id, "dose.laid.rated_like", at + worth)
    if (at - worth >= min(amount) && at - worth <= max(amount)) check(id, "dose.laid.cook_with", at - worth)
    ends <- fieller(shift, slopes, level)
    check_interval(id, "ci", ends); check_interval(id, "dose.laid.ci", ends)
    check_excluded(id, "dose.laid.excluded", shift, slopes, level)
    again(id, function(what, method, says) { check(id, what("n"), length(shift)); by_ranks(id, what, shift, level) })
  } else {
    check(id, "dose.difference", mean(slopes)); check_interval(id, "ci", t$conf.int)
    again(id, function(what, method, says) { check(id, what("n"), length(slopes)); by_ranks(id, what, slopes, level) })
    for (other in c("adjusted", "equivalence")) {
      of <- theirs(id, paste0("level_", other))
      if (!is.na(of)) check_interval(id, paste0("ci_", other), t.test(slopes, conf.level = of)$conf.int)
    }
  }
  check_test(id, "test.",
    list(statistic = t$statistic, df = t$parameter, p = one_side(t$statistic, t$parameter, alternative_of(f))))
}

# way is how far a name drew ratings from those of the same dish served blind to what was expected of it: of everybody
# who did all three, the mean of named minus blind over that of expected minus blind, with Fieller's interval.
way <- function(id, f) {
  m <- by_assessor(f$attribute)
  said_before <- table_of("expected.csv")
  name <- unique(ratings$name[!is.na(ratings$sample) & ratings$sample == f$first])
  mine <- said_before[said_before$attribute == f$attribute & said_before$name == name, ]
  before <- setNames(as.numeric(mine$value), mine$assessor)
  if (!all(c(f$first, f$second) %in% colnames(m))) return(invisible())
  m <- cbind(expected = before[rownames(m)], blind = m[, f$second], named = m[, f$first])
  m <- m[stats::complete.cases(m), , drop = FALSE]
  level <- theirs(id, "level")
  check(id, "n", nrow(m))
  if (nrow(m) < 2) return(invisible())
  of <- function(what, v) {
    check(id, paste0(what, ".value"), mean(v)); check(id, paste0(what, ".se"), sd(v) / sqrt(length(v)))
    if (sd(v) == 0) return(invisible())
    t <- t.test(v, conf.level = level)
    check_interval(id, paste0(what, ".ci"), t$conf.int); check(id, paste0(what, ".df"), t$parameter)
    check(id, paste0(what, ".p"), t$p.value)
  }
  of("expected", m[, "expected"]); of("tasted_blind", m[, "blind"]); of("tasted_named", m[, "named"])
  gap <- m[, "expected"] - m[, "blind"]; moved <- m[, "named"] - m[, "blind"]
  of("expected_minus_blind", gap); of("named_minus_blind", moved)
  of("named_minus_expected", m[, "named"] - m[, "expected"])
  check(id, "share", mean(moved) / mean(gap))
  check(id, "g", qt((1 + level) / 2, nrow(m) - 1)^2 * var(gap) / nrow(m) / mean(gap)^2)
  check_interval(id, "ci", fieller(moved, gap, level))
}

# asking compares those whom the plan asked what they expect with those whom it did not (Welch 1947), by what they
# rated a sample or by how far they put two apart.
asking <- function(id, f) {
  turns <- table_of("turns.csv")
  m <- by_assessor(f$attribute)
  v <- m[, f$first] - if (is.na(f$second)) 0 else m[, f$second]
  v <- v[!is.na(v)]
  asked <- names(v) %in% turns$assessor[turns$role == "expected"]
  x <- v[asked]; y <- v[!asked]
  check(id, "ns.1", length(x)); check(id, "ns.2", length(y))
  if (min(length(x), length(y)) < 2) return(invisible())
  t <- two_groups(x, y, conf.level = theirs(id, "level"))
  check(id, "means.1", mean(x)); check(id, "means.2", mean(y)); check(id, "difference", mean(x) - mean(y))
  check_interval(id, "ci", t$conf.int)
  check_test(id, "test.", list(statistic = t$statistic, df = t$parameter, p = t$p.value))
}

drops <- list() # in liking, of those who did not find it about right: adjusted together at the end

# drop_test is Welch's, on the degrees of freedom of the smaller group where that has fewer than ten.
drop_test <- function(x, y, level) {
  t <- two_groups(x, y, conf.level = level)
  smaller <- min(length(x), length(y))
  if (smaller < 10) {
    t$parameter <- smaller - 1; t$p.value <- 2 * pt(-abs(t$statistic), smaller - 1)
    t$conf.int <- mean(x) - mean(y) + c(-1, 1) * qt((1 + level) / 2, smaller - 1) * t$stderr
  }
  t
}
surest_side <- function(id) {
  ps <- given(id, "(samples[.].*)test[.]p")
  names(ps)[which.min(ps)]
}

# drops_together adjusts the drops of the primary finding, and those of all others: Holm's p, intervals by Bonferroni's
# inequality.
drops_together <- function() for (role in unique(vapply(drops, `[[`, "", "role"))) {
  family <- drops[vapply(drops, `[[`, "", "role") == role]
  ps <- vapply(family, `[[`, 0, "p"); m <- if (plan$adjust == "none") 1 else length(ps)
  for (i in seq_along(family)) {
    x <- family[[i]]
    if (m > 1) check(x$id, paste0(x$side, "test.p_adjusted"), p.adjust(ps, "holm")[i])
    wide <- drop_test(x$x, x$y, 1 - plan$alpha / m)$conf.int
    same <- drop_test(x$x, x$y, 1 - 2 * plan$alpha / m)$conf.int
    for (end in 1:2) { check(x$id, paste0(x$side, "drop_ci_adjusted.", end), wide[end])
    check(x$id, paste0(x$side, "drop_ci_equivalence.", end), same[end]) }
  }
  for (id in unique(vapply(family, `[[`, "", "id"))) {
    own <- vapply(family, `[[`, "", "id") == id
    if (m > 1) check(id, "test.p_adjusted", p.adjust(ps, "holm")[own][which.min(ps[own])])
  }
}

# alike_margins is whether the same people answer to two samples alike (Stuart 1955; Maxwell 1970): exact over the ways
# in which those who moved could have moved, and like the report by chi squared where those are more than 250,000.
alike_margins <- function(counts) {
  between <- counts + t(counts); diag(between) <- 0
  v <- diag(rowSums(between)) - between
  of <- svd(v); keep <- of$d > 1e-9 * max(of$d)
  inverse <- of$v[, keep] %*% (t(of$u[, keep, drop = FALSE]) / of$d[keep])
  n <- between[rbind(c(1, 2), c(1, 3), c(2, 3))]
  q <- function(gaps) rowSums((gaps %*% inverse) * gaps)
  seen <- q(rbind(rowSums(counts) - colSums(counts)))
  if (prod(n + 1) > 250000) return(list(statistic = seen, df = sum(keep),
    p = pchisq(seen, sum(keep), lower.tail = FALSE)))
  ways <- as.matrix(expand.grid(lapply(n, function(x) 0:x)))
  chance <- dbinom(ways[, 1], n[1], 0.5) * dbinom(ways[, 2], n[2], 0.5) * dbinom(ways[, 3], n[3], 0.5)
  up <- 2 * ways - rep(n, each = nrow(ways))
  all <- q(cbind(up[, 1] + up[, 2], up[, 3] - up[, 1], -up[, 2] - up[, 3]))
  list(statistic = seen, df = sum(keep), p = sum(chance[all >= seen * (1 - 1e-9)]))
}

# about_right is what people said of too little and too much, and what that costs in liking (Welch's test of those who
# said so against those for whom it was right; with fewer than ten in either group on the degrees of freedom of the
# smaller, a bound: Mickey and Brown 1966).
about_right <- function(id, f) {
  r <- ratings[ratings$attribute == f$attribute & !is.na(ratings$sample), ]
  liking <- plan$liking
  middle <- (max(c(r$value, length(given(id, "samples[.].*[.]counts[.](.*)")) / length(unique(r$sample)))) + 1) / 2
  m <- by_assessor(f$attribute)
  surest <- list(p = Inf)
  for (s in colnames(m)) {
    of <- r[r$sample == s, ]
    what <- function(x) paste0("samples.", s, ".", x)
    check(id, what("n"), nrow(of)); check(id, what("about_right"), sum(of$value == middle))
    for (label in seq_len(2 * middle - 1)) check(id, what(paste0("counts.", label)), sum(of$value == label))
    liked <- ratings$value[ratings$attribute ==
      liking][match(paste(of$assessor, of$turn), paste(ratings$assessor, ratings$turn)[ratings$attribute == liking])]
    for (side in c("too_little", "too_much")) {
      off <- if (side == "too_little") of$value < middle else of$value > middle
      part <- function(x) what(paste0(side, ".", x))
      check(id, part("n"), sum(off)); check(id, part("share"), mean(off))
      check(id, part("n_liking"), sum(off & !is.na(liked)))
      ends <- binom.test(sum(off), length(off), conf.level = 1 - plan$alpha)$conf.int
      check(id, part("share_ci.1"), ends[1]); check(id, part("share_ci.2"), ends[2])
      x <- liked[of$value == middle]; y <- liked[off]
      x <- x[!is.na(x)]; y <- y[!is.na(y)]
      if (is.na(theirs(id, part("drop"))) || min(length(x), length(y)) < 2) next
      t <- drop_test(x, y, 1 - plan$alpha)
      check(id, part("drop"), mean(x) - mean(y))
      check_test(id, part("test."), list(statistic = t$statistic, df = t$parameter, p = t$p.value))
      check(id, part("drop_ci.1"), t$conf.int[1]); check(id, part("drop_ci.2"), t$conf.int[2])
      weighted <- sum(off & !is.na(liked)) / sum(!is.na(liked)) * (mean(x) - mean(y))
      check(id, part("weighted"), weighted)
      # by the delta method on the three counts and the two means
      n <- sum(!is.na(liked)); share <- length(y) / n; drop <- mean(x) - mean(y)
      psi <- sum((share / (length(x) / n) * (x - mean(x)) - weighted)^2) + sum((drop - weighted - (y - mean(y)))^2) +
        (n - length(x) - length(y)) * weighted^2
      for (i in 1:2) check(id, part(paste0("weighted_ci.", i)),
        weighted + c(-1, 1)[i] * qnorm(1 - plan$alpha / 2) * sqrt(psi) / n)
      if (is.na(t$p.value)) next # nothing scatters in either
      if (is.null(diverted)) drops[[length(drops) + 1]] <<-
        list(id = id, role = f$role, side = part(""), x = x, y = y, p = t$p.value)
      if (!is.null(diverted) && part("") == surest_side(id)) {
        check(id, "surest.difference", mean(x) - mean(y)); check_interval(id, "surest.ci", t$conf.int)
      }
      if (t$p.value < surest$p) surest <- list(statistic = t$statistic, df = t$parameter, p = t$p.value)
    }
  }
  if (is.finite(surest$p)) check_test(id, "test.", surest)
  samples <- colnames(m)
  for (i in seq_along(samples)) for (j in seq_along(samples)) {
    what <- function(x) paste0("moves.", samples[i], "-", samples[j], ".", x)
    if (is.na(theirs(id, what("n")))) next
    to <- m[stats::complete.cases(m[, c(i, j)]), c(i, j)]
    side <- sign(to - middle) + 2
    check(id, what("n"), nrow(to)); check(id, what("moved"), sum(side[, 1] != side[, 2]))
    counts <- table(factor(side[, 1], 1:3), factor(side[, 2], 1:3))
    for (a in 1:3) for (b in 1:3) check(id, what(paste0("table.", a, ".", b)), counts[a, b])
    if (sum(counts) > sum(diag(counts))) check_test(id, what("test."), alike_margins(counts))
  }
  check(id, "n", sum(rowSums(!is.na(m)) > 0))
}

kinds <- list(pair = pair, groups = groups, choice = choice, ranking = ranking, panel = panel, factor = factor_of,
  `tasted-from` = tasted_from,
  `about-right` = about_right, words = words, dose = dose, `named-dose` = dose, way = way, asking = asking)
# diverting is which numbers of a kind of finding are told when it is reckoned anew.
of_two <- c(difference = "difference", ci.low = "ci.low", ci.high = "ci.high", p = "test.p", n = "n")
of_share <- c(share = "share", distance = "distance", of_two[-1])
diverting <- list(pair = of_two, groups = of_two, factor = of_two, choice = of_share,
  panel = replace(of_two, 1:3, paste0("furthest.", of_two[1:3])), `tasted-from` = replace(of_two, 1, "threshold.value"),
  ranking = c(share = "furthest.difference", ci.low = "furthest.ci.low", ci.high = "furthest.ci.high", of_two[4:5]),
  words = replace(of_two, 1:3, paste0("widest.", of_two[1:3])),
    `about-right` = replace(of_two, 1:3, paste0("surest.", of_two[1:3])),
  dose = replace(of_two, 1, "dose.difference"),
    `named-dose` = replace(of_two, 1:3, paste0("dose.laid.shift.", c("value", "ci.low", "ci.high"))))
findings <- table_of("findings.csv") # what each finding is about
cat(sprintf("%-3s %-46s %20s %20s\n", "", "number", "report", "R"))
for (i in seq_len(nrow(findings))) {
  f <- as.list(findings[i, ])
  if (f$kind %in% names(kinds)) kinds[[f$kind]](f$finding, f)
  if (!is.null(anew)) aside(f$finding, f)
}
drops_together()
# The secondary findings' p, adjusted together (Holm 1979), where that is the plan.
if (plan$adjust == "holm") {
  together <- function(what, ids) {
    ids <- ids[findings$role[match(ids, findings$finding)] == "secondary"]
    ids <- ids[!is.na(vapply(ids, theirs, 0, paste0(what, "p_adjusted")))] # those that are adjusted together
    ps <- vapply(ids, theirs, 0, paste0(what, "p"))
    if (length(ids) == 0 || any(is.na(ps))) return(invisible())
    adjusted <- p.adjust(ps, "holm")
    for (i in seq_along(ids)) check(ids[i], paste0(what, "p_adjusted"), adjusted[i])
  }
  apart <- findings$kind %in% c("panel", "about-right") # whole panels are adjusted among themselves
  for (what in c("test.", "also.signed-rank.", "also.sign.", "also.paired-t.", "also.rank-sum.", "also.ordinal.",
    "also.stratified-rank-sum.",
    "also.mixed-t.", "also.mixed-f.")) together(what, findings$finding[!apart])
  together("test.", findings$finding[findings$kind == "panel"])
}
# Levels, what the plan states, and what the report advises, are no results.
said <- said[!grepl(paste0("level$|level_|^verdict[.]|amount$|chance$|^draws$|sought[.]rating$|alike[.]share$|",
  "^looks[.]planned$|^evidence[.](at|planned)$|^one_by_one[.](share|most)$"), said$number) | said$recomputed, ]
left <- said[!said$recomputed & !is.na(said$value), ]
cat(sprintf("\n%d of %d numbers recomputed, %d differ; largest relative difference %.1e\n", sum(said$recomputed),
  nrow(said), wrong, worst))
if (nrow(left) > 0) {
  cat(strwrap(paste0("Not recomputed here: ", if (plan$test == "lottery") "lotteries that redraws.txt does not have; ",
    "what is of a test or a model that this script has not for this plan, or whose package is missing, see above."),
      110), sep = "\n")
  cat(strwrap(paste(left$finding, left$number, collapse = ", "), 110, indent = 4, exdent = 4), sep = "\n")
}
if (wrong > 0) quit(status = 1)
