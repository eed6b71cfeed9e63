//! Rules about getting the line over the gap and down again.

use super::{Gravity, PRACTICE, Place, Rule, kn, rule};
use crate::catalogue::Fibre;
use crate::plan::EndKind;
use crate::plan::crossing::{Carried, Held};
use crate::review::over::{AT_HAND_N, JERK, Over};
use crate::review::{Passed, Row, Verdict, factor_text};
use crate::units::{Dim, Quantity, System, show};

/// What one person gives in a heave, N. Common practice, no source.
const HEAVE_N: f64 = 600.0;
/// A pull that hands do not notice is no matter of wind, N.
const WINDY_N: f64 = 100.0;
/// A pull over this share of the line that pulls it is a jump.
const JUMP: f64 = 0.25;

fn m(metres: f64) -> String {
    show(Dim::Length, metres, System::Si)
}

/// The tension by hand that would do, where one does.
fn hand_tension(h: &crate::review::over::HalfRigged) -> String {
    h.would_do_n.map_or(String::new(), |n| format!("; {} at A would do", kn(n)))
}

/// The sag that would do, where the plan holds another.
fn would_do(s: &crate::review::StageOver) -> String {
    s.sag_would_do_m.map_or_else(|| "; no sag clears it".to_owned(), |sag| format!("; a sag of {} would do", m(sag)))
}

fn far(over: &Over, share: f64) -> String {
    format!("{:.0} % of the way from {:?}", 100.0 * share, over.sends)
}

/// Rules about getting the line over.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "line-over-unsolved",
        Stop,
        "a stage of the line over that cannot be held as the plan says, or was not solved",
        "a figure that is not there decides nothing",
        "another sag, height or brake, as said",
        "statics",
        |c, r| {
            for s in c.over.iter().flat_map(|o| &o.stages) {
                if let Some(why) = &s.fault {
                    r.say("crossing", format!("{}: {why}", s.name));
                } else if s.ways.iter().any(|w| !w.certified) {
                    r.say("crossing", format!("{}: not certified", s.name));
                }
            }
            if c.over.is_some_and(|o| o.half_rigged.is_none()) {
                r.say("crossing", "half-rigged: no shape was found");
            }
        }
    ),
    rule!(
        "snags",
        Stop,
        "a line that goes over lies on what is under it",
        "it snags on the way, and nobody is there to free it",
        "hold it tighter, go over elsewhere, or put somebody below",
        PRACTICE,
        |c, r| {
            let Some(over) = c.over else { return };
            for s in &over.stages {
                let Some((w, h)) = s.lowest().and_then(|w| Some((w, w.height_m?))) else { continue };
                if h < 0.0 {
                    r.say(
                        "crossing",
                        format!(
                            "{}: {} in it at {}, {}{}",
                            s.name,
                            m(-h),
                            m(w.height_at_m),
                            far(over, w.share),
                            would_do(s)
                        ),
                    );
                }
            }
            if let Some((h, height)) = over.half_rigged.and_then(|h| Some((h, h.height_m?))).filter(|h| h.1 < 0.0) {
                r.say(
                    "crossing",
                    format!(
                        "half-rigged: {} in it at {}, sag {}{}",
                        m(-height),
                        m(h.height_at_m),
                        m(h.sag_m),
                        hand_tension(&h)
                    ),
                );
            }
        }
    ),
    rule!(
        "snags-near",
        Caution,
        "a line that goes over close above what is under it",
        "a gust, a slack hand, and it lies there",
        "hold it tighter, or go over elsewhere",
        PRACTICE,
        |c, r| {
            let Some(over) = c.over else { return };
            for s in &over.stages {
                let Some((w, h)) = s.lowest().and_then(|w| Some((w, w.height_m?))) else { continue };
                let needed = w.needed_m;
                if (0.0..needed).contains(&h) {
                    r.say(
                        "crossing",
                        format!(
                            "{}: {} of {} at {}, {}{}",
                            s.name,
                            m(h),
                            m(needed),
                            m(w.height_at_m),
                            far(over, w.share),
                            would_do(s)
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "half-rigged-low",
        Caution,
        "a line that hangs too low while its ends are fixed and it is not tensioned",
        "hand-tight it hangs lower than it went over, and lies in what it cleared",
        "tension it at once, or leave it on the pulling line until then",
        PRACTICE,
        |c, r| {
            let Some(h) = c.over.and_then(|o| o.half_rigged) else { return };
            if let Some(height) = h.height_m {
                let needed = h.needed_m;
                if (0.0..needed).contains(&height) {
                    r.say(
                        "crossing",
                        format!(
                            "hand-tight: {} of {} over ground at {}, sag {}{}",
                            m(height),
                            m(needed),
                            m(h.height_at_m),
                            m(h.sag_m),
                            hand_tension(&h)
                        ),
                    );
                }
            }
            if !h.possible {
                r.say("crossing", format!("hand-tight cannot be: it hangs with {} at the least", kn(h.tension_n)));
            }
        }
    ),
    rule!(
        "pulling-line-short",
        Stop,
        "a pulling line that does not reach",
        "it ends over the gap",
        "the length that is said",
        "geometry",
        |c, r| {
            let (Some(over), Some(x)) = (c.over, &c.plan.crossing) else { return };
            for s in x.stages.iter().rev().skip(1) {
                if let Carried::Part(p) = &s.carried
                    && let crate::plan::PartLength::Is(l) = p.length
                    && l.si() < over.pulling_m
                {
                    r.say("crossing", format!("{}: {} long, {} are needed", s.name, m(l.si()), m(over.pulling_m)));
                }
            }
        }
    ),
    rule!(
        "brake-by-hand",
        Stop,
        "a brake that a hand cannot hold",
        "it runs, and takes the hand along",
        "as many turns as are said, or a brake that locks",
        PRACTICE,
        |c, r| {
            let Some(over) = c.over else { return };
            match over.brake_hand_n {
                Some(hand) if hand > AT_HAND_N => r.say(
                    "crossing",
                    format!(
                        "{} in the hand at {JERK} times the brake's load of {}; {:.1} turns leave {}",
                        kn(hand),
                        kn(over.brake_n),
                        over.turns_wanted,
                        kn(AT_HAND_N)
                    ),
                ),
                None if JERK * over.brake_n > AT_HAND_N => r.say(
                    "crossing",
                    format!(
                        "{} behind the edge and no brake; {:.1} turns on steel would do",
                        kn(over.brake_n),
                        over.turns_wanted
                    ),
                ),
                _ => {}
            }
        }
    ),
    rule!(
        "people-beyond-line",
        Caution,
        "people who can pull a stage apart in one heave",
        "several hands on a thin line part it without noticing",
        "fewer hands, a meter, or a weak link that is named",
        PRACTICE,
        |c, r| {
            let (Some(over), Some(x)) = (c.over, &c.plan.crossing) else { return };
            // Where hands alone do not do it, they heave on the pulley set.
            let by_set = |s: &crate::review::StageOver| s.people > x.people;
            let set = x.set.as_ref().and_then(|s| s.advantage(c.catalogue)).filter(|_| over.stages.iter().any(by_set));
            let on_set = |place: &Place| {
                let name = place.name();
                over.stages.iter().any(|s| by_set(s) && (s.name == name || s.pulled_by.as_deref() == Some(name)))
            };
            for row in c.rows.iter().filter(|r| matches!(r.place, Place::Crossing(_))) {
                let heave = x.people as f64 * HEAVE_N * set.filter(|_| on_set(&row.place)).unwrap_or(1.0);
                if let Some(keeps) = row.strength.counts_n()
                    && heave > 0.5 * keeps
                {
                    r.say(
                        "crossing",
                        format!(
                            "{}: {} people heave {}, it keeps {}; {:.0} may",
                            row.place,
                            x.people,
                            kn(heave),
                            kn(keeps),
                            (x.people as f64 * 0.5 * keeps / heave).floor()
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "pull-over-beyond-team",
        Caution,
        "a stage that the team's hands do not pull over",
        "it stops half way, and hangs there",
        "more people, more sag, or pulleys",
        PRACTICE,
        |c, r| {
            let (Some(over), Some(x)) = (c.over, &c.plan.crossing) else { return };
            for s in over.stages.iter().filter(|s| s.pulled_by.is_some() && s.fewest() > x.people) {
                let hands = s.hardest().map_or(0.0, crate::review::over::Way::most_n);
                r.say(
                    "crossing",
                    format!(
                        "{}: {} at the hands, {} people are needed, {} are there",
                        s.name,
                        kn(hands),
                        s.fewest(),
                        x.people
                    ),
                );
            }
        }
    ),
    rule!(
        "line-over-taut",
        Caution,
        "a stage that is held so taut that its gear falls short",
        "half the sag is twice the pull",
        "more sag, a lighter line first, or stronger gear",
        "a taut line's pull goes with one over its sag",
        |c, r| {
            let Some(Held::Sag(sag)) = c.plan.crossing.as_ref().map(|x| x.held) else { return };
            // What is let go on the way down sees the line as it stood, whatever was held on the way over.
            let held = |r: &&Row| matches!(&r.place, Place::Crossing(p) if *p != Passed::Release);
            let short = c.rows.iter().filter(held).filter(|r| r.verdict == Verdict::Below);
            let worst = short.min_by(|a, b| a.margin().total_cmp(&b.margin()));
            if let Some(row) = worst {
                let sag = sag.si() * row.required / row.factor;
                let deep =
                    if sag > 0.25 * c.plan.site.span.si() { ", which is a quarter of the gap and more" } else { "" };
                r.say(
                    "crossing",
                    format!(
                        "{}: {} of {:.1}; a sag of about {} would do{deep}",
                        row.place,
                        factor_text(row.factor),
                        row.required,
                        m(sag)
                    ),
                );
            }
        }
    ),
    rule!(
        "crossing-windy",
        Caution,
        "wind that adds half of the calm pull while the line goes over, or in which a line falls short that meets in the calm",
        "the lighter the line, the more of its pull is wind",
        "wait for less wind, or a narrower line",
        PRACTICE,
        |c, r| {
            let Some(over) = c.over else { return };
            for s in &over.stages {
                if let Some(w) = s.hardest().filter(|w| w.hands_windy_n > WINDY_N && w.hands_windy_n > 1.5 * w.hands_n)
                {
                    r.say(
                        "crossing",
                        format!("{}: {} in the calm, {} in this wind", s.name, kn(w.hands_n), kn(w.hands_windy_n)),
                    );
                }
                // Of what falls short in this wind alone: up to which wind it meets. A taut line's pull with its square
                // grows as the fourth power of the wind.
                let row = c.rows.iter().find(|r| r.place == Place::Crossing(Passed::Line(s.name.clone())));
                if let (Some(row), Some(w), Some(wind)) =
                    (row, s.hardest(), c.plan.crossing.as_ref().map(|x| x.wind.si()))
                    && row.verdict == Verdict::Below
                    && w.hands_windy_n > w.hands_n
                    && row.demand_n > w.hands_n
                    && let Some(most) = row.strength.counts_n().map(|n| n / row.required).filter(|n| *n > w.hands_n)
                {
                    let share = (most.powi(2) - w.hands_n.powi(2)) / (row.demand_n.powi(2) - w.hands_n.powi(2));
                    let up_to = show(Dim::Velocity, wind * share.powf(0.25), System::Si);
                    r.say("crossing", format!("{}: meets in the calm, and up to about {up_to} of wind", s.name));
                }
            }
        }
    ),
    rule!(
        "rings-missing",
        Caution,
        "a line that goes over without two rings on it; without any a stop",
        "rings do not go on once both ends are fixed",
        "rings on before the second end is fixed",
        PRACTICE,
        |c, r| {
            if let Some(x) = &c.plan.crossing
                && let Some(last) = x.stages.last()
                && matches!(last.carried, Carried::Runs(_))
                && last.rings < 2
            {
                let said = format!("{}: {} of 2", last.name, last.rings);
                if last.rings == 0 { r.stop("crossing", said) } else { r.say("crossing", said) }
            }
        }
    ),
    rule!(
        "stage-jump",
        Caution,
        "a stage whose pull is over a quarter of what the line that pulls it keeps, or a pulling line of HMPE that is knotted",
        "one snag, one heave more, and everything lies below",
        "a step between, or an end that is spliced instead of knotted",
        PRACTICE,
        |c, r| {
            for stage in c.plan.crossing.iter().flat_map(|x| &x.stages) {
                let Carried::Part(p) = &stage.carried else { continue };
                let hmpe = c.catalogue.get(&p.item).is_some_and(|i| i.fibre == Fibre::Hmpe);
                let knotted = p.ends.iter().flatten().any(|e| matches!(e.kind, EndKind::Knotted(_)));
                if hmpe && knotted {
                    r.say("crossing", format!("{}: a knot in HMPE slips, and keeps little", stage.name));
                }
            }
            // The last is pulled over, and pulls nothing.
            let last = c.over.and_then(|o| o.stages.last()).map(|s| s.name.as_str());
            let pulls = |r: &&Row| matches!(&r.place, Place::Crossing(Passed::Line(n)) if Some(n.as_str()) != last);
            for row in c.rows.iter().filter(pulls) {
                if let Some(keeps) = row.strength.counts_n()
                    && row.demand_n > JUMP * keeps
                {
                    r.say(
                        "crossing",
                        format!("{}: {} on a line that keeps {}", row.place, kn(row.demand_n), kn(keeps)),
                    );
                }
            }
        }
    ),
    rule!(
        "release-cord-short",
        Stop,
        "a release whose cord ends before the line is slack",
        "the line hangs on a release that is out of cord, under tension",
        "the length that is said",
        PRACTICE,
        |c, r| {
            let (Some(over), Some(cord)) = (c.over, c.plan.crossing.as_ref().and_then(|x| x.release_cord)) else {
                return;
            };
            let need = 1.2 * over.release_m[0];
            if cord.si() < need {
                r.say("crossing", format!("release cord: {} of {}", m(cord.si()), m(need)));
            }
        }
    ),
];
