# Words that are ticked: correspondence analysis by svd(), and exact p of Cochran's Q by listing every shuffle, base R
# alone. Run in this folder: Rscript make_words.R writes words.json.
num <- function(x) sprintf("%.17g", x)
vec <- function(x) paste0("[", paste(num(x), collapse = ", "), "]")
mat <- function(m) paste0("[", paste(apply(m, 1, vec), collapse = ", "), "]")
version <- paste(R.version$major, R.version$minor, sep = ".")
ca <- function(id, source, tab) {
  n <- sum(tab); p <- tab / n; r <- rowSums(p); k <- colSums(p)
  s <- (p - r %o% k) / sqrt(r %o% k); d <- svd(s); m <- min(dim(tab)) - 1
  inertia <- d$d[1:m]^2
  rows <- sweep(d$u[, 1:m, drop = FALSE] / sqrt(r), 2, d$d[1:m], "*")
  cols <- sweep(d$v[, 1:m, drop = FALSE] / sqrt(k), 2, d$d[1:m], "*")
  for (j in 1:m) if (cols[which.max(abs(cols[, j])), j] < 0) { rows[, j] <- -rows[, j]; cols[, j] <- -cols[, j] }
  # the second routes: chi-squared by chisq.test, and chi-squared distances of two row profiles
  stopifnot(abs(suppressWarnings(chisq.test(tab))$statistic / (n * sum(inertia)) - 1) < 1e-10)
  a <- tab[1, ] / sum(tab[1, ]); b <- tab[2, ] / sum(tab[2, ])
  stopifnot(abs(sqrt(sum((a - b)^2 / k)) / sqrt(sum((rows[1, ] - rows[2, ])^2)) - 1) < 1e-10)
  sprintf(paste0('  {"id": "%s", "method": "correspondence_analysis",\n   "source": "%s; R %s, svd()",\n   "data": ',
    '{"table": %s},\n   "expected": {"n": %d, "total_inertia": %s, "inertias": %s, "explained": %s,\n     "rows": ',
    '%s,\n     "columns": %s,\n     "row_contributions": %s,\n     "column_contributions": %s, "chi2": %s, "df": ',
    '%d},\n   "tolerance": {"rel": 1e-8, "abs": 1e-12}}'),
    id, source, version, mat(tab), n, num(sum(inertia)), vec(inertia), vec(inertia / sum(inertia)), mat(rows),
      mat(cols),
    mat(d$u[, 1:m, drop = FALSE]^2), mat(d$v[, 1:m, drop = FALSE]^2), num(n * sum(inertia)), prod(dim(tab) - 1))
}
q <- function(x) { k <- ncol(x); g <- colSums(x); l <- rowSums(x)
(k - 1) * (k * sum(g^2) - sum(g)^2) / (k * sum(l) - sum(l^2)) }
exact <- function(id, source, x) {
  k <- ncol(x); l <- rowSums(x); x <- x[l > 0 & l < k, , drop = FALSE]
  each <- lapply(rowSums(x), function(s) combn(k, s)) # every row with as many yes
  all <- expand.grid(lapply(each, function(m) seq_len(ncol(m))))
  stat <- apply(all, 1, function(pick) {
    g <- numeric(k); for (i in seq_along(pick)) { j <- each[[i]][, pick[i]]; g[j] <- g[j] + 1 }; sum(g^2) })
  p <- mean(stat >= sum(colSums(x)^2) - 1e-9)
  # the second route: Friedman's statistic of answers is Q
  stopifnot(abs(friedman.test(x)$statistic - q(x)) < 1e-10)
  sprintf(paste0('  {"id": "%s", "method": "cochran_q_exact",\n   "source": "%s; R %s, every one of %d shuffles",\n  ',
    ' "data": {"values": %s},\n   "expected": {"q": %s, "exact_p": %s},\n   "tolerance": {"rel": 1e-9, "abs": ',
    '1e-12}}'),
    id, source, version, nrow(all), mat(x), num(q(x)), num(p))
}
smoke <- matrix(c(4, 2, 3, 2, 4, 3, 7, 4, 25, 10, 12, 4, 18, 24, 33, 13, 10, 6, 7, 2), 5, byrow = TRUE)
custards <- matrix(c(41, 12, 30, 8, 22, 18, 35, 27, 15, 10, 25, 20, 11, 33, 14, 9, 28, 36, 19, 27), 4, byrow = TRUE)
rows <- function(s) do.call(rbind, lapply(strsplit(strsplit(s, " ")[[1]], ""), as.numeric))
entries <- c(
  ca("ca.smoking", paste0("staff groups by smoking (Greenacre 1984, table 3.1); printed total inertia 0.0852, ",
    "principal inertias 0.0748, 0.0100, 0.0004"), smoke),
  ca("ca.ticked", "made up: four samples by five words, times ticked", custards),
  exact("cochran_q_exact.hand", "made up: eight assessors, three samples", rows("110 110 100 010 111 100 110 000")),
  exact("cochran_q_exact.four", "made up: seven assessors, four samples", rows("1100 1000 1010 1110 1000 0100 1101")),
  exact("cochran_q_exact.two", "made up: nine assessors, two samples", rows("10 10 10 01 10 11 10 10 00")),
  exact("cochran_q_exact.ties", "made up: six assessors, three samples alike", rows("110 011 101 100 010 001")))
writeLines(c('{"title": "Check values for words that are ticked",', sprintf('"count": %d,', length(entries)),
  '"entries": [', paste(entries, collapse = ",\n"), "]}"), "words.json")
