//! How long every article of a rig is, unstretched.

use super::build::Rig;
use super::tension::Lengths;

/// One part of one run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Article {
    /// Index of its run in the plan.
    pub run: usize,
    /// Its part, from 0.
    pub part: usize,
    /// Unstretched, pin to pin along the load, m.
    pub length_m: f64,
}

impl Rig {
    /// Length of every part of legs, main line and backup, as tensioned.
    #[must_use]
    pub fn articles(&self, lengths: &Lengths) -> Vec<Article> {
        let mut out = Vec::new();
        for (k, leg) in self.legs.iter().enumerate() {
            for (i, e) in leg.elements.iter().enumerate() {
                let adjusted = if leg.share.is_some_and(|s| s.0 == i) { lengths.offset(k) } else { 0.0 };
                out.push(Article { run: leg.run, part: e.part, length_m: e.length_m + adjusted });
            }
        }
        let mut soft = vec![0.0];
        for (i, e) in self.line.elements.iter().enumerate() {
            let length_m = self.element_length(lengths, i);
            out.push(Article { run: self.line.run, part: e.part, length_m });
            if let Some(s) = soft.last_mut().filter(|_| e.item.class.is_soft()) {
                *s += length_m;
            }
            if self.line.joints.iter().any(|j| j.after == i) {
                soft.push(0.0);
            }
        }
        if let Some(b) = &self.backup {
            // One piece of backup may lie beside several segments.
            let many = b.segments.len() > 1;
            if many {
                for (s, length_m) in soft.iter().enumerate() {
                    let e = &b.segments[s.min(b.segments.len() - 1)];
                    out.push(Article { run: b.run, part: e.part, length_m: (1.0 + b.excess) * length_m });
                }
            } else if let Some(e) = b.segments.first() {
                out.push(Article { run: b.run, part: e.part, length_m: (1.0 + b.excess) * soft.iter().sum::<f64>() });
            }
        }
        out
    }
}
