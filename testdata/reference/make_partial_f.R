# Extra-sum-of-squares F tests by base R: anova() of nested lm() fits, on open data.
# Run in this folder: Rscript make_partial_f.R writes partial_f.json (base R alone).
det <- read.csv("data/detergent.csv")
warp <- read.csv("data/warpbreaks.csv")
num <- function(x) sprintf("%.17g", x)
entry <- function(id, source, d, value, base, tested, file = NULL) {
  d <- data.frame(y = d[[value]], b = factor(d[[base]]), t = factor(d[[tested]]))
  small <- lm(y ~ b, d); large <- lm(y ~ b + t, d)
  a <- anova(small, large)
  # the second route: residual sums of squares and pf()
  rss <- c(sum(resid(small)^2), sum(resid(large)^2)); df <- c(df.residual(small), df.residual(large))
  f <- (rss[1] - rss[2]) / (df[1] - df[2]) / (rss[2] / df[2])
  stopifnot(abs(f / a$F[2] - 1) < 1e-10,
    abs(pf(f, df[1] - df[2], df[2], lower.tail = FALSE) / a$`Pr(>F)`[2] - 1) < 1e-9)
  text <- function(x) paste0('"', x, '"', collapse = ", ")
  data <- if (is.null(file)) sprintf('"data": {"value": [%s], "base": [%s], "tested": [%s]}',
    paste(num(d$y), collapse = ", "), text(d$b), text(d$t)) else
    sprintf('"data_file": "%s", "columns": {"value": "%s", "base": "%s", "tested": "%s"}', file, value, base, tested)
  sprintf(paste0('  {"id": "%s", "method": "partial_f",\n   "source": "%s; R %s, anova(lm(y ~ base), lm(y ~ base + ',
    'tested))",\n   %s,\n   "expected": {"f": %s, "df1": %s, "df2": %s, "p": %s},\n   "tolerance": {"rel": 1e-9, ',
    '"abs": 1e-12}}'),
    id, source, paste(R.version$major, R.version$minor, sep = "."), data, num(a$F[2]), num(a$Df[2]), num(a$Res.Df[2]),
      num(a$`Pr(>F)`[2]))
}
entries <- c(
  entry("partial_f.sleep",
    "datasets::sleep (Student 1908), drugs with patients allowed for: the square of the paired t", sleep, "extra",
      "ID", "group"),
  entry("partial_f.detergent", "multcomp::detergent (John 1961), detergents with blocks allowed for", det, "plates",
    "block", "detergent", "data/detergent.csv"),
  entry("partial_f.warpbreaks", "datasets::warpbreaks (Tippett 1950), wool with tension allowed for", warp, "breaks",
    "tension", "wool", "data/warpbreaks.csv"))
writeLines(c('{"title": "Check values for the extra-sum-of-squares F test",', sprintf('"count": %d,', length(entries)),
  '"entries": [', paste(entries, collapse = ",\n"), "]}"), "partial_f.json")
