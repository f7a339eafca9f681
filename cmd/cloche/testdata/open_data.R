# Writes open data sets of R's packages as ratings (SET.csv) into a folder, and prints what
# R's own functions say of them, a line each: set, key, value. Run as
#   Rscript --vanilla open_data.R FOLDER
# The data stay with their packages: lmerTest (carrots, ham, TVbo), ordinal (wine, soup), nlme
# (ergoStool), datasets (sleep, OrchardSprays, PlantGrowth).
suppressMessages({ library(lmerTest); library(emmeans); library(ordinal); library(nlme) })
emm_options(lmerTest.limit = 1e5, pbkrtest.limit = 0)
folder <- commandArgs(TRUE)[1]
say <- function(set, key, value) cat(sprintf("%s,%s,%.17g\n", set, key, as.numeric(value)), sep = "")

# One row for each rating, samples named S1, S2, … in the order of their levels.
ratings <- function(assessor, sample, value, position = "", stratum = "") {
  sample <- factor(sample)
  levels(sample) <- paste0("S", seq_along(levels(sample)))
  na.omit(data.frame(assessor = as.character(assessor), position = position, sample = sample,
    value = as.numeric(value)))
}
files <- list()
keep <- function(set, attribute, d) {
  turn <- ave(seq_len(nrow(d)), d$assessor, FUN = seq_along)
  out <- data.frame(assessor = d$assessor, turn = turn, position = d$position, dish = d$sample, name = "",
    attribute = attribute,
                    value = sprintf("%.17g", d$value))
  files[[set]] <<- rbind(files[[set]], out)
}

# lmer, gone on to the maximum of its likelihood by Newton's steps: its own search stops at six digits.
fitted <- function(f, d) {
  l <- lFormula(f, d); g <- do.call(mkLmerDevfun, l); o <- suppressMessages(optimizeLmer(g)); th <- o$par
  if (all(th > 1e-4)) for (i in 1:4) th <- th - solve(numDeriv::hessian(g, th), numDeriv::grad(g, th))
  o$par <- th; o$fval <- g(th)
  as_lmerModLmerTest(mkMerMod(environment(g), o, l$reTrms, l$fr, mc = bquote(lmer(.(f), d))))
}

# All samples: the mixed model by REML with Satterthwaite's degrees of freedom, means and
# pairs by emmeans; of those who rated every sample the repeated-measures analysis with
# Greenhouse and Geisser's correction, and friedman.test.
panel <- function(set, attribute, d) {
  keep(set, attribute, d)
  key <- function(...) paste("panel", attribute, ...)
  d$assessor <- factor(d$assessor)
  ordered <- !all(d$position == "")
  if (ordered) d$position <- factor(d$position)
  often <- anyDuplicated(d[c("assessor", "sample")]) > 0 # then what is an assessor's own about a sample is random too
  m <- fitted(reformulate(c("sample", if (ordered) "position", "(1 | assessor)", if (often) "(1 | assessor:sample)"),
    "value"), d)
  a <- anova(m)
  test <- function(name,
    row) for (x in list(c("statistic", "F value"), c("df", "NumDF"), if (ordered) c("df2", "DenDF"),
      if (ordered) c("p", "Pr(>F)"))) if (length(x)) say(set, key(name, x[1]), a[row, x[2]])
  test("mixed-f", "sample")
  # of a model with one term anova takes other contrasts of the same hypothesis, and these degrees of freedom depend on
  # them
  if (!ordered)
    say(set, key("mixed-f", c("df2", "p")), contestMD(m, diag(nlevels(d$sample))[-1, ])[, c("DenDF", "Pr(>F)")])
  if (ordered) test("position", "position")
  say(set, key("n"), nlevels(d$assessor))
  e <- emmeans(m, "sample", lmer.df = "satterthwaite")
  s <- as.data.frame(confint(e))
  say(set, key("mean", s$sample), s$emmean)
  say(set, key("mean", s$sample, "lo"), s$lower.CL)
  say(set, key("mean", s$sample, "hi"), s$upper.CL)
  p <- pairs(e)
  alone <- as.data.frame(summary(p, infer = TRUE, adjust = "none"))
  tukey <- as.data.frame(summary(p, infer = TRUE, adjust = "tukey"))
  for (i in seq_len(nrow(alone))) {
    pair <- function(what) key(alone$contrast[i], what)
    say(set, pair("difference"), alone$estimate[i])
    say(set, pair("lo"), alone$lower.CL[i]); say(set, pair("hi"), alone$upper.CL[i])
    say(set, pair("statistic"), alone$t.ratio[i]); say(set, pair("df"), alone$df[i])
    say(set, pair("p"), alone$p.value[i])
    say(set, pair("p_adjusted"), tukey$p.value[i])
    say(set, pair("lo adjusted"), tukey$lower.CL[i]); say(set, pair("hi adjusted"), tukey$upper.CL[i])
  }
  w <- tapply(d$value, list(d$assessor, d$sample), mean)
  w <- w[complete.cases(w), , drop = FALSE]
  say(set, key("complete"), nrow(w))
  if (nrow(w) < ncol(w)) return(invisible())
  g <- anova(lm(w ~ 1), X = ~1, test = "Spherical")
  say(set, key("rm-anova statistic"), g[1, "F"]); say(set, key("rm-anova p"), g[1, "G-G Pr"])
  f <- friedman.test(w)
  say(set, key("friedman statistic"), f$statistic); say(set, key("friedman df"), f$parameter)
  if (nrow(w) > 30) say(set, key("friedman p"), f$p.value) # with fewer the program's p is exact
}

# Two samples within people: t.test, binom.test for the signs, the noncentral t for d_z.
pair <- function(set, attribute, d, a, b, m = 1) {
  w <- tapply(d$value, list(d$assessor, d$sample), mean)[, c(a, b)]
  key <- function(...) paste("pair", attribute, a, "-", b, ...)
  t <- t.test(w[, 1], w[, 2], paired = TRUE); x <- w[, 1] - w[, 2]; n <- length(x)
  say(set, key("n"), n); say(set, key("mean", a), mean(w[, 1])); say(set, key("mean", b), mean(w[, 2]))
  say(set, key("sd", a), sd(w[, 1])); say(set, key("sd", b), sd(w[, 2]))
  say(set, key("difference"), t$estimate); say(set, key("lo"), t$conf.int[1]); say(set, key("hi"), t$conf.int[2])
  say(set, key("paired-t statistic"), t$statistic); say(set, key("paired-t df"), t$parameter)
  say(set, key("paired-t p"), t$p.value)
  say(set, key("up"), sum(x > 0)); say(set, key("down"), sum(x < 0)); say(set, key("same"), sum(x == 0))
  say(set, key("sign p"), binom.test(sum(x > 0), sum(x != 0))$p.value)
  say(set, key("d_z"), mean(x) / sd(x)); say(set, key("median-difference"), median(x))
  if (m > 1) { u <- t.test(w[, 1], w[, 2], paired = TRUE, conf.level = 1 - 0.05 / m)$conf.int
    say(set, key("lo adjusted"), u[1]); say(set, key("hi adjusted"), u[2]) }
  t$p.value
}

# Two groups of people: t.test, wilcox.test without exactness where ties forbid it.
groups <- function(set, attribute, d, a, b) {
  x <- d$value[d$sample == a]; y <- d$value[d$sample == b]; t <- t.test(x, y); w <- suppressWarnings(wilcox.test(x, y))
  key <- function(...) paste("groups", attribute, a, "-", b, ...)
  say(set, key("mean", a), mean(x)); say(set, key("mean", b), mean(y)); say(set, key("sd", a), sd(x))
  say(set, key("sd", b), sd(y))
  say(set, key("difference"), mean(x) - mean(y)); say(set, key("lo"), t$conf.int[1]); say(set, key("hi"), t$conf.int[2])
  say(set, key("welch-t statistic"), t$statistic); say(set, key("welch-t df"), t$parameter)
  say(set, key("welch-t p"), t$p.value)
  if (!anyDuplicated(c(x, y))) say(set, key("rank-sum p"), w$p.value)
  say(set, key("rank-sum statistic"), w$statistic)
  t$p.value
}

# The log-likelihood of a cumulative logit model with a normal level for each assessor, by
# adaptive Gauss-Hermite quadrature: what clmm maximises, written out, because clmm's
# standard errors have four or five digits (its Hessian is by coarse differences).
cumulative <- function(y, s, j, points) {
  y <- as.integer(y); k <- max(y); X <- model.matrix(~ s)[, -1, drop = FALSE]; j <- as.integer(factor(j))
  jacobi <- matrix(0, points, points); jacobi[cbind(2:points, 1:(points - 1))] <- sqrt(seq_len(points - 1) / 2)
  e <- eigen(jacobi + t(jacobi)); node <- e$values; weight <- log(sqrt(pi) * e$vectors[1, ]^2) + node^2 # Golub & Welsch
  ends <- function(p, b) {
    cut <- c(-Inf, p[1:(k - 1)], Inf); at <- drop(X %*% p[k - 1 + seq_len(ncol(X))]) + p[length(p)] * b
    list(upper = plogis(cut[y + 1] - at), lower = plogis(cut[y] - at)) }
  each <- function(x) rowsum(x, j)[, 1]
  b <- numeric(max(j)) # of the last call: the search for each mode begins there
  function(p) { s <- p[length(p)]
    for (i in 1:50) { q <- ends(p, b[j]); g <- -b - s * each(1 - q$upper - q$lower)
      h <- 1 + s^2 * each(q$upper * (1 - q$upper) + q$lower * (1 - q$lower)); b <<- b + g / h
      if (max(abs(g)) < 1e-11) break }
    f <- sapply(seq_along(node), function(i) { x <- b + sqrt(2 / h) * node[i]; q <- ends(p, x[j])
      weight[i] + each(log(q$upper - q$lower)) - x^2 / 2 })
    m <- apply(f, 1, max); sum(m + log(rowSums(exp(f - m))) - 0.5 * log(pi * h)) } }

# Scales of few labels: clmm with adaptive Gauss-Hermite quadrature of ten points, told to go on
# to the maximum (by itself it stops five digits before it); standard errors by numDeriv on the
# same likelihood; shares over people by integrate.
byorder <- function(set, attribute, d) {
  keep(set, attribute, d)
  m <- clmm(factor(value, ordered = TRUE) ~ sample + (1 | assessor), d, nAGQ = 10,
            control = clmm.control(method = "ucminf", grtol = 1e-10, xtol = 1e-14, maxIter = 500))
  likelihood <- cumulative(d$value, d$sample, d$assessor, 10)
  p <- c(coef(m), sd = m$ST$assessor[1])
  stopifnot(abs(likelihood(p) - m$logLik) < 1e-9 * abs(m$logLik))
  p <- p + solve(-numDeriv::hessian(likelihood, p), numDeriv::grad(likelihood, p))
  V <- solve(-numDeriv::hessian(likelihood, p))
  S <- levels(d$sample); cuts <- seq_len(length(m$alpha)); at <- c(NA, max(cuts) + seq_along(S[-1]))
  for (s in seq_along(S)) { shift <- if (s == 1) 0 else p[at[s]]
    below <- sapply(p[cuts],
      function(cut) integrate(function(b) plogis(cut - shift - p["sd"] * b) * dnorm(b), -Inf, Inf,
        rel.tol = 1e-10)$value)
    say(set, paste("share", S[s], seq_len(max(cuts) + 1)), diff(c(0, below, 1)))
    say(set, paste("count", S[s], seq_len(max(cuts) + 1)),
      table(factor(d$value[d$sample == S[s]], levels = seq_len(max(cuts) + 1)))) }
  for (x in combn(seq_along(S), 2, simplify = FALSE)) {
    w <- numeric(length(p)); w[at[x[2]]] <- -1; if (x[1] > 1) w[at[x[1]]] <- 1
    key <- function(what) paste("ordinal", S[x[1]], "-", S[x[2]], what); se <- sqrt(drop(w %*% V %*% w))
    z <- sum(w * p) / se
    say(set, key("odds by clmm"), exp(sum(w[-length(w)] * coef(m)))); say(set, key("odds"), exp(sum(w * p)))
    say(set, key("odds lo"), exp(sum(w * p) - qnorm(.975) * se))
    say(set, key("odds hi"), exp(sum(w * p) + qnorm(.975) * se))
    say(set, key("statistic"), z); say(set, key("p"), 2 * pnorm(-abs(z))) }
}

for (a in c("Preference", "Bitter")) panel("carrots", tolower(a),
  ratings(carrots$Consumer, carrots$Product, carrots[[a]]))
few <- carrots[(5 * as.integer(carrots$Consumer) + 7 * as.integer(carrots$Product)) %% 12 < 4, ] # four of twelve each
panel("carrots-some", "preference", ratings(few$Consumer, few$Product, few$Preference))
panel("ham", "liking",
  ratings(ham$Consumer, interaction(ham$Product, ham$Information, lex.order = TRUE), ham$Informed.liking))
for (a in c("Coloursaturation", "Noise", "Sharpness", "Cutting")) panel("tv", tolower(a),
  ratings(TVbo$Assessor, TVbo$TVset, TVbo[[a]]))
panel("wine", "response", ratings(wine$judge, interaction(wine$temp, wine$contact, lex.order = TRUE), wine$response))
byorder("wine-labels", "bitterness",
  ratings(wine$judge, interaction(wine$temp, wine$contact, lex.order = TRUE), wine$rating))
byorder("soup", "sureness", ratings(soup$RESP, soup$PROD, soup$SURENESS))
panel("orchard", "decrease",
  ratings(OrchardSprays$rowpos, OrchardSprays$treatment, OrchardSprays$decrease, OrchardSprays$colpos))
stool <- ratings(ergoStool$Subject, ergoStool$Type, ergoStool$effort)
panel("stool", "effort", stool)
p <- NULL; for (x in combn(paste0("S", 1:4), 2, simplify = FALSE)) {
  m <- if (identical(x, c("S1", "S2"))) 1 else 5; p <- c(p, pair("stool", "effort", stool, x[1], x[2], m))
}
say("stool", paste("pair effort", combn(paste0("S", 1:4), 2, paste, collapse = " - ")[-1], "paired-t p_adjusted"),
  p.adjust(p[-1], "holm"))
s <- ratings(sleep$ID, sleep$group, sleep$extra)
keep("sleep", "extra", s); p <- pair("sleep", "extra", s, "S1", "S2")
d <- ratings(seq_len(nrow(PlantGrowth)), PlantGrowth$group, PlantGrowth$weight)
keep("plants", "weight", d); p <- groups("plants", "weight", d, "S1", "S2")
p <- c(groups("plants", "weight", d, "S1", "S3"), groups("plants", "weight", d, "S2", "S3"))
say("plants", paste("groups weight", c("S1 - S3", "S2 - S3"), "welch-t p_adjusted"), p.adjust(p, "holm"))
for (set in names(files)) write.csv(files[[set]], file.path(folder, paste0(set, ".csv")), row.names = FALSE,
  quote = FALSE)
