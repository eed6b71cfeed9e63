//! Figures, by `cargo bench`: medians on this machine, one thread. Nothing here can fail for being slow.

use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use glam::DVec3;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use serde_json::Value;
use spanwright::app::{App, Effect, Press, Settings};
use spanwright::mechanics::certificate::certify;
use spanwright::mechanics::equilibrium::{self, MemberState};
use spanwright::mechanics::law::{LengthLaw, Piece, StrainLaw};
use spanwright::mechanics::net::{Link, Member, Net, Node, Span};
use spanwright::mechanics::span::Zone;
use spanwright::plan::PlanFile;
use spanwright::review::{Case, Desk, Grain, in_view};

/// Median and 99th percentile of `n` runs, µs.
fn time(n: usize, mut f: impl FnMut()) -> (f64, f64) {
    f();
    let mut t: Vec<f64> = (0..n)
        .map(|_| {
            let start = Instant::now();
            f();
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    t.sort_by(f64::total_cmp);
    (t[n / 2], t[(n * 99 / 100).min(n - 1)])
}

fn say(what: &str, (median, high): (f64, f64)) {
    println!("{what:<64} {median:>10.1} µs median {high:>10.1} µs 99th");
}

struct Problem {
    nodes: Vec<(String, Node)>,
    legs: Vec<(String, usize, usize, f64, f64)>,
    line: (usize, usize, f64, f64, f64),
    mass: f64,
    solves: Vec<Value>,
}

fn problem() -> Problem {
    let v: Value = serde_json::from_str(include_str!("../data/bench_problem.json")).expect("json");
    let rig = &v["rig"];
    let nodes: Vec<(String, Node)> = rig["nodes"]
        .as_object()
        .expect("nodes")
        .iter()
        .map(|(k, n)| {
            let p: Vec<f64> = n["pos"].as_array().expect("pos").iter().map(|x| x.as_f64().expect("m")).collect();
            let fixed = n["fixed"].as_bool().unwrap_or(false);
            (k.clone(), Node { place: DVec3::new(p[0], p[1], p[2]), fixed, load_n: DVec3::ZERO })
        })
        .collect();
    let at = |n: &Value| nodes.iter().position(|(k, _)| Some(k.as_str()) == n.as_str()).expect("node");
    let legs = rig["legs"]
        .as_array()
        .expect("legs")
        .iter()
        .map(|l| {
            (
                l["name"].as_str().expect("name").to_owned(),
                at(&l["a"]),
                at(&l["b"]),
                l["L0_m"].as_f64().expect("m"),
                l["EA_N"].as_f64().expect("N"),
            )
        })
        .collect();
    let s = &rig["line"]["segments"][0];
    let f = |k: &str| s[k].as_f64().expect("number");
    let line = (at(&rig["line"]["a"]), at(&rig["line"]["b"]), f("L0_m"), f("EA_N"), f("mu_kg_per_m"));
    let solves = v["solves"].as_array().expect("solves").clone();
    Problem { nodes, legs, line, mass: v["walker_mass_kg"].as_f64().expect("kg"), solves }
}

/// The net of one of the 26 solves, from the drawn geometry.
fn net(p: &Problem, solve: &Value) -> Net {
    let mut nodes: Vec<Node> = p.nodes.iter().map(|(_, n)| n.clone()).collect();
    let (a, b, length, ea, kg) = p.line;
    let law = Arc::new(StrainLaw::linear(ea).expect("positive"));
    let zone = |l: f64| vec![Zone { length_m: l, load_n_per_m: DVec3::new(0.0, 0.0, -9.80665 * kg), law: law.clone() }];
    let mut members = Vec::new();
    match solve["s_frac"].as_f64() {
        Some(s) => {
            let place = nodes[a].place.lerp(nodes[b].place, s);
            nodes.push(Node { place, fixed: false, load_n: DVec3::new(0.0, 0.0, -9.80665 * p.mass) });
            let w = nodes.len() - 1;
            members.push(Member::Span(Span { a, b: w, zones: zone(length * s) }));
            members.push(Member::Span(Span { a: w, b, zones: zone(length * (1.0 - s)) }));
        }
        None => members.push(Member::Span(Span { a, b, zones: zone(length) })),
    }
    for (name, a, b, l, ea) in &p.legs {
        if solve["cut"].as_str() == Some(name) {
            continue;
        }
        let law = Arc::new(StrainLaw::linear(*ea).expect("positive"));
        let piece = Piece { length_m: *l, gauge_m: *l, law };
        members
            .push(Member::Link(Link::new(vec![*a, *b], Arc::new(LengthLaw::series(vec![piece]).expect("stretches")))));
    }
    Net { nodes, members }
}

/// Largest error of a leg's tension over the line's tension, against the exact values in the file.
fn error(p: &Problem, solve: &Value) -> f64 {
    let net = net(p, solve);
    let s = equilibrium::solve(&net, None);
    assert!(certify(&net, &s).holds());
    let line = solve["exact_line_TA_N"].as_f64().expect("N");
    let legs: Vec<&String> =
        p.legs.iter().map(|l| &l.0).filter(|n| solve["cut"].as_str() != Some(n.as_str())).collect();
    let tensions: Vec<f64> = s
        .members
        .iter()
        .filter_map(|m| match m {
            MemberState::Link { tension_n, .. } => Some(*tension_n),
            _ => None,
        })
        .collect();
    legs.iter()
        .zip(tensions)
        .map(|(n, t)| (t - solve["exact_legs_N"][format!("T_{n}_N")].as_f64().expect("N")).abs() / line)
        .fold(0.0, f64::max)
}

fn plan(name: &str) -> PlanFile {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("plans").join(name);
    PlanFile::open(&path).unwrap_or_else(|e| panic!("{}", e.show(name)))
}

/// A line of `n / 2` segments, each with a backup beside it, between two anchors of `n / 4` legs: cost against size.
fn large(n: usize) -> Net {
    let chain = |l: f64, ea: f64| {
        let law = Arc::new(StrainLaw::linear(ea).expect("positive"));
        Arc::new(LengthLaw::series(vec![Piece { length_m: l, gauge_m: l, law }]).expect("stretches"))
    };
    let segments = n / 4;
    let mut nodes: Vec<Node> = (0..=segments)
        .map(|i| Node {
            place: DVec3::new(50.0 * i as f64, 0.0, 0.0),
            fixed: false,
            load_n: DVec3::new(0.0, 0.0, if i == segments / 2 { -800.0 } else { -1.0 }),
        })
        .collect();
    let law = Arc::new(StrainLaw::linear(1e6).expect("positive"));
    let mut members = Vec::new();
    for i in 0..segments {
        let zones = vec![Zone { length_m: 49.7, load_n_per_m: DVec3::new(0.0, 0.0, -0.9), law: law.clone() }];
        members.push(Member::Span(Span { a: i, b: i + 1, zones }));
        members.push(Member::Link(Link::new(vec![i, i + 1], chain(52.0, 1e6))));
    }
    for side in [0, segments] {
        for k in 0..n / 4 {
            let aside = k as f64 / (n / 4) as f64 * 4.0 - 2.0;
            let off = DVec3::new(if side == 0 { -3.0 } else { 3.0 }, aside, 0.0);
            nodes.push(Node { place: nodes[side].place + off, fixed: true, load_n: DVec3::ZERO });
            members.push(Member::Link(Link::new(vec![nodes.len() - 1, side], chain(off.length(), 1.5e6))));
        }
    }
    Net { nodes, members }
}

/// Falls and failures: all of them on all cores, the first results, and one leash fall at 80 elements and 2 ms.
fn motion(name: &str, file: &PlanFile) {
    let times = if name.starts_with("heron") { 3 } else { 7 };
    let never = AtomicBool::new(false);
    let mut first = Vec::new();
    let all = time(times, || {
        let began = Instant::now();
        let mut told = 0;
        let mut desk = Desk::open(file).expect("a rig");
        desk.all(&never, |_| {
            told += 1;
            // The first tale is of statics alone, the second has falls in it.
            if told == 2 {
                first.push(began.elapsed().as_secs_f64() * 1e6);
            }
        });
    });
    first.sort_by(f64::total_cmp);
    let desk = Desk::open(file).expect("a rig");
    say(&format!("all {} falls and failures of {name}, all cores", desk.events().len()), all);
    say("  to the first falls", (first[first.len() / 2], first[first.len() - 1]));
    if let Some(event) = desk.events().first() {
        let grain = Grain { elements: 80, usual: 80, step_s: 0.002 };
        say("  one leash fall, 80 elements, 2 ms", time(20, || drop(black_box(desk.play_at(event, grain)))));
        let usual = desk.play_at(event, grain).peaks.leash_n;
        let fine = desk.play_at(event, Grain { elements: 320, usual: 320, step_s: 0.0005 }).peaks.leash_n;
        println!(
            "  its leash peak {usual:.0} N, at a four times finer mesh {fine:.0} N ({:+.2} %)",
            100.0 * (usual / fine - 1.0)
        );
    }
}

fn main() {
    let p = problem();
    let worst = p.solves.iter().map(|s| error(&p, s)).fold(0.0, f64::max);
    println!("26 solves: worst leg error over line tension {worst:.1e}");
    say(
        "26 solves of the comparison set, cold, nets built each time",
        time(300, || {
            for s in &p.solves {
                black_box(equilibrium::solve(&net(&p, s), None));
            }
        }),
    );
    for name in ["kestrel-gap-62m.ron", "lantern-quarry-28m.ron", "heron-valley-410m.ron", "crow-steps-44m.ron"] {
        let file = plan(name);
        let cases = Desk::open(&file).map_or(0, |d| d.review().cases.len());
        say(
            &format!("statics of {name} reviewed ({cases} situations)"),
            time(60, || {
                let _ = black_box(Desk::open(&file).map(|d| d.review()));
            }),
        );
        // What it says of the trip, block by block: statics with that block alone, over statics without any.
        let only = |keep: &str| {
            let mut f = plan(name);
            let gone = |block: &str| block != keep;
            f.plan.crossing.take_if(|_| gone("crossing"));
            f.plan.rescue.take_if(|_| gone("rescue"));
            for (block, clear) in [("ties", 0), ("days", 1), ("claims", 2)] {
                match clear {
                    _ if !gone(block) => {}
                    0 => f.plan.ties.clear(),
                    1 => f.plan.days.clear(),
                    _ => f.plan.claims.clear(),
                }
            }
            f
        };
        for block in ["nothing of the trip", "crossing", "rescue", "ties", "days", "claims"] {
            let file = only(block);
            say(
                &format!("  the same with {block}"),
                time(40, || {
                    let _ = black_box(Desk::open(&file).map(|d| d.review()));
                }),
            );
        }
        motion(name, &file);
        let text = file.text.clone();
        say(
            &format!("reading {name}"),
            time(60, || {
                let _ = black_box(PlanFile::parse(name, text.clone()));
            }),
        );
        let solver = in_view(&file).expect("a rig");
        let at = |x: f64| Case::walker(&file.plan, x).load;
        let (_, start) = solver.quick(&at(0.5), None);
        let steps = solver.quick(&at(0.51), Some(&start)).1.history.len() - 1;
        say(
            &format!("  one static solve, warm, walker moved by 1 %, {steps} steps"),
            time(500, || {
                black_box(solver.quick(&at(0.51), Some(&start)));
            }),
        );
        say(
            "  one static solve, cold",
            time(500, || {
                black_box(solver.quick(&at(0.5), None));
            }),
        );
    }
    for n in [25, 50, 100, 200, 400] {
        let net = large(n);
        let steps = equilibrium::solve(&net, None).history.len();
        say(
            &format!("{n} runs, cold, {steps} steps"),
            time(20, || {
                black_box(equilibrium::solve(&net, None));
            }),
        );
    }
    for name in ["kestrel-gap-62m.ron", "heron-valley-410m.ron"] {
        frames(name);
    }
    #[cfg(unix)]
    program::figures();
}

/// From a key press to the finished frame at 120x40.
fn frames(name: &str) {
    let mut app = App::new(plan(name), None, Settings::default());
    let mut terminal = Terminal::new(TestBackend::new(120, 40)).expect("a terminal");
    for e in app.take_effects() {
        if let Effect::Review(job) = e {
            job.run(|done| app.reviewed(done));
        }
    }
    let mut press = |app: &mut App, key: &str| {
        app.press(Press::parse(key).expect("a key"));
        terminal
            .draw(|f| {
                spanwright::tui::draw(f, app);
            })
            .expect("drawn");
    };
    let runs: &[(&str, &[&str])] = &[
        ("walker key", &["left", "left", "right", "right"]),
        ("next piece", &["down", "down", "up", "up"]),
        ("next pane", &["tab"]),
    ];
    for (what, keys) in runs {
        let mut i = 0;
        say(
            &format!("{name}: {what} to finished frame"),
            time(1000, || {
                press(&mut app, keys[i % keys.len()]);
                i += 1;
            }),
        );
    }
    // The sliders of the pages: how far over, where one hangs, which step.
    for page in ["2", "4", "5"] {
        press(&mut app, page);
        let mut i = 0;
        say(
            &format!("{name}: slider of page {page} to finished frame"),
            time(1000, || {
                press(&mut app, if i % 8 < 4 { "right" } else { "left" });
                i += 1;
            }),
        );
        press(&mut app, "1");
    }
    app.pane = spanwright::app::Pane::Drawing;
    let mut i = 0;
    say(
        &format!("{name}: closer, farther to finished frame"),
        time(1000, || {
            press(&mut app, if i % 8 < 4 { "+" } else { "-" });
            i += 1;
        }),
    );
    app.select(spanwright::app::Selected::Point("A bolt 1".to_owned()));
    app.run("double");
    let mut i = 0;
    say(
        &format!("{name}: edit (undo, redo) to finished frame"),
        time(1000, || {
            press(&mut app, if i % 2 == 0 { "u" } else { "U" });
            i += 1;
            // What waits to be reviewed is another thread's work.
            app.take_effects();
        }),
    );
}

/// The released program itself, in a pseudo-terminal.
#[cfg(unix)]
mod program {
    use std::io::{Read as _, Write as _};
    use std::sync::mpsc::{Receiver, channel};
    use std::time::{Duration, Instant};

    use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

    struct Running {
        _master: Box<dyn MasterPty + Send>,
        child: Box<dyn Child + Send + Sync>,
        writer: Box<dyn std::io::Write + Send>,
        output: Receiver<Vec<u8>>,
    }

    fn start(state: &std::path::Path) -> Running {
        let size = PtySize { rows: 40, cols: 120, pixel_width: 0, pixel_height: 0 };
        let pty = native_pty_system().openpty(size).expect("a pseudo-terminal");
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_spanwright"));
        command.env("XDG_STATE_HOME", state);
        command.env("TERM", "xterm-256color");
        let child = pty.slave.spawn_command(command).expect("started");
        let mut reader = pty.master.try_clone_reader().expect("reader");
        let writer = pty.master.take_writer().expect("writer");
        let (sender, output) = channel();
        std::thread::spawn(move || {
            let mut buffer = [0; 16384];
            while let Ok(n) = reader.read(&mut buffer) {
                if n == 0 || sender.send(buffer[..n].to_vec()).is_err() {
                    return;
                }
            }
        });
        Running { _master: pty.master, child, writer, output }
    }

    /// Reads until `text` is on the screen.
    fn until(r: &Running, text: &str) {
        let mut screen = vt100::Parser::new(40, 120, 0);
        while let Ok(bytes) = r.output.recv_timeout(Duration::from_secs(20)) {
            screen.process(&bytes);
            if screen.screen().contents().contains(text) {
                return;
            }
        }
        panic!("never drawn: {text}");
    }

    fn end(mut r: Running) {
        r.writer.write_all(b"q").expect("typed");
        r.writer.flush().expect("typed");
        r.child.wait().expect("ended");
    }

    /// Ticks of processor time that a process has taken, a hundred to a second.
    fn ticks(pid: u32) -> Option<u64> {
        let stat = std::fs::read_to_string(format!("/proc/{pid}/stat")).ok()?;
        let after = stat.rsplit_once(')')?.1;
        let fields: Vec<&str> = after.split_whitespace().collect();
        Some(fields.get(11)?.parse::<u64>().ok()? + fields.get(12)?.parse::<u64>().ok()?)
    }

    pub(super) fn figures() {
        let state = tempfile::tempdir().expect("folder");
        // The first frame, and the first whole review.
        for text in ["planning aid", "situations"] {
            let mut took: Vec<f64> = (0..20)
                .map(|_| {
                    let began = Instant::now();
                    let r = start(state.path());
                    until(&r, text);
                    let t = began.elapsed().as_secs_f64() * 1e6;
                    end(r);
                    t
                })
                .collect();
            took.sort_by(f64::total_cmp);
            super::say(&format!("start to “{text}” drawn, 20 starts"), (took[10], took[19]));
        }
        let r = start(state.path());
        until(&r, "situations");
        std::thread::sleep(Duration::from_secs(1));
        r.output.try_iter().for_each(drop);
        let pid = r.child.process_id().expect("running");
        if let Some(before) = ticks(pid) {
            std::thread::sleep(Duration::from_secs(30));
            let used = ticks(pid).unwrap_or(before) - before;
            println!(
                "idle for 30 s: {} ms of processor time, {} bytes drawn",
                used * 10,
                r.output.try_iter().map(|b| b.len()).sum::<usize>()
            );
        }
        end(r);
    }
}
