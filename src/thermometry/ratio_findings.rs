/*! What W at other fixed points shows, and whether two sessions say so. */

use super::found::Confirmable;
use super::from_certificate::FromCertificate;
use super::its90::{
    FixedPoint, Platinum, PlatinumRatios, PlatinumSettings, accept, accept_to_silver,
};
use super::range::RatioChange;
use super::ratios::Ratio;

/// W against the certificate at the point where it is farthest off, and whether the two latest
/// sessions there say so alike; `u_certificate_mk` is the certificate's own part.
pub(crate) fn off_certificate(
    ratios: &[Ratio],
    u_certificate_mk: f64,
    coverage_factor: f64,
) -> Option<Confirmable<FromCertificate>> {
    let whole = |r: &Ratio| {
        r.from_certificate.map(|c| FromCertificate {
            u_mk: c.u_mk.hypot(u_certificate_mk),
            ..c
        })
    };
    let latest = FixedPoint::ALL.iter().filter_map(|point| {
        let own: Vec<FromCertificate> = ratios
            .iter()
            .filter(|r| r.point == *point)
            .filter_map(whole)
            .collect();
        let (last, before) = (*own.last()?, own.len().checked_sub(2).map(|i| own[i]));
        let alike =
            |b: FromCertificate| b.is_off(coverage_factor) && b.mk.signum() == last.mk.signum();
        Some(Confirmable {
            what: last,
            confirmed: before.is_some_and(alike),
        })
    });
    let weight = |found: &Confirmable<FromCertificate>| found.what.mk.abs() / found.what.u_mk;
    latest.max_by(|a, b| weight(a).total_cmp(&weight(b)))
}

/// The latest W at the points by which the platinum is judged.
pub(crate) fn platinum_ratios(ratios: &[Ratio]) -> PlatinumRatios {
    let at = |point| {
        ratios
            .iter()
            .rev()
            .find(|r| r.point == point)
            .map(|r| r.value)
    };
    PlatinumRatios {
        gallium: at(FixedPoint::Gallium),
        mercury: at(FixedPoint::Mercury),
        silver: at(FixedPoint::Silver),
    }
}

/// The latest change since the first session that says most: the one that is largest against its
/// uncertainty; where W moved nowhere, the one that would show an added resistance best.
pub(crate) fn most_moved(ratios: &[Ratio]) -> Option<Confirmable<RatioChange>> {
    let latest = FixedPoint::ALL.iter().filter_map(|point| {
        let own: Vec<&Ratio> = ratios.iter().filter(|r| r.point == *point).collect();
        let what = own.last()?.since_first.clone()?;
        let before = own
            .len()
            .checked_sub(2)
            .and_then(|i| own[i].since_first.as_ref());
        let alike = |b: &RatioChange| b.moved() && b.change_mk.signum() == what.change_mk.signum();
        Some(Confirmable {
            confirmed: before.is_some_and(alike),
            what,
        })
    });
    latest.max_by(|a, b| {
        let (a, b) = (a.what.weight(), b.what.weight());
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    })
}

/// Whether the platinum carries the scale by the latest W at each point, and whether the W before
/// those says the same.
pub(crate) fn platinum(
    ratios: &[Ratio],
    to_silver: bool,
    limits: &PlatinumSettings,
) -> Confirmable<Platinum> {
    let judge = if to_silver { accept_to_silver } else { accept };
    let what = judge(platinum_ratios(ratios), limits);
    let latest = |point| ratios.iter().rposition(|r| r.point == point);
    let last: Vec<usize> = FixedPoint::ALL.iter().filter_map(|p| latest(*p)).collect();
    let before: Vec<Ratio> = (0..ratios.len())
        .filter(|place| !last.contains(place))
        .map(|place| ratios[place].clone())
        .collect();
    let confirmed = matches!(
        judge(platinum_ratios(&before), limits),
        Platinum::Refused(_)
    );
    Confirmable { what, confirmed }
}
