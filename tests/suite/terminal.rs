//! The real program in a pseudo-terminal: it starts, edits, saves, bears resizing, and gives the terminal back.

use std::io::{Read as _, Write as _};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

struct Terminal {
    master: Box<dyn MasterPty + Send>,
    child: Box<dyn Child + Send + Sync>,
    writer: Box<dyn std::io::Write + Send>,
    output: Receiver<Vec<u8>>,
    screen: vt100::Parser,
    raw: Vec<u8>,
    _state: tempfile::TempDir,
}

const PATIENCE: Duration = Duration::from_secs(20);

impl Terminal {
    fn start(args: &[&str], env: &[(&str, &str)]) -> Self {
        let size = PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 };
        let pty = native_pty_system().openpty(size).expect("a pseudo-terminal");
        // Each session has a state folder of its own, unless the test brings one.
        let state = tempfile::tempdir().expect("folder");
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_spanwright"));
        command.env("XDG_STATE_HOME", state.path());
        command.args(args);
        command.env("TERM", "xterm-256color");
        for (k, v) in env {
            command.env(k, v);
        }
        let child = pty.slave.spawn_command(command).expect("started");
        drop(pty.slave);
        let mut reader = pty.master.try_clone_reader().expect("reader");
        let writer = pty.master.take_writer().expect("writer");
        let (sender, output) = channel();
        std::thread::spawn(move || {
            let mut buffer = [0; 8192];
            while let Ok(n) = reader.read(&mut buffer) {
                if n == 0 || sender.send(buffer[..n].to_vec()).is_err() {
                    return;
                }
            }
        });
        let screen = vt100::Parser::new(24, 80, 0);
        Self { master: pty.master, child, writer, output, screen, raw: Vec::new(), _state: state }
    }

    fn take(&mut self, wait: Duration) -> bool {
        match self.output.recv_timeout(wait) {
            Ok(bytes) => {
                self.screen.process(&bytes);
                self.raw.extend(bytes);
                true
            }
            Err(_) => false,
        }
    }

    fn wait_for(&mut self, text: &str) {
        let until = Instant::now() + PATIENCE;
        while !self.screen.screen().contents().contains(text) {
            assert!(Instant::now() < until, "no “{text}” on:\n{}", self.screen.screen().contents());
            self.take(Duration::from_millis(100));
        }
    }

    fn wait_for_no(&mut self, text: &str) {
        let until = Instant::now() + PATIENCE;
        while self.screen.screen().contents().contains(text) {
            assert!(Instant::now() < until, "still “{text}” on:\n{}", self.screen.screen().contents());
            self.take(Duration::from_millis(100));
        }
    }

    fn send(&mut self, keys: &str) {
        self.writer.write_all(keys.as_bytes()).expect("typed");
        self.writer.flush().expect("typed");
    }

    fn resize(&mut self, cols: u16, rows: u16) {
        self.master.resize(PtySize { rows, cols, pixel_width: 0, pixel_height: 0 }).expect("resized");
        // What was drawn for the old size still arrives: the terminal of these tests cannot wrap it in one row or column.
        self.screen.screen_mut().set_size(rows.max(2), cols.max(2));
    }

    /// Waits for the end; the exit code, and that the terminal was given back.
    fn end(&mut self) -> u32 {
        let until = Instant::now() + PATIENCE;
        let code = loop {
            if let Some(status) = self.child.try_wait().expect("asked") {
                break status.exit_code();
            }
            assert!(Instant::now() < until, "still running:\n{}", self.screen.screen().contents());
            self.take(Duration::from_millis(50));
        };
        while self.take(Duration::from_millis(200)) {}
        code
    }

    fn given_back(&self) {
        let raw = String::from_utf8_lossy(&self.raw);
        let after = |what: &str, then: &str| raw.rfind(what).is_some_and(|i| raw.rfind(then).is_none_or(|j| j < i));
        assert!(after("\x1b[?1049l", "\x1b[?1049h"), "the other screen was not left");
        assert!(after("\x1b[?25h", "\x1b[?25l"), "the cursor stays hidden");
        assert!(after("\x1b[?2004l", "\x1b[?2004h"), "bracketed paste stays on");
        assert!(after("\x1b[?1000l", "\x1b[?1000h"), "the mouse stays taken");
    }
}

#[test]
fn starts_on_the_demo_and_leaves() {
    let mut t = Terminal::start(&[], &[]);
    t.wait_for("3.9 of 5.0");
    t.wait_for("planning aid");
    t.send("q");
    assert_eq!(t.end(), 0);
    t.given_back();
}

#[test]
fn edits_and_saves_a_plan() {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("mine.ron");
    std::fs::write(&path, spanwright::cli::DEMO).expect("written");
    let mut t = Terminal::start(&[path.to_str().expect("utf-8")], &[]);
    t.wait_for("of 5.0");
    // Down to the site's span: the piece pane, first field.
    t.send("g\r");
    t.wait_for("Site");
    t.send("\r\x15");
    t.send("\x1b[200~63 m\x1b[201~\r");
    t.wait_for("unsaved");
    t.send("s");
    t.wait_for("saved ");
    t.send("q");
    assert_eq!(t.end(), 0);
    let saved = std::fs::read_to_string(&path).expect("saved");
    assert_eq!(saved, spanwright::cli::DEMO.replace("span: \"62 m\"", "span: \"63 m\""));
}

#[test]
fn bears_being_resized() {
    let mut t = Terminal::start(&[], &[]);
    t.wait_for("of 5.0");
    for (cols, rows) in [(200, 50), (1, 1), (80, 24), (79, 24), (250, 80), (20, 5), (120, 40)] {
        t.resize(cols, rows);
        t.send("\x1b[C");
        while t.take(Duration::from_millis(150)) {}
    }
    t.wait_for("Worst first");
    t.resize(60, 20);
    t.wait_for("path  gap  piece  worst");
    t.resize(38, 10);
    t.wait_for("work is kept");
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn a_signal_gives_the_terminal_back() {
    for signal in ["-TERM", "-HUP"] {
        let mut t = Terminal::start(&[], &[]);
        t.wait_for("of 5.0");
        let pid = t.child.process_id().expect("running").to_string();
        std::process::Command::new("kill").args([signal, &pid]).status().expect("kill");
        assert_eq!(t.end(), 143);
        t.given_back();
    }
}

/// A kill loses nothing: the next session offers the work.
#[test]
fn work_survives_a_kill() {
    let state = tempfile::tempdir().expect("folder");
    let env = [("XDG_STATE_HOME", state.path().to_str().expect("utf-8"))];
    let mut t = Terminal::start(&[], &env);
    t.wait_for("of 5.0");
    t.send("g\r\r\x1563 m\r");
    t.wait_for("unsaved");
    t.take(Duration::from_millis(300));
    t.child.kill().expect("killed");
    t.end();
    let mut t = Terminal::start(&[], &env);
    t.wait_for("did not end tidily");
    t.send("r");
    t.wait_for("recovered");
    t.send("qq");
    assert_eq!(t.end(), 0);
    let mut t = Terminal::start(&[], &env);
    t.wait_for("of 5.0");
    assert!(!t.screen.screen().contents().contains("did not end tidily"), "given up, so forgotten");
    t.send("q");
    t.end();
}

/// Saving in another program shows here within a moment.
#[test]
fn a_change_by_another_program_is_read() {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("mine.ron");
    std::fs::write(&path, spanwright::cli::DEMO).expect("written");
    let mut t = Terminal::start(&[path.to_str().expect("utf-8")], &[]);
    t.wait_for("of 5.0");
    std::fs::write(&path, spanwright::cli::DEMO.replace("Kestrel Gap", "Kestrel Gap again")).expect("written");
    t.wait_for("Kestrel Gap again");
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn a_panic_gives_the_terminal_back() {
    if !cfg!(debug_assertions) {
        return;
    }
    let mut t = Terminal::start(&[], &[("SPANWRIGHT_PANIC", "screen")]);
    assert_eq!(t.end(), 101);
    t.given_back();
    assert!(String::from_utf8_lossy(&t.raw).contains("asked to panic"), "the message is readable");
}

#[test]
fn a_panic_behind_the_screen_is_said_on_it() {
    if !cfg!(debug_assertions) {
        return;
    }
    let mut t = Terminal::start(&[], &[("SPANWRIGHT_PANIC", "review")]);
    t.wait_for("the review failed inside the program");
    while t.take(Duration::from_millis(200)) {}
    let screen = t.screen.screen().contents();
    assert!(screen.contains("Load path") && screen.contains("c situation"), "{screen}");
    assert!(!String::from_utf8_lossy(&t.raw).contains("asked to panic"), "nothing is written over the screen");
    // It goes on working, and says so again.
    t.send("\x1b[C\x1b[C");
    t.wait_for("80 kg, 32 m");
    t.send("q");
    assert_eq!(t.end(), 0);
    t.given_back();
}

/// Any sizes in any order while keys come in: it lives, and shows the whole screen in the end.
#[test]
fn bears_a_storm_of_sizes() {
    let mut t = Terminal::start(&[], &[]);
    t.wait_for("of 5.0");
    let keys = ["j", "\t", "\x1b[C", "w", "?", "\x1b", ":", "\x1b", "c", "k", "m", "\x1b", "/a\r", "z", "."];
    let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
    let mut next = |n: u64| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        (seed % n) as u16
    };
    for _ in 0..400 {
        let (cols, rows) = (1 + next(250), 1 + next(80));
        t.master.resize(PtySize { rows, cols, pixel_width: 0, pixel_height: 0 }).expect("resized");
        t.send(keys[usize::from(next(keys.len() as u64))]);
        // What is drawn on the way is not read: a terminal that is late takes it for another size.
        let _ = t.output.recv_timeout(Duration::from_millis(8));
    }
    while t.output.recv_timeout(Duration::from_millis(300)).is_ok() {}
    assert!(t.child.try_wait().expect("asked").is_none(), "it is still there");
    t.resize(120, 40);
    t.send("\x1b\x1b\x1b");
    t.wait_for("Worst first");
    t.wait_for("planning aid");
    t.child.kill().expect("ended");
}

#[test]
fn sleeps_and_wakes() {
    let mut t = Terminal::start(&[], &[]);
    t.wait_for("of 5.0");
    let pid = t.child.process_id().expect("running").to_string();
    let state = || {
        let out = std::process::Command::new("ps").args(["-o", "state=", "-p", &pid]).output().expect("ps");
        String::from_utf8_lossy(&out.stdout).trim().to_owned()
    };
    t.send("\x1a");
    let until = Instant::now() + PATIENCE;
    while !state().starts_with('T') {
        assert!(Instant::now() < until, "not asleep but {}", state());
        t.take(Duration::from_millis(50));
    }
    while t.take(Duration::from_millis(100)) {}
    t.given_back();
    assert!(!t.screen.screen().contents().contains("of 5.0"), "the shell's own screen");
    std::process::Command::new("kill").args(["-CONT", &pid]).status().expect("kill");
    t.wait_for("of 5.0");
    t.wait_for("planning aid");
    t.send("\x1b[C\x1b[C");
    t.wait_for("80 kg, 32 m");
    t.send("q");
    assert_eq!(t.end(), 0);
    t.given_back();
}

/// An editor made of a few lines of shell.
fn editor(dir: &std::path::Path, script: &str) -> String {
    use std::os::unix::fs::PermissionsExt as _;
    let path = dir.join("editor");
    std::fs::write(&path, format!("#!/bin/sh\n{script}\n")).expect("written");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o755)).expect("made a program");
    path.to_str().expect("utf-8").to_owned()
}

#[test]
fn an_editor_gets_the_terminal_and_gives_it_back() {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("mine.ron");
    std::fs::write(&path, spanwright::cli::DEMO).expect("written");
    let script = "echo \"editing $1 $2\"; read words; echo \"$1 $words\" > \"$2.log\"; sed -i 's/Kestrel Gap/Merlin Gap/' \"$2\"";
    let program = editor(dir.path(), script);
    let mut t = Terminal::start(&[path.to_str().expect("utf-8")], &[("VISUAL", ""), ("EDITOR", &program)]);
    t.wait_for("of 5.0");
    t.send("e");
    t.wait_for("editing +");
    assert!(!t.screen.screen().contents().contains("c situation"), "the terminal is the editor's");
    t.given_back();
    // Keys that would be commands here all reach the editor.
    t.send("qqq words of my own\r");
    t.wait_for("Merlin Gap");
    t.wait_for("reloaded from disk");
    let line = spanwright::cli::DEMO.lines().position(|l| l.contains("\"A bolt 4\": ")).expect("there") + 1;
    let log = std::fs::read_to_string(dir.path().join("mine.ron.log")).expect("written by the editor");
    assert_eq!(log, format!("+{line} qqq words of my own\n"));
    t.send("u");
    t.wait_for("Kestrel Gap");
    t.send("qq");
    assert_eq!(t.end(), 0);
    t.given_back();
}

#[test]
fn an_interrupt_in_the_editor_is_for_the_editor() {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("mine.ron");
    std::fs::write(&path, spanwright::cli::DEMO).expect("written");
    let program = editor(dir.path(), "echo editing; exec sleep 60");
    let mut t = Terminal::start(&[path.to_str().expect("utf-8")], &[("VISUAL", &program)]);
    t.wait_for("of 5.0");
    t.send("e");
    t.wait_for("editing");
    t.send("\x03");
    t.wait_for("ended with signal");
    t.send("q");
    assert_eq!(t.end(), 0);
    t.given_back();
}

#[test]
fn an_editor_that_is_not_there_is_said() {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("mine.ron");
    std::fs::write(&path, spanwright::cli::DEMO).expect("written");
    for (program, says) in
        [("", "no editor is known: set VISUAL or EDITOR"), ("no-such-editor", "could not be started")]
    {
        let mut t = Terminal::start(&[path.to_str().expect("utf-8")], &[("VISUAL", ""), ("EDITOR", program)]);
        t.wait_for("of 5.0");
        t.send("e");
        t.wait_for(says);
        t.wait_for("c situation");
        t.send("q");
        assert_eq!(t.end(), 0);
    }
}

/// A faulty key file hinders nothing; what it says well holds.
#[test]
fn a_key_file_is_read() {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("keys.ron");
    std::fs::write(&path, "{\"quit\": [\"f10\"], \"udno\": [\"z\"]}").expect("written");
    let mut t = Terminal::start(&["--keys", path.to_str().expect("utf-8")], &[]);
    t.wait_for("1 wrong in the key file");
    t.send("q");
    t.send("\x1b[21~");
    assert_eq!(t.end(), 0);
    t.given_back();
}

#[test]
fn says_when_the_terminal_is_too_plain() {
    let mut t = Terminal::start(&[], &[("TERM", "dumb")]);
    t.wait_for("spanwright check");
    assert!(t.screen.screen().contents().contains("spanwright plain"), "the way in that works here");
    assert_eq!(t.end(), 2);
}

#[test]
fn nothing_is_drawn_at_rest() {
    let mut t = Terminal::start(&[], &[]);
    t.wait_for("of 5.0");
    // Until the last fall is played the screen counts them.
    t.wait_for_no("so far");
    while t.take(Duration::from_millis(300)) {}
    let before = t.raw.len();
    t.take(Duration::from_secs(2));
    assert_eq!(t.raw.len(), before, "drawn while nothing moved");
    t.send("q");
    t.end();
}

#[test]
fn without_a_terminal_it_prints_the_review() {
    let out = std::process::Command::new(env!("CARGO_BIN_EXE_spanwright")).output().expect("run");
    let text = String::from_utf8_lossy(&out.stdout);
    assert!(out.status.success());
    assert!(text.contains("Kestrel Gap") && text.contains("3.9 of 5.0") && text.contains("A planning aid."), "{text}");
}

/// `NO_COLOR` leaves the terminal's own colours alone, whatever palette is asked for.
#[test]
fn no_color_is_honoured() {
    for (env, wanted) in [(&[("NO_COLOR", "1")][..], false), (&[][..], true)] {
        let mut t = Terminal::start(&["--palette", "light"], env);
        t.wait_for("of 5.0");
        while t.take(Duration::from_millis(300)) {}
        let screen = t.screen.screen();
        let coloured = (0..24).flat_map(|r| (0..80).map(move |c| (r, c))).any(|(r, c)| {
            screen
                .cell(r, c)
                .is_some_and(|x| x.fgcolor() != vt100::Color::Default || x.bgcolor() != vt100::Color::Default)
        });
        assert_eq!(coloured, wanted, "{env:?}");
        t.send("q");
        t.end();
    }
}
