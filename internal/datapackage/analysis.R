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
  m <- m[stats::complete.cases(m), , drop = FALSE]
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
  } else if (alternative == "two.sided") { # Hodges and Lehmann (1963): the middle of all averages of two
    walsh <- sort(outer(d, d, "+")[upper.tri(diag(n), diag = TRUE)] / 2)
    check(id, "difference", median(walsh))
    check(id, "effect.mean-difference.value", mean(d)); check_interval(id, "effect.mean-difference.ci", mean_ci)
  }
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
  order_of(id, f, names(d), d, rowSums(m))
}

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
  }
  one("period-adjusted", 1, 1, fit)
  one("period", 2, 1, fit)
  one("carry-over", 2, 2, lm(sums ~ x))
}

groups <- function(id, f) {
  r <- ratings[ratings$attribute == f$attribute, ]
  x <- r$value[r$sample == f$first]; y <- r$value[r$sample == f$second]
  level <- theirs(id, "level")
  for (i in 1:2) {
    s <- c(f$first, f$second)[i]
    v <- r$value[r$sample == s]
    check(id, paste0("ns.", i), length(v)); check(id, paste0("means.", s), mean(v)); check(id, paste0("sds.", s), sd(v))
  }
  if (f$method != "welch-t" || plan$strata > 0) return(invisible())
  t <- t.test(x, y, alternative = alternative_of(f), conf.level = level)
  check(id, "test.statistic", t$statistic); check(id, "test.df", t$parameter); check(id, "test.p", t$p.value)
  check(id, "difference", mean(x) - mean(y))
  if (alternative_of(f) == "two.sided") check_interval(id, "ci", t$conf.int)
}

wilson <- function(k, n, level) prop.test(k, n, conf.level = level, correct = FALSE)$conf.int # Wilson (1927)

choice <- function(id, f) {
  right <- theirs(id, "right"); first <- theirs(id, "first"); second <- theirs(id, "second")
  chance <- theirs(id, "chance")
  if (f$method != "binomial" || is.na(chance) || plan$replicates > 1) return(invisible())
  if (!is.na(first)) { # a preference: those who have one
    chosen <- ratings[ratings$attribute == "choice" & ratings$value == 1 & !is.na(ratings$sample), ]
    k <- sum(chosen$sample == f$first); n <- k + sum(chosen$sample == f$second)
    check(id, "first", k); check(id, "second", n - k)
  } else {
    k <- right; n <- theirs(id, "n")
  }
  alternative <- if (is.na(first)) "greater" else alternative_of(f)
  check(id, "share", k / n)
  check(id, "test.statistic", k)
  check(id, "test.p", binom.test(k, n, chance, alternative)$p.value)
  check_interval(id, "ci", wilson(k, n, theirs(id, "level")))
  if (!is.na(theirs(id, "level_equivalence"))) check_interval(id, "ci_equivalence", wilson(k, n, theirs(id, "level_equivalence")))
  if (k / n > chance) check(id, "tellers.value", (k / n - chance) / (1 - chance))
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
  if (f$method == "friedman") {
    check(id, "test.statistic", t$statistic); check(id, "test.df", t$parameter); check(id, "test.p", t$p.value)
  }
  check(id, "kendall_w", t$statistic / (n * (k - 1)))
  ps <- c()
  for (i in seq_len(k - 1)) for (j in (i + 1):k) {
    a <- colnames(m)[i]; b <- colnames(m)[j]
    what <- function(x) paste0("ranked_pairs.", a, "-", b, ".", x)
    before <- sum(m[, a] < m[, b])
    check(id, what("before"), before); check(id, what("after"), n - before); check(id, what("share"), before / n)
    check_interval(id, what("ci"), wilson(before, n, theirs(id, what("level"))))
    p <- binom.test(before, n)$p.value
    check(id, what("test.p"), p)
    ps[paste0(a, "-", b)] <- p
  }
  for (x in names(ps)) check(id, paste0("ranked_pairs.", x, ".test.p_adjusted"), p.adjust(ps, "holm")[[x]])
}

# panel is the mixed model of a whole panel: sample and position fixed, assessor random, and what an assessor finds of a
# sample where somebody rated one several times; Satterthwaite's df.
panel <- function(id, f) {
  if (f$method != "mixed-f") return(invisible())
  if (!requireNamespace("lmerTest", quietly = TRUE)) {
    cat(id, ": a whole panel needs the package lmerTest (install.packages(\"lmerTest\"))\n", sep = "")
    return(invisible())
  }
  r <- ratings[ratings$attribute == f$attribute & !is.na(ratings$sample), ]
  r$sample <- factor(r$sample); r$at <- factor(r$position)
  if (plan$sittings > 1) return(invisible())
  model <- if (nlevels(r$at) > 1) value ~ sample + at + (1 | assessor) else value ~ sample + (1 | assessor)
  if (anyDuplicated(r[c("assessor", "sample")])) model <- update(model, . ~ . + (1 | assessor:sample))
  fit <- suppressMessages(lmerTest::lmer(model, r, control = lme4::lmerControl(optCtrl = list(xtol_rel = 1e-12, ftol_rel = 1e-14))))
  row <- anova(fit)["sample", ]
  loose <- 1e-5 # two optimisers
  check(id, "test.statistic", row[["F value"]], loose); check(id, "test.df", row[["NumDF"]])
  check(id, "test.df2", row[["DenDF"]], loose)
  # Far out a p is as uncertain as its statistic is times what it weighs there.
  check(id, "test.p", row[["Pr(>F)"]], 100 * loose)
}

kinds <- list(pair = pair, groups = groups, choice = choice, ranking = ranking, panel = panel)
findings <- table_of("findings.csv") # what each finding is about
cat(sprintf("%-3s %-46s %20s %20s\n", "", "number", "report", "R"))
for (i in seq_len(nrow(findings))) {
  f <- as.list(findings[i, ])
  if (f$kind %in% names(kinds)) kinds[[f$kind]](f$finding, f)
}
# The secondary findings' p, adjusted together (Holm 1979), where that is the plan.
if (plan$adjust == "holm") {
  together <- function(what) {
    ids <- findings$finding[findings$role == "secondary" & findings$kind %in% c("pair", "groups")]
    ps <- vapply(ids, theirs, 0, paste0(what, "p"))
    if (length(ids) == 0 || any(is.na(ps)) || any(findings$role == "secondary" & !findings$kind %in% c("pair", "groups"))) return(invisible())
    adjusted <- p.adjust(ps, "holm")
    for (i in seq_along(ids)) check(ids[i], paste0(what, "p_adjusted"), adjusted[i])
  }
  for (what in c("test.", "also.signed-rank.", "also.sign.", "also.paired-t.", "also.rank-sum.")) together(what)
}
# Levels, and what the report advises, are no results.
said <- said[!grepl("level$|level_|^verdict[.]", said$number) | said$recomputed, ]
left <- said[!said$recomputed & !is.na(said$value), ]
cat(sprintf("\n%d of %d numbers recomputed, %d differ; largest relative difference %.1e\n", sum(said$recomputed), nrow(said), wrong, worst))
if (nrow(left) > 0) {
  cat("Not recomputed here:\n")
  for (id in unique(left$finding)) cat(strwrap(paste(left$number[left$finding == id], collapse = ", "), 110, initial = sprintf("%-3s ", id), prefix = "    "), sep = "\n")
}
if (wrong > 0) quit(status = 1)
