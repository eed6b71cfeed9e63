//! Where the figures of the trip come from: the line going over, somebody hanging still, ties at the edges, a day's readings.

use super::day_sheet::read_said;
use crate::document::plain;
use crate::mechanics::G;
use crate::plan::PlanFile;
use crate::review::{FrameAt, Over, Review, StageOver, Way, clock};
use crate::units::{Dim, Quantity, System, show};

/// The reasons of one of the trip's figures; nothing where the plan has no such block, or no figure is called so.
pub(super) fn trip(file: &PlanFile, review: &Review, name: &str, system: System) -> Option<Vec<String>> {
    let units = Units(system);
    match name {
        "over" => Some(over(review.over.as_ref()?, units)),
        "rescue" => rescue(file, review, units),
        "edge" => edge(file, review, units),
        "frame" => frame(file, review, units),
        "scouting" => scouting(file, review, units),
        "stay" => stay(review, units),
        "crew" => crew(review),
        "day" => Some(day(review, system)?),
        _ => None,
    }
}

#[derive(Clone, Copy)]
struct Units(System);

impl Units {
    fn f(self, n: f64) -> String {
        show(Dim::Force, n, self.0)
    }

    fn l(self, m: f64) -> String {
        show(Dim::Length, m, self.0)
    }
}

/// The way of a stage at which hands pull most, without and with the wind.
fn hardest(stage: &StageOver) -> Option<&Way> {
    stage.ways.iter().max_by(|a, b| a.hands_windy_n.max(a.hands_n).total_cmp(&b.hands_windy_n.max(b.hands_n)))
}

/// Between the two edges that a line hangs over, along the gap, m.
fn between_m(way: &Way) -> f64 {
    let x = || way.shape_m.iter().map(|p| p[0]);
    x().fold(f64::NEG_INFINITY, f64::max) - x().fold(f64::INFINITY, f64::min)
}

fn over(over: &Over, u: Units) -> Vec<String> {
    let mut out = Vec::new();
    for stage in &over.stages {
        let Some(way) = hardest(stage) else {
            out.push(format!("{}: {}", stage.name, stage.fault.clone().unwrap_or_else(|| "not solved".to_owned())));
            continue;
        };
        out.push(format!(
            "{} ({}): {:.2} N/m{}; most at {:.0} % over: {} at the sending edge (the wind counted), {} at the receiving one (calm), {} deep",
            stage.name,
            plain(&stage.line),
            stage.weight_n_per_m,
            stage.pulled_by.as_ref().map(|p| format!(", pulled by {p}")).unwrap_or_default(),
            100.0 * way.share,
            u.f(way.sending_n),
            u.f(way.receiving_n),
            u.l(way.sag_m)
        ));
        let span = between_m(way);
        let level = stage.weight_n_per_m * span * span / (8.0 * way.sag_m.max(1e-9));
        out.push(format!(
            "  by hand, level and over all the way: w L² / 8 d = {:.2} N/m × ({})² / (8 × {}) = {}",
            stage.weight_n_per_m,
            u.l(span),
            u.l(way.sag_m),
            u.f(level)
        ));
        out.push(format!(
            "  at the hands {} = {} × {:.2}, friction of the edge at its high end by e^(μθ), θ from the line to the level; {} with the wind across, lengths held",
            u.f(way.hands_n),
            u.f(way.receiving_n),
            way.hands_n / way.receiving_n.max(1e-9),
            u.f(way.hands_windy_n)
        ));
        if let Some(low) = stage.ways.iter().filter(|w| w.height_m.is_some()).min_by(|a, b| {
            let of = |w: &Way| w.height_m.unwrap_or(f64::INFINITY) - w.needed_m;
            of(a).total_cmp(&of(b))
        }) {
            out.push(format!(
                "  lowest {} over ground at {} from A, {:.0} % over; asked {}",
                u.l(low.height_m.unwrap_or_default()),
                u.l(low.height_at_m),
                100.0 * low.share,
                u.l(low.needed_m)
            ));
        }
        let certified = stage.ways.iter().filter(|w| w.certified).count();
        out.push(format!("  {certified} of {} places on its way stand before an independent check", stage.ways.len()));
    }
    out.push(format!(
        "brake: {} behind the sending edge, friction at its low end{}; a hand holds it from {:.1} turns on",
        u.f(over.brake_n),
        over.brake_hand_n
            .map(|n| format!(", × 1.5 for a jerk and × e^(−2πnμ) on the turns: {} in the hand", u.f(n)))
            .unwrap_or_default(),
        over.turns_wanted
    ));
    out.push(format!(
        "let out {}, pulling line {}: lengths of both lines at the last and the first place, and what lies beyond the edges",
        u.l(over.let_out_m),
        u.l(over.pulling_m)
    ));
    if let Some(h) = &over.half_rigged {
        out.push(format!(
            "half-rigged: the shallower of the two shapes that hang with {} at A{}: {} deep",
            u.f(h.tension_n),
            if h.possible { "" } else { " (the least that it can hang with)" },
            u.l(h.sag_m)
        ));
    }
    out
}

fn rescue(file: &PlanFile, review: &Review, u: Units) -> Option<Vec<String>> {
    let (rescue, block) = (review.rescued.as_ref()?, file.plan.rescue.as_ref()?);
    let mut out = vec![format!(
        "{:.0} kg on a roller, {} of weight; the line runs through it at e^(μθ), μ {:.2} to {:.2}",
        rescue.load_kg,
        u.f(rescue.load_kg * G),
        block.friction[0],
        block.friction[1]
    )];
    for on in [crate::review::On::Main, crate::review::On::Backup] {
        for side in [crate::plan::Side::A, crate::plan::Side::B] {
            let all = rescue.places.iter().filter(|p| p.on == on);
            let towed = all.flat_map(|p| p.towed.iter().filter(|t| t.side == side).map(move |t| (p, t)));
            let Some((place, most)) = towed.max_by(|a, b| a.1.most_n.total_cmp(&b.1.most_n)) else { continue };
            out.push(format!(
                "{}, from {side:?}: most {} on the way in from {}: F ≈ W × (slope of the path + μ); × {:.2} over the edge: {} at the hands, {} people",
                on.words(),
                u.f(most.most_n),
                u.l(place.x_m),
                most.hands_n / most.most_n.max(1e-9),
                u.f(most.hands_n),
                most.people
            ));
            out.push(format!(
                "  from {} in: {} = alarm, kit, {} out, pick up, {} back, over the edge, and what a drill took more",
                u.l(place.x_m),
                minutes(most.total_s),
                u.l(most.way_m),
                u.l(most.way_m)
            ));
        }
    }
    let certified = rescue.places.iter().filter(|p| p.certified).count();
    out.push(format!("{certified} of {} places found and standing before an independent check", rescue.places.len()));
    Some(out)
}

fn minutes(s: f64) -> String {
    format!("{:.1} min", s / 60.0)
}

fn scouting(file: &PlanFile, review: &Review, u: Units) -> Option<Vec<String>> {
    let s = review.scouted.as_ref()?;
    let mut out = vec![
        "a sighting: x = D cos s cos β, y = −D cos s sin β, z = D sin s, β from the way of the line; its errors J Σ Jᵀ, those of its stands added; of two the mean by their errors".to_owned(),
    ];
    out.extend(s.points.iter().map(|p| {
        let [x, y, z] = p.within_m.map(|m| u.l(m));
        let apart = p.apart.map_or_else(String::new, |a| format!("; two sightings, {a:.1} of their mean errors apart"));
        let how = if p.assumed { "assumed" } else { "sighted" };
        format!("{}: {how}, ± {x} along, {y} across, {z} up{apart}", p.point)
    }));
    out.extend(s.ground.iter().map(|g| {
        let [x, z] = g.within_m.map(|m| u.l(m));
        format!("ground at {} from A, {}: ± {x} along, {z} up", u.l(g.x_m), u.l(g.z_m))
    }));
    out.extend(s.assumed.iter().map(|a| {
        let does = match (a.share, a.ground) {
            (Some(share), _) => format!("what {} sees changes by up to {:.1} %", a.most, 100.0 * share),
            (None, true) => "heights are judged over the higher".to_owned(),
            (None, false) => "the rig cannot be worked out so".to_owned(),
        };
        let why =
            file.plan.scouting.assumed.iter().find(|(path, _)| {
                crate::plan::sighted::Unmeasured::of(path).is_some_and(|what| what.words() == a.what)
            });
        let why = why.map_or_else(String::new, |(_, x)| format!(", {}", x.why));
        format!("{} assumed within {}{why}: {does}", a.what, u.l(a.within_m))
    }));
    Some(out)
}

fn edge(file: &PlanFile, review: &Review, u: Units) -> Option<Vec<String>> {
    let edges = review.edges.as_ref()?;
    let mut out = Vec::new();
    for tied in &edges.ties {
        let Some(tie) = file.plan.ties.get(&tied.name) else { continue };
        let peak = tied.peak_n.map_or_else(|| "not known".to_owned(), |n| u.f(n));
        let (rope, lip) = (u.l(tie.length_m()), u.l(tie.lip.si()));
        out.push(match tied.lets_over {
            None => format!("{}: {rope} of rope, {lip} to the lip: held back, twice the weight counts: {peak} a person", tied.name),
            Some(over) => format!(
                "{}: {rope} of rope, {lip} to the lip: {} beyond it, and {} with the tie-in: falls {}; {} of rope works, the rest lies behind the lip; m g (h + δ) = ∫ T dδ by the rope's law: {peak} a person",
                tied.name,
                u.l(over.beyond_m),
                u.l(tie.tie_in.si()),
                u.l(over.fall_m),
                u.l(over.works_m)
            ),
        });
    }
    out.push(
        "each anchor is asked to hold the tie alone, beside the line's own pull at the steps at which it is up"
            .to_owned(),
    );
    Some(out)
}

fn frame(file: &PlanFile, review: &Review, u: Units) -> Option<Vec<String>> {
    let mut out = Vec::new();
    for f in &review.frames {
        let plan = file.plan.points.get(&f.point).and_then(|p| p.hold()?.frame())?;
        let at = |s: &FrameAt| {
            if !s.stands {
                return format!("{}: it does not stand; no figure of it holds", s.situation);
            }
            let struts = s.struts.iter().zip(&f.bears_n).map(|(c, bears)| {
                let bears = bears.map_or_else(|| "not known what it bears".to_owned(), |n| format!("{} bears", u.f(n)));
                format!(
                    "pushed with {} ({bears}), foot {} down, {} along",
                    u.f(c.thrust_n),
                    u.f(c.down_n),
                    u.f(c.along_n)
                )
            });
            let ratio = s
                .stiffness_ratio
                .map_or(String::new(), |k| format!("; side stiffness {k:.1} times what the thrust needs"));
            let hobble = if plan.hobble.is_some() { format!("; hobble {}", u.f(s.hobble_n)) } else { String::new() };
            let way = if s.lean_deg < 0.0 { "away from" } else { "towards" };
            format!(
                "{}: leans {:.1}° {way} the gap; {}{hobble}{ratio}",
                s.situation,
                s.lean_deg.abs(),
                struts.collect::<Vec<_>>().join("; ")
            )
        };
        out.push(format!(
            "{}: the head rests where what pulls at it has no part along its way round the feet; Σ C u + R = 0 there",
            f.point
        ));
        out.extend(f.standing.iter().map(at));
        out.extend(f.hardest().map(|s| format!("hardest: {}", at(s))));
        out.extend(f.weakest.iter().map(|s| format!("least far from falling: {}", at(s))));
        let lean = |d: &[f64]| d.iter().map(|d| format!("{d:.0}°")).collect::<Vec<_>>().join(", ");
        if !f.rests_also_deg.is_empty() {
            out.push(format!("it may rest leaning {} as well", lean(&f.rests_also_deg)));
        }
        if !f.balances_deg.is_empty() {
            out.push(format!("it balances, and falls from there, leaning {}", lean(&f.balances_deg)));
        }
    }
    if out.is_empty() {
        return None;
    }
    out.push("stands: the side stiffness of all that pulls at the head over C/r, by three more solves to either side; pushed back from 5 and from 50 mm".to_owned());
    out.push("a strut bears ½ [b − √(b² − 4 N_y N_E)], b = N_y + (1 + e c A / I) N_E, e its bow and what its load is off centre (Ayrton and Perry)".to_owned());
    Some(out)
}

fn stay(review: &Review, u: Units) -> Option<Vec<String>> {
    let stays = review.stays.as_ref()?;
    let mut out = vec![format!(
        "the whole rig, tensioned to {} and at rest anew at every moment: lengths × (1 + α (θ − θ₀) + v), every stretch × k = 1 + a log₁₀(1 + t / 60 s); dv/dt = r (T / 0.2 S)ⁿ exp(−Q/R (1/θ − 1/295.15 K)) for HMPE; a, α, r, n and Q from the least to the most of the fibre",
        u.f(stays.target_n)
    )];
    out.extend(stays.moments.iter().map(|m| {
        let [low, high] = m.tension_n.map(|n| u.f(n));
        let [least, most] = m.longer_m.map(|l| u.l(l));
        format!(
            "{}: {low} to {high}, {least} to {most} longer than without creep at that tension",
            super::moment_said(m)
        )
    }));
    let [least, most] = stays.flowed.map(|v| 100.0 * v);
    out.push(format!("for good at the most {least:.3} to {most:.3} %"));
    out.extend(stays.gusts.iter().map(|g| {
        format!(
            "{}, gust of {}: steady drag on the line as tensioned, at the coldest, from either side",
            super::gust_said(g, u.0),
            g.date
        )
    }));
    Some(out)
}

fn crew(review: &Review) -> Option<Vec<String>> {
    let day = review.crew.as_ref()?;
    let mut out = vec![
        "an anchor for each end of main line and backup, both sides at once where somebody is at each; a stage for a line over, the locks, tensioning, the first walk, letting down, each line back; half an anchor's time to take it off; the next begins when the last is done".to_owned(),
        "people: who pulls at that step by the plan's crossing, tensioning and rescue, one at the other side, more where the plan says how many work at the edges; while somebody walks two besides, who walks and who goes out".to_owned(),
    ];
    out.extend(day.steps.iter().map(|s| {
        let [a, b] = s.needs;
        format!(
            "{} from {}, {:.0} min: {a} at A, {b} at B, {} besides",
            s.step.words(),
            clock(s.from_min),
            s.takes_min,
            s.besides
        )
    }));
    out.push(format!("done at {}; {}", clock(day.done_min), super::light_said(day)));
    out.push("sunset: the sun's upper edge on a level horizon (its middle 0.833° under), dark 6° under, from its mean longitude and anomaly by the low-precision formulas of almanacs".to_owned());
    Some(out)
}

fn day(review: &Review, system: System) -> Option<Vec<String>> {
    let read = review.day.as_ref()?;
    let mut out =
        vec![format!("read on {}; the line between points that do not give, tensioned as it was read last", read.date)];
    if let Some(why) = &read.fault {
        out.push(why.clone());
    }
    out.extend(
        read.compared
            .iter()
            .map(|c| read_said(c, system).into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(" · ")),
    );
    let (misfit, n) = read.misfit();
    out.push(format!("in all Σ ((measured − computed) / σ)² = {misfit:.1} of {n} that can be held against something; above 4 and above {} single causes are tried", 2 * n));
    out.extend(
        read.likely
            .iter()
            .map(|l| format!("  {}: {:.1} of its usual sizes; shown by {}", l.words(), l.unusual, l.cause.shown_by())),
    );
    if let Some([kappa, sd]) = read.stretch {
        out.push(format!("stretch × {kappa:.2} ± {sd:.2}: σ² = Σ (∂κ/∂m · σ_m)² by central differences"));
    }
    Some(out)
}
