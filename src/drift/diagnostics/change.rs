/*! Change points that no event explains: exact search for one to three.

Every way to cut the readings into two, three or four pieces is tried (steps with
one common slope, or pieces with their own slopes), by sums that add up. The
number of cuts has the least Schwarz criterion `n ln(RSS/n) + parameters·ln n`, a cut
counting as one parameter (G. Schwarz, Ann. Statist. 6 (1978) 461–464; Y.-C. Yao,
Statist. Probab. Lett. 6 (1988) 181–189). The p-value is Bonferroni's bound: number
of possible cuts times the tail of F; it errs on the side of "no change".
*/

use crate::stats::fisher_upper;

/// What a cut may change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// The level steps, the drift stays.
    Step,
    /// Level and drift both start anew.
    LevelAndDrift,
}

/// The best supported cuts.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Changes {
    /// What changes at each cut.
    pub kind: Kind,
    /// Index of the first reading after each cut, ascending.
    pub cuts: Vec<usize>,
    /// Step of the fit at each cut, unit of the history, midway between the neighbours.
    pub steps: Vec<f64>,
    /// Bonferroni's bound of the probability of so good a fit by chance.
    pub p: f64,
}

/// Fewest readings in a piece.
const LEAST_PIECE: usize = 3;

/// Most cut combinations tried; beyond it fewer cuts are searched.
const MOST_COMBINATIONS: f64 = 400_000.0;

/// Best one to three cuts of `y` over `x` with `weight`s, or `None` where no cut improves
/// the criterion. `x` ascending, all of one length.
pub(crate) fn changes(x: &[f64], y: &[f64], weight: &[f64]) -> Option<Changes> {
    let n = x.len();
    if n < 2 * LEAST_PIECE + 1 || y.len() != n || weight.len() != n {
        return None;
    }
    let sums = Prefix::of(x, y, weight);
    let straight = sums.residual(&[], Kind::LevelAndDrift)?;
    let size = n as f64;
    let criterion = |rss: f64, parameters: f64| size * (rss / size).ln() + parameters * size.ln();
    let mut best: Option<(f64, Changes)> = None;
    let none = criterion(straight, 2.0);
    for kind in [Kind::Step, Kind::LevelAndDrift] {
        for count in 1..=3usize {
            let parameters = match kind {
                Kind::Step => 2 + count,
                Kind::LevelAndDrift => 2 + 2 * count,
            };
            let combinations = choose(n.saturating_sub((count + 1) * (LEAST_PIECE - 1)) - 1, count);
            if n < parameters + count + 2 || combinations > MOST_COMBINATIONS {
                continue;
            }
            let Some((rss, cuts)) = sums.search(count, kind) else {
                continue;
            };
            let value = criterion(rss, (parameters + count) as f64);
            if value >= none || best.as_ref().is_some_and(|(least, _)| *least <= value) {
                continue;
            }
            let (gained, left) = ((parameters - 2) as f64, (n - parameters) as f64);
            let f = (straight - rss) / gained / (rss / left);
            let changes = Changes {
                kind,
                steps: sums.steps(&cuts, kind, x),
                cuts,
                p: (combinations * fisher_upper(f, gained, left)).min(1.0),
            };
            best = Some((value, changes));
        }
    }
    best.map(|(_, changes)| changes)
}

fn choose(n: usize, k: usize) -> f64 {
    (0..k)
        .map(|i| n.saturating_sub(i) as f64 / (i + 1) as f64)
        .product()
}

/// Running sums, so that the sums of any piece are a difference.
struct Prefix {
    /// w, wx, wy, wxx, wxy, wyy up to each reading.
    sums: Vec<[f64; 6]>,
}

impl Prefix {
    fn of(x: &[f64], y: &[f64], weight: &[f64]) -> Self {
        let n = x.len() as f64;
        // About the means, so that differences of sums keep their digits.
        let (mx, my) = (x.iter().sum::<f64>() / n, y.iter().sum::<f64>() / n);
        let mut running = [0.0; 6];
        let mut sums = vec![running];
        for ((x, y), w) in x.iter().zip(y).zip(weight) {
            let (x, y) = (x - mx, y - my);
            for (sum, part) in running.iter_mut().zip([1.0, x, y, x * x, x * y, y * y]) {
                *sum += w * part;
            }
            sums.push(running);
        }
        Prefix { sums }
    }

    /// (weight, mean x, mean y, Sxx, Sxy, Syy) of readings `from..to`.
    fn piece(&self, from: usize, to: usize) -> [f64; 6] {
        let mut d = self.sums[to];
        d.iter_mut().zip(self.sums[from]).for_each(|(a, b)| *a -= b);
        let (mx, my) = (d[1] / d[0], d[2] / d[0]);
        [
            d[0],
            mx,
            my,
            (d[3] - d[1] * mx).max(0.0),
            d[4] - d[1] * my,
            (d[5] - d[2] * my).max(0.0),
        ]
    }

    fn bounds(&self, cuts: &[usize]) -> impl Iterator<Item = (usize, usize)> {
        let ends = cuts.iter().copied().chain([self.sums.len() - 1]);
        let starts = [0].into_iter().chain(cuts.iter().copied());
        starts.zip(ends).collect::<Vec<_>>().into_iter()
    }

    fn residual(&self, cuts: &[usize], kind: Kind) -> Option<f64> {
        let (mut sxx, mut sxy, mut rss) = (0.0, 0.0, 0.0);
        let mut from = 0;
        for to in cuts.iter().copied().chain([self.sums.len() - 1]) {
            let [_, _, _, xx, xy, yy] = self.piece(from, to);
            from = to;
            rss += yy;
            if kind == Kind::LevelAndDrift {
                rss -= if xx > 0.0 { xy * xy / xx } else { 0.0 };
            }
            sxx += xx;
            sxy += xy;
        }
        if kind == Kind::Step && sxx > 0.0 {
            rss -= sxy * sxy / sxx;
        }
        // Below rounding of the total there is nothing left to explain.
        let total = self.piece(0, self.sums.len() - 1)[5];
        (rss > 1e-12 * total).then_some(rss)
    }

    fn search(&self, count: usize, kind: Kind) -> Option<(f64, Vec<usize>)> {
        let n = self.sums.len() - 1;
        let mut cuts: Vec<usize> = (1..=count).map(|i| i * LEAST_PIECE).collect();
        let mut best: Option<(f64, Vec<usize>)> = None;
        loop {
            if *cuts.last()? + LEAST_PIECE <= n
                && let Some(rss) = self.residual(&cuts, kind)
                && best.as_ref().is_none_or(|(least, _)| rss < *least)
            {
                best = Some((rss, cuts.clone()));
            }
            // Odometer: the last cut that can still move moves, those after it follow.
            let movable = (0..count)
                .rev()
                .find(|i| cuts[*i] + (count - i) * LEAST_PIECE < n);
            let Some(i) = movable else {
                return best;
            };
            cuts[i] += 1;
            for j in i + 1..count {
                cuts[j] = cuts[j - 1] + LEAST_PIECE;
            }
        }
    }

    fn steps(&self, cuts: &[usize], kind: Kind, x: &[f64]) -> Vec<f64> {
        let pieces: Vec<[f64; 6]> = self.bounds(cuts).map(|(a, b)| self.piece(a, b)).collect();
        let (sxx, sxy) = pieces
            .iter()
            .fold((0.0, 0.0), |s, p| (s.0 + p[3], s.1 + p[4]));
        let mean = x.iter().sum::<f64>() / x.len() as f64;
        let slope = |p: &[f64; 6]| match kind {
            Kind::Step if sxx > 0.0 => sxy / sxx,
            Kind::LevelAndDrift if p[3] > 0.0 => p[4] / p[3],
            _ => 0.0,
        };
        let value = |p: &[f64; 6], at: f64| p[2] + slope(p) * (at - p[1]);
        cuts.iter()
            .enumerate()
            .map(|(i, cut)| {
                let at = 0.5 * (x[cut - 1] + x[*cut]) - mean;
                value(&pieces[i + 1], at) - value(&pieces[i], at)
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn noise(i: usize) -> f64 {
        // Fixed, irregular, mean near zero.
        (((i * 7919 + 13) % 101) as f64 / 101.0 - 0.5) * 0.2
    }

    #[test]
    fn two_steps_are_found_where_they_are() {
        let x: Vec<f64> = (0..30).map(f64::from).collect();
        let y: Vec<f64> = (0..30)
            .map(|i| {
                0.05 * i as f64 + f64::from(i >= 10) - 2.0 * f64::from(i >= 20) + noise(i as usize)
            })
            .collect();
        let found = changes(&x, &y, &[1.0; 30]).unwrap();
        assert_eq!(
            (found.kind, found.cuts.as_slice()),
            (Kind::Step, &[10, 20][..])
        );
        assert!(found.p < 1e-6);
        assert!((found.steps[0] - 1.0).abs() < 0.2 && (found.steps[1] + 2.0).abs() < 0.2);
    }

    #[test]
    fn a_quiet_line_has_no_change() {
        let x: Vec<f64> = (0..30).map(f64::from).collect();
        let y: Vec<f64> = (0..30)
            .map(|i| 0.05 * i as f64 + noise(i as usize))
            .collect();
        assert!(changes(&x, &y, &[1.0; 30]).is_none_or(|c| c.p > 0.05));
    }

    #[test]
    fn an_exact_line_and_few_readings_give_nothing() {
        let x: Vec<f64> = (0..30).map(f64::from).collect();
        assert!(changes(&x, &x, &[1.0; 30]).is_none());
        assert!(changes(&x[..5], &x[..5], &[1.0; 5]).is_none());
    }
}
