# Recomputes the findings from the tables of this package, beside the report's own numbers:
#
#     Rscript analysis.R
#
# in the folder of the package. Base R; a whole panel needs the package lmerTest and says so when it
# is missing. Every number stands beside the report's; a difference beyond its tolerance ends the
# script with status 1. What it does not recompute it lists. Nothing here comes from the program that
# made the report: each method is R's own, or written out below from its source.
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
anew <- if (file.exists("rechecks.csv")) table_of("rechecks.csv") # how primary findings were reckoned anew
said <- table_of("numbers.csv") # every number of findings.json, one a row
said$value <- as.numeric(said$value)
said$recomputed <- FALSE
worst <- 0
wrong <- 0

# check compares one number of a finding with R's. What the report does not give is not checked.
check <- function(finding, what, mine, tolerance = closed) {
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
alternative_of <- function(f) if (f$role == "primary") c(two = "two.sided", greater = "greater", less = "less")[[plan$sides]] else "two.sided"

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
  list(statistic = v / 2, p = switch(alternative, greater = above, less = below, two.sided = min(1, 2 * min(above, below))))
}

# noncentral_interval is that of a standardised effect: delta times scale has the t given.
noncentral_interval <- function(t, df, scale, level) {
  end <- function(p) uniroot(function(ncp) suppressWarnings(pt(t, df, ncp)) - p, t + c(-9, 9), extendInt = "downX", tol = 1e-12)$root
  c(end((1 + level) / 2), end((1 - level) / 2)) * scale
}
small_sample <- function(df) exp(lgamma(df / 2) - log(sqrt(df / 2)) - lgamma((df - 1) / 2)) # Hedges (1981), eq. 6e

pair <- function(id, f) {
  if (f$estimate == "model-difference") return(invisible()) # by a mixed model of all samples
  m <- by_assessor(f$attribute)
  if (!all(c(f$first, f$second) %in% colnames(m))) return(invisible())
  m <- m[, c(f$first, f$second)]
  two_means(id, f, m[stats::complete.cases(m), , drop = FALSE])
}

# in_looks are the people of planned looks who count, with at which look each was in.
in_looks <- function(id, f, m) {
  mine <- ratings[ratings$attribute == f$attribute & ratings$sample %in% c(f$first, f$second), ]
  came <- tapply(as.integer(mine$look), mine$assessor, max)[rownames(m)]
  m[came <= sort(came)[theirs(id, "n")], , drop = FALSE]
}

# after_looks is a paired t test at planned looks: p, the estimate whose chance to be exceeded is one half, and the interval by the
# order of the stages (Fairbanks & Madsen 1982; Tsiatis, Rosner & Mehta 1984), between the bounds that the plan gives the looks.
# What goes on is carried from look to look as a density (Armitage, McPherson & Rowe 1969), here by Simpson's rule.
after_looks <- function(id, d, level, same) {
  look <- function(x) { # in order of the looks
    all <- said[said$finding == id & grepl(paste0("^looks[.]taken[.][0-9]+[.]", x, "$"), said$number), ]
    all$value[order(as.integer(gsub("[^0-9]", "", all$number)))]
  }
  t <- look("fraction"); bound <- look("z_bound"); last <- length(t); n <- length(d)
  statistic <- mean(d) / (sd(d) / sqrt(n))
  check(id, "test.statistic", statistic); check(id, "test.df", n - 1)
  check(id, "looks.plain.value", mean(d)); check_interval(id, "looks.plain.ci", t.test(d, conf.level = level)$conf.int)
  mine <- ratings[ratings$attribute == f$attribute & ratings$sample %in% c(f$first, f$second), ]
  came <- tapply(as.integer(mine$look), mine$assessor, max)[names(d)]
  for (k in seq_len(last)) { # what each look saw
    of <- d[came <= sort(unique(came))[k]]; at_look <- function(x) paste0("looks.taken.", k, ".", x)
    check(id, at_look("n"), length(of)); check(id, at_look("difference"), mean(of))
    check(id, at_look("fraction"), length(of) / theirs(id, "looks.planned"))
    one <- t.test(of); check(id, at_look("t"), one$statistic); check(id, at_look("p_of_one_look"), one$p.value)
    if (bound[k] < 30) check(id, at_look("t_bound"), qt(pnorm(bound[k], lower.tail = FALSE), length(of) - 1, lower.tail = FALSE), searched)
  }
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
    sum(from$w * exp(drift * from$b - drift^2 * t[k - 1] / 2) * pnorm((z * sqrt(t[k]) - from$b - drift * step) / sqrt(step), lower.tail = FALSE))
  }
  for (k in seq_len(last)) # the bounds spend what they say
    check(id, paste0("looks.taken.", k, ".alpha_spent"), 2 * sum(vapply(seq_len(k), function(j) beyond(j, bound[j], 0), 0)), searched)
  z <- sign(statistic) * qnorm(pt(abs(statistic), n - 1, lower.tail = FALSE), lower.tail = FALSE)
  above <- function(drift) sum(vapply(seq_len(last - 1), function(k) beyond(k, bound[k], drift), 0)) + beyond(last, z, drift)
  points <- sqrt(t[last]) * mean(d) / z
  where <- function(p) uniroot(function(x) above(x) - p, z / sqrt(t[last]) + c(-3, 3) / sqrt(t[last]), extendInt = "upX", tol = 1e-11)$root * points
  p <- above(0)
  check(id, "test.p", 2 * min(p, 1 - p), searched)
  check(id, "difference", where(1 / 2), searched)
  check_interval(id, "ci", c(where((1 - level) / 2), where((1 + level) / 2)), searched)
  if (!is.na(same)) check_interval(id, "ci_equivalence", c(where((1 - same) / 2), where((1 + same) / 2)), searched)
}

# in_turn are the people of running evidence who count, in the order in which they came.
in_turn <- function(id, f, m) {
  mine <- ratings[ratings$attribute == f$attribute & ratings$sample %in% c(f$first, f$second), ]
  came <- tapply(as.integer(mine$arrived), mine$assessor, max)[rownames(m)]
  m[order(came)[seq_len(theirs(id, "n"))], , drop = FALSE]
}

# running_evidence is counted after each person, by a t mixture with a prior N(0, g) on mean/sd (Lai 1976) and by bets on differences
# within the ends of the scale (Waudby-Smith & Ramdas 2024); the interval holds the differences whose evidence is below 1/alpha.
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
    list(up = cumsum(log1p(pmin(stake, 0.95 / m) * (y - m))), down = cumsum(log1p(-pmin(stake, 0.95 / (1 - m)) * (y - m))))
  }
  by_mixture <- vapply(i, function(k) mixture(d[seq_len(k)]), 0)
  b <- bets(1 / 2, plan$alpha); by_betting <- pmax(b$up, b$down) - log(2)
  mine <- if (f$method == "betting") by_betting else by_mixture
  other <- if (f$method == "betting") by_mixture else by_betting
  for (k in i) check(id, paste0("evidence.steps.", k), mine[k])
  check(id, "evidence.log_e", mine[n]); check(id, "evidence.log_e_beside", other[n]); check(id, "test.statistic", mine[n])
  check(id, "test.p", exp(-max(0, mine[n], if (n >= 12) mine[12:n])))
  ends <- function(level) {
    alpha <- 1 - level
    if (f$method == "betting") {
      up <- function(m) tail(bets(m, alpha)$up, 1) - log(2 / alpha); down <- function(m) tail(bets(m, alpha)$down, 1) - log(2 / alpha)
      low <- if (up(1e-12) < 0) 0 else uniroot(up, c(1e-12, 1), tol = 1e-14)$root
      high <- if (down(1 - 1e-12) < 0) 1 else uniroot(down, c(0, 1 - 1e-12), tol = 1e-14)$root
      return(2 * most * c(low, high) - most)
    }
    spread <- 1 + n * g; c <- (spread / alpha^2)^(1 / n)
    if (c >= spread) return(c(-most, most))
    pmin(pmax(mean(d) + c(-1, 1) * sqrt(sum((d - mean(d))^2) / n) * sqrt((c - 1) / (1 - c / spread)), -most), most)
  }
  check(id, "difference", mean(d)); check_interval(id, "ci", ends(level), searched)
  if (!is.na(same)) check_interval(id, "ci_equivalence", ends(same), searched)
  check(id, "evidence.plain.value", mean(d))
  if (sd(d) > 0) check_interval(id, "evidence.plain.ci", t.test(d, conf.level = level)$conf.int)
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
  check(id, "n", n)
  for (s in c(f$first, f$second)) {
    check(id, paste0("means.", s), mean(m[, s]))
    check(id, paste0("sds.", s), sd(m[, s]))
  }
  check(id, "moved.up", sum(d > 0)); check(id, "moved.down", sum(d < 0)); check(id, "moved.same", sum(d == 0))
  alternative <- alternative_of(f)
  rank <- signed_rank(d, alternative)
  sign <- binom.test(sum(d > 0), sum(d != 0), alternative = alternative)
  t <- if (sd(d) > 0) t.test(d, alternative = alternative)
  mean_ci <- if (sd(d) > 0 && alternative == "two.sided") t.test(d, conf.level = level)$conf.int else c(NA, NA)
  same <- theirs(id, "level_equivalence")
  if (f$estimate == "mean-difference") {
    check(id, "difference", mean(d)); check_interval(id, "ci", mean_ci)
    if (!is.na(same) && sd(d) > 0) check_interval(id, "ci_equivalence", t.test(d, conf.level = same)$conf.int)
    shared <- theirs(id, "level_adjusted") # Bonferroni's inequality
    if (!is.na(shared) && sd(d) > 0) check_interval(id, "ci_adjusted", t.test(d, conf.level = shared)$conf.int)
  } else if (looked || counted) {
    check(id, "effect.mean-difference.value", mean(d)); check_interval(id, "effect.mean-difference.ci", mean_ci)
  } else if (alternative == "two.sided") { # Hodges and Lehmann (1963): the middle of all averages of two
    walsh <- sort(outer(d, d, "+")[upper.tri(diag(n), diag = TRUE)] / 2)
    check(id, "difference", median(walsh))
    check(id, "effect.mean-difference.value", mean(d)); check_interval(id, "effect.mean-difference.ci", mean_ci)
  }
  if (looked && sd(d) > 0) after_looks(id, d, level, same)
  if (counted) running_evidence(id, f, d, level, same)
  if (!is.null(t) && alternative == "two.sided") {
    scores <- if (f$method == "paired-t") "test." else "also.paired-t."
    check(id, paste0(scores, "statistic"), t$statistic); check(id, paste0(scores, "df"), t$parameter)
    check(id, paste0(scores, "p"), t$p.value)
    ends <- noncentral_interval(t$statistic, n - 1, 1 / sqrt(n), level)
    j <- small_sample(n - 1)
    check(id, "effect.d_z.value", mean(d) / sd(d)); check_interval(id, "effect.d_z.ci", ends, searched)
    check(id, "effect.g_z.value", j * mean(d) / sd(d)); check_interval(id, "effect.g_z.ci", j * ends, searched)
  }
  for (part in c("test", "also")) {
    prefix <- function(method) if (part == "test") if (f$method == method) "test." else "none." else paste0("also.", method, ".")
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
  if (alternative_of(f) == "two.sided") pair_again(id, f, m, level)
}

# again calls a function with the place and the words of each way in which a finding was reckoned anew.
again <- function(id, by) for (i in which(anew$finding == id)) {
  leaves <- regmatches(anew$says[i], regexec("^without assessor ([0-9]+),", anew$says[i]))[[1]][2]
  by(function(x) paste0("rechecks.", anew$recheck[i], ".", x), anew$method[i], leaves, anew$says[i])
}

# pair_again has the other tests of a pair, and the planned one without the person who moves it most.
pair_again <- function(id, f, m, level) again(id, function(what, method, leaves, says) {
  d <- m[, 1] - m[, 2]
  if (!is.na(leaves)) { d <- d[names(d) != leaves]; method <- f$method }
  if (!method %in% c("paired-t", "signed-rank", "period-adjusted")) return(invisible())
  check(id, what("n"), length(d))
  if (method == "signed-rank") check(id, what("p"), signed_rank(d, "two.sided")$p)
  if (method == "signed-rank") {
    walsh <- outer(d, d, "+")[upper.tri(diag(length(d)), diag = TRUE)] / 2
    check(id, what("difference"), median(walsh))
  }
  if (method == "paired-t" && sd(d) > 0) {
    t <- t.test(d, conf.level = level)
    check(id, what("difference"), mean(d)); check_interval(id, what("ci"), t$conf.int); check(id, what("p"), t$p.value)
  }
  if (method == "period-adjusted") for (x in c("p", "ci.low", "ci.high")) check(id, what(x), adjusted_for_order[[x]])
  if (method == "period-adjusted") check(id, what("difference"), adjusted_for_order$estimate)
})

# ordered_answers is the cumulative logit model of answers on a few labels, assessors at random (Hedeker & Gibbons 1994).
ordered_answers <- function(id, f) {
  if (is.na(theirs(id, "ordinal.odds_ratio.value"))) return(invisible())
  if (!requireNamespace("ordinal", quietly = TRUE)) {
    cat(id, ": the order of answers on labels needs the package ordinal (install.packages(\"ordinal\"))\n", sep = "")
    return(invisible())
  }
  r <- ratings[ratings$attribute == f$attribute & ratings$sample %in% c(f$first, f$second), ]
  r$y <- factor(r$value, ordered = TRUE); r$x <- factor(r$sample, c(f$second, f$first)); r$assessor <- factor(r$assessor)
  fit <- ordinal::clmm(y ~ x + (1 | assessor), r, nAGQ = 21, control = ordinal::clmm.control(gradTol = 1e-9, maxIter = 500))
  row <- coef(summary(fit))[nrow(coef(summary(fit))), ]
  loose <- 1e-3 # two optimisers, and standard errors from numeric derivatives
  z <- qnorm((1 + theirs(id, "level")) / 2)
  for (what in c("ordinal.odds_ratio", "effect.odds-ratio")) {
    check(id, paste0(what, ".value"), exp(row[1]), loose); check_interval(id, paste0(what, ".ci"), exp(row[1] + c(-z, z) * row[2]), loose)
  }
  test <- if (f$method == "ordinal") "test." else "also.ordinal."
  check(id, paste0(test, "statistic"), row[3], loose); check(id, paste0(test, "p"), row[4], 10 * loose); check(id, "ordinal.p", row[4], 10 * loose)
  # Shares of the labels over people like these: what one would say, over the normal distribution of their levels.
  cuts <- c(-Inf, fit$alpha, Inf); spread <- sqrt(ordinal::VarCorr(fit)$assessor[1])
  for (s in c(f$first, f$second)) for (label in seq_along(cuts)[-1]) {
    upto <- function(cut) if (is.finite(cut)) integrate(function(u) plogis(cut - (s == f$first) * row[1] - spread * u) * dnorm(u), -9, 9)$value else (cut > 0) * 1
    of <- as.integer(levels(r$y))[label - 1] # labels that nobody chose have no share
    check(id, paste0("ordinal.shares.", s, ".", of), upto(cuts[label]) - upto(cuts[label - 1]), loose)
  }
  for (s in c(f$first, f$second)) for (of in setdiff(seq_len(max(r$value) + 9), as.integer(levels(r$y)))) check(id, paste0("ordinal.shares.", s, ".", of), 0)
}

# rm_anova is the analysis of variance of the same people's ratings, degrees of freedom by Greenhouse and Geisser (1959).
rm_anova <- function(m) {
  n <- nrow(m); k <- ncol(m)
  rest <- m - outer(rowMeans(m), rep(1, k)) - outer(rep(1, n), colMeans(m)) + mean(m)
  f <- (n * sum((colMeans(m) - mean(m))^2) / (k - 1)) / (sum(rest^2) / ((n - 1) * (k - 1)))
  s <- cov(m)
  s <- s - outer(rowMeans(s), rep(1, k)) - outer(rep(1, k), colMeans(s)) + mean(s)
  e <- sum(diag(s))^2 / ((k - 1) * sum(s^2))
  list(statistic = f, df = e * (k - 1), df2 = e * (n - 1) * (k - 1), p = pf(f, e * (k - 1), e * (n - 1) * (k - 1), lower.tail = FALSE))
}
check_test <- function(id, what, t) for (x in names(t)) check(id, paste0(what, x), t[[x]])

# factor_of is what names do over dishes, or dishes over names: each person's own mean at each level.
factor_of <- function(id, f) {
  m <- by_assessor(f$attribute)
  level <- theirs(id, "level")
  of <- unique(ratings[!is.na(ratings$sample), c("sample", "dish", "name")])
  of$name[is.na(of$name)] <- "blind"
  if (!f$factor %in% c("name", "dish")) return(invisible())
  levels <- strsplit(f$compared, " ")[[1]]
  samples <- lapply(levels, function(l) of$sample[of[[f$factor]] == l])
  if (!all(unlist(samples) %in% colnames(m))) return(invisible())
  m <- m[stats::complete.cases(m[, unlist(samples)]), , drop = FALSE]
  at <- sapply(samples, function(s) rowMeans(m[, s, drop = FALSE]))
  dimnames(at) <- list(rownames(m), levels)
  for (s in unlist(samples)) {
    check(id, paste0("estimates.", s, ".n"), sum(!is.na(m[, s]))); check(id, paste0("estimates.", s, ".mean"), mean(m[, s]))
    check_interval(id, paste0("estimates.", s, ".ci"), t.test(m[, s], conf.level = 1 - plan$alpha)$conf.int)
  }
  if (length(levels) == 2) return(two_means(id, f, at))
  check(id, "n", nrow(at))
  if (f$method == "rm-anova") check_test(id, "test.", rm_anova(at))
}

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
    if (what == "period-adjusted") adjusted_for_order <<- list(estimate = scale * k[[1]], ci.low = ends[1], ci.high = ends[2], p = k[[4]])
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
  sides <- alternative_of(f)
  where <- function(method) if (f$method == method) "test." else paste0("also.", method, ".")
  t <- t.test(x, y, alternative = sides, conf.level = level)
  check_test(id, where("welch-t"), list(statistic = t$statistic, df = t$parameter, p = t$p.value))
  check(id, paste0(where("rank-sum"), "statistic"), sum(rank(c(x, y))[seq_along(x)]) - length(x) * (length(x) + 1) / 2)
  if (sides == "two.sided") check(id, paste0(where("rank-sum"), "p"), rank_sum_p(x, y))
  check(id, "effect.superiority.value", mean(outer(x, y, ">") + outer(x, y, "==") / 2))
  nx <- length(x); ny <- length(y); df <- nx + ny - 2
  pooled <- sqrt(((nx - 1) * var(x) + (ny - 1) * var(y)) / df); scale <- sqrt(1 / nx + 1 / ny)
  g <- small_sample(df) * (mean(x) - mean(y)) / pooled
  check(id, "effect.hedges-g.value", g)
  check_interval(id, "effect.hedges-g.ci", small_sample(df) * noncentral_interval((mean(x) - mean(y)) / pooled / scale, df, scale, level), searched)
  within <- plan$strata > 0 && f$method == "stratified-t" && sides == "two.sided"
  if (within) { # the same difference within every stratum
    check(id, "strata", length(unique(r$stratum)))
    fit <- lm(value ~ I(1 * (sample == f$first)) + stratum, r)
    k <- coef(summary(fit))[2, ]
    check_test(id, "test.", list(statistic = k[[3]], df = fit$df.residual, p = k[[4]]))
  }
  if (!within && f$method != "welch-t") return(invisible())
  ends <- function(level) if (within) confint(fit, 2, level = level) else t.test(x, y, conf.level = level)$conf.int
  check(id, "difference", if (within) k[[1]] else mean(x) - mean(y))
  if (sides == "two.sided") check_interval(id, "ci", ends(level))
  for (other in c("adjusted", "equivalence")) {
    of <- theirs(id, paste0("level_", other))
    if (!is.na(of)) check_interval(id, paste0("ci_", other), ends(of))
  }
  if (sides == "two.sided") again(id, function(what, method, leaves, says) {
    if (!is.na(leaves)) {
      r <- r[r$assessor != leaves, ]
      x <- r$value[r$sample == f$first]; y <- r$value[r$sample == f$second]
      if (within) {
        fit <- lm(value ~ I(1 * (sample == f$first)) + stratum, r)
        check(id, what("difference"), coef(fit)[[2]]); check(id, what("p"), coef(summary(fit))[2, 4]); check_interval(id, what("ci"), confint(fit, 2, level = level))
      } else method <- "welch-t"
    }
    check(id, what("n"), nrow(r))
    if (is.na(method)) return(invisible())
    t <- t.test(x, y, conf.level = level)
    if (method == "welch-t") { check(id, what("difference"), mean(x) - mean(y)); check(id, what("p"), t$p.value); check_interval(id, what("ci"), t$conf.int) }
    if (method == "rank-sum") { check(id, what("difference"), median(outer(x, y, "-"))); check(id, what("p"), rank_sum_p(x, y)) }
  })
}

# rank_sum_p is the exact p of the rank sum for any ties (Wilcoxon 1945), on two sides: the distribution over all ways to
# part the doubled midranks, by convolution. NA for groups so large that the report may have used the normal distribution.
rank_sum_p <- function(x, y) {
  if (max(length(x), length(y)) > 35) return(NA)
  ranks <- round(2 * rank(c(x, y)))
  ways <- matrix(0, length(x) + 1, sum(ranks) + 1); ways[1, 1] <- 1
  for (r in ranks) {
    up <- ways[-nrow(ways), seq_len(ncol(ways) - r)]
    ways[-1, (r + 1):ncol(ways)] <- ways[-1, (r + 1):ncol(ways)] + up
  }
  p <- ways[nrow(ways), ] / sum(ways[nrow(ways), ])
  far <- abs(seq_along(p) - 1 - length(x) * mean(ranks)) # from the mean of the doubled rank sum
  sum(p[far >= far[sum(ranks[seq_along(x)]) + 1] - 1e-6])
}

wilson <- function(k, n, level) prop.test(k, n, conf.level = level, correct = FALSE)$conf.int # Wilson (1927)

# rights are the turns and whether each was answered right, where that can be told from the tables: what was chosen was the
# plate that was alone, or was the known reference, or was what was asked for, or the plates were put together rightly.
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
  data.frame(assessor = vapply(turns, function(x) x$assessor[1], ""), turn = vapply(turns, function(x) as.integer(x$turn[1]), 1L),
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
    triangle = 2 * whole(function(z) (pnorm(-z * sqrt(3) + d * sqrt(2 / 3)) + pnorm(-z * sqrt(3) - d * sqrt(2 / 3))) * dnorm(z), 0),
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
  } else if (!is.null(each)) {
    check(id, "n", nrow(each)); check(id, "right", sum(each$right)); right_again(id, each, chance)
  }
  level <- theirs(id, "level")
  least <- which(pbinom(0:n - 1, n, chance, lower.tail = FALSE) <= plan$alpha)
  if (f$method %in% c("binomial", "similarity")) check(id, "least_right", if (length(least) > 0) least[1] - 1 else n + 1)
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

# right_again is the same of the first answer of each, and without somebody.
right_again <- function(id, each, chance) again(id, function(what, method, leaves, says) {
  if (!is.na(leaves)) each <- each[each$assessor != leaves, ]
  else if (startsWith(says, "by the first answer of each")) each <- each[order(each$turn), ][!duplicated(each$assessor[order(each$turn)]), ]
  else return(invisible())
  k <- sum(each$right); n <- nrow(each)
  check(id, what("n"), n); check(id, what("share"), k / n)
  check_interval(id, what("ci"), binom.test(k, n, conf.level = theirs(id, "level"))$conf.int)
  if (is.na(theirs(id, "alike.share"))) check(id, what("p"), binom.test(k, n, chance, "greater")$p.value)
})

# said_one is what was said of servings or pairs, one of two things: how often of those that were it, and of others.
said_one <- function(id, f) {
  r <- ratings[ratings$attribute == "said", ]
  r <- r[!duplicated(r[c("assessor", "turn")]), ]
  if (nrow(r) == 0 || is.na(theirs(id, "said.of_true.of"))) return(invisible())
  if (plan$question == "same-different") { # what stood on the table, by the codes of the turn
    turns <- table_of("turns.csv"); key <- table_of("key.csv")
    codes <- turns$codes[match(paste(r$assessor, r$turn), paste(turns$assessor, turns$turn))]
    truth <- mapply(function(codes, who) length(unique(key$sample[key$assessor == who & key$code %in% strsplit(codes, " ")[[1]]])) == 1, codes, r$assessor)
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
  apart <- function(keep) { # the distance of two normal distributions, and what it scatters
    h <- mean(yes[truth & keep]); g <- mean(yes[!truth & keep])
    list(d = qnorm(h) - qnorm(g), se = sqrt(h * (1 - h) / sum(truth & keep) / dnorm(qnorm(h))^2 + g * (1 - g) / sum(!truth & keep) / dnorm(qnorm(g))^2))
  }
  if (plan$question == "a-not-a") check(id, "distance", apart(rep(TRUE, nrow(r)))$d, searched)
  again(id, function(what, method, leaves, says) {
    first <- !duplicated(r$assessor[order(as.integer(r$turn))])[order(order(as.integer(r$turn)))]
    keep <- if (!is.na(leaves)) r$assessor != leaves else if (startsWith(says, "by the first answer of each")) first else return(invisible())
    check(id, what("n"), sum(keep)); check(id, what("p"), within(keep)$p)
    if (plan$question == "a-not-a") check(id, what("distance"), apart(keep)$d, searched)
  })
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
      if (f$method == "binomial") { check(id, "test.statistic", sum(each$right)); check(id, "test.p", binom.test(sum(each$right), nrow(each), chance, "greater")$p.value) }
    }
    return(invisible())
  }
  if (is.na(first)) {
    if (!is.na(right)) right_answers(id, f, theirs(id, "n"), right, chance)
    return(invisible())
  }
  if (f$method != "binomial") return(invisible())
  chosen <- ratings[ratings$attribute == "choice" & ratings$value == 1 & !is.na(ratings$sample), ] # those who have a preference
  k <- sum(chosen$sample == f$first); n <- k + sum(chosen$sample == f$second)
  check(id, "first", k); check(id, "second", n - k)
  turns <- unique(ratings[ratings$attribute == "choice", c("assessor", "turn")])
  check(id, "n", nrow(turns)); check(id, "none", nrow(turns) - n)
  again(id, function(what, method, leaves, says) {
    if (is.na(leaves)) return(invisible())
    others <- chosen[chosen$assessor != leaves, ]
    k <- sum(others$sample == f$first)
    check(id, what("share"), k / nrow(others)); check_interval(id, what("ci"), wilson(k, nrow(others), theirs(id, "level")))
    check(id, what("p"), binom.test(k, nrow(others), chance, alternative_of(f))$p.value)
    check(id, what("n"), sum(turns$assessor != leaves))
  })
  check(id, "share", k / n)
  check(id, "test.statistic", k)
  check(id, "test.p", binom.test(k, n, chance, alternative_of(f))$p.value)
  check_interval(id, "ci", wilson(k, n, theirs(id, "level")))
  if (!is.na(theirs(id, "level_equivalence"))) check_interval(id, "ci_equivalence", wilson(k, n, theirs(id, "level_equivalence")))
  at_first <- tapply(ratings$position, paste(ratings$assessor, ratings$turn), min)
  served_first <- sum(chosen$position == at_first[paste(chosen$assessor, chosen$turn)])
  check(id, "checks.served-first.statistic", served_first); check(id, "checks.served-first.p", binom.test(served_first, n)$p.value)
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
  check(id, paste0(test, "statistic"), t$statistic); check(id, paste0(test, "df"), t$parameter); check(id, paste0(test, "p"), t$p.value)
  check(id, "kendall_w", t$statistic / (n * (k - 1)))
  sums <- colSums(m)
  step <- sqrt(2 * (n * sum(m^2) - sum(sums^2)) / ((n - 1) * (k - 1))) # Conover (1999), sect. 5.8
  check(id, "least_significant_difference", qnorm(0.975) * sqrt(n * k * (k + 1) / 6))
  at <- ratings[!is.na(ratings$sample) & ratings$attribute == "rank", ]
  at <- tapply(at$value, list(at$assessor, at$position), sum)
  if (k > 2 && !anyNA(at)) {
    places <- friedman.test(at)
    check(id, "checks.rank-position.statistic", places$statistic); check(id, "checks.rank-position.df", places$parameter)
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
    check_interval(id, what("ci_adjusted"), wilson(before, n, 1 - plan$alpha / choose(k, 2))); check_interval(id, what("ci_equivalence"), wilson(before, n, 1 - 2 * plan$alpha))
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

# panel is the mixed model of a whole panel: sample and position fixed, assessor random, and what an assessor finds of a
# sample where somebody rated one several times; Satterthwaite's df. Of up to 400 ratings by people who come to several
# sittings by Kenward and Roger (1997).
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
    check_test(id, if (f$method == "friedman") "test." else "also.friedman.", list(statistic = ranks$statistic, df = ranks$parameter, p = p))
    again(id, function(what, method, leaves, says) {
      if (is.na(method)) return(invisible())
      if (method == "friedman") check(id, what("p"), p)
      if (method == "rm-anova") check(id, what("p"), rm_anova(m)$p)
      if (method %in% c("friedman", "rm-anova")) check(id, what("n"), nrow(m))
    })
  }
  if (f$method != "mixed-f") return(invisible())
  if (!requireNamespace("lmerTest", quietly = TRUE)) {
    cat(id, ": a whole panel needs the package lmerTest (install.packages(\"lmerTest\"))\n", sep = "")
    return(invisible())
  }
  r <- ratings[ratings$attribute == f$attribute & !is.na(ratings$sample), ]
  r$sample <- factor(r$sample); r$at <- factor(r$position)
  apart <- nlevels(r$at) > 1 # a position that goes with the samples cannot be told from them
  if (apart) { x <- model.matrix(~ sample + at, r); apart <- qr(x)$rank == ncol(x) }
  terms <- c("sample", if (apart) "at", "(1 | assessor)")
  if (anyDuplicated(r[c("assessor", "sample")])) terms <- c(terms, "(1 | assessor:sample)")
  evenings <- theirs(id, "sittings")
  if (!is.na(evenings)) check(id, "sittings", nlevels(droplevels(r$sitting)))
  terms <- c(terms, of_sittings(r, apart))
  seated <- any(grepl("sitting", terms))
  several <- "(1 | assessor:sitting)" %in% terms && nrow(r) <= 400
  if (several && !requireNamespace("pbkrtest", quietly = TRUE)) {
    cat(id, ": people at several sittings need the package pbkrtest (install.packages(\"pbkrtest\"))\n", sep = "")
    return(invisible())
  }
  ddf <- if (several) "Kenward-Roger" else "Satterthwaite"
  fit <- fitted_to(r, terms, several) # what scatters nothing counts there too: it might
  table <- anova(fit, ddf = ddf)
  # The df of several contrasts together hang on how these are written (Fai and Cornelius 1996): here as differences from one sample.
  of_sample <- which(attr(model.matrix(fit), "assign") == 1)
  row <- lmerTest::contestMD(fit, diag(length(lme4::fixef(fit)))[of_sample, , drop = FALSE], ddf = ddf)
  loose <- if (!seated) 1e-5 else 1e-3 # two optimisers; on a flat hill where evenings are few
  if (apart && is.na(evenings)) {
    at <- table["at", ]
    check(id, "checks.position.df", at[["NumDF"]])
    check(id, "checks.position.df2", at[["DenDF"]], loose)
    check(id, "checks.position.statistic", at[["F value"]], loose); check(id, "checks.position.p", at[["Pr(>F)"]], 100 * loose)
  }
  check(id, "test.statistic", row[["F value"]], loose); check(id, "test.df", row[["NumDF"]])
  check(id, "test.df2", row[["DenDF"]], loose)
  # Far out a p is as uncertain as its statistic is times what it weighs there.
  check(id, "test.p", row[["Pr(>F)"]], 100 * loose)
  if (!requireNamespace("emmeans", quietly = TRUE)) {
    cat(id, ": means and pairs of a panel need the package emmeans (install.packages(\"emmeans\"))\n", sep = "")
    return(invisible())
  }
  means <- emmeans::emmeans(fit, "sample", lmer.df = tolower(ddf))
  level <- 1 - plan$alpha
  rows <- as.data.frame(summary(means, infer = c(TRUE, FALSE), level = level))
  for (i in seq_len(nrow(rows))) {
    s <- as.character(rows$sample[i])
    check(id, paste0("estimates.", s, ".mean"), rows$emmean[i], loose)
    if (is.na(evenings)) check_interval(id, paste0("estimates.", s, ".ci"), c(rows$lower.CL[i], rows$upper.CL[i]), 10 * loose)
    check(id, paste0("estimates.", s, ".n"), length(unique(r$assessor[r$sample == s])))
  }
  pairs_of(id, means, level, loose)
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
    reached <- matrix(reached[order(row(reached), reached)], nrow(reached), byrow = TRUE) # which sample has which sum is all one
    key <- drop(reached %*% 1000^(seq_len(ncol(m)) - 1))
    chances <- as.vector(rowsum(rep(chances / nrow(falls), nrow(falls)), key, reorder = FALSE))
    states <- reached[!duplicated(key), , drop = FALSE]
  }
  squares <- rowSums(states^2)
  sum(chances[squares >= sum(colSums(ranks)^2) - 0.5])
}

# fitted_to fits a mixed model, and again without what scatters nothing in it, of which no number of the others depends.
fitted_to <- function(r, terms, all = FALSE) {
  fit_of <- function(terms) suppressMessages(lmerTest::lmer(reformulate(terms, "value"), r, control = lme4::lmerControl(optCtrl = list(xtol_rel = 1e-12, ftol_rel = 1e-14))))
  fit <- fit_of(terms)
  if (all) return(fit)
  scatter <- as.data.frame(lme4::VarCorr(fit))
  flat <- scatter$grp[scatter$grp != "Residual" & scatter$sdcor < 1e-3 * stats::sigma(fit)]
  turned <- vapply(strsplit(flat, ":"), function(x) paste(rev(x), collapse = ":"), "") # it may name a:b as b:a
  kept <- terms[!terms %in% paste0("(1 | ", c(flat, turned), ")")]
  if (length(kept) < length(terms) && any(grepl("|", kept, fixed = TRUE))) fit_of(kept) else fit
}

# pairs_of compares every two samples of a panel in its model: p by Tukey's range.
pairs_of <- function(id, means, level, loose) {
  plain <- as.data.frame(summary(graphics::pairs(means, adjust = "none"), infer = TRUE, level = level))
  tukey <- as.data.frame(summary(graphics::pairs(means, adjust = "tukey"), infer = TRUE, level = level))
  for (i in seq_len(nrow(plain))) {
    two <- strsplit(as.character(plain$contrast[i]), " - ")[[1]]
    turned <- is.na(theirs(id, paste0("pairs.", two[1], "-", two[2], ".difference")))
    what <- function(x) paste0("pairs.", paste(if (turned) rev(two) else two, collapse = "-"), ".", x)
    sign <- if (turned) -1 else 1
    check(id, what("difference"), sign * plain$estimate[i], loose)
    check_interval(id, what("ci"), sort(sign * c(plain$lower.CL[i], plain$upper.CL[i])), 10 * loose)
    # two tests on one side each (Schuirmann 1987)
    check_interval(id, what("ci_equivalence"), sign * plain$estimate[i] + c(-1, 1) * qt(1 - plan$alpha, plain$df[i]) * plain$SE[i], 100 * loose)
    check(id, what("test.statistic"), sign * plain$t.ratio[i], 10 * loose); check(id, what("test.df"), plain$df[i], 10 * loose)
    check(id, what("test.p"), plain$p.value[i], 100 * loose)
    check(id, what("test.p_adjusted"), tukey$p.value[i], 1000 * loose) # far out, as uncertain as the range's distribution
    check_interval(id, what("ci_adjusted"), sort(sign * c(tukey$lower.CL[i], tukey$upper.CL[i])), 100 * loose)
  }
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
  for (s in names(x)) { check(id, paste0("threshold.amounts.", s, ".right"), sum(m[, s])); check(id, paste0("threshold.amounts.", s, ".n"), nrow(m)) }
  edges <- c(x[1]^2 / x[2], x, x[k]^2 / x[k - 1])
  missed <- apply(m, 1, function(right) max(0, which(right == 0)))
  own <- sqrt(edges[missed + 1] * edges[missed + 2])
  for (i in seq_along(own)) check(id, paste0("threshold.people.", rownames(m)[i], ".threshold"), own[i])
  check(id, "threshold.missed_largest", sum(missed == k)); check(id, "threshold.right_throughout", sum(missed == 0))
  check(id, "threshold.value", exp(mean(log(own)))); check(id, "threshold.log10_sd", sd(log10(own)))
  if (sd(own) > 0) check_interval(id, "ci", exp(t.test(log(own), conf.level = theirs(id, "level"))$conf.int))
  check(id, "test.statistic", sum(m)); check(id, "test.p", binom.test(sum(m), length(m), theirs(id, "threshold.chance"), "greater")$p.value)
  # The curve: guessing fixed, the most likely place and steepness.
  right <- colSums(m); chance <- theirs(id, "threshold.chance")
  unlikely <- function(at) -sum(dbinom(right, nrow(m), chance + (1 - chance) * plogis(exp(at[2]) * (log10(x) - at[1])), log = TRUE))
  fit <- optim(c(mean(log10(own)), 1), unlikely, control = list(reltol = 1e-15, maxit = 5000))
  fit <- optim(fit$par, unlikely, control = list(reltol = 1e-15, maxit = 5000))
  check(id, "threshold.curve.value", 10^fit$par[1], 1e-4) # two optimisers, on a flat hill
  check(id, "effect.threshold-curve.value", 10^fit$par[1], 1e-4)
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
    next_states <- do.call(rbind, lapply(seq_len(ncol(ways)), function(j) { s <- states; s[, ways[, j]] <- s[, ways[, j]] + 1; s }))
    key <- drop(next_states %*% 1000^(seq_len(k) - 1))
    first <- !duplicated(key)
    chances <- as.vector(rowsum(rep(chances / ncol(ways), ncol(ways)), key, reorder = FALSE))
    states <- next_states[first, , drop = FALSE]
  }
  spread <- function(t) rowSums((t - rowMeans(t))^2)
  sum(chances[spread(states) >= spread(matrix(colSums(m), 1)) - 1e-6])
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
      check(id, pair_of("only_first"), first); check(id, pair_of("only_second"), second); check(id, pair_of("difference"), (first - second) / n)
      for (end in list(c("ci", "level"), c("ci_adjusted", "level_adjusted"))) {
        level <- theirs(id, pair_of(end[2]))
        if (!is.na(level)) check_interval(id, pair_of(end[1]), newcombe(sum(a & b), first, second, sum(!a & !b), level))
      }
      check_interval(id, pair_of("ci_equivalence"), newcombe(sum(a & b), first, second, sum(!a & !b), 1 - 2 * plan$alpha))
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
  none <- Reduce(`+`, tables) == 0
  for (s in samples) check(id, paste0("ticked_none.", s), sum(none[, s]))
  if (length(of_words) == length(ids)) for (w in ids) check(id, paste0("words.", w, ".test.p_adjusted"), p.adjust(of_words, "holm")[[w]], searched)
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
  check(id, what("rated.test.statistic"), t$statistic); check(id, what("rated.test.df"), t$parameter); check(id, what("rated.test.p"), t$p.value)
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

# dose is the line over amounts: each person's own, of those who rated every amount.
dose <- function(id, f) {
  amount <- sort(given(id, "dose[.]amounts[.](.*)[.]amount"))
  m <- by_assessor(f$attribute)
  if (!all(names(amount) %in% colnames(m)) || anyNA(m)) return(invisible())
  y <- m[, names(amount)]
  level <- theirs(id, "level")
  for (s in names(amount)) {
    t <- t.test(y[, s], conf.level = level)
    check(id, paste0("dose.amounts.", s, ".mean"), mean(y[, s])); check(id, paste0("dose.amounts.", s, ".n"), nrow(y))
    check_interval(id, paste0("dose.amounts.", s, ".ci"), t$conf.int)
  }
  centre <- mean(amount)
  slopes <- drop(y %*% (amount - centre)) / sum((amount - centre)^2)
  check(id, "n", nrow(y)); check(id, "dose.centre", centre); check(id, "dose.rating_at_centre", mean(y))
  line <- function(what, v, level) {
    t <- t.test(v, conf.level = level)
    check(id, paste0(what, ".value"), mean(v)); check_interval(id, paste0(what, ".ci"), t$conf.int)
    check(id, paste0(what, ".se"), sd(v) / sqrt(length(v))); check(id, paste0(what, ".df"), t$parameter); check(id, paste0(what, ".p"), t$p.value)
    t
  }
  t <- line("dose.slope", slopes, level)
  long <- data.frame(value = c(y), who = factor(row(y)), x = amount[col(y)], at = factor(col(y)))
  bent <- anova(lm(value ~ who + x, long), lm(value ~ who + at, long))
  if (length(amount) > 2) {
    check(id, "checks.straight.statistic", bent$F[2]); check(id, "checks.straight.df", bent$Df[2]); check(id, "checks.straight.df2", bent$Res.Df[2])
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
  } else {
    check(id, "dose.difference", mean(slopes)); check_interval(id, "ci", t$conf.int)
    for (other in c("adjusted", "equivalence")) {
      of <- theirs(id, paste0("level_", other))
      if (!is.na(of)) check_interval(id, paste0("ci_", other), t.test(slopes, conf.level = of)$conf.int)
    }
  }
  if (alternative_of(f) == "two.sided") { check(id, "test.statistic", t$statistic); check(id, "test.df", t$parameter); check(id, "test.p", t$p.value) }
}

# way is how far a name drew ratings from those of the same dish served blind to what was expected of it: of everybody who did
# all three, the mean of named minus blind over that of expected minus blind, with Fieller's interval.
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
    check_interval(id, paste0(what, ".ci"), t$conf.int); check(id, paste0(what, ".df"), t$parameter); check(id, paste0(what, ".p"), t$p.value)
  }
  of("expected", m[, "expected"]); of("tasted_blind", m[, "blind"]); of("tasted_named", m[, "named"])
  gap <- m[, "expected"] - m[, "blind"]; moved <- m[, "named"] - m[, "blind"]
  of("expected_minus_blind", gap); of("named_minus_blind", moved); of("named_minus_expected", m[, "named"] - m[, "expected"])
  check(id, "share", mean(moved) / mean(gap))
  check(id, "g", qt((1 + level) / 2, nrow(m) - 1)^2 * var(gap) / nrow(m) / mean(gap)^2)
  check_interval(id, "ci", fieller(moved, gap, level))
}

# asking compares those whom the plan asked what they expect with those whom it did not (Welch 1947), by what they rated a sample or
# by how far they put two apart.
asking <- function(id, f) {
  turns <- table_of("turns.csv")
  m <- by_assessor(f$attribute)
  v <- m[, f$first] - if (is.na(f$second)) 0 else m[, f$second]
  v <- v[!is.na(v)]
  asked <- names(v) %in% turns$assessor[turns$role == "expected"]
  x <- v[asked]; y <- v[!asked]
  check(id, "ns.1", length(x)); check(id, "ns.2", length(y))
  if (min(length(x), length(y)) < 2) return(invisible())
  t <- t.test(x, y, conf.level = theirs(id, "level"))
  check(id, "means.1", mean(x)); check(id, "means.2", mean(y)); check(id, "difference", mean(x) - mean(y)); check_interval(id, "ci", t$conf.int)
  check_test(id, "test.", list(statistic = t$statistic, df = t$parameter, p = t$p.value))
}

# about_right is what people said of too little and too much, and what that costs in liking (Welch's test of those who said
# so against those for whom it was right; with fewer than ten in either group on the degrees of freedom of the smaller, a
# bound: Mickey and Brown 1966).
about_right <- function(id, f) {
  r <- ratings[ratings$attribute == f$attribute & !is.na(ratings$sample), ]
  liking <- plan$liking
  middle <- (max(c(r$value, length(given(id, "samples[.].*[.]counts[.](.*)")) / length(unique(r$sample)))) + 1) / 2
  m <- by_assessor(f$attribute)
  ps <- c()
  surest <- list(p = Inf)
  for (s in colnames(m)) {
    of <- r[r$sample == s, ]
    what <- function(x) paste0("samples.", s, ".", x)
    check(id, what("n"), nrow(of)); check(id, what("about_right"), sum(of$value == middle))
    for (label in seq_len(2 * middle - 1)) check(id, what(paste0("counts.", label)), sum(of$value == label))
    liked <- ratings$value[ratings$attribute == liking][match(paste(of$assessor, of$turn), paste(ratings$assessor, ratings$turn)[ratings$attribute == liking])]
    for (side in c("too_little", "too_much")) {
      off <- if (side == "too_little") of$value < middle else of$value > middle
      part <- function(x) what(paste0(side, ".", x))
      check(id, part("n"), sum(off)); check(id, part("share"), mean(off)); check(id, part("n_liking"), sum(off & !is.na(liked)))
      ends <- binom.test(sum(off), length(off), conf.level = 1 - plan$alpha)$conf.int
      check(id, part("share_ci.1"), ends[1]); check(id, part("share_ci.2"), ends[2])
      x <- liked[of$value == middle]; y <- liked[off]
      x <- x[!is.na(x)]; y <- y[!is.na(y)]
      if (is.na(theirs(id, part("drop"))) || min(length(x), length(y)) < 2) next
      t <- t.test(x, y, conf.level = 1 - plan$alpha)
      smaller <- min(length(x), length(y))
      if (smaller < 10) {
        t$parameter <- smaller - 1; t$p.value <- 2 * pt(-abs(t$statistic), smaller - 1)
        t$conf.int <- mean(x) - mean(y) + c(-1, 1) * qt(1 - plan$alpha / 2, smaller - 1) * t$stderr
      }
      check(id, part("drop"), mean(x) - mean(y)); check_test(id, part("test."), list(statistic = t$statistic, df = t$parameter, p = t$p.value))
      check(id, part("drop_ci.1"), t$conf.int[1]); check(id, part("drop_ci.2"), t$conf.int[2])
      check(id, part("weighted"), mean(off) * (mean(x) - mean(y)))
      ps[part("test.p_adjusted")] <- t$p.value
      if (t$p.value < surest$p) surest <- list(statistic = t$statistic, df = t$parameter, p = t$p.value)
    }
  }
  for (x in names(ps)) check(id, x, p.adjust(ps, "holm")[[x]])
  if (length(ps) > 0) check_test(id, "test.", surest)
  samples <- colnames(m)
  for (i in seq_along(samples)) for (j in seq_along(samples)) {
    what <- function(x) paste0("moves.", samples[i], "-", samples[j], ".", x)
    if (is.na(theirs(id, what("n")))) next
    to <- m[stats::complete.cases(m[, c(i, j)]), c(i, j)]
    side <- sign(to - middle) + 2
    check(id, what("n"), nrow(to)); check(id, what("moved"), sum(side[, 1] != side[, 2]))
    counts <- table(factor(side[, 1], 1:3), factor(side[, 2], 1:3))
    for (a in 1:3) for (b in 1:3) check(id, what(paste0("table.", a, ".", b)), counts[a, b])
  }
  check(id, "n", sum(rowSums(!is.na(m)) > 0))
}

# left_because says of each number that this script leaves out why it does; the first pattern that fits counts.
left_because <- c(
  "^rechecks[.].*[.](ci|n|p|difference|share|distance)" = "the same finding reckoned in another way, of other people or by another of these methods",
  "carry_over|carry-over|^checks[.]previous" = "which sample came before goes with the position: R drops columns that depend on each other by a rule of its own",
  "^scatter[.]|people[.]sd_|people[.]share|people[.]agree" = "parts of variance; R has them from the same optimiser as the model's test, which is compared",
  "^people[.]" = "how far people differ: follows from the parts of variance",
  "^map[.]" = "places on a picture, which may be turned; their sums are compared",
  "^looks[.]" = "the plan's, not the answers'; what a bound spends is compared",
  "^evidence[.](at|enough|range|planned|later)" = "the plan's and the scale's, not the answers'",
  "^one_by_one[.]" = "the two lines of a test that goes on answer by answer are the plan's, not the answers'",
  "excluded[.]" = "a count of people whom the tables no longer hold",
  "hedges-g|superiority" = "an interval by a method that R does not have",
  "stratified-rank-sum" = "R has no rank test within strata that keeps ties exact",
  "^d_prime|^distance|d-prime|^tellers|^share$" = "of a model in which the answers of one person go together, or by a search along its likelihood",
  "^threshold[.]curve|threshold-curve|false_starts" = "the curve's ends and steepness lie on a flat hill: two optimisers part there; the place is compared",
  "drop_ci_|weighted_ci|^moves[.].*[.]test" = "shares of a whole list of answers at a level of its own, or exact over all tables",
  "mixed-f|mixed-t|estimate" = "the same differences by a model of all samples at once",
  "name:dish" = "whether one factor depends on the other, by the same model",
  "estimates[.].*[.]ci" = "the interval of a level rests on how far two or three evenings scatter: R takes that from numeric derivatives on a flat hill",
  "position" = "positions of a model of all samples at once",
  "ordinal" = "a model of labels that R did not fit, because its package is missing",
  "ci_adjusted|ci_equivalence|^ci" = "an interval at another level, by the same method as the one compared",
  "^pairs[.]|least_right|^test[.]|^also[.]|^effect[.]|^difference|^n$|^n_|^right$" = "of a test that the plan asks for and that R does not have in the same form")
because <- function(number) {
  fits <- which(vapply(names(left_because), grepl, TRUE, number))
  if (length(fits) > 0) left_because[[fits[1]]] else NA_character_
}

kinds <- list(pair = pair, groups = groups, choice = choice, ranking = ranking, panel = panel, factor = factor_of, `tasted-from` = tasted_from,
  `about-right` = about_right, words = words, dose = dose, `named-dose` = dose, way = way, asking = asking)
findings <- table_of("findings.csv") # what each finding is about
cat(sprintf("%-3s %-46s %20s %20s\n", "", "number", "report", "R"))
for (i in seq_len(nrow(findings))) {
  f <- as.list(findings[i, ])
  if (f$kind %in% names(kinds)) kinds[[f$kind]](f$finding, f)
}
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
  for (what in c("test.", "also.signed-rank.", "also.sign.", "also.paired-t.", "also.rank-sum.", "also.ordinal.")) together(what, findings$finding[!apart])
  together("test.", findings$finding[findings$kind == "panel"])
}
# Levels, what the plan states, and what the report advises, are no results.
said <- said[!grepl("level$|level_|^verdict[.]|amount$|chance$|^draws$|sought[.]rating$|alike[.]share$", said$number) | said$recomputed, ]
left <- said[!said$recomputed & !is.na(said$value), ]
cat(sprintf("\n%d of %d numbers recomputed, %d differ; largest relative difference %.1e\n", sum(said$recomputed), nrow(said), wrong, worst))
if (nrow(left) > 0) {
  why <- vapply(left$number, because, "", USE.NAMES = FALSE)
  cat("Not recomputed here:\n")
  for (reason in unique(why)) {
    of <- left[why %in% reason, ]
    cat(sprintf("%d: %s\n", nrow(of), if (is.na(reason)) "NO REASON KNOWN" else reason))
    cat(strwrap(paste(of$finding, of$number, collapse = ", "), 110, indent = 4, exdent = 4), sep = "\n")
  }
}
if (wrong > 0) quit(status = 1)
