//! The floors of the crate: imports point downward only, and some crates are named in few places.

use std::fs;
use std::path::{Path, PathBuf};

/// From the ground up. `mechanics` stands apart: it uses nothing of the crate.
const FLOORS: &[&str] = &[
    "units",
    "mechanics",
    "document",
    "catalogue",
    "inventory",
    "plan",
    "rig",
    "bench",
    "review",
    "sheets",
    "app",
    "plain",
    "tui",
    "cli",
];

fn sources(folder: &Path, out: &mut Vec<PathBuf>) {
    for e in fs::read_dir(folder).expect("src") {
        let path = e.expect("entry").path();
        if path.is_dir() {
            sources(&path, out);
        } else if path.extension().is_some_and(|x| x == "rs") {
            out.push(path);
        }
    }
}

fn floor_of(path: &Path, root: &Path) -> Option<usize> {
    let first = path.strip_prefix(root).ok()?.components().next()?;
    let name = first.as_os_str().to_string_lossy().trim_end_matches(".rs").to_owned();
    FLOORS.iter().position(|f| *f == name)
}

fn files() -> (PathBuf, Vec<(PathBuf, String)>) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut paths = Vec::new();
    sources(&root, &mut paths);
    let files = paths.into_iter().map(|p| (p.clone(), fs::read_to_string(&p).expect("utf-8"))).collect();
    (root, files)
}

#[test]
fn imports_point_downward() {
    let (root, files) = files();
    let mut seen = 0;
    for (path, text) in &files {
        let Some(own) = floor_of(path, &root) else {
            continue;
        };
        for (n, line) in text.lines().enumerate() {
            for (i, _) in line.match_indices("crate::") {
                let name: String = line[i + 7..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                let Some(used) = FLOORS.iter().position(|f| *f == name) else {
                    continue;
                };
                seen += 1;
                assert!(used <= own, "{}:{}: {} uses {name}", path.display(), n + 1, FLOORS[own]);
                if FLOORS[own] == "mechanics" {
                    assert_eq!(name, "mechanics", "{}:{}", path.display(), n + 1);
                }
            }
        }
    }
    assert!(seen > 100, "the test reads the sources");
}

#[test]
fn crates_are_named_where_they_belong() {
    let (root, files) = files();
    let allowed: &[(&str, &[&str])] = &[
        ("ratatui::", &["tui"]),
        ("crossterm::", &["tui"]),
        ("ron::", &["document", "catalogue"]),
        ("uom::", &["units.rs"]),
    ];
    for (path, text) in &files {
        let here = path.strip_prefix(&root).expect("under src").to_string_lossy().into_owned();
        for (name, places) in allowed {
            let uses = text.lines().any(|l| !l.trim_start().starts_with("//") && l.contains(name));
            assert!(!uses || places.iter().any(|p| here.starts_with(p)), "{here} names {name}");
        }
    }
}

/// `mechanics` and `review` never print, read a clock or touch a disk.
#[test]
fn the_core_is_pure() {
    let (root, files) = files();
    for (path, text) in &files {
        let here = path.strip_prefix(&root).expect("under src").to_string_lossy().into_owned();
        if !(here.starts_with("mechanics") || here.starts_with("review") || here.starts_with("rig")) {
            continue;
        }
        let body = text.split("#[cfg(test)]").next().unwrap_or("");
        for word in ["println!", "eprintln!", "std::fs", "std::time", "Instant", "SystemTime", "thread::"] {
            // Work that is many independent pieces is spread over threads in one place.
            let spreads = here == "review/hands.rs" && word == "thread::";
            assert!(spreads || !body.contains(word), "{here} uses {word}");
        }
    }
}
