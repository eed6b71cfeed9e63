//! Takes the terminal and gives it back, on every way out.

use std::io::{self, Write as _};
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};

use color_eyre::eyre::Result;
use crossterm::cursor::{Hide, Show};
use crossterm::event::{DisableBracketedPaste, DisableMouseCapture, EnableBracketedPaste, EnableMouseCapture};
use crossterm::execute;
use crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode};

static TAKEN: AtomicBool = AtomicBool::new(false);
static HOOK: Once = Once::new();

/// Holds the terminal until dropped.
#[derive(Debug)]
pub(super) struct Guard(());

impl Guard {
    /// Takes the terminal.
    pub(super) fn enter(mouse_on: bool) -> Result<Self> {
        HOOK.call_once(|| {
            let before = std::panic::take_hook();
            std::panic::set_hook(Box::new(move |info| {
                // A panic of a worker is caught and shown; only the screen's own thread gives the terminal back.
                if std::thread::current().name() == Some("main") {
                    leave();
                    before(info);
                }
            }));
        });
        take(mouse_on)?;
        Ok(Self(()))
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        leave();
    }
}

fn take(mouse_on: bool) -> Result<()> {
    enable_raw_mode()?;
    TAKEN.store(true, Ordering::SeqCst);
    execute!(io::stdout(), EnterAlternateScreen, EnableBracketedPaste, Hide)?;
    mouse(mouse_on)
}

/// Takes the mouse, or leaves it to the terminal.
pub(super) fn mouse(on: bool) -> Result<()> {
    if on {
        execute!(io::stdout(), EnableMouseCapture)?;
    } else {
        execute!(io::stdout(), DisableMouseCapture)?;
    }
    Ok(())
}

/// Gives the terminal back; once, however often it is called.
fn leave() {
    if TAKEN.swap(false, Ordering::SeqCst) {
        // Nothing more can be done for a terminal that does not listen.
        let _ = execute!(io::stdout(), DisableMouseCapture, DisableBracketedPaste, LeaveAlternateScreen, Show);
        let _ = disable_raw_mode();
        let _ = io::stdout().flush();
    }
}

/// Whether the terminal is lent to another program.
static LENT: AtomicBool = AtomicBool::new(false);

/// Whether it is: what is typed there, an interrupt too, is not meant for us.
pub(super) fn is_lent() -> bool {
    LENT.load(Ordering::SeqCst)
}

/// Lends the terminal to another program while `work` runs, and takes it again.
pub(super) fn lend<T>(mouse_on: bool, work: impl FnOnce() -> T) -> Result<T> {
    leave();
    LENT.store(true, Ordering::SeqCst);
    let result = work();
    // An interrupt that ended the other program is on its way to us too; it is still not for us.
    std::thread::sleep(std::time::Duration::from_millis(200));
    LENT.store(false, Ordering::SeqCst);
    take(mouse_on)?;
    Ok(result)
}

/// Puts the program to sleep, and takes the terminal again when it wakes.
#[cfg(unix)]
pub(super) fn suspend(mouse_on: bool) -> Result<()> {
    leave();
    signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP)?;
    take(mouse_on)
}

#[cfg(not(unix))]
pub(super) fn suspend(_: bool) -> Result<()> {
    Ok(())
}
