//! How far a plan may differ from what is written: the standing tension from too slack to too tight, the heaviest walker,
//! the strongest wind, the largest error of a length. At each bound, what gives out first.

use std::sync::atomic::{AtomicBool, Ordering};

use super::case::Class;
use super::desk::Desk;
use super::incident::Event;
use super::probe::Question;
use super::reviewing::Review;
use super::row::SETTLED;
use crate::plan::{PartLength, Plan, PlanFile, Role, Side, Target};
use crate::rig::Rig;
use crate::units::{Dim, Force, Length, Mass, Quantity, Velocity};

/// What is varied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Varied {
    /// Standing tension, N.
    Tension,
    /// Mass of the heaviest walker, kg.
    Walker,
    /// Wind while somebody walks, m/s.
    Wind,
    /// Wind with nobody on the line, m/s.
    Storm,
    /// Error of every leg's length, either way, m.
    Length,
}

impl Varied {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Tension, Self::Walker, Self::Wind, Self::Storm, Self::Length];

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Tension => "standing tension",
            Self::Walker => "heaviest walker",
            Self::Wind => "wind while walking",
            Self::Storm => "wind on the empty line",
            Self::Length => "error of each leg's length",
        }
    }

    /// What it is measured in.
    #[must_use]
    pub fn dim(self) -> Dim {
        match self {
            Self::Tension => Dim::Force,
            Self::Walker => Dim::Mass,
            Self::Wind | Self::Storm => Dim::Velocity,
            Self::Length => Dim::Length,
        }
    }

    /// Beyond this nobody looks.
    fn most(self) -> f64 {
        match self {
            Self::Tension => 60e3,
            Self::Walker => 250.0,
            Self::Wind | Self::Storm => 60.0,
            Self::Length => 0.5,
        }
    }

    /// Whether falls have a say in it.
    fn moves(self) -> bool {
        matches!(self, Self::Tension | Self::Walker)
    }

    /// What the plan says, SI.
    fn planned(self, file: &PlanFile, base: &Review) -> f64 {
        let plan = &file.plan;
        match self {
            Self::Tension => {
                // Where the plan states it: the two ends of a heavy, sloping line differ.
                let parts = plan.main().into_iter().flat_map(|(_, r)| &r.parts);
                let mut at = parts.filter_map(|p| {
                    if let PartLength::Solve(Target::Standing(_, s)) = p.length { Some(s) } else { None }
                });
                base.line.standing_n[usize::from(at.next_back() == Some(Side::B))]
            }
            Self::Walker => super::case::heaviest_kg(plan),
            Self::Wind => plan.site.air.wind.si(),
            Self::Storm => plan.site.air.storm.si(),
            Self::Length => Rig::build(plan, &file.catalogue)
                .map_or(0.0, |rig| rig.legs.iter().map(|l| l.tolerance_m).fold(0.0, f64::max)),
        }
    }

    /// The plan with another value of it.
    fn put(self, plan: &mut Plan, value: f64) {
        match self {
            Self::Tension => {
                let main = plan.runs.values_mut().filter(|r| r.role == Role::Main);
                for part in main.flat_map(|r| &mut r.parts) {
                    if let PartLength::Solve(target) = &mut part.length {
                        let side = if let Target::Standing(_, s) = target { *s } else { Side::A };
                        *target = Target::Standing(Force::from_si(value), side);
                    }
                }
            }
            Self::Walker => {
                let most = super::case::heaviest_kg(plan);
                for m in plan.people.walkers.iter_mut().filter(|m| m.si() >= most || m.si() > value) {
                    *m = Mass::from_si(value);
                }
            }
            Self::Wind => plan.site.air.wind = Velocity::from_si(value),
            Self::Storm => plan.site.air.storm = Velocity::from_si(value),
            Self::Length => {
                for run in plan.runs.values_mut().filter(|r| r.role == Role::Leg) {
                    for part in &mut run.parts {
                        part.tolerance = Some(Length::from_si(value));
                        if let PartLength::Fit(t) | PartLength::Share(_, t) = &mut part.length {
                            *t = part.tolerance;
                        }
                    }
                }
            }
        }
    }
}

/// One end of a range.
#[derive(Debug, Clone, PartialEq)]
pub enum Edge {
    /// It holds up to here, SI; beyond, this gives out first.
    At(f64, String),
    /// It holds to the last value that was tried, SI.
    Beyond(f64),
}

/// The range of one quantity in which all still meets.
#[derive(Debug, Clone, PartialEq)]
pub struct Bound {
    /// What was varied.
    pub varied: Varied,
    /// As planned, SI.
    pub planned: f64,
    /// What fails as planned; nothing when all meets.
    pub fails: Option<String>,
    /// Whether the range counts only what meets as planned, since no value mends the rest.
    pub beside: bool,
    /// Down to where it holds; of the tension alone, and of what fails as planned.
    pub low: Option<Edge>,
    /// Up to where it holds; nothing when no value does.
    pub high: Option<Edge>,
}

/// Steps of the scan over tensions, from slack to tight, of the planned one.
const SCAN: [f64; 11] = [0.2, 0.3, 0.45, 0.65, 0.8, 1.0, 1.25, 1.6, 2.0, 2.6, 3.4];
/// How closely a bound is found, of its value.
const CLOSE: f64 = 0.01;
/// How often an end is drawn in when a whole review denies it.
const BACK: usize = 6;

struct Search<'a> {
    file: PlanFile,
    plan: &'a Plan,
    question: Question<'a>,
    varied: Varied,
    /// The value as planned where the plan's own review, which was whole, meets.
    confirmed: Option<f64>,
    stop: &'a AtomicBool,
}

impl Search<'_> {
    fn put(&mut self, value: f64) {
        let mut plan = self.plan.clone();
        self.varied.put(&mut plan, value);
        self.file.plan = plan;
    }

    fn fails(&mut self, value: f64) -> Option<String> {
        self.put(value);
        self.question.fails(&self.file).map(|f| f.0)
    }

    /// Draws a value that holds and one that does not together, as far as `question` goes.
    fn draw(&mut self, question: &Question<'_>, [mut holds, mut fails]: [f64; 2], why: &mut String) -> [f64; 2] {
        while (fails - holds).abs() > CLOSE * holds.abs().max(fails.abs()) && !self.stop.load(Ordering::Relaxed) {
            let middle = 0.5 * (holds + fails);
            self.put(middle);
            match question.fails(&self.file) {
                None => holds = middle,
                Some((w, _)) => (fails, *why) = (middle, w),
            }
        }
        [holds, fails]
    }

    /// Between a value that holds and one that does not; nothing when not even the one `inside` stands up to a whole
    /// review. What a review knows against an end is asked from then on, and the end drawn in by it.
    fn edge(&mut self, inside: f64, holds: f64, fails: f64, mut why: String) -> Option<Edge> {
        let question = self.question.clone();
        // By what showed the fault first; by all that governs where that holds too much.
        self.put(fails);
        let shown = question.fails(&self.file).map(|f| f.1).unwrap_or_default();
        let mut ends = self.draw(&question.narrowed(shown), [holds, fails], &mut why);
        if let Some(w) = self.fails(ends[0]) {
            why = w;
            ends = self.draw(&question, [holds, ends[0]], &mut why);
        }
        let mut holds = ends[0];
        for _ in 0..BACK {
            let (w, events) = match self.denied(holds) {
                // A figure from motion is known no better than its two last plays agree.
                Ok(spread) => {
                    let in_by = (spread * holds.abs()).min((holds - inside).abs());
                    return Some(Edge::At(holds + in_by * (inside - holds).signum(), why));
                }
                Err(against) => against,
            };
            why = w;
            if holds == inside {
                return None;
            }
            holds = if self.question.learn(&events) {
                let question = self.question.clone();
                self.draw(&question, [inside, holds], &mut why)[0]
            } else if (holds - inside).abs() > 2.0 * CLOSE * holds.abs() {
                0.5 * (holds + inside)
            } else {
                inside
            };
        }
        self.denied(inside).is_ok().then_some(Edge::At(inside, why))
    }

    /// What a whole review has against a value, and the incidents that show it: it may know of one that did not govern
    /// before. Where it has nothing, how far apart the last two plays are in the figure that is nearest to its limit, as a
    /// share. The plan itself was reviewed whole.
    fn denied(&mut self, value: f64) -> Result<f64, (String, Vec<Event>)> {
        if !self.varied.moves() || self.confirmed == Some(value) {
            return Ok(0.0);
        }
        self.put(value);
        let mut desk = match Desk::open(&self.file) {
            Ok(desk) => desk.few_at_once(),
            Err(f) => return Err((f.first().map_or_else(String::new, |f| f.message.clone()), Vec::new())),
        };
        // The first fault is enough to deny it.
        let (found, mut why) = (AtomicBool::new(false), None);
        let whole = desk.all(&found, |so_far| {
            why = why.take().or_else(|| self.question.denied_by(&so_far.review()));
            found.store(why.is_some() || self.stop.load(Ordering::Relaxed), Ordering::Relaxed);
        });
        match (why, whole) {
            (Some(why), _) => Err(why),
            (None, None) => Err(("stopped".to_owned(), Vec::new())),
            (None, Some(r)) => match self.question.denied_by(&r) {
                Some(why) => Err(why),
                None => Ok(self.question.nearest(&r).map_or(0.0, |row| match row.class {
                    Class::Working => 0.0,
                    _ => row.spread.unwrap_or(SETTLED),
                })),
            },
        }
    }

    /// Up from a value that holds.
    fn up(&mut self, from: f64) -> Option<Edge> {
        let mut holds = from;
        loop {
            let next = (holds * 1.5).max(0.01).min(self.varied.most());
            if next <= holds {
                return self.last(holds, from);
            }
            match self.fails(next) {
                None => holds = next,
                Some(why) => return self.edge(from, holds, next, why),
            }
        }
    }

    /// The last value that was tried, which holds by what governs; or as near to it from `inside` as a whole review allows.
    fn last(&mut self, value: f64, inside: f64) -> Option<Edge> {
        match self.denied(value) {
            Ok(_) => Some(Edge::Beyond(value)),
            Err(_) if value == inside => None,
            Err((why, events)) => {
                self.question.learn(&events);
                self.edge(inside, inside, value, why)
            }
        }
    }

    /// Down from a value that fails to one that holds.
    fn down(&mut self, from: f64, why: &str) -> Option<Edge> {
        let (mut fails, mut why) = (from, why.to_owned());
        for _ in 0..8 {
            let next = 0.6 * fails;
            match self.fails(next) {
                None => return self.edge(next, next, fails, why),
                Some(w) => (fails, why) = (next, w),
            }
        }
        None
    }

    fn tension(&mut self, planned: f64) -> (Option<Edge>, Option<Edge>) {
        let tried: Vec<(f64, Option<String>)> = SCAN.map(|k| k * planned).map(|n| (n, self.fails(n))).to_vec();
        // The range that holds about the plan, or the widest one elsewhere.
        let holds = |i: usize| tried[i].1.is_none();
        let mut ranges: Vec<(usize, usize)> = Vec::new();
        for i in (0..tried.len()).filter(|i| holds(*i)) {
            match ranges.last_mut() {
                Some(r) if r.1 + 1 == i => r.1 = i,
                _ => ranges.push((i, i)),
            }
        }
        let at = SCAN.iter().position(|k| (k - 1.0).abs() < 1e-9).unwrap_or(0);
        let chosen = ranges.iter().find(|r| (r.0..=r.1).contains(&at)).or(ranges.iter().max_by_key(|r| r.1 - r.0));
        let Some(&(a, b)) = chosen else { return (None, None) };
        let inside = |end: usize| if (a..=b).contains(&at) { planned } else { tried[end].0 };
        let why = |i: usize| tried[i].1.clone().unwrap_or_default();
        let last = tried.len() - 1;
        let low = if a == 0 {
            self.last(tried[0].0, inside(b))
        } else {
            self.edge(inside(b), tried[a].0, tried[a - 1].0, why(a - 1))
        };
        let high = if b == last {
            self.last(tried[last].0, inside(a))
        } else {
            self.edge(inside(a), tried[b].0, tried[b + 1].0, why(b + 1))
        };
        // One end that no review confirms leaves no range to speak of.
        if low.is_some() && high.is_some() { (low, high) } else { (None, None) }
    }
}

/// The range of one quantity in which all still meets.
#[must_use]
pub fn bound(file: &PlanFile, base: &Review, varied: Varied, stop: &AtomicBool) -> Bound {
    let question = if varied.moves() { Question::whole(base, stop) } else { Question::at_rest(base, stop) };
    let planned = varied.planned(file, base);
    let confirmed = (base.to_come == 0 && question.first_fault(base).is_none()).then_some(planned);
    let mut search = Search { file: file.clone(), plan: &file.plan, question, varied, confirmed, stop };
    // As planned the worst is told, not the first that was found.
    search.put(planned);
    let mut fails = match search.question.ask(&search.file) {
        Ok(review) => search.question.first_fault(&review),
        Err(why) => Some(why),
    };
    let find = |search: &mut Search<'_>, fails: &Option<String>| match (varied, fails) {
        (Varied::Tension, _) => search.tension(planned),
        (_, None) => (None, search.up(planned)),
        (_, Some(why)) => (None, search.down(planned, why)),
    };
    let (mut low, mut high) = find(&mut search, &fails);
    let mut beside = false;
    if let (Some(_), None, None) = (&fails, &low, &high) {
        search.question.beside(base);
        search.confirmed = (base.to_come == 0 && search.question.first_fault(base).is_none()).then_some(planned);
        beside = true;
        (low, high) = find(&mut search, &None);
    }
    // Whole reviews may have drawn the ends past each other: then no value holds.
    if let (Some(Edge::At(a, _)), Some(Edge::At(b, why))) = (&low, &high)
        && a > b
    {
        fails = fails.or(Some(why.clone()));
        (low, high) = (None, None);
    }
    Bound { varied, planned, fails, beside, low, high }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(text: &str) -> Plan {
        PlanFile::parse("plan", text.to_owned()).expect("reads").plan
    }

    /// A target that is stated at B stays at B, whatever its value; every leg takes the tolerance that is tried.
    #[test]
    fn what_is_varied_stays_what_it_is() {
        let text = include_str!("../../plans/kestrel-gap-62m.ron");
        let mut at_b = plan(&text.replacen("standing: \"2.5 kN\", at: A", "standing: \"2.5 kN\", at: B", 1));
        let main = |p: &Plan| p.main().map(|m| m.1.parts.clone()).expect("a main line");
        let target = |p: &Plan| {
            main(p).iter().find_map(|p| match &p.length {
                PartLength::Solve(Target::Standing(n, side)) => Some((n.si(), *side)),
                _ => None,
            })
        };
        assert_eq!(target(&at_b).map(|t| t.1), Some(Side::B));
        // As planned is what the plan says at its own end, however the line slopes.
        let steep = text.replacen("standing: \"2.5 kN\", at: A", "standing: \"2.5 kN\", at: B", 1).replacen(
            "height_difference: \"3 m\"",
            "height_difference: \"20 m\"",
            1,
        );
        let file = PlanFile::parse("plan", steep).expect("reads");
        let review = Desk::open(&file).expect("a rig").review();
        assert!((review.line.standing_n[1] - 2500.0).abs() < 1.0 && review.line.standing_n[0] < 2490.0);
        assert!((Varied::Tension.planned(&file, &review) - 2500.0).abs() < 1.0);
        Varied::Tension.put(&mut at_b, 3000.0);
        assert_eq!(target(&at_b), Some((3000.0, Side::B)));
        let mut legs = plan(text);
        Varied::Length.put(&mut legs, 0.2);
        let fits: Vec<f64> = legs
            .runs
            .values()
            .flat_map(|r| &r.parts)
            .filter_map(|p| if let PartLength::Fit(t) = &p.length { t.map(Quantity::si) } else { None })
            .collect();
        assert!(fits.len() > 3 && fits.iter().all(|t| (t - 0.2).abs() < 1e-12), "{fits:?}");
    }
}
