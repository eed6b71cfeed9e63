//! Rules about the people who work at the edges.

use super::{Gravity, PRACTICE, Rule, kn, rule};
use crate::plan::ties::Step;
use crate::review::row::{Place, TiePiece};
use crate::units::{Dim, Quantity as _, System, show};

/// Held harder than this in a sit harness hurts, N. Common practice, no source.
const HARD_N: f64 = 4000.0;
/// What EN 355 lets an absorber of fall arrest hold with at the most, N.
const TOO_HARD_N: f64 = 6000.0;
/// What EN 795:2012 asks of an anchor for one person, N; seen second-hand.
const ANCHOR_N: f64 = 12_000.0;

fn m(metres: f64) -> String {
    show(Dim::Length, metres, System::Si)
}

/// Rules about work at the edges.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "exposed",
        Stop,
        "more people at a lip than hang on a tie",
        "those who rig are nearer to the edge, and longer, than those who walk",
        "a tie for each, or fewer at the lip",
        PRACTICE,
        |c, r| {
            for s in c.edges.iter().flat_map(|e| &e.steps).filter(|s| s.step != Step::Strip) {
                for x in s.sides.iter().filter(|x| x.held < x.people) {
                    r.say(
                        "ties",
                        format!("{}, {:?}: {} at the lip, ties hold {}", s.step.words(), x.side, x.people, x.held),
                    );
                }
            }
        }
    ),
    rule!(
        "last-person",
        Stop,
        "nothing holds the last person at an edge",
        "who takes the last piece off stands there alone, tired, with nothing left to hang on",
        "a tie on an anchor that is not taken away, for the last step",
        PRACTICE,
        |c, r| {
            for s in c.edges.iter().flat_map(|e| &e.steps).filter(|s| s.step == Step::Strip) {
                for x in s.sides.iter().filter(|x| x.people > 0 && x.held < x.people) {
                    r.say(
                        "ties",
                        format!("{}, {:?}: {} at the lip, ties hold {}", s.step.words(), x.side, x.people, x.held),
                    );
                }
            }
        }
    ),
    rule!(
        "tie-on-the-line",
        Stop,
        "a tie on an anchor that the step builds or takes away",
        "what somebody hangs on is undone under their hands",
        "an anchor of its own for these steps",
        PRACTICE,
        |c, r| {
            for t in c.edges.iter().flat_map(|e| &e.ties) {
                let Some(tie) = c.plan.ties.get(&t.name) else { continue };
                let at: Vec<&str> =
                    t.steps.iter().filter(|s| matches!(s, Step::Anchors | Step::Strip)).map(|s| s.words()).collect();
                if let (Some(on), false) = (tie.anchors.iter().find(|a| c.plan.in_use(a)), at.is_empty()) {
                    r.say("ties", format!("{}: on {on}, which the line hangs on, at {}", t.name, at.join(" and ")));
                }
            }
        }
    ),
    rule!(
        "tie-lets-over",
        Caution,
        "a tie that is longer than the way to the lip",
        "it stops a fall, it does not keep from one",
        "shorter than the way from its anchor to the lip, where the work allows",
        "geometry",
        |c, r| {
            for t in c.edges.iter().flat_map(|e| &e.ties) {
                if let Some(o) = t.lets_over {
                    r.say("ties", format!("{}: {} over the lip, a fall of {}", t.name, m(o.beyond_m), m(o.fall_m)));
                }
            }
        }
    ),
    rule!(
        "tie-stretches-over",
        Caution,
        "a tie that holds back when it is slack, and reaches beyond the lip under the pull that is asked of it",
        "a rope that stretches lets somebody over whom its length holds back",
        "the length that is said, or a rope that stretches less",
        "the rope's own stretch",
        |c, r| {
            for t in c.edges.iter().flat_map(|e| &e.ties).filter(|t| t.lets_over.is_none()) {
                let Some(tie) = c.plan.ties.get(&t.name) else { continue };
                let (rope, lip) = (tie.length_m(), tie.lip.si());
                if let Some(long) = t.stretched_m.filter(|m| *m > lip) {
                    let (over, most) = (m(long - lip), m(lip * rope / long));
                    r.say("ties", format!("{}: {} over the lip when drawn out; {most} would hold back", t.name, over));
                }
            }
        }
    ),
    rule!(
        "tie-hard",
        Caution,
        "a tie that stops a fall hard",
        "a sit harness hurts from about 4 kN on; absorbers of fall arrest are held to 6",
        "a dynamic rope, a shorter tie, or one that holds back",
        "EN 355: at most 6 kN; 4 kN common practice",
        |c, r| {
            for t in c.edges.iter().flat_map(|e| &e.ties).filter(|t| t.lets_over.is_some()) {
                let lip = c.plan.ties.get(&t.name).map_or(String::new(), |t| m(t.lip.si()));
                let said = |n: f64| format!("{}: {}; no more than {lip} of rope holds back", t.name, kn(n));
                match t.peak_n {
                    None => r.stop("ties", format!("{}: how hard it stops is not known", t.name)),
                    Some(n) if n > TOO_HARD_N => r.stop("ties", said(n)),
                    Some(n) if n > HARD_N => r.say("ties", said(n)),
                    Some(_) => {}
                }
            }
        }
    ),
    rule!(
        "tie-rubs",
        Caution,
        "a tie that runs over a bare edge",
        "a loaded rope that slides along rock is cut at a fraction of its strength",
        "a pad or a roller under it, or a tie that stays behind the lip",
        PRACTICE,
        |c, r| {
            for t in c.edges.iter().flat_map(|e| &e.ties).filter(|t| t.lets_over.is_some()) {
                let bare = c.plan.ties.get(&t.name).is_some_and(|t| t.over == crate::catalogue::Surface::Rock);
                if bare {
                    r.say("ties", format!("{}: over bare rock", t.name));
                }
            }
        }
    ),
    rule!(
        "tie-anchor-light",
        Note,
        "an anchor of a tie that holds less than standards of fall arrest ask for",
        "EN 795 asks 12 kN of an anchor for one person",
        "a stronger anchor, or two that share",
        "EN 795:2012; seen second-hand",
        |c, r| {
            for row in c.rows {
                if let Place::Tie(name, TiePiece::Anchor(on)) = &row.place
                    && let Some(n) = row.strength.counts_n().filter(|n| *n < ANCHOR_N)
                {
                    r.say("ties", format!("{name}: {on} holds {}", kn(n)));
                }
            }
        }
    ),
];
