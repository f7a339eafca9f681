# Worths of samples that people put in an order: the likelihood of orders is that of a proportional
# hazards model in which a person is a stratum and a place is a time, by R's survival.
# Run in this folder: Rscript make_worths.R writes worths.json.
suppressMessages(library(survival))
num <- function(x) ifelse(is.na(x), "null", sprintf("%.17g", x))
list_of <- function(x) sprintf("[%s]", paste(num(x), collapse = ", "))
r <- sprintf("R %s.%s, coxph of survival %s with strata of persons", R.version$major, R.version$minor,
  packageVersion("survival"))
entry <- function(id, source, m) {
  n <- nrow(m); k <- ncol(m)
  d <- data.frame(place = as.vector(t(m)), sample = factor(rep(seq_len(k), n)), person = rep(seq_len(n), each = k))
  f <- coxph(Surv(place, rep(1, n * k)) ~ sample + strata(person), d,
    control = coxph.control(eps = 1e-14, toler.chol = 1e-15, iter.max = 100))
  b <- c(0, coef(f)); v <- matrix(0, k, k); v[-1, -1] <- vcov(f)
  a <- diag(k) - 1 / k; log <- drop(a %*% b); cv <- a %*% v %*% t(a); w <- exp(log) / sum(exp(log))
  # second route: the product over places, written out
  direct <- sum(apply(m, 1, function(p) { o <- order(p); sum(log[o] - log(rev(cumsum(rev(exp(log[o])))))) }))
  stopifnot(abs(direct - f$loglik[2]) < 1e-9 * abs(direct))
  se <- sapply(seq_len(k), function(j) { g <- -w / (1 - w[j]); g[j] <- 1; sqrt(drop(t(g) %*% cv %*% g)) })
  ci <- sapply(seq_len(k), function(j) list_of(plogis(qlogis(w[j]) + c(-1, 1) * qnorm(0.975) * se[j])))
  sprintf(paste0('  {"id": "%s", "method": "rank_worths",\n   "source": "%s; %s",\n   "data": {"values": [%s]},\n   ',
    '"expected": {"n": %d, "k": %d, "log": %s, "se": %s, "worth": %s, "ci": [%s], "log_likelihood": %s},\n   ',
    '"tolerance": {"rel": 1e-8, "abs": 1e-10}, "verified": ["likelihood: written out over places"]}'),
    id, source, r, paste(apply(m, 1, list_of), collapse = ", "), n, k, list_of(log), list_of(sqrt(diag(cv))),
      list_of(w), paste(ci, collapse = ", "), num(direct))
}
orders <- function(seed, n, worth) {
  set.seed(seed); t(replicate(n, rank(-(log(worth) - log(-log(runif(length(worth))))))))
}
all <- c(
  entry("worths.three", "made up: 12 people, three samples",
    rbind(c(1, 2, 3), c(2, 1, 3), c(1, 3, 2), c(3, 1, 2), c(1, 2, 3), c(2, 3, 1), c(1, 2, 3), c(3, 2, 1), c(2, 1, 3),
      c(1, 3, 2), c(1, 2, 3), c(2, 1, 3))),
  entry("worths.four", "made up: 48 people, four samples (R seed 3)", orders(3, 48, c(4, 2, 1, 1))),
  entry("worths.eight", "made up: 30 people, eight samples (R seed 4)", orders(4, 30, 1:8)),
  entry("worths.alike", "made up: every order of three once",
    rbind(c(1, 2, 3), c(1, 3, 2), c(2, 1, 3), c(2, 3, 1), c(3, 1, 2), c(3, 2, 1))))
writeLines(c("{", '"title": "Check values for worths of orders",', sprintf('"count": %d,', length(all)),
  '"entries": [', paste(all, collapse = ",\n"), "]", "}"), "worths.json")
