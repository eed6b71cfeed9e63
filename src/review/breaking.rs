//! What breaks in a motion: the first piece whose peak passes what is left of its strength.

use glam::DVec3;

use super::hold::hold_strength;
use super::peaks::{Peaks, ways};
use super::row::{Place, Row};
use super::strength::Strength;
use crate::catalogue::Catalogue;
use crate::plan::{Hold, Plan, PointKind};

/// A piece that broke.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Broken {
    /// A run, by its index.
    Run(usize),
    /// The hardware of a point, by the point's index.
    Hardware(usize),
    /// What fixes a point, by the point's index.
    Anchor(usize),
    /// A piece that ties main and backup together: 0 one through all, 1 backup to backup, 2 the two together, 3 main
    /// to main.
    Joint(usize),
}

impl Broken {
    /// Its name, of the names of runs and points.
    #[must_use]
    pub fn name(&self, runs: &[String], points: &[String]) -> String {
        let point = |p: &usize| points.get(*p).map_or("?", String::as_str);
        match self {
            Self::Run(r) => runs.get(*r).cloned().unwrap_or_default(),
            Self::Hardware(p) => format!("hardware of {}", point(p)),
            Self::Anchor(p) => format!("anchor {}", point(p)),
            Self::Joint(k) => format!("joints, {}", JOINTS[*k]),
        }
    }
}

/// Pieces that tie main and backup together, in the order of [`Peaks::ties_n`].
pub(super) const JOINTS: [&str; 4] = ["one piece", "backup to backup", "the two together", "main to main"];

/// What everything in a rig holds, N; infinite where no rating says it.
#[derive(Clone)]
pub struct Limits<'a> {
    catalogue: &'a Catalogue,
    runs_n: Vec<f64>,
    hardware_n: Vec<f64>,
    joints_n: [f64; 4],
    anchors: Vec<Option<(Hold, f64)>>,
}

/// Figures alone: the catalogue is long, and the same for every plan but for the plan's own items.
impl std::fmt::Debug for Limits<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        (&self.runs_n, &self.hardware_n, &self.joints_n, &self.anchors).fmt(f)
    }
}

impl<'a> Limits<'a> {
    /// Those of a plan: its parts' strengths, run by run, and the rows of its hardware.
    pub(super) fn of(plan: &Plan, catalogue: &'a Catalogue, strengths: &[Vec<Option<Strength>>], rows: &[Row]) -> Self {
        let least = |s: &mut dyn Iterator<Item = f64>| s.fold(f64::INFINITY, f64::min);
        let mut hardware_n = vec![f64::INFINITY; plan.points.len()];
        let mut joints_n = [f64::INFINITY; 4];
        for row in rows {
            let place = match &row.place {
                Place::Point(name) => plan.points.get_index_of(name).and_then(|p| hardware_n.get_mut(p)),
                Place::Joint(what) => JOINTS.iter().position(|j| j == what).map(|k| &mut joints_n[k]),
                _ => None,
            };
            // One hole of a plate is judged by its own pull; the plate breaks later.
            if let (Some(n), Some(counts), false) = (place, row.strength.counts_n(), row.one_hole()) {
                *n = n.min(counts);
            }
        }
        let anchors = plan.points.values().map(|p| {
            let PointKind::Fixed { by, .. } = &p.kind else { return None };
            let ways = ways().into_iter();
            // Held for nothing in some directions (a bolt pressed in holds more): the least tells when to look closely.
            let all = ways.filter_map(|w| hold_strength(by, w * 1000.0, catalogue).counts_n());
            Some((by.clone(), 0.5 * least(&mut all.into_iter())))
        });
        Self {
            catalogue,
            runs_n: strengths
                .iter()
                .map(|run| least(&mut run.iter().flatten().filter_map(Strength::counts_n)))
                .collect(),
            hardware_n,
            joints_n,
            anchors: anchors.collect(),
        }
    }

    /// What is beyond its limit by now. Pulls that are in `held` were looked at before, and held.
    pub(super) fn passed(&self, peaks: &Peaks, held: &mut Vec<Vec<DVec3>>) -> Option<Broken> {
        let over = |now: &[f64], limits: &[f64]| now.iter().zip(limits).position(|(n, limit)| n > limit);
        if let Some(run) = over(&peaks.run_n, &self.runs_n) {
            return Some(Broken::Run(run));
        }
        if let Some(p) = over(&peaks.hardware_n, &self.hardware_n) {
            return Some(Broken::Hardware(p));
        }
        if let Some(k) = peaks.ties_n.iter().find_map(|t| over(t, &self.joints_n)) {
            return Some(Broken::Joint(k));
        }
        held.resize(peaks.pulls.len(), Vec::new());
        for (k, ((anchor, pulls), held)) in self.anchors.iter().zip(&peaks.pulls).zip(held).enumerate() {
            let Some((hold, least_n)) = anchor else { continue };
            held.resize(pulls.len(), DVec3::ZERO);
            for (pull, held) in pulls.iter().zip(held) {
                let n = pull.length();
                let looked_at = pull == held || n <= *least_n;
                if !looked_at && hold_strength(hold, *pull, self.catalogue).counts_n().is_some_and(|holds| n > holds) {
                    return Some(Broken::Anchor(k));
                }
                *held = *pull;
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_joint_may_break() {
        let catalogue = Catalogue::builtin();
        let limits = Limits {
            catalogue,
            runs_n: Vec::new(),
            hardware_n: Vec::new(),
            joints_n: [f64::INFINITY, 50e3, 30e3, f64::INFINITY],
            anchors: Vec::new(),
        };
        let ties_n = vec![[0.0; 4], [0.0, 40e3, 31e3, 0.0]];
        assert_eq!(limits.passed(&Peaks { ties_n, ..Peaks::default() }, &mut Vec::new()), Some(Broken::Joint(2)));
        let ties_n = vec![[0.0; 4], [0.0, 40e3, 29e3, 0.0]];
        assert_eq!(limits.passed(&Peaks { ties_n, ..Peaks::default() }, &mut Vec::new()), None);
    }
}
