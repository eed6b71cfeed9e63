//! Rows of frames: what struts, feet, hobble and guys see at the most, and what they keep.

use std::collections::BTreeSet;

use super::case::Class;
use super::factors::{Kind, required};
use super::frames::{FrameAt, Framed, bears};
use super::neighbours::piece_strength;
use super::row::{FramePiece, Peak, Place, Row};
use super::strength::{Amount, Step, Strength, Weak, part_strength};
use super::work::Work;
use crate::catalogue::{Catalogue, Rating};
use crate::plan::frame::{Frame, Stands, Strut};
use crate::plan::{FactorSet, Part};
use crate::rig::{Lay, Neighbour};
use crate::units::Quantity;

/// A strength that is no rating: what it is, where it gives way, how it comes about.
fn worked_out(n: f64, spot: &str, steps: Vec<Step>) -> Strength {
    Strength {
        low_n: n,
        nominal_n: n,
        rated: true,
        spot: spot.to_owned(),
        weak: Weak::Rated,
        steps,
        doubts: Vec::new(),
        ..Strength::unrated("")
    }
}

/// A strut's strength, by buckling.
fn strut_strength(strut: &Strut, frame: &Frame, length_m: f64, catalogue: &Catalogue) -> Strength {
    let Some(item) = catalogue.get(&strut.item) else { return Strength::unrated("an unknown strut") };
    let Some(b) = bears(strut, frame, length_m, catalogue) else {
        return Strength::unrated(&format!("outside, modulus or yields of {} are not known", item.title));
    };
    let step = |what: String, n: f64, source: &str| Step { what, amount: Amount::Newton(n), source: source.to_owned() };
    let steps = vec![
        step(
            format!("{}, straight, over {:.2} m", item.title, strut.buckles * length_m),
            b.euler_n,
            "Euler: π² E I / (K ℓ)²",
        ),
        step("squashed".to_owned(), b.squash_n, &item.source),
        step(
            format!(
                "bowed by {:.0} mm, loaded {:.0} mm off",
                1e3 * item.bow_ratio() * length_m,
                1e3 * frame.off_centre.si()
            ),
            b.bears_n,
            "Ayrton and Perry, 1886; from memory",
        ),
    ];
    let mut s = worked_out(b.bears_n, "it buckles", steps);
    if let Some(keeps) = strut.keeps {
        s.low_n *= keeps;
        s.nominal_n *= keeps;
        let amount = Amount::Factor { low: keeps, nominal: keeps };
        s.steps.push(Step {
            what: "joints of several pieces".to_owned(),
            amount,
            source: "the rigger's own figure".to_owned(),
        });
    }
    s
}

/// What friction holds of a foot that is pressed down so hard.
fn held(down_n: f64, friction: f64) -> Strength {
    let holds = (friction * down_n).max(0.0);
    let step = Step {
        what: format!("pressed down, friction {friction}"),
        amount: Amount::Newton(holds),
        source: "the plan".to_owned(),
    };
    worked_out(holds, "it slides", vec![step])
}

impl Work<'_> {
    /// What a hobble keeps, round the feet of two struts.
    fn hobble(&self, part: &Part) -> Option<Strength> {
        let item = self.catalogue.get(&part.item)?;
        if part.ends.is_none() && !item.class.is_cut() {
            return Some(piece_strength(item, self.catalogue));
        }
        let on = Neighbour { name: "a strut's foot".to_owned(), diameter_m: None, lock: false, soft: false };
        let straight = Lay { reach_m: 0.0, strands: 1.0, opening_rad: 0.0 };
        Some(part_strength(part, item, straight, [&on, &on], &[], 0.0, &self.catalogue.deratings))
    }

    /// Rows of the frames in a class: struts, feet, hobble, and their guys where a head is jerked.
    pub(super) fn frame_rows(&self, frames: &[Framed], class: Class) -> Vec<Row> {
        frames.iter().enumerate().flat_map(|(k, f)| self.rows_of_frame(k, f, class)).collect()
    }

    fn rows_of_frame(&self, k: usize, framed: &Framed, class: Class) -> Vec<Row> {
        let states: Vec<&FrameAt> = framed.states.iter().filter(|s| s.class == class).collect();
        let of = self.plan.points.get(&framed.point).and_then(|p| p.hold()?.frame());
        let Some(plan) = of.filter(|_| !states.is_empty()) else { return Vec::new() };
        let most = |of: &dyn Fn(&FrameAt) -> f64| states.iter().copied().max_by(|a, b| of(a).total_cmp(&of(b)));
        let sound = self.sound(class) && states.iter().all(|s| s.stands);
        let mut rows = Vec::new();
        let mut row = |piece: FramePiece, item: (&str, &str), kind: Kind, n: f64, of: &FrameAt, strength: Strength| {
            let demand = Peak { n: n.max(0.0), seen: of.seen.clone(), spread: of.spread };
            let want = required(self.plan, FactorSet::default(), kind, class);
            let place = Place::Frame(framed.point.clone(), piece);
            rows.push(Row::new(place, item.0.to_owned(), item.1, kind, class, demand, strength, want, sound));
        };
        for (i, strut) in plan.struts.iter().enumerate() {
            let length_m = self.solver.rig.frames[k].struts[i].length_m;
            let title = self.catalogue.get(&strut.item).map_or(strut.item.clone(), |i| i.title.clone());
            if let Some(s) = most(&|s| s.struts[i].thrust_n) {
                let strength = strut_strength(strut, plan, length_m, self.catalogue);
                row(FramePiece::Strut(i + 1), (&title, &strut.item), Kind::Anchor, s.struts[i].thrust_n, s, strength);
            }
            match &strut.stands {
                Stands::On { friction, .. } => {
                    // Both what pushes and what holds differ: the situation in which least is left.
                    let used = |s: &FrameAt| s.struts[i].along_n / (friction * s.struts[i].down_n).max(1e-9);
                    if let Some(s) = most(&used).filter(|s| s.struts[i].along_n > 1.0) {
                        let strength = held(s.struts[i].down_n, *friction);
                        row(
                            FramePiece::Foot(i + 1),
                            ("foot on the ground", ""),
                            Kind::Foot,
                            s.struts[i].along_n,
                            s,
                            strength,
                        );
                    }
                }
                Stands::Pinned(rating) => {
                    let push = |s: &FrameAt| s.struts[i].down_n.hypot(s.struts[i].along_n);
                    if let Some(s) = most(&push) {
                        let rated = |r: &Rating| Some(Strength::start("pin", r, r.minimum_n()?));
                        let unrated = || Strength::unrated("what the foot's pin holds is not said");
                        let strength = rating.as_ref().and_then(rated).unwrap_or_else(unrated);
                        row(FramePiece::Foot(i + 1), ("pinned foot", ""), Kind::Anchor, push(s), s, strength);
                    }
                }
            }
        }
        if let Some((part, strength)) = plan.hobble.as_ref().and_then(|p| Some((p, self.hobble(p)?)))
            && let Some(s) = most(&|s| s.hobble_n)
        {
            let title = self.catalogue.get(&part.item).map_or(part.item.clone(), |i| i.title.clone());
            row(FramePiece::Hobble, (&title, &part.item), Kind::Soft, s.hobble_n, s, strength);
        }
        let guys: BTreeSet<usize> = states.iter().flat_map(|s| &s.guys_n).map(|g| g.0).collect();
        for run in guys {
            let of = |s: &FrameAt| s.guys_n.iter().find(|g| g.0 == run).map_or(0.0, |g| g.1);
            if let Some(s) = most(&of) {
                let demand = Peak { n: of(s), seen: s.seen.clone(), spread: s.spread };
                rows.extend(self.rows_of_run(run, class, |_| demand.clone()));
            }
        }
        rows
    }
}
