//! A changed plan asked one question: does everything still meet, and if not, what gives out first?
//!
//! Statics are solved whole; of falls and failures only those are played again that govern the plan as it is, so that a
//! question costs a tenth of a review. What an answer rests on in the end is reviewed whole (see [`super::bounds`]).

use std::sync::atomic::AtomicBool;

use super::case::Class;
use super::desk::{Desk, FEW};
use super::incident::{Against, Event, Who};
use super::reviewing::Review;
use super::row::{Place, Row};
use super::rules::{Finding, Gravity, RULES};
use super::situation::Situation;
use super::verdict::Verdict;
use crate::plan::PlanFile;
use crate::units::System;

/// Rows within this many times what is required may come to govern when the plan is changed a little.
const NEAR: f64 = 1.6;
/// Most failures that are played again for one question.
const FAILURES: usize = 8;
/// How far along the line the same incident may have moved, as a share of it.
const SAME_PLACE: f64 = 0.06;

impl Event {
    /// Whether it is the same thing happening, in a plan that has been changed a little.
    pub(super) fn like(&self, other: &Self) -> bool {
        std::mem::discriminant(&self.who) == std::mem::discriminant(&other.who)
            && (&self.class, &self.loss, &self.missing, self.slides)
                == (&other.class, &other.loss, &other.missing, other.slides)
            && self.against.alike(&other.against)
            && (self.at - other.at).abs() < SAME_PLACE
    }
}

impl Event {
    /// The same event with nothing else against the rig.
    pub(super) fn as_planned(&self) -> Self {
        Self { against: Against::default(), ..self.clone() }
    }
}

impl Against {
    fn alike(&self, other: &Self) -> bool {
        (self.new_gear, self.short, self.held, self.others.len())
            == (other.new_gear, other.short, other.held, other.others.len())
    }
}

/// The incidents that govern a reviewed plan: its leash falls, and the failures that come near a limit.
pub(super) fn governing(review: &Review) -> Vec<Event> {
    let named = |r: &Row| review.incident(r.situation()?).map(|i| &i.event);
    let mut out: Vec<Event> = Vec::new();
    let mut add = |e: &Event| {
        if !out.iter().any(|o| o.situation == e.situation) {
            out.push(e.clone());
        }
    };
    let heaviest = |who: Who| match who {
        Who::Falling(m) | Who::Standing(m) | Who::LettingGo(m) => m,
    };
    let falls = || review.incidents.iter().filter(|i| i.event.class == Class::Fall).map(|i| &i.event);
    let most = falls().map(|e| heaviest(e.who)).fold(0.0, f64::max);
    falls().filter(|e| heaviest(e.who) >= most).for_each(&mut add);
    let failures = || review.incidents.iter().filter(|i| i.event.class == Class::Failure && !i.idle);
    let hardest = failures().max_by(|a, b| a.peaks.body_n.total_cmp(&b.peaks.body_n));
    if let Some(i) = hardest {
        add(&i.event);
    }
    let lowest = failures().filter(|i| i.feet_m[0].is_finite()).min_by(|a, b| a.feet_m[0].total_cmp(&b.feet_m[0]));
    if let Some(i) = lowest {
        add(&i.event);
    }
    let rows = review.worst_first();
    let near = rows.iter().filter(|r| r.class == Class::Failure && r.margin() < NEAR);
    near.filter_map(|r| named(r)).take(FAILURES).for_each(&mut add);
    // What comes nearest to a limit is asked first.
    let nearest = |e: &Event| {
        let of_it = rows.iter().filter(|r| r.situation() == Some(&e.situation)).map(|r| r.margin());
        of_it.fold(f64::INFINITY, f64::min)
    };
    out.sort_by(|a, b| nearest(a).total_cmp(&nearest(b)));
    out
}

/// A changed plan's review, statics whole, of falls and failures those that govern the plan as it is.
///
/// # Errors
/// Why it cannot be.
pub fn otherwise(base: &Review, changed: &PlanFile) -> Result<Review, String> {
    Question::whole(base, &AtomicBool::new(false)).ask(changed)
}

/// What is asked of a changed plan.
#[derive(Debug, Clone)]
pub(super) struct Question<'a> {
    /// Incidents to be played; none for statics alone.
    events: Vec<Event>,
    /// Rules that say stop of the plan as it is, whatever is changed.
    standing: Vec<&'static str>,
    /// Pieces that fail as planned and are not asked about.
    beside: Vec<(Place, Class)>,
    stop: &'a AtomicBool,
}

/// Rules that speak of figures: they always count.
const OF_FIGURES: [&str; 5] = ["hits-ground", "body-force", "breaks", "rule-of-three", "idle-leg"];

impl<'a> Question<'a> {
    /// About a reviewed plan, with falls and failures.
    pub(super) fn whole(base: &Review, stop: &'a AtomicBool) -> Self {
        Self { events: governing(base), ..Self::at_rest(base, stop) }
    }

    /// About these incidents of it.
    pub(super) fn about(base: &Review, events: Vec<Event>, stop: &'a AtomicBool) -> Self {
        Self { events, ..Self::at_rest(base, stop) }
    }

    /// About its statics.
    pub(super) fn at_rest(base: &Review, stop: &'a AtomicBool) -> Self {
        let stops = base.findings.iter().filter(|f| f.gravity == Gravity::Stop);
        let standing = stops.map(|f| f.rule).filter(|r| !OF_FIGURES.contains(r)).collect();
        Self { events: Vec::new(), standing, beside: Vec::new(), stop }
    }

    /// From now on only about what meets in this review.
    pub(super) fn beside(&mut self, planned: &Review) {
        let below = planned.rows.iter().filter(|r| r.verdict != Verdict::Meets);
        self.beside = below.map(|r| (r.place.clone(), r.class)).collect();
        self.standing.extend(planned.findings.iter().filter(|f| f.gravity == Gravity::Stop).map(|f| f.rule));
    }

    /// The changed plan's review, as far as the question goes.
    pub(super) fn ask(&self, file: &PlanFile) -> Result<Review, String> {
        let words = |f: Vec<crate::rig::RigFault>| f.first().map_or_else(String::new, |f| f.message.clone());
        let mut desk = Desk::open(file).map_err(words)?;
        if self.events.is_empty() {
            let mut review = desk.review();
            review.rows.retain(|r| r.class != Class::Fall);
            return Ok(review);
        }
        desk.part(&self.events, self.stop, |_| false).ok_or_else(|| "stopped".to_owned())
    }

    /// What gives out in the changed plan, looked for in statics first, then in falls and failures as they come near
    /// their limits, and the incidents that showed it; nothing when all still meets.
    pub(super) fn fails(&self, file: &PlanFile) -> Option<(String, Vec<Event>)> {
        let mut desk = match Desk::open(file) {
            Ok(desk) => desk,
            Err(f) => return Some((f.first().map_or_else(String::new, |f| f.message.clone()), Vec::new())),
        };
        let mut at_rest = desk.review();
        at_rest.rows.retain(|r| r.class != Class::Fall);
        if let Some(why) = self.first_fault(&at_rest) {
            return Some((why, Vec::new()));
        }
        if self.events.is_empty() {
            return None;
        }
        let Some(review) = desk.part(&self.events, self.stop, |r| self.first_fault(r).is_some()) else {
            return Some(("stopped".to_owned(), Vec::new()));
        };
        let why = self.first_fault(&review)?;
        let last = review.incidents.iter().rev().take(FEW).map(|i| i.event.clone());
        Some((why, last.collect()))
    }

    /// From now on about these incidents too; whether any of them is new.
    pub(super) fn learn(&mut self, events: &[Event]) -> bool {
        let before = self.events.len();
        for e in events {
            if !self.events.iter().any(|known| known.like(e)) {
                self.events.push(e.clone());
            }
        }
        self.events.len() > before
    }

    /// What does not hold in a review, and the incidents that show it.
    pub(super) fn denied_by(&self, review: &Review) -> Option<(String, Vec<Event>)> {
        let why = self.first_fault(review)?;
        let failing = review.rows.iter().filter(|r| self.asks(r) && r.verdict != Verdict::Meets);
        let which: Vec<&Situation> = failing.filter_map(Row::situation).collect();
        let all = || review.incidents.iter();
        let mut events: Vec<Event> =
            all().filter(|i| which.contains(&&i.event.situation)).map(|i| i.event.clone()).collect();
        if events.is_empty() {
            events = all().rev().take(FEW).map(|i| i.event.clone()).collect();
        }
        Some((why, events))
    }

    /// The row that is asked about and nearest to its limit.
    pub(super) fn nearest<'r>(&self, review: &'r Review) -> Option<&'r Row> {
        review.worst_first().into_iter().find(|r| self.asks(r))
    }

    fn asks(&self, row: &Row) -> bool {
        !self.beside.iter().any(|b| b.0 == row.place && b.1 == row.class)
    }

    /// The same about these incidents only.
    pub(super) fn narrowed(&self, events: Vec<Event>) -> Self {
        Self { events, ..self.clone() }
    }

    /// What does not hold in a review.
    pub(super) fn first_fault(&self, review: &Review) -> Option<String> {
        if let Some(u) = review.unsolved.first() {
            return Some(format!("not solved: {} ({})", u.words(), u.why));
        }
        // What hung on a day hangs no other way because a changed plan is asked about.
        let days = |f: &&Finding| f.at == "days";
        let stops = |f: &&Finding| {
            f.gravity == Gravity::Stop && !declares(f.rule) && !days(f) && !self.standing.contains(&f.rule)
        };
        let asked = |r: &&Row| self.asks(r);
        // What has no rating holds nothing: it is no more passed over here than in a verdict.
        if let Some(row) = review.worst_first().into_iter().filter(asked).find(|r| r.verdict != Verdict::Meets) {
            return Some(said(row));
        }
        review.findings.iter().find(stops).map(|f| {
            let at = if f.at.is_empty() { String::new() } else { format!("{}: ", f.at) };
            format!("{at}{} [{}]", f.text, f.rule)
        })
    }
}

fn declares(rule: &str) -> bool {
    RULES.iter().copied().flatten().any(|r| r.id == rule && r.key.is_some())
}

/// A row that does not meet, in words.
fn said(row: &Row) -> String {
    format!(
        "{} ({}) at {} of {}, in {}",
        row.place,
        row.title,
        row.found(System::Si),
        row.asked(System::Si),
        row.class_and_case()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What fails as planned is not asked about in its own class; in another it is.
    #[test]
    fn a_piece_is_passed_over_in_one_class_only() {
        let text = include_str!("../../plans/kestrel-gap-62m.ron").to_owned();
        let review = Desk::open(&PlanFile::parse("plan", text).expect("reads")).expect("a rig").review();
        let below = review.rows.iter().find(|r| r.verdict == Verdict::Below).expect("the main line").clone();
        let stop = AtomicBool::new(false);
        let mut question = Question::at_rest(&review, &stop);
        question.beside(&review);
        let with = |row: Row| Review { rows: vec![row], findings: Vec::new(), unsolved: Vec::new(), ..review.clone() };
        assert_eq!(question.first_fault(&with(below.clone())), None);
        assert!(question.first_fault(&with(Row { class: Class::Failure, ..below })).is_some());
    }

    /// Among what is played again for a question is the failure in which feet come lowest.
    #[test]
    fn the_lowest_feet_govern() {
        let text = include_str!("../../plans/lantern-quarry-28m.ron").to_owned();
        let review = crate::review::review(&PlanFile::parse("plan", text).expect("reads")).expect("a rig");
        let feet = |i: &&crate::review::Incident| i.feet_m[0];
        let failures = review.incidents.iter().filter(|i| i.event.class == Class::Failure && !i.idle);
        let lowest = failures.filter(|i| feet(i).is_finite()).min_by(|a, b| feet(a).total_cmp(&feet(b))).expect("one");
        assert!(governing(&review).iter().any(|e| e.situation == lowest.event.situation), "{}", lowest.event.situation);
    }
}
