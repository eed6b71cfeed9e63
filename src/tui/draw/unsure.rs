//! How far off places may be that nobody could tape: a cross of mean errors at each.

use glam::DVec3;

use crate::app::App;
use crate::review::Scouted;
use crate::units::Quantity as _;

/// Where, and its mean errors along the gap, across it and upwards, m.
type Cross = (DVec3, DVec3);

fn scouted(app: &App) -> Option<&Scouted> {
    // An edit that is still worked out leaves them as they were: no pull changes them.
    app.review.as_ref()?.scouted.as_ref()
}

/// Points, and side B as a whole, which is off by what the gap is.
pub(super) fn points(app: &App) -> Vec<Cross> {
    let Some(scouted) = scouted(app) else { return Vec::new() };
    let plan = &app.file.plan;
    let spots = app.solver.as_ref().map_or(&[][..], |s| &s.rig.spots);
    let points = scouted.points.iter().filter_map(|p| {
        let spot = spots.iter().find(|s| s.name == p.point)?;
        Some((spot.place, DVec3::from(p.within_m)))
    });
    let gap = [scouted.span_within_m, scouted.rise_within_m];
    let end = gap.iter().any(Option::is_some).then(|| {
        let b = DVec3::new(plan.site.span.si(), 0.0, plan.site.height_difference.si());
        (b, DVec3::new(gap[0].unwrap_or(0.0), 0.0, gap[1].unwrap_or(0.0)))
    });
    points.chain(end).collect()
}

/// The ground, sighted or assumed.
pub(super) fn ground(app: &App) -> Vec<Cross> {
    let Some(scouted) = scouted(app) else { return Vec::new() };
    let plan = &app.file.plan;
    let seen = scouted.ground.iter().map(|g| {
        let [along, up] = g.within_m;
        (DVec3::new(g.x_m, 0.0, g.z_m), DVec3::new(along, 0.0, up))
    });
    let assumed = plan.assumed_m(&crate::plan::sighted::Unmeasured::Ground);
    let profile = assumed.into_iter().flat_map(|m| {
        let ground = &plan.site.ground;
        ground.iter().map(move |g| (DVec3::new(g.0.si(), 0.0, g.1.si()), DVec3::new(0.0, 0.0, m)))
    });
    seen.chain(profile).collect()
}
