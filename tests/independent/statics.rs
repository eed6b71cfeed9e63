//! Statics and clearance of plans as JSON, one line a plan, without falls and failures: what `compare.py` holds against a
//! solver that shares nothing with this one.

use std::io::Write;

use spanwright::plan::PlanFile;
use spanwright::review::Desk;
use spanwright::sheets::report;

fn main() -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    for name in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&name)?;
        let Ok(file) = PlanFile::parse(&name, text) else {
            eprintln!("{name}: not read");
            continue;
        };
        match Desk::open(&file) {
            Ok(desk) if file.is_sound() => {
                let json = serde_json::to_string(&report(&file, &desk.review())).map_err(std::io::Error::other)?;
                writeln!(out, "{json}")?;
            }
            _ => eprintln!("{name}: no rig"),
        }
    }
    Ok(())
}
