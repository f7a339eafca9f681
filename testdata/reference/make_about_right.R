# Answers about right: mean drops in liking (t.test) and marginal homogeneity, by base R alone.
# Run in this folder: Rscript make_about_right.R writes about_right.json.
num <- function(x) ifelse(is.na(x), "null", sprintf("%.17g", x))
list_of <- function(x) sprintf("[%s]", paste(num(x), collapse = ", "))
entry <- function(id, method, source, data, expected, verified)
  sprintf(paste0('  {"id": "%s", "method": "%s",\n   "source": "%s",\n   "data": {%s},\n   "expected": {%s},\n   ',
    '"tolerance": {"rel": 1e-8, "abs": 1e-12}, "verified": ["%s"]}'),
    id, method, source, data, expected, verified)
r <- paste("R", paste(R.version$major, R.version$minor, sep = "."))

side <- function(liking, said, g) {
  y <- liking[said == g]; j <- liking[said == 0]; n <- length(said); s <- length(y) / n; p <- length(j) / n
  t <- t.test(j, y); drop <- mean(j) - mean(y)
  # the weighted penalty by the delta method on (share, mean of those right, mean of the side)
  v <- function(x) mean((x - mean(x))^2)
  se <- sqrt(drop^2 * s * (1 - s) / n + s^2 * (v(j) / length(j) + v(y) / length(y)))
  psi <- (said == g) * (mean(j) - mean(y)) - s * drop + (s / p) * (said == 0) * (liking - mean(j)) - (said == g) *
    (liking - mean(y))
  stopifnot(abs(se / (sqrt(mean(psi^2) / n)) - 1) < 1e-10)
  sprintf(paste0('{"share": %s, "share_ci": %s, "drop": %s, "drop_ci": %s, "df": %s, "p": %s, "weighted_penalty": ',
    '%s, "weighted_penalty_se": %s, "weighted_penalty_ci": %s}'),
    num(s), list_of(binom.test(length(y), n)$conf.int), num(drop), list_of(t$conf.int), num(t$parameter),
      num(t$p.value), num(s * drop), num(se),
    list_of(s * drop + c(-1, 1) * qnorm(0.975) * se))
}
penalty <- function(id, source, liking, said) entry(id, "penalty", sprintf("%s; %s, t.test, binom.test", source, r),
  sprintf('"liking": %s, "about_right": %s', list_of(liking), list_of(said)),
  sprintf('"too_little": %s, "too_much": %s', side(liking, said, -1), side(liking, said, 1)),
    "weighted penalty: delta method of three parts and influence values agree to 1e-10")

homogeneity <- function(id, source, m, exact = TRUE) {
  k <- nrow(m); d <- rowSums(m) - colSums(m); b <- m + t(m); diag(b) <- 0
  v <- diag(rowSums(b)) - b
  e <- eigen(v, symmetric = TRUE); keep <- e$values > 1e-9 * max(e$values)
  inverse <- e$vectors[, keep, drop = FALSE] %*% diag(1 / e$values[keep], sum(keep)) %*%
    t(e$vectors[, keep, drop = FALSE])
  q <- drop(d %*% inverse %*% d); p <- NA; how <- "generalised inverse of the covariance"
  if (exact) {
    pairs <- which(upper.tri(m), arr.ind = TRUE); n <- apply(pairs, 1, function(x) b[x[1], x[2]])
    ways <- as.matrix(expand.grid(lapply(n, function(x) 0:x)))
    chance <- apply(ways, 1, function(x) prod(dbinom(x, n, 0.5)))
    all <- apply(ways, 1, function(x) { g <- numeric(k); for (i in seq_along(n)) { y <- 2 * x[i] - n[i]
      g[pairs[i, 1]] <- g[pairs[i, 1]] + y; g[pairs[i, 2]] <- g[pairs[i, 2]] - y }; drop(g %*% inverse %*% g) })
    stopifnot(abs(sum(chance) - 1) < 1e-12)
    p <- sum(chance[all >= q * (1 - 1e-9)])
    how <- "every way to move, by expand.grid"
  }
  if (k == 2) stopifnot(abs(p / binom.test(m[1, 2], m[1, 2] + m[2, 1])$p.value - 1) < 1e-9,
    abs(q - mcnemar.test(m, correct = FALSE)$statistic) < 1e-9)
  entry(id, "marginal_homogeneity", sprintf("%s; %s", source, r),
    sprintf('"table": [%s]', paste(apply(m, 1, list_of), collapse = ", ")),
    sprintf('"n": %s, "moved": %s, "q": %s, "df": %s, "p": %s%s', num(sum(m)), num(sum(b) / 2), num(q), num(sum(keep)),
      num(pchisq(q, sum(keep), lower.tail = FALSE)), if (exact) sprintf(', "exact_p": %s', num(p)) else ""), how)
}
set.seed(51)
said <- sample(c(-1, 0, 1), 90, TRUE, c(0.3, 0.5, 0.2))
liking <- pmin(9, pmax(1, round(6.7 - 0.9 * (said != 0) + rnorm(90, 0, 1.4))))
eyes <- matrix(c(1520, 266, 124, 66, 234, 1512, 432, 78, 117, 362, 1772, 205, 36, 82, 179, 492), 4, byrow = TRUE)
entries <- c(
  penalty("penalty.twenty", "made up: 20 people", c(5, 6, 4, 5, 6, 7, 8, 7, 6, 8, 7, 7, 8, 6, 7, 8, 7, 6, 5, 7),
    rep(c(-1, 0, 1), c(5, 12, 3))),
  penalty("penalty.ninety", "made up: 90 people (R seed 51)", liking, said),
  homogeneity("homogeneity.eyes",
    paste0("unaided vision of 7477 women, right and left eye, Stuart (1953, 1955), counts from memory, as is the ",
      "published 11.96"), eyes, FALSE),
  homogeneity("homogeneity.small", "made up: 20 people", matrix(c(2, 1, 0, 4, 5, 1, 2, 5, 0), 3, byrow = TRUE)),
  homogeneity("homogeneity.custard", "made up: 40 people", matrix(c(0, 0, 0, 5, 5, 0, 2, 21, 7), 3, byrow = TRUE)),
  homogeneity("homogeneity.chain", "made up: nobody from end to end",
    matrix(c(6, 3, 0, 8, 9, 7, 0, 2, 5), 3, byrow = TRUE)),
  homogeneity("homogeneity.two", "made up: two answers, which is McNemar's test",
    matrix(c(10, 2, 9, 12), 2, byrow = TRUE)),
  homogeneity("homogeneity.one-way", "made up: one pair of three answers",
    matrix(c(4, 6, 0, 1, 3, 0, 0, 0, 8), 3, byrow = TRUE)))
writeLines(c('{"title": "Check values for answers about right",', sprintf('"count": %d,', length(entries)),
  '"entries": [', paste(entries, collapse = ",\n"), "]}"), "about_right.json")
