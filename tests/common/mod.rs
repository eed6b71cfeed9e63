//! A session of the workbench without a terminal: keys in, screen out.
#![allow(dead_code)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crossterm::event::{Event, KeyModifiers, MouseEvent, MouseEventKind};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::style::Color;
use spanwright::app::{App, Effect, Key, Pane, Press, Selected, Settings, Trial};
use spanwright::cli::{DEMO, DEMO_NAME};
use spanwright::plan::PlanFile;
use spanwright::tui::{Hits, handle};

/// The smallest plan that is a rig, for tests of what lies around a review: two trees, 50 m, a second to review.
pub(crate) const SMALL: &str = include_str!("../fixtures/two-trees-50m.ron");

/// Its switches are each a thing that a story turns on.
#[allow(clippy::struct_excessive_bools)]
pub(crate) struct Session {
    pub app: App,
    terminal: Terminal<TestBackend>,
    /// Where things were drawn last.
    pub hits: Hits,
    /// Whether the program was left.
    pub left: bool,
    /// Whether each change is reviewed before the next key.
    pub review_each: bool,
    /// Whether reviews include falls and failures.
    pub whole: bool,
    /// Whether studies of seconds are made before the next key.
    pub study_each: bool,
    /// Trials asked for and not yet worked on.
    pub trials: Vec<Trial>,
    /// Files and lines that an editor was asked for.
    pub edits: Vec<(PathBuf, usize)>,
}

impl Session {
    pub(crate) fn demo(width: u16, height: u16) -> Self {
        let file = PlanFile::parse(DEMO_NAME, DEMO.to_owned()).expect("the demo reads");
        let mut s = Self::new(App::new(file, None, Settings::default()), width, height);
        s.play();
        s
    }

    /// Plays falls and failures of the plan as it is.
    pub(crate) fn play(&mut self) {
        self.job().run(|done| self.app.reviewed(done));
    }

    fn job(&self) -> spanwright::app::Job {
        let (number, file) = (self.app.wanted, self.app.file.clone());
        spanwright::app::Job { number, file, stop: std::sync::Arc::default() }
    }

    pub(crate) fn text(text: &str, width: u16, height: u16) -> Self {
        let file = PlanFile::parse("test.ron", text.to_owned()).expect("reads");
        Self::new(App::new(file, None, Settings::default()), width, height)
    }

    pub(crate) fn open(path: &Path, width: u16, height: u16) -> Self {
        let file = PlanFile::open(path).expect("reads");
        Self::new(App::new(file, Some(path.to_owned()), Settings::default()), width, height)
    }

    /// Opens a plan and does not review it.
    pub(crate) fn idle(path: &Path, width: u16, height: u16) -> Self {
        let file = PlanFile::open(path).expect("reads");
        let app = App::new(file, Some(path.to_owned()), Settings::default());
        Self { review_each: false, ..Self::unworked(app, width, height) }
    }

    pub(crate) fn new(app: App, width: u16, height: u16) -> Self {
        let mut s = Self::unworked(app, width, height);
        s.work();
        s
    }

    fn unworked(app: App, width: u16, height: u16) -> Self {
        let terminal = Terminal::new(TestBackend::new(width, height)).expect("a terminal");
        Self {
            app,
            terminal,
            hits: Hits::default(),
            left: false,
            review_each: true,
            whole: false,
            study_each: false,
            trials: Vec::new(),
            edits: Vec::new(),
        }
    }

    fn work(&mut self) {
        for effect in self.app.take_effects() {
            match effect {
                Effect::Review(job) if self.review_each && self.whole => job.run(|done| self.app.reviewed(done)),
                Effect::Review(job) if self.review_each => self.app.reviewed(job.at_rest()),
                Effect::Watch(job, event) => {
                    let result = job.watch(&event);
                    self.app.watched(spanwright::app::Watched { number: job.number, event: *event, result });
                }
                Effect::Try(trial) => self.trials.push(trial),
                Effect::Study(study) if self.study_each => {
                    if let Some(done) = study.run() {
                        self.app.studied(done);
                    }
                }
                Effect::Edit(path, line) => self.edits.push((path, line)),
                Effect::Against(a) => self.app.held_against(a.run()),
                Effect::Quit => self.left = true,
                _ => {}
            }
        }
    }

    /// Works on the oldest trial that was asked for; its name.
    pub(crate) fn try_one(&mut self) -> Option<String> {
        let trial = (!self.trials.is_empty()).then(|| self.trials.remove(0))?;
        self.app.tried(trial.run());
        self.work();
        Some(trial.name().to_owned())
    }

    /// The mouse does something at a cell of the screen as it was drawn last.
    pub(crate) fn mouse(&mut self, kind: MouseEventKind, at: (u16, u16)) {
        let event = MouseEvent { kind, column: at.0, row: at.1, modifiers: KeyModifiers::NONE };
        self.event(&Event::Mouse(event));
    }

    /// Hands over what a terminal may send.
    pub(crate) fn event(&mut self, event: &Event) {
        handle(&mut self.app, &self.hits, event);
        self.work();
    }

    /// Presses one key.
    pub(crate) fn press(&mut self, key: Press) {
        self.app.press(key);
        self.work();
    }

    /// Presses keys, parted by blanks.
    pub(crate) fn keys(&mut self, keys: &str) {
        for k in keys.split(' ') {
            match Press::parse(k) {
                Some(p) => self.app.press(p),
                // A word is typed letter by letter.
                None => self.type_text(k),
            }
            self.work();
        }
    }

    pub(crate) fn type_text(&mut self, text: &str) {
        for c in text.chars() {
            self.app.press(Press::plain(Key::Char(c)));
        }
        self.work();
    }

    pub(crate) fn select_part(&mut self, run: &str, part: usize) {
        self.app.select(Selected::Part(run.to_owned(), part));
        self.app.pane = Pane::Piece;
    }

    pub(crate) fn select_run(&mut self, run: &str) {
        self.app.select(Selected::Run(run.to_owned()));
        self.app.pane = Pane::Path;
    }

    pub(crate) fn select_point(&mut self, point: &str) {
        self.app.select(Selected::Point(point.to_owned()));
        self.app.pane = Pane::Path;
    }

    /// Moves to the field of this name.
    pub(crate) fn field(&mut self, name: &str) {
        self.app.pane = Pane::Piece;
        self.app.form_at =
            self.app.form.iter().position(|f| f.name == name).unwrap_or_else(|| panic!("no field {name}"));
    }

    pub(crate) fn resize(&mut self, width: u16, height: u16) {
        self.terminal.backend_mut().resize(width, height);
    }

    /// Draws, and reads the screen line by line.
    pub(crate) fn screen(&mut self) -> String {
        let (app, hits) = (&self.app, &mut self.hits);
        self.terminal.draw(|f| *hits = spanwright::tui::draw(f, app)).expect("drawn");
        let buffer = self.terminal.backend().buffer();
        let width = usize::from(buffer.area.width).max(1);
        buffer
            .content()
            .chunks(width)
            .map(|row| row.iter().map(ratatui::buffer::Cell::symbol).collect::<String>().trim_end().to_owned())
            .collect::<Vec<_>>()
            .join("\n")
    }

    /// The screen with what is reversed in brackets: all that a terminal without colour shows beside the text.
    pub(crate) fn marked(&mut self) -> String {
        use ratatui::style::Modifier;
        self.screen();
        let buffer = self.terminal.backend().buffer();
        let width = usize::from(buffer.area.width).max(1);
        let row = |cells: &[ratatui::buffer::Cell]| {
            let mut out = String::new();
            let mut on = false;
            for c in cells {
                if c.modifier.contains(Modifier::REVERSED) != on {
                    on = !on;
                    out.push(if on { '⟦' } else { '⟧' });
                }
                out.push_str(c.symbol());
            }
            if on {
                out.push('⟧');
            }
            out.trim_end().to_owned()
        };
        buffer.content().chunks(width).map(row).collect::<Vec<_>>().join("\n")
    }

    /// The finished jobs are taken in now.
    pub(crate) fn catch_up(&mut self) {
        self.review_each = true;
        self.play();
    }

    /// What was drawn last.
    pub(crate) fn buffer(&self) -> &ratatui::buffer::Buffer {
        self.terminal.backend().buffer()
    }

    /// Colours on screen, the terminal's own aside.
    pub(crate) fn colours(&mut self) -> BTreeSet<String> {
        self.screen();
        let of = |c: Color| (c != Color::Reset).then(|| format!("{c:?}"));
        self.terminal.backend().buffer().content().iter().flat_map(|c| [of(c.fg), of(c.bg)]).flatten().collect()
    }
}
