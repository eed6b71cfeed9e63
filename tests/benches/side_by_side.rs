//! One static benchmark beside other programs: `python3 tests/benches/side_by_side.py` runs them all and compares them;
//! this is spanwright's part. By itself: `cargo bench --bench side_by_side -- [exact] [PASSES]`.
//!
//! Reads its JSON file from `tests/data`, solves it `PASSES` times (7 unless told) and prints one JSON object: the
//! answers, and the medians of the time to build the nets and of the time to move the walker and solve. A net is built
//! once for each set of legs; the walker is then moved along it, each solve starting from the one before.
//!
//! The line is lumped into straight elements, as the other programs have it. With `exact` it is two heavy spans without
//! a mesh instead, the library's own way, each solve from the drawn line; its tension is read where the mesh has it, in
//! the middle of the outer elements.

use std::sync::Arc;
use std::time::{Duration, Instant};

use glam::DVec3;
use serde_json::{Value, json};
use spanwright::mechanics::equilibrium::{self, MemberState, Solution, Status};
use spanwright::mechanics::law::{LengthLaw, Piece, StrainLaw};
use spanwright::mechanics::net::{Link, Member, Net, Node, Span};
use spanwright::mechanics::span::{self, Zone};

struct Problem {
    file: Value,
    walker_n: f64,
    line_m: f64,
    line_ea_n: f64,
    line_n_per_m: f64,
    elements: usize,
    exact: bool,
}

fn number(v: &Value) -> f64 {
    v.as_f64().expect("a number")
}

fn list(v: &Value) -> &[Value] {
    v.as_array().expect("a list")
}

fn place(v: &Value) -> DVec3 {
    DVec3::new(number(&v[0]), number(&v[1]), number(&v[2]))
}

fn down(n: f64) -> DVec3 {
    DVec3::new(0.0, 0.0, -n)
}

fn link(a: usize, b: usize, length_m: f64, ea_n: f64) -> Member {
    let law = Arc::new(StrainLaw::linear(ea_n).expect("positive"));
    let chain = LengthLaw::series(vec![Piece { length_m, gauge_m: length_m, law }]).expect("stretches");
    Member::Link(Link::new(vec![a, b], Arc::new(chain)))
}

impl Problem {
    fn read(exact: bool) -> Self {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/side_by_side.json");
        let file: Value = serde_json::from_str(&std::fs::read_to_string(path).expect("the problem")).expect("JSON");
        let (gravity_m_per_s2, line) = (number(&file["gravity_m_per_s2"]), &file["line"]);
        Self {
            walker_n: number(&file["walker_kg"]) * gravity_m_per_s2,
            line_m: number(&line["unstretched_m"]),
            line_ea_n: number(&line["ea_n"]),
            line_n_per_m: number(&line["kg_per_m"]) * gravity_m_per_s2,
            elements: number(&line["elements"]) as usize,
            exact,
            file,
        }
    }

    /// Points and members of the rig without one leg, from the drawn geometry: the line's first, then the legs'.
    fn build(&self, without: &Value) -> Net {
        let [a, b] = [0, 1].map(|i| place(&self.file["rings_m"][i]));
        let parts = if self.exact { 2 } else { self.elements };
        let mut net = Net::default();
        for i in 0..=parts {
            let at = a.lerp(b, i as f64 / parts as f64);
            net.nodes.push(Node { place: at, fixed: false, load_n: DVec3::ZERO });
        }
        let law = Arc::new(StrainLaw::linear(self.line_ea_n).expect("positive"));
        let load_n_per_m = down(self.line_n_per_m);
        for i in 0..parts {
            let length_m = self.line_m / parts as f64;
            net.members.push(if self.exact {
                Member::Span(Span { a: i, b: i + 1, zones: vec![Zone { length_m, load_n_per_m, law: law.clone() }] })
            } else {
                link(i, i + 1, length_m, self.line_ea_n)
            });
        }
        for leg in list(&self.file["legs"]).iter().filter(|l| l["name"] != *without) {
            net.nodes.push(Node { place: place(&leg["anchor_m"]), fixed: true, load_n: DVec3::ZERO });
            let ring = if leg["ring"] == 0 { 0 } else { parts };
            net.members.push(link(net.nodes.len() - 1, ring, number(&leg["unstretched_m"]), number(&leg["ea_n"])));
        }
        net
    }

    /// Puts the walker on a node of the line; says which point of the net that is.
    fn stand(&self, net: &mut Net, node: usize) -> usize {
        if self.exact {
            let share = node as f64 / self.elements as f64;
            for (member, share) in net.members.iter_mut().zip([share, 1.0 - share]) {
                if let Member::Span(s) = member {
                    s.zones[0].length_m = self.line_m * share;
                }
            }
            let place = net.nodes[0].place.lerp(net.nodes[2].place, share);
            net.nodes[1] = Node { place, fixed: false, load_n: down(self.walker_n) };
            return 1;
        }
        let element_n = self.line_n_per_m * self.line_m / self.elements as f64;
        for i in 0..=self.elements {
            let end = i == 0 || i == self.elements;
            let walker_n = if i == node { self.walker_n } else { 0.0 };
            net.nodes[i].load_n = down(walker_n + if end { 0.5 * element_n } else { element_n });
        }
        node
    }

    fn answer(&self, net: &Net, s: &Solution, point: usize, without: &Value) -> Value {
        let pull = |m: &Member, state: &MemberState| match (m, state) {
            (_, MemberState::Link { tension_n, .. }) => [*tension_n; 2],
            (Member::Span(m), MemberState::Span(s)) => {
                let half_m = 0.5 * self.line_m / self.elements as f64;
                [half_m, span::length_m(&m.zones) - half_m].map(|at| span::tension_at(&m.zones, s.force, at).length())
            }
            _ => [0.0; 2],
        };
        let pulls: Vec<[f64; 2]> = net.members.iter().zip(&s.members).map(|(m, s)| pull(m, s)).collect();
        let parts = if self.exact { 2 } else { self.elements };
        let mut legs = pulls[parts..].iter();
        let leg = |l: &Value| if l["name"] == *without { 0.0 } else { legs.next().expect("a leg")[0] };
        let legs_n: Vec<f64> = list(&self.file["legs"]).iter().map(leg).collect();
        let line_n = [pulls[0][0], pulls[parts - 1][1]];
        json!({ "legs_n": legs_n, "line_n": line_n, "walker_m": s.places[point].to_array() })
    }

    /// All solves once: answers, time to build, time to solve.
    fn pass(&self) -> (Vec<Value>, Duration, Duration) {
        let (mut answers, mut building, mut solving) = (Vec::new(), Duration::ZERO, Duration::ZERO);
        for without in list(&self.file["without"]) {
            let began = Instant::now();
            let mut net = self.build(without);
            building += began.elapsed();
            let mut before: Option<Solution> = None;
            for node in list(&self.file["walker_nodes"]) {
                let began = Instant::now();
                let point = self.stand(&mut net, number(node) as usize);
                let s = equilibrium::solve(&net, before.as_ref());
                solving += began.elapsed();
                assert_eq!(s.status, Status::Converged, "without {without}, walker on node {node}");
                answers.push(self.answer(&net, &s, point, without));
                // Without a mesh the point that the walker stands on moves far, and the drawn line is the nearer start.
                before = Some(s).filter(|_| !self.exact);
            }
        }
        (answers, building, solving)
    }
}

fn median_s(mut times: Vec<Duration>) -> f64 {
    times.sort();
    times[times.len() / 2].as_secs_f64()
}

fn main() {
    let p = Problem::read(std::env::args().any(|a| a == "exact"));
    let passes = std::env::args().find_map(|a| a.parse().ok()).unwrap_or(7).max(1);
    let mut all: Vec<_> = (0..passes).map(|_| p.pass()).collect();
    let build_s = median_s(all.iter().map(|t| t.1).collect());
    let solve_s = median_s(all.iter().map(|t| t.2).collect());
    let answers = all.pop().map(|t| t.0);
    println!("{}", json!({ "build_s": build_s, "solve_s": solve_s, "answers": answers }));
}
