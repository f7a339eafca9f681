#!/usr/bin/env Rscript
# Check values for the next capabilities: looking early, redrawn lotteries, ratios of effects,
# replicated answers, people who differ, blinding, a house's own record.
#
#   Rscript make_next.R                    writes next.json beside this script (about a minute); README.md: every field
#
# Debian packages needed: r-base r-recommended r-cran-mvtnorm r-cran-numderiv r-cran-rpact r-cran-vgam
#   r-cran-ca r-cran-lme4 r-cran-lmertest r-cran-ordinal r-cran-metafor r-bioc-limma
# Helpers and schema are those of make_reference.R. Sources stand in each entry. Values come from formulas
# written out below; each is confirmed by a second route where one exists (a general-purpose package, full
# enumeration, another integral); the script says at the end which second routes did not agree.
# ==========================================================================
# A. Helpers: JSON, entries, two-route checks (as in make_reference.R)
# ==========================================================================
options(warn = 1, digits = 15, contrasts = c("contr.treatment", "contr.poly"))
suppressPackageStartupMessages({
  library(MASS); library(mvtnorm); library(numDeriv)
  library(lme4); library(lmerTest); library(metafor)
})
# called by name only: ca, ordinal, limma, rpact, VGAM

here <- local({                       # the folder this script lies in
  a <- commandArgs(FALSE); f <- sub("^--file=", "", a[grep("^--file=", a)])
  if (length(f)) dirname(f[1]) else "."
})

# -- JSON with every number at round-trip precision; NA -> null; +-Inf -> text
esc <- function(s) { s <- gsub("\\", "\\\\", s, fixed = TRUE)
  s <- gsub("\"", "\\\"", s, fixed = TRUE); s <- gsub("\n", "\\n", s, fixed = TRUE)
  paste0("\"", s, "\"") }
num1 <- function(v) {
  if (is.na(v)) return("null")
  if (is.infinite(v)) return(if (v > 0) "\"Infinity\"" else "\"-Infinity\"")
  s <- sprintf("%.15g", v); if (as.numeric(s) != v) s <- sprintf("%.17g", v); s }
atom <- function(x) {
  if (is.factor(x)) x <- as.character(x)
  if (is.logical(x)) return(ifelse(is.na(x), "null", ifelse(x, "true", "false")))
  if (is.character(x)) return(ifelse(is.na(x), "null", vapply(x, esc, "")))
  vapply(as.numeric(x), num1, "") }
to_json <- function(x, ind = "") {
  nx <- paste0(ind, " ")
  if (is.null(x)) return("null")
  if (is.data.frame(x)) {
    if (!nrow(x)) return("[]")
    rows <- vapply(seq_len(nrow(x)), function(i)
      paste0("{", paste0(vapply(names(x), esc, ""), ": ",
        vapply(x, function(col) atom(col[i]), ""), collapse = ", "), "}"), "")
    return(paste0("[\n", paste0(nx, rows, collapse = ",\n"), "\n", ind, "]")) }
  if (is.matrix(x)) {
    rows <- apply(x, 1, function(r) paste0("[", paste(atom(r), collapse = ", "), "]"))
    return(paste0("[\n", paste0(nx, rows, collapse = ",\n"), "\n", ind, "]")) }
  if (is.list(x)) {
    if (!length(x)) return(if (is.null(names(x))) "[]" else "{}")
    v <- vapply(x, to_json, "", ind = nx)
    if (!is.null(names(x))) v <- paste0(vapply(names(x), esc, ""), ": ", v)
    b <- if (is.null(names(x))) c("[", "]") else c("{", "}")
    return(paste0(b[1], "\n", paste0(nx, v, collapse = ",\n"), "\n", ind, b[2])) }
  a <- atom(x)
  if (!is.null(names(x)) && !inherits(x, "AsIs"))
    return(paste0("{", paste0(vapply(names(x), esc, ""), ": ", a, collapse = ", "), "}"))
  if (length(a) == 1 && !inherits(x, "AsIs")) return(unname(a))
  paste0("[", paste(a, collapse = ", "), "]") }

# -- two-route checks: every call is logged into the entry's "verified"
.log <- character(); .fail <- character()
same <- function(a, b, what, tol = 1e-9) {
  a <- as.numeric(unlist(a)); b <- as.numeric(unlist(b))
  if (length(a) != length(b) || any(is.na(a) != is.na(b))) d <- Inf
  else d <- max(0, abs(a - b) / pmax(1, abs(b)), na.rm = TRUE)
  if (d <= tol) .log <<- c(.log, sprintf("%s: agree to %.0e", what, max(d, 1e-16)))
  else { .fail <<- c(.fail, sprintf("%s: differ by %.3g", what, d))
    .log <<- c(.log, sprintf("NOT VERIFIED: %s: differ by %.3g", what, d)) }
  invisible(d) }
remark <- function(what) .log <<- c(.log, what)

TIGHT <- list(rel = 1e-8, abs = 1e-12)      # closed forms
NCT   <- list(rel = 1e-6, abs = 1e-9)       # root finding on noncentral cdfs
FIT   <- list(rel = 1e-5, abs = 1e-7)       # iterative fits
ROOT  <- list(rel = 1e-3, abs = 1e-4)       # values R itself gets by a coarse search

PC <- "published data, computed here"; CH <- "computed here"
PU <- "published value"; MEM <- "data from memory of a publication, computed here"

entries <- list(); .all_fail <- character()
add <- function(id, method, source, kind, expected, data = NULL, data_file = NULL,
                columns = NULL, inputs = NULL, tol = TIGHT, note = "") {
  if (!is.null(entries[[id]])) stop("id used twice: ", id)
  if (!length(inputs)) inputs <- structure(list(), names = character())
  e <- list(id = id, method = method, source = source, source_kind = kind)
  if (!is.null(data)) e$data <- data
  if (!is.null(data_file)) e$data_file <- data_file
  if (!is.null(columns)) e$columns <- columns
  e$inputs <- inputs; e$expected <- expected; e$tolerance <- tol
  e$verified <- I(.log); e$note <- note
  if (length(.fail)) .all_fail <<- c(.all_fail, paste0(id, " - ", .fail))
  entries[[id]] <<- e; .log <<- character(); .fail <<- character()
  invisible(e) }
not_computable <- function(why, ...) list(outcome = "not_computable", reason = why, ...)
root <- function(f, lo, hi) uniroot(f, c(lo, hi), tol = 1e-14, maxiter = 1e4)$root
INT <- list(rel = 1e-7, abs = 1e-9)         # numerical integrals, root finding on them

# ==========================================================================
# B. Methods. Each case_*() computes one entry by at least two routes.
# ==========================================================================

# -- B1. Group-sequential monitoring -------------------------------------------------
# Brownian scale: B(t) = Z sqrt(t), t = information fraction, drift D with E Z_k = D sqrt(t_k).
# Armitage, McPherson & Rowe 1969 recursion, Gauss-Legendre on each continuation interval.
gauss_legendre <- function(m) { i <- seq_len(m - 1); b <- i / sqrt(4 * i^2 - 1); J <- matrix(0, m, m)
  J[cbind(i, i + 1)] <- b; J[cbind(i + 1, i)] <- b; e <- eigen(J, symmetric = TRUE)
  list(x = rev(e$values), w = rev(2 * e$vectors[1, ]^2)) }
GL <- gauss_legendre(160)
gs_exit <- function(t, lo, up, drift = 0) {
  K <- length(t); U <- L <- numeric(K); x <- 0; f <- 1; w <- 1; t0 <- 0
  for (k in 1:K) {
    dt <- t[k] - t0; s <- sqrt(dt); a <- lo[k] * sqrt(t[k]); b <- up[k] * sqrt(t[k])
    U[k] <- sum(w * f * pnorm((b - x - drift * dt) / s, lower.tail = FALSE))
    L[k] <- sum(w * f * pnorm((a - x - drift * dt) / s))
    if (k < K) {
      A <- max(a, drift * t[k] - 9 * sqrt(t[k])); B <- min(b, drift * t[k] + 9 * sqrt(t[k]))
      xn <- (A + B) / 2 + (B - A) / 2 * GL$x; wn <- (B - A) / 2 * GL$w
      f <- as.vector(dnorm(outer(xn, x, "-"), drift * dt, s) %*% (w * f)); x <- xn; w <- wn }
    t0 <- t[k] }
  list(upper = U, lower = L) }
mv_exit <- function(t, lo, up, drift = 0) {      # second route: rectangles of the multivariate normal
  R <- sqrt(outer(t, t, pmin) / outer(t, t, pmax)); m <- drift * sqrt(t)
  pr <- function(l, u) { d <- length(l); if (d == 1) return(pnorm(u, m[1]) - pnorm(l, m[1]))
    suppressWarnings(as.numeric(pmvnorm(l, u, mean = m[1:d], corr = R[1:d, 1:d], algorithm = Miwa(1024)))) }
  j <- function(k) seq_len(k - 1); K <- seq_along(t)
  list(upper = sapply(K, function(k) pr(c(lo[j(k)], up[k]), c(up[j(k)], Inf))),
    lower = sapply(K, function(k) pr(c(lo[j(k)], -Inf), c(up[j(k)], lo[k])))) }
spending <- list(
  obrien_fleming_like = function(t, a) 4 * pnorm(qnorm(a / 4, lower.tail = FALSE) / sqrt(t), lower.tail = FALSE),
  pocock_like = function(t, a) a * log1p((exp(1) - 1) * t))
gs_bounds <- function(t, alpha, sp) {            # two-sided, symmetric; the last look spends what is left
  cum <- spending[[sp]](pmin(t, 1), alpha); cum[length(t)] <- alpha; inc <- diff(c(0, cum)); z <- numeric(0)
  for (k in seq_along(t)) z[k] <- uniroot(function(x) { e <- gs_exit(t[1:k], -c(z, x), c(z, x))
    1e6 * (e$upper[k] + e$lower[k] - inc[k]) }, c(.5, 14), tol = 1e-13)$root
  list(z = z, cum = cum) }
case_gs_bounds <- function(id, t, sp, source, kind = CH, alpha = .05, n = NULL, package = TRUE, note = "") {
  b <- gs_bounds(t, alpha, sp); z <- b$z; e <- gs_exit(t, -z, z); m <- mv_exit(t, -z, z)
  same(e, m, "exit probabilities: recursion vs multivariate normal", 1e-8)
  if (package && t[length(t)] == 1) {
    d <- rpact::getDesignGroupSequential(kMax = length(t), alpha = alpha, sided = 2, informationRates = t,
      typeOfDesign = c(obrien_fleming_like = "asOF", pocock_like = "asP")[[sp]])
    same(z, d$criticalValues, "boundaries: recursion vs rpact", 1e-5) }
  ex <- list(cumulative_alpha = I(b$cum), z = I(z), nominal_p_two_sided = I(2 * pnorm(-z)),
    exit_probability = I(e$upper + e$lower))
  if (!is.null(n)) ex$t_critical <- I(qt(pnorm(z, log.p = TRUE), n - 1, log.p = TRUE))
  add(id, "gs_bounds", source, kind,
    inputs = c(list(spending = sp, alpha = alpha, sides = 2, information_fraction = I(t)),
      if (!is.null(n)) list(n = I(n))),
    expected = ex, tol = INT,
      note = paste(paste0("Two-sided symmetric bounds of |Z|. obrien_fleming_like: alpha(t) = 4 (1 - ",
        "Phi(z_{1-alpha/4} / sqrt t)); pocock_like: alpha ln(1 + (e - 1) t). The last look spends all that is left."),
      if (!is.null(n)) paste0("t_critical: the same two-sided nominal p by Student's t with n_k - 1 df ",
        "(significance-level approach).") else "", note)) }
# equally spaced: Pocock c at every look; O'Brien-Fleming c sqrt(K/k)
case_gs_classical <- function(id, K, alpha, source) {
  t <- (1:K) / K; tot <- function(z) { e <- gs_exit(t, -z, z); sum(e$upper + e$lower) }
  p <- uniroot(function(c) 1e4 * (tot(rep(c, K)) - alpha), c(1, 6), tol = 1e-13)$root
  o <- uniroot(function(c) 1e4 * (tot(c / sqrt(t)) - alpha), c(1, 6), tol = 1e-13)$root
  r <- function(ty) rpact::getDesignGroupSequential(kMax = K, alpha = alpha, sided = 2,
    typeOfDesign = ty)$criticalValues
  same(c(p, o), c(r("P")[1], r("OF")[K]), "constants: recursion vs rpact", 1e-5)
  infl <- function(z, pw) uniroot(function(D) {
    e <- gs_exit(t, -z, z, D); sum(e$upper + e$lower) - pw }, c(.5, 12),
      tol = 1e-12)$root^2 / uniroot(function(D) pnorm(qnorm(1 - alpha / 2) - D,
        lower.tail = FALSE) + pnorm(-qnorm(1 - alpha / 2) - D) - pw, c(.5, 12), tol = 1e-12)$root^2
  zp <- rep(p, K); zo <- o / sqrt(t)
  add(id, "gs_classical", source, CH, inputs = list(looks = K, alpha = alpha, sides = 2),
    expected = list(pocock_constant = p, obrien_fleming_constant = o, pocock_z = I(zp), obrien_fleming_z = I(zo),
      inflation_pocock = c(power_80 = infl(zp, .8), power_90 = infl(zp, .9)),
        inflation_obrien_fleming = c(power_80 = infl(zo, .8), power_90 = infl(zo, .9)),
      alpha_of_uncorrected_looks = tot(rep(qnorm(1 - alpha / 2), K))), tol = INT,
    note = paste0("Equally spaced looks. Pocock: |Z_k| >= c; O'Brien-Fleming: |Z_k| >= c sqrt(K / k). inflation: ",
      "largest n over the n of one look, same power. alpha_of_uncorrected_looks: what testing at the fixed ",
      "critical value at every look really costs.")) }
case_gs_exit <- function(id, t, z, drift, source, kind = CH, note = "") {
  e <- gs_exit(t, -z, z, drift); m <- mv_exit(t, -z, z, drift); same(e, m, "recursion vs multivariate normal", 1e-8)
  K <- length(t)
  pk <- e$upper + e$lower; stop_at <- c(pk[-K], 1 - sum(pk[-K]))
  add(id, "gs_exit", source, kind, inputs = list(information_fraction = I(t), z = I(z), drift = drift, sides = 2),
    expected = list(upper = I(e$upper), lower = I(e$lower), power = sum(pk), stop_probability = I(stop_at),
      mean_information_fraction = sum(stop_at * t)), tol = INT,
    note = paste(paste0("drift = E Z at information fraction 1. upper, lower: first crossing at that look. power ",
      "counts both sides."), note)) }
gs_p_upper <- function(t, z, k, zk, drift) {     # stage-wise ordering: at or beyond (k, zk) towards the upper side
  e <- gs_exit(t[1:k], -c(z[seq_len(k - 1)], Inf), c(z[seq_len(k - 1)], zk), drift); sum(e$upper) }
case_gs_inference <- function(id, t, z, k, zk, source, kind = CH, conf = .95, n = NULL, mean = NULL, note = "") {
  f <- function(D) gs_p_upper(t, z, k, zk, D)
  sv <- function(p) uniroot(function(D) f(D) - p, c(zk / sqrt(t[k]) - 30, zk / sqrt(t[k]) + 30), tol = 1e-12)$root
  lim <- c(sv((1 - conf) / 2), sv((1 + conf) / 2)); mu <- sv(.5); p1 <- f(0)
  g <- function(D) sum(mv_exit(t[1:k], -c(z[seq_len(k - 1)], Inf), c(z[seq_len(k - 1)], zk), D)$upper)
  same(c(g(0), g(lim[1]), g(mu), g(lim[2])), c(p1, (1 - conf) / 2, .5, (1 + conf) / 2),
    "p at 0, at both limits and at the median: recursion vs multivariate normal", 1e-7)
  ex <- list(p_upper = p1, p_two_sided = 2 * min(p1, 1 - p1), drift_mle = zk / sqrt(t[k]), drift_median_unbiased = mu,
    drift_ci = I(lim), z_scale_ci = I(lim * sqrt(t[k])))
  if (!is.null(mean)) {
    s <- mean / zk * sqrt(t[k]); ex$estimate <- mu * s; ex$ci <- I(lim * s); ex$naive_estimate <- mean
  }
  add(id, "gs_inference", source, kind,
    inputs = c(list(information_fraction = I(t), z = I(z), stopped_at_look = k, z_at_stop = zk, conf = conf,
      sides = 2), if (!is.null(mean)) list(mean_difference = mean)), expected = ex, tol = NCT,
    note = paste(paste0("Stage-wise ordering: p_upper(D) = P_D(crossed above at an earlier look) + P_D(reached look ",
      "k and Z_k >= z_at_stop); limits solve p_upper = (1 -+ conf)/2, the median 1/2; p_two_sided = 2 min(p, 1 - ",
      "p). drift = E Z at information fraction 1; z_scale_ci = drift_ci sqrt(t_k), for E Z at the stop."),
      if (!is.null(mean)) paste0("estimate, ci in scale points = drift times (mean difference / z_at_stop) ",
        "sqrt(t_k).") else "", note)) }

# -- B2. Tests that hold whenever one looks (e-values) ---------------------------------
# Right-Haar t mixture with delta ~ N(0, g): closed form. u = t^2 / nu, nu = n - 1.
log_e_t <- function(t, n, g) { u <- t^2 / (n - 1); -.5 * log1p(n * g) + n / 2 * (log1p(u) - log1p(u / (1 + n * g))) }
log_e_t_up <- function(t, n, g) {
  u <- t^2 / (n - 1); h <- t / sqrt(n - 1) * sqrt(n * g / (1 + n * g)) * sqrt(n / (1 + u / (1 + n * g)))
  log_e_t(t, n, g) + log(2) + pt(h, n, log.p = TRUE) }
half_t <- function(s, n, g, alpha) {
  c <- ((1 + n * g) / alpha^2)^(1 / n); r <- 1 - c / (1 + n * g)
  ifelse(r > 0, s * sqrt((n - 1) / n) * sqrt((c - 1) / r), Inf)
}
# second route: the right-Haar integral itself. w = r / sqrt(sum x^2), r ~ chi_n under the null:
# ratio(delta) = E exp(delta sqrt(n) rho r - n delta^2 / 2), rho = t / sqrt(nu + t^2); then averaged over the prior
haar_ratio <- function(delta, t, n) {
  rho <- t / sqrt(n - 1 + t^2)
  sapply(delta, function(d) { b <- d * sqrt(n) * rho; m <- (b + sqrt(b^2 + 4 * (n - 1))) / 2
  A <- max(0, m - 10); B <- m + 10; r <- (A + B) / 2 + (B - A) / 2 * GL$x
  l <- (n - 1) * log(r) - r^2 / 2 + b * r - n * d^2 / 2 - (n / 2 - 1) * log(2) - lgamma(n / 2)
  (B - A) / 2 * sum(GL$w * exp(l)) }) }
log_e_t_int <- function(t, n, dens, lo, hi) {
  f <- function(d) haar_ratio(d, t, n) * dens(d); h <- t / sqrt(n); k <- c(-6, -2, -1, 0, 1, 2, 6) / sqrt(n)
  b <- unique(sort(c(lo, pmin(pmax(h + k, lo), hi), pmin(pmax(0, lo), hi), hi)))
  log(sum(sapply(seq_along(b)[-1],
    function(i) integrate(f, b[i - 1], b[i], rel.tol = 1e-10, subdivisions = 2000)$value))) }
log_e_jzs <- function(t, n,
  r) log(integrate(function(y) {
    g <- exp(y); exp(log_e_t(t, n, g) + .5 * log(r^2 / 2) - lgamma(.5) - 1.5 * y - r^2 / (2 * g) + y) }, -30, 60,
      rel.tol = 1e-11, subdivisions = 4000)$value)
case_anytime_t <- function(id, d, looks, g, source, kind = CH, alpha = .05, r = sqrt(2) / 2, from = 2, note = "") {
  rw <- lapply(looks, function(n) { x <- d[1:n]; s <- sd(x); t <- mean(x) / s * sqrt(n); le <- log_e_t(t, n, g)
    same(le, log_e_t_int(t, n, function(v) dnorm(v, 0, sqrt(g)), -12 * sqrt(g), 12 * sqrt(g)),
      paste0("n = ", n, ": closed form vs right-Haar integral"), 1e-6)
    same(log_e_t_up(t, n, g), log_e_t_int(t, n, function(v) 2 * dnorm(v, 0, sqrt(g)), 0, 12 * sqrt(g)),
      paste0("n = ", n, ", one-sided: closed form vs right-Haar integral"), 1e-8)
    same(log_e_jzs(t, n, r), log_e_t_int(t, n, function(v) dcauchy(v, 0, r), -Inf, Inf),
      paste0("n = ", n, ", Cauchy: mixture over g vs right-Haar integral"), 1e-7)
    h <- half_t(s, n, g, alpha)
    if (is.finite(h)) same(log_e_t((mean(x) - (mean(x) - h)) / s * sqrt(n), n, g), log(1 / alpha),
      paste0("n = ", n, ": e at the limits is 1/alpha"), 1e-9)
    data.frame(n = n, mean = mean(x), sd = s, t = t, log_e = le, e = exp(le), log_e_greater = log_e_t_up(t, n, g),
      e_cauchy = exp(log_e_jzs(t, n, r)), lower = mean(x) - h, upper = mean(x) + h) })
  rw <- do.call(rbind, rw); rw$p_anytime <- pmin(1, 1 / cummax(rw$e)); rw$running_lower <- cummax(rw$lower)
  rw$running_upper <- cummin(rw$upper)
  add(id, "anytime_t", source, kind, data = list(d = I(d)),
    inputs = list(looks = I(looks), g = g, cauchy_scale = r, alpha = alpha), expected = list(looks = rw),
      tol = list(rel = 1e-7, abs = 1e-9, fields = list(e_cauchy = list(rel = 1e-5, abs = 1e-8))),
    note = paste(paste0("d: differences in order of completion; each row uses the first n. E = (1+ng)^(-1/2) ",
      "[(1+u)/(1+u/(1+ng))]^(n/2), u = t^2/(n-1); prior delta ~ N(0, g), right-Haar on sigma. greater: delta > 0 ",
      "only. e_cauchy: the JZS Bayes factor, an e-value too. lower, upper: {mu: E < 1/alpha}. p_anytime = 1 / ",
      "largest E at the listed looks up to this one, at most 1 (anytime_betting: over every assessor)."), note)) }
# Betting (bounded differences): y = (d + L) / (2 L) in [0, 1], null mean m
betting_log <- function(y, m, alpha, cap, prior_var) {
  n <- length(y); t <- seq_len(n); mu <- (.5 + cumsum(y)) / (t + 1); v <- (prior_var + cumsum((y - mu)^2)) / (t + 1)
  lam <- sqrt(2 * log(2 / alpha) / (c(prior_var, v[-n]) * t * log1p(t)))
  list(up = cumsum(log1p(pmin(lam, cap / m) * (y - m))), down = cumsum(log1p(-pmin(lam, cap / (1 - m)) * (y - m)))) }
# second route: one assessor after another
betting_loop <- function(y, m, alpha, cap, prior_var) { ku <- kd <- 1; s <- .5; q <- prior_var; v <- prior_var
  for (i in seq_along(y)) {
    l <- sqrt(2 * log(2 / alpha) / (v * i * log(1 + i))); ku <- ku * (1 + min(l, cap / m) * (y[i] - m))
    kd <- kd * (1 - min(l, cap / (1 - m)) * (y[i] - m))
    s <- s + y[i]; q <- q + (y[i] - s / (i + 1))^2; v <- q / (i + 1) }
  c(ku, kd) }
case_anytime_betting <-
  function(id, d, L, looks, source, kind = CH, alpha = .05, cap = .95, prior_var = .25, note = "") {
  y <- (d + L) / (2 * L); stopifnot(all(y >= 0 & y <= 1)); k <- betting_log(y, .5, alpha, cap, prior_var)
  rw <- lapply(looks, function(n) {
    b <- betting_loop(y[1:n], .5, alpha, cap, prior_var)
    same(c(k$up[n], k$down[n]), log(b), paste0("n = ", n, ": vectors vs loop"))
    K <- function(m) { b <- betting_log(y[1:n], m, alpha, cap, prior_var)
    max(b$up[n], b$down[n]) + log(.5) - log(1 / alpha) }
    c0 <- mean(y[1:n]); side <- function(end) {
      gr <- seq(c0, end, length.out = 4001); gr <- gr[gr > 1e-9 & gr < 1 - 1e-9]; v <- sapply(gr, K)
      i <- which(v >= 0)[1]
      if (is.na(i)) end else {
        stopifnot(all(diff(v[i:length(v)]) > -1e-6 | v[-seq_len(i)] >= 0))
        uniroot(K, sort(gr[c(i - 1, i)]), tol = 1e-13)$root
      } }
    data.frame(n = n, mean = mean(d[1:n]), log_capital_up = k$up[n], log_capital_down = k$down[n],
      log_e = max(k$up[n], k$down[n]) + log(.5), lower = 2 * L * side(0) - L, upper = 2 * L * side(1) - L) })
  rw <- do.call(rbind, rw); path <- pmax(k$up, k$down) + log(.5)
  rw$p_anytime <- sapply(looks, function(n) min(1, exp(-max(path[1:n]))))
  add(id, "anytime_betting", source, kind, data = list(d = I(d)),
    inputs = list(looks = I(looks), half_range = L, alpha = alpha, cap = cap, prior_mean = .5,
      prior_variance = prior_var, split = .5), expected = list(looks = rw), tol = INT,
    note = paste(paste0("Waudby-Smith & Ramdas 2024, hedged capital: y = (d + L)/(2L), m = 1/2 (d = 0). lambda_i = ",
      "sqrt(2 ln(2/alpha) / (v_{i-1} i ln(1+i))), v_i = (prior_variance + sum (y_j - mu_j)^2)/(i+1), mu_j = (1/2 + ",
      "sum y)/(j+1), cut at cap/m upwards and cap/(1-m) downwards. E = max(up, down)/2. p_anytime over every ",
      "assessor, not only the listed looks. The order of the assessors matters."), note)) }
# Proportions: beta mixture (Robbins 1970); for the sign of a difference and for difference tests
case_anytime_proportion <- function(id, x, n, p0, source, a = .5, alpha = .05, note = "") {
  l0 <- x * log(p0) + (n - x) * log1p(-p0); le <- lbeta(a + x, a + n - x) - lbeta(a, a) - l0
  lg <- le + pbeta(p0, a + x, a + n - x, lower.tail = FALSE, log.p = TRUE) - pbeta(p0, a, a, lower.tail = FALSE,
    log.p = TRUE)
  f <- function(p) exp(x * log(p) + (n - x) * log1p(-p) - l0) * dbeta(p, a, a)
  g <- function(lo, hi) integrate(f, lo, hi, rel.tol = 1e-11, subdivisions = 5000)$value
  m <- max(.02, min(.98, x / n)); cut <- sort(unique(c(0, p0, m, 1)))
  w <- function(lo) sum(sapply(seq_along(cut)[-1], function(i) if (cut[i - 1] >= lo) g(cut[i - 1], cut[i]) else 0))
  same(c(le, lg), log(c(w(0), w(p0) / pbeta(p0, a, a, lower.tail = FALSE))), "closed form vs integral", 1e-6)
  h <- function(p) lbeta(a + x, a + n - x) - lbeta(a,
    a) - (if (x > 0) x * log(p) else 0) - (if (x < n) (n - x) * log1p(-p) else 0) - log(1 / alpha)
  ci <- c(if (x == 0) 0 else uniroot(h, c(1e-12, x / n), tol = 1e-14)$root,
    if (x == n) 1 else uniroot(h, c(x / n, 1 - 1e-12), tol = 1e-14)$root)
  add(id, "anytime_proportion", source, CH, data = list(x = x, n = n), inputs = list(p0 = p0, a = a, alpha = alpha),
    expected = list(log_e = le, e = exp(le), log_e_greater = lg, e_greater = exp(lg), ci = I(ci)), tol = INT,
    note = paste(paste0("Beta(a, a) mixture: E = B(a+x, a+n-x) / B(a, a) / (p0^x (1-p0)^(n-x)); greater: the mixture ",
      "cut to p > p0; ci = {p: E < 1/alpha}."), note)) }
# Known spread: Robbins' normal mixture (Howard, Ramdas, McAuliffe & Sekhon 2021, two-sided)
case_normal_mixture <- function(id, v, rho, alpha, source, kind = CH, v_opt = NULL, note = "") {
  b <- sqrt((v + rho) * log((v + rho) / (rho * alpha^2)))
  f <- function(s) log(integrate(function(l) exp(l * s - l^2 * v / 2) * dnorm(l, 0, 1 / sqrt(rho)), -Inf, Inf,
    rel.tol = 1e-11)$value)
  same(f(b), log(1 / alpha), "mixture integral at the bound is 1/alpha", 1e-7)
  ex <- list(bound = b)
  if (!is.null(v_opt)) {
    q <- uniroot(function(y) y - log(y) - 1 + 2 * log(alpha), c(1.0001, 200), tol = 1e-13)$root
    ex$best_rho <- v_opt / (q - 1)
    ex$best_rho_approximate <- v_opt / (2 * log(1 / alpha) + log(1 + 2 * log(1 / alpha)))
    o <- optimize(function(r) sqrt((v_opt + exp(r)) * log((v_opt + exp(r)) / (exp(r) * alpha^2))), c(-4, log(v_opt)),
      tol = 1e-10)$minimum; same(ex$best_rho, exp(o), "best rho: equation vs minimising the bound", 1e-5) }
  add(id, "normal_mixture_bound", source, kind,
    inputs = c(list(v = v, rho = rho, alpha = alpha), if (!is.null(v_opt)) list(v_opt = v_opt)), expected = ex,
      tol = INT,
    note = paste(paste0("|S_n| reaches the bound at some n with probability at most alpha; S_n sum of differences, v ",
      "= n sigma^2, sigma known. best_rho makes it tightest at v_opt; best_rho_approximate = v_opt / (2 ",
      "ln(1/alpha) + ln(1 + 2 ln(1/alpha))) is what the authors' code uses."), note)) }

# -- B3. Ratios: Fieller 1954 ---------------------------------------------------------
# Confidence set {r: (a - r b)^2 <= q^2 (vaa - 2 r vab + r^2 vbb)}
fieller <- function(a, b, vaa, vbb, vab, q) {
  a <- unname(a); b <- unname(b); A <- b^2 - q^2 * vbb; B <- a * b - q^2 * vab; C <- a^2 - q^2 * vaa; D <- B^2 - A * C
  g <- q^2 * vbb / b^2
  if (A > 0) list(type = "bounded", g = g, set = (B + c(-1, 1) * sqrt(D)) / A)
  else if (A < 0 && D > 0) list(type = "two_rays", g = g, set = sort((B + c(-1, 1) * sqrt(D)) / A))
  # g exactly 1
  else if (A == 0 && B != 0) list(type = "one_ray", g = g,
    set = if (B > 0) c(C / (2 * B), Inf) else c(-Inf, C / (2 * B)))
  else list(type = "whole_line", g = g, set = c(-Inf, Inf)) }
fieller_fields <- function(f) list(g = f$g, type = f$type,
  ci = if (f$type %in% c("bounded", "one_ray")) I(f$set) else I(c(-Inf, Inf)),
    excluded = if (f$type == "two_rays") I(f$set) else I(c(NA_real_, NA_real_)))
check_fieller <- function(f, tfun, q, what) {   # second route: |t(r)| = q at the ends, and the right side of them
  if (f$type == "whole_line") {
    r <- c(-10^(-6:6), 10^(-6:6), seq(-50, 50, .01))
    same(max(abs(tfun(r))) < q, 1, paste0(what, ": |t| below the quantile everywhere"))
  }
  else if (f$type == "one_ray") {
    e <- f$set[is.finite(f$set)]; s <- if (is.finite(f$set[1])) 1 else -1
    same(c(abs(tfun(e)), abs(tfun(e + s)) < q, abs(tfun(e - s)) > q), c(q, 1, 1),
      paste0(what, ": |t| equals the quantile at the end, below it inside"), 1e-7)
  }
  else { same(abs(tfun(f$set)), c(q, q), paste0(what, ": |t| equals the quantile at both ends"), 1e-7)
    same(abs(tfun(mean(f$set))) < q, f$type == "bounded", paste0(what, ": inside or outside")) } }
local({ e <- c(5 / 12, Inf)
for (s in c(1, -1)) {
  f <- fieller(3 * s, 2, 1, 1, 0, 2)
  stopifnot(f$type == "one_ray", f$g == 1, all(f$set == if (s > 0) e else rev(-e)))
  check_fieller(f, function(r) sapply(r, function(x) (3 * s - 2 * x) / sqrt(1 + x^2)), 2, "one ray")
}
  stopifnot(!length(.fail)); .log <<- character() })
case_ratio_fieller <- function(id, a, b, vaa, vbb, vab, df, source, kind = CH, conf = .95, note = "") {
  q <- qt((1 + conf) / 2, df); f <- fieller(a, b, vaa, vbb, vab, q)
  tr <- function(r) sapply(r, function(x) (a - x * b) / sqrt(vaa - 2 * x * vab + x^2 * vbb))
  check_fieller(f, tr, q, "Fieller"); se <- sqrt(vaa - 2 * a / b * vab + (a / b)^2 * vbb) / abs(b)
  fm <- function(p) p[1] / p[2]; J <- grad(fm, c(a, b))
  same(se, sqrt(drop(t(J) %*% matrix(c(vaa, vab, vab, vbb), 2) %*% J)), "delta se: formula vs numerical gradient", 1e-7)
  add(id, "ratio_fieller", source, kind,
    inputs = list(a = a, b = b, var_a = vaa, var_b = vbb, cov_ab = vab, df = df, conf = conf),
    expected = c(list(ratio = a / b), fieller_fields(f),
      list(delta_se = se, delta_ci = I(a / b + c(-1, 1) * q * se), t_denominator = b / sqrt(vbb))), tol = TIGHT,
    note = paste(paste0("ratio a / b. g = q^2 var_b / b^2: below 1 bounded; from 1 on the denominator is not clearly ",
      "different from 0 and the set is everything outside 'excluded' (two_rays) or everything (whole_line); ",
      "exactly 1: a half-line (one_ray). df \"Infinity\": normal."), note)) }
# Paired numbers: ratio of mean(y) to mean(x), n - 1 df
paired_ratio <- function(y, x, conf = .95) {
  n <- length(x); q <- qt((1 + conf) / 2, n - 1)
  f <- fieller(mean(y), mean(x), var(y) / n, var(x) / n, cov(x, y) / n, q)
  check_fieller(f, function(r) sapply(r, function(v) unname(t.test(y - v * x)$statistic)), q,
    "Fieller vs t.test of y - r x"); f }

# -- B4. Equivalent dose -----------------------------------------------------------------
# plain: n x m ratings of the plain-name dish at the levels; named: n ratings of the named dish at level x0
case_equivalent_dose <- function(id, x, plain, named, x0, source, kind = CH, conf = .95, note = "") {
  n <- nrow(plain); m <- length(x); xc <- x - mean(x); Sxx <- sum(xc^2); b <- as.vector(plain %*% xc) / Sxx
  at0 <- rowMeans(plain) + b * (x0 - mean(x)); dl <- named - at0
  i <- 3; same(c(coef(lm(plain[i, ] ~ x))[2], predict(lm(plain[i, ] ~ x), data.frame(x = x0))), c(b[i], at0[i]),
    "one assessor's line: formula vs lm")
  ti <- function(v) mean(v) + c(-1, 1) * qt((1 + conf) / 2, n - 1) * sd(v) / sqrt(n)
  f <- paired_ratio(dl, b, conf); td <- t.test(dl, conf.level = conf); tb <- t.test(b, conf.level = conf)
  same(c(tb$conf.int, td$conf.int), c(ti(b), ti(dl)), "intervals of slope and shift: t.test vs formula")
  # pooled error: assessors as blocks, one slope, one shift
  L <- data.frame(y = c(as.vector(plain), named), x = c(rep(x, each = n), rep(x0, n)) - x0, nm = rep(0:1, c(n * m, n)),
    who = factor(rep(1:n, m + 1)))
  fit <- lm(y ~ who + x + nm, L); V <- vcov(fit); k <- c("nm", "x"); q2 <- qt((1 + conf) / 2, df.residual(fit))
  f2 <- fieller(coef(fit)["nm"], coef(fit)["x"], V["nm", "nm"], V["x", "x"], V["nm", "x"], q2)
  check_fieller(f2, function(r) sapply(r, function(v) {
    w <- c(1, -v); sum(w * coef(fit)[k]) / sqrt(drop(w %*% V[k, k] %*% w)) }), q2, "pooled error")
  mm <- suppressMessages(lmer(y ~ x + nm + (1 | who), L))
  if (!isSingular(mm)) {
    same(fixef(mm)[c("nm", "x")], coef(fit)[k], "pooled error: fixed blocks vs lmer with random assessors, estimates",
      1e-7); same(as.matrix(vcov(mm))[3, 2], V["nm", "x"], "and covariance", 1e-6)
      same(diag(as.matrix(vcov(mm)))[c("nm", "x")], diag(V)[k], "and variances", 1e-6)
  }
  same(c(mean(dl), mean(b)), coef(fit)[k], "means of the assessors' own values vs pooled fit", 1e-9)
  # straightness of the plain series: departure from the line tested against assessor x level
  P <- data.frame(y = as.vector(plain), x = rep(x, each = n), who = factor(rep(1:n, m)))
  av <- anova(lm(y ~ who + x + factor(x), P)); mt <- av["factor(x)", ]
  gm <- colMeans(plain); dep <- n * (sum((gm - mean(gm))^2) - sum(gm * xc)^2 / Sxx)
  same(dep / (m - 2) / (av["Residuals", "Mean Sq"]), mt[["F value"]],
    "departure from the line: sums of squares by hand vs anova")
  add(id, "equivalent_dose", source, kind, data = list(levels = I(x), plain = unname(plain), named = I(named)),
    inputs = list(named_level = x0, conf = conf),
    expected = list(n = n, slope = mean(b), slope_ci = I(as.numeric(tb$conf.int)), slope_p = tb$p.value,
      shift = mean(dl), shift_ci = I(as.numeric(td$conf.int)), shift_p = td$p.value, dose = mean(dl) / mean(b),
        fieller = fieller_fields(f),
      pooled = list(df = df.residual(fit), sigma = sigma(fit), slope_se = unname(sqrt(V["x", "x"])),
        shift_se = unname(sqrt(V["nm", "nm"])),
          covariance = if (abs(V["nm", "x"]) < 1e-12) 0 else unname(V["nm", "x"]), fieller = fieller_fields(f2)),
      linearity = list(f = mt[["F value"]], df1 = mt[["Df"]], df2 = av["Residuals", "Df"], p = mt[["Pr(>F)"]]),
        within_range = x0 + mean(dl) / mean(b) >= min(x) && x0 + mean(dl) / mean(b) <= max(x)), tol = TIGHT,
    note = paste(paste0("Each assessor: least-squares slope b_i over the plain levels, shift d_i = named rating - ",
      "own line at named_level. dose = mean(d) / mean(b), Fieller on the n pairs with n - 1 df; every interval at ",
      "conf. pooled: ratings ~ assessor (blocks) + level + named, residual df. linearity: levels beyond the line, ",
      "tested against assessor x level."), note)) }
# Published bioassays: horizontal distance between parallel lines
case_parallel_line <- function(id, y, prep, lx, block, test, source, base, conf = .95, note = "") {
  prep <- relevel(factor(prep), "S"); cell <- interaction(prep, lx, drop = TRUE); D <- data.frame(y, prep, lx, cell)
  rhs <- if (is.null(block)) "" else paste(names(block), collapse = " + "); if (!is.null(block)) D <- cbind(D, block)
  fm <- function(s) as.formula(paste("y ~", paste(c(if (nzchar(rhs)) rhs, s), collapse = " + ")))
  full <- lm(fm("cell"), D); s2 <- sigma(full)^2; df <- df.residual(full); par <- lm(fm("prep + lx"), D)
  X <- model.matrix(par); C <- solve(crossprod(X)) * s2; tm <- paste0("prep", test)
  a <- coef(par)[tm]; b <- coef(par)["lx"]; q <- qt((1 + conf) / 2, df)
  f <- fieller(a, b, C[tm, tm], C["lx", "lx"], C[tm, "lx"], q)
  check_fieller(f, function(r) sapply(r, function(v) {
    w <- c(1, -v); k <- c(tm, "lx"); sum(w * c(a, b)) / sqrt(drop(w %*% C[k, k] %*% w)) }), q, "Fieller")
  # route by the pharmacopoeia's own sums: means, C and H
  add(id, "parallel_line_ratio", source, PC,
    data = c(list(y = I(y), preparation = I(as.character(prep)), log_dose = I(lx)),
      if (!is.null(block)) lapply(block, function(v) I(as.character(v)))),
    inputs = list(reference = "S", test = test, potency_factor = base, conf = conf,
      blocks = if (is.null(block)) I(character()) else I(names(block))),
        expected = c(list(slope = unname(b), shift = unname(a), ms_error = s2, df = df, log_ratio = unname(a / b)),
          fieller_fields(f), list(potency = base * exp(unname(a / b)),
            potency_ci = I(base * exp(as.numeric(fieller_fields(f)$ci))))), tol = TIGHT,
    note = paste0("One common slope on log dose (natural logs); error = pure error (all preparation x dose cells",
      if (!is.null(block)) " and blocks" else "",
        paste0("). log_ratio = shift / slope is the horizontal distance; potency = potency_factor x exp(log_ratio), ",
          "potency_ci = potency_factor x exp(ci): from 0 to Infinity where the set is unbounded. "), note)) }

# -- B5. Expected, blind, informed -----------------------------------------------------------
case_assimilation <- function(id, e, b, i, source, kind = CH, conf = .95, note = "") {
  x <- e - b; y <- i - b; f <- paired_ratio(y, x, conf)
  tt <- function(v) { r <- t.test(v, conf.level = conf)
  list(mean = mean(v), t = unname(r$statistic), df = unname(r$parameter), p = r$p.value,
    ci = I(as.numeric(r$conf.int))) }
  A <- mean(y) / mean(x); s <- f$set
  # slope tests on the ratio: A = 0 is I - B = 0, A = 1 is I - E = 0
  if (f$type == "bounded") {
    same((s[1] <= 0 && s[2] >= 0), tt(y)$p >= 1 - conf,
      "0 in the interval if and only if informed - blind is not significant")
      same((s[1] <= 1 && s[2] >= 1), tt(i - e)$p >= 1 - conf,
        "1 in the interval if and only if informed - expected is not significant")
  }
  word <- if (f$type != "bounded") "not_estimable" else if (s[1] > 1) "overshoot" else if (s[2] <
    0) "contrast" else if (s[1] > 0 && s[2] < 1) "partial_assimilation" else if (s[1] >
      0) "assimilation_possibly_complete" else if (s[2] < 1) "none_to_partial" else "undecided"
  add(id, "assimilation_ratio", source, kind, data = list(expected = I(e), blind = I(b), informed = I(i)),
    inputs = list(conf = conf),
      expected = list(n = length(e), means = c(expected = mean(e), blind = mean(b), informed = mean(i)),
    expected_minus_blind = tt(x), informed_minus_blind = tt(y), informed_minus_expected = tt(i - e), ratio = A,
      fieller = fieller_fields(f), verdict = word), tol = TIGHT,
    note = paste(paste0("ratio = mean(I - B) / mean(E - B), from group means. verdict from the Fieller set alone: ",
      "entirely in (0, 1) partial_assimilation; above 0 and containing 1 assimilation_possibly_complete; above 1 ",
      "overshoot; below 0 contrast; containing 0 but not 1 none_to_partial; containing both undecided; unbounded ",
      "not_estimable."), note)) }

# -- B6. The plan's own lottery, redrawn -----------------------------------------------------
# y[i, p]: assessor i's rating at position p; obs[i, p]: sample served there; alloc: all plans of the lottery, each
# like obs. Statistic: contrast of sample means within assessors, mean over assessors of w . (mean rating of each
# sample).
rand_case <- function(y, obs, alloc, stat) { T0 <- stat(y, obs); T <- sapply(alloc, function(a) stat(y, a)); eps <- 1e-9
  list(T0 = T0, T = T, two = mean(abs(T) >= abs(T0) - eps), up = mean(T >= T0 - eps), down = mean(T <= T0 + eps)) }
diff_ab <- function(y, a) mean(sapply(seq_len(nrow(y)), function(i) mean(y[i, a[i, ] == 1]) - mean(y[i, a[i, ] == 2])))
# test inversion for a constant effect d of sample 1 over sample 2: exact, from the jump points (T0 - T_r) / (1 - a_r)
invert <- function(y, obs, alloc, stat, conf) {
  M <- length(alloc); x <- (obs == 1) * 1; T0 <- stat(y, obs); x0 <- stat(x, obs)
  T <- sapply(alloc, function(a) stat(y, a)); A <- sapply(alloc, function(a) stat(x, a))
  same(x0, 1, "the statistic of a unit effect is 1"); fix <- A > 1 - 1e-9; j <- sort(((T0 - T) / (1 - A))[!fix])
  kg <- sum(fix & T >= T0 - 1e-9); kl <- sum(fix & T <= T0 + 1e-9); need <- (1 - conf) / 2 * M
  # p_greater(d) = (#{j <= d} + kg) / M, kg: plans that move sample 1 nowhere and reach T0 (at least the plan itself);
  # lower limit: first d with more than need; upper limit: mirror image, from p_less(d) = (#{j >= d} + kl) / M
  lo <- if (kg > need + 1e-9) -Inf else j[which(seq_along(j) + kg > need + 1e-9)[1]]
  hi <- if (kl > need + 1e-9) Inf else rev(j)[which(seq_along(j) + kl > need + 1e-9)[1]]
  p <- function(d) { z <- y - d * x; t0 <- stat(z, obs); t <- sapply(alloc, function(a) stat(z, a))
  c(mean(t >= t0 - 1e-9), mean(t <= t0 + 1e-9)) }
  if (is.finite(lo)) { h <- 1e-6
  same(c(p(lo - h)[1] <= (1 - conf) / 2 + 1e-12, p(lo + h)[1] > (1 - conf) / 2, p(hi + h)[2] <= (1 - conf) / 2 + 1e-12,
    p(hi - h)[2] > (1 - conf) / 2), rep(1, 4), "limits: jump points vs testing again just inside and outside") }
  c(lo, hi) }
all_perms <- function(v) if (length(v) <= 1) matrix(v, 1) else do.call(rbind,
  lapply(seq_along(v), function(i) cbind(v[i], all_perms(v[-i]))))
# The lottery from its inputs alone. blocks, half, williams, between_blocks: every block of consecutive assessors takes
# each row equally often, in any order; coins: every assessor any row; relabel: first any permutation of the samples,
# the same for all.
row_orders <- function(left) {
  if (!sum(left)) return(list(integer()))
  unlist(lapply(which(left > 0), function(r) {
    l <- left; l[r] <- l[r] - 1; lapply(row_orders(l), function(o) c(r, o)) }), recursive = FALSE)
}
plans_of <- function(L, n) {
  R <- L$rows; m <- nrow(R)
  cross <- function(parts) Reduce(function(a, b) unlist(lapply(a, function(u) lapply(b, function(v) c(u, v))),
    recursive = FALSE), parts)
  o <- if (L$kind == "coins") cross(rep(list(as.list(seq_len(m))), n)) else {
    stopifnot(sum(L$block) == n, L$block %% m == 0); cross(lapply(L$block, function(s) row_orders(rep(s / m, m))))
  }
  lab <- if (L$relabel) all_perms(sort(unique(as.vector(R)))) else matrix(sort(unique(as.vector(R))), 1)
  unlist(lapply(seq_len(nrow(lab)), function(i) {
    S <- matrix(lab[i, ][R], m); lapply(o, function(r) S[r, , drop = FALSE])
  }), recursive = FALSE) }
same_lottery <- function(L, n, alloc) {
  k <- function(a) paste(a, collapse = ","); t <- table(sapply(plans_of(L, n), k))
  same(length(unique(t)), 1, "lottery from kind, rows, block, relabel: all plans equally likely")
  same(identical(sort(names(t)), sort(sapply(unname(alloc), k))), 1, "and the same plans")
}
as_inputs <- function(L) c(list(kind = L$kind, rows = unname(L$rows)), if (!is.null(L$block)) list(block = I(L$block)),
  list(relabel = L$relabel))
lot <- function(kind, rows, block = NULL, relabel = FALSE) list(kind = kind, rows = rows, block = block,
  relabel = relabel)
AB_BA <- rbind(c(1, 2), c(2, 1)); ONE_EACH <- cbind(c(1, 2))
case_randomisation <- function(id, y, obs, alloc, L, lottery, source, kind = CH, conf = .9, second = NULL, note = "") {
  key <- sapply(alloc, function(a) paste(a, collapse = ","))
  same(length(unique(key)), length(alloc), "all plans of the lottery are different")
  same(paste(obs, collapse = ",") %in% key, 1, "the plan drawn is one of them")
  same_lottery(L, nrow(y), alloc)
  r <- rand_case(y, obs, alloc, diff_ab); ci <- invert(y, obs, alloc, diff_ab, conf)
  if (!is.null(second)) same(c(r$two, r$up), second(y, obs), "enumeration vs a second route")
  add(id, "randomisation_test", source, kind,
    data = list(ratings_by_position = unname(y), sample_by_position = unname(obs)),
      inputs = c(as_inputs(L),
        list(lottery = lottery, statistic = "mean within-assessor difference, sample 1 minus sample 2", conf = conf)),
    expected = list(n = nrow(y), plans = length(alloc), difference = r$T0, p_two_sided = r$two, p_greater = r$up,
      p_less = r$down, smallest_possible_p_greater = 1 / length(alloc), ci = I(ci)), tol = TIGHT,
    note = paste(paste0("Every plan that the lottery (kind, rows, block, relabel) could have drawn, equally likely; ",
      "each assessor keeps the ratings of the positions, the samples move. Ties count as reaching (tolerance ",
      "1e-9). ci: effects d of sample 1 over sample 2 not rejected by either one-sided test at (1 - conf)/2 after ",
      "d is taken off the ratings of sample 1."), note)) }
case_monte_carlo_p <- function(id, b, m, conf = .95, note = "") {
  p <- (b + 1) / (m + 1); a <- round((1 - conf) / 2, 12)
  ci <- c(if (b == 0) 0 else qbeta(a, b, m - b + 1), if (b == m) 1 else qbeta(1 - a, b + 1, m - b))
  same(ci, binom.test(b, m, conf.level = conf)$conf.int, "interval: beta quantiles vs binom.test")
  add(id, "monte_carlo_p",
    "Davison & Hinkley 1997; Phipson & Smyth 2010, Stat. Appl. Genet. Mol. Biol. 9; computed here", CH,
      inputs = list(reached = b, redraws = m, conf = conf),
        expected = list(p = p, ci = I(ci), se = sqrt(b / m * (1 - b / m) / m)), tol = TIGHT,
    note = paste(paste0("p = (b + 1)/(m + 1), a valid p value for any m; ci (Clopper-Pearson of b in m) is for the p ",
      "of the full enumeration."), note)) }

# -- B7. Difference tests with replicates; sequential ----------------------------------------------
# x of n correct per assessor; p_i ~ Beta with mean mu, gamma = 1/(a+b+1); corrected: p_i = chance + (1 - chance) pi_i,
# pi_i ~ Beta
# rising factorials: stable near gamma = 0
ll_bb <- function(x, n, mu, g) {
  f <- g / (1 - g); J <- max(n); j <- seq_len(J) - 1; over <- function(v) sapply(j, function(k) sum(v > k))
  t <- function(c, z) sum(ifelse(c > 0, c * log(z), 0))
  t(over(x), mu + j * f) + t(over(n - x), 1 - mu + j * f) - sum(over(n) * log1p(j * f)) }
ll_bb_beta <- function(x, n, mu, g) {
  a <- mu * (1 - g) / g; b <- (1 - mu) * (1 - g) / g; sum(lbeta(a + x, b + n - x) - lbeta(a, b))
}
ll_bb0 <- function(x, n, mu) sum(x * log(mu) + (n - x) * log1p(-mu))
# binomial expansion of (c + (1-c) pi)^x
ll_cbb1 <- function(x, n, c, a, b) {
  j <- 0:x; log(sum(exp(lchoose(x, j) + (x - j) * log(c) + (n - x + j) * log1p(-c) + lbeta(a + j, b + n - x) -
    lbeta(a, b))))
}
ll_cbb <- function(x, n, c, mu, g) {
  if (!(g > 1e-7 && g < 1 - 1e-9 && mu > 0 && mu < 1)) return(-Inf); a <- mu * (1 - g) / g
  b <- (1 - mu) * (1 - g) / g; k <- paste(x, n); u <- !duplicated(k)
  v <- mapply(ll_cbb1, x[u], n[u], MoreArgs = list(c = c, a = a, b = b)); sum(v[match(k, k[u])])
}
fit2 <- function(f, starts) {
  best <- NULL; for (s in starts) {
    o <- optim(qlogis(s), function(z) {
      v <- -f(plogis(z[1]), plogis(z[2])); if (is.finite(v)) v else 1e10 }, method = "Nelder-Mead",
        control = list(reltol = 1e-15, maxit = 8000))
        o <- optim(o$par, function(z) {
          v <- -f(plogis(z[1]), plogis(z[2])); if (is.finite(v)) v else 1e10 }, method = "Nelder-Mead",
            control = list(reltol = 1e-15, maxit = 8000)); if (is.null(best) || o$value < best$value) best <- o
  }
  list(par = plogis(best$par), ll = -best$value) }
case_replicated <- function(id, x, n, chance, source, kind = CH, note = "") {
  N <- length(x); pool <- sum(x) / sum(n); ll0 <- ll_bb0(x, n, max(pool, chance)); llc <- ll_bb0(x, n, chance)
  f <- fit2(function(m, g) ll_bb(x, n, chance + (1 - chance) * m, g), list(c(.3, .1), c(.6, .4), c(.1, .02)))
  mu <- chance + (1 - chance) * f$par[1]; ga <- f$par[2]; flat <- f$ll <= ll0 + 1e-6
  if (flat) { mu <- max(pool, chance); ga <- 0; f$ll <- ll0 }
  ex <- list(assessors = N, trials = sum(n), correct = sum(x), chance = chance,
    beta_binomial = list(mean = mu, gamma = ga, log_lik = f$ll, log_lik_binomial = ll0, lr_gamma = 2 * (f$ll - ll0),
      p_gamma = if (flat) 1 else pchisq(2 * (f$ll - ll0), 1, lower.tail = FALSE) / 2))
  if (!flat) { same(ll_bb_beta(x, n, mu, ga), f$ll, "log likelihood: rising factorials vs beta functions", 1e-8)
  H <- hessian(function(z) ll_bb(x, n, z[1], z[2]), c(mu, ga)); S <- sqrt(diag(solve(-H)))
  ex$beta_binomial$mean_se <- S[1]; ex$beta_binomial$gamma_se <- S[2]; ex$beta_binomial$tarone_z <- NA_real_
    if (requireNamespace("VGAM", quietly = TRUE) && mu > chance + 1e-4) {
      v <- suppressWarnings(VGAM::vglm(cbind(x, n - x) ~ 1, VGAM::betabinomial(zero = NULL), trace = FALSE,
        epsilon = 1e-12, maxit = 200)); cf <- VGAM::coef(v, matrix = TRUE)
        same(c(mu, ga), plogis(as.numeric(cf)), "beta-binomial: own likelihood vs VGAM", 1e-5)
      same(f$ll + sum(lchoose(n, x)), VGAM::logLik.vlm(v), "log likelihood vs VGAM", 1e-7) } }
  ex$beta_binomial$tarone_z <- (sum((x - n * pool)^2) / (pool * (1 - pool)) - sum(n)) / sqrt(2 * sum(n * (n - 1)))
  if (chance == 0) return(add(id, "replicated_discrimination", source, kind, data = list(correct = I(x), n = I(n)),
    inputs = list(chance = chance),
      expected = list(assessors = N, trials = sum(n), correct = sum(x), beta_binomial = ex$beta_binomial),
        tol = list(rel = 1e-4, abs = 1e-6, fields = list(log_lik = list(rel = 1e-7, abs = 1e-6))),
          note = paste("Beta-binomial with chance 0: the fit alone.", note)))
  h <- fit2(function(m, g) ll_cbb(x, n, chance, m, g), list(c(.3, .3), c(.6, .6), c(.1, .1))); mc <- h$par[1]
  gc <- h$par[2]; flat2 <- h$ll <= ll0 + 1e-5
  if (!flat2) { a <- mc * (1 - gc) / gc; b <- (1 - mc) * (1 - gc) / gc; i <- which.max(x)
  q <- integrate(function(z) {
    p <- plogis(z); r <- plogis(-z)
    exp(x[i] * log(chance + (1 - chance) * p) + (n[i] - x[i]) * log((1 - chance) * r) + a * log(p) + b * log(r) -
      lbeta(a, b)) }, -300, 300, rel.tol = 1e-11, subdivisions = 10000)$value
    same(log(q), ll_cbb1(x[i], n[i], chance, a, b), "corrected: binomial expansion vs integral", 1e-7) }
  ex$corrected <- if (flat2) list(discriminators = max(0, (pool - chance) / (1 - chance)), gamma = 0,
    log_lik = ll0) else list(discriminators = mc, gamma = gc, log_lik = h$ll)
  ex$corrected$lr_difference <- max(0, 2 * (ex$corrected$log_lik - llc))
  ex$naive_p <- pbinom(sum(x) - 1, sum(n), chance, lower.tail = FALSE)
  # assessor-level test that needs no model of the assessors: mean of x_i / n_i above chance, t
  tt <- t.test(x / n, mu = chance, alternative = "greater")
  ex$assessor_t <- list(t = unname(tt$statistic), df = unname(tt$parameter), p = tt$p.value)
  add(id, "replicated_discrimination", source, kind, data = list(correct = I(x), n = I(n)),
    inputs = list(chance = chance), expected = ex,
      tol = list(rel = 1e-4, abs = 1e-6,
        fields = list(log_lik = list(rel = 1e-7, abs = 1e-6), lr_gamma = list(rel = 1e-4, abs = 1e-5),
          mean_se = list(rel = 1e-3, abs = 1e-6), gamma_se = list(rel = 1e-3, abs = 1e-6))),
    note = paste(paste0("log likelihoods without binomial coefficients. beta_binomial: p_i ~ Beta on (0, 1), mean ",
      "kept at or above chance, gamma = 1/(a+b+1); corrected: p_i = chance + (1 - chance) pi_i with pi_i ~ Beta ",
      "(nobody below chance), discriminators = mean of pi. p_gamma: half of the chi-square(1) tail. tarone_z: ",
      "Tarone 1979, above 1.645 overdispersed at 5 %. naive_p: all answers as independent."), note)) }
# pr over counts of correct answers still open
sprt_exact <- function(p, lo, hi, s, nmax) { pr <- c(1); at <- 0; acc <- rej <- asn <- 0
  for (n in 1:nmax) { k <- c(at, max(at) + 1); q <- c(pr * (1 - p), 0) + c(0, pr * p); a <- k <= lo + s * n + 1e-12
  r <- k >= hi + s * n - 1e-12
    acc <- acc + sum(q[a]); rej <- rej + sum(q[r]); asn <- asn + n * sum(q[a | r]); keep <- !(a | r)
    if (!any(keep)) return(c(acc, rej, 0, asn)); at <- k[keep]; pr <- q[keep] }
  c(acc, rej, sum(pr), asn + nmax * sum(pr)) }
case_sprt <- function(id, p0, p1, alpha, beta, nmax, ps, source, kind = CH, note = "") {
  D <- log(p1 * (1 - p0)) - log(p0 * (1 - p1)); s <- log((1 - p0) / (1 - p1)) / D; lo <- log(beta / (1 - alpha)) / D
  hi <- log((1 - beta) / alpha) / D; A <- (1 - beta) / alpha; B <- beta / (1 - alpha)
  g <- do.call(rbind, lapply(ps, function(p) { e <- sprt_exact(p, lo, hi, s, nmax)
    # second route: number of open paths to each point, then p^x q^(n-x)
    cnt <- list(`0` = c(`0` = 1)); w <- c(`0` = 1); acc <- rej <- 0
    for (n in 1:nmax) { k <- as.integer(names(w)); up <- tapply(c(w, w), c(k, k + 1L), sum)
    kk <- as.integer(names(up)); pp <- up * p^kk * (1 - p)^(n - kk); a <- kk <= lo + s * n + 1e-12
    r <- kk >= hi + s * n - 1e-12; acc <- acc + sum(pp[a]); rej <- rej + sum(pp[r]); w <- up[!(a | r)]
    if (!length(w)) break }
    same(c(acc, rej), e[1:2], sprintf("p = %.3f: probabilities vs counted paths", p), 1e-9)
    # Wald's approximations
    w0 <- if (abs(p - s) < 1e-9) NA else {
      fh <- function(h) p * (p1 / p0)^h + (1 - p) * ((1 - p1) / (1 - p0))^h - 1
      h <- if (p < s) root(fh, 1e-3, 60) else root(fh, -60, -1e-3); h
    }
    oc <- if (is.na(w0)) log(A) / (log(A) - log(B)) else (A^w0 - 1) / (A^w0 - B^w0)
    Ez <- p * log(p1 / p0) + (1 - p) * log((1 - p1) / (1 - p0))
    asw <- if (is.na(w0)) -log(A) *
      log(B) / (p * log(p1 / p0)^2 + (1 - p) * log((1 - p1) / (1 - p0))^2) else (oc * log(B) + (1 - oc) * log(A)) / Ez
    data.frame(p = p, similar = e[1], different = e[2], open = e[3], mean_answers = e[4], wald_similar = oc,
      wald_mean_answers = asw) }))
  fixed <- { n <- 1; repeat {
    c <- qbinom(1 - alpha, n, p0) + 1; if (pbinom(c - 1, n, p1, lower.tail = FALSE) >= 1 - beta) break; n <- n + 1
  }; n }
  add(id, "sequential_proportion", source, kind,
    inputs = list(p0 = p0, p1 = p1, alpha = alpha, beta = beta, n_max = nmax),
      expected = list(slope = s, low = lo, high = hi,
        smallest_n_similar = which(floor(lo + s * 1:500 + 1e-12) >= 0)[1],
          smallest_n_different = which(hi + s * 1:500 - 1e-12 <= 1:500)[1], fixed_n_first = fixed, grid = g),
            tol = list(rel = 1e-7, abs = 1e-10),
    note = paste(paste0("Wald 1947: similar when correct <= low + slope n, different when correct >= high + slope n, ",
      "a tie within 1e-12 counting as reached. similar, different, open (at n_max): exact probabilities; ",
      "mean_answers counts n_max for open courses. wald_*: Wald's approximations without n_max. fixed_n_first: ",
      "smallest single sample with the same risks."), note)) }

# -- B8. Choice with ties, just about right, check-all-that-apply, dominance, thresholds --------------------------
case_preference <- function(id, a, none, b, source, kind = CH, note = "") {
  N <- a + none + b; n <- a + b; p0 <- none / N
  cpi <- function(x, n) c(if (x == 0) 0 else qbeta(.025, x, n - x + 1), if (x == n) 1 else qbeta(.975, x + 1, n - x))
  drop <- binom.test(a, n); split <- min(1, 2 * pbinom(ceiling(min(a, b) + none / 2 - 1e-9), N, .5))
  # trinomial test: N_d = A - B under p_A = p_B = (1 - p0)/2, p0 = share without preference (Bian, McAleer & Wong 2011)
  q <- (1 - p0) / 2; pd <- function(d) {
    k <- max(0, d):N; k <- k[2 * k - d <= N & k - d >= 0]
    sum(exp(lfactorial(N) - lfactorial(k) - lfactorial(k - d) - lfactorial(N - 2 * k + d) + (2 * k - d) * log(q) +
      ifelse(N - 2 * k + d > 0, (N - 2 * k + d) * log(p0), 0)))
  }
  tri <- min(1, 2 * sum(sapply(abs(a - b):N, pd))); if (a == b) tri <- 1
  g <- expand.grid(k = 0:N, l = 0:N); g <- g[g$k + g$l <= N, ]
  pr <- mapply(function(k, l) dmultinom(c(k, N - k - l, l), prob = c(q, p0, q)), g$k, g$l)
  same(min(1, sum(pr[abs(g$k - g$l) >= abs(a - b)])), tri, "trinomial: sum over differences vs full enumeration", 1e-9)
  df <- (a - b) / N; se <- sqrt((a + b) / N - df^2) / sqrt(N)
  # Thurstone with an indifference band (2-AC): P(prefer B) etc. from d' and tau, differences have variance 2
  z1 <- qnorm(b / N); z2 <- qnorm((b + none) / N); tau <- (z2 - z1) / sqrt(2); dp <- -(z1 + z2) / sqrt(2)
  ll <- function(v) { p1 <- pnorm((-v[2] - v[1]) / sqrt(2)); p3 <- pnorm((v[2] - v[1]) / sqrt(2), lower.tail = FALSE)
  b * log(p1) + none * log(1 - p1 - p3) + a * log(p3) }
  ok <- a > 0 && b > 0 && none > 0
  if (ok) { S <- sqrt(diag(solve(-hessian(ll, c(dp, tau))))); z0 <- qnorm((1 + none / N) / 2) * sqrt(2)
  lr <- 2 * (ll(c(dp, tau)) - ll(c(0, z0)))
    cl <- ordinal::clm(factor(c(1, 2, 3)) ~ 1, weights = c(b, none, a), link = "probit")
    same(unname(cl$alpha), c(z1, z2), "2-AC: closed form vs cumulative probit (ordinal)", 1e-5)
    same(unname(sqrt(t(c(1, 1)) %*% vcov(cl) %*% c(1, 1)) / sqrt(2)), S[1], "standard error of d' vs ordinal", 1e-4) }
  add(id, "preference_with_ties", source, kind, data = list(prefer_a = a, no_preference = none, prefer_b = b),
    expected = c(list(n = N, share_a = a / N, share_none = p0, share_b = b / N, sign_test_p = drop$p.value,
      share_a_of_deciders = a / n, share_a_of_deciders_ci = I(cpi(a, n)),
      split_evenly_p = split, trinomial_p = tri, net_preference = df,
        net_preference_ci = I(df + c(-1, 1) * qnorm(.975) * se)),
          if (ok) list(d_prime = dp, tau = tau, d_prime_se = S[1], tau_se = S[2], lr_d_prime_0 = lr,
            p_d_prime_0 = pchisq(lr, 1, lower.tail = FALSE))), tol = list(rel = 1e-6, abs = 1e-9),
    note = paste(paste0("sign_test_p leaves the undecided out (exact, two-sided); split_evenly_p adds half of them ",
      "to each side (smaller side rounded up), for comparison only; trinomial_p: two-sided, share without ",
      "preference as observed; net_preference = share_a - share_b, Wald interval; d_prime, tau: Thurstonian 2-AC ",
      "model (Christensen, Lee & Brockhoff 2012), tau half-width of the indifference band."), note)) }
case_penalty <- function(id, y, jar, source, kind = CH, note = "") {
  n <- length(y); m <- sapply(c(-1, 0, 1), function(k) mean(y[jar == k]))
  names(m) <- c("too_little", "just_right", "too_much"); ct <- sapply(c(-1, 0, 1), function(k) sum(jar == k))
  names(ct) <- names(m)
  side <- function(k) {
    g <- y[jar == k]; r <- y[jar == 0]
    if (length(g) < 2 || length(r) <
      2) return(list(share = length(g) / n, drop = if (length(g)) mean(r) - mean(g) else NA_real_)); w <- t.test(r, g)
      p <- t.test(r, g, var.equal = TRUE); s <- length(g) / n; d <- mean(r) - mean(g); pj <- length(r) / n
    # weighted penalty W = share x drop: influence of each assessor
    psi <- (jar == k) * (mean(r) - mean(g)) - s * d + s / pj * (jar == 0) * (y - mean(r)) - (jar == k) * (y - mean(g))
    se <- sqrt(mean(psi^2) / n)
    W <- function(v) v[1] * (v[2] - v[3])
    V <- diag(c(s * (1 - s) / n, mean((r - mean(r))^2) / length(r), mean((g - mean(g))^2) / length(g)))
    J <- grad(W, c(s, mean(r), mean(g)))
    same(sqrt(drop(J %*% V %*% J)), se, "weighted penalty se: influence values vs delta method", 1e-7)
    same(c(d, w$conf.int),
      c(diff(rev(w$estimate)), d - qt(.975, w$parameter) * w$stderr, d + qt(.975, w$parameter) * w$stderr),
        "drop: t.test vs formula", 1e-9)
    list(share = s, share_ci = I(c(if (s == 0) 0 else qbeta(.025, length(g), n - length(g) + 1),
      qbeta(.975, length(g) + 1, n - length(g)))), drop = d, drop_ci = I(as.numeric(w$conf.int)),
        df = unname(w$parameter), p = w$p.value, p_pooled_variance = p$p.value, weighted_penalty = s * d,
          weighted_penalty_se = se, weighted_penalty_ci = I(s * d + c(-1, 1) * qnorm(.975) * se)) }
  add(id, "penalty_analysis", source, kind, data = list(liking = I(y), just_about_right = I(jar)),
    expected = list(n = n, counts = ct, means = m, mean_liking = mean(y), too_little = side(-1), too_much = side(1)),
      tol = TIGHT,
    note = paste(paste0("just_about_right: -1 too little, 0, 1 too much. drop = mean liking of 0 minus mean of the ",
      "group, Welch interval (different people). weighted_penalty = share x drop, normal interval with the delta ",
      "method (n, not n - 1, in the variances)."), note)) }
case_ca <- function(id, N, source, kind = PC, supplied = NULL, note = "") {
  P <- N / sum(N); r <- rowSums(P); c <- colSums(P); S <- (P - outer(r, c)) / sqrt(outer(r, c)); d <- svd(S)
  k <- min(dim(N)) - 1; sv <- d$d[1:k]; R <- sweep(d$u[, 1:k, drop = FALSE], 1, sqrt(r), "/") %*% diag(sv, k)
  C <- sweep(d$v[, 1:k, drop = FALSE], 1, sqrt(c), "/") %*% diag(sv, k)
  for (j in 1:k) { i <- which.max(abs(C[, j])); if (C[i, j] < 0) { C[, j] <- -C[, j]; R[, j] <- -R[, j] } }
  z <- ca::ca(N); same(sv, z$sv[1:k], "singular values: svd vs ca")
  same(abs(R), abs(sweep(z$rowcoord[, 1:k, drop = FALSE], 2, z$sv[1:k], "*")), "row coordinates vs ca", 1e-8)
  same(sv, corresp(N, nf = k)$cor, "canonical correlations vs MASS::corresp", 1e-8)
  ch <- suppressWarnings(chisq.test(N)); same(sum(sv^2) * sum(N), ch$statistic, "n x inertia vs chi-square")
  dimnames(R) <- dimnames(C) <- NULL
  add(id, "correspondence_analysis", source, kind, data = list(table = unname(N)),
    expected = list(n = sum(N), total_inertia = sum(sv^2), inertias = I(sv^2), explained = I(sv^2 / sum(sv^2)),
      rows = R, columns = C, row_contributions = unname(sweep(R^2 * r, 2, sv^2, "/")),
        column_contributions = unname(sweep(C^2 * c, 2, sv^2, "/")), chi2 = unname(ch$statistic),
          df = unname(ch$parameter)), tol = list(rel = 1e-7, abs = 1e-9),
    note = paste(paste0("Principal coordinates of rows and columns (symmetric map). Signs: in each dimension the ",
      "column farthest from 0 is positive. chi2 = n x inertia is no test for check-all-that-apply data: one person ",
      "ticks many terms."), note)) }
case_dominance <- function(id, k, n, alpha = .05) {
  p0 <- 1 / k; ps <- p0 + qnorm(1 - alpha) * sqrt(p0 * (1 - p0) / n); x <- qbinom(1 - alpha, n, p0) + 1
  same(pbinom(x - 1, n, p0, lower.tail = FALSE) <= alpha && pbinom(x - 2, n, p0, lower.tail = FALSE) > alpha, 1,
    "exact count: both sides of alpha")
  add(id, "dominance_significance", "Pineau et al. 2009, Food Qual. Prefer. 20 (formula from memory); computed here",
    CH, inputs = list(attributes = k, runs = n, alpha = alpha),
      expected = list(chance = p0, significant_share = ps, smallest_count_exact = x, smallest_share_exact = x / n),
        note = paste0("Temporal dominance: share of runs in which an attribute is dominant at a moment. Normal ",
          "approximation as published; the exact binomial count is the better line for few runs.")) }
case_bet <- function(id, conc, M, source, note = "") {
  st <- function(a) { w <- which(a == 0)
  if (!length(w)) log10(conc[1]) - .5 *
    log10(conc[2] / conc[1]) else if (max(w) == length(conc)) log10(conc[length(conc)]) + .5 *
      log10(conc[length(conc)] / conc[length(conc) - 1]) else mean(log10(conc[max(w) + 0:1])) }
  l <- apply(M, 1, st); h <- qt(.975, length(l) - 1) * sd(l) / sqrt(length(l))
  same(t.test(l)$conf.int, mean(l) + c(-h, h), "interval: formula vs t.test")
  add(id, "best_estimate_threshold", source, CH, data = list(concentrations = I(conc), correct = unname(M)),
    expected = list(individual = I(10^l), threshold = 10^mean(l), log10_sd = sd(l), ci = I(10^(mean(l) + c(-h, h))),
      right_throughout = sum(rowSums(M) == length(conc)), missed_strongest = sum(M[, length(conc)] == 0)),
        note = paste(paste0("Individual: geometric mean of the last missed concentration and the next; right ",
          "throughout: half a log step below the series; strongest missed: half a step above. Group: geometric ",
          "mean, t interval on log10."), note)) }
case_curve <- function(id, conc, x, n, guess, source, kind = CH, conf = .95, note = "") {
  z <- log10(conc); P <- function(v) guess + (1 - guess) * plogis(v[1] + v[2] * z)
  ll <- function(v) { p <- P(v); sum(ifelse(x > 0, x * log(p), 0) + ifelse(n > x, (n - x) * log1p(-p), 0)) }
  o <- optim(c(-mean(z) / sd(z), 1 / sd(z)), function(v) -ll(v), control = list(reltol = 1e-16, maxit = 9000))
  for (i in 1:5) o <- optim(o$par, function(v) -ll(v), method = "BFGS", gr = function(v) -grad(ll, v),
    control = list(reltol = 1e-16, maxit = 500)); v <- o$par
  lk <- structure(list(linkfun = function(mu) qlogis((mu - guess) / (1 - guess)),
    linkinv = function(e) guess + (1 - guess) * plogis(e), mu.eta = function(e) (1 - guess) * dlogis(e),
      valideta = function(e) TRUE, name = "guess"), class = "link-glm")
  # expected information
  g <- glm(cbind(x, n - x) ~ z, family = binomial(link = lk), start = v, control = list(epsilon = 1e-14, maxit = 100))
  same(v, coef(g), "maximum: optim vs glm with the same link", 1e-5); v <- unname(coef(g)); V <- vcov(g)
  m <- -v[1] / v[2]; q <- qnorm((1 + conf) / 2); f <- fieller(-v[1], v[2], V[1, 1], V[2, 2], -V[1, 2], q)
  check_fieller(f, function(r) sapply(r,
    function(t) (v[1] + t * v[2]) / sqrt(V[1, 1] + 2 * t * V[1, 2] + t^2 * V[2, 2])), q, "threshold")
  add(id, "psychometric_curve", source, kind, data = list(concentration = I(conc), correct = I(x), n = I(n)),
    inputs = list(guess = guess, conf = conf),
      expected = list(intercept = v[1], slope = v[2], intercept_se = sqrt(V[1, 1]), slope_se = sqrt(V[2, 2]),
        threshold = 10^m, threshold_ci = if (f$type == "bounded") I(10^f$set) else I(c(NA_real_, NA_real_)), g = f$g,
          log_lik = ll(v), deviance = deviance(g), df = df.residual(g)), tol = list(rel = 1e-5, abs = 1e-7),
    note = paste(paste0("P = guess + (1 - guess) / (1 + exp(-(intercept + slope log10 c))); threshold: P half way ",
      "between guess and 1; standard errors from the expected information; interval by Fieller on log10, null when ",
      "the slope is not clear. log_lik without binomial coefficients."), note)) }
case_friedman_exact <- function(id, M, source, note = "") {
  n <- nrow(M); k <- ncol(M); R <- t(apply(M, 1, rank)); st <- function(S) sum(S^2); o <- st(colSums(R)); d <- list()
  d[[paste(rep(0, k), collapse = " ")]] <- 1
  for (i in 1:n) { P <- unique(all_perms(1:k)); W <- t(apply(P, 1, function(p) R[i, p])); e <- new.env()
  for (s in names(d)) {
    v <- as.numeric(strsplit(s, " ")[[1]])
    for (j in seq_len(nrow(W))) {
      key <- paste(v + W[j, ], collapse = " "); e[[key]] <- (if (is.null(e[[key]])) 0 else e[[key]]) + d[[s]] / nrow(W)
    }
  }; d <- as.list(e) }
  p <- sum(sapply(names(d), function(s) if (st(as.numeric(strsplit(s, " ")[[1]])) >= o - 1e-9) d[[s]] else 0))
  long <- data.frame(v = as.vector(M), t = factor(rep(1:k, each = n)), b = factor(rep(1:n, k)))
  set.seed(9); mc <- replicate(20000, st(colSums(t(apply(R, 1, sample)))))
  same(abs(mean(mc >= o - 1e-9) - p) < 4 * sqrt(p * (1 - p) / 20000) + 1e-4, 1,
    "exact vs 20 000 random rankings, within four standard errors")
  f <- friedman.test(M)
  add(id, "friedman_exact", source, CH, data = list(values = unname(M)),
    expected = list(chi2 = unname(f$statistic), rank_sums = I(unname(colSums(R))), exact_p = p, chi2_p = f$p.value),
      note = paste("Every ranking of every assessor's own (tied) ranks equally likely.", note)) }

# -- B9. A house's own studies ------------------------------------------------------------------
# Spread of differences over studies: s_i^2 ~ s2_i chi2(nu_i) / nu_i, s2_i ~ s0^2 d0 / chi2(d0); so s_i^2 ~ s0^2
# F(nu_i, d0). Smyth 2004.
trigamma_inv <- function(x) uniroot(function(l) log(trigamma(exp(l))) - log(x), c(-20, 20), tol = 1e-14)$root |> exp()
spread_fit <- function(s2, nu) {
  e <- log(s2) - digamma(nu / 2) + log(nu / 2); k <- length(s2)
  v <- sum((e - mean(e))^2) / (k - 1) - mean(trigamma(nu / 2))
  # no more spread than chance: the pooled variance stands
  if (v > 0) { d0 <- 2 * trigamma_inv(v)
  list(d0 = d0, s02 = exp(mean(e) + digamma(d0 / 2) - log(d0 / 2))) } else list(d0 = Inf,
    s02 = sum(nu * s2) / sum(nu)) }
case_spread <- function(id, sd, n, source, kind = CH, pilot = NULL, note = "") {
  s2 <- sd^2; nu <- n - 1; k <- length(sd); pool <- sum(nu * s2) / sum(nu); f <- spread_fit(s2, nu)
  l <- limma::fitFDist(s2, nu)
  if (is.finite(f$d0)) same(c(f$d0, f$s02), c(l$df2, l$scale), "moments of log variances vs limma fitFDist",
    1e-5) else same(is.infinite(l$df2), 1, "prior_df Infinity: limma fitFDist agrees")
  B <- { C <- 1 + (sum(1 / nu) - 1 / sum(nu)) / (3 * (k - 1)); (sum(nu) * log(pool) - sum(nu * log(s2))) / C }
  x <- unlist(mapply(function(s, m) as.vector(scale(qnorm(ppoints(m)))) * s, sd, n, SIMPLIFY = FALSE))
  same(B, bartlett.test(x, factor(rep(seq_along(n), n)))$statistic, "Bartlett: formula vs bartlett.test", 1e-8)
  if (is.infinite(f$d0)) same(f$s02, summary(lm(x ~ factor(rep(seq_along(n), n))))$sigma^2,
    "prior_df Infinity: prior variance vs residual mean square of a one-way layout with these spreads", 1e-8)
  post <- if (is.finite(f$d0)) (f$d0 * f$s02 + nu * s2) / (f$d0 + nu) else rep(f$s02, k)
  if (is.finite(f$d0)) {
    sq <- limma::squeezeVar(s2, nu); same(post, sq$var.post, "shrunken variances vs limma squeezeVar", 1e-5)
  }
  q <- function(p, d0, s02) if (is.finite(d0)) sqrt(d0 * s02 / qchisq(1 - p, d0)) else sqrt(s02)
  # maximum likelihood, given for comparison: s2 / s0^2 ~ F(nu, d0)
  ml <- { g <- function(v) -sum(df(s2 / exp(v[1]), nu, exp(v[2]), log = TRUE) - v[1])
  o <- optim(c(log(pool), log(10)), g, control = list(reltol = 1e-14, maxit = 5000))
  o <- optim(o$par, g, control = list(reltol = 1e-14, maxit = 5000)); c(exp(o$par[2]), exp(o$par[1])) }
  ex <- list(studies = k, pooled_sd = sqrt(pool), pooled_df = sum(nu), bartlett = B,
    bartlett_p = pchisq(B, k - 1, lower.tail = FALSE), prior_df = f$d0, prior_sd = sqrt(f$s02),
      shrunken_sd = I(sqrt(post)),
        planning_sd = c(median = q(.5, f$d0, f$s02), upper_80 = q(.8, f$d0, f$s02), upper_90 = q(.9, f$d0, f$s02)),
    pooled_upper_80 = sqrt(sum(nu) * pool / qchisq(.2, sum(nu))))
  if (ml[1] < 1e4) ex$maximum_likelihood <- c(prior_df = ml[1], prior_sd = sqrt(ml[2]))
  if (is.finite(f$d0)) {
    z <- integrate(function(v) exp(-f$d0 * f$s02 / (2 * v)) *
      (f$d0 * f$s02 / (2 * v))^(f$d0 / 2) / gamma(f$d0 / 2) / v, 0, q(.8, f$d0, f$s02)^2, rel.tol = 1e-10)$value
      same(z, .8, "upper 80 %: chi-square quantile vs integrating the inverse gamma", 1e-7)
  }
  if (!is.null(pilot)) {
    d1 <- f$d0 + pilot[2] - 1; v1 <- if (is.finite(d1)) (f$d0 * f$s02 + (pilot[2] - 1) * pilot[1]^2) / d1 else f$s02
    ex$with_pilot <- c(df = d1, sd = sqrt(v1), upper_80 = q(.8, d1, v1))
  }
  add(id, "spread_prior", source, kind, data = list(sd = I(sd), n = I(n)),
    inputs = if (!is.null(pilot)) list(pilot_sd = pilot[1], pilot_n = pilot[2]), expected = ex,
      tol = list(rel = 1e-6, abs = 1e-9, fields = list(maximum_likelihood = list(rel = 1e-3, abs = 1e-4))),
    note = paste(paste0("sd: of within-assessor differences in each closed study on the same scale. prior_df, ",
      "prior_sd: scaled inverse chi-square of the studies' true variances by moments of log variances (Smyth ",
      "2004); prior_df Infinity: no more spread than chance, then prior_sd is the pooled sd (variances weighted by ",
      "their df). planning_sd: quantiles of the next study's true sd; upper_80 is the safe choice. ",
      "pooled_upper_80: the same if all studies had one sd (Browne 1995). with_pilot: after a pilot."), note)) }
# tau^2 interval (Viechtbauer 2007) and Bayesian random effects with a half-normal prior on tau (few studies)
case_meta_more <- function(id, yi, vi, source, kind = CH, scale_tau, conf = .95, note = "") {
  k <- length(yi); Q <- function(t) { w <- 1 / (vi + t); sum(w * (yi - sum(w * yi) / sum(w))^2) }
  ub <- function(p) if (Q(0) < p) 0 else uniroot(function(t) Q(t) - p, c(0, 1e4 * max(vi, var(yi))), tol = 1e-12)$root
  ci <- c(ub(qchisq((1 + conf) / 2, k - 1)), ub(qchisq((1 - conf) / 2, k - 1)))
  r <- rma(yi, vi, method = "DL", level = 100 * conf)
  same(ci, confint(r, control = list(tol = 1e-10, tau2.max = 1e5))$random[1, 2:3], "tau2: Q profile vs metafor", 1e-5)
  hk <- rma(yi, vi, method = "REML", test = "knha", level = 100 * conf)
  ah <- rma(yi, vi, method = "REML", test = "adhoc", level = 100 * conf)
  qh <- { w <- 1 / (vi + hk$tau2); m <- sum(w * yi) / sum(w); sum(w * (yi - m)^2) / (k - 1) }
  hci <- function(q) { w <- 1 / (vi + hk$tau2)
  sum(w * yi) / sum(w) + c(-1, 1) * qt((1 + conf) / 2, k - 1) * sqrt(q / sum(w)) }
  same(c(hk$ci.lb, hk$ci.ub, ah$ci.lb, ah$ci.ub), c(hci(qh), hci(max(1, qh))),
    "Hartung-Knapp limits, plain and held: formula vs metafor", 1e-7)
  same(ah$se, sqrt(max(1, qh) / sum(1 / (vi + hk$tau2))),
    "Hartung-Knapp with the factor held at 1 or above vs metafor", 1e-7)
  # posterior of tau on a fine grid (flat prior for mu): p(tau) half-normal(scale) x sqrt(1/sum w) x prod sqrt(w)
  # exp(-Q/2)
  lp <- function(t) sapply(t, function(s) {
    w <- 1 / (vi + s^2); -s^2 / (2 * scale_tau^2) - .5 * log(sum(w)) + .5 * sum(log(w)) - .5 * Q(s^2) })
    T <- max(8 * scale_tau, 1); mx <- max(lp(seq(0, T, length.out = 2001)))
  intg <- function(g) {
    b <- c(0, .02, .05, .1, .2, .4, .7, 1) * T
    sum(sapply(2:8, function(i) integrate(function(t) exp(lp(t) - mx) * g(t) + 0 * t, b[i - 1], b[i], rel.tol = 1e-10,
      subdivisions = 2000)$value))
  }
  Z <- intg(function(t) 1); mu1 <- function(t) sapply(t, function(s) { w <- 1 / (vi + s^2); sum(w * yi) / sum(w) })
  v1 <- function(t) sapply(t, function(s) 1 / sum(1 / (vi + s^2)))
  m <- intg(mu1) / Z; s <- sqrt(intg(function(t) v1(t) + mu1(t)^2) / Z - m^2)
  cdf <- function(x) intg(function(t) pnorm(x, mu1(t), sqrt(v1(t)))) / Z
  cp <- function(x) intg(function(t) pnorm(x, mu1(t), sqrt(v1(t) + t^2))) / Z
  qq <- function(F, p) uniroot(function(x) F(x) - p, m + c(-60, 60) * s, tol = 1e-10)$root
  th <- sapply(seq_len(k), function(i) intg(function(t) { B <- t^2 / (t^2 + vi[i]); B * yi[i] + (1 - B) * mu1(t) }) / Z)
  # second route: two-dimensional grid over (mu, tau)
  gt <- seq(0, T, length.out = 4001); gm <- seq(m - 15 * s, m + 15 * s, length.out = 801)
  L <- outer(gt, gm, Vectorize(function(t, u) 0))
  for (i in seq_len(k)) L <- L - .5 * log(vi[i] + gt^2) - outer(1 / (vi[i] + gt^2), (yi[i] - gm)^2) / 2
  L <- L - gt^2 / (2 * scale_tau^2); P <- exp(L - max(L)); P[1, ] <- P[1, ] / 2; P[nrow(P), ] <- P[nrow(P), ] / 2
  P <- P / sum(P); pm <- colSums(P)
  same(c(m, s), c(sum(pm * gm), sqrt(sum(pm * gm^2) - sum(pm * gm)^2)),
    "posterior of the mean: integral over tau vs grid over both", 2e-4)
  add(id, "meta_few_studies", source, kind, data = list(yi = I(yi), vi = I(vi)),
    inputs = list(conf = conf, tau_prior = "half-normal", tau_scale = scale_tau),
      expected = list(k = k, fixed = c(mu = sum(yi / vi) / sum(1 / vi), se = sqrt(1 / sum(1 / vi))), q = Q(0),
        q_p = pchisq(Q(0), k - 1, lower.tail = FALSE), tau2_dl = r$tau2, tau2_ci_q_profile = I(ci),
          reml_tau2 = hk$tau2, hartung_knapp = list(mu = as.numeric(hk$beta), se = hk$se,
            ci = I(c(hk$ci.lb, hk$ci.ub)), factor = qh),
              hartung_knapp_at_least_1 = list(se = ah$se, ci = I(c(ah$ci.lb, ah$ci.ub))),
      bayes = list(mu = m, sd = s, ci = I(c(qq(cdf, (1 - conf) / 2), qq(cdf, (1 + conf) / 2))),
        probability_above_0 = 1 - cdf(0), prediction = I(c(qq(cp, (1 - conf) / 2), qq(cp, (1 + conf) / 2))),
          tau_mean = intg(function(t) t) / Z, shrunken = I(th))),
            tol = list(rel = 1e-6, abs = 1e-8,
              fields = list(reml_tau2 = list(rel = 1e-4, abs = 1e-6), hartung_knapp = list(rel = 1e-4, abs = 1e-6),
                hartung_knapp_at_least_1 = list(rel = 1e-4, abs = 1e-6),
                  tau2_ci_q_profile = list(rel = 1e-5, abs = 1e-7), bayes = list(rel = 1e-5, abs = 1e-7))),
    note = paste(paste0("factor: Hartung-Knapp q; below 1 the interval is shorter than the ordinary one, so hold it ",
      "at 1 (Knapp & Hartung 2003). bayes: flat prior on mu, half-normal(tau_scale) on tau; prediction: true ",
      "effect of the next study; shrunken: posterior means of the studies' own effects."), note)) }

# -- B10. Did the blind hold? -------------------------------------------------------------------------
# x: 3 x 2 counts, rows: guess arm 1, guess arm 2, don't know; columns: true arm 1, arm 2
case_blinding <- function(id, x, source, kind = PC, note = "") {
  N <- sum(x); P <- x / N
  bang <- function(r, w, dk) {
    n <- r + w + dk; p1 <- r / n; p2 <- w / n; b <- p1 - p2; v <- (p1 * (1 - p1) + p2 * (1 - p2) + 2 * p1 * p2) / n
    c(estimate = b, se = sqrt(v), lower = b - qnorm(.975) * sqrt(v), upper = b + qnorm(.975) * sqrt(v),
      upper_one_sided = b + qnorm(.95) * sqrt(v), lower_one_sided = b - qnorm(.95) * sqrt(v))
  }
  b1 <- bang(x[1, 1], x[2, 1], x[3, 1]); b2 <- bang(x[2, 2], x[1, 2], x[3, 2])
  sc <- rep(c(1, -1, 0), c(x[1, 1], x[2, 1], x[3, 1]))
  same(b1["se"], sqrt(mean((sc - mean(sc))^2) / length(sc)), "Bang se: formula vs sd of scores +1, -1, 0")
  # James: w = 0 correct, 1/2 wrong, 1 don't know
  james <- function(v) {
    P <- matrix(v, 3) / sum(v); dk <- sum(P[3, ]); w <- matrix(c(0, .5, .5, 0), 2)
    pdo <- sum(w * P[1:2, ]) / (1 - dk); pr <- rowSums(P[1:2, ]); pc <- colSums(P) - P[3, ]
    pde <- sum(w * outer(pr, pc)) / (1 - dk)^2; kd <- (pdo - pde) / pde; (1 + dk + (1 - dk) * kd) / 2 }
  # delta method on multinomial counts
  j <- james(x); J <- grad(james, as.vector(x)); p <- as.vector(x) / N; V <- N * (diag(p) - outer(p, p))
  se <- sqrt(drop(J %*% V %*% J))
  jk <- { v <- as.vector(x); th <- sapply(1:6, function(i) if (v[i] > 0) james(v - (1:6 == i)) else 0)
  mn <- sum(v * th) / N; sqrt((N - 1) / N * sum(v * (th - mn)^2)) }
  same(abs(se - jk) < (if (N > 200) .02 else .3) * se, 1,
    sprintf("James se: delta method vs jackknife within %d %%", if (N > 200) 2 else 30))
  chi <- { t2 <- x[1:2, ]; suppressWarnings(chisq.test(t2, correct = FALSE)) }
  add(id, "blinding_index", source, kind, data = list(counts = unname(x)),
    expected = list(n = N, james = list(estimate = j, se = se, ci = I(j + c(-1, 1) * qnorm(.975) * se)),
      bang_1 = as.list(b1), bang_2 = as.list(b2), share_dont_know = sum(x[3, ]) / N,
        share_correct_of_guesses = (x[1, 1] + x[2, 2]) / sum(x[1:2, ]),
          fisher_p_of_guesses = fisher.test(x[1:2, ])$p.value), tol = list(rel = 1e-6, abs = 1e-9),
    note = paste(paste0("Rows: guesses arm 1, arm 2, does not know; columns: true arm 1, arm 2. Bang per arm: ",
      "correct minus wrong share, 0 = guessing, 1 = all know, below 0 = guess the other; usual interval one-sided ",
      "95 %. James: 1 nobody knows, 1/2 guessing at random, 0 all know; unblinded when the upper limit is below ",
      "1/2; weights 0, 1/2, 1. Its se by the delta method on the multinomial counts."), note)) }

# -- B11. Does everybody shift? --------------------------------------------------------------------------
# D: assessors x replicates of the difference (each replicate a fresh pair of servings)
case_people <- function(id, D, source, kind = CH, conf = .95, note = "") {
  n <- nrow(D); r <- ncol(D); m <- mean(D); MB <- r * var(rowMeans(D)); MW <- sum((D - rowMeans(D))^2) / (n * (r - 1))
  F <- MB / MW; v1 <- n - 1; v2 <- n * (r - 1); al <- 1 - conf
  FL <- F / qf(1 - al / 2, v1, v2); FU <- F / qf(al / 2, v1, v2)
  icc <- c((FL - 1) / (FL + r - 1), (FU - 1) / (FU + r - 1)); sp2 <- (MB - MW) / r
  long <- data.frame(d = as.vector(D), who = factor(rep(1:n, r))); a <- anova(lm(d ~ who, long))
  same(c(F, pf(F, v1, v2, lower.tail = FALSE)), c(a[1, "F value"], a[1, "Pr(>F)"]), "F: formula vs anova")
  if (sp2 > 0) { mm <- lmer(d ~ 1 + (1 | who), long); vc <- as.data.frame(VarCorr(mm))$vcov
  same(c(sp2, MW), vc, "variances: mean squares vs REML", 1e-5)
  same(sqrt(MB / (n * r)), sqrt(as.numeric(vcov(mm))), "se of the mean vs lmer", 1e-5) }
  tq <- qt((1 + conf) / 2, n - 1); sp <- sqrt(max(0, sp2))
  ex <- list(n = n, replicates = r, mean = m, ci = I(m + c(-1, 1) * tq * sqrt(MB / (n * r))), sd_people = sp,
    sd_replicate = sqrt(MW), f = F, df1 = v1, df2 = v2, p = pf(F, v1, v2, lower.tail = FALSE),
      icc = (F - 1) / (F + r - 1), icc_ci = I(icc), sd_people_ci_shape = I(sqrt(pmax(0, icc / (1 - icc))) * sqrt(MW)))
  if (sp > 0) { ex$share_positive <- pnorm(m / sp); B <- sp2 / (sp2 + MW / r)
  ex$shrunken <- I(m + B * (rowMeans(D) - m)); ex$range_of_people_95 <- I(m + c(-1, 1) * qnorm(.975) * sp)
    same(pnorm(m / sp), 1 - integrate(function(x) dnorm(x, m, sp), -Inf, 0, rel.tol = 1e-12)$value,
      "share with a positive true effect: normal cdf vs integral", 1e-8) }
  ex$agree_in_sign <- sum(apply(sign(D), 1, function(s) all(s > 0) || all(s < 0)))
  add(id, "people_differ", source, kind, data = list(differences = unname(D)), inputs = list(conf = conf),
    expected = ex, tol = list(rel = 1e-7, abs = 1e-9),
      note = paste(paste0("One-way random effects of the differences: sd_people = sqrt((MSB - MSW)/r), 0 when ",
        "negative; interval of the mean from MSB; icc with its exact interval (Shrout & Fleiss 1979, case 1); ",
        "share_positive = Phi(mean / sd_people) under normal effects; shrunken: predicted effects of the ",
        "assessors; sd_people_ci_shape: sqrt(icc/(1-icc)) at the icc limits times sd_replicate."), note)) }
case_people_power <- function(id) {
  g <- expand.grid(icc = c(.1, .2, .3, .5), n = c(24, 48, 96), replicates = c(2, 3, 4))
  g$power <- mapply(function(i, n, r) {
    th <- i / (1 - i); c <- qf(.95, n - 1, n * (r - 1))
    pf(c / (1 + r * th), n - 1, n * (r - 1), lower.tail = FALSE) }, g$icc, g$n, g$replicates)
  set.seed(3); for (k in c(2, 11, 25)) {
    n <- g$n[k]; r <- g$replicates[k]; i <- g$icc[k]; c <- qf(.95, n - 1, n * (r - 1))
    s <- mean(replicate(4000, {
      D <- matrix(rnorm(n * r, 0, sqrt(1 - i)), n) + rnorm(n, 0, sqrt(i))
      r * var(rowMeans(D)) / (sum((D - rowMeans(D))^2) / (n * (r - 1))) >= c }))
      same(abs(s - g$power[k]) < .03, 1,
        sprintf("n = %d, r = %d, icc = %.1f: formula vs 4000 simulated studies within 0.03", n, r, i))
  }
  add(id, "power_people_differ", "exact: F / (1 + r icc / (1 - icc)) is central F; computed here", CH,
    inputs = list(alpha = .05), expected = list(grid = g),
      note = paste0("icc = person variance / (person + replicate variance) of single differences. 5 % F test of 'all ",
        "alike'.")) }
case_gail_simon <- function(id, d, se, source, note = "") {
  z2 <- (d / se)^2; qp <- sum(z2[d > 0]); qm <- sum(z2[d < 0]); K <- length(d); q <- min(qp, qm)
  pf1 <- function(c) if (c <= 0) 1 else sum(dbinom(1:(K - 1), K - 1, .5) * pchisq(c, 1:(K - 1), lower.tail = FALSE))
  p <- pf1(q)
  set.seed(4); s <- { Z <- matrix(rnorm(2e5 * (K - 1)), ncol = K - 1); mean(rowSums(pmax(Z, 0)^2) >= q) }
  if (q > 0) same(abs(s - p) < 5 * sqrt(p * (1 - p) / 2e5) + 1e-4, 1,
    "tail of the mixture vs 200 000 draws of K - 1 half-normal sums, within five standard errors")
  cr <- uniroot(function(c) pf1(c) - .05, c(.1, 400), tol = 1e-12)$root
  H <- sum((d - sum(d / se^2) / sum(1 / se^2))^2 / se^2)
  add(id, "opposite_directions", source, CH, data = list(estimate = I(d), se = I(se)),
    expected = list(groups = K, q_positive = qp, q_negative = qm, p = p, critical_5_percent = cr, heterogeneity_q = H,
      heterogeneity_p = pchisq(H, K - 1, lower.tail = FALSE)), tol = INT,
        note = paste(paste0("Gail & Simon 1985: is the effect truly positive in some groups and truly negative in ",
          "others? Statistic min(Q+, Q-); p = sum over h = 1..K-1 of Binomial(h; K-1, 1/2) P(chi2_h > c); p = 1 ",
          "when one side is empty (the statistic is 0). Standard errors taken as known."), note)) }
case_prevalence <- function(id, k, n, alpha, power = 1, conf = .95) {
  lik <- function(g) { t <- (1 - g) * alpha + g * power; k * log(t) + (n - k) * log1p(-t) }
  est <- max(0, min(1, (k / n - alpha) / (power - alpha)))
  lo <- pbeta(alpha, k + 1, n - k + 1); hi <- pbeta(power, k + 1, n - k + 1)
  ps <- function(q) (qbeta(lo + q * (hi - lo), k + 1, n - k + 1) - alpha) / (power - alpha)
  wd <- function(q) ps(q + conf) - ps(q); q0 <- optimize(wd, c(0, 1 - conf), tol = 1e-12)$minimum
  q0 <- c(0, q0, 1 - conf)[which.min(c(wd(0), wd(q0), wd(1 - conf)))]; c1 <- ps(c(q0, q0 + conf))
  gr <- seq(0, 1, length.out = 200001); d <- exp(lik(gr) - lik(est)); d[!is.finite(d)] <- 0; o <- order(-d)
  keep <- gr[o[cumsum(d[o]) <= conf * sum(d)]]
  same(c1, range(keep), "highest-density interval: truncated beta vs grid", 1e-3)
  add(id, "prevalence", "Ince, Paton, Kay & Schyns 2021, eLife 10:e62461 (formula from memory); computed here", CH,
    inputs = list(significant = k, people = n, alpha_each = alpha, power_each = power, conf = conf),
      expected = list(estimate = est, ci = I(c1), at_least_one_p = pbinom(k - 1, n, alpha, lower.tail = FALSE)),
        tol = INT, note = paste0("People with an effect of their own, from k of n own tests significant: share ",
          "significant = (1 - g) alpha + g power; flat prior on g in [0, 1], highest-density interval. Power of ",
          "each person's own test must be known or 1 assumed (then g is a lower bound).")) }

# -- printed values and the file ------------------------------------------------------------------------
printed <- function(id, path, text, where) {
  v <- entries[[id]]$expected; for (k in path) v <- v[[k]]
  dg <- if (grepl(".", text, fixed = TRUE)) nchar(sub(".*[.]", "", text)) else 0
  if (abs(v - as.numeric(text)) > .5000001 * 10^-dg) .all_fail <<-
    c(.all_fail, paste0(id, " - printed ", text, " but computed ", v))
  entries[[id]]$printed <<-
    c(entries[[id]]$printed, list(list(field = paste(unlist(path), collapse = "."), value = text, where = where))) }
finish <- function(file, title) {
  v <- function(p) as.character(packageVersion(p))
  top <- list(title = title,
    made_with = c(R = paste(R.version$major, R.version$minor, sep = "."),
      sapply(c("MASS", "mvtnorm", "numDeriv", "rpact", "VGAM", "ca", "lme4", "lmerTest", "ordinal", "metafor",
        "limma"), v)),
    reading = c(compare = paste0("a value passes when |got - expected| <= abs + rel * |expected|; tolerance.fields ",
      "overrides by field name at any depth below expected"),
      missing = paste0("null: not defined or not reachable; the texts \"Infinity\" and \"-Infinity\" stand for ",
        "unbounded values"),
      rows = "lists of rows (looks, grid): each row carries its arguments and its values",
      reruns = paste0("the script is seeded; values that come from iterative fits can differ from run to run in ",
        "digits far below their tolerance"), verified = "the second routes by which the script confirmed the value"),
    count = length(entries), entries = unname(entries))
  writeLines(to_json(top), file.path(here, file)); m <- sapply(entries, `[[`, "method")
  cat(length(entries), "entries,", length(unique(m)), "methods,",
    sum(sapply(entries, function(e) length(e$verified) == 0)), "without a second route\n")
  leaves <- function(x) if (is.data.frame(x)) sum(sapply(x, is.numeric)) *
    nrow(x) else if (is.list(x)) sum(sapply(x, leaves)) else if (is.numeric(x)) length(x) else 0
  cat(sum(sapply(entries, function(e) leaves(e$expected))), "expected numbers\n")
  if (length(.all_fail)) cat("FAILED CHECKS:\n", paste0(" ", .all_fail, "\n"),
    sep = "") else cat("all second routes agree\n") }

# ==========================================================================
# C. The data and the entries
# ==========================================================================
# -- C1. Group-sequential ---------------------------------------------------------
JT <- "Jennison & Turnbull 2000, Group Sequential Methods, tables 2.1-2.4 (constants from memory; computed here)"
LD <- "Lan & DeMets 1983, Biometrika 70; computed here"
RB <- paste0("Reboussin, DeMets, Kim & Lan 2000, Control. Clin. Trials 21; output printed in the vignette of the R ",
  "package ldbounds")
for (K in c(2, 3, 4, 5, 10)) case_gs_classical(sprintf("gs_classical.k%d", K), K, .05, JT)
case_gs_classical("gs_classical.k5_alpha01", 5, .01, JT)
case_gs_bounds("gs_bounds.of_5_equal", (1:5) / 5, "obrien_fleming_like", RB, PC,
  note = paste0("The older programs print 3.3569 at look 2; three routes here give 3.35701, and only that spends the ",
    "alpha exactly."))
case_gs_bounds("gs_bounds.pocock_5_equal", (1:5) / 5, "pocock_like", LD)
case_gs_bounds("gs_bounds.of_2_half", c(.5, 1), "obrien_fleming_like", LD)
case_gs_bounds("gs_bounds.of_3_equal", (1:3) / 3, "obrien_fleming_like", LD)
case_gs_bounds("gs_bounds.of_unequal", c(.13, .4, .69, .9, .98, 1), "obrien_fleming_like", LD,
  note = "A bound may rise at the last look when looks are close together.")
case_gs_bounds("gs_bounds.of_alpha01_unequal", c(.3, .55, 1), "obrien_fleming_like", LD, alpha = .01)
case_gs_bounds("gs_bounds.pocock_unequal", c(.25, .7, 1), "pocock_like", LD)
case_gs_bounds("gs_bounds.of_paired_t_12_24_48", c(12, 24, 48) / 48, "obrien_fleming_like", LD, n = c(12, 24, 48))
case_gs_bounds("gs_bounds.of_short_panel", c(20, 41, 54) / 60, "obrien_fleming_like", LD, n = c(20, 41, 54),
  package = FALSE, note = paste0("60 planned, the last sitting ended at 54: the last look still spends all of alpha; ",
    "the fraction 0.9 enters the correlations."))
case_gs_exit("gs_exit.reboussin", c(.13, .4, .69, .9, .98, 1), c(5.3666, 3.7102, 2.9728, 2.5365, 2.2154, 1.9668),
  3.242, RB, PC)
case_gs_exit("gs_exit.of_3_power80", (1:3) / 3, gs_bounds((1:3) / 3, .05, "obrien_fleming_like")$z, 2.8016,
  "computed here: the drift of an 80 % single-look test")
case_gs_inference("gs_inference.bhat", c(.2292, .3333, .4375, .5833, .7083, .8333),
  c(2.53, 2.61, 2.57, 2.47, 2.43, 2.38), 6, 2.82, paste0(RB, " (heart attack trial stopped at look 6 with z = 2.82)"),
    PC, note = paste0("The vignette prints 0.1716782 and 4.504662 for z_scale_ci (time rescaled to the last look, ",
      "coarser integration)."))
b4 <- gs_bounds((1:4) / 4, .05, "obrien_fleming_like")$z
case_gs_inference("gs_inference.of_4_stop_at_2", (1:4) / 4, b4, 2, 3.1, CH, mean = 9.3,
  note = "Stopped early with a mean difference of 9.3 points.")
case_gs_inference("gs_inference.of_4_not_stopped", (1:4) / 4, b4, 4, 1.2, CH, mean = 2.4)
case_gs_inference("gs_inference.of_4_stop_below", (1:4) / 4, b4, 3, -2.6, CH)
case_gs_inference("gs_inference.one_look", 1, 1.959964, 1, 2.5,
  "computed here: must equal the ordinary normal interval", mean = 5)
local({ e <- entries[["gs_inference.one_look"]]$expected
stopifnot(abs(e$drift_ci - (2.5 + c(-1, 1) * qnorm(.975))) < 1e-8) })
# -- C2. Whenever one looks -----------------------------------------------------------
WR <- paste0("right-Haar mixture of Wang & Ramdas 2024 (arXiv 2310.03722) and of Perez-Ortiz, Lardy, de Heide & ",
  "Grunwald 2024, Ann. Stat. 52; computed here")
data(ham, package = "lmerTest")
ham <- ham[order(as.integer(as.character(ham$Consumer)), ham$Product, ham$Information), ]
hd <- function(p) ham$Informed.liking[ham$Product == p & ham$Information == 2] -
  ham$Informed.liking[ham$Product == p & ham$Information == 1]
s_ham <- "lmerTest::ham, 81 consumers, liking with information minus without"
for (p in c(1, 3)) case_anytime_t(sprintf("anytime_t.ham_product%d", p), hd(p), c(12, 24, 48, 81), .25,
  paste0(s_ham, ", product ", p, "; ", WR), PC)
sl <- split(datasets::sleep$extra, datasets::sleep$group)
case_anytime_t("anytime_t.sleep", sl[[2]] - sl[[1]], c(5, 10), 1, paste0("datasets::sleep (Student 1908); ", WR), PC,
  note = "With few assessors and small n the interval can be unbounded.")
set.seed(21); dl <- round(pmax(-100, pmin(100, rnorm(60, 9, 19))))
case_anytime_t("anytime_t.line_scale", dl, c(8, 12, 20, 40, 60), .25,
  paste0("made up: 60 differences on a 0-100 line (R seed 21); ", WR))
case_anytime_t("anytime_t.narrow_prior", dl, c(3, 12, 60), .04, WR,
  note = paste0("A narrow prior needs more assessors before the interval is bounded: it is not while ",
    "((1+ng)/alpha^2)^(1/n) >= 1 + ng."))
WS <- "Waudby-Smith & Ramdas 2024, J. R. Stat. Soc. B 86, 1-27; computed here"
case_anytime_betting("anytime_betting.line_scale", dl, 100, c(12, 20, 40, 60),
  paste0("made up: the differences of anytime_t.line_scale; ", WS))
case_anytime_betting("anytime_betting.line_scale_half_cap", dl, 100, c(12, 40, 60), WS, cap = .5,
  note = "The authors' default cap 1/2: safer bets, slower.")
case_anytime_betting("anytime_betting.ham_product3", hd(3), 8, c(12, 24, 48, 81), paste0(s_ham, ", product 3; ", WS),
  PC)
case_anytime_proportion("anytime_proportion.signs_18_6", 18, 24, .5,
  "Robbins 1970, Ann. Math. Stat. 41; computed here")
  case_anytime_proportion("anytime_proportion.triangle_20_36", 20, 36, 1/3, "Robbins 1970; computed here")
  case_anytime_proportion("anytime_proportion.none", 0, 10, .5, "Robbins 1970; computed here", note = "At the edge.")
HC <- paste0("Robbins 1970; Howard, Ramdas, McAuliffe & Sekhon 2021, Ann. Stat. 49; values as in the unit tests of ",
  "the authors' public code (confseq)")
case_normal_mixture("normal_mixture.v100", 100, 12.60056, .05, HC, PC, v_opt = 100)
case_normal_mixture("normal_mixture.paired_sd20_n40", 40 * 400, 24 * 400 / 7.936, .05, "computed here",
  note = "sd 20, 40 assessors, tuned for about 24.")
# -- C3. Ratios ------------------------------------------------------------------------
case_ratio_fieller("ratio_fieller.plain", 5, 2, .49, .04, .02, 23, "computed here")
case_ratio_fieller("ratio_fieller.normal", .15, .25, .002, .005, .0001, Inf, "computed here")
case_ratio_fieller("ratio_fieller.two_rays", 5, 2, .49, 1.21, .1, 23, "computed here")
case_ratio_fieller("ratio_fieller.whole_line", .6, .5, .49, .36, .1, 23, "computed here")
case_ratio_fieller("ratio_fieller.negative", -3, 1.5, .25, .06, -.03, 11, "computed here", conf = .9)
set.seed(31); lv <- c(6, 7, 8, 9, 10)
mk <- function(n, slope, shift, sb = .35, sp = 11, se = 9, x0 = 8) {
  u <- rnorm(n, 48, sp); sl <- rnorm(n, slope, sb * abs(slope))
  P <- sapply(lv, function(v) u + sl * (v - 8) + rnorm(n, 0, se))
  N <- u + sl * (x0 - 8) + rnorm(n, shift, 4) + rnorm(n, 0, se)
  cl <- function(z) round(pmin(pmax(z, 0), 100)); list(P = cl(P), N = cl(N)) }
z <- mk(24, 7, 6); case_equivalent_dose("equivalent_dose.clear", lv, z$P, z$N, 8,
  "made up: 24 assessors, salt 6-10 g/l, 0-100 line (R seed 31)")
z <- mk(16, 7, 6, x0 = 7)
case_equivalent_dose("equivalent_dose.named_at_7", lv, z$P, z$N, 7, "made up: 16 assessors, named dish at 7 g/l",
  conf = .9)
z <- mk(12, .3, 6, sb = 1)
case_equivalent_dose("equivalent_dose.flat_slope", lv, z$P, z$N, 8, "made up: 12 assessors who hardly taste the salt",
  note = "The slope is not clearly different from 0: no dose can be named.")
EP <- "European Pharmacopoeia 5.0 (2005) chapter 5.3, example "
co <- list(S1 = c(300,310,330,290,364,328,390,360,342,306), S2 = c(289,221,267,236,250,231,229,269,233,259),
  T1 = c(310,290,360,341,321,370,303,334,295,315), T2 = c(230,210,280,261,241,290,223,254,216,235),
    U1 = c(250,268,273,240,307,270,317,312,320,265), U2 = c(236,213,283,269,251,294,223,250,216,265))
for (p in c("T", "U")) case_parallel_line(paste0("parallel_line.corticotrophin_", p), unlist(co, use.names = FALSE),
  rep(c("S", "T", "U"), each = 20), rep(rep(c(log(.25), log(1)), each = 10), 3), NULL, p,
    paste0(EP, "5.1.1 (corticotrophin); data and printed results as carried by the R package pla"), 1,
      note = "Columns 1 and 2 are the lower and the higher dose, ratio 4.")
ag <- c(161,151,162,194,176,193,160,192,195,184,181,166,178,150,174,199,201,161,187,172,161,160,202,186,171,170,193,
  163,154,198,194,192,151,171,151,182)
  at <- c("S1","T1","T2","S3","S2","T3","T1","T3","S3","S2","T2","S1","T2","S1","S2","T3","S3","T1","S3","S2","S1",
    "T1","T3","T2","S2","T2","T3","S1","T1","S3","T3","S3","T1","T2","S1","S2")
case_parallel_line("parallel_line.agar_latin_square", ag, substr(at, 1, 1), as.numeric(substr(at, 2, 2)) * log(1.5),
  list(row = factor(rep(1:6, 6)), column = factor(rep(1:6, each = 6))), "T",
    paste0(EP, "5.1.2 (antibiotic agar diffusion, Latin square); data as carried by the R package pla"),
      4855 * 25.2 / 24.5 / (21.4 / 23.95), note = "Rows and columns as blocks.")
hb <- list(S = rbind(c(.043,.093,.159,.283,.514), c(.045,.099,.154,.295,.531), c(.051,.082,.166,.362,.545)),
  T = rbind(c(.097,.167,.327,.501,1.140), c(.097,.157,.355,.665,1.386), c(.094,.178,.345,.576,1.051)),
    U = rbind(c(.086,.127,.277,.586,.957), c(.071,.146,.268,.489,.866), c(.073,.133,.269,.546,1.045)),
      V = rbind(c(.082,.145,.318,.552,1.037), c(.082,.144,.306,.551,1.039), c(.086,.173,.316,.624,1.068)))
for (p in c("T", "U", "V")) case_parallel_line(paste0("parallel_line.hepatitis_b_", p),
  log(unlist(lapply(hb, as.vector), use.names = FALSE)), rep(names(hb), each = 15),
    rep(rep((1:5) * log(2), each = 3), 4), NULL, p,
      paste0(EP, paste0("5.1.4 (hepatitis B vaccines, log responses); data and printed results as carried by the R ",
        "package pla")), 20)
set.seed(41); eb <- function(n, gap, A, sdp = 1.1, se = 1) {
  u <- rnorm(n, 5.8, sdp); cl <- function(z) pmin(pmax(round(z), 1), 9)
  list(e = cl(u + gap + rnorm(n, 0, se)), b = cl(u + rnorm(n, 0, se)), i = cl(u + A * gap + rnorm(n, 0, se)))
}
z <- eb(60, 1.4, .5)
case_assimilation("assimilation.partial", z$e, z$b, z$i,
  "made up: 60 assessors, 9-point liking, true ratio 0.5 (R seed 41)")
z <- eb(40, 1.2, 1); case_assimilation("assimilation.complete", z$e, z$b, z$i, "made up: 40 assessors, true ratio 1")
z <- eb(30, .05, .5)
case_assimilation("assimilation.no_gap", z$e, z$b, z$i,
  "made up: 30 assessors who expected what they got: no ratio can be given"); z <- eb(80, 1.5, -.4)
  case_assimilation("assimilation.contrast", z$e, z$b, z$i, "made up: 80 assessors, true ratio -0.4")
# -- C6. Randomisation ------------------------------------------------------------------------
KF <- "principle: Fisher 1935; Kempthorne 1952; made-up ratings, computed here by full enumeration"
y8 <- rbind(c(62, 48), c(55, 61), c(70, 52), c(44, 49), c(66, 57), c(58, 52), c(73, 60), c(39, 51)); ab <- c(1, 2)
ba <- c(2, 1)
obs8 <- rbind(ab, ba, ab, ba, ba, ab, ab, ba)
mk <- function(s) matrix(unlist(lapply(s, function(z) if (z) ab else ba)), ncol = 2, byrow = TRUE)
bl <- as.matrix(expand.grid(rep(list(c(TRUE, FALSE)), 4)))
al_block <- lapply(1:16, function(i) mk(as.vector(rbind(bl[i, ], !bl[i, ]))))
conv <- function(y, obs) {
  d <- (y[, 1] - y[, 2]) * ifelse(obs[, 1] == 1, 1, 1); D <- d[c(1, 3, 5, 7)] - d[c(2, 4, 6, 8)]
  s <- ifelse(obs[c(1, 3, 5, 7), 1] == 1, 1, -1); T0 <- sum(D * s)
  S <- as.matrix(expand.grid(rep(list(c(-1, 1)), 4))) %*% D; c(mean(abs(S) >= abs(T0) - 1e-9), mean(S >= T0 - 1e-9))
}
case_randomisation("randomisation.pairs_in_blocks_of_2", y8, obs8, al_block, lot("blocks", AB_BA, c(2, 2, 2, 2)),
  "AB and BA, one of each in every block of two assessors (1-2, 3-4, 5-6, 7-8)", KF, second = conv,
    note = "16 plans: no p below 1/16.")
cmb <- combn(8, 4); al_half <- lapply(1:ncol(cmb), function(j) mk(seq_len(8) %in% cmb[, j]))
half2 <- function(y, obs) {
  d <- y[, 1] - y[, 2]; S <- apply(combn(8, 4), 2, function(k) sum(d[k]) - sum(d[-k]))
  T0 <- sum(d * ifelse(obs[, 1] == 1, 1, -1)); c(mean(abs(S) >= abs(T0) - 1e-9), mean(S >= T0 - 1e-9))
}
case_randomisation("randomisation.half_and_half", y8, obs8, al_half, lot("half", AB_BA, 8),
  "AB for four of the eight assessors, BA for the others", KF, second = half2)
case_randomisation("randomisation.independent_coins", y8, obs8,
  lapply(1:256, function(i) mk(bitwAnd(i - 1, 2^(0:7)) > 0)), lot("coins", AB_BA), "a fair coin for every assessor",
    KF, second = function(y, obs) {
      s <- ifelse(obs[, 1] == 1, 1, -1); d <- (y[, 1] - y[, 2]) * s
      S <- as.matrix(expand.grid(rep(list(c(-1, 1)), 8))) %*% d
      c(mean(abs(S) >= abs(sum(d)) - 1e-9), mean(S >= sum(d) - 1e-9)) },
        note = "Equals the sign-flip test of the differences.")
W3 <- rbind(c(1, 2, 3), c(2, 3, 1), c(3, 1, 2), c(3, 2, 1), c(1, 3, 2), c(2, 1, 3))
y6 <- rbind(c(70, 55, 58), c(61, 66, 72), c(49, 63, 50), c(57, 44, 60), c(66, 59, 47), c(52, 68, 61))
pm <- all_perms(1:6)
case_randomisation("randomisation.williams_3_samples", y6, W3, lapply(1:720, function(i) W3[pm[i, ], ]),
  lot("williams", W3, 6),
    paste0("the six rows of the pair of Williams squares for three samples, in random order over six assessors ",
      "(relabelling the samples only permutes the rows)"), KF, note = paste0("720 plans. Sample 3 stays in the plan ",
        "and out of the statistic."))
W4 <- rbind(c(1, 2, 4, 3), c(2, 3, 1, 4), c(3, 4, 2, 1), c(4, 1, 3, 2))
y4 <- rbind(c(71, 50, 62, 48), c(55, 58, 66, 52), c(60, 49, 57, 70), c(47, 68, 53, 59)); P4 <- all_perms(1:4)
al4 <- list(); for (i in 1:24) for (j in 1:24) {
  m <- matrix(P4[i, ][W4], 4)[P4[j, ], ]; al4[[paste(m, collapse = ",")]] <- m
}
case_randomisation("randomisation.williams_4_samples", y4, W4, unname(al4), lot("williams", W4, 4, relabel = TRUE),
  "one Williams square for four samples, samples relabelled and rows shuffled at random over four assessors", KF,
    note = "Relabellings and row orders coincide in part; the different plans are equally likely.")
al_bs <- list(); cb <- combn(4, 2)
for (i in 1:6) for (j in 1:6) for (k in 1:6) {
  v <- rep(2, 12); v[cb[, i]] <- 1; v[4 + cb[, j]] <- 1; v[8 + cb[, k]] <- 1; al_bs[[length(al_bs) + 1]] <- v
}
local({ y <- c(62, 51, 70, 49, 58, 66, 47, 55, 73, 60, 52, 57); o <- c(1, 2, 1, 2, 1, 1, 2, 2, 1, 2, 2, 1)
st <- function(y, a) mean(y[a == 1]) - mean(y[a == 2]); r <- rand_case(y, o, al_bs, st)
ci <- invert(y, o, al_bs, st, .9)
  pmf <- function() { b <- list(1:4, 5:8, 9:12); S <- 0
  for (q in b) { z <- apply(combn(4, 2), 2, function(k) sum(y[q][k]) - sum(y[q][-k]))
  S <- as.vector(outer(S, z, "+")) }; S / 6 }
  same(c(mean(abs(pmf()) >= abs(r$T0) - 1e-9), mean(pmf() >= r$T0 - 1e-9)), c(r$two, r$up),
    "enumeration vs convolution over blocks")
  L <- lot("between_blocks", ONE_EACH, c(4, 4, 4)); same_lottery(L, 12, al_bs)
  add("randomisation.between_blocks_of_4", "randomisation_test", KF, CH, data = list(ratings = I(y), sample = I(o)),
    inputs = c(as_inputs(L),
      list(lottery = "one sample to each assessor; two and two in every block of four",
        statistic = "difference of the two group means, sample 1 minus sample 2", conf = .9)),
    expected = list(n = 12, plans = length(al_bs), difference = r$T0, p_two_sided = r$two, p_greater = r$up,
      p_less = r$down, smallest_possible_p_greater = 1 / length(al_bs), ci = I(ci)), note = "216 plans.") })
for (q in list(c(0, 999), c(26, 999), c(49, 999), c(499, 9999),
  c(4, 19))) case_monte_carlo_p(sprintf("monte_carlo_p.%d_of_%d", q[1], q[2]), q[1], q[2])
add("randomisation.redraws_needed", "monte_carlo_redraws", "binomial, computed here", CH,
  expected = list(grid = {
    g <- expand.grid(p = c(.05, .01), half_width = c(.01, .005, .001))
    g$redraws <- ceiling(qnorm(.975)^2 * g$p * (1 - g$p) / g$half_width^2); g }),
      note = "Redraws so that the 95 % Monte Carlo interval of p is about plus or minus half_width.")
# -- C7. Replicates, sequential -----------------------------------------------------------------
case_replicated("replicated.triangle_30x4", c(2,1,3,4,0,1,2,4,1,1,3,2,4,1,0,2,1,4,3,1,2,1,4,0,1,2,3,1,1,4), rep(4, 30),
  1/3, "made up: 30 assessors, 4 triangles each, computed here")
case_replicated("replicated.two_afc_24x6", c(3,6,4,2,5,6,3,3,6,4,2,6,5,3,1,6,4,3,6,2,5,3,6,4), rep(6, 24), 1/2,
  "made up: 24 assessors, 6 paired tests each, computed here")
case_replicated("replicated.unequal_numbers", c(2,1,0,3,4,2,1,1,5,0,2,3), c(3,3,2,4,4,3,2,4,5,3,3,4), 1/3,
  "made up: numbers of trials differ, computed here")
  case_replicated("replicated.alike", c(2,2,1,2,2,2,1,2,2,2,2,1), rep(3, 12), 1/3,
    "made up: assessors more alike than chance allows: gamma 0, computed here")
data(lirat, package = "VGAM")
with(subset(lirat, grp == 1),
  case_replicated("replicated.rats_group1", R, N, 0,
    paste0("VGAM::lirat group 1 (Moore & Tsiatis 1991, Biometrics 47), litters of rats: general data for a ",
      "beta-binomial with chance 0"), PC))
case_sprt("sprt.paired_iso16820", .5, .7, .1, .1, 60, c(.4, .5, .55, .6, .65, .7, .8, .9),
  "Wald 1947; parameters of the meat patties example of ISO 16820 as inferred in the project's facts; computed here")
case_sprt("sprt.triangle_pd40", 1/3, .6, .05, .1, 60, c(1/3, .4, .45, .5, .6, .7, .8), "Wald 1947; computed here")
case_sprt("sprt.triangle_pd30", 1/3, 1/3 + .3 * 2/3, .05, .05, 120, c(1/3, .4, .4666, .5333333333333333, .6),
  "Wald 1947; computed here")
# -- C8. Choice, just about right, terms, thresholds ------------------------------------------------
case_preference("preference.45_20_35", 45, 20, 35, "computed here")
case_preference("preference.30_10_14", 30, 10, 14, "computed here")
case_preference("preference.no_undecided", 21, 0, 9, "computed here",
  note = "Without undecided answers the tests agree with the exact binomial test.")
  case_preference("preference.mostly_undecided", 9, 40, 3, "computed here")
jl <- c(5,6,4,5,6, 7,8,7,6,8,7,7,8,6,7,8,7, 6,5,7); jr <- c(rep(-1, 5), rep(0, 12), rep(1, 3))
case_penalty("penalty.facts_example", jl, jr, "made up, as in the project's facts: drops 1.967 and 1.167")
set.seed(51); jj <- sample(c(-1, 0, 1), 90, TRUE, c(.32, .5, .18))
ll9 <- pmin(9, pmax(1, round(6.9 - 1.3 * (jj < 0) - .6 * (jj > 0) + rnorm(90, 0, 1.5))))
case_penalty("penalty.invented_90", ll9, jj, "made up: 90 assessors (R seed 51)")
data(smoke, package = "ca")
case_ca("ca.smoke", as.matrix(smoke), "ca::smoke (Greenacre 1984, table 3.1): staff groups by smoking",
  note = "Published total inertia 0.0852, principal inertias 0.0748, 0.0100, 0.0004.")
data(caith, package = "MASS")
case_ca("ca.caithness", as.matrix(caith), "MASS::caith (Fisher 1940, Ann. Eugenics 10): eye by hair colour",
  note = "Published canonical correlations 0.4464, 0.1735, 0.0293.")
case_ca("ca.check_all_that_apply",
  rbind(c(41, 12, 30, 8, 22), c(18, 35, 27, 15, 10), c(25, 20, 11, 33, 14), c(9, 28, 36, 19, 27)),
    "made up: four samples by five terms, times ticked", CH)
for (q in list(c(10, 40), c(8, 24), c(6, 12))) case_dominance(sprintf("dominance.%d_terms_%d_runs", q[1], q[2]), q[1],
  q[2])
Mb <- rbind(c(0,1,0,1,1,1), c(0,0,0,1,1,1), c(1,0,1,1,1,1), c(1,1,1,1,1,1), c(0,0,1,0,1,1), c(0,1,1,1,1,1),
  c(0,0,0,0,0,1), c(1,0,0,1,1,0))
  case_bet("best_estimate.eight", c(.25, .5, 1, 2, 4, 8), Mb,
    "made up: rule of ASTM E679 as in the project's facts, computed here",
      note = "Assessor 4 right throughout, assessor 8 missed the strongest.")
case_curve("curve.three_afc", c(.25, .5, 1, 2, 4, 8), c(9, 11, 14, 20, 26, 29), rep(30, 6), 1/3, "computed here")
case_curve("curve.yes_no", c(1, 1.5, 2.2, 3.3, 5), c(3, 8, 14, 21, 23), c(25, 25, 24, 25, 24), 0, "computed here",
  conf = .9); case_curve("curve.flat", c(.5, 1, 2, 4), c(11, 13, 12, 14), rep(30, 4), 1/3, "computed here",
    note = "The slope is not clear: no interval.")
case_curve("curve.budworm_male", 2^(0:5), c(1, 4, 9, 13, 18, 20), rep(20, 6), 0,
  "Collett 1991 tobacco budworm, males, as in MASS (Venables & Ripley)", PC)
case_friedman_exact("friedman_exact.4x3", rbind(c(1, 2, 3), c(1, 3, 2), c(1, 2, 3), c(2, 1, 3)),
  "computed here; tables of Friedman's statistic for n = 4, k = 3 give 0.125 at 4.5 (from memory)")
  case_friedman_exact("friedman_exact.5x3_ties", rbind(c(5, 6, 8), c(4, 4, 7), c(6, 7, 7), c(3, 5, 6), c(5, 5, 5)),
    "computed here"); case_friedman_exact("friedman_exact.4x4",
      rbind(c(3, 1, 2, 4), c(4, 1, 2, 3), c(3, 2, 1, 4), c(4, 2, 1, 3)), "computed here")
# -- C9. A house's own studies ----------------------------------------------------------------------
case_spread("spread.six_studies", c(17.2, 22.5, 19.8, 28.1, 15.4, 21.0), c(24, 31, 40, 18, 28, 52),
  "made up: six closed studies on the 0-100 line, computed here", pilot = c(26, 8))
  case_spread("spread.alike", c(1.62, 1.7, 1.58, 1.66), c(40, 35, 60, 48),
    "made up: four studies that scatter alike, computed here", note = "No heterogeneity: the pooled spread stands.")
    case_spread("spread.two_studies", c(12, 24), c(12, 12), "made up: two small studies, computed here")
local({ set.seed(61); s <- sapply(1:12, function(i) sqrt(400 * 12 / rchisq(1, 12))); n <- sample(15:60, 12)
sd <- round(sapply(1:12, function(i) s[i] * sqrt(rchisq(1, n[i] - 1) / (n[i] - 1))), 2)
case_spread("spread.twelve_studies", sd, n,
  "made up: twelve studies, true prior 12 df and 20 points (R seed 61), computed here") })
ey <- c(28, 8, -3, 7, -1, 1, 18, 12); es <- c(15, 10, 16, 11, 9, 11, 10, 18)
case_meta_more("meta_few.eight_schools", ey, es^2,
  "Rubin 1981; Gelman et al., Bayesian Data Analysis, table 5.2 (eight schools, data from memory)", MEM,
    scale_tau = 10, note = "The book gives the fixed-effect mean 7.7 with se 4.1 and Q not significant.")
case_meta_more("meta_few.three_tastings", c(6.2, 9.8, 2.9), c(2.9, 3.4, 2.6)^2,
  "made up: one name tested in three studies, computed here", scale_tau = 5)
  case_meta_more("meta_few.two_tastings", c(.62, .31), c(.21, .24)^2,
    "made up: two studies, standardised differences, computed here", scale_tau = .3)
    case_meta_more("meta_few.agreeing", c(5.1, 5.3, 4.9, 5.2), c(2, 2.2, 1.9, 2.5)^2,
      "made up: studies that agree more than chance, computed here", scale_tau = 5,
        note = "factor far below 1: the plain Hartung-Knapp interval is far too short.")
# -- C10. Blinding --------------------------------------------------------------------------------------
case_blinding("blinding.crisp", matrix(c(82, 27, 25, 29, 170, 83), 3, byrow = TRUE),
  "Bang, Ni & Davis 2004, Control. Clin. Trials 25, table 7 (CRISP); counts as in the R package BI")
for (q in list(list("investigators", c(48, 22, 4, 30, 330, 319)), list("coordinators", c(94, 52, 11, 44, 289, 284)),
  list("patients", c(143, 104, 14, 57, 188, 175)))) case_blinding(paste0("blinding.houweling_", q[[1]]),
    matrix(q[[2]], 3, byrow = TRUE),
      "Houweling, Shapiro, Cohen & Kahn 2014, Clin. Trials 11, table 2; counts as in the R package BI")
case_blinding("blinding.table_of_24", matrix(c(9, 3, 2, 4, 3, 3), 3, byrow = TRUE),
  "made up: 14 + 10 guests asked which of two dishes was the changed one", CH)
# -- C11. People who differ ---------------------------------------------------------------------------------
set.seed(71); pd <- function(n, r, m, sp, se, dg = 0) round(matrix(rnorm(n * r, 0, se), n) + rnorm(n, m, sp), dg)
case_people("people.differ", pd(24, 3, 6, 9, 14),
  "made up: 24 assessors, 3 repeated pairs, true person sd 9 (R seed 71)")
  case_people("people.alike", pd(20, 2, 6, 0, 14), "made up: 20 assessors, 2 repeated pairs, nobody differs")
  case_people("people.strong", pd(16, 4, 4, 15, 10), "made up: 16 assessors, 4 repeated pairs, strong differences")
set.seed(5); case_people_power("power_people_differ.grid")
case_gail_simon("opposite.four_tables", c(8.1, -3.2, 5.5, 7.0), c(3, 3.5, 2.8, 3.2), "made up: four sittings")
case_gail_simon("opposite.clear", c(9, -8, 7, -6, 8), c(2.5, 2.6, 2.4, 2.5, 2.7),
  "made up: five groups that truly differ in direction")
  case_gail_simon("opposite.two_groups", c(5, -4), c(2, 2),
    "made up: two groups; published 5 % point for two groups 2.71")
case_prevalence("prevalence.14_of_20", 14, 20, .05); case_prevalence("prevalence.3_of_24", 3, 24, .05, .6)
case_prevalence("prevalence.none", 0, 15, .05)

# -- values printed elsewhere ------------------------------------------------------------------------
JTm <- "Jennison & Turnbull 2000, tables 2.1, 2.2, 2.3, 2.4 (from memory)"
for (q in list(list(2, "2.178", "1.977", "1.110", "1.008", "0.083"),
  list(3, "2.289", "2.004", "1.166", "1.017", "0.107"), list(4, "2.361", "2.024", "1.202", "1.024", "0.126"),
    list(5, "2.413", "2.040", "1.228", "1.028", "0.142"), list(10, "2.555", "2.087", "1.300", "1.040", "0.193"))) {
      id <- sprintf("gs_classical.k%d", q[[1]])
  printed(id, "pocock_constant", q[[2]], JTm); printed(id, "obrien_fleming_constant", q[[3]], JTm)
  printed(id, list("inflation_pocock", "power_80"), q[[4]], JTm)
  printed(id, list("inflation_obrien_fleming", "power_80"), q[[5]], JTm)
  printed(id, "alpha_of_uncorrected_looks", q[[6]], "Armitage, McPherson & Rowe 1969 (from memory)") }
LDv <- "vignette of the R package ldbounds, example of Reboussin et al. 2000"
for (k in c(1, 3, 4, 5)) printed("gs_bounds.of_5_equal", list("z", k),
  c("4.8769", "", "2.6803", "2.2898", "2.0310")[k], LDv)
printed("gs_exit.reboussin", "power", "0.90", LDv); printed("gs_inference.bhat", list("z_scale_ci", 1), "0.17", LDv)
printed("gs_inference.bhat", list("z_scale_ci", 2), "4.50", LDv)
printed("anytime_t.sleep", list("looks", "e_cauchy", 2), "17.25888",
  "manual of the R package BayesFactor (from memory)")
printed("normal_mixture.v100", "bound", "30.35209", "unit test of the authors' public code")
printed("normal_mixture.v100", "best_rho_approximate", "12.60056", "unit test of the authors' public code")
PHE <- "European Pharmacopoeia 5.0, 5.3 (as carried by the R package pla)"
for (q in list(list("corticotrophin_T", "1.14205", "0.783648", "1.68690"),
  list("corticotrophin_U", "1.66889", "1.148130", "2.55503"), list("hepatitis_b_T", "43.4196", "40.5448", "46.5397"),
    list("hepatitis_b_U", "35.1630", "32.8698", "37.6405"), list("hepatitis_b_V", "39.4017", "36.8125", "42.2057"))) {
      id <- paste0("parallel_line.", q[[1]]); printed(id, "potency", q[[2]], PHE)
      printed(id, list("potency_ci", 2), q[[4]], PHE)
      printed(id, list("potency_ci", 1), if (q[[3]] == "1.148130") "1.14813" else q[[3]], PHE)
    }
printed("parallel_line.corticotrophin_T", "ms_error", "765.572", PHE)
printed("parallel_line.corticotrophin_T", "slope", "-47.0559", PHE)
printed("parallel_line.hepatitis_b_T", "slope", "0.908479", PHE)
printed("ca.smoke", "total_inertia", "0.08519", "Greenacre 1984 (from memory)")
for (k in 1:3) printed("ca.smoke", list("inertias", k), c("0.07476", "0.01002", "0.00041")[k],
  "Greenacre 1984 (from memory)")
printed("friedman_exact.4x3", "exact_p", "0.125", "tables of Friedman's statistic (from memory)")
BIr <- "README of the Julia package BlindingIndex for the same counts"
printed("blinding.houweling_investigators", list("james", "estimate"), "0.896", BIr)
printed("blinding.houweling_investigators", list("james", "se"), "0.011", BIr)
printed("blinding.houweling_investigators", list("james", "ci", 1), "0.875", BIr)
printed("blinding.houweling_investigators", list("james", "ci", 2), "0.918", BIr)
for (q in list(c("bang_1", "estimate", "0.115"), c("bang_1", "se", "0.018"), c("bang_1", "lower", "0.08"),
  c("bang_1", "upper", "0.15"), c("bang_2", "estimate", "0.022"), c("bang_2", "se", "0.019"),
    c("bang_2", "lower", "-0.016"), c("bang_2", "upper", "0.06"))) printed("blinding.houweling_investigators",
      list(q[1], q[2]), q[3], BIr)
printed("meta_few.eight_schools", list("fixed", "mu"), "7.7", "Gelman et al., Bayesian Data Analysis (from memory)")
printed("meta_few.eight_schools", list("fixed", "se"), "4.1", "Gelman et al., Bayesian Data Analysis (from memory)")
printed("opposite.two_groups", "critical_5_percent", "2.71", "Gail & Simon 1985, table (from memory)")
printed("opposite.four_tables", "critical_5_percent", "5.43", "Gail & Simon 1985, table (from memory)")
printed("opposite.clear", "critical_5_percent", "6.50", "Gail & Simon 1985, table (from memory)")
printed("sprt.triangle_pd30", "fixed_n_first", "66",
  "ISO 4120 table A.3 (from memory): alpha = beta = 0.05, 30 % discriminators")

finish("next.json", "Check values for the next capabilities")
