# Thresholds by a curve through the answers of people who each gave several, by base R alone.
# Run in this folder: Rscript make_thresholds.R writes thresholds.json.
num <- function(x) ifelse(is.na(x), "null", sprintf("%.17g", x))
list_of <- function(x) sprintf("[%s]", paste(num(x), collapse = ", "))
r <- paste("R", paste(R.version$major, R.version$minor, sep = "."))
people <- function(id, source, c, y, guess = 1 / 3, conf = 0.95) {
  x <- log10(c); n <- nrow(y)
  p <- function(t, x) guess + (1 - guess) * plogis(t[1] + t[2] * x)
  one <- function(t, row) { ok <- !is.na(row); sum(dbinom(row[ok], 1, p(t, x[ok]), log = TRUE)) }
  ll <- function(t) sum(apply(y, 1, function(row) one(t, row)))
  fit <- optim(c(0, 4), ll, control = list(fnscale = -1, reltol = 1e-16, maxit = 20000))
  fit <- optim(fit$par, ll, method = "BFGS", control = list(fnscale = -1, reltol = 1e-16, maxit = 20000))
  link <- structure(list(linkfun = function(mu) qlogis((mu - guess) / (1 - guess)),
    linkinv = function(eta) guess + (1 - guess) * plogis(eta),
    mu.eta = function(eta) (1 - guess) * dlogis(eta), valideta = function(eta) TRUE, name = "guessed"),
      class = "link-glm")
  d <- data.frame(y = as.vector(y), x = rep(x, each = n), who = rep(seq_len(n), length(x))); d <- d[!is.na(d$y), ]
  g <- glm(y ~ x, binomial(link), d, start = fit$par, epsilon = 1e-15, maxit = 500)
  b <- coef(g); stopifnot(max(abs(b - fit$par)) < 1e-3, ll(b) >= fit$value - 1e-9)
  a <- summary(g)$cov.unscaled
  # scores of people: from the fit, and by central differences of each one's log likelihood
  z <- cbind(1, d$x) * (g$weights * residuals(g, "working")); u <- rowsum(z, d$who)
  h <- 1e-5; e <- function(k) h * (seq_len(2) == k)
  v <- t(apply(y, 1, function(row) sapply(1:2, function(k) (one(b + e(k), row) - one(b - e(k), row)) / (2 * h))))
  stopifnot(max(abs(u - v)) < 1e-7)
  s <- a %*% crossprod(u) %*% a * n / (n - 1)
  m <- -b[1] / b[2]; q <- qt((1 + conf) / 2, n - 1)^2; gg <- q * s[2, 2] / b[2]^2
  # all m with (a + b m)^2 <= q Var(a + b m)
  A <- b[2]^2 - q * s[2, 2]; B <- b[1] * b[2] - q * s[1, 2]; C <- b[1]^2 - q * s[1, 1]
  ci <- if (gg < 1) sort(10^((-B + c(-1, 1) * sqrt(B^2 - A * C)) / A)) else c(NA, NA)
  sprintf(paste0('  {"id": "%s", "method": "curve_of_people",\n   "source": "%s; %s, glm",\n   "data": ',
    '{"concentrations": %s, "answers": [%s]},\n   "inputs": {"guess": %s, "conf": %s},\n   "expected": ',
    '{"intercept": %s, "slope": %s, "intercept_se": %s, "slope_se": %s, "threshold": %s, "threshold_ci": %s, "g": ',
    '%s},\n   "tolerance": {"rel": 1e-6, "abs": 1e-9}, "verified": ["maximum: optim and glm; scores of people: glm ',
    'and central differences agree to 1e-7"]}'),
    id, source, r, list_of(c), paste(apply(y, 1, list_of), collapse = ", "), num(guess), num(conf), num(b[1]),
      num(b[2]), num(sqrt(s[1, 1])),
    num(sqrt(s[2, 2])), num(10^m), list_of(ci), num(gg))
}
set.seed(61)
made <- function(n, c, middle, spread, slope, gaps = 0) {
  own <- log10(middle) + spread * rnorm(n)
  y <- t(sapply(own, function(o) rbinom(length(c), 1, 1 / 3 + 2 / 3 * plogis(slope * (log10(c) - o)))))
  y[sample(length(y), gaps)] <- NA
  y
}
six <- c(0.25, 0.5, 1, 2, 4, 8)
entries <- c(
  people("people.twelve", "made up: 12 people (R seed 61)", six, made(12, six, 1.2, 0.2, 8)),
  people("people.thirty", "made up: 30 people who differ much, 9 answers missing", six, made(30, six, 1.5, 0.5, 10, 9),
    conf = 0.9),
  people("people.four-amounts", "made up: 18 people, yes or no", c(1, 2, 4, 8), made(18, c(1, 2, 4, 8), 3, 0.3, 6),
    guess = 0.25),
  people("people.unclear", "made up: 10 people who hardly taste it", six, made(10, six, 12, 0.3, 3)))
writeLines(c('{"title": "Check values for thresholds of people",', sprintf('"count": %d,', length(entries)),
  '"entries": [', paste(entries, collapse = ",\n"), "]}"), "thresholds.json")
