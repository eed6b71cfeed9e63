//! The terminal: guard, loop, layout, panes, drawing, theme. `ratatui` and `crossterm` are named here alone.
//!
//! What the screen shows, and where it is drawn:
//!
//! ```text
//! title, verdict, what limits the rig                     draw/header.rs
//! ┌ load path ──────┐ ┌ drawing ──────────┐ ┌ piece ────┐
//! │ draw/path.rs    │ │ draw/elevation.rs │ │ fields    │
//! │                 │ │ draw/anchors.rs   │ │ and why   │
//! │                 │ ├ worst first ──────┤ │ draw/     │
//! │                 │ │ draw/worst.rs     │ │ piece.rs  │
//! └─────────────────┘ └───────────────────┘ └───────────┘
//! walker, message, keys                                   draw/footer.rs
//! ```
//!
//! On a small screen the load path keeps its place, and the other panes take turns beside it.

mod colours;
mod draw;
mod editor;
mod guard;
mod input;
mod layout;
mod theme;

use std::io::{IsTerminal as _, Write as _};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

use color_eyre::eyre::{Result, WrapErr as _};
use crossterm::event::{self, Event as TerminalEvent};
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;

pub use draw::{FromAbove, Hits, draw};
pub use input::handle;
pub use layout::{SMALLEST, Screen, Wish, screen};

use crate::app::lesson::Lesson;
use crate::app::{
    AgainstDone, App, Effect, Job, JobDone, Journal, KeyFile, Opening, Palette, Settings, StudyDone, TICK_MS, Trial,
    TrialDone, Watched,
};
use crate::plan::PlanFile;

/// Anything that can happen.
enum Event {
    Terminal(Vec<TerminalEvent>),
    Reviewed(JobDone),
    Watched(Box<Watched>),
    Tried(TrialDone),
    /// A study that was asked for.
    Studied(Box<StudyDone>),
    /// A plan that was to be held against.
    Against(Box<AgainstDone>),
    Touched,
    Signal(u8),
}

/// Opens the workbench on the plan at `path`, or on the demo; over it a lesson is played.
///
/// # Errors
/// When the terminal refuses.
pub fn run(
    path: Option<PathBuf>,
    (demo_name, demo): (&str, &str),
    lesson: Option<Lesson>,
    keys: KeyFile,
    mut settings: Settings,
    palette: Option<Palette>,
) -> Result<ExitCode> {
    let opened = match &path {
        Some(p) => PlanFile::open(p).map_err(|e| e.show(&p.display().to_string())),
        None => PlanFile::parse(demo_name, demo.to_owned()).map_err(|e| e.show(demo_name)),
    };
    let file = match opened {
        Ok(f) => f,
        Err(text) => {
            std::io::stderr().write_all(text.as_bytes())?;
            return Ok(ExitCode::from(2));
        }
    };
    if std::env::var_os("TERM").is_some_and(|t| t == "dumb") || !std::io::stdin().is_terminal() {
        std::io::stderr().write_all(
            b"this terminal cannot show the workbench:\n  spanwright plain PLAN   is the same in lines of text\n  \
                  spanwright check PLAN   prints the review\n",
        )?;
        return Ok(ExitCode::from(2));
    }
    (settings.palette, settings.few_colours) = colours::suited(palette);
    let mut app = App::new(file, path, settings);
    app.opening = Opening::OnLimit;
    app.use_keys(keys);
    if let Some(lesson) = lesson
        && let Err(why) = app.play_lesson(lesson)
    {
        app.refuse(why);
    }
    let guard = guard::Guard::enter(app.settings.mouse)?;
    let result = session(&mut app);
    drop(guard);
    result.map(ExitCode::from)
}

fn session(app: &mut App) -> Result<u8> {
    let mut terminal = opened()?;
    let (sender, events) = channel();
    let jobs = behind(sender.clone(), |job: &Job, tell| {
        job.run_after(|| panic_if_asked("review"), |done| tell(Event::Reviewed(done)));
    });
    let trials = behind(sender.clone(), |trial: &Trial, tell| tell(Event::Tried(trial.run())));
    let more = read_input(sender.clone());
    // Whether the input waits to be asked for more.
    let mut owed = false;
    let watched = Arc::new(Mutex::new(app.path.clone()));
    watch(sender.clone(), watched.clone());
    let mut journal = Journal::of(app.path.as_deref());
    if let Some((left, ago)) = journal.left() {
        app.offer(left, ago);
    } else if app.path.is_none() && app.log.is_empty() && Journal::first_time() {
        app.welcome();
    }
    read_signals(sender.clone())?;
    let mut hits = Hits::default();
    panic_if_asked("screen");
    loop {
        for effect in app.take_effects() {
            match effect {
                Effect::Review(job) => {
                    // The worker lives as long as its channel; without it the review stays marked as not done.
                    let _ = jobs.send(job);
                }
                Effect::Watch(job, event) => {
                    let sender = sender.clone();
                    thread::spawn(move || {
                        let watched = Watched { number: job.number, result: job.watch(&event), event: *event };
                        // Nobody waits for it when the session has ended.
                        let _ = sender.send(Event::Watched(Box::new(watched)));
                    });
                }
                Effect::Try(trial) => {
                    // As above: without its worker a trial stays marked as not done.
                    let _ = trials.send(trial);
                }
                Effect::Study(study) => {
                    let sender = sender.clone();
                    thread::spawn(move || {
                        if let Some(done) = study.run() {
                            // Nobody waits for it when the session has ended.
                            let _ = sender.send(Event::Studied(Box::new(done)));
                        }
                    });
                }
                Effect::Against(against) => {
                    let sender = sender.clone();
                    thread::spawn(move || {
                        // Nobody waits for it when the session has ended.
                        let _ = sender.send(Event::Against(Box::new(against.run())));
                    });
                }
                Effect::Quit => return Ok(0),
                Effect::Journal(file) => {
                    if let Err(e) = journal.write(&file.text) {
                        app.refuse(format!("unsaved work cannot be kept against a kill: {e}"));
                    }
                }
                Effect::Forget => {
                    journal.clear();
                    // A plan saved under a new name has a journal of its own from here.
                    journal = Journal::of(app.path.as_deref());
                    if let Ok(mut path) = watched.lock() {
                        path.clone_from(&app.path);
                    }
                }
                Effect::Mouse(on) => guard::mouse(on)?,
                Effect::Edit(path, line) => {
                    let ended = guard::lend(app.settings.mouse, || editor::open(&path, line))?;
                    terminal = opened()?;
                    app.edited(ended);
                }
                Effect::Suspend => {
                    guard::suspend(app.settings.mouse)?;
                    terminal = opened()?;
                    app.dirty = true;
                }
            }
        }
        if app.dirty {
            app.dirty = false;
            terminal.draw(|frame| hits = draw(frame, app)).wrap_err("drawing")?;
        }
        if std::mem::take(&mut owed) {
            // Its thread lives as long as the terminal; without it signals still end the session.
            let _ = more.send(());
        }
        // The clock runs only while an incident does.
        let mut event = if app.playing() {
            match events.recv_timeout(Duration::from_millis(TICK_MS)) {
                Ok(e) => Some(e),
                Err(RecvTimeoutError::Timeout) => {
                    app.tick();
                    None
                }
                Err(RecvTimeoutError::Disconnected) => return Ok(0),
            }
        } else {
            let Ok(first) = events.recv() else { return Ok(0) };
            Some(first)
        };
        // Take all that has come in before drawing again.
        while let Some(e) = event {
            match e {
                Event::Terminal(batch) => {
                    owed = true;
                    for e in &batch {
                        input::handle(app, &hits, e);
                    }
                }
                Event::Reviewed(done) => app.reviewed(done),
                Event::Watched(done) => app.watched(*done),
                Event::Tried(done) => app.tried(done),
                Event::Studied(done) => app.studied(*done),
                Event::Against(done) => app.held_against(*done),
                Event::Touched => app.touched(),
                Event::Signal(code) => return Ok(code),
            }
            event = events.try_recv().ok();
        }
    }
}

/// A terminal of which nothing is known yet, so that the first frame paints all of it. Taken anew after it was lent:
/// clearing the old one would ask the terminal where its cursor is, and not every terminal answers.
fn opened() -> Result<Terminal<CrosstermBackend<std::io::Stdout>>> {
    Terminal::new(CrosstermBackend::new(std::io::stdout())).wrap_err("opening the terminal")
}

/// For the tests of what a panic leaves behind; not in released builds.
fn panic_if_asked(place: &str) {
    let asked = cfg!(debug_assertions) && std::env::var_os("SPANWRIGHT_PANIC").is_some_and(|v| v == place);
    assert!(!asked, "asked to panic");
}

/// Works behind the screen, always on the newest request.
fn behind<T: Send + 'static>(sender: Sender<Event>, work: fn(&T, &mut dyn FnMut(Event))) -> Sender<T> {
    let (requests, inbox) = channel::<T>();
    thread::spawn(move || {
        while let Ok(mut request) = inbox.recv() {
            while let Ok(newer) = inbox.try_recv() {
                request = newer;
            }
            let mut heard = true;
            work(&request, &mut |told| heard &= sender.send(told).is_ok());
            if !heard {
                return;
            }
        }
    });
    requests
}

/// Notices that the plan's file was written by another program: one look a second at its time and size.
fn watch(sender: Sender<Event>, path: Arc<Mutex<Option<PathBuf>>>) {
    thread::spawn(move || {
        let state = || {
            let path = path.lock().ok()?.clone()?;
            let meta = std::fs::metadata(&path).ok();
            Some((path, meta.map(|m| (m.modified().ok(), m.len()))))
        };
        let mut last = state();
        loop {
            thread::sleep(Duration::from_secs(1));
            let now = state();
            let same_file = matches!((&now, &last), (Some(a), Some(b)) if a.0 == b.0);
            if same_file && now != last && sender.send(Event::Touched).is_err() {
                return;
            }
            last = now;
        }
    });
}

/// Most events that are handed over at once.
const BATCH: usize = 256;

/// Reads what the terminal sends, and after each batch waits to be asked for more: while the terminal is lent to an
/// editor, nothing may be read from it here.
fn read_input(sender: Sender<Event>) -> Sender<()> {
    let (more, asked) = channel();
    thread::spawn(move || {
        while let Ok(first) = event::read() {
            let mut batch = vec![first];
            while batch.len() < BATCH && event::poll(Duration::ZERO).unwrap_or(false) {
                match event::read() {
                    Ok(e) => batch.push(e),
                    Err(_) => break,
                }
            }
            if sender.send(Event::Terminal(batch)).is_err() || asked.recv().is_err() {
                return;
            }
        }
    });
    more
}

/// A signal that would end the program ends it tidily. An interrupt typed into an editor is not for us.
#[cfg(unix)]
fn read_signals(sender: Sender<Event>) -> Result<()> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    let mut signals =
        signal_hook::iterator::Signals::new([SIGTERM, SIGHUP, SIGINT]).wrap_err("watching for signals")?;
    thread::spawn(move || {
        for signal in signals.forever() {
            if signal == SIGINT && guard::is_lent() {
                continue;
            }
            if sender.send(Event::Signal(if signal == SIGINT { 130 } else { 143 })).is_err() {
                return;
            }
        }
    });
    Ok(())
}

#[cfg(not(unix))]
fn read_signals(_: Sender<Event>) -> Result<()> {
    Ok(())
}
