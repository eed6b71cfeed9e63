//! The tail of an eye: what rope it takes, how far it reaches, where its marks stand.

use super::gear::{At, Eye, EyeMade, From, Lock, Mark, Note, taper_marks};
use super::rope::Refusal;

/// One tail that goes into its own standing part.
pub(super) struct Tail {
    /// Its eye.
    pub(super) made: EyeMade,
    /// How much of it is buried, m.
    pub(super) bury_m: f64,
    /// What keeps it shut.
    pub(super) lock: Lock,
}

impl Tail {
    pub(super) fn new(eye: &Eye, on: &At<'_>, notes: &mut Vec<Note>) -> Result<Self, Refusal> {
        Ok(Self { made: on.eye(eye, notes)?, bury_m: on.bury(eye.bury_m)?, lock: eye.lock })
    }

    /// Rope that goes into it, m: tail, eye, and the host that the tail fills.
    pub(super) fn takes(&self, on: &At<'_>) -> f64 {
        self.bury_m + 2.0 * self.made.half_m + on.bare(self.bury_m) + on.lock_takes(self.lock)
    }

    /// From the pin's bearing to where the tail's tip lies inside, finished, m.
    pub(super) fn reach(&self, on: &At<'_>) -> f64 {
        self.made.throat.reach_m + self.bury_m + on.lock_shift(self.lock)
    }

    /// Marks on bare rope, from the tip.
    pub(super) fn marks(&self, on: &At<'_>, marks: &mut Vec<Mark>) {
        let (b, e) = (self.bury_m, self.made.half_m);
        let mark = |letter: &str, at_m: f64, what: &'static str| Mark {
            letter: letter.to_owned(),
            from: From::End1,
            at_m,
            what,
        };
        marks.push(mark("A", 0.0, "tip"));
        taper_marks(on.taper(b), From::End1, "", marks);
        let entry = b + 2.0 * e;
        let shift = on.lock_shift(self.lock);
        marks.push(mark("C", b, "throat on the tail"));
        marks.push(mark("D", b + e, "crown"));
        marks.push(mark("E", entry, "entry: throat on the standing part"));
        marks.push(mark(
            "G",
            entry + on.bare(b) + shift,
            "here the tip comes to lie, once the host is bunched over it",
        ));
        marks.push(mark("H", entry + on.exit(b) + shift, "exit of the fid"));
        let stitches = "stitches begin here, on the finished splice, and end as far again";
        marks.push(Mark { letter: "F".to_owned(), from: From::Throat, at_m: on.d(6.0), what: stitches });
    }
}
