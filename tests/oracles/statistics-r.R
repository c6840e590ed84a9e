# Reference values for lib/stats from R and its packages. Run in this folder: Rscript statistics-r.R
# Writes statistics-r.json, with the versions and the day in it. Data sets are R's own (datasets, pROC, vcd) or printed here.
suppressPackageStartupMessages({ library(psych); library(vcd); library(pROC); library(coin); library(car); library(jsonlite) })
options(warn = -1)
out <- list()

# Intraclass correlation. psych::ICC with lmer = FALSE is the analysis of variance of Shrout & Fleiss.
ratings <- list(
  shroutFleiss = rbind(c(9,2,5,8), c(6,1,3,2), c(8,4,6,8), c(7,1,2,6), c(10,5,6,9), c(6,2,4,7)),
  tiesThreeJudges = rbind(c(-2,-1,-2), c(0,0,0), c(-1,-1,0), c(0,-1,0), c(1,0,1), c(-3,-2,-2), c(0,0,0), c(-1,0,-1), c(-2,-2,-3)),
  tiny = rbind(c(1.0,1.3), c(2.2,1.9), c(3.1,3.6)),
  belowChance = rbind(c(1,4,2), c(3,1,4), c(2,4,1), c(4,2,3.5)))
out$icc <- lapply(ratings, function(m) {
  r <- psych::ICC(m, lmer = FALSE)$results
  list(ratings = m, form = c("ICC(1,1)", "ICC(2,1)", "ICC(3,1)", "ICC(1,k)", "ICC(2,k)", "ICC(3,k)"),
       value = r$ICC, p = r$p, low = r[["lower bound"]], high = r[["upper bound"]])
})

# Noncentral t.
grid <- expand.grid(t = c(-2, 0, 0.5, 2.1, 6, 30), df = c(1, 3, 16, 120), ncp = c(-1.5, 0, 0.7, 3, 8, 25))
out$noncentralT <- list(t = grid$t, df = grid$df, ncp = grid$ncp, below = mapply(function(t, d, n) pt(t, d, n), grid$t, grid$df, grid$ncp))
q <- expand.grid(p = c(0.025, 0.5, 0.975), df = c(2, 16, 49), ncp = c(-3, 1, 8))
out$noncentralTQuantile <- list(p = q$p, df = q$df, ncp = q$ncp, t = mapply(function(p, d, n) qt(p, d, n), q$p, q$df, q$ncp))

# Limits of agreement with exact limits (Carkeet 2015): the noncentral t of the standardised limit.
wright <- c(494,395,516,434,476,557,413,442,650,433,417,656,267,478,178,423,427)
mini <- c(512,430,520,428,500,600,364,380,658,445,432,626,260,477,259,350,451)
d <- wright - mini; n <- length(d); z <- qnorm(0.975)
out$limits <- list(difference = d, bias = mean(d), sd = sd(d),
  upper = mean(d) + sd(d) * qt(c(0.025, 0.975), n - 1, z * sqrt(n)) / sqrt(n),
  lower = mean(d) - sd(d) * qt(c(0.975, 0.025), n - 1, z * sqrt(n)) / sqrt(n))

# One sample and signed ranks. sleep has a zero and a tie; zea is Darwin's (Fisher 1935); few has neither.
samples <- list(
  sleep = with(sleep, extra[group == 2] - extra[group == 1]),
  zea = c(49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48) / 8,
  few = c(0.3, -0.8, 1.1, 2.4, 0.55, 1.9),
  tiesBothWays = c(1, 1, -1, 2, 2, -2, 3, 0, 0, -3, 4, 4, 5),
  three = c(-0.5, -0.7, -0.2),
  many = round(qnorm((1:60 - 0.4) / 60.3, 0.25, 1.1), 1))
out$oneSample <- lapply(samples, function(x) {
  nz <- x[x != 0]; t <- t.test(x)
  free <- length(unique(abs(nz))) == length(nz) && length(nz) == length(x)
  normal <- wilcox.test(x, exact = FALSE, correct = TRUE)
  plain <- wilcox.test(x, exact = FALSE, correct = FALSE)
  y <- nz; conditional <- coin::wilcoxsign_test(y ~ rep(0, length(y)), distribution = "exact", zero.method = "Wilcoxon")
  ncp <- function(p) { tt <- unname(t$statistic); df <- length(x) - 1; uniroot(function(n) pt(tt, df, n) - p, c(-36, 36), tol = 1e-12)$root }
  g <- function(m) exp(lgamma(m/2) - lgamma((m-1)/2)) / sqrt(m/2)
  flips <- if (length(x) <= 15) { s <- as.matrix(expand.grid(rep(list(c(-1,1)), length(x)))); m <- abs(s %*% x); mean(m >= abs(sum(x)) - 1e-9) } else NA
  list(x = x, mean = mean(x), sd = sd(x), t = unname(t$statistic), df = unname(t$parameter), p = t$p.value, ci = as.numeric(t$conf.int),
    v = unname(normal$statistic), pExact = if (free) wilcox.test(x, exact = TRUE)$p.value else NA,
    pConditional = as.numeric(coin::pvalue(conditional)), pNormal = normal$p.value, pNormalPlain = plain$p.value,
    dz = mean(x) / sd(x), hedges = g(length(x) - 1) * mean(x) / sd(x), dzCi = c(ncp(0.975), ncp(0.025)) / sqrt(length(x)),
    signFlip = flips)
})

# Shapiro & Wilk, Royston's algorithm.
normals <- list(three = c(1, 2, 4), threeWide = c(0, 0.01, 10), four = c(148, 154, 158, 160), eleven = c(148, 154, 158, 160, 161, 162, 166, 170, 182, 195, 236),
  twelve = c(1.1, 1.3, 1.2, 1.9, 2.4, 1.8, 1.75, 0.2, 1.05, 1.5, 2.9, 1.45), ties = c(0,0,1,1,1,2,2,2,2,3,3,3,4,4,9), faithful = faithful$eruptions, mpg = mtcars$mpg,
  precip = as.numeric(precip), rivers = rivers, long = round(qgamma((1:1200 - 0.5) / 1200, 20), 3))
out$shapiro <- lapply(normals, function(x) { s <- shapiro.test(x); list(x = x, w = unname(s$statistic), p = s$p.value) })

# Unequal groups.
groups <- split(chickwts$weight, chickwts$feed)
bf <- car::leveneTest(chickwts$weight, chickwts$feed, center = median)
welch <- oneway.test(weight ~ feed, chickwts)
out$groups <- list(groups = unname(groups), names = names(groups), brownForsythe = list(f = bf[1, 2], top = bf[1, 1], bottom = bf[2, 1], p = bf[1, 3]),
  welch = list(f = unname(welch$statistic), top = unname(welch$parameter[1]), bottom = unname(welch$parameter[2]), p = welch$p.value))
pair <- t.test(chickwts$weight[chickwts$feed == "horsebean"], chickwts$weight[chickwts$feed == "casein"])
out$groups$pair <- list(first = groups$casein, second = groups$horsebean, t = unname(pair$statistic), df = unname(pair$parameter), p = pair$p.value, ci = as.numeric(pair$conf.int))

# Analysis of covariance: mpg by cylinders (11, 7, 14 cars) with weight.
car <- transform(mtcars, g = factor(cyl))
m1 <- lm(mpg ~ g + wt, car); m0 <- lm(mpg ~ wt, car); mi <- lm(mpg ~ g * wt, car)
a <- anova(m0, m1); i <- anova(m1, mi); adj <- predict(m1, data.frame(g = levels(car$g), wt = mean(car$wt)), se.fit = TRUE)
out$ancova <- list(group = as.character(car$g), covariate = car$wt, y = car$mpg, f = a$F[2], top = a$Df[2], bottom = a$Res.Df[2], p = a[["Pr(>F)"]][2],
  slope = coef(m1)[["wt"]], slopesF = i$F[2], slopesTop = i$Df[2], slopesBottom = i$Res.Df[2], slopesP = i[["Pr(>F)"]][2],
  adjusted = as.numeric(adj$fit), adjustedU = as.numeric(adj$se.fit), difference = unname(coef(m1)[2:3]), differenceLow = unname(confint(m1)[2:3, 1]), differenceHigh = unname(confint(m1)[2:3, 2]),
  differenceP = unname(summary(m1)$coefficients[2:3, 4]), residualW = unname(shapiro.test(resid(m1))$statistic))

# Weighted kappa. vcd::Kappa gives the large-sample error of Fleiss, Cohen & Everitt; psych::cohen.kappa the same estimates by another hand.
tables <- list(sexualFun = unclass(SexualFun), zeros = rbind(c(0,4,1), c(0,8,0), c(0,1,5)), two = rbind(c(20,5), c(10,15)),
  emptyGrade = rbind(c(5,2,0,1), c(1,0,0,3), c(0,0,0,0), c(0,2,0,9)))
out$kappa <- lapply(tables, function(t) { t <- matrix(as.numeric(t), nrow(t)); one <- function(w) { k <- vcd::Kappa(t, weights = w); c(k$Weighted[["value"]], k$Weighted[["ASE"]]) }
  u <- vcd::Kappa(t)$Unweighted
  list(table = t, unweighted = unname(c(u[["value"]], u[["ASE"]])), linear = one("Equal-Spacing"), quadratic = one("Fleiss-Cohen"), psychQuadratic = psych::cohen.kappa(t)$weighted.kappa) })

# ROC with ties and unequal groups.
data(aSAH)
roc1 <- function(y, x) { r <- pROC::roc(y, x, direction = "<", quiet = TRUE); ci <- pROC::ci.auc(r, method = "delong")
  best <- pROC::coords(r, "best", best.method = "youden", ret = c("threshold", "sensitivity", "specificity"), transpose = FALSE)
  list(positive = x[y == 1], negative = x[y == 0], area = as.numeric(pROC::auc(r)), variance = pROC::var(r, method = "delong"), ci = as.numeric(ci)[c(1, 3)],
       sensitivity = best$sensitivity[1], specificity = best$specificity[1]) }
y <- as.numeric(aSAH$outcome == "Poor")
out$roc <- list(s100b = roc1(y, aSAH$s100b), wfns = roc1(y, as.numeric(aSAH$wfns)), tiny = roc1(c(0, 0, 1, 1, 1), c(1, 2, 2, 2.5, 0.5)))

# Sample size.
cases <- expand.grid(delta = c(0.3, 0.6, 1), sd = c(0.4, 0.9), power = c(0.8, 0.9))
out$sampleSize <- list(delta = cases$delta, sd = cases$sd, power = cases$power,
  paired = mapply(function(d, s, p) power.t.test(delta = d, sd = s, power = p, type = "paired", strict = TRUE)$n, cases$delta, cases$sd, cases$power),
  twoSample = mapply(function(d, s, p) power.t.test(delta = d, sd = s, power = p, type = "two.sample", strict = TRUE)$n, cases$delta, cases$sd, cases$power),
  powerOf12 = mapply(function(d, s) power.t.test(n = 12, delta = d, sd = s, type = "paired", strict = TRUE)$power, cases$delta, cases$sd))

# Multiplicity: the fifteen probabilities of Benjamini & Hochberg 1995.
p <- c(.0001,.0004,.0019,.0095,.0201,.0278,.0298,.0344,.0459,.3240,.4262,.5719,.6528,.7590,1.000)
out$adjust <- list(p = p, holm = p.adjust(p, "holm"), bh = p.adjust(p, "BH"))

out <- c(list(source = "statistics-r.R beside this file", r = R.version.string, made = format(Sys.Date()),
  packages = as.list(sapply(c("psych", "vcd", "pROC", "coin", "car"), function(p) as.character(packageVersion(p))))), out)
writeLines(toJSON(out, digits = I(15), auto_unbox = TRUE, na = "null", pretty = FALSE), "statistics-r.json")
