//! Keys: the printed sheet, the documentation, key files, and sessions played with keys of one's own.

use std::path::Path;
use std::process::Command;

use crate::common::Session;
use spanwright::app::{COMMANDS, KeyFile, Keymap, keysheet};

fn with_keys(text: &str) -> Session {
    let dir = tempfile::tempdir().expect("folder");
    let path = dir.path().join("keys.ron");
    std::fs::write(&path, text).expect("written");
    let mut s = Session::demo(120, 40);
    s.app.use_keys(KeyFile::open(Some(&path)));
    s
}

fn run(args: &[&str], config: &Path) -> (String, String, i32) {
    let out =
        Command::new(env!("CARGO_BIN_EXE_spanwright")).args(args).env("XDG_CONFIG_HOME", config).output().expect("run");
    let text = |b: &[u8]| String::from_utf8_lossy(b).into_owned();
    (text(&out.stdout), text(&out.stderr), out.status.code().expect("ended"))
}

#[test]
fn the_keys_are_documented_as_they_are() {
    let copy = include_str!("../../assets/KEYS.md");
    assert_eq!(copy, keysheet::markdown(), "KEYS.md is out of date: spanwright keys --md > assets/KEYS.md");
}

#[test]
fn the_sheet_fits_eighty_columns_and_names_everything() {
    let dir = tempfile::tempdir().expect("folder");
    let (out, _, code) = run(&["keys"], dir.path());
    assert_eq!(code, 0);
    assert!(out.lines().filter(|l| !l.starts_with("Key file")).all(|l| l.chars().count() < 80), "{out}");
    let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
    for c in COMMANDS {
        assert!(words.contains(c.name) && c.keys.iter().all(|k| words.contains(k)), "{}", c.id);
    }
    assert!(out.contains("keys.ron (not there"), "{out}");
}

#[test]
fn the_printed_key_file_can_be_used_as_it_is() {
    let dir = tempfile::tempdir().expect("folder");
    let (out, ..) = run(&["keys", "--ron"], dir.path());
    assert!(out.contains(&dir.path().display().to_string()), "{out}");
    assert_eq!(Keymap::read(&out), (Keymap::default(), Vec::new()));
    std::fs::create_dir(dir.path().join("spanwright")).expect("folder");
    let path = dir.path().join("spanwright/keys.ron");
    std::fs::write(&path, out.replace("[\"u\"]", "[\"f7\"]")).expect("written");
    let (sheet, said, code) = run(&["keys"], dir.path());
    assert!(code == 0 && said.is_empty() && sheet.contains("  f7                 undo"), "{sheet}{said}");
    std::fs::write(&path, "{\"udno\": [\"f7\"]}").expect("written");
    let (_, said, code) = run(&["keys"], dir.path());
    assert!(code == 2 && said.contains("keys.ron:1:2: no command is called “udno”; did you mean undo"), "{said}");
    let (_, said, code) = run(&["keys", "--keys", "nowhere.ron"], dir.path());
    assert!(code == 2 && said.contains("nowhere.ron"), "{said}");
}

#[test]
fn own_keys_work_and_are_shown_wherever_keys_are_shown() {
    let mut s = with_keys("{\"undo\": [\"f7\"], \"help\": [\"f1\"], \"double\": [\"u\"], \"situation\": []}");
    let text = s.app.file.text.clone();
    s.select_point("A bolt 1");
    s.keys("u");
    assert!(s.app.file.plan.points.contains_key("A bolt 7"));
    assert!(s.screen().contains("f7 undo") && s.screen().contains("f1 keys"), "{}", s.screen());
    s.resize(120, 110);
    s.keys("f1");
    assert!(s.screen().contains("(none)             situation"), "{}", s.screen());
    assert!(s.screen().contains("f7                 undo"), "{}", s.screen());
    s.keys("esc :");
    s.type_text("take the last change back");
    let palette = s.screen();
    assert!(palette.contains("f7 "), "{palette}");
    s.keys("esc f7 c");
    assert_eq!(s.app.file.text, text);
    assert_eq!(s.app.situation, spanwright::app::InView::Walker, "c means nothing now");
    s.keys(": s i t u a t i o n enter");
    assert_ne!(s.app.situation, spanwright::app::InView::Walker, "the list of commands still has it");
}

#[test]
fn a_faulty_key_file_hinders_nothing() {
    let mut s = with_keys("{\"undo\": [\"hyper-u\"], \"quit\": [], \"double\": [\"f5\"]}");
    let screen = s.screen();
    assert!(screen.contains("2 wrong in the key file; defaults stand for that (m shows all)"), "{screen}");
    s.keys("m");
    let log = s.screen();
    assert!(log.contains("“hyper-u” is no key") && log.contains("leaving needs a key"), "{log}");
    s.keys("esc");
    s.select_point("A bolt 1");
    s.keys("f5 u");
    assert!(s.app.log.last().expect("said").starts_with("undone"));
    s.keys("q");
    assert!(s.left);
}

/// What makes no sense now is left out of the list of commands and of the hints, and quiet in help.
#[test]
fn what_makes_no_sense_is_not_offered() {
    let mut s = Session::demo(120, 40);
    assert!(!s.screen().contains(" u undo "), "{}", s.screen());
    s.keys(": r e d o");
    assert!(!s.screen().contains("do it again"), "{}", s.screen());
    s.keys("esc");
    s.select_point("A bolt 1");
    s.keys("d");
    assert!(s.screen().contains(" u undo "));
}
