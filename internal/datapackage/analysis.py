# Recomputes the findings from the tables of this package, beside the report's own numbers:
#
#     python3 analysis.py
#
# in the folder of the package. Python 3.9 with numpy and scipy. Every number stands beside the
# report's; a difference beyond its tolerance ends the script with status 1. What it does not
# recompute it lists. Nothing here comes from the program that made the report: each method is
# scipy's own, or written out below from its source.
import csv
import itertools
import math
import os
import re
import sys
from collections import Counter, defaultdict

try:
    import numpy as np
    from scipy import integrate, optimize, special, stats
except ImportError as missing:
    sys.exit(f"{missing.name} is not installed: install numpy and scipy, in Debian python3-numpy and python3-scipy")

CLOSED = 1e-8  # relative, closed forms
SEARCHED = 1e-6  # relative, where a root or a maximum is searched for


def table_of(file):
    with open(file, newline="", encoding="utf-8") as opened:
        return list(csv.DictReader(opened))


def rows_of_ratings():
    rows = table_of("ratings.csv")
    if os.path.exists("screening.csv"):  # whom the study's own rule leaves out
        out = {r["assessor"] for r in table_of("screening.csv") if r["left_out"] == "true"}
        rows = [r for r in rows if r["assessor"] not in out]
    for r in rows:
        r["value"] = float(r["value"])
        r["position"] = int(r["position"]) if r["position"] else None
    return rows


ratings = rows_of_ratings()
everybody = ratings  # while somebody is left aside
diverted = None  # while a finding is reckoned anew: which of its numbers that way has, and under which name
rechecks = table_of("rechecks.csv") if os.path.exists("rechecks.csv") else []
said = {(r["finding"], r["number"]): float(r["value"]) for r in table_of("numbers.csv")}
recomputed = {}  # how far off each number was that was recomputed, relative
wrong = []


def check(finding, what, mine, tolerance=CLOSED):
    """Compares one number of a finding with ours. What the report does not give is not checked."""
    if diverted is not None:
        what = diverted.get(what)
    theirs = said.get((finding, what))
    if theirs is None or mine is None or math.isnan(mine):
        return
    mine = float(mine)
    away = 0.0 if mine == theirs else abs(mine - theirs) / max(abs(theirs), 1e-4)
    recomputed[finding, what] = away
    differs = ""
    if not away <= tolerance:
        wrong.append((finding, what))
        differs = "   DIFFERS"
    print(f"{finding:<3} {what:<46} {theirs:>20.12g} {mine:>20.12g}{differs}")


def check_interval(finding, what, ends, tolerance=CLOSED):
    check(finding, what + ".low", ends[0], tolerance)
    check(finding, what + ".high", ends[1], tolerance)


def check_test(finding, what, statistic=None, df=None, df2=None, p=None):
    for name, value in (("statistic", statistic), ("df", df), ("df2", df2), ("p", p)):
        check(finding, what + name, value)


def told(finding, what):
    return said.get((finding, what))


def sides_of(f):
    """How a finding is tested: as planned for the primary ones, else on two sides."""
    planned = {"two": "two-sided", "greater": "greater", "less": "less"}[PLAN["sides"]]
    return planned if f["role"] == "primary" else "two-sided"


class Cells:
    """Means over replicates: people by samples, nan where somebody has none."""

    def __init__(self, rows, by="sample"):
        of = defaultdict(list)
        for r in rows:
            of[r["assessor"], r[by]].append(r["value"])
        self.people = sorted({a for a, _ in of}, key=int)
        self.samples = sorted({s for _, s in of})
        self.values = np.full((len(self.people), len(self.samples)), math.nan)
        for (a, s), values in of.items():
            self.values[self.people.index(a), self.samples.index(s)] = np.mean(values)

    def of(self, samples):
        """The people who have all of some samples, and their values; None where nobody can."""
        if not set(samples) <= set(self.samples):
            return None, None
        m = self.values[:, [self.samples.index(s) for s in samples]]
        whole = ~np.isnan(m).any(axis=1)
        return [a for a, keep in zip(self.people, whole) if keep], m[whole]


def by_assessor(attribute):
    return Cells([r for r in ratings if r["attribute"] == attribute and r["sample"]])


def sd(x):
    return np.std(x, ddof=1)


def t_ends(level, df):
    """Between which two t lies with a chance. scipy's own quantile is off in the eighth digit: two steps of Newton."""
    p, q = (1 - level) / 2, stats.t.ppf((1 + level) / 2, df)
    for _ in range(2):
        q += (stats.t.sf(q, df) - p) / stats.t.pdf(q, df)
    return np.array([-q, q])


def mean_interval(x, level):
    return np.mean(x) + t_ends(level, len(x) - 1) * sd(x) / math.sqrt(len(x))


def t_p(t, df, sides="two-sided"):
    if sides == "two-sided":
        return 2 * stats.t.sf(abs(t), df)
    return stats.t.sf(t, df) if sides == "greater" else stats.t.cdf(t, df)


def binomial(k, n, chance=0.5, sides="two-sided"):
    return stats.binomtest(int(k), int(n), chance, alternative=sides).pvalue if n > 0 else math.nan


def exact_share(k, n, level, sides="two-sided"):  # Clopper & Pearson (1934)
    return stats.binomtest(int(k), int(n), alternative=sides).proportion_ci(level, method="exact")


def wilson(k, n, level):  # Wilson (1927)
    return stats.binomtest(int(k), int(n)).proportion_ci(level, method="wilson") if n > 0 else (math.nan, math.nan)


def holm(ps):
    """p values adjusted together (Holm 1979)."""
    order, highest, out = np.argsort(ps, kind="stable"), 0.0, np.empty(len(ps))
    for i, at in enumerate(order):
        highest = max(highest, min(1.0, (len(ps) - i) * ps[at]))
        out[at] = highest
    return out


def check_holm(finding, ps, tolerance=CLOSED):
    for what, p in zip(ps, holm(list(ps.values()))):
        check(finding, what, p, tolerance)


def signed_rank(d, sides):
    """The exact test for any ties (Wilcoxon 1945): the null distribution by convolution over doubled
    midranks. Pairs without a difference are ranked, and give up their ranks (Pratt 1959)."""
    d = np.array([float(f"{x:.12g}") for x in d])  # what only the last digit tells apart is tied
    ranks = np.rint(2 * stats.rankdata(abs(d))).astype(int)[d != 0]
    d = d[d != 0]
    v, p = int(ranks[d > 0].sum()), np.ones(1)
    for r in ranks:
        p = (np.append(p, np.zeros(r)) + np.append(np.zeros(r), p)) / 2
    above, below = p[v:].sum(), p[: v + 1].sum()
    return v / 2, {"greater": above, "less": below, "two-sided": min(1, 2 * min(above, below))}[sides]


def noncentral_interval(t, df, scale, level):
    """The interval of a standardised effect: times 1/scale it has the t given."""

    def end(p):
        def off(ncp):
            return stats.nct.cdf(t, df, ncp) - p

        reach = 9
        while off(t - reach) < 0 or off(t + reach) > 0:
            reach *= 2
        return optimize.brentq(off, t - reach, t + reach, xtol=1e-12, rtol=1e-14)

    return np.array([end((1 + level) / 2), end((1 - level) / 2)]) * scale


def small_sample(df):  # Hedges (1981), eq. 6e
    return math.exp(special.gammaln(df / 2) - math.log(math.sqrt(df / 2)) - special.gammaln((df - 1) / 2))


def walsh(d):
    """All averages of two, in order: their middle is that of Hodges and Lehmann (1963)."""
    i, j = np.triu_indices(len(d))
    return np.sort((d[i] + d[j]) / 2)


def walsh_interval(d, level):
    """Between order statistics of the averages, by the signed-rank distribution (Hollander and Wolfe 1999, sect.
    3.3)."""
    averages, p = walsh(d), np.ones(1)
    for r in range(1, len(d) + 1):
        p = (np.append(p, np.zeros(r)) + np.append(np.zeros(r), p)) / 2
    k = max(1, int(np.searchsorted(np.cumsum(p), (1 - level) / 2 * (1 - 1e-12))))
    return averages[k - 1], averages[len(averages) - k]


def least_squares(columns, y):
    """Coefficients, their standard errors and the residual df."""
    x = np.column_stack(columns)
    q, r = np.linalg.qr(x)
    b = np.linalg.solve(r, q.T @ y)
    df = len(y) - x.shape[1]
    inverse = np.linalg.inv(r)
    return b, np.sqrt(np.sum((y - x @ b) ** 2) / df * np.sum(inverse**2, axis=1)), df


def again(finding):
    """The ways in which a finding was reckoned anew of the same people: how each number is called, and the method."""
    for r in rechecks if diverted is None else []:
        if r["finding"] == finding and not r["without"]:
            yield (lambda x, n=r["recheck"]: f"rechecks.{n}.{x}"), r["method"], r["says"]


def aside(f):
    """Reckons a finding anew without some of the people, by the function that reckoned it."""
    global ratings, diverted
    names = DIVERTING.get(f["kind"])
    for r in rechecks if names else []:
        if r["finding"] == f["finding"] and r["without"]:
            if f["kind"] == "choice" and told(f["finding"], "alike.share") is not None or \
                    f["kind"] in ("pair", "groups") and PLAN["test"] == "equivalence":  # what the plan looks at
                limits = {"ci_equivalence.low": "ci.low", "ci_equivalence.high": "ci.high"}
                names = {**{own: name for own, name in names.items() if not own.startswith("ci.")}, **limits}
            diverted = {own: f"rechecks.{r['recheck']}.{name}" for own, name in names.items()}
            ratings = [x for x in everybody if x["assessor"] not in r["without"].split()]
            KINDS[f["kind"]](f["finding"], f)
            ratings, diverted = everybody, None


kept = {}


def once(what, attribute, work):
    """What is worked out once for an attribute, of everybody."""
    if diverted is not None:
        return work()
    if (what, attribute) not in kept:
        kept[what, attribute] = work()
    return kept[what, attribute]


def pair(i, f):
    if f["estimate"] == "model-difference":
        by_model(i, f, lambda model: one_minus(model, f["first"], f["second"]))
    people, m = by_assessor(f["attribute"]).of([f["first"], f["second"]])
    if m is None:
        return
    reasons = [n for k, n in said if k == i and re.match(r"excluded\.(was not to rate both|did not rate both)", n)]
    if len(reasons) == 1:  # who rated something and not both
        check(i, reasons[0], len({r["assessor"] for r in ratings}) - len(people))
    column = {"planned-looks": "look", "mixture": "arrived", "betting": "arrived"}.get(f["method"])
    if column:  # those who count, of whom somebody may be left aside
        both = [a for a in sorted({r["assessor"] for r in everybody}, key=int) if rated_both(f, a)]
        came = dict(zip(both, when(column, f, both)))
        last = sorted(came.values())[int(told(i, "n")) - 1]
        keep = [k for k in sorted(range(len(people)), key=lambda k: came[people[k]]) if came[people[k]] <= last]
        keep = keep if column == "arrived" else sorted(keep)
        people, m = [people[k] for k in keep], m[keep]
        d, later = m[:, 0] - m[:, 1], len(both) - int(told(i, "n"))
        if column == "look":
            after_looks(i, d, np.array([came[a] for a in people]))
            check(i, "looks.later", later)
            check(i, "excluded.rated after the look that decided", later)
        else:
            running_evidence(i, f, d)
            check(i, "evidence.later", later)
            check(i, "excluded.rated after there was enough evidence", later)
    if len(people):
        two_means(i, f, people, m)
    if f["estimate"] != "model-difference":  # else that of the model
        position_of(i, f)


def by_model(i, f, weights):
    """A pair, or two levels of a factor, in the mixed model of all samples; those who rated both stand beside it."""
    model = model_of(f["attribute"])
    difference, error, df = model.fit.contrast(model.of_samples(weights(model)))
    of = [r for r in model.rows if f["kind"] == "factor" or r["sample"] in (f["first"], f["second"])]
    check(i, "n", len({r["assessor"] for r in of}))
    check(i, "difference", difference, model.tolerance)
    check(i, "test.statistic", difference / error, 10 * model.tolerance)
    check(i, "test.df", df, 10 * model.tolerance)
    check(i, "test.p", t_p(difference / error, df, sides_of(f)), 100 * model.tolerance)
    for other in ("", "_adjusted", "_equivalence"):
        if told(i, "level" + other) is not None:
            ends = difference + t_ends(told(i, "level" + other), df) * error
            check_interval(i, "ci" + other, ends, 100 * model.tolerance)
    if model.places:
        k = len(model.samples)
        fitted_test(i, "checks.position.", model.fit.together(model.unit[k : k + model.places]), model.tolerance)


def rated_both(f, who):
    mine = {r["sample"] for r in everybody if r["assessor"] == who and r["attribute"] == f["attribute"]}
    return {f["first"], f["second"]} <= mine


def within_people(rows, columns):
    """Columns with the mean of each assessor taken off."""
    out, who = np.array(columns, dtype=float), np.unique([r["assessor"] for r in rows], return_inverse=True)[1]
    return out - np.array([out[who == k].mean(axis=0) for k in range(who.max() + 1)])[who]


def position_of(i, f):
    """The F test of position beside assessors and samples, by every rating of the attribute."""
    if told(i, "checks.position.statistic") is None or diverted is not None:
        return

    def work():
        rows = [r for r in ratings if r["attribute"] == f["attribute"] and r["sample"]]
        samples = indicators([r["sample"] for r in rows])
        both = np.column_stack([samples, indicators([r["position"] for r in rows])])
        y = within_people(rows, [r["value"] for r in rows])
        left, rank = [], []
        for x in (within_people(rows, samples), within_people(rows, both)):
            b, _, r, _ = np.linalg.lstsq(x, y, rcond=1e-10)
            left.append(np.sum((y - x @ b) ** 2))
            rank.append(int(r))
        df, df2 = rank[1] - rank[0], len(y) - len({r["assessor"] for r in rows}) - rank[1]
        ratio = (left[0] - left[1]) / df / (left[1] / df2)
        return ratio, df, df2, stats.f.sf(ratio, df, df2)

    check_test(i, "checks.position.", *once("position", f["attribute"], work))


def when(column, f, people):
    """At which look people were in, or when: of the last of both their ratings, nobody of them left aside."""
    last = defaultdict(int)
    for r in everybody:
        if r["attribute"] == f["attribute"] and r["sample"] in (f["first"], f["second"]):
            last[r["assessor"]] = max(last[r["assessor"]], int(r[column]))
    return np.array([last[a] for a in people])


def beyond_looks(t, bounds):
    """The chance to come to look k and lie above z there, as a function of k, z and the drift: what goes on is carried
    from look to look as a density (Armitage, McPherson & Rowe 1969), here between 160 Gauss-Legendre nodes."""
    nodes, weights = np.polynomial.legendre.leggauss(160)
    at = []
    for k in range(len(t) - 1):
        reach = min(bounds[k], 12) * math.sqrt(t[k])
        b, w = reach * nodes, reach * weights
        if k == 0:
            w = w * stats.norm.pdf(b, 0, math.sqrt(t[0]))
        else:
            before, carried = at[k - 1]
            step = math.sqrt(t[k] - t[k - 1])
            w = w * (stats.norm.pdf(b[:, None] - before, 0, step) @ carried)
        at.append((b, w))

    def beyond(k, z, drift):
        if k == 0:
            return stats.norm.sf(z - drift * math.sqrt(t[0]))
        (b, w), step = at[k - 1], t[k] - t[k - 1]
        grown = np.exp(drift * b - drift**2 * t[k - 1] / 2)  # Girsanov: the density under a drift
        return np.sum(w * grown * stats.norm.sf((z * math.sqrt(t[k]) - b - drift * step) / math.sqrt(step)))

    return beyond


def after_looks(i, d, came):
    """A paired t test at planned looks: p, the estimate whose chance to be exceeded is one half, and the interval by
    the order of the stages (Fairbanks & Madsen 1982; Tsiatis, Rosner & Mehta 1984), between the bounds that the
    plan gives the looks."""
    taken = range(1, 1 + len(given(i, r"looks\.taken\.([0-9]+)\.fraction")))
    t = [told(i, f"looks.taken.{k}.fraction") for k in taken]
    bounds = [told(i, f"looks.taken.{k}.z_bound") for k in taken]
    n, level, last = len(d), told(i, "level"), len(t) - 1
    check(i, "looks.plain.value", np.mean(d))
    if sd(d) == 0:
        return
    statistic = np.mean(d) / (sd(d) / math.sqrt(n))
    check_test(i, "test.", statistic, n - 1)
    check_interval(i, "looks.plain.ci", mean_interval(d, level))
    early = [k for k in taken if abs(told(i, f"looks.taken.{k}.t")) >= told(i, f"looks.taken.{k}.t_bound")
             and told(i, f"looks.taken.{k}.n") < told(i, "looks.planned")]
    check(i, "looks.stopped_at", early[0] if early else 0)
    beyond = beyond_looks(t, bounds)
    if last > 0:  # which bound spends what the plan has for the look (Lan & DeMets 1983)
        alpha = PLAN["alpha"]
        spent = [0.0] + [alpha * math.log1p((math.e - 1) * min(x, 1)) if PLAN["spending"] == "evenly" else
                         4 * stats.norm.sf(stats.norm.isf(alpha / 4) / math.sqrt(min(x, 1))) for x in t]
        if told(i, "looks.stopped_at") != last + 1:
            spent[-1] = alpha
        for k, look in enumerate(taken):
            more = (spent[k + 1] - spent[k]) / 2
            if bounds[k] < 30 and more > 0:
                z = optimize.brentq(lambda z: math.log(beyond(k, z, 0)) - math.log(more), 0, 9, xtol=1e-12)
                check(i, f"looks.taken.{look}.z_bound", z, SEARCHED)
    for k, look in enumerate(taken):  # what each look saw
        of, what = d[came <= np.unique(came)[k]], f"looks.taken.{look}."
        check(i, what + "n", len(of))
        check(i, what + "difference", np.mean(of))
        check(i, what + "fraction", len(of) / told(i, "looks.planned"))
        one = np.mean(of) / (sd(of) / math.sqrt(len(of)))
        check(i, what + "t", one)
        check(i, what + "p_of_one_look", t_p(one, len(of) - 1))
        if bounds[k] < 30:
            check(i, what + "t_bound", stats.t.isf(stats.norm.sf(bounds[k]), len(of) - 1), SEARCHED)
        if last > 0:  # the bounds spend what they say
            spent = 2 * sum(beyond(j, bounds[j], 0) for j in range(k + 1))
            check(i, what + "alpha_spent", spent, SEARCHED)
    if last == 0:
        check(i, "test.p", t_p(statistic, n - 1))
        return
    z = math.copysign(stats.norm.isf(stats.t.sf(abs(statistic), n - 1)), statistic)

    def above(drift):
        return sum(beyond(k, bounds[k], drift) for k in range(last)) + beyond(last, z, drift)

    points = math.sqrt(t[last]) * np.mean(d) / z
    middle, reach = z / math.sqrt(t[last]), 12 / math.sqrt(t[last])

    def where(p):
        return points * optimize.brentq(lambda x: above(x) - p, middle - reach, middle + reach, xtol=1e-12)

    p = above(0)
    check(i, "test.p", 2 * min(p, 1 - p), SEARCHED)
    check(i, "difference", where(1 / 2), SEARCHED)
    for what in ("", "_equivalence"):
        of = told(i, "level" + what)
        if of is not None:
            check_interval(i, "ci" + what, sorted(where((1 + side * of) / 2) for side in (-1, 1)), SEARCHED)


def running_evidence(i, f, d):
    """Evidence after each person, by a t mixture with a prior N(0, g) on mean/sd (Lai 1976) and by bets on differences
    within the ends of the scale (Waudby-Smith & Ramdas 2024); the interval holds the differences whose evidence is
    below 1/alpha."""
    g, most, n = told(i, "evidence.at") ** 2, told(i, "evidence.range"), len(d)
    people, alpha = np.arange(1, n + 1), PLAN["alpha"]

    def mixture(x):
        k, ss = len(x), np.sum((x - np.mean(x)) ** 2)
        if k < 2 or ss == 0:
            return 0.0
        u = k * np.mean(x) ** 2 / ss
        return k / 2 * (math.log1p(u) - math.log1p(u / (1 + k * g))) - math.log(1 + k * g) / 2

    y = (d + most) / (2 * most)
    about = (1 / 4 + np.cumsum((y - (1 / 2 + np.cumsum(y)) / (people + 1)) ** 2)) / (people + 1)
    before = np.concatenate([[1 / 4], about[:-1]])

    def bets(m, alpha):
        stake = np.sqrt(2 * math.log(2 / alpha) / (before * people * np.log(1 + people)))
        up = np.cumsum(np.log1p(np.minimum(stake, 0.95 / m) * (y - m)))
        return up, np.cumsum(np.log1p(-np.minimum(stake, 0.95 / (1 - m)) * (y - m)))

    by_mixture = np.array([mixture(d[:k]) for k in people])
    by_betting = np.maximum(*bets(1 / 2, alpha)) - math.log(2)
    mine, other = (by_betting, by_mixture) if f["method"] == "betting" else (by_mixture, by_betting)
    for k in people:
        check(i, f"evidence.steps.{k}", mine[k - 1])
    check(i, "evidence.log_e", mine[-1])
    check(i, "evidence.log_e_beside", other[-1])
    # of others: at the end
    check_test(i, "test.", mine[-1], p=math.exp(-max(0, mine[-1], *(mine[11:] if diverted is None else []))))

    def ends(level):
        alpha = 1 - level
        if f["method"] == "betting":
            def up(m):
                return bets(m, alpha)[0][-1] - math.log(2 / alpha)

            def down(m):
                return bets(m, alpha)[1][-1] - math.log(2 / alpha)

            low = 0 if up(1e-12) < 0 else optimize.brentq(up, 1e-12, 1 - 1e-12, xtol=1e-14)
            high = 1 if down(1 - 1e-12) < 0 else optimize.brentq(down, 1e-12, 1 - 1e-12, xtol=1e-14)
            return 2 * most * low - most, 2 * most * high - most
        spread = 1 + n * g
        c = (spread / alpha**2) ** (1 / n)
        if c >= spread:
            return -most, most
        reach = math.sqrt(np.sum((d - np.mean(d)) ** 2) / n) * math.sqrt((c - 1) / (1 - c / spread))
        return max(np.mean(d) - reach, -most), min(np.mean(d) + reach, most)

    check(i, "difference", np.mean(d))
    for what in ("", "_equivalence"):
        of = told(i, "level" + what)
        if of is not None:
            check_interval(i, "ci" + what, ends(of), SEARCHED)
    scale = next(x for x in table_of("attributes.csv") if x["attribute"] == f["attribute"])
    check(i, "evidence.range", float(scale["highest"]) - float(scale["lowest"]))
    check(i, "evidence.enough", -math.log(alpha))
    check(i, "evidence.plain.value", np.mean(d))
    if sd(d) > 0:
        check_interval(i, "evidence.plain.ci", mean_interval(d, told(i, "level")))


def check_held(finding, what, low, high, share=None):
    """Sees whether a number lies where draws of the lottery, counted here, leave it: within lines that one count in
    a million would pass by chance."""
    if diverted is not None:
        what = diverted.get(what)
    theirs = said.get((finding, what))
    if theirs is None:
        return
    at = theirs if share is None else share
    recomputed[finding, what] = 0.0
    differs = ""
    if not low <= at <= high:
        wrong.append((finding, what))
        differs = "   DIFFERS"
    mine = f"{low:.3g} to {high:.3g}" if share is None else f"{share:.3g} in {low:.3g} to {high:.3g}"
    print(f"{finding:<3} {what:<46} {theirs:>20.12g} {mine:>20}{differs}")


def by_redraws(i, f, groups):
    """How often the plan's own lottery (Fisher 1935; Kempthorne 1952) gives as large a difference over its standard
    error, counted anew in the draws of redraws.txt, which are others than those that the report counts. Ratings stay
    with person and position; at the ends of an interval, taken off the first sample as served, the draws refuse at its
    tail."""
    if not os.path.exists("redraws.txt"):
        return
    with open("redraws.txt", encoding="utf-8") as opened:
        lines = [line.split() for line in opened]
    place = {at: k for k, at in enumerate(lines[0])}
    r = [(x, place.get(f"{x['assessor']}:{x['position']}")) for x in ratings if x["attribute"] == f["attribute"]]
    r = [(x, k) for x, k in r if k is not None]
    drawn = np.vstack([[x["sample"] for x, _ in r], np.array(lines[1:])[:, [k for _, k in r]]])  # as served, then drawn
    people = sorted({x["assessor"] for x, _ in r})
    whose = np.array([[x["assessor"] == a for x, _ in r] for a in people], dtype=float).T
    value, first, second = np.array([x["value"] for x, _ in r]), drawn == f["first"], drawn == f["second"]
    na, nb = first @ whose, second @ whose

    def mean_and_square(x):
        n = np.sum(~np.isnan(x), axis=1)
        return np.nanmean(x, axis=1), np.nanvar(x, axis=1, ddof=1) / n

    def statistics(shift):
        v = value - shift * first[0]
        with np.errstate(divide="ignore", invalid="ignore"):
            a, b = (first * v) @ whose / na, (second * v) @ whose / nb
            if groups:
                (ma, va), (mb, vb) = (mean_and_square(np.where(n == 0, x, math.nan)) for x, n in ((a, nb), (b, na)))
                t = (ma - mb) / np.sqrt(va + vb)
            else:
                m, v = mean_and_square(a - b)
                t = m / np.sqrt(v)
        return np.where(np.isnan(t), 0, t)

    def share(shift, side):
        """Of draws that reach the plan, with the lines of one in a million."""
        t = side * statistics(shift)
        reach, n, tail = int(np.sum(t[1:] >= t[0] - 1e-9 * max(1, abs(t[0])))), len(t) - 1, 5e-7
        low = stats.beta.ppf(tail, reach, n - reach + 1) if reach > 0 else 0.0
        return low, stats.beta.ppf(1 - tail, reach + 1, n - reach) if reach < n else 1.0

    check(i, "test.statistic", statistics(0)[0])
    greater, less = share(0, 1), share(0, -1)
    both = tuple(min(1, 2 * min(x)) for x in zip(greater, less))
    check_held(i, "test.p", *{"greater": greater, "less": less, "two-sided": both}[sides_of(f)])
    for what in ("", "_equivalence", "_adjusted"):
        level = told(i, "level" + what)
        for end, side in (("low", 1), ("high", -1)):
            name = f"ci{what}.{end}"
            at = told(i, name if diverted is None else diverted.get(name))
            if level is None or at is None:
                continue
            near = 1e-6 * max(1, abs(at))  # draws that tie just there count on both sides
            check_held(i, f"ci{what}.{end}", share(at - side * near, side)[0], share(at + side * near, side)[1],
                       (1 - level) / 2)


def two_means(i, f, people, m):
    """Compares two columns of the same people."""
    d, level, sides = m[:, 0] - m[:, 1], told(i, "level"), sides_of(f)
    n, varies = len(d), sd(d) > 0
    modelled = f["estimate"] == "model-difference" or f["method"] in ("mixed-t", "mixed-f")  # these stand beside
    if not modelled:
        check(i, "n", n)
    for s, column in zip((f["first"], f["second"]), m.T):
        check(i, f"means.{s}", np.mean(column))
        check(i, f"sds.{s}", sd(column))
    up, down = int(sum(d > 0)), int(sum(d < 0))
    for what, count in (("up", up), ("down", down), ("same", n - up - down)):
        check(i, "moved." + what, count)
    mean_ci = mean_interval(d, level) if varies else (math.nan, math.nan)
    if modelled:
        check(i, "effect.mean-difference.value", np.mean(d))
        check_interval(i, "effect.mean-difference.ci", mean_ci)
    elif f["method"] == "lottery" and os.path.exists("redraws.txt"):
        check(i, "difference", np.mean(d))
        by_redraws(i, f, False)
    elif f["method"] == "lottery":
        check(i, "difference", np.mean(d))
        if varies:
            check(i, "test.statistic", np.mean(d) / sd(d) * math.sqrt(n))
        levels = {"ci": level, "ci_equivalence": told(i, "level_equivalence"), "ci_adjusted": told(i, "level_adjusted")}
        by_lottery(i, f, people, d, "test.p", levels,
                   99_999 if f["role"] == "primary" and diverted is None else 9_999)
    elif f["estimate"] == "mean-difference":
        check(i, "difference", np.mean(d))
        check_interval(i, "ci", mean_ci)
        for other in ("equivalence", "adjusted"):
            of = told(i, "level_" + other)
            if of is not None and varies:
                check_interval(i, "ci_" + other, mean_interval(d, of))
    elif f["method"] in ("planned-looks", "mixture", "betting"):
        check(i, "effect.mean-difference.value", np.mean(d))
        check_interval(i, "effect.mean-difference.ci", mean_ci)
    else:
        check(i, "difference", np.median(walsh(d)))
        check_interval(i, "ci", walsh_interval(d, level))
        for other in ("equivalence", "adjusted"):
            if told(i, "level_" + other) is not None:
                check_interval(i, "ci_" + other, walsh_interval(d, told(i, "level_" + other)))
        check(i, "effect.mean-difference.value", np.mean(d))
        check_interval(i, "effect.mean-difference.ci", mean_ci)
    # two tests on one side each, of which the weaker counts (Schuirmann 1987)
    if varies and f["method"] == "equivalence":
        side = 1 if np.mean(d) > 0 else -1
        weaker = (np.mean(d) - side * PLAN["smallest"]) / sd(d) * math.sqrt(n)
        check_test(i, "test.", weaker, n - 1, p=stats.t.cdf(side * weaker, n - 1))
    if varies:
        t = np.mean(d) / (sd(d) / math.sqrt(n))
        check_test(i, "test." if f["method"] == "paired-t" else "also.paired-t.", t, n - 1, p=t_p(t, n - 1, sides))
        ends, j = noncentral_interval(t, n - 1, 1 / math.sqrt(n), level), small_sample(n - 1)
        check(i, "effect.d_z.value", np.mean(d) / sd(d))
        check_interval(i, "effect.d_z.ci", ends, SEARCHED)
        check(i, "effect.g_z.value", j * np.mean(d) / sd(d))
        check_interval(i, "effect.g_z.ci", j * ends, SEARCHED)
    rank = signed_rank(d, sides)
    for method, (statistic, p) in (("signed-rank", rank), ("sign", (up, binomial(up, up + down, sides=sides)))):
        check_test(i, "test." if f["method"] == method else f"also.{method}.", statistic, p=p)
    check(i, "effect.median-difference.value", np.median(d))  # its interval: order statistics, by the sign test
    k = int(stats.binom.ppf((1 - level) / 2, n, 0.5))
    if k > 0:
        check_interval(i, "effect.median-difference.ci", np.sort(d)[[k - 1, n - k]])
        check(i, "effect.median-difference.level", 1 - 2 * stats.binom.cdf(k - 1, n, 0.5))
    for s, column in zip((f["first"], f["second"]), m.T):
        if told(i, f"ordinal.counts.{s}.1") is not None:
            for label in range(1, int(m.max()) + 1):
                check(i, f"ordinal.counts.{s}.{label}", int(sum(column == label)))
    ordered_answers(i, f)
    adjusted = order_of(i, f, people, d, m.sum(axis=1))
    pair_again(i, f, people, d, level, adjusted)
    if PLAN["replicates"] > 1 and f["kind"] == "pair":
        people_differ(i, f, level)


def ordered_answers(i, f):
    """The cumulative logit model of answers on a few labels, assessors at random (Hedeker & Gibbons 1994): normal ones,
    over whom the likelihood is summed at 60 nodes of Gauss and Hermite."""
    odds = next((x for x in ("ordinal.odds_ratio.value", "effect.odds-ratio.value") if told(i, x) is not None), None)
    if odds is None or diverted is not None and f["method"] != "ordinal":
        return
    rows = [r for r in ratings if r["attribute"] == f["attribute"] and r["sample"] in (f["first"], f["second"])]
    labels, y = np.unique([r["value"] for r in rows], return_inverse=True)
    x = np.array([float(r["sample"] == f["first"]) for r in rows])
    who = np.unique([r["assessor"] for r in rows], return_inverse=True)[1]
    nodes, weights = np.polynomial.hermite_e.hermegauss(60)
    weights, last = weights / weights.sum(), len(labels) - 1

    def unlikely(at):
        cuts = np.concatenate([[-math.inf], np.cumsum(np.append(at[0], np.exp(at[1:last]))), [math.inf]])
        of = at[last] * x[:, None] + np.exp(at[-1]) * nodes
        p = special.expit(cuts[y + 1][:, None] - of) - special.expit(cuts[y][:, None] - of)
        each = np.zeros((who.max() + 1, len(nodes)))
        np.add.at(each, who, np.log(np.maximum(p, 1e-300)))
        return -special.logsumexp(each, axis=1, b=weights).sum()

    share = np.cumsum(np.bincount(y) / len(y))[:-1]
    begin = np.append(np.append(special.logit(share[0]), np.log(np.diff(special.logit(share)))), [0, 0])
    fit = optimize.minimize(unlikely, begin, method="BFGS", options={"gtol": 1e-7})
    curve, h, n = np.empty((len(fit.x), len(fit.x))), 1e-4, len(fit.x)
    for a, b in itertools.product(range(n), repeat=2):
        da, db = h * np.eye(n)[a], h * np.eye(n)[b]
        curve[a, b] = (unlikely(fit.x + da + db) - unlikely(fit.x + da - db) - unlikely(fit.x - da + db)
                       + unlikely(fit.x - da - db)) / (4 * h**2)
    b, se, loose = fit.x[last], math.sqrt(np.linalg.inv(curve)[last, last]), 1e-3  # two optimisers, numeric derivatives
    z = stats.norm.ppf((1 + told(i, "level")) / 2)
    for what in ("ordinal.odds_ratio", "effect.odds-ratio"):
        check(i, what + ".value", math.exp(b), loose)
        check_interval(i, what + ".ci", (math.exp(b - z * se), math.exp(b + z * se)), loose)
    for what in ("test." if f["method"] == "ordinal" else "also.ordinal.", "ordinal."):
        check(i, what + "statistic", b / se, loose)
        check(i, what + "p", 2 * stats.norm.sf(abs(b / se)), 10 * loose)
    # Shares of the labels over people like these; of labels that nobody chose: none.
    cuts = np.concatenate([[-math.inf], np.cumsum(np.append(fit.x[0], np.exp(fit.x[1:last]))), [math.inf]])
    for s in (f["first"], f["second"]):
        upto = [special.expit(cut - b * (s == f["first"]) - np.exp(fit.x[-1]) * nodes) @ weights for cut in cuts]
        shares = dict(zip(labels.astype(int), np.diff(upto)))
        for label in range(1, int(labels.max()) + 10):
            check(i, f"ordinal.shares.{s}.{label}", shares.get(label, 0.0), loose)


def people_differ(i, f, level):
    """Whether people differ in what the samples do to them: between and within people, of pairs in the order tasted
    (Searle 1971, Linear Models, ch. 9)."""
    if told(i, "people.n") is None:
        return
    of = defaultdict(lambda: defaultdict(list))
    for r in sorted((r for r in ratings if r["attribute"] == f["attribute"]),
                    key=lambda r: (int(r.get("sitting") or 0), r["position"])):
        of[r["assessor"]][r["sample"]].append(r["value"])
    times = PLAN["replicates"]
    both = [x for x in of.values() if x[f["first"]] and x[f["second"]]]
    d = np.array([np.subtract(x[f["first"]][:times], x[f["second"]][:times]) for x in both
                  if min(len(x[f["first"]]), len(x[f["second"]])) >= times])
    n, k = d.shape
    df, df2 = n - 1, n * (k - 1)
    between, within = k * np.var(d.mean(axis=1), ddof=1), ((d - d.mean(axis=1, keepdims=True)) ** 2).sum() / df2
    ratio, people = between / within, math.sqrt(max(0, (between - within) / k))
    check(i, "people.n", n)
    check(i, "people.pairs", k)
    check(i, "people.left_out", len(both) - n)
    check(i, "people.agree_in_sign", ((d > 0).all(axis=1) | (d < 0).all(axis=1)).sum())
    check_test(i, "people.test.", ratio, df, df2, stats.f.sf(ratio, df, df2))
    check(i, "people.sd_noise", math.sqrt(within))
    check(i, "people.sd_people", people)

    def share(ratio):
        return (ratio - 1) / (ratio + k - 1)

    check(i, "people.share_of_variance", share(ratio))
    upper = (1 + level) / 2
    for end, at in enumerate((ratio / stats.f.ppf(upper, df, df2), ratio * stats.f.ppf(upper, df2, df)), 1):
        check(i, f"people.share_of_variance_ci.{end}", share(at))
        check(i, f"people.sd_people_ci.{end}", math.sqrt(max(0, share(at) / (1 - share(at))) * within))
    if people > 0:
        check(i, "people.share_positive", stats.norm.cdf(np.mean(d) / people))


def in_model(i, f, what, level, says):
    """A pair, or two levels of a factor, in the mixed model of all samples."""
    model = model_of(f["attribute"], "tasted just before" in says)
    weights = level_weights(model, f["compared"].split(), f["factor"]) if f["kind"] == "factor" else \
        one_minus(model, f["first"], f["second"])
    difference, error, df = model.fit.contrast(model.of_samples(weights))
    check(i, what("n"), len({r["assessor"] for r in ratings if r["attribute"] == f["attribute"] and r["sample"]}))
    check(i, what("difference"), difference, model.tolerance)
    check_interval(i, what("ci"), difference + t_ends(level, df) * error, 10 * model.tolerance)
    check(i, what("p"), t_p(difference / error, df, sides_of(f)), 100 * model.tolerance)


def by_ranks(i, what, d, level, sides="two-sided"):
    check(i, what("n"), len(d))
    check(i, what("p"), signed_rank(d, sides)[1])
    check(i, what("difference"), np.median(walsh(d)))
    check_interval(i, what("ci"), walsh_interval(d, level))


def by_lottery(i, f, people, d, p_name, levels, theirs):
    """Draws the serving plan anew where that is of two samples, each served once to everybody: people who sit next to
    each other in the plan, two and two, have the two orders between them, and swap them or do not. The interval holds
    the differences that no draw refuses. The report's draws and these are two samples of the same lottery: p and ends
    may part by four standard deviations of what that makes of them. Nothing for other lotteries."""
    at = {r["assessor"]: r["position"] == 1 for r in ratings
          if r["attribute"] == f["attribute"] and r["sample"] == f["first"]}
    of = np.array([(int(a) - 1) // 2 for a in people])
    sets = [np.flatnonzero(of == k) for k in sorted(set(of))]
    whole = all(len(x) < 2 or at[people[x[0]]] != at[people[x[1]]] for x in sets)
    if len({r["sample"] for r in ratings if r["sample"]}) != 2 or PLAN["replicates"] > 1 or not whole:
        return
    sums, exact = np.array([[d[x].sum(), len(x)] for x in sets]), 2 ** len(sets) <= theirs
    draws = 2 ** len(sets) if exact else 19_999
    swap = np.array(list(itertools.product((0, 1), repeat=len(sets)))) if exact else \
        np.random.default_rng(1935).integers(0, 2, (draws, len(sets)))
    drawn, slack, more = swap @ sums, 1e-9 * (1 + math.sqrt((d**2).sum() * len(d))), 0 if exact else 1
    up, down = (drawn[:, 0] <= slack).sum(), (drawn[:, 0] >= -slack).sum()

    def share(reached):
        return (more + reached) / (more + draws)

    def spread_of(p):
        return 0 if exact else 4 * math.sqrt(p * (1 - p) * (1 / draws + 1 / theirs)) + 1 / min(draws, theirs)

    sides = sides_of(f)
    one = min(share(up), share(down)) if sides == "two-sided" else share(up) if sides == "greater" else share(down)
    p = min(1, 2 * one) if sides == "two-sided" else one
    check(i, p_name, p, CLOSED + p / one * spread_of(one) / p)
    moved = drawn[drawn[:, 1] > 0]
    edges = np.sort(moved[:, 0] / moved[:, 1])  # where a draw gives as much as the plan; none where nobody swaps

    def ends_at(tail):
        need = tail * draws * (1 + 1e-9) if exact else tail * (1 + draws) - 1
        k = math.floor(need - (draws - len(edges)))
        return (-math.inf, math.inf) if k < 0 else (edges[k], edges[len(edges) - 1 - k])

    for name, level in levels.items():
        if level is None or not np.isfinite(ends_at((1 - level) / 2)).all():
            continue
        tail = (1 - level) / 2
        ends = ends_at(tail)
        near = ends_at(min(0.5, tail + spread_of(tail))), ends_at(max(1.5 / draws, tail - spread_of(tail)))
        for end, value, a, b in zip((".low", ".high"), ends, *near):
            check(i, name + end, value, CLOSED + abs(a - b) / max(abs(value), 1e-4))


def pair_again(i, f, people, x, level, adjusted):
    """The other tests of a pair."""
    for what, method, says in again(i):
        if method == "mixed-t":
            in_model(i, f, what, level, says)
        if method == "lottery":
            check(i, what("n"), len(x))
            check(i, what("difference"), np.mean(x))
            draws = min(9_999, max(999, 500_000 // len(table_of("key.csv"))))
            by_lottery(i, f, people, x, what("p"), {what("ci"): level}, draws)
        if method not in ("paired-t", "signed-rank", "period-adjusted"):
            continue
        check(i, what("n"), len(x))
        if method == "signed-rank":
            by_ranks(i, what, x, level, sides_of(f))
        if method == "paired-t" and sd(x) > 0:
            check(i, what("difference"), np.mean(x))
            check_interval(i, what("ci"), mean_interval(x, level))
            check(i, what("p"), t_p(np.mean(x) / (sd(x) / math.sqrt(len(x))), len(x) - 1, sides_of(f)))
        if method == "period-adjusted" and adjusted:
            check(i, what("difference"), adjusted[0])
            check_interval(i, what("ci"), adjusted[1])
            check(i, what("p"), adjusted[2])


def order_of(i, f, people, d, sums):
    """The analysis of two periods (Senn 2002, ch. 3): the order in which a pair was tasted, and carry-over."""
    r = [x for x in ratings if x["attribute"] == f["attribute"] and x["sample"] in (f["first"], f["second"])]
    if any(x["position"] is None or x["position"] > 2 for x in r) or PLAN["replicates"] > 1:
        return None
    at = {x["assessor"]: x["position"] for x in r if x["sample"] == f["first"]}
    x = np.array([1 if at.get(a) == 1 else -1 for a in people])
    if len(set(x)) < 2 or len(x) < 3:
        return None
    level, adjusted = told(i, "level"), None
    for what, row, scale, y in (("period-adjusted", 0, 1, d), ("period", 1, 1, d), ("carry-over", 1, 2, sums)):
        b, se, df = least_squares([np.ones(len(x)), x], y)
        if se[row] == 0:
            continue
        ends = scale * (b[row] + t_ends(level, df) * se[row])
        p = t_p(b[row] / se[row], df)
        check(i, f"checks.{what}.estimate", scale * b[row])
        check_interval(i, f"checks.{what}.ci", ends)
        check_test(i, f"checks.{what}.", b[row] / se[row], df, p=p)
        adjusted = adjusted or (b[row], ends, t_p(b[row] / se[row], df, sides_of(f)))
    return adjusted


def rm_anova(m):
    """The analysis of variance of the same people's ratings, degrees of freedom by Greenhouse and Geisser (1959)."""
    n, k = m.shape
    rest = m - m.mean(axis=1, keepdims=True) - m.mean(axis=0) + m.mean()
    f = (n * np.sum((m.mean(axis=0) - m.mean()) ** 2) / (k - 1)) / (np.sum(rest**2) / ((n - 1) * (k - 1)))
    s = np.cov(m, rowvar=False)
    s = s - s.mean(axis=1, keepdims=True) - s.mean(axis=0) + s.mean()
    e = np.trace(s) ** 2 / ((k - 1) * np.sum(s**2))
    df, df2 = e * (k - 1), e * (n - 1) * (k - 1)
    return {"statistic": f, "df": df, "df2": df2, "p": stats.f.sf(f, df, df2)}


def factor(i, f):
    """What names do over dishes, or dishes over names: each person's own mean at each level."""
    of = {(r["sample"], r["dish"], r["name"] or "blind") for r in ratings if r["sample"]}
    if f["factor"] == "name:dish":
        return depends(i, f, of)
    levels, column = f["compared"].split(), {"dish": 1, "name": 2}[f["factor"]]
    effect_in_model(i, f, lambda model: np.array([level_weights(model, [levels[0], other], f["factor"])
                                                  for other in levels[1:]]))
    samples = [sorted(x[0] for x in of if x[column] == level) for level in levels]
    everything = list(itertools.chain(*samples))
    if f["method"] in ("mixed-t", "mixed-f"):
        cells = by_assessor(f["attribute"])
        for s in everything:
            values = cells.of([s])[1][:, 0]
            check(i, f"estimates.{s}.n", len(values))
            check(i, f"estimates.{s}.mean", np.mean(values))
            check_interval(i, f"estimates.{s}.ci", mean_interval(values, 1 - PLAN["alpha"]))
        check(i, "n", len(cells.people))
        if len(levels) == 2:
            by_model(i, f, lambda model: level_weights(model, levels, f["factor"]))
        return
    people, m = by_assessor(f["attribute"]).of(everything)
    if m is None:
        return
    for s, values in zip(everything, m.T):
        check(i, f"estimates.{s}.n", len(values))
        check(i, f"estimates.{s}.mean", np.mean(values))
        check_interval(i, f"estimates.{s}.ci", mean_interval(values, 1 - PLAN["alpha"]))
    at = np.column_stack([m[:, [everything.index(s) for s in these]].mean(axis=1) for these in samples])
    if len(levels) == 2:
        two_means(i, {**f, "first": levels[0], "second": levels[1]}, people, at)
        return
    check(i, "n", len(at))
    if f["method"] == "rm-anova":
        check_test(i, "test.", **rm_anova(at))


def level_weights(model, levels, factor):
    """The weights of samples in the difference of two levels of a factor."""
    column = {r["sample"]: r["dish"] if factor == "dish" else r["name"] or "blind" for r in model.rows}
    first, second = (np.array([float(column[s] == level) for s in model.samples]) for level in levels)
    return first / first.sum() - second / second.sum()


def effect_in_model(i, f, weights):
    """The test of an effect of crossed samples in their mixed model, by every rating."""
    what = next((x for x in ("also.mixed-t.", "also.mixed-f.") if told(i, x + "p") is not None),
                "test." if f["method"] == "mixed-f" else None)
    if what is None or diverted is not None:
        return
    model = model_of(f["attribute"])
    rows = np.array([model.of_samples(w) for w in weights(model)])
    if what != "also.mixed-t.":
        fitted_test(i, what, model.fit.together(rows), model.tolerance)
        return
    difference, error, df = model.fit.contrast(rows[0])
    check(i, what + "statistic", difference / error, model.tolerance)
    check(i, what + "df", df, 10 * model.tolerance)
    check(i, what + "p", t_p(difference / error, df, sides_of(f)), 100 * model.tolerance)


def depends(i, f, of):
    """Whether what the names do depends on the dish: in the model, and within those who rated the whole table, on
    orthonormal contrasts against their own scatter (Winer 1971, sect. 7.2; Greenhouse and Geisser 1959)."""
    cell = {(dish, name): s for s, dish, name in of}
    dishes, names = sorted({d for d, _ in cell}), sorted({n for _, n in cell})
    everything = sorted(cell.values())

    def rows(order):
        out = []
        for d, n in itertools.product(dishes[1:], names[1:]):
            w = {cell[dishes[0], names[0]]: 1, cell[dishes[0], n]: -1, cell[d, names[0]]: -1, cell[d, n]: 1}
            out.append([w.get(s, 0) for s in order])
        return np.array(out, dtype=float)

    effect_in_model(i, f, lambda model: rows(model.samples))
    _, m = by_assessor(f["attribute"]).of(everything)
    for s, values in zip(everything, m.T):
        check(i, f"estimates.{s}.n", len(values))
        check(i, f"estimates.{s}.mean", np.mean(values))
        check_interval(i, f"estimates.{s}.ci", mean_interval(values, 1 - PLAN["alpha"]))
    check(i, "n", len(m))
    if f["method"] != "rm-anova":
        return
    z = m @ np.linalg.qr(rows(everything).T)[0]
    spread_of, q = np.atleast_2d(np.cov(z, rowvar=False)), z.shape[1]
    e = np.trace(spread_of) ** 2 / (q * np.sum(spread_of**2))
    ratio, df, df2 = len(m) * np.sum(z.mean(axis=0) ** 2) / np.trace(spread_of), e * q, e * q * (len(m) - 1)
    check_test(i, "test.", ratio, df, df2, stats.f.sf(ratio, df, df2))


def welch(x, y, sides="two-sided", few=0):
    """Welch (1947); with fewer than a few in a group on the degrees of freedom of the smaller, a bound: Mickey & Brown
    (1966)."""
    a, b = np.var(x, ddof=1) / len(x), np.var(y, ddof=1) / len(y)
    if a + b == 0:
        return None
    df = (a + b) ** 2 / (a**2 / (len(x) - 1) + b**2 / (len(y) - 1))
    smaller = min(len(x), len(y))
    if smaller < few:
        df = smaller - 1
    difference, se = np.mean(x) - np.mean(y), math.sqrt(a + b)

    def ends(level):
        return difference + t_ends(level, df) * se

    return {"statistic": difference / se, "df": df, "p": t_p(difference / se, df, sides)}, ends


def rank_sum_p(x, y, sides="two-sided"):
    """The exact p of the rank sum for any ties (Wilcoxon 1945): the distribution over all ways to part
    the doubled midranks, by convolution. None for groups so large that the report may have used the normal one."""
    if max(len(x), len(y)) > 60:
        return None
    p, ranks = rank_sum_ways(np.concatenate([x, y]), len(x))
    off = np.arange(len(p)) - len(x) * ranks.mean()
    return p[as_far(off, off[ranks[: len(x)].sum()], sides)].sum()


def as_far(off, seen, sides, slack=1e-6):
    if sides == "two-sided":
        return abs(off) >= abs(seen) - slack
    return off >= seen - slack if sides == "greater" else off <= seen + slack


def within_strata(r, first):
    """The difference within every stratum: its estimate, standard error and df."""
    strata = sorted({x["stratum"] for x in r})
    columns = [np.array([1.0 * (x["sample"] == first) for x in r])]
    columns += [np.array([1.0 * (x["stratum"] == s) for x in r]) for s in strata]
    b, se, df = least_squares(columns, np.array([x["value"] for x in r]))
    return b[0], se[0], df


def groups(i, f):
    r = [x for x in ratings if x["attribute"] == f["attribute"] and x["sample"] in (f["first"], f["second"])]

    def of(rows, s):
        return np.array([x["value"] for x in rows if x["sample"] == s])

    x, y, level, sides = of(r, f["first"]), of(r, f["second"]), told(i, "level"), sides_of(f)
    for n, (s, v) in enumerate(((f["first"], x), (f["second"], y)), 1):
        check(i, f"ns.{n}", len(v))
        check(i, f"means.{s}", np.mean(v))
        check(i, f"sds.{s}", sd(v))

    def where(method):
        return "test." if f["method"] == method else f"also.{method}."

    t, ends_of_welch = welch(x, y, sides) or ({}, lambda level: (math.nan, math.nan))  # nothing scatters in either
    check_test(i, where("welch-t"), **t)
    ranks = stats.rankdata(np.concatenate([x, y]))
    check(i, where("rank-sum") + "statistic", ranks[: len(x)].sum() - len(x) * (len(x) + 1) / 2)
    check(i, where("rank-sum") + "p", rank_sum_p(x, y, sides))
    above = np.mean((x[:, None] > y) + (x[:, None] == y) / 2)  # its interval on Fisher's scale
    check(i, "effect.superiority.value", above)
    half = stats.norm.ppf((1 + level) / 2) * math.sqrt((len(x) + len(y) + 1) / (3 * len(x) * len(y)))
    if abs(2 * above - 1) < 1:
        check_interval(i, "effect.superiority.ci",
            (1 + np.tanh(math.atanh(2 * above - 1) + np.array([-half, half]))) / 2)
    check(i, "n", len(r))
    within_ranks = van_elteren(r, f, level) if PLAN["strata"] > 0 else None
    if within_ranks:
        check_test(i, where("stratified-rank-sum"), within_ranks["z"], p=within_ranks["p"])
    df = len(x) + len(y) - 2
    pooled = math.sqrt(((len(x) - 1) * np.var(x, ddof=1) + (len(y) - 1) * np.var(y, ddof=1)) / df)
    scale, j = math.sqrt(1 / len(x) + 1 / len(y)), small_sample(df)
    means, ends_of_means, stratified = np.mean(x) - np.mean(y), ends_of_welch, None
    if pooled > 0:
        check(i, "effect.hedges-g.value", j * means / pooled)
        ends_of_g = noncentral_interval(means / pooled / scale, df, scale, level)
        check_interval(i, "effect.hedges-g.ci", j * ends_of_g, SEARCHED)
    if PLAN["strata"] > 0:
        check(i, "strata", len({z["stratum"] for z in r}))
        means, se, df = within_strata(r, f["first"])
        stratified = {"statistic": means / se, "df": df, "p": t_p(means / se, df, sides)}
        check_test(i, where("stratified-t"), **stratified)
        ends_of_means = spread(means, se, df)
    by_rank = f["method"] in ("rank-sum", "stratified-rank-sum")
    shift, ends_of_shift = shift_of(x, y)
    if by_rank and within_ranks:
        shift, ends = within_ranks["shift"], lambda level: van_elteren(r, f, level)["ci"]
    else:
        ends = ends_of_shift if by_rank else ends_of_means
    drawn = f["method"] == "lottery"
    check(i, "difference", np.mean(x) - np.mean(y) if drawn else shift if by_rank else means)
    if drawn:
        by_redraws(i, f, True)
    else:
        check_interval(i, "ci", ends(level))
    for other in () if drawn else ("adjusted", "equivalence"):
        if told(i, "level_" + other) is not None:
            check_interval(i, "ci_" + other, ends(told(i, "level_" + other)))
    check(i, "effect.mean-difference.value", means)
    check_interval(i, "effect.mean-difference.ci", ends_of_means(level))
    for what, method, _ in again(i):  # the other tests
        check(i, what("n"), len(r))
        value, interval, p = {
            "welch-t": (np.mean(x) - np.mean(y), ends_of_welch(level), t.get("p")),
            "rank-sum": (*shift_of(x, y), rank_sum_p(x, y, sides)),
            "stratified-t": (means, ends_of_means(level), stratified and stratified["p"]),
            "stratified-rank-sum": within_ranks and (within_ranks["shift"], within_ranks["ci"], within_ranks["p"]),
        }.get(method) or (None, None, None)
        if value is not None:
            check(i, what("difference"), value)
            check(i, what("p"), p)
            check_interval(i, what("ci"), interval(level) if callable(interval) else interval)


def shift_of(x, y):
    """The shift of Hodges and Lehmann (1963), and its interval (Hollander and Wolfe 1999, sect. 4.3)."""
    apart = np.sort(np.subtract.outer(x, y).ravel())

    def ends(level):
        k = max(1, mann_whitney_quantile((1 - level) / 2, len(x), len(y)))
        return apart[k - 1], apart[len(apart) - k]

    return np.median(apart), ends


def spread(estimate, se, df):
    return lambda level: estimate + t_ends(level, df) * se


def rank_sum_ways(values, m):
    """The chances of each doubled rank sum of the first m of some values, from 0."""
    ranks = np.rint(2 * stats.rankdata(values)).astype(int)
    ways = np.zeros((m + 1, ranks.sum() + 1))
    ways[0, 0] = 1
    for r in ranks:
        ways[1:, r:] = ways[1:, r:] + ways[:-1, : ways.shape[1] - r]
    return ways[-1] / ways[-1].sum(), ranks


def mann_whitney_quantile(p, m, n):
    """The least number of pairs that is reached with a chance, without ties."""
    chances = rank_sum_ways(np.arange(m + n), m)[0][m * (m + 1) :: 2]
    return int(np.searchsorted(np.cumsum(chances), p * (1 - 1e-12)))


def van_elteren(r, f, level):
    """The rank-sum test within strata with the weights 1/(N + 1) (van Elteren 1960), given the ties, exact; and the
    shift that leaves its statistic at its mean. Where that takes many sums, p is by the normal distribution, as the
    report's."""
    apart, weight, off, variance, plain, exact = [], [], 0.0, 0.0, 0.0, {0: 1.0}
    for h in sorted({x["stratum"] for x in r}):
        x, y = ([z["value"] for z in r if z["stratum"] == h and z["sample"] == f[s]] for s in ("first", "second"))
        m, n = len(x), len(y)
        if m == 0 or n == 0:
            continue
        w, ranks = 1 / (m + n + 1), stats.rankdata(x + y)
        off += w * (ranks[:m].sum() - m * (m + n + 1) / 2)
        variance += w**2 * m * n / (m + n) * np.var(ranks, ddof=1)
        plain += w * m * n / 12
        apart += list(np.subtract.outer(x, y).ravel())
        weight += [w] * (m * n)
        if exact and (len(exact) * m * n > 100_000 or (m + n) * min(m, n) * m * n > 20_000_000):
            exact = None
        if exact is None:
            continue
        sums = defaultdict(float)
        for doubled, p in enumerate(rank_sum_ways(x + y, m)[0]):
            if p > 0:
                step = round(w * (doubled / 2 - m * (m + n + 1) / 2) * 1e9)
                for at, q in exact.items():
                    sums[at + step] += p * q
        exact = sums
    order = np.argsort(apart, kind="stable")
    values, reached, total = np.array(apart)[order], np.cumsum(np.array(weight)[order]), sum(weight)

    def at(amount):
        k = int(np.argmax(reached >= amount * (1 - 1e-9)))
        return values[k] if reached[k] > amount * (1 + 1e-9) or k == len(values) - 1 else (
            values[k] + values[k + 1]) / 2

    reach = stats.norm.ppf((1 + level) / 2) * math.sqrt(plain)
    z = off / math.sqrt(variance)
    p = t_p(z, math.inf, sides_of(f)) if exact is None else sum(
        p for k, p in exact.items() if as_far(k, off * 1e9, sides_of(f), 1000))
    return {"z": z, "p": p, "shift": at(total / 2), "ci": (at(total / 2 - reach), at(total / 2 + reach))}


def turns_of(rows):
    turns = defaultdict(list)
    for r in rows:
        turns[r["assessor"], int(r["turn"])].append(r)
    return turns


def rights(f):
    """The turns and whether each was answered right, where that can be told from the tables; else None."""

    def chosen(x):
        return next((r for r in x if r["value"] == 1), None)

    def alone(x):
        counts = Counter(r["sample"] for r in x)
        return chosen(x)["sample"] == next(s for s, n in counts.items() if n == 1)

    def paired(x):
        return all(len({r["sample"] for r in x if r["value"] == group}) == 1 for group in {r["value"] for r in x})

    question, rows = PLAN["question"], [r for r in ratings if r["sample"]]
    if question in ("triangle", "3-afc"):
        one = alone
    elif question == "duo-trio" and rows and "reference" in rows[0]:
        one = lambda x: chosen(x)["dish"] == x[0]["reference"]
    elif question == "2-afc" or question == "duo-trio" and PLAN["reference"] == "constant":
        one = lambda x: chosen(x)["sample"] == f["first"]
    elif question == "tetrad":
        one = paired
    else:
        return None
    return [(a, turn, one(x), int(x[0].get("arrived") or 0)) for (a, turn), x in sorted(turns_of(rows).items())]


def share_at(d):
    """The share of right answers at a sensory distance (Ennis 1993; Macmillan & Creelman 2005)."""
    q, cdf, density = PLAN["question"], stats.norm.cdf, stats.norm.pdf

    def whole(g, start):
        return integrate.quad(g, start, 12 + d, epsabs=1e-14, epsrel=1e-12, limit=500)[0]

    if q == "2-afc":
        return cdf(d / math.sqrt(2))
    if q == "3-afc":
        return whole(lambda z: density(z - d) * cdf(z) ** 2, -12)
    if q == "duo-trio":
        a, b = cdf(d / math.sqrt(2)), cdf(d / math.sqrt(6))
        return 1 - a - b + 2 * a * b
    if q == "triangle":
        r3, r23 = math.sqrt(3), d * math.sqrt(2 / 3)
        return 2 * whole(lambda z: (cdf(-z * r3 + r23) + cdf(-z * r3 - r23)) * density(z), 0)
    if q == "tetrad":
        return 1 - 2 * whole(lambda z: density(z) * (2 * cdf(z) * cdf(z - d) - cdf(z - d) ** 2), -12)
    return None


def distance(share, chance):
    if share_at(1) is None or share >= share_at(20):
        return None
    return 0 if share <= chance else optimize.brentq(lambda d: share_at(d) - share, 0, 20, xtol=1e-13)


def least_right(n, chance):
    """How many right answers are too many for guessing."""
    return next((k for k in range(n + 1) if stats.binom.sf(k - 1, n, chance) <= PLAN["alpha"]), n + 1)


def right_answers(i, f, n, k, chance):
    """A test of difference: k of n right, by the exact binomial distribution (Clopper & Pearson 1934)."""
    each = rights(f)
    if each is not None and f["method"] == "sequential":  # how many were right after each answer, as they came
        after = [int(x) for x in np.cumsum([x[2] for x in sorted(each, key=lambda x: x[3])])]
        for answers, count in enumerate(after, 1):
            check(i, f"one_by_one.right_after.{answers}", count)
        one_by_one(i, after, chance)
        check_interval(i, "ci_equivalence", exact_share(k, n, told(i, "level")))
    elif each is not None:
        check(i, "n", len(each))
        check(i, "right", sum(x[2] for x in each))
        right_again(i, each, chance)
    level = told(i, "level")
    if f["method"] in ("binomial", "similarity", "sequential"):
        check(i, "least_right", least_right(n, chance))
    ends, alike = exact_share(k, n, level), told(i, "alike.share")
    if alike is not None:
        truth = chance + (1 - chance) * alike
        check(i, "alike.p", stats.binom.cdf(k, n, truth))
        check_test(i, "test.", k, p=stats.binom.cdf(k, n, truth))
        check_test(i, "also.binomial.", k, p=binomial(k, n, chance, "greater"))
        most = [x for x in range(n + 1) if stats.binom.cdf(x, n, truth) <= 1 - told(i, "alike.level")]
        if most:
            check(i, "alike.most_right", max(most))
        upper = exact_share(k, n, told(i, "alike.level"), "less")
        check(i, "alike.upper", max(0, (upper[1] - chance) / (1 - chance)))
        check_interval(i, "ci_equivalence", upper)
    elif f["method"] == "binomial":
        check_test(i, "test.", k, p=binomial(k, n, chance, "greater"))
    check(i, "share", k / n)
    check_interval(i, "ci", ends)
    check(i, "tellers.value", max(0, (k / n - chance) / (1 - chance)))
    check_interval(i, "tellers.ci", [max(0, (x - chance) / (1 - chance)) for x in ends])
    check(i, "d_prime.value", distance(k / n, chance), SEARCHED)
    check_interval(i, "d_prime.ci", [distance(x, chance) for x in ends], SEARCHED)


def right_again(i, each, chance):
    """The same of the first answer of each."""
    for what, _, says in again(i):
        if not says.startswith("by the first answer of each"):
            continue
        first = {a: min(turn for b, turn, *_ in each if b == a) for a in {x[0] for x in each}}
        rows = [x for x in each if x[1] == first[x[0]]]
        k, n = sum(x[2] for x in rows), len(rows)
        check(i, what("n"), n)
        check(i, what("share"), k / n)
        check_interval(i, what("ci"), exact_share(k, n, told(i, "level")))
        if told(i, "alike.share") is None:
            check(i, what("p"), binomial(k, n, chance, "greater"))


def said_one(i, f):
    """What was said of servings or pairs, one of two things: how often of those that were it, and of others."""
    r = [x[0] for x in turns_of([x for x in ratings if x["attribute"] == "said"]).values()]
    if not r or told(i, "said.of_true.of") is None:
        return
    if PLAN["question"] == "same-different":  # what stood on the table, by the codes of the turn
        codes = {(x["assessor"], x["turn"]): x["codes"].split() for x in table_of("turns.csv")}
        key = defaultdict(dict)
        for x in table_of("key.csv"):
            key[x["assessor"]].setdefault(x["code"], set()).add(x["sample"])
        truth = [len(set().union(*(key[x["assessor"]].get(c, set()) for c in codes[x["assessor"], x["turn"]]))) == 1
                 for x in r]
    else:
        truth = [x["sample"] == f["first"] for x in r]
    truth, yes = np.array(truth), np.array([x["value"] == 1 for x in r])
    who, turn = np.array([x["assessor"] for x in r]), np.array([int(x["turn"]) for x in r])
    check(i, "n", len(r))
    check(i, "said.of_true.of", truth.sum())
    check(i, "said.of_other.of", (~truth).sum())
    check(i, "said.of_true.said", (yes & truth).sum())
    check(i, "said.of_other.said", (yes & ~truth).sum())
    if f["method"] != "fisher-within":
        return

    def within(keep):
        """Exact, each person's answers shuffled among the person's own plates; one answer each: among all."""
        apart = who if len(set(who[keep])) < keep.sum() else np.full(len(who), "")
        p = np.ones(1)
        for one in sorted(set(apart[keep])):
            own = keep & (apart == one)
            right = int((truth & own).sum())
            p = np.convolve(p, stats.hypergeom.pmf(np.arange(right + 1), own.sum(), right, int((yes & own).sum())))
        hits = int((yes & truth & keep).sum())
        return hits, p[hits:].sum()

    def apart(what, keep):
        told_so, others = ((int(yes[of].sum()), int(of.sum())) for of in (truth & keep, ~truth & keep))
        method = two_normals if PLAN["question"] == "a-not-a" else two_pairs
        d, ends = method(told_so, others, told(i, "level"))
        check(i, what("distance"), d, SEARCHED)
        check_interval(i, what("ci"), ends, SEARCHED)

    everything = np.full(len(r), True)
    statistic, p = within(everything)
    check_test(i, "test.", statistic, p=p)
    apart(str, everything)
    for what, _, says in again(i):
        if says.startswith("by the first answer of each"):
            keep = np.array([t == turn[who == a].min() for a, t in zip(who, turn)])
            check(i, what("n"), keep.sum())
            check(i, what("p"), within(keep)[1])
            apart(what, keep)


def two_normals(h, g, level):
    """The distance of two normal distributions by how often the same was said of either, and of how many (Macmillan &
    Creelman 2005, ch. 1), with its interval (Gourevitch & Galanter 1967)."""
    p, n = np.array([h[0] / h[1], g[0] / g[1]]), np.array([h[1], g[1]])
    if np.any((p == 0) | (p == 1)):
        return math.nan, (math.nan, math.nan)
    z = stats.norm.ppf(p)
    half = stats.norm.ppf((1 + level) / 2) * math.sqrt(np.sum(p * (1 - p) / n / stats.norm.pdf(z) ** 2))
    return z[0] - z[1], (z[0] - z[1] - half, z[0] - z[1] + half)


def two_pairs(same, unlike, level):
    """The distance by pairs called the same, of equal plates and of unlike ones: two perceptions that differ by less
    than a criterion. The interval holds the distances that the likelihood ratio does not reject, each with the
    criterion that suits it."""

    def called(tau, d):
        return stats.norm.cdf((tau - d) / math.sqrt(2)) - stats.norm.cdf((-tau - d) / math.sqrt(2))

    def unlikely(tau, d):
        return -stats.binom.logpmf(*same, called(tau, 0)) - stats.binom.logpmf(*unlike, called(tau, d))

    def profile(d):
        with np.errstate(invalid="ignore"):  # a criterion at which the answers are impossible
            return optimize.minimize_scalar(unlikely, bounds=(1e-9, d + 12), args=(d,), method="bounded",
                                            options={"xatol": 1e-11}).fun

    p, q, d = same[0] / same[1], unlike[0] / unlike[1], 0.0
    if p > q:
        tau = -math.sqrt(2) * stats.norm.ppf((1 - p) / 2)
        d = optimize.brentq(lambda d: called(tau, d) - q, 0, tau + 12, xtol=1e-13)
    most = profile(d) + stats.norm.ppf((1 + level) / 2) ** 2 / 2

    def end(low, high):
        return optimize.brentq(lambda d: profile(d) - most, low, high, xtol=1e-12)

    return d, (0.0 if d == 0 or profile(0) <= most else end(0, d), end(d, d + 12))


def together(i, each, chance):
    """The share of right answers where those of one person go together: beta-binomial over people (Ennis & Bi 1998),
    its error from the second differences of the likelihood; alike for all people where that fits best."""
    of = defaultdict(list)
    for x in each:
        of[x[0]].append(bool(x[2]))
    right, n = [sum(x) for x in of.values()], [len(x) for x in of.values()]
    k, level, total = sum(right), told(i, "level"), sum(n)

    def likely(p, gamma):
        phi = gamma / (1 - gamma)
        return sum(np.log(p + np.arange(x) * phi).sum() + np.log(1 - p + np.arange(m - x) * phi).sum()
                   - np.log1p(np.arange(m) * phi).sum() for x, m in zip(right, n))

    def to(u):
        return chance + (1 - chance) * special.expit(u[0]), special.expit(u[1])

    p, gamma, best = max(chance, k / total), 0.0, likely(max(chance, k / total), 0)
    for start in ((0, -2), (-2, 0), (1, 1)):
        fit = optimize.minimize(lambda u: -likely(*to(u)), start, method="Nelder-Mead",
                                options={"xatol": 1e-10, "fatol": 1e-13, "maxiter": 5000})
        if -fit.fun > best + 1e-9:
            best, (p, gamma) = -fit.fun, to(fit.x)
    h, ends, loose = 1e-4, exact_share(k, total, level), SEARCHED
    if gamma > h and p - h >= chance:
        loose = 1e-4  # two optimisers on a flat hill
        pp = (likely(p + h, gamma) - 2 * likely(p, gamma) + likely(p - h, gamma)) / h**2
        gg = (likely(p, gamma + h) - 2 * likely(p, gamma) + likely(p, gamma - h)) / h**2
        pg = (likely(p + h, gamma + h) - likely(p + h, gamma - h) - likely(p - h, gamma + h)
              + likely(p - h, gamma - h)) / (4 * h**2)
        half = stats.norm.ppf((1 + level) / 2) * math.sqrt(-gg / (pp * gg - pg**2))
        ends = max(0, p - half), min(1, p + half)
    else:
        p = k / total
    check(i, "share", p, loose)
    check_interval(i, "ci", ends, loose)
    check(i, "tellers.value", max(0, (p - chance) / (1 - chance)), 10 * loose)
    check_interval(i, "tellers.ci", [max(0, (x - chance) / (1 - chance)) for x in ends], 10 * loose)
    check(i, "d_prime.value", distance(p, chance), 10 * loose)
    check_interval(i, "d_prime.ci", [distance(x, chance) for x in ends], 10 * loose)


def one_by_one(i, after, chance):
    """Wald's sequential test (1947, sect. 5.3): two lines; where the answers left the space between them; and the
    chance that guesses alone leave it above by as many answers or fewer."""
    truth, alpha, beta = chance + told(i, "one_by_one.share") * (1 - chance), PLAN["alpha"], PLAN["beta"]
    odds = math.log(truth * (1 - chance) / (chance * (1 - truth)))
    slope = math.log((1 - chance) / (1 - truth)) / odds
    low, high = math.log(beta / (1 - alpha)) / odds, math.log((1 - beta) / alpha) / odds
    for what, value in (("slope", slope), ("low", low), ("high", high)):
        check(i, "one_by_one." + what, value)
    most = min(len(after), int(told(i, "one_by_one.most")))
    out = next((n for n, k in enumerate(after[:most], 1) if k >= high + slope * n or k <= low + slope * n), most)
    check(i, "n", out)
    check(i, "right", after[out - 1])
    check(i, "test.statistic", after[out - 1])
    for x in ("one_by_one.later", "excluded.answered after the answers had decided",
              "excluded.answered after the last answer that the plan takes"):
        check(i, x, len(after) - out)
    if after[out - 1] < high + slope * out:
        return
    still, above = np.ones(1), 0.0
    for n in range(1, out + 1):
        still = np.append(still * (1 - chance), 0) + np.append(0, still * chance)
        right = np.arange(n + 1)
        above += still[right >= high + slope * n].sum()
        still[(right >= high + slope * n) | (right <= low + slope * n)] = 0
    check(i, "test.p", above)


def choice(i, f):
    said_one(i, f)
    right, first, chance = told(i, "right"), told(i, "first"), told(i, "chance")
    if chance is None:
        return
    if PLAN["replicates"] > 1:  # the report's share is that of a model of answers that go together
        each = rights(f)
        if first is None and each is not None and right is not None:
            n, k = len(each), sum(x[2] for x in each)
            check(i, "n", n)
            check(i, "right", k)
            right_again(i, each, chance)
            together(i, each, chance)
            check(i, "least_right", least_right(n, chance))
            if f["method"] == "binomial":
                check_test(i, "test.", k, p=binomial(k, n, chance, "greater"))
        return
    if first is None:
        if diverted is not None:
            each = rights(f)
            if each is not None:
                right_answers(i, f, len(each), sum(x[2] for x in each), chance)
        elif right is not None:
            right_answers(i, f, int(told(i, "n")), int(right), chance)
        return
    if f["method"] != "binomial":
        return
    answers = [r for r in ratings if r["attribute"] == "choice"]
    chosen = [r for r in answers if r["value"] == 1 and r["sample"]]  # those who have a preference
    turns = {(r["assessor"], r["turn"]) for r in answers}
    k, n = sum(r["sample"] == f["first"] for r in chosen), len(chosen)
    check(i, "first", k)
    check(i, "second", n - k)
    check(i, "n", len(turns))
    check(i, "none", len(turns) - n)
    check(i, "share", k / n)
    check_test(i, "test.", k, p=binomial(k, n, chance, sides_of(f)))
    check_interval(i, "ci", wilson(k, n, told(i, "level")))
    if told(i, "level_equivalence") is not None:
        check_interval(i, "ci_equivalence", wilson(k, n, told(i, "level_equivalence")))
    distances = [math.sqrt(2) * stats.norm.ppf(x) for x in (k / n, *wilson(k, n, told(i, "level")))]
    check(i, "effect.d-prime.value", distances[0])
    check_interval(i, "effect.d-prime.ci", distances[1:])
    at_first = defaultdict(lambda: math.inf)
    for r in ratings:
        if r["position"] is not None:
            at_first[r["assessor"], r["turn"]] = min(at_first[r["assessor"], r["turn"]], r["position"])
    served_first = sum(r["position"] == at_first[r["assessor"], r["turn"]] for r in chosen)
    check_test(i, "checks.served-first.", served_first, p=binomial(served_first, n))


def friedman(m):
    """Friedman's test (1937), allowing for ties: statistic, df and p."""
    n, k = m.shape
    ranks = np.apply_along_axis(stats.rankdata, 1, m)
    ties = sum((c**3 - c).sum() for c in (np.unique(row, return_counts=True)[1] for row in ranks))
    below = n * k * (k + 1) - ties / (k - 1)
    if below == 0:
        return None
    x = 12 * np.sum((ranks.sum(axis=0) - n * (k + 1) / 2) ** 2) / below
    return x, k - 1, stats.chi2.sf(x, k - 1)


def friedman_exact(m):
    """The p of Friedman's test over all orders in which each person's ranks may fall."""
    ranks = np.rint(2 * np.apply_along_axis(stats.rankdata, 1, m)).astype(int)
    states = {(0,) * m.shape[1]: 1.0}
    for row in ranks:
        falls, reached = Counter(itertools.permutations(row.tolist())), defaultdict(float)
        ways = sum(falls.values())
        for sums, chance in states.items():
            for fall, count in falls.items():  # which sample has which sum is all one
                reached[tuple(sorted(map(sum, zip(sums, fall))))] += chance * count / ways
        states = reached
    far = (ranks.sum(axis=0) ** 2).sum()
    return sum(p for sums, p in states.items() if sum(x * x for x in sums) >= far - 0.5)


def worths(m, level):
    """Worths of samples by the model of Plackett and Luce (Newton's method, the sum of their logarithms being 0), with
    intervals by the delta method on log odds; nothing where some stand before all others in every order."""
    k = m.shape[1]
    before = np.array([[(m[:, a] < m[:, b]).any() for b in range(k)] for a in range(k)])
    for v in range(k):
        before |= np.outer(before[:, v], before[v])
    if not before[~np.eye(k, dtype=bool)].all():
        return None
    log = np.zeros(k)
    for _ in range(100):
        slope, bend = np.zeros(k), np.ones((k, k))
        for order in np.argsort(m, axis=1):
            for p in range(k - 1):
                left = order[p:]
                w = np.exp(log[left]) / np.exp(log[left]).sum()
                slope[left] -= w
                slope[left[0]] += 1
                bend[np.ix_(left, left)] += np.diag(w) - np.outer(w, w)
        step = np.linalg.solve(bend, slope)
        log += step
        if abs(step).max() < 1e-12:
            break
    w, covariance = np.exp(log) / np.exp(log).sum(), np.linalg.inv(bend) - 1 / k**2
    found = []
    for j in range(k):
        a = -w / (1 - w[j])
        a[j] = 1
        reach = stats.norm.ppf((1 + level) / 2) * np.sqrt(a @ covariance @ a)
        found.append((w[j], special.expit(special.logit(w[j]) + np.array([-reach, reach]))))
    return found


def two_of(pair, ids):
    """The samples of a pair as its numbers name it, "one-other", where their own names may have a hyphen too."""
    return next((a, b) for a in ids for b in ids if f"{a}-{b}" == pair)


def ranking(i, f):
    rows = [r for r in ratings if r["sample"] and r["attribute"] == "rank"]
    cells = Cells(rows)
    _, m = cells.of(cells.samples)
    if not len(m) or any(sorted(row) != list(range(1, len(row) + 1)) for row in m):
        return
    n, k = m.shape
    check(i, "n", n)
    sums, samples = m.sum(axis=0), cells.samples
    for s, column in zip(samples, m.T):
        check(i, f"rank_sums.{s}", column.sum())
        check(i, f"mean_ranks.{s}", np.mean(column))
        for place in range(1, k + 1):
            check(i, f"places.{s}.{place}", (column == place).sum())
    statistic, df, p = friedman(m)
    check_test(i, "test." if f["method"] == "friedman" else "also.friedman.", statistic, df, p=p)
    check(i, "kendall_w", statistic / (n * (k - 1)))
    for s, (worth, ci) in zip(samples, worths(m, 1 - PLAN["alpha"]) or []):
        check(i, f"worths.{s}.value", worth)
        check_interval(i, f"worths.{s}.ci", ci)
    if f["method"] == "page":
        order = [samples.index(s) for s in PLAN["expected"].split()]
        check_test(i, "test.", *page(m[:, order]))
        for what, method, _ in again(i):
            if method == "friedman":
                check(i, what("n"), n)
                check(i, what("p"), p)
    if diverted is not None:
        by = given(i, r"ranked_pairs\.(.*)\.share")
        two = [samples.index(s) for s in two_of(max(by, key=lambda x: abs(by[x] - 0.5)), samples)]
        before = int((m[:, two[0]] < m[:, two[1]]).sum())
        check(i, "furthest.difference", before / n)
        check_interval(i, "furthest.ci", wilson(before, n, 1 - PLAN["alpha"]))
        return
    step = math.sqrt(2 * (n * (m**2).sum() - (sums**2).sum()) / ((n - 1) * (k - 1)))  # Conover (1999), sect. 5.8
    check(i, "least_significant_difference", stats.norm.ppf(0.975) * math.sqrt(n * k * (k + 1) / 6))
    places = Cells(rows, by="position")
    if k > 2 and not np.isnan(places.values).any():
        statistic, df, p = friedman(places.values)
        check_test(i, "checks.rank-position.", statistic, df, p=p)
    ps, of_sums = {}, {}
    for a, b in itertools.combinations(range(k), 2):
        what = f"ranked_pairs.{samples[a]}-{samples[b]}."
        before = int((m[:, a] < m[:, b]).sum())
        check(i, what + "before", before)
        check(i, what + "after", n - before)
        check(i, what + "share", before / n)
        check_interval(i, what + "ci", wilson(before, n, told(i, what + "level")))
        # Bonferroni's inequality over all pairs; two tests on one side each (Schuirmann 1987)
        check_interval(i, what + "ci_adjusted", wilson(before, n, 1 - PLAN["alpha"] / math.comb(k, 2)))
        check_interval(i, what + "ci_equivalence", wilson(before, n, 1 - 2 * PLAN["alpha"]))
        ps[what + "test.p_adjusted"] = binomial(before, n)
        check_test(i, what + "test.", before, p=binomial(before, n))
        x, df = (sums[b] - sums[a]) / step, (n - 1) * (k - 1)
        of_sums[what + "test_of_rank_sums.p_adjusted"] = t_p(x, df)
        check_test(i, what + "test_of_rank_sums.", x, df, p=t_p(x, df))
    check_holm(i, ps)
    check_holm(i, of_sums)


def page(m):
    """The test of a predicted order (Page 1963): the sum of place times rank sum, of people who each have the ranks 1
    to k. Exact over all orders in which ranks may fall; like the report by the normal distribution where that takes
    over 1e9 products. Statistic, no df, no second df, p."""
    n, k = m.shape
    place = np.arange(1, k + 1)
    seen = int(np.rint((m @ place).sum()))
    sums = np.array(list(itertools.permutations(range(1, k + 1)))) @ place
    own = np.bincount(sums - sums.min()) / len(sums)
    if len(own) * sum(1 + x * (len(own) - 1) for x in range(n)) > 1e9:
        z = (seen - n * k * (k + 1) ** 2 / 4) / math.sqrt(n * k**2 * (k + 1) * (k**2 - 1) / 144)
        return seen, None, None, stats.norm.sf(z)
    p = np.ones(1)
    for _ in range(n):
        p = np.convolve(p, own)
    return seen, None, None, p[seen - n * sums.min() :].sum()


def panel(i, f):
    """A whole panel: who rated every sample, and the mixed model of all ratings."""
    cells = by_assessor(f["attribute"])
    _, m = cells.of(cells.samples)
    n, k = m.shape
    check(i, "n", len(cells.people))
    check(i, "n_complete", n)
    if n > 1 and k > 2:
        whole_panel(i, f, m)
    if f["method"] == "mixed-f":
        mixed_panel(i, f)


def whole_panel(i, f, m):
    """The tests of those who rated every sample."""
    n, k = m.shape
    variance, ranks = rm_anova(m), friedman(m)
    check_test(i, "test." if f["method"] == "rm-anova" else "also.rm-anova.", **variance)
    if ranks is None:
        return
    small = n <= {3: 30, 4: 11}.get(k, 6)
    p = ranks[2] if not small else friedman_exact(m) if k <= 4 else None
    check_test(i, "test." if f["method"] == "friedman" else "also.friedman.", ranks[0], ranks[1], p=p)
    for what, method, _ in again(i):
        if method in ("friedman", "rm-anova"):
            check(i, what("p"), p if method == "friedman" else variance["p"])
            check(i, what("n"), n)


class Mixed:
    """A linear mixed model by restricted maximum likelihood (Patterson and Thompson 1971), with Satterthwaite's degrees
    of freedom (Fai and Cornelius 1996 for several contrasts together). The likelihood is searched for the parts of
    variance by Newton's steps with its exact second derivatives; a part that goes to 0 is left out, and the model
    fitted again. Of a small sample covariance and F are those of Kenward and Roger (1997)."""

    def __init__(self, x, y, groups, small=False):
        self.x, self.y = x, y
        at_random = []
        for g in groups:
            z = (np.unique(g, return_inverse=True)[1][:, None] == np.arange(len(set(g)))).astype(float)
            at_random.append(z @ z.T)
        self.parts = every = at_random + [np.eye(len(y))]
        rest = y - x @ np.linalg.lstsq(x, y, rcond=None)[0]
        self.kept = list(range(len(self.parts)))  # which of the groups, and last what is left
        self.s = np.full(len(self.parts), rest @ rest / (len(y) - x.shape[1]) / len(self.parts))
        while not self.search():
            keep = self.s > 1e-6 * self.s[-1]  # as the report and R: less than a thousandth of the rest's deviation
            keep[-1] = True
            self.parts, self.s = [v for v, k in zip(self.parts, keep) if k], self.s[keep]
            self.kept = [v for v, k in zip(self.kept, keep) if k]
        self.covariance, self.adjusted, self.small = 2 * np.linalg.inv(self.curve), self.fixed, small
        if small:
            self.correct(every)

    def correct(self, every):
        """Allows for what is not known of the parts of variance, those that came to 0 too."""
        inverse = np.linalg.inv(sum(a * part for a, part in zip(self.s, self.parts)))
        self.parts = every
        a, phi = self.weighed, self.fixed
        p = [-(a.T @ part @ a) for part in every]
        by = [inverse @ part for part in every]
        q = [[a.T @ one @ inverse @ two @ a for two in every] for one in every]
        information = np.array(
            [[np.sum(by[i] * by[j].T) - 2 * np.trace(phi @ q[i][j]) + np.trace(phi @ p[i] @ phi @ p[j])
                                 for j in range(len(every))] for i in range(len(every))]) / 2
        self.covariance = w = np.linalg.inv(information)
        bias = sum(w[i, j] * (q[i][j] - p[i] @ phi @ p[j]) for i in range(len(every)) for j in range(len(every)))
        self.adjusted = phi + 2 * phi @ bias @ phi

    def scaled(self, rows):
        """Kenward and Roger's F of several contrasts."""
        q, phi, w = len(rows), self.fixed, self.covariance
        over = rows.T @ np.linalg.inv(rows @ phi @ rows.T) @ rows @ phi
        each = [over @ (self.weighed.T @ part @ self.weighed) @ phi for part in self.parts]
        a1 = sum(w[i, j] * np.trace(x) * np.trace(y) for i, x in enumerate(each) for j, y in enumerate(each))
        a2 = sum(w[i, j] * np.trace(x @ y) for i, x in enumerate(each) for j, y in enumerate(each))
        b, g = (a1 + 6 * a2) / (2 * q), ((q + 1) * a1 - (q + 4) * a2) / ((q + 2) * a2)
        c = [part / (3 * q + 2 * (1 - g)) for part in (g, q - g, q + 2 - g)]
        mean = 1 / (1 - a2 / q)
        variance = 2 / q * (1 + c[0] * b) / ((1 - c[1] * b) ** 2 * (1 - c[2] * b))
        df2 = 4 + (q + 2) / (q * variance / (2 * mean**2) - 1)
        values = rows @ self.coefficients
        f = df2 / (mean * (df2 - 2)) * (values @ np.linalg.solve(rows @ self.adjusted @ rows.T, values)) / q
        return f, q, df2, stats.f.sf(f, q, df2)

    def at(self, s):
        """Minus twice the likelihood, its first and its second derivatives."""
        v = sum(a * part for a, part in zip(s, self.parts))
        low = np.linalg.cholesky(v)
        inverse = np.linalg.inv(v)
        self.fixed = np.linalg.inv(self.x.T @ inverse @ self.x)  # the covariance of the coefficients
        self.weighed = inverse @ self.x
        p = inverse - self.weighed @ self.fixed @ self.weighed.T
        py = p @ self.y
        pv = [p @ part for part in self.parts]
        along = [part @ py for part in self.parts]
        value = 2 * np.log(np.diag(low)).sum() - np.linalg.slogdet(self.fixed)[1] + self.y @ py
        slope = np.array([np.trace(a) - py @ b for a, b in zip(pv, along)])
        self.expected = np.array([[np.sum(a * b.T) for b in pv] for a in pv])
        self.curve = 2 * np.array([[a @ p @ b for b in along] for a in along]) - self.expected
        return value, slope

    def search(self):
        """Newton's steps to the top of the likelihood; False when a part of variance goes to 0."""
        value, slope = self.at(self.s)
        for _ in range(200):
            curve = self.curve if np.linalg.eigvalsh(self.curve)[0] > 0 else self.expected
            step = -np.linalg.solve(curve, slope)
            if np.max(np.abs(step) / self.s) < 1e-11:
                break
            share = min(1.0, *(0.9 * a / -b if b < 0 else 1.0 for a, b in zip(self.s, step)))
            while True:
                there = self.s + share * step
                reached, steep = self.at(there)
                if reached <= value + 1e-9 * max(1, abs(value)) or share < 1e-12:
                    break
                share /= 2
            self.s, value, slope = there, reached, steep
            if np.any(self.s[:-1] < 1e-6 * self.s[-1]):
                return False
        self.at(self.s)
        inverse = np.linalg.inv(sum(a * part for a, part in zip(self.s, self.parts)))
        self.coefficients = self.fixed @ (self.x.T @ inverse @ self.y)
        return True

    def deviation(self, group):
        """The standard deviation of what goes with a group; 0 where it was left out."""
        return math.sqrt(self.s[self.kept.index(group)]) if group in self.kept else 0.0

    def slopes(self, c):
        """How the variance of a contrast goes with each part of variance."""
        w = self.weighed @ (self.fixed @ c)
        return np.array([w @ part @ w for part in self.parts])

    def contrast(self, c):
        """A contrast, its standard error and its degrees of freedom."""
        variance, g = c @ self.fixed @ c, self.slopes(c)
        return c @ self.coefficients, math.sqrt(c @ self.adjusted @ c), 2 * variance**2 / (g @ self.covariance @ g)

    def together(self, rows):
        """F of several contrasts, with its degrees of freedom."""
        if self.small:
            return self.scaled(rows)
        values, vectors = np.linalg.eigh(rows @ self.fixed @ rows.T)
        turned = vectors.T @ rows
        f = np.mean((turned @ self.coefficients) ** 2 / values)
        dfs = [self.contrast(row)[2] for row in turned]
        q = len(dfs)
        if q == 1 or max(dfs) - min(dfs) < 1e-8:
            df2 = np.mean(dfs)
        elif min(dfs) <= 2:
            df2 = 2.0
        else:
            e = sum(v / (v - 2) for v in dfs)
            df2 = 2 * e / (e - q)
        return f, q, df2, stats.f.sf(f, q, df2)


def of_sittings(rows, at_positions, of):
    """What of sittings is at random: nothing where each had one assessor or one sample, not the sitting itself where
    the positions in the model tell it, and an assessor's own of a sitting where they came back. The levels are those of
    some of the rows."""
    sittings = {r.get("sitting") for r in rows}
    n, people = len(sittings), len({r["assessor"] for r in rows})
    if n < 2 or None in sittings or "" in sittings:
        return {}
    visits = len({(r["assessor"], r["sitting"]) for r in rows})
    if len({(r["sample"], r["sitting"]) for r in rows}) == n or visits == n == people:
        return {}
    places = len({r["position"] for r in rows})
    told_apart = at_positions and len({(r["position"], r["sitting"]) for r in rows}) == places
    out = {} if told_apart else {"sitting": [r["sitting"] for r in of]}
    if people < visits < len(rows):
        out["assessor:sitting"] = [r["assessor"] + " " + r["sitting"] for r in of]
    return out


def indicators(values):
    """A column for each level but the first."""
    levels = sorted(set(values))
    return np.array([[float(v == level) for level in levels[1:]] for v in values]).reshape(len(values), len(levels) - 1)


# How far the numbers of a mixed model may be off: both programs search for the top of the likelihood, and a
# degree of freedom moves with the second power of what they are apart. Where few evenings are at random, the top is
# flat.
FITTED, FITTED_SITTINGS = 1e-6, 1e-3


class Model:
    """The mixed model of an attribute: sample and position fixed, assessor at random, and what an assessor finds of a
    sample where somebody rated one several times; sittings at random where there are several. With what was tasted just
    before fixed too, of the servings of which that is known."""

    def __init__(self, attribute, before):
        rows = [r for r in ratings if r["attribute"] == attribute and r["sample"]]
        self.rows, self.samples = rows, sorted({r["sample"] for r in rows})
        if before:
            at = {(r["assessor"], r["position"]): r for r in rows}
            rows = [r for r in rows if r["position"] == 1 or (r["assessor"], r["position"] - 1) in at]
            first = []
            for r in rows:
                last = at.get((r["assessor"], r["position"] - 1))
                first.append(last["sample"] if last and last.get("sitting") == r.get("sitting") else "")
        k, self.places, self.first = len(self.samples), 0, 0
        x = np.column_stack([np.ones(len(rows)), indicators([r["sample"] for r in rows])])
        if None not in [r["position"] for r in rows]:
            wide = np.column_stack([x, indicators([r["position"] for r in rows])])
            if wide.shape[1] > x.shape[1] and np.linalg.matrix_rank(wide) == wide.shape[1]:
                x, self.places = wide, wide.shape[1] - k  # else they cannot be told from the samples
        if before:
            for s in self.samples:  # those that position and sample do not tell
                wide = np.column_stack([x, [float(was == s) for was in first]])
                if np.linalg.matrix_rank(wide) == wide.shape[1]:
                    x, self.first = wide, self.first + 1
        self.groups = {"assessor": [r["assessor"] for r in rows]}
        pairs = [r["assessor"] + " " + r["sample"] for r in rows]
        if len(set(pairs)) < len(pairs):
            self.groups["assessor:sample"] = pairs
        self.seated = of_sittings(self.rows, self.places > 0, rows)
        self.groups.update(self.seated)
        self.tolerance = FITTED_SITTINGS if self.seated else FITTED
        came_back = "assessor:sitting" in self.seated
        self.fit = Mixed(x, np.array([r["value"] for r in rows]), list(self.groups.values()),
                         came_back and len(self.rows) <= 400)
        self.unit = np.eye(x.shape[1])

    def of_samples(self, weights):
        """A row of coefficients, from weights of the samples that sum to nothing."""
        row = np.zeros(len(self.unit))
        row[1 : len(self.samples)] = np.asarray(weights)[1:]
        return row


def model_of(attribute, before=False):
    return once("carry-over" if before else "model", attribute, lambda: Model(attribute, before))


def one_minus(model, first, second):
    return [float(s == first) - float(s == second) for s in model.samples]


def fitted_test(i, what, test, tolerance):
    """An F of a fitted model: far out its p is as uncertain as its statistic is times what it weighs there."""
    for name, value, times in zip(("statistic", "df", "df2", "p"), test, (1, 1, 10, 100)):
        check(i, what + name, value, times * tolerance)


def furthest_pair(i):
    """The two samples of a whole panel that lie furthest apart."""
    by = given(i, r"pairs\.(.*)\.difference")
    return two_of(max(by, key=lambda x: abs(by[x])), {r["sample"] for r in everybody})


def mixed_panel(i, f):
    model = model_of(f["attribute"])
    fit, unit, tolerance, k, places = model.fit, model.unit, model.tolerance, len(model.samples), model.places
    rows, samples = model.rows, model.samples
    fitted_test(i, "test.", fit.together(unit[1:k]), tolerance)
    if diverted is not None:
        difference, error, df = fit.contrast(model.of_samples(one_minus(model, *furthest_pair(i))))
        check(i, "furthest.difference", difference, tolerance)
        wide = stats.studentized_range.ppf(1 - PLAN["alpha"], k, df) / math.sqrt(2)
        check_interval(i, "furthest.ci", difference + np.array([-wide, wide]) * error, 100 * tolerance)
        return
    order = list(model.groups)
    for of in list(order) + ["rest"]:
        mine = fit.deviation(order.index(of) if of in order else len(order))
        was, rest = told(i, f"scatter.{of}.sd") or 0, fit.deviation(len(order))
        # What the likelihood tells of a part near none is its variance, to 1e-5 of the rest's.
        flat = 1e-5 * rest**2 / max(1e-12, (mine + was) * max(was, 1e-4))
        check(i, f"scatter.{of}.sd", mine, max(tolerance, flat))
    if told(i, "sittings") is not None:
        check(i, "sittings", len({r["sitting"] for r in rows}))
    if places:
        fitted_test(i, "checks.position.", fit.together(unit[k : k + places]), tolerance)
    carry_over(i, f)
    level, mean_at = 1 - PLAN["alpha"], {}
    for j, s in enumerate(samples):
        row = np.concatenate([[1.0], [float(j == m) for m in range(1, k)], np.full(places, 1 / (places + 1))])
        mean_at[s] = row
        mean, error, df = fit.contrast(row)
        check(i, f"estimates.{s}.mean", mean, tolerance)
        check(i, f"estimates.{s}.n", len({r["assessor"] for r in rows if r["sample"] == s}))
        check_interval(i, f"estimates.{s}.ci", mean + t_ends(level, df) * error, 10 * tolerance)
    for a, b in itertools.permutations(samples, 2):
        what = f"pairs.{a}-{b}."
        if told(i, what + "difference") is None:
            continue
        difference, error, df = fit.contrast(mean_at[a] - mean_at[b])
        t = difference / error
        check(i, what + "difference", difference, tolerance)
        check_interval(i, what + "ci", difference + t_ends(level, df) * error, 10 * tolerance)
        # Two tests on one side each (Schuirmann 1987).
        check_interval(i, what + "ci_equivalence", difference + t_ends(1 - 2 * PLAN["alpha"], df) * error,
            10 * tolerance)
        check(i, what + "test.statistic", t, 10 * tolerance)
        check(i, what + "test.df", df, 10 * tolerance)
        check(i, what + "test.p", t_p(t, df), 100 * tolerance)
        if told(i, what + "test.p_adjusted") is not None:
            # By Tukey's range; scipy integrates it to some eight digits, of which few are left far out.
            p, wide = tukey(abs(t) * math.sqrt(2), k, df, told(i, what + "level_adjusted") or level)
            check(i, what + "test.p_adjusted", p, max(1e-3, 100 * tolerance))
            check_interval(i, what + "ci_adjusted", difference + np.array([-wide, wide]) / math.sqrt(2) * error,
                           100 * tolerance)


ranges = {}


def tukey(q, k, df, level):
    """The p of a studentized range, and its quantile: where everybody rated everything all pairs have the same."""
    name = (k, round(df, 9), level)
    if name not in ranges:
        ranges[name] = stats.studentized_range.ppf(level, k, df)
    return stats.studentized_range.sf(q, k, df), ranges[name]


def carry_over(i, f):
    """The model with what was tasted just before."""
    if told(i, "checks.previous.statistic") is None:
        return
    model = model_of(f["attribute"], True)
    fit, k, tolerance = model.fit, len(model.samples), model.tolerance
    fitted_test(i, "checks.previous.", fit.together(model.unit[len(model.unit) - model.first :]), tolerance)
    test = fit.together(model.unit[1:k])
    fitted_test(i, "also.mixed-f-carry-over.", test, tolerance)
    for a, b in itertools.permutations(model.samples, 2):
        what = f"pairs.{a}-{b}."
        if told(i, what + "difference_with_carry_over") is not None:
            difference, error, df = fit.contrast(model.of_samples(one_minus(model, a, b)))
            check(i, what + "difference_with_carry_over", difference, tolerance)
            ends = difference + t_ends(1 - PLAN["alpha"], df) * error
            check_interval(i, what + "ci_with_carry_over", ends, 10 * tolerance)
    for what, method, _ in again(i):
        if method == "mixed-f-carry-over":
            difference, error, df = fit.contrast(model.of_samples(one_minus(model, *furthest_pair(i))))
            check(i, what("n"),
                len({r["assessor"] for r in ratings if r["attribute"] == f["attribute"] and r["sample"]}))
            check(i, what("difference"), difference, tolerance)
            check_interval(i, what("ci"), difference + t_ends(1 - PLAN["alpha"], df) * error, 10 * tolerance)
            check(i, what("p"), test[3], 100 * tolerance)


def newcombe(both, first, second, neither, level):
    """The interval of a difference of two shares of the same people (Newcombe 1998, method 10)."""
    n = both + first + second + neither
    a, b = wilson(both + first, n, level), wilson(both + second, n, level)
    p, q = (both + first) / n, (both + second) / n
    top = both * neither - first * second
    if top > 0:
        top = max(top - n / 2, 0)
    below = (both + first) * (second + neither) * (both + second) * (first + neither)
    phi = top / math.sqrt(below) if below > 0 else 0

    def off(x, y):
        return math.sqrt(max(0, x**2 - 2 * phi * x * y + y**2))

    return p - q - off(p - a[0], b[1] - q), p - q + off(a[1] - p, q - b[0])


def cochran(m):
    """The exact p of Cochran's Q (1950): the ticks of each person fall on any of the samples."""
    k = m.shape[1]
    states = {(0,) * k: 1.0}
    for ticks in m.sum(axis=1).astype(int):
        if 0 < ticks < k:
            ways, reached = list(itertools.combinations(range(k), ticks)), defaultdict(float)
            for sums, chance in states.items():
                for way in ways:
                    reached[tuple(sorted(x + (j in way) for j, x in enumerate(sums)))] += chance / len(ways)
            states = reached

    def far(sums):
        return np.sum((np.array(sums) - np.mean(sums)) ** 2)

    return sum(p for sums, p in states.items() if far(sums) >= far(states_of(m)) - 1e-6)


def states_of(m):
    """The sums of those who ticked some samples and not others."""
    some = m[(m.sum(axis=1) > 0) & (m.sum(axis=1) < m.shape[1])]
    return some.sum(axis=0)


def words(i, f):
    ids = list(dict.fromkeys(r["attribute"] for r in ratings if r["attribute"].startswith(f["attribute"] + ".")))
    cells = [by_assessor(w) for w in ids]
    samples, whole = cells[0].samples, set(cells[0].people)
    for c in cells:
        whole &= set(c.of(samples)[0])
    tables = {w: c.values[[a in whole for a in c.people]] for w, c in zip(ids, cells)}
    n, k = len(whole), len(samples)
    check(i, "n", n)
    total, of_words, of_rated = 0, {}, {}
    other = {r["attribute"] for r in ratings} - set(ids)
    for w, m in tables.items():
        for s, column in zip(samples, m.T):
            check(i, f"words.{w}.ticked.{s}", column.sum())
        rows = m.sum(axis=1)
        if (rows * (k - rows)).sum() > 0:
            q = (k - 1) * k * ((m.sum(axis=0) - m.sum() / k) ** 2).sum() / (rows * (k - rows)).sum()
            total += q
            if k > 2:
                check_test(i, f"words.{w}.test.", q, k - 1)
            if 2 < k <= 4:
                of_words[f"words.{w}.test.p_adjusted"] = cochran(m)
                check(i, f"words.{w}.test.p", of_words[f"words.{w}.test.p_adjusted"], SEARCHED)
        word_pairs(i, w, m, samples)
        if len(other) == 1:
            p = rated_with(i, w, next(iter(other)))
            if p is not None:
                of_rated[f"words.{w}.rated.test.p_adjusted"] = p
    check(i, "test.statistic", total)
    if k > 1:
        shuffled(i, list(tables.values()), total)
    if diverted is not None:
        by = given(i, r"words\.(.*\.word_pairs\..*)\.difference")
        widest = max(by, key=lambda x: abs(by[x]))
        word, two = widest.split(".word_pairs.")
        first, second = (samples.index(s) for s in two_of(two, samples)[:: 1 if by[widest] > 0 else -1])
        a, b = tables[word][:, first] == 1, tables[word][:, second] == 1
        check(i, "widest.difference", (a & ~b).mean() - (b & ~a).mean())
        check_interval(i, "widest.ci", newcombe((a & b).sum(), (a & ~b).sum(), (b & ~a).sum(), (~a & ~b).sum(),
                                                1 - PLAN["alpha"]))
        return
    for s, none in zip(samples, (sum(tables.values()) == 0).sum(axis=0)):
        check(i, f"ticked_none.{s}", none)
    if len(of_words) == len(ids):
        check_holm(i, of_words, SEARCHED)
    check_holm(i, of_rated)
    # Correspondence analysis (Greenacre 1984, ch. 4).
    counts = np.column_stack([m.sum(axis=0) for m in tables.values()])
    counts = counts[counts.sum(axis=1) > 0][:, counts.sum(axis=0) > 0]
    if min(counts.shape) > 1:
        p = counts / counts.sum()
        e = np.outer(p.sum(axis=1), p.sum(axis=0))
        d = np.linalg.svd((p - e) / np.sqrt(e), compute_uv=False) ** 2
        check(i, "map.inertia", d.sum())
        for axis in (1, 2):
            check(i, f"map.shares.{axis}", d[axis - 1] / d.sum(), SEARCHED)
        u, d, v = np.linalg.svd((p - e) / np.sqrt(e), full_matrices=False)
        places = np.vstack([u / np.sqrt(p.sum(axis=1))[:, None], v.T / np.sqrt(p.sum(axis=0))[:, None]]) * d
        kept_words = [w for w, m in tables.items() if m.sum() > 0]
        names = [f"map.samples.{s}" for s, x in zip(samples, sum(tables.values()).sum(axis=0)) if x > 0]
        names += [f"map.words.{w}" for w in kept_words]
        for axis in (0, 1):  # which may point either way
            theirs = [told(i, f"{name}.{axis + 1}") or 0 for name in names]
            turn = math.copysign(1, np.dot(theirs, places[:, axis]))
            for name, place in zip(names, places[:, axis]):
                check(i, f"{name}.{axis + 1}", turn * place, SEARCHED)


def shuffled(i, tables, total):
    """The p of the sum of Cochran's Q over all words, each person's samples shuffled with all their words (Meyners,
    Castura & Carr 2013). The report's draws and these are two samples of the same shuffles: they may part by four
    standard deviations of their difference, and one draw."""
    draws, theirs, random = 1999, 1999, np.random.default_rng(20130309)
    ticks = np.stack(tables, axis=2)  # people, samples, words
    n, k, _ = ticks.shape
    rows = ticks.sum(axis=1)
    within = (rows * (k - rows)).sum(axis=0)
    ticks, rows, within = ticks[:, :, within > 0], rows[:, within > 0], within[within > 0]
    weight, constant = k * (k - 1) / within, ((k - 1) * rows.sum(axis=0) ** 2 / within).sum()
    reached = 0
    for _ in range(draws):
        order = np.argsort(random.random((n, k)), axis=1)
        sums = np.take_along_axis(ticks, order[:, :, None], axis=1).sum(axis=0)
        reached += (weight * (sums**2).sum(axis=0)).sum() - constant >= total * (1 - 1e-12)
    mine, report = (1 + reached) / (1 + draws), told(i, diverted["test.p"] if diverted else "test.p")
    if report is not None:
        p = (mine * draws + report * theirs) / (draws + theirs)
        apart = 4 * math.sqrt(p * (1 - p) * (1 / draws + 1 / theirs)) + 1 / draws
        check(i, "test.p", mine, apart / max(report, 1e-4))


def word_pairs(i, w, m, samples):
    """McNemar's exact test (1947) of a word for every two samples."""
    ps, n = {}, len(m)
    for one, two in itertools.combinations(range(len(samples)), 2):
        if told(i, f"words.{w}.word_pairs.{samples[one]}-{samples[two]}.difference") is None:
            one, two = two, one
        what = f"words.{w}.word_pairs.{samples[one]}-{samples[two]}."
        a, b = m[:, one] > 0, m[:, two] > 0
        first, second = int((a & ~b).sum()), int((b & ~a).sum())
        four = int((a & b).sum()), first, second, int((~a & ~b).sum())
        check(i, what + "only_first", first)
        check(i, what + "only_second", second)
        check(i, what + "difference", (first - second) / n)
        for ci, level in (("ci", told(i, what + "level")), ("ci_adjusted", told(i, what + "level_adjusted")),
                          ("ci_equivalence", 1 - 2 * PLAN["alpha"])):
            if level is not None:
                check_interval(i, what + ci, newcombe(*four, level))
        ps[what + "test.p_adjusted"] = binomial(first, first + second) if first + second > 0 else 1.0
        if first + second > 0:
            check_test(i, what + "test.", first, p=binomial(first, first + second))
    check_holm(i, ps)


def rated_with(i, w, rating):
    """How much higher the same people rate servings that they ticked the word for; its p."""
    ticked = {(r["assessor"], r["turn"]): r["value"] for r in ratings if r["attribute"] == w}
    rows = [{**r, "ticked": str(ticked.get((r["assessor"], r["turn"])))} for r in ratings if r["attribute"] == rating]
    _, m = Cells(rows, by="ticked").of(["1.0", "0.0"])
    if m is None or len(m) < 2 or sd(m[:, 0] - m[:, 1]) == 0:
        return None
    d, what = m[:, 0] - m[:, 1], f"words.{w}.rated."
    t, p = np.mean(d) / (sd(d) / math.sqrt(len(d))), stats.ttest_1samp(d, 0).pvalue
    check(i, what + "n", len(d))
    check(i, what + "difference", np.mean(d))
    check(i, what + "with", np.mean(m[:, 0]))
    check(i, what + "without", np.mean(m[:, 1]))
    check_test(i, what + "test.", t, len(d) - 1, p=p)
    check_interval(i, what + "ci", mean_interval(d, 1 - PLAN["alpha"]))
    return p


def given(i, pattern):
    """Numbers of a finding by what stands in the brackets of a pattern: the amounts of a plan, say."""
    found = ((re.fullmatch(pattern, number), value) for (finding, number), value in said.items() if finding == i)
    return {m[1]: value for m, value in found if m}


def fieller(u, v, level):
    """The interval of a ratio of two means of the same people (Fieller 1954); none where it is not bounded."""
    n, t2 = len(u), t_ends(level, len(u) - 1)[1] ** 2
    s = np.cov(u, v)
    a = np.mean(v) ** 2 - t2 * s[1, 1] / n
    b = np.mean(u) * np.mean(v) - t2 * s[0, 1] / n
    c = np.mean(u) ** 2 - t2 * s[0, 0] / n
    if a <= 0 or b**2 < a * c:
        return math.nan, math.nan
    return sorted((b + side * math.sqrt(b**2 - a * c)) / a for side in (-1, 1))


def excluded(u, v, level):
    """The values between which Fieller's set has none, where it goes on to infinity on both sides; else nothing."""
    n = len(u)
    t2, c = t_ends(level, n - 1)[1] ** 2, np.cov(u, v)
    a, b = np.mean(v) ** 2 - t2 * c[1, 1] / n, np.mean(u) * np.mean(v) - t2 * c[0, 1] / n
    root = b**2 - a * (np.mean(u) ** 2 - t2 * c[0, 0] / n)
    return [] if a >= 0 or root < 0 else sorted(((b - math.sqrt(root)) / a, (b + math.sqrt(root)) / a))


def dose(i, f):
    """The line over amounts: each person's own, of those who rated every amount."""
    amounts = dict(sorted(given(i, r"dose\.amounts\.(.*)\.amount").items(), key=lambda x: x[1]))
    cells = by_assessor(f["attribute"])
    if not set(amounts) <= set(cells.samples) or np.isnan(cells.values).any():
        return
    y, x, level = cells.of(list(amounts))[1], np.array(list(amounts.values())), told(i, "level")
    for s, column in zip(amounts, y.T):
        check(i, f"dose.amounts.{s}.mean", np.mean(column))
        check(i, f"dose.amounts.{s}.n", len(column))
        check_interval(i, f"dose.amounts.{s}.ci", mean_interval(column, level))
    n, k = y.shape
    centre = np.mean(x)
    slopes = y @ (x - centre) / ((x - centre) ** 2).sum()
    check(i, "n", n)
    check(i, "dose.centre", centre)
    check(i, "dose.rating_at_centre", np.mean(y))

    def line(what, v):
        se = sd(v) / math.sqrt(n)
        check(i, what + ".value", np.mean(v))
        check_interval(i, what + ".ci", mean_interval(v, level))
        check(i, what + ".se", se)
        check(i, what + ".df", n - 1)
        check(i, what + ".p", t_p(np.mean(v) / se, n - 1))
        return np.mean(v) / se

    t = line("dose.slope", slopes)
    if k > 2:  # what the means of the amounts are off the line, against what people scatter about the means
        own = y - y.mean(axis=1, keepdims=True)
        flat = own.mean(axis=0)
        off = n * ((flat - np.mean(slopes) * (x - centre)) ** 2).sum() / (k - 2)
        df2 = (n - 1) * (k - 1)
        ratio = off / (((own - flat) ** 2).sum() / df2)
        check_test(i, "checks.straight.", ratio, k - 2, df2, stats.f.sf(ratio, k - 2, df2))
    wished = told(i, "dose.sought.rating")
    if wished is not None:
        check(i, "dose.sought.amount", centre + (wished - np.mean(y)) / np.mean(slopes))
        check_interval(i, "dose.sought.ci", centre + np.array(fieller(wished - y.mean(axis=1), slopes, level)))
    if f["kind"] == "named-dose":
        at, named = told(i, "dose.laid.amount"), cells.of([f["first"]])[1][:, 0]
        shift = named - y.mean(axis=1) - slopes * (at - centre)
        check(i, "dose.laid.mean", np.mean(named))
        t = line("dose.laid.shift", shift)
        worth = np.mean(shift) / np.mean(slopes)
        check(i, "dose.difference", worth)
        check(i, "dose.laid.rated_like", at + worth)
        if min(x) <= at - worth <= max(x):
            check(i, "dose.laid.cook_with", at - worth)
        ends = fieller(shift, slopes, level)
        check_interval(i, "ci", ends)
        check_interval(i, "dose.laid.ci", ends)
        for end, value in enumerate(excluded(shift, slopes, level), 1):
            check(i, f"dose.laid.excluded.{end}", value)
        for what, _, _ in again(i):
            by_ranks(i, what, shift, level)
    else:
        check(i, "dose.difference", np.mean(slopes))
        for what, _, _ in again(i):
            by_ranks(i, what, slopes, level)
        check_interval(i, "ci", mean_interval(slopes, level))
        for other in ("adjusted", "equivalence"):
            if told(i, "level_" + other) is not None:
                check_interval(i, "ci_" + other, mean_interval(slopes, told(i, "level_" + other)))
    check_test(i, "test.", t, n - 1, p=t_p(t, n - 1, sides_of(f)))


def way(i, f):
    """How far a name drew ratings from those of the same dish served blind to what was expected of it: of everybody who
    did all three, the mean of named minus blind over that of expected minus blind, with Fieller's interval."""
    name = next((r["name"] for r in ratings if r["sample"] == f["first"]), None)
    before = {r["assessor"]: float(r["value"]) for r in table_of("expected.csv")
              if r["attribute"] == f["attribute"] and r["name"] == name}
    people, m = by_assessor(f["attribute"]).of([f["first"], f["second"]])
    if m is None:
        return
    keep = [a in before for a in people]
    expected, named, blind = np.array([before[a] for a in people if a in before]), m[keep, 0], m[keep, 1]
    n, level = len(expected), told(i, "level")
    check(i, "n", n)
    if n < 2:
        return
    gap, moved = expected - blind, named - blind
    for what, v in (("expected", expected), ("tasted_blind", blind), ("tasted_named", named),
                    ("expected_minus_blind", gap), ("named_minus_blind", moved),
                    ("named_minus_expected", named - expected)):
        se = sd(v) / math.sqrt(n)
        check(i, what + ".value", np.mean(v))
        check(i, what + ".se", se)
        if se > 0:
            check_interval(i, what + ".ci", mean_interval(v, level))
            check_test(i, what + ".", df=n - 1, p=t_p(np.mean(v) / se, n - 1))
    check(i, "share", np.mean(moved) / np.mean(gap))
    check(i, "g", t_ends(level, n - 1)[1] ** 2 * np.var(gap, ddof=1) / n / np.mean(gap) ** 2)
    check_interval(i, "ci", fieller(moved, gap, level))


def asking(i, f):
    """Those whom the plan asked what they expect against those whom it did not (Welch 1947), by what they rated a
    sample or by how far they put two apart."""
    asked = {r["assessor"] for r in table_of("turns.csv") if r["role"] == "expected"}
    people, m = by_assessor(f["attribute"]).of(f["compared"].split())
    if m is None:
        return
    v = m[:, 0] - (m[:, 1] if f["second"] else 0)
    x = v[[a in asked for a in people]]
    y = v[[a not in asked for a in people]]
    check(i, "ns.1", len(x))
    check(i, "ns.2", len(y))
    if min(len(x), len(y)) < 2 or welch(x, y) is None:
        return
    t, ends = welch(x, y)
    check(i, "means.1", np.mean(x))
    check(i, "means.2", np.mean(y))
    check(i, "difference", np.mean(x) - np.mean(y))
    check_interval(i, "ci", ends(told(i, "level")))
    check_test(i, "test.", **t)


drops = []  # in liking, of those who did not find it about right: adjusted together at the end


def surest_side(i):
    ps = given(i, r"(samples\..*)test\.p")
    return min(ps, key=ps.get)


def drops_together():
    """The drops of the primary finding, and those of all others: Holm's p, intervals by Bonferroni's inequality."""
    for role in sorted({x[1] for x in drops}):
        family = [x for x in drops if x[1] == role]
        m, adjusted = len(family) if PLAN["adjust"] != "none" else 1, holm([x[5] for x in family])
        for (i, _, part, x, y, p), together_p in zip(family, adjusted):
            if m > 1:
                check(i, part + "test.p_adjusted", together_p)
                if p == min(one[5] for one in family if one[0] == i):
                    check(i, "test.p_adjusted", together_p)
            ends = welch(x, y, few=10)[1]
            for what, level in (("adjusted", 1 - PLAN["alpha"] / m), ("equivalence", 1 - 2 * PLAN["alpha"] / m)):
                for end in (1, 2):
                    check(i, f"{part}drop_ci_{what}.{end}", ends(level)[end - 1])


def alike_margins(i, what, side):
    """Whether the same people answer to two samples alike (Stuart 1955; Maxwell 1970): exact over the ways in which
    those who moved could have moved, and like the report by chi squared where those are more than 250,000."""
    counts = np.array([[((side[:, 0] == x) & (side[:, 1] == y)).sum() for y in (1, 2, 3)] for x in (1, 2, 3)])
    between = counts + counts.T - 2 * np.diag(np.diag(counts))
    if between.sum() == 0:
        return
    v = np.diag(between.sum(axis=1)) - between
    inverse, df = np.linalg.pinv(v, rcond=1e-9), np.linalg.matrix_rank(v)
    n = [int(between[a, b]) for a, b in ((0, 1), (0, 2), (1, 2))]
    seen = counts.sum(axis=1) - counts.sum(axis=0)
    q = seen @ inverse @ seen
    if math.prod(x + 1 for x in n) > 250_000:
        return check_test(i, what, q, df, p=stats.chi2.sf(q, df))
    ways = np.array(list(itertools.product(*(range(x + 1) for x in n))))
    chance = np.prod([stats.binom.pmf(ways[:, j], n[j], 0.5) for j in range(3)], axis=0)
    up = 2 * ways - n
    gaps = np.column_stack([up[:, 0] + up[:, 1], up[:, 2] - up[:, 0], -up[:, 1] - up[:, 2]])
    p = chance[np.einsum("ij,jk,ik->i", gaps, inverse, gaps) >= q * (1 - 1e-9)].sum()
    check_test(i, what, q, df, p=p)


def about_right(i, f):
    """What people said of too little and too much, and what that costs in liking (Welch's test of those who said so
    against those for whom it was right)."""
    r = [x for x in ratings if x["attribute"] == f["attribute"] and x["sample"]]
    cells = by_assessor(f["attribute"])
    labels = len(given(i, r"samples\.(.*\.counts\..*)")) / len(cells.samples)
    middle = (max(max(x["value"] for x in r), labels) + 1) / 2
    surest = {"p": math.inf}  # of the drops, which stands for all of them
    for s in cells.samples:
        of, what = [x for x in r if x["sample"] == s], f"samples.{s}."
        values = np.array([x["value"] for x in of])
        check(i, what + "n", len(of))
        check(i, what + "about_right", (values == middle).sum())
        for label in range(1, int(2 * middle)):
            check(i, what + f"counts.{label}", (values == label).sum())
        liked = {(x["assessor"], x["turn"]): x["value"] for x in ratings if x["attribute"] == PLAN["liking"]}
        liked = np.array([liked.get((x["assessor"], x["turn"]), math.nan) for x in of])
        for side, off in (("too_little", values < middle), ("too_much", values > middle)):
            part = f"{what}{side}."
            check(i, part + "n", off.sum())
            check(i, part + "share", np.mean(off))
            check(i, part + "n_liking", (off & ~np.isnan(liked)).sum())
            ends = exact_share(off.sum(), len(off), 1 - PLAN["alpha"])
            check(i, part + "share_ci.1", ends[0])
            check(i, part + "share_ci.2", ends[1])
            x, y = (one[~np.isnan(one)] for one in (liked[values == middle], liked[off]))
            if told(i, part + "drop") is None or min(len(x), len(y)) < 2:
                continue
            check(i, part + "drop", np.mean(x) - np.mean(y))
            n, fall = (~np.isnan(liked)).sum(), np.mean(x) - np.mean(y)
            share = len(y) / n
            weighted = share * fall
            check(i, part + "weighted", weighted)
            # by the delta method on the three counts and the two means
            psi = ((share / (len(x) / n) * (x - np.mean(x)) - weighted) ** 2).sum()
            psi += ((fall - weighted - (y - np.mean(y))) ** 2).sum() + (n - len(x) - len(y)) * weighted**2
            half = stats.norm.ppf(1 - PLAN["alpha"] / 2) * math.sqrt(psi) / n
            check(i, part + "weighted_ci.1", weighted - half)
            check(i, part + "weighted_ci.2", weighted + half)
            if welch(x, y) is None:
                continue
            t, interval = welch(x, y, few=10)
            check_test(i, part + "test.", **t)
            check(i, part + "drop_ci.1", interval(1 - PLAN["alpha"])[0])
            check(i, part + "drop_ci.2", interval(1 - PLAN["alpha"])[1])
            if diverted is None:
                drops.append((i, f["role"], part, x, y, t["p"]))
            elif part == surest_side(i):
                check(i, "surest.difference", fall)
                check_interval(i, "surest.ci", interval(1 - PLAN["alpha"]))
            if t["p"] < surest["p"]:
                surest = t
    if surest["p"] < math.inf:
        check_test(i, "test.", **surest)
    for a, b in itertools.permutations(cells.samples, 2):
        what = f"moves.{a}-{b}."
        if told(i, what + "n") is None:
            continue
        side = np.sign(cells.of([a, b])[1] - middle).astype(int) + 2
        check(i, what + "n", len(side))
        check(i, what + "moved", (side[:, 0] != side[:, 1]).sum())
        for x, y in itertools.product((1, 2, 3), repeat=2):
            check(i, what + f"table.{x}.{y}", ((side[:, 0] == x) & (side[:, 1] == y)).sum())
        alike_margins(i, what + "test.", side)
    check(i, "n", len(cells.people))


def tasted_from(i, f):
    """The threshold by best estimates (ASTM E679): a person's own lies midway, in logarithms, between the last amount
    missed and the next."""
    amounts = dict(sorted(given(i, r"threshold\.amounts\.(.*)\.amount").items(), key=lambda x: x[1]))
    odd = [r for r in ratings if r["attribute"] == "choice" and r["sample"] in amounts]  # what has something in it
    cells = Cells(odd)
    people, m = cells.of(list(amounts))
    if m is None or len(people) < len(cells.people) or len(amounts) < 2:
        return
    x, chance = np.array(list(amounts.values())), told(i, "threshold.chance")
    check(i, "n", len(m))
    check(i, "threshold.right", m.sum())
    check(i, "threshold.answers", m.size)
    for s, column in zip(amounts, m.T):
        check(i, f"threshold.amounts.{s}.right", column.sum())
        check(i, f"threshold.amounts.{s}.n", len(column))
    edges = np.concatenate([[x[0] ** 2 / x[1]], x, [x[-1] ** 2 / x[-2]]])
    missed = np.array([max([0] + [j + 1 for j, right in enumerate(row) if right == 0]) for row in m])
    own = np.sqrt(edges[missed] * edges[missed + 1])
    for a, value in zip(people, own):
        check(i, f"threshold.people.{a}.threshold", value)
    check(i, "threshold.missed_largest", (missed == len(x)).sum())
    check(i, "threshold.right_throughout", (missed == 0).sum())
    check(i, "threshold.value", math.exp(np.mean(np.log(own))))
    check(i, "threshold.log10_sd", sd(np.log10(own)))
    if sd(own) > 0:
        check_interval(i, "ci", np.exp(mean_interval(np.log(own), told(i, "level"))))
    check_test(i, "test.", m.sum(), p=binomial(m.sum(), m.size, chance, "greater"))
    check(i, "threshold.false_starts", (np.diff(m, axis=1) < 0).any(axis=1).sum())
    if diverted is None:
        curve(i, x, m, chance, np.mean(np.log10(own)))


def curve(i, x, m, chance, start):
    """The curve: guessing fixed, the most likely place and steepness; its interval by the scores of people (Liang &
    Zeger 1986, eq. 2.5) and Fieller's theorem on the logarithm."""
    right, n, columns = m.sum(axis=0), len(m), np.column_stack([np.ones(len(x)), np.log10(x)])

    def unlikely(at):
        p = chance + (1 - chance) * special.expit(math.exp(at[1]) * (columns[:, 1] - at[0]))
        return -stats.binom.logpmf(right, n, p).sum()

    fit = optimize.minimize(unlikely, (start, 1), method="Nelder-Mead",
                            options={"xatol": 1e-10, "fatol": 1e-13, "maxiter": 5000})
    b = math.exp(fit.x[1])
    a = -b * fit.x[0]
    s = special.expit(columns @ [a, b])
    p, slope = chance + (1 - chance) * s, (1 - chance) * s * (1 - s)
    inverse = np.linalg.inv(columns.T @ (columns * (n * slope**2 / (p * (1 - p)))[:, None]))
    scores = ((m - p) * slope / (p * (1 - p))) @ columns
    v = inverse @ scores.T @ scores @ inverse * n / (n - 1)
    z, at = t_ends(told(i, "level"), n - 1)[1], fit.x[0]
    g = z**2 * v[1, 1] / b**2
    for what in ("threshold.curve.", "effect.threshold-curve."):  # two optimisers, on a flat hill
        check(i, what + "value", 10**at, 1e-4)
        if g < 1:
            centre = at + g / (1 - g) * (at + v[0, 1] / v[1, 1])
            half = z / (b * (1 - g)) * math.sqrt(v[0, 0] + 2 * at * v[0, 1] + at**2 * v[1, 1]
                                                 - g * (v[0, 0] - v[0, 1] ** 2 / v[1, 1]))
            check_interval(i, what + "ci", (10 ** (centre - half), 10 ** (centre + half)), 1e-4)
    check(i, "threshold.curve.slope", b, 1e-4)


KINDS = {"pair": pair, "groups": groups, "choice": choice, "ranking": ranking, "panel": panel, "factor": factor,
         "tasted-from": tasted_from, "about-right": about_right, "words": words, "dose": dose, "named-dose": dose,
         "way": way, "asking": asking}


def diverts(difference, rest="", name="difference"):
    """Which numbers of a kind of finding are told when it is reckoned anew, and how they are called then."""
    return {difference: name, rest + "ci.low": "ci.low", rest + "ci.high": "ci.high", "test.p": "p", "n": "n"}


OF_TWO = diverts("difference")
DIVERTING = {"pair": OF_TWO, "groups": OF_TWO, "factor": OF_TWO, "dose": diverts("dose.difference"),
             "choice": {**diverts("share", name="share"),
                 "distance": "distance"}, "tasted-from": diverts("threshold.value"),
             "panel": diverts("furthest.difference", "furthest."), "words": diverts("widest.difference", "widest."),
             "ranking": diverts("furthest.difference", "furthest.", "share"),
             "about-right": diverts("surest.difference", "surest."),
             "named-dose": diverts("dose.laid.shift.value", "dose.laid.shift.")}


def adjusted_together(findings):
    """The secondary findings' p, adjusted together (Holm 1979), where that is the plan."""
    apart = [f for f in findings if f["kind"] not in ("panel", "about-right")]  # whole panels among themselves
    for what, these in [(x, apart) for x in ("test.", "also.signed-rank.", "also.sign.", "also.paired-t.",
                                             "also.rank-sum.", "also.ordinal.", "also.mixed-t.",
                                             "also.mixed-f.", "also.stratified-rank-sum.")] + [
                                                 ("test.", [f for f in findings if f["kind"] == "panel"])]:
        ids = [f["finding"] for f in these if f["role"] == "secondary"
               and told(f["finding"], what + "p_adjusted") is not None]
        ps = [told(i, what + "p") for i in ids]
        if ids and None not in ps:
            for i, p in zip(ids, holm(ps)):
                check(i, what + "p_adjusted", p)


def main():
    findings = table_of("findings.csv")  # what each finding is about
    print(f"{'':<3} {'number':<46} {'report':>20} {'Python':>20}")
    for f in findings:
        if f["kind"] in KINDS:
            KINDS[f["kind"]](f["finding"], f)
            aside(f)
    drops_together()
    if PLAN["adjust"] == "holm":
        adjusted_together(findings)
    # Levels, what the plan states, and what the report advises, are no results.
    stated = re.compile(r"level$|level_|^verdict\.|amount$|chance$|^draws$|sought\.rating$|alike\.share$|"
                        r"^looks\.planned$|^evidence\.(at|planned)$|^one_by_one\.(share|most)$")
    results = [x for x in said if x in recomputed or not stated.search(x[1])]
    left = [f"{finding} {number}" for finding, number in results if (finding, number) not in recomputed]
    worst = max(recomputed.values(), default=0)
    print(f"\n{len(recomputed)} of {len(results)} numbers recomputed, {len(wrong)} differ; "
          f"largest relative difference {worst:.1e}")
    if left:
        print("Not recomputed here: what is of a test or a model that this script has not for this plan"
              + (", and lotteries that redraws.txt does not have" if PLAN["test"] == "lottery" else "") + ".")
        print(f"    {', '.join(left)}")
    if wrong:
        sys.exit(1)


if __name__ == "__main__":
    main()
