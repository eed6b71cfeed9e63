//! Situations solved and certified.

use glam::DVec3;

use super::case::{Case, Variant};
use super::frames::rest_held;
use crate::mechanics::certificate::{Certificate, certify};
use crate::mechanics::equilibrium::{Solution, Status};
use crate::mechanics::sliding::{self, Held};
use crate::rig::{CaseNet, Lengths, Load, Response, Rig, RigFault, Standing};

/// One situation with what came of it.
#[derive(Debug, Clone)]
pub struct Solved {
    /// The situation.
    pub case: Case,
    /// Its certificate.
    pub certificate: Certificate,
    /// Tensions and forces; only to be used when certified.
    pub response: Response,
    /// The net that the certificate speaks of.
    pub net: CaseNet,
    /// Its rest.
    pub solution: Solution,
    /// What a wrong length does to the line's own length, m.
    pub line_m: f64,
}

impl Solved {
    /// Whether its numbers may be used.
    #[must_use]
    pub fn certified(&self) -> bool {
        self.certificate.holds()
    }
}

/// Solves the situations of one rig.
#[derive(Debug, Clone)]
pub struct Solver {
    /// The rig.
    pub rig: Rig,
    /// Tensioned as planned.
    pub standing: Standing,
    /// Tensioned with one leg short, by leg.
    short: Vec<Option<Result<Standing, String>>>,
    warm: Option<Solution>,
}

impl Solver {
    /// Tensions `rig` to its target.
    ///
    /// # Errors
    /// When the target cannot be reached.
    pub fn new(rig: Rig) -> Result<Self, RigFault> {
        let standing = rig.stand(Vec::new(), None)?;
        let short = vec![None; rig.legs.len()];
        Ok(Self { rig, standing, short, warm: None })
    }

    /// A rig with lengths that are known; nothing when it does not come to rest.
    pub(super) fn with_lengths(rig: Rig, mut lengths: Lengths) -> Option<Self> {
        let (case, solution) = rig.solve(&lengths, &Load::default(), None);
        if solution.status != Status::Converged {
            return None;
        }
        lengths.remember(&solution, rig.spots.len());
        let short = vec![None; rig.legs.len()];
        Some(Self { standing: Standing { lengths, case, solution }, rig, short, warm: None })
    }

    /// Legs that hold the same inner point, if there is more than one: one anchor.
    #[must_use]
    pub fn anchors(&self) -> Vec<(usize, Vec<usize>)> {
        let depth = &self.rig.depth;
        (0..self.rig.spots.len())
            .filter_map(|p| {
                let legs: Vec<usize> = (0..self.rig.legs.len())
                    .filter(|&l| {
                        let path = &self.rig.legs[l].path;
                        path.contains(&p) && path.iter().any(|&q| depth[q] > depth[p])
                    })
                    .collect();
                (!self.rig.spots[p].fixed && legs.len() > 1).then_some((p, legs))
            })
            .collect()
    }

    /// Tensions the rig with each leg short that has a tolerance, for incidents.
    pub(super) fn prepare_short(&mut self) {
        for (_, legs) in self.anchors() {
            for leg in legs.into_iter().filter(|l| self.rig.legs[*l].tolerance_m > 0.0).collect::<Vec<_>>() {
                let _ = self.short(leg);
            }
        }
    }

    /// The rig tensioned with this leg short, as prepared.
    ///
    /// # Errors
    /// Why it cannot be tensioned so.
    pub(super) fn with_short(&self, leg: usize) -> Result<&Standing, &str> {
        match self.short.get(leg) {
            Some(Some(Ok(s))) => Ok(s),
            Some(Some(Err(why))) => Err(why),
            _ => Err("it was not tried"),
        }
    }

    /// The rig tensioned with this leg short by its tolerance, the others of its anchor long by theirs.
    pub(super) fn short(&mut self, leg: usize) -> Result<&Standing, String> {
        if self.short[leg].is_none() {
            let mut offsets: Vec<f64> = (0..self.rig.legs.len()).map(|i| self.standing.lengths.offset(i)).collect();
            for (_, legs) in self.anchors().into_iter().filter(|(_, l)| l.contains(&leg)) {
                for l in legs {
                    let t = self.rig.legs[l].tolerance_m;
                    offsets[l] += if l == leg { -t } else { t };
                }
            }
            self.short[leg] = Some(self.rig.stand(offsets, Some(&self.standing)).map_err(|f| f.message));
        }
        match &self.short[leg] {
            Some(Ok(s)) => Ok(s),
            Some(Err(why)) => Err(why.clone()),
            None => Err(String::new()),
        }
    }

    /// Solves one situation.
    ///
    /// # Errors
    /// Why it has no solution: the varied rig cannot be tensioned, or friction does not settle. `Ok(None)` when the
    /// variant is no different from the rig as drawn.
    pub fn solve(&mut self, case: &Case) -> Result<Option<Solved>, String> {
        let lengths = match case.variant {
            Variant::Short(leg) => match self.short(leg) {
                Ok(s) => s.lengths.clone(),
                Err(why) => return Err(format!("the rig cannot be tensioned with this leg short: {why}")),
            },
            Variant::Drawn | Variant::Held { .. } => self.standing.lengths.clone(),
        };
        let (mut net, mut solution) = self.rig.solve(&lengths, &case.load, self.warm.as_ref());
        if !matches!(case.variant, Variant::Short(_)) {
            self.warm = Some(solution.clone());
        }
        if let Variant::Held { leg, strand } = case.variant {
            match sliding::pattern(&net.net, leg, strand, &solution) {
                Held::Slack => return Ok(None),
                Held::Unsettled => return Err("friction does not settle".to_owned()),
                Held::At(p) if self.rig.frames.is_empty() => (net.net, solution) = (p.net, p.solution),
                Held::At(_) => match rest_held(&self.rig.frames, &net.net, (leg, strand), &solution) {
                    Some(p) => (net.net, solution) = (p.net, p.solution),
                    None => return Err("friction does not settle".to_owned()),
                },
            }
        }
        let certificate = certify(&net.net, &solution);
        let response = self.rig.response(&net, &solution);
        let line_m = self.rig.line_length_m(&lengths);
        Ok(Some(Solved { case: case.clone(), certificate, response, net, solution, line_m }))
    }

    /// Solves one situation of the rig with its main line gone, as the whole rig tells it; nothing without a backup.
    #[must_use]
    pub(super) fn on_backup(&self, case: &Case) -> Option<Solved> {
        let lengths = &self.standing.lengths;
        let rig = self.rig.on_backup(lengths)?;
        let (net, solution) = rig.solve(lengths, &case.load, None);
        let certificate = certify(&net.net, &solution);
        let on_it = rig.response(&net, &solution);
        let line = &self.rig.line;
        let response = Response {
            backup_n: on_it.element_n,
            element_n: vec![0.0; line.elements.len()],
            line_n: [0.0; 2],
            joints: vec![[DVec3::ZERO; 4]; line.joints.len()],
            ..on_it
        };
        Some(Solved { case: case.clone(), certificate, response, net, solution, line_m: rig.line_length_m(lengths) })
    }

    /// The friction patterns of a situation: for each sliding run, each of its legs carrying most.
    #[must_use]
    pub fn patterns(&self) -> Vec<(usize, usize)> {
        self.rig
            .legs
            .iter()
            .enumerate()
            .filter(|(_, l)| l.friction.iter().any(|m| *m > 0.0))
            .flat_map(|(i, l)| (0..l.path.len() - 1).map(move |k| (i, k)))
            .collect()
    }

    /// Solves `load` on the rig as drawn, without a certificate: for a walker that is being slid along.
    #[must_use]
    pub fn quick(&self, load: &Load, warm: Option<&Solution>) -> (CaseNet, Solution) {
        self.rig.solve(&self.standing.lengths, load, warm)
    }
}
