//! Saving whole or not at all: killed at any moment, with no room left, in a folder that may not be written, with the
//! file gone; and what a stranger's plan may not do to the terminal.

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use spanwright::plan::PlanFile;

use crate::common::Session;

const DEMO: &str = include_str!("../../plans/kestrel-gap-62m.ron");

fn program() -> Command {
    let mut c = Command::new(env!("CARGO_BIN_EXE_spanwright"));
    c.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
    c
}

fn remark(path: &Path) -> Command {
    let mut c = program();
    c.arg("remarks").arg(path).args(["--add", "A leg 1", "one more", "--by", "AB"]);
    c
}

/// Killed at sixty moments spread over what a save takes, the plan's file is the old one or the new one, whole; and so is
/// the copy beside it.
#[test]
fn a_kill_at_any_moment_leaves_a_whole_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("plan.ron");
    std::fs::write(&path, DEMO).expect("written");
    let started = std::time::Instant::now();
    assert!(remark(&path).status().expect("runs").success());
    let whole = started.elapsed();
    let count = |p: &Path| {
        let text = std::fs::read_to_string(p).expect("the file is there");
        let file = PlanFile::parse("plan.ron", text).unwrap_or_else(|e| panic!("{}", e.show("plan.ron")));
        assert!(file.is_sound(), "{}", file.show_faults());
        file.plan.remarks.len()
    };
    let (mut had, mut saved, mut killed) = (count(&path), 0, 0);
    for k in 0..60_u32 {
        let mut child = remark(&path).spawn().expect("runs");
        std::thread::sleep(Duration::from_nanos((whole.as_nanos() as u64 * u64::from(k)) / 45));
        let _ = child.kill();
        child.wait().expect("ends");
        let has = count(&path);
        assert!(has == had || has == had + 1, "{had} became {has}");
        let copy = count(&path.with_extension("ron.bak"));
        assert!(copy <= has, "the copy is an older one");
        saved += usize::from(has > had);
        killed += usize::from(has == had);
        had = has;
    }
    // Some kills came before the new file stood there, some after.
    assert!(saved > 0 && killed > 0, "{saved} saved, {killed} not");
}

/// With no room for the new file nothing changes, it is said, and the work in the workbench is kept.
#[test]
fn no_room_left_is_said_and_nothing_is_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("plan.ron");
    std::fs::write(&path, DEMO).expect("written");
    // No file may grow beyond one block: what a full disk answers to a write.
    let out = Command::new("sh")
        .arg("-c")
        .arg("trap '' XFSZ; ulimit -f 1; exec \"$0\" remarks \"$1\" --add 'A leg 1' 'one more'")
        .arg(env!("CARGO_BIN_EXE_spanwright"))
        .arg(&path)
        .output()
        .expect("runs");
    let said = String::from_utf8_lossy(&out.stderr);
    assert_eq!(out.status.code(), Some(2), "{said}");
    assert!(said.contains("plan.ron") && said.to_lowercase().contains("large"), "{said}");
    assert_eq!(std::fs::read_to_string(&path).expect("there"), DEMO);
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("reads").flatten().map(|e| e.file_name()).collect();
    assert_eq!(left.len(), 1, "nothing half-written stays behind: {left:?}");
}

/// The folder gone, or closed to writing: said, the work kept, and saved elsewhere afterwards.
#[test]
fn a_folder_that_refuses_keeps_the_work_in_the_workbench() {
    let folder = tempfile::tempdir().expect("a folder");
    let inner = folder.path().join("plans");
    std::fs::create_dir(&inner).expect("made");
    let path = inner.join("plan.ron");
    std::fs::write(&path, DEMO).expect("written");
    let mut s = Session::open(&path, 120, 40);
    s.select_part("A leg 1", 1);
    s.keys("+");
    let mine = s.app.file.text.clone();
    assert_ne!(mine, DEMO);
    // The file vanished, and its folder with it.
    std::fs::remove_dir_all(&inner).expect("removed");
    s.keys("s");
    assert!(s.app.unsaved() && s.app.file.text == mine, "the work is kept");
    let screen = s.screen();
    assert!(screen.contains("your work is still here") || screen.contains("has changed"), "{screen}");
    // Closed to writing; root may write anywhere, and is not asked.
    std::fs::create_dir(&inner).expect("made");
    std::fs::write(&path, DEMO).expect("written");
    std::fs::set_permissions(&inner, std::os::unix::fs::PermissionsExt::from_mode(0o555)).expect("closed");
    let closed = std::fs::write(inner.join("probe"), "x").is_err();
    if closed {
        s.keys("esc s");
        assert!(s.app.unsaved() && s.app.file.text == mine, "the work is kept");
        assert!(s.screen().contains("nothing was written"), "{}", s.screen());
    }
    std::fs::set_permissions(&inner, std::os::unix::fs::PermissionsExt::from_mode(0o755)).expect("opened");
    let other = folder.path().join("elsewhere.ron");
    s.keys("esc S ctrl-u");
    s.type_text(&other.display().to_string());
    s.keys("enter");
    assert_eq!(std::fs::read_to_string(&other).expect("saved"), mine);
}

/// Words that a stranger wrote reach no terminal raw: no escape sequence, no control character, no turning of the text.
#[test]
fn a_strangers_words_are_printed_plain() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("mail.ron");
    let evil = "look \\u{1b}]0;owned\\u{7}\\u{1b}[2J\\u{202e}kool\\u{9b}31m";
    let text = DEMO
        .replace("    title:", &format!("    note: \"{evil}\",\n    title:"))
        .replace("    declared: {", &format!("    remarks: [(at: \"A leg 1\", text: \"{evil}\", by: \"{evil}\")],\n    set_aside: {{\"tight-bend\": \"{evil}\"}},\n    declared: {{"))
        .replace("Yes(\"asked the owner\")", &format!("No(\"{evil}\")"))
        .replace("laser from bolt to bolt", evil);
    std::fs::write(&path, &text).expect("written");
    let plan = path.display().to_string();
    let runs: &[&[&str]] = &[
        &["check", &plan, "--all"],
        &["check", &plan, "--md"],
        &["check", &plan, "--why", "sag"],
        &["sheet", "review", &plan],
        &["sheet", "card", &plan],
        &["sheet", "gear", &plan],
        &["remarks", &plan],
        &["compare", &plan, &plan],
        &["solver-checks", &plan],
    ];
    let mut refused = 0;
    for args in runs {
        let out = Command::new(env!("CARGO_BIN_EXE_spanwright")).args(*args).output().expect("runs");
        for (what, bytes) in [("out", &out.stdout), ("err", &out.stderr)] {
            let text = String::from_utf8(bytes.clone()).expect("UTF-8");
            let raw = text.chars().find(|c| c.is_control() && *c != '\n' || ('\u{202a}'..='\u{202e}').contains(c));
            assert!(raw.is_none(), "{args:?} {what} holds {raw:?}");
        }
        refused += usize::from(out.status.code() == Some(2));
    }
    // Either the reader refuses such words, or every output prints them plain.
    assert!(refused == 0 || refused == runs.len(), "{refused} of {}", runs.len());
}
