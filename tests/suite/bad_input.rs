//! Plans with a fault are refused: `check` ends with code 2, says what is wrong and where, and leaves the file alone.
//!
//! Each plan in `tests/fixtures/bad` has one fault and says at its head what is wanted. `// expect: …` must stand in a
//! message or its help, `// expect-path: …` is the path of the faulty value, and `/*here*/` stands right before it; the
//! first path belongs to the first mark, and so on. A new file there is a new test. `no-fault.ron` is what they came from.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::{fs, iter};

const GOOD: &str = "no-fault.ron";

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/bad")
}

fn fixture(name: &str) -> String {
    fs::read_to_string(fixtures().join(name)).expect("a fixture is text")
}

/// Exit code, standard output and standard error of `check`, which must leave the folder as it was.
fn check(dir: &Path, name: &str) -> (Option<i32>, String, String) {
    let contents = || {
        let entries = fs::read_dir(dir).expect("a folder").flatten();
        let file = |e: fs::DirEntry| (e.path(), fs::read(e.path()).ok());
        let mut files: Vec<_> = entries.map(file).collect();
        files.sort();
        files
    };
    let before = contents();
    let output = Command::new(env!("CARGO_BIN_EXE_spanwright"))
        .args(["check", name])
        .current_dir(dir)
        .output()
        .expect("the program starts");
    assert!(before == contents(), "{name}: the folder has changed");
    let text = |bytes| String::from_utf8(bytes).expect("UTF-8 text");
    (output.status.code(), text(output.stdout), text(output.stderr))
}

/// What the program says of a file that it refuses, and what is wrong with that.
fn refusal(dir: &Path, name: &str) -> (String, Vec<&'static str>) {
    let (code, out, err) = check(dir, name);
    let control = |c: char| {
        (c.is_control() && c != '\n')
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    let wanted = [
        (code == Some(2), "the exit code is not 2"),
        (out.is_empty(), "standard output is not empty"),
        (err.starts_with("error: "), "it does not start with error"),
        (err.contains(name), "it does not name the file"),
        (!err.contains("panicked"), "it panicked"),
        (!err.contains(control), "a control character is shown"),
    ];
    let missed = wanted.iter().filter(|(holds, _)| !holds);
    (err, missed.map(|(_, why)| *why).collect())
}

/// The marked places of a plan, as line and column.
fn places(text: &str) -> Vec<String> {
    const MARK: &str = "/*here*/";
    let place = |(at, _)| {
        let before = &text[..at + MARK.len()];
        let column = before.chars().rev().take_while(|c| *c != '\n').count() + 1;
        format!("{}:{column}", before.matches('\n').count() + 1)
    };
    text.match_indices(MARK).map(place).collect()
}

/// Fails when the refusal of a plan is not what its head asks for.
fn judge(name: &str, text: &str) -> Result<(), String> {
    let head = |word: &str| -> Vec<&str> {
        let prefix = format!("// {word}: ");
        let lines = text.lines();
        lines.filter_map(|l| l.strip_prefix(&*prefix)).collect()
    };
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::write(dir.path().join(name), text).expect("a copy");
    let (err, wrong) = refusal(dir.path(), name);
    let mut wrong: Vec<String> = wrong.into_iter().map(str::to_owned).collect();

    // Only what the program says counts, not what it quotes from the plan.
    let lines: Vec<&str> = err.lines().map(str::trim_start).collect();
    let says = |l: &&&str| l.starts_with("error: ") || l.starts_with("= ");
    for phrase in head("expect") {
        if !lines.iter().filter(says).any(|l| l.contains(phrase)) {
            wrong.push(format!("it does not say: {phrase}"));
        }
    }
    let paths = head("expect-path");
    let paths_then_none = paths.iter().map(|p| format!("  {p}"));
    let paths_then_none = paths_then_none.chain(iter::repeat(String::new()));
    let places = places(text);
    for (place, path) in places.iter().zip(paths_then_none) {
        let arrow = format!("--> {name}:{place}{path}");
        if !lines.contains(&&*arrow) {
            wrong.push(format!("it does not show: {arrow}"));
        }
    }
    let arrow = format!("--> {name}:");
    let shown = lines.iter().filter(|l| l.starts_with(&arrow)).count();
    if shown != places.len().max(1) || paths.len() > places.len() {
        wrong.push(format!("{shown} places for {} marks", places.len()));
    }
    if wrong.is_empty() {
        return Ok(());
    }
    Err(format!("{name}: {}\n{err}", wrong.join("; ")))
}

#[test]
fn each_fault_is_named_at_its_place() {
    let entries = fs::read_dir(fixtures()).expect("the fixtures").flatten();
    let names = entries.map(|e| e.file_name().into_string().expect("a plain name"));
    let names: Vec<String> = names.filter(|n| n != GOOD).collect();
    assert!(names.len() >= 48, "only {} plans", names.len());
    let judged = names.iter().filter_map(|n| judge(n, &fixture(n)).err());
    let report: Vec<String> = judged.collect();
    assert!(report.is_empty(), "\n{}", report.join("\n"));
}

#[test]
fn five_faults_are_listed_at_once() {
    let text = fixture("faults-five.ron");
    assert_eq!(places(&text).len(), 5);
    assert_eq!(judge("faults-five.ron", &text), Ok(()));
}

#[test]
fn the_plan_they_came_from_is_reviewed() {
    let (code, out, err) = check(&fixtures(), GOOD);
    assert!(matches!(code, Some(0 | 1)), "{code:?}\n{err}");
    assert!(err.is_empty() && out.contains("Gull Steps"));
}

#[test]
fn a_plan_cut_anywhere_is_refused() {
    let whole = fixture(GOOD);
    for end in (0..whole.trim_end().len()).step_by(61) {
        assert_eq!(judge("cut.ron", &whole[..end]), Ok(()), "cut at {end}");
    }
}

#[test]
fn files_that_are_no_plan_text_are_refused() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let put = |name: &str, bytes: &[u8]| fs::write(dir.path().join(name), bytes).expect("written");
    put("latin.ron", b"Plan(format: 1, title: \"Gr\xe8ve\")\n");
    put("utf16.ron", b"\xff\xfeP\0l\0a\0n\0(\0)\0");
    put("binary.ron", &(0..=255).collect::<Vec<u8>>());
    put("zeros.ron", &[0; 4096]);
    put("nested.ron", "[".repeat(200_000).as_bytes());
    put("huge.ron", &b" ".repeat(50_000_000));
    // Found by fuzzing: what looks like a raw string and is none.
    put("raw.ron", "r#Ŗ".as_bytes());
    put("hash.ron", b"r#");
    fs::create_dir(dir.path().join("folder.ron")).expect("a folder");
    for (name, phrase) in [
        ("latin.ron", "is not UTF-8 text (byte 26)"),
        ("utf16.ron", "is not UTF-8 text (byte 0)"),
        ("binary.ron", "is not UTF-8 text (byte 128)"),
        ("zeros.ron", "zeros.ron:1:1\n"),
        ("nested.ron", "nested.ron:1:"),
        ("huge.ron", "has 50.0 MB; a plan has at most 1 MB"),
        ("raw.ron", "a raw string opens with a quote"),
        ("hash.ron", "error: not RON"),
        ("folder.ron", "is a folder, not a plan"),
        ("missing.ron", "error: missing.ron: "),
    ] {
        let (err, wrong) = refusal(dir.path(), name);
        assert!(wrong.is_empty() && err.contains(phrase), "{wrong:?}\n{err}");
    }
}

/// The superuser may read every file; then the plan is reviewed as any other.
#[cfg(unix)]
#[test]
fn a_file_without_permission_is_refused() {
    use std::os::unix::fs::PermissionsExt as _;
    let dir = tempfile::tempdir().expect("a temporary folder");
    let path = dir.path().join("locked.ron");
    fs::write(&path, fixture(GOOD)).expect("written");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).expect("locked");
    if fs::File::open(&path).is_ok() {
        assert!(matches!(check(dir.path(), "locked.ron").0, Some(0 | 1)));
    } else {
        let (err, wrong) = refusal(dir.path(), "locked.ron");
        assert!(wrong.is_empty(), "{wrong:?}\n{err}");
    }
}
