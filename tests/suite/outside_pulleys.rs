//! Pulley systems against the computed set (`data/computed.json`, kind 8: linear solves) and published tackles
//! (`data/published.json`).

use serde_json::Value;
use spanwright::mechanics::reeving::{Body, Reeving, Rope, Turn, Way};

fn table(text: &str) -> Value {
    serde_json::from_str(text).expect("JSON")
}

/// The computed set says each strand by the places it is between, hand side first; that is a rope by the places it visits.
fn reeving(inputs: &Value) -> (Reeving, Vec<String>) {
    let body = |name: &str| match name {
        "hand" => Body::Hand,
        "anchor" => Body::Anchor,
        "load" => Body::Load,
        _ => Body::Block(0),
    };
    let text = |v: &Value, k: &str| v[k].as_str().expect("words").to_owned();
    let strands = inputs["strands"].as_array().expect("strands");
    let sheaves = inputs["sheaves"].as_array().expect("sheaves");
    let into = |strand: &str| sheaves.iter().find(|s| s["strand_in"] == strand);
    let starts: Vec<&Value> =
        strands.iter().filter(|s| !sheaves.iter().any(|h| h["strand_out"] == s["name"])).collect();
    let mut names = Vec::new();
    let ropes = starts
        .into_iter()
        .map(|start| {
            let strand = |n: &str| strands.iter().find(|s| s["name"] == n).expect("a strand");
            let ends = |s: &Value| [body(&text(s, "near")), body(&text(s, "far"))];
            let mut turns = Vec::new();
            let mut at = start;
            // A rope that no hand pulls starts where it is tied: at its strand's other end.
            let first = into(&text(at, "name")).map(|s| body(&text(s, "on")));
            let from = ends(at).into_iter().find(|e| Some(*e) != first).expect("an end");
            let mut here = from;
            while let Some(s) = into(&text(at, "name")) {
                here = body(&text(s, "on"));
                let keeps = inputs["eta"][text(s, "name")].as_f64().expect("eta");
                turns.push(Turn { on: here, keeps });
                names.push(text(s, "name"));
                at = strand(&text(s, "strand_out"));
            }
            let to = ends(at).into_iter().find(|e| *e != here).expect("an end");
            Rope { from, turns, to }
        })
        .collect();
    (Reeving { ropes }, names)
}

#[test]
fn computed_pulley_systems() {
    let all = table(include_str!("../data/computed.json"));
    let cases = all["cases"].as_array().expect("cases").iter().filter(|c| c["kind"] == 8);
    let mut seen = 0;
    for c in cases {
        let (r, names) = reeving(&c["inputs"]);
        let id = c["id"].as_str().expect("id");
        let pulls = r.pulls(Way::Hauling).unwrap_or_else(|f| panic!("{id}: {f}"));
        let near = |got: f64, key: &str| {
            let want = c["outputs"][key].as_f64().unwrap_or_else(|| panic!("{id}: no {key}"));
            assert!((got - want).abs() <= 1e-9 * want.abs(), "{id} {key}: {got} for {want}");
        };
        near(pulls.load, "load_over_hand_ratio");
        near(r.pulls(Way::Ideal).expect("ideal").load, "ideal_ratio");
        near(r.travel().expect("moves").0, "ideal_ratio");
        near(pulls.load * c["inputs"]["hand_N"].as_f64().expect("hand"), "load_N");
        for (name, force) in names.iter().zip(pulls.sheaves.iter().flatten()) {
            near(*force, &format!("force_{name}_over_hand_ratio"));
        }
        seen += 1;
    }
    assert_eq!(seen, 9);
}

/// T-04 and T-06: tackles of one rope; their books give the whole's efficiency, which one sheave's stands for here.
/// T-05: three movable pulleys, each on its own rope tied to the anchor (velocity ratio 8).
#[test]
fn published_tackles() {
    let near = |got: f64, want: f64, share: f64| assert!((got / want - 1.0).abs() <= share, "{got} for {want}");
    // T-04 (A. K. Tayal, Ex. 8.4): five strands, 75 % of the whole: 1000 N by 266.67 N.
    let five = Reeving::simple(5, true, 1.0).pulls(Way::Ideal).expect("pulls");
    near(1000.0 / (five.load * 0.75), 266.67, 1e-4);
    // T-05 (Khurmi, Ex. 11.17): 320 N by 50 N, friction worth 80 N of load or 10 N of effort, 80 % in all.
    let cascade = Reeving::compound(&[2, 2, 2], false, 1.0);
    let ideal = cascade.pulls(Way::Ideal).expect("pulls").load;
    near(ideal, 8.0, 1e-12);
    near(320.0 / (ideal * 50.0), 0.8, 1e-12);
    near(ideal * 50.0 - 320.0, 80.0, 1e-12);
    near(50.0 - 320.0 / ideal, 10.0, 1e-12);
    // T-06 (Khurmi, Ex. 11.18): two blocks of five sheaves, 1000 N by 125 N: 25 N wasted, or 250 N of load.
    let ten = Reeving::simple(10, false, 1.0).pulls(Way::Ideal).expect("pulls").load;
    near(125.0 - 1000.0 / ten, 25.0, 1e-12);
    near(ten * 125.0 - 1000.0, 250.0, 1e-12);
    // T-01 (NAVEDTRA 14043): six parts over six sheaves, each worth a tenth of the pull: 12 ton without friction, 7.5 with.
    let rule = 6.0 * 2.0 * 10.0 / (10.0 + 6.0);
    near(rule, 7.5, 1e-12);
    let six = |keeps| Reeving::simple(6, true, keeps).pulls(Way::Hauling).expect("pulls");
    near(six(1.0).load * 2.0, 12.0, 1e-12);
    // T-03 (Pipeline Rules of Thumb): plain bearings keep 0.917 and roller bearings 0.962 at a sheave. The rule of a tenth
    // lies below even plain bearings, which cost about a twelfth: it is the cautious one.
    let plain = six(0.917).load * 2.0;
    assert!(rule < plain && plain < 12.0, "{plain}");
    assert!(six(0.962).load > six(0.917).load);
}

/// Common practice, no source: what is pulled over what is put in, for one rope with as many parts, by what each sheave
/// keeps (trade table, rounded to a tenth).
#[test]
fn advantage_by_quality_of_sheave() {
    let table = [
        (0.95, [2.9, 4.5, 6.0, 7.4]),
        (0.90, [2.7, 4.1, 5.2, 6.1]),
        (0.80, [2.4, 3.4, 4.0, 4.3]),
        (0.55, [1.9, 2.1, 2.2, 2.2]),
    ];
    for (keeps, row) in table {
        for (parts, want) in [3, 5, 7, 9].into_iter().zip(row) {
            let got = Reeving::simple(parts, false, keeps).pulls(Way::Hauling).expect("pulls").load;
            assert!((got - want).abs() < 0.06, "{parts} parts at {keeps}: {got:.3} for {want}");
        }
    }
}
