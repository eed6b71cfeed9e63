//! Shaping an anchor: its points are moved, by keys or under the mouse, and its legs made longer or shorter. Small steps
//! in one go are one change to take back.

use std::sync::Arc;

use glam::{DVec2, DVec3};

use super::outline::Selected;
use super::state::App;
use crate::document::{Path, Reader, Splice, quote};
use crate::plan::{At, Change, PartLength, PlanFile, PointKind, Role, Side};
use crate::units::{Length, Quantity};

/// What the mouse holds.
#[derive(Debug, Clone)]
pub enum Drag {
    /// The walker.
    Walker,
    /// A point of an anchor.
    Point {
        /// Its name.
        name: String,
        /// The side that is drawn.
        side: Side,
        /// Middle of the drawing, m, and metres to a dot: they stay while the point is held.
        frame: (DVec2, f64),
        /// Where it was taken hold of, m.
        from: DVec2,
        /// Where the point was then, from its side's reference point, m.
        start: DVec3,
    },
}

/// Metres as a plan writes them, to the millimetre.
pub(super) fn metres(m: f64) -> String {
    let text = format!("{:.3}", m + 0.0);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{} m", if text == "-0" { "0" } else { text })
}

/// Degrees as a plan writes them.
pub(super) fn degrees(rad: f64) -> String {
    let text = format!("{:.2}", rad.to_degrees() + 0.0);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{} deg", if text == "-0" { "0" } else { text })
}

/// A place as a sighting from the side's reference point, in RON.
pub(super) fn sighting(place: DVec3, line_bearing_rad: f64) -> String {
    // Compass bearings turn clockwise, y is to the left.
    let bearing = (line_bearing_rad - place.y.atan2(place.x)).rem_euclid(std::f64::consts::TAU);
    format!(
        "Sighted(distance: {}, bearing: {}, slope: {})",
        quote(&metres(place.length())),
        quote(&degrees(bearing)),
        quote(&degrees(place.z.atan2(place.truncate().length())))
    )
}

fn bearing(file: &PlanFile) -> f64 {
    file.plan.site.bearing.map_or(0.0, Quantity::si)
}

/// Where a point stands in its plan: the key of its place, and the place from its side's reference point, m.
fn place(file: &PlanFile, name: &str) -> Option<(Path, DVec3)> {
    let point = file.plan.points.get(name)?;
    let xyz = |p: [Length; 3]| DVec3::new(p[0].si(), p[1].si(), p[2].si());
    let (key, place) = match &point.kind {
        PointKind::Fixed { at: At::Place(p), .. } => ("at", xyz(*p)),
        PointKind::Fixed { at: at @ At::Sighted(_), .. } => {
            ("at", file.plan.located(point.side, at)?.0.place - file.plan.origin(point.side))
        }
        PointKind::Free { near, .. } => ("near", xyz(*near)),
    };
    Some((Path::root().key("points").key(name).key(key), place))
}

/// The splice that puts a point at `to`; what does not change keeps its text. A sighted point stays sighted.
fn moved(file: &PlanFile, name: &str, to: DVec3) -> Option<Splice> {
    let (path, now) = place(file, name)?;
    let node = path.find(&file.root)?;
    // What was seen from elsewhere, or twice, is where it is put from then on.
    let plain = |n: &crate::document::Node| !["from", "again", "within"].iter().any(|k| Reader(n).get(k).is_some());
    let text = if node.name.as_deref() == Some("Sighted") && plain(node) {
        sighting(to, bearing(file))
    } else {
        let coordinate = |i: usize| {
            let own = path.at(i).find(&file.root).map(|n| file.text[n.span.clone()].to_owned());
            own.filter(|_| (to[i] - now[i]).abs() < 5e-4).unwrap_or_else(|| quote(&metres(to[i])))
        };
        format!("({}, {}, {})", coordinate(0), coordinate(1), coordinate(2))
    };
    Splice::set(&file.text, &file.root, &path, &text)
}

impl App {
    /// Puts a point somewhere, as part of the gesture under way.
    fn put(&mut self, name: &str, to: DVec3) -> Result<(), String> {
        let splice = moved(&self.file, name, to).ok_or_else(|| format!("{name} has no place in the plan"))?;
        if splice.old == splice.new {
            return Ok(());
        }
        self.nudge(Change { name: format!("move {name}"), splices: vec![splice], selected: self.selected.words() })
    }

    /// Changes the plan by a small step; steps of one name right after each other are one change.
    fn nudge(&mut self, change: Change) -> Result<(), String> {
        let name = change.name.clone();
        let goes_on = self.gesture.as_ref().is_some_and(|(n, file)| *n == name && Arc::ptr_eq(file, &self.file));
        let before = self.history.len();
        self.change_by(change, goes_on)?;
        // Back where it began there is nothing to take back, and nothing to go on with.
        self.gesture = (self.history.len() >= before).then(|| (name, self.file.clone()));
        Ok(())
    }

    /// Moves the selected point by `by_m` along an axis of the plan (0: x, 1: y).
    pub(super) fn shift(&mut self, axis: usize, by_m: f64) -> Result<(), String> {
        let Selected::Point(name) = self.selected.clone() else { return Err("select a point first".to_owned()) };
        let (_, mut to) = place(&self.file, &name).ok_or_else(|| format!("{name} has no place in the plan"))?;
        to[axis] += by_m;
        self.put(&name, to)
    }

    /// Takes hold of a point in the drawing; `from` is where, m.
    pub fn grab(&mut self, name: &str, side: Side, frame: (DVec2, f64), from: DVec2) {
        self.select(Selected::Point(name.to_owned()));
        self.gesture = None;
        self.drag =
            place(&self.file, name).map(|(_, start)| Drag::Point { name: name.to_owned(), side, frame, from, start });
        self.dirty = true;
    }

    /// Moves the point that is held to where the mouse is, m, to the centimetre.
    pub fn drag_to(&mut self, at: DVec2) {
        let Some(Drag::Point { name, from, start, .. }) = self.drag.clone() else { return };
        let by = (at - from).extend(0.0);
        let to = if by.length() < 5e-3 { start } else { ((start + by) * 100.0).round() / 100.0 };
        // The height is not seen from above.
        let result = self.put(&name, to.with_z(start.z));
        if let Err(why) = result {
            self.refuse(format!("not moved: {why}"));
        }
    }

    /// Lets go of what the mouse holds.
    pub fn release(&mut self) {
        if self.drag.take().is_some() {
            self.gesture = None;
            self.dirty = true;
        }
    }

    /// The part whose length is changed: the one selected, or the run's part that is made to fit, or its first with a
    /// length of its own.
    pub(super) fn part_to_lengthen(&self) -> Option<(String, usize)> {
        match &self.selected {
            Selected::Part(r, k) => Some((r.clone(), *k)),
            Selected::Run(r) => {
                let parts = &self.file.plan.runs.get(r)?.parts;
                let fits = parts.iter().position(|p| matches!(p.length, PartLength::Fit(_) | PartLength::Share(..)));
                let k = fits.or_else(|| parts.iter().position(|p| matches!(p.length, PartLength::Is(_))))?;
                Some((r.clone(), k))
            }
            _ => None,
        }
    }

    /// Makes the selected part longer by `by_m`; one made to fit gets the length it has now, and is not made to fit any
    /// more.
    pub(super) fn lengthen(&mut self, by_m: f64) -> Result<(), String> {
        let (run, k) = self.part_to_lengthen().ok_or("no part of this has a length to change")?;
        let plan_run = &self.file.plan.runs[&run];
        let part = &plan_run.parts[k];
        let path = Path::root().key("runs").key(&run).key("parts").at(k);
        let (now, tolerance) = match part.length {
            PartLength::Is(l) => (l.si(), None),
            PartLength::Fit(t) | PartLength::Share(_, t) => {
                let solver = self.solver.as_ref().map_err(|_| "the plan cannot be worked out")?;
                let index = self.file.plan.runs.get_index_of(&run);
                let legs = solver.rig.legs.iter().filter(|l| Some(l.run) == index);
                let element = legs.flat_map(|l| &l.elements).find(|e| e.part == k);
                let now = element.ok_or("its length is not known")?.length_m;
                (now, t.filter(|_| part.tolerance.is_none()))
            }
            PartLength::Solve(_) => return Err("it is as long as its target asks: change the target".to_owned()),
            PartLength::Taut(_) => return Err("it is set to a tension: change that".to_owned()),
            PartLength::Own if matches!(plan_run.role, Role::Backup { .. }) => {
                return Err("it follows the main line: change the backup's excess".to_owned());
            }
            PartLength::Own => return Err(format!("{} is as long as it is made", part.item)),
        };
        let to = now + by_m;
        if to < 0.005 {
            return Err("nothing would be left of it".to_owned());
        }
        let mut splices = crate::plan::steps::setting(&self.file, &path.key("length"), &quote(&metres(to)))?;
        if let Some(t) = tolerance {
            let text = splices.iter().try_fold(self.file.text.clone(), |t, s| s.apply(&t));
            let between =
                text.and_then(|t| PlanFile::parse(&self.file.name, t).ok()).ok_or("there is no place for it")?;
            splices.extend(crate::plan::steps::setting(&between, &path.key("tolerance"), &quote(&metres(t.si())))?);
        }
        let fitted = !matches!(part.length, PartLength::Is(_));
        let word = if by_m > 0.0 { "lengthen" } else { "shorten" };
        let name = format!("{word} {run} part {}", k + 1);
        self.nudge(Change { name: name.clone(), splices, selected: self.selected.words() })?;
        let note = if fitted { ", no longer made to fit" } else { "" };
        self.say(format!("{name}: {}{note}", metres(to)));
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Angle;

    /// Where a sighting leads, from the side's reference point, m.
    fn sighted(distance: Length, bearing: Angle, slope: Angle, line_bearing_rad: f64) -> DVec3 {
        let turn = bearing.si() - line_bearing_rad;
        let flat = distance.si() * slope.si().cos();
        DVec3::new(flat * turn.cos(), -flat * turn.sin(), distance.si() * slope.si().sin())
    }

    #[test]
    fn numbers_are_written_short() {
        assert_eq!(
            [0.0, -0.0, 1.5, -3.30, 0.0004, 12.3456].map(metres),
            ["0 m", "0 m", "1.5 m", "-3.3 m", "0 m", "12.346 m"]
        );
        assert_eq!(degrees(std::f64::consts::FRAC_PI_2), "90 deg");
    }

    #[test]
    fn a_sighting_leads_back_to_its_place() {
        for place in [DVec3::new(-4.0, 1.2, 0.5), DVec3::new(3.0, -2.0, -0.3), DVec3::new(0.1, 5.0, 0.0)] {
            let line = 84f64.to_radians();
            let text = sighting(place, line);
            let value = |key: &str| {
                let rest = text.split(&format!("{key}: \"")).nth(1).expect("there");
                rest.split(' ').next().expect("number").parse::<f64>().expect("number")
            };
            let q = |v: f64| <Angle as Quantity>::from_si(v.to_radians());
            let back =
                sighted(<Length as Quantity>::from_si(value("distance")), q(value("bearing")), q(value("slope")), line);
            assert!((back - place).length() < 2e-3, "{place} {back}");
        }
    }
}
