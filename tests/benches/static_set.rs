//! Our side of `static_set.py`: the fixed set of static solves, its answers and times as JSON.
//!
//! Each solve starts cold from the drawn geometry; building its net is timed apart from solving it.

mod problem;

use std::time::Instant;

use problem::{net, problem};
use serde_json::{Value, json};
use spanwright::mechanics::equilibrium::{self, MemberState};

fn main() {
    let repeats = std::env::args().skip_while(|a| a != "--repeats").nth(1).and_then(|n| n.parse().ok()).unwrap_or(1);
    let p = problem();
    let mut best = (f64::INFINITY, f64::INFINITY);
    let mut answers: Vec<Value> = Vec::new();
    for _ in 0..repeats {
        let start = Instant::now();
        let nets: Vec<_> = p.solves.iter().map(|s| net(&p, s)).collect();
        let build_s = start.elapsed().as_secs_f64();
        let start = Instant::now();
        let solved: Vec<_> = nets.iter().map(|n| equilibrium::solve(n, None)).collect();
        let solve_s = start.elapsed().as_secs_f64();
        if build_s + solve_s < best.0 + best.1 {
            best = (build_s, solve_s);
        }
        answers = solved
            .iter()
            .zip(&p.solves)
            .map(|(s, solve)| {
                let line_n = s.span_force(0).map_or(f64::NAN, glam::DVec3::length);
                let mut tensions = s.members.iter().filter_map(|m| match m {
                    MemberState::Link { tension_n, .. } => Some(*tension_n),
                    _ => None,
                });
                // A leg that is cut carries nothing.
                let legs = p.legs.iter().map(|l| {
                    if solve["cut"].as_str() == Some(l.0.as_str()) { 0.0 } else { tensions.next().unwrap_or(f64::NAN) }
                });
                json!({"line_N": line_n, "legs_N": legs.collect::<Vec<f64>>()})
            })
            .collect();
    }
    println!("{}", json!({"build_s": best.0, "solve_s": best.1, "answers": answers}));
}
