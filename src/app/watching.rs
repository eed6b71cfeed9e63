//! An incident being watched: its pictures one after the other, by hand or playing.

use super::jobs::Job;
use super::short;
use super::state::{App, Choice, Effect, Overlay, Picker, PickerUse};
use crate::document::Diagnostic;
use crate::review::{Event, Frame, Held, Incident};
use crate::sheets::outcome;

/// An incident on screen.
#[derive(Debug, Clone)]
pub struct Watching {
    /// What happens.
    pub event: Event,
    /// Its pictures, in order of time; empty while it is being played.
    pub frames: Vec<Frame>,
    /// What came of it.
    pub incident: Option<Incident>,
    /// The picture in view.
    pub at: usize,
    /// Whether it runs on by itself.
    pub playing: bool,
    /// Number of the review it belongs to.
    pub number: u64,
}

/// An incident played for the screen.
#[derive(Debug)]
pub struct Watched {
    /// Number of the review it belongs to.
    pub number: u64,
    /// What happens.
    pub event: Event,
    /// What came of it.
    pub result: Result<(Incident, Vec<Frame>), Vec<Diagnostic>>,
}

/// Pictures that the playing motion moves on at each tick.
const A_TICK: usize = 2;
/// Time between two ticks, ms: as long as the pictures of a tick are apart, so that it plays as fast as it happened.
pub const TICK_MS: u64 = 40;

/// How an incident ranks by its trouble, and its sign: somebody is dropped, swings or hits; a piece breaks; what was not
/// worked out; the rest; and where nothing stirs.
fn trouble(i: &Incident, clear_m: Option<f64>) -> (usize, char) {
    let lost = matches!(i.held, Some(Held::Dropped | Held::Only(_)));
    match () {
        () if lost || clear_m.is_some_and(|c| c < 0.0) && !i.idle => (0, '■'),
        () if i.breaks.is_some() => (1, '✗'),
        () if i.fault.is_some() => (1, '∅'),
        () if i.idle => (4, ' '),
        () => (3, ' '),
    }
}

impl App {
    /// Lists the incidents to pick one from.
    pub(super) fn choose_incident(&mut self) {
        let Some(review) = &self.review else { return };
        let system = self.settings.system;
        let line_m = self.line_m();
        let mut rows: Vec<(usize, f64, Choice)> = review
            .incidents
            .iter()
            .map(|i| {
                let height = |m: f64| short::metres(m, system);
                let clear = self.file.plan.site.ground_at(i.feet_m[1]).map(|g| i.feet_m[0] - g);
                let (rank, sign) = trouble(i, clear);
                let force = |n: f64| if n > 0.0 { short::force(n, system) } else { "–".to_owned() };
                let line = i.peaks.line_n[0].max(i.peaks.line_n[1]);
                let backup = i.peaks.backup_n.iter().copied().fold(0.0, f64::max);
                let moves = !i.peaks.run_n.is_empty();
                let beside = if moves {
                    vec![
                        height(i.drop_m),
                        clear.map_or_else(|| "?".to_owned(), height),
                        force(i.peaks.body_n),
                        force(line),
                        force(backup),
                    ]
                } else {
                    vec![String::new(); 5]
                };
                let name = format!("{sign} {}", short::when(&i.event.situation, line_m, system));
                let words = if moves && rank > 1 { String::new() } else { outcome(&self.file, review, i, system) };
                (rank, clear.unwrap_or(0.0), Choice { name, value: i.event.words(), beside, words })
            })
            .collect();
        rows.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let played = format!("Falls and failures, {} played", rows.len());
        let rows = rows.into_iter().map(|r| r.2).collect();
        let mut picker = Picker::new(PickerUse::Incident, played, rows, 0);
        picker.heads = &["down m", "feet to ground m", "body kN", "main kN", "backup kN"];
        if system == crate::units::System::Us {
            picker.heads = &["down ft", "feet to ground ft", "body lbf", "main lbf", "backup lbf"];
        }
        self.overlay = Some(Overlay::Picker(picker));
        self.dirty = true;
    }

    /// Has an incident of the shown review played with pictures.
    ///
    /// # Errors
    /// When the review has none of that name.
    pub(super) fn watch(&mut self, id: &str) -> Result<(), String> {
        let found = self.review.as_ref().and_then(|r| r.incidents.iter().find(|i| i.event.words() == id));
        let Some(event) = found.map(|i| i.event.clone()) else {
            return Err(format!("there is no incident “{id}”"));
        };
        let number = self.wanted;
        let job = Job { number, file: self.file.clone(), stop: self.stop.clone() };
        self.watching =
            Some(Watching { event: event.clone(), frames: Vec::new(), incident: None, at: 0, playing: false, number });
        self.pane = super::state::Pane::Drawing;
        self.effects.push(Effect::Watch(job, Box::new(event)));
        Ok(())
    }

    /// Takes the pictures of an incident, unless another one is wanted by now.
    pub fn watched(&mut self, done: Watched) {
        let Some(w) =
            self.watching.as_mut().filter(|w| w.number == done.number && w.event.situation == done.event.situation)
        else {
            return;
        };
        match done.result {
            Ok((incident, frames)) => {
                w.playing = frames.len() > 1;
                (w.incident, w.frames, w.at) = (Some(incident), frames, 0);
                if w.frames.is_empty() {
                    self.watching = None;
                    self.say("nothing moves in it");
                }
            }
            Err(faults) => {
                let why = faults.first().map_or_else(String::new, |f| f.message.clone());
                self.watching = None;
                self.refuse(why);
            }
        }
        self.dirty = true;
    }

    /// Moves the time of the watched incident by pictures; whether there is one.
    pub(super) fn move_time(&mut self, by: isize) -> bool {
        let Some(w) = &mut self.watching else { return false };
        w.playing = false;
        w.at = w.at.saturating_add_signed(by).min(w.frames.len().saturating_sub(1));
        self.dirty = true;
        true
    }

    /// Runs or holds the watched incident; from its end it begins again.
    pub(super) fn play_or_hold(&mut self) {
        if let Some(w) = &mut self.watching {
            if w.at + 1 >= w.frames.len() {
                w.at = 0;
            }
            w.playing = !w.playing && w.frames.len() > 1;
            self.dirty = true;
        }
    }

    /// Leaves the watched incident.
    pub(super) fn stop_watching(&mut self) {
        self.watching = None;
        self.dirty = true;
    }

    /// Whether time runs on the screen.
    #[must_use]
    pub fn playing(&self) -> bool {
        self.watching.as_ref().is_some_and(|w| w.playing)
    }

    /// One tick of the screen's clock.
    pub fn tick(&mut self) {
        if let Some(w) = self.watching.as_mut().filter(|w| w.playing) {
            w.at = (w.at + A_TICK).min(w.frames.len().saturating_sub(1));
            w.playing = w.at + 1 < w.frames.len();
            self.dirty = true;
        }
    }
}
