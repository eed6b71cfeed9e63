//! The workbench as a conversation: a line is read, lines are printed. For screen readers, for terminals that can do no
//! more, and for scripts; the same state, the same table of commands, the same facts as on the screen.
//!
//! No cursor is moved, nothing is drawn over, nothing is said by colour. What a command of the workbench asks on the screen
//! is asked here in the next line.

mod asking;
mod facts;
mod words;

use std::io::{self, BufRead, Write};

use crate::app::{App, Effect, Journal, Overlay};
use crate::sheets::{CAUTION, ascii};

/// A conversation.
struct Session<W: Write> {
    app: App,
    journal: Option<Journal>,
    out: W,
    /// Messages of the workbench already printed.
    heard: usize,
    left: bool,
}

/// What a word answers, or why it cannot.
type Answer = Result<Vec<String>, String>;

/// Talks until the input ends or it is told to leave. `prompt` is printed before each line is read; `journal` keeps
/// unsaved work where a kill cannot reach it.
///
/// # Errors
/// When the output cannot be written.
pub fn run(app: App, journal: Option<Journal>, input: impl BufRead, out: impl Write, prompt: &str) -> io::Result<()> {
    let mut s = Session { app, journal, out, heard: 0, left: false };
    match s.talk(input, prompt) {
        // The reader has gone away: nothing is left to say, and nothing is lost.
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => Err(e),
        _ => Ok(()),
    }
}

impl<W: Write> Session<W> {
    fn talk(&mut self, input: impl BufRead, prompt: &str) -> io::Result<()> {
        if let Some(left) = self.journal.as_ref().and_then(Journal::left) {
            self.app.offer(left.0, left.1);
        }
        self.work();
        let mut opening = vec![self.app.file.plan.title.clone()];
        opening.extend(facts::limit(&self.app));
        opening.push(CAUTION.to_owned());
        opening.push("“help” lists the words, “quit” leaves.".to_owned());
        self.say(&opening)?;
        self.ask(true)?;
        let mut lines = input.lines();
        while !self.left {
            write!(self.out, "{prompt}")?;
            self.out.flush()?;
            let Some(line) = lines.next() else { break };
            let line = line?;
            let line = line.trim();
            let answer = if self.app.overlay.is_some() {
                self.answer(line).map(|()| Vec::new())
            } else if line.is_empty() {
                Ok(Vec::new())
            } else {
                self.word(line)
            };
            self.work();
            let taken = answer.is_ok();
            match answer {
                Ok(lines) => self.say(&lines)?,
                Err(why) => self.say(&[format!("! {why}")])?,
            }
            self.hear()?;
            self.ask(taken)?;
        }
        if !self.left && self.app.unsaved() && self.journal.is_some() {
            self.say(&["the input has ended; unsaved work is kept and offered at the next start".to_owned()])?;
        }
        self.out.flush()
    }

    /// Does what the workbench wants done outside it; reviews at once.
    fn work(&mut self) {
        for effect in self.app.take_effects() {
            match effect {
                Effect::Review(job) => job.run(|done| self.app.reviewed(done)),
                // Pictures are not for this session; what came of an incident is told in words.
                Effect::Watch(..) => self.app.watching = None,
                Effect::Edit(path, line) => {
                    let text = format!("no editor is opened from here; the place is line {line} of {}", path.display());
                    self.app.refuse(text);
                }
                Effect::Study(study) => {
                    if let Some(done) = study.run() {
                        self.app.studied(done);
                    }
                }
                Effect::Against(a) => self.app.held_against(a.run()),
                Effect::Quit => self.left = true,
                Effect::Journal(file) => {
                    if let Some(Err(e)) = self.journal.as_ref().map(|j| j.write(&file.text)) {
                        self.app.refuse(format!("unsaved work cannot be kept against a kill: {e}"));
                    }
                }
                Effect::Forget => {
                    if let Some(j) = &mut self.journal {
                        j.clear();
                        *j = Journal::of(self.app.path.as_deref());
                    }
                }
                // There is no mouse here, and the shell puts the program to sleep.
                _ => {}
            }
        }
    }

    fn say(&mut self, lines: &[String]) -> io::Result<()> {
        for l in lines {
            let l = if self.app.settings.glyphs == crate::app::Glyphs::Ascii { ascii(l) } else { l.clone() };
            writeln!(self.out, "{l}")?;
        }
        Ok(())
    }

    /// Prints what the workbench has said since.
    fn hear(&mut self) -> io::Result<()> {
        let new: Vec<String> = self.app.log.get(self.heard..).unwrap_or_default().to_vec();
        self.heard = self.app.log.len();
        let last = new.len().saturating_sub(1);
        for (i, text) in new.iter().enumerate() {
            let refused = self.app.alarm && i == last;
            self.say(&[if refused { format!("! {text}") } else { text.clone() }])?;
        }
        Ok(())
    }

    /// Prints what the workbench asks now, if it asks; asked again, without the list that may stand before the question.
    /// What only shows something is printed and closed.
    fn ask(&mut self, whole: bool) -> io::Result<()> {
        let Some(overlay) = self.app.overlay.take() else { return Ok(()) };
        let (lines, stays) = asking::lines(&self.app, &overlay);
        if stays {
            self.app.overlay = Some(overlay);
        }
        let from = if whole { 0 } else { lines.len().saturating_sub(1) };
        self.say(&lines[from..])
    }

    /// Takes a line as the answer to what is asked.
    fn answer(&mut self, line: &str) -> Result<(), String> {
        match self.app.overlay.clone() {
            Some(Overlay::Prompt(_)) => {
                asking::typed(&mut self.app, line);
                Ok(())
            }
            Some(Overlay::Picker(p)) => asking::picked(&mut self.app, &p, line),
            _ => asking::chosen(&mut self.app, line),
        }
    }

    /// Does what a word says.
    fn word(&mut self, line: &str) -> Answer {
        let (name, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
        match words::find(name) {
            Some(w) => (w.act)(&mut self.app, rest.trim()),
            None => Err(format!("“{name}” is no word here; “help” lists them")),
        }
    }
}
