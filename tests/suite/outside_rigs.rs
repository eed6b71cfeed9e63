//! Random rigs at rest against a solver in another language and by another method (`tests/independent/solver.c`), whose
//! answers are stored: `python3 tests/independent/compare.py --rigs 300 --seed 700001 --store tests/data/independent.json`.

use std::collections::BTreeMap;

use serde::Deserialize;
use spanwright::plan::PlanFile;
use spanwright::review::{Case, With, in_view};
use spanwright::units::Quantity;

#[derive(Deserialize)]
struct Stored {
    seed: u64,
    plan: String,
    /// By situation, then by run (the main line by its end), N.
    #[serde(rename = "tensions_N")]
    tensions_n: BTreeMap<String, BTreeMap<String, f64>>,
}

/// No tension differs by more than a thousandth of the line's lower end: the other side's own answers are good to less.
const ALIKE: f64 = 1e-3;

#[test]
fn random_rigs_carry_what_another_solver_finds() {
    let path = format!("{}/tests/data/independent.json", env!("CARGO_MANIFEST_DIR"));
    let all: Vec<Stored> = serde_json::from_str(&std::fs::read_to_string(path).expect("stored")).expect("JSON");
    let (mut compared, mut worst) = (0, (0.0_f64, String::new()));
    for stored in &all {
        let name = format!("rig {}", stored.seed);
        let file = PlanFile::parse(&name, stored.plan.clone()).unwrap_or_else(|e| panic!("{}", e.show(&name)));
        assert!(file.is_sound(), "{}", file.show_faults());
        let plan = &file.plan;
        let air = plan.site.air;
        let cases = [
            Case::standing(),
            Case::walker(plan, 0.5),
            Case::walker(plan, 0.1),
            Case::bounce(plan, 0.25),
            Case::standing().in_wind(air.storm.si(), With::Storm),
            Case::walker(plan, 0.75).in_wind(-air.wind.si(), With::Wind),
        ];
        let mut solver = in_view(&file).unwrap_or_else(|f| panic!("{name}: {f:?}"));
        assert!(
            stored.tensions_n.keys().all(|id| cases.iter().any(|c| c.words() == *id)),
            "{name}: a situation of no case"
        );
        for case in cases {
            let Some(wanted) = stored.tensions_n.get(&case.words()) else { continue };
            let solved = solver.solve(&case).unwrap_or_else(|why| panic!("{name}, {}: {why}", case.words()));
            let solved = solved.expect("a case of this rig");
            assert!(solved.certified(), "{name}, {}", case.words());
            let [a, b] = solved.response.line_n;
            let low = a.min(b);
            for (run, want) in wanted {
                let got = match run.as_str() {
                    "main A" => a,
                    "main B" => b,
                    other => {
                        let at = solver.rig.run_names.iter().position(|r| r == other).expect("a run of this rig");
                        solved.response.run_n[at]
                    }
                };
                let off = (got - want).abs() / low;
                if off > worst.0 {
                    worst = (off, format!("{name}, {}, {run}: {got:.1} N for {want:.1} N", case.words()));
                }
                compared += 1;
            }
        }
    }
    println!("{compared} tensions of {} rigs, {:.4} % at worst: {}", all.len(), 100.0 * worst.0, worst.1);
    assert!(all.len() >= 300 && compared > 10_000, "{compared}");
    assert!(worst.0 < ALIKE, "{}", worst.1);
}
