options(warn=1); source("analysis.R")
