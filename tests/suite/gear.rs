//! What somebody owns: which pieces serve, what must stay at home, lists brought into one, spreadsheets, logs.

use std::path::{Path, PathBuf};
use std::process::Command;

use jiff::civil::Date;
use spanwright::catalogue::Catalogue;
use spanwright::inventory::{Inventory, InventoryFile, at_least, fits, merge, ron};

const CLUB: &str = include_str!("../../assets/club-gear.ron");

fn day(text: &str) -> Date {
    text.parse().expect("a day")
}

fn today() -> Date {
    day("2026-11-30")
}

fn read(text: &str) -> Result<Inventory, String> {
    InventoryFile::parse("gear.ron", text.to_owned(), today(), Catalogue::builtin()).map(|f| f.inventory)
}

fn run(args: &[&str]) -> (i32, String, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_spanwright")).args(args).output().expect("runs");
    let text = |b: Vec<u8>| String::from_utf8(b).expect("utf-8");
    (out.status.code().unwrap_or(-1), text(out.stdout), text(out.stderr))
}

fn plan(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("plans").join(format!("{name}.ron")).display().to_string()
}

fn in_folder(folder: &tempfile::TempDir, name: &str, text: &str) -> String {
    let path: PathBuf = folder.path().join(name);
    std::fs::write(&path, text).expect("written");
    path.display().to_string()
}

/// The most needs that any choice meets, by trying all of them.
fn most(needs: &[&dyn Fn(f64) -> bool], pieces: &[f64], used: u32) -> usize {
    let Some((first, rest)) = needs.split_first() else { return 0 };
    let without = most(rest, pieces, used);
    let with = (0..pieces.len()).filter(|p| used & (1 << p) == 0 && first(pieces[*p]));
    with.map(|p| 1 + most(rest, pieces, used | (1 << p))).max().unwrap_or(0).max(without)
}

/// As many needs are met as can be: the two stored cases (brute force), and small random ones against brute force.
#[test]
fn what_serves_is_as_much_as_can_be() {
    let met = |got: &[Option<usize>]| {
        let mut served: Vec<usize> = got.iter().flatten().copied().collect();
        let n = served.len();
        served.sort_unstable();
        served.dedup();
        assert_eq!(served.len(), n, "a piece serves once");
        n
    };
    assert_eq!(met(&at_least(&[60.9, 63.3, 39.0, 10.0], &[40.0, 65.0, 61.0, 12.0])), 4);
    assert_eq!(met(&fits(&[(3.38, 0.03), (3.36, 0.03), (3.12, 0.03)], &[3.35, 3.4, 3.2], |_, _| true)), 2);
    let mut rng = fastrand::Rng::with_seed(20_261_130);
    for _ in 0..400 {
        let pieces: Vec<f64> = (0..rng.usize(0..6)).map(|_| f64::from(rng.u32(1..12))).collect();
        let needs: Vec<(f64, f64)> =
            (0..rng.usize(0..6)).map(|_| (f64::from(rng.u32(1..12)), f64::from(rng.u32(0..3)))).collect();
        let long: Vec<Box<dyn Fn(f64) -> bool>> = needs
            .iter()
            .map(|(m, _)| {
                let m = *m;
                Box::new(move |p: f64| p >= m) as Box<dyn Fn(f64) -> bool>
            })
            .collect();
        let near: Vec<Box<dyn Fn(f64) -> bool>> = needs
            .iter()
            .map(|(m, by)| {
                let (m, by) = (*m, *by);
                Box::new(move |p: f64| (p - m).abs() <= by) as Box<dyn Fn(f64) -> bool>
            })
            .collect();
        let of = |all: &[Box<dyn Fn(f64) -> bool>]| most(&all.iter().map(|b| &**b).collect::<Vec<_>>(), &pieces, 0);
        let got = at_least(&needs.iter().map(|n| n.0).collect::<Vec<_>>(), &pieces);
        assert!(needs.iter().zip(&got).all(|(n, g)| g.is_none_or(|p| pieces[p] >= n.0)));
        assert_eq!(met(&got), of(&long), "{needs:?} {pieces:?}");
        let got = fits(&needs, &pieces, |_, _| true);
        assert!(needs.iter().zip(&got).all(|(n, g)| g.is_none_or(|p| (pieces[p] - n.0).abs() <= n.1)));
        assert_eq!(met(&got), of(&near), "{needs:?} {pieces:?}");
        // Some go only on some: as many as trying all of it meets.
        let goes: Vec<Vec<bool>> = needs.iter().map(|_| pieces.iter().map(|_| rng.bool()).collect()).collect();
        let got = fits(&needs, &pieces, |k, p| goes[k][p]);
        assert!(got.iter().enumerate().all(|(k, g)| g.is_none_or(|p| goes[k][p])));
        assert_eq!(met(&got), most_that_go(&needs, &pieces, &goes, 0, 0), "{needs:?} {pieces:?} {goes:?}");
    }
}

/// The most needs from `k` on that can be met, by trying every piece for each.
fn most_that_go(needs: &[(f64, f64)], pieces: &[f64], goes: &[Vec<bool>], k: usize, taken: u32) -> usize {
    if k == needs.len() {
        return 0;
    }
    let (m, by) = needs[k];
    let free = |p: &usize| taken >> p & 1 == 0 && (pieces[*p] - m).abs() <= by && goes[k][*p];
    let with = (0..pieces.len()).filter(free).map(|p| 1 + most_that_go(needs, pieces, goes, k + 1, taken | 1 << p));
    with.max().unwrap_or(0).max(most_that_go(needs, pieces, goes, k + 1, taken))
}

/// A spreadsheet and the file say the same, both ways, whatever stands in a note.
#[test]
fn a_spreadsheet_says_what_the_file_says() {
    let folder = tempfile::tempdir().expect("a folder");
    let odd = CLUB
        .replace("note: \"proof 20 kN\"", "note: \"proof 20 kN, \\\"slow\\\"; a, b\\nnext line é\"")
        .replace("falls: 9)", "falls: 9, catches: 1, hardest: \"4.123456789 kN\", sun: \"5.25 h\")")
        .replacen("sun: \"5 h\", ", "", 1);
    let before = in_folder(&folder, "gear.ron", &odd);
    let at = |name: &str| folder.path().join(name).display().to_string();
    let wrote = run(&["gear", "write", &before, "-o", &at("a.csv"), "--on", "2026-11-30"]);
    assert_eq!(wrote.0, 0, "{}", wrote.2);
    assert!(folder.path().join("a-log.csv").is_file());
    assert_eq!(run(&["gear", "write", &at("a.csv"), "-o", &at("b.ron"), "--on", "2026-11-30"]).0, 0);
    let all = |text: &str| {
        let mut all = read(text).unwrap_or_else(|e| panic!("{e}"));
        let owner = all.owner.clone();
        all.pieces.values_mut().for_each(|p| {
            if p.owner.is_empty() {
                p.owner.clone_from(&owner);
            }
        });
        all.counted.iter_mut().for_each(|c| {
            if c.owner.is_empty() {
                c.owner.clone_from(&owner);
            }
        });
        Inventory { owner: String::new(), ..all }
    };
    let back = std::fs::read_to_string(at("b.ron")).expect("written");
    assert_eq!(all(&odd), all(&back));
    assert_eq!(all(&ron(&all(&odd))), all(&odd), "and by the file's own writer");
    // Nothing that is there is written over.
    let again = run(&["gear", "write", &before, "-o", &at("b.ron"), "--on", "2026-11-30"]);
    assert!(again.0 == 2 && again.2.contains("is there already"), "{again:?}");
    // Columns in any order; a look in the row of a piece is enough.
    let rows = "made,id,length_m,kind,inspected,result\nLine,W1,70,webbing-polyester-25,2026-04-11,Pass\nLine,W2,70,webbing-polyester-25,2026-04-11,Fail\n";
    let few = in_folder(&folder, "few.csv", rows);
    let (code, out, err) = run(&["gear", "list", &few, "--on", "2026-11-30"]);
    assert_eq!(code, 1, "{err}");
    let line = |id: &str| out.lines().find(|l| l.starts_with(id)).unwrap_or_else(|| panic!("{out}"));
    assert!(line("W1").contains("may come") && line("W2").contains("found unfit on 2026-04-11"), "{out}");
}

/// Every fault of an inventory has its place and says what to write.
#[test]
fn faults_have_their_place() {
    let faults: &[(&str, &str, &[&str])] = &[
        ("kind: \"hmpe-8\"", "kind: \"hmpe-88\"", &["pieces.\"HM8-011\".kind", "did you mean “hmpe-8”"]),
        ("kind: \"quick-link-12\"", "kind: \"quick-lin-12\"", &["counted[1].kind", "did you mean"]),
        ("maker_date: \"2026-03-01\"", "maker_date: \"2027-03-01\"", &["maker_date", "still to come"]),
        ("in_use_since: \"2026-03-15\"", "in_use_since: \"2026-02-15\"", &["in_use_since", "before it was made"]),
        ("maker_date: \"2024-02-01\"", "maker_date: \"2024-02-30\"", &["maker_date", "is no date", "2026-10-03"]),
        ("made: Line, length: \"71 m\", ", "made: Line, ", &["W25-3 has no length", "length:"]),
        ("made: Line, length: \"71 m\"", "made: Lin, length: \"71 m\"", &["pieces.\"W25-3\".made", "Line"]),
        ("length: \"71 m\"", "length: \"71\"", &["needs its unit", "62 m"]),
        ("event: Rigged, plan: \"otter-gap-48m\"", "event: Rigged", &["of what plan is not said", "plan:"]),
        ("eyes: (\"80 mm\", \"80 mm\")", "eyes: (\"80 m\", \"80 mm\")", &["an eye is longer than the piece"]),
        (
            "Entry(on: \"2026-04-11\", event: Inspected, by: \"m.k.\"),",
            "Entry(on: \"2020-04-11\", event: Inspected),",
            &["before it was made"],
        ),
        ("Entry(on: \"2026-08-02\"", "Entry(on: \"2027-08-02\"", &["still to come"]),
        ("place: \"box 1\"", "palce: \"box 1\"", &["palce", "did you mean place"]),
        ("\"W25-5\": Piece", "\"W25-3\": Piece", &["W25-3", "twice"]),
        ("format: 2", "format: 3", &["form 3 of an inventory is not known"]),
        ("leash-dynamic\", length", "leash-dynamic\", made: Sling, length", &["nothing is made of leash-dynamic"]),
    ];
    assert!(read(CLUB).is_ok(), "{:?}", read(CLUB));
    for (old, new, said) in faults {
        assert!(CLUB.contains(old), "{old}");
        let told = read(&CLUB.replacen(old, new, 1)).expect_err(new);
        assert!(said.iter().all(|s| told.contains(s)), "{new}: {told}");
    }
    // Spreadsheets: by row and column.
    let folder = tempfile::tempdir().expect("a folder");
    let head = "id,kind,made,length_m,count,inspected,result,retired\n";
    let rows: &[(&str, &str, &[&str])] = &[
        ("id,knid\n", "", &["row 1", "no column is called “knid”", "did you mean “kind”"]),
        ("id,id\n", "", &["row 1", "two columns are called id"]),
        (head, "W1,webbing-polyester-25,Line,x,,,,\n", &["row 2, length_m", "62 m"]),
        (head, "W1,webbing-polyester-2,Line,70,,,,\n", &["row 2, kind", "did you mean"]),
        (head, "\nW1,webbing-polyester-25,Lien,70,,,,\n", &["row 3, made"]),
        (head, "W1,webbing-polyester-25,Line,70,3,,,\n", &["row 2", "leave count and kit empty"]),
        (head, "W1,webbing-polyester-25,Line,70,,2026-04-11,fine,\n", &["row 2", "write Pass or Fail"]),
        (head, "W1,webbing-polyester-25\n", &["row 2"]),
        (head, "W1,hmpe-8,Line,70,,,,\nW1,hmpe-8,Line,70,,,,\n", &["W1", "twice"]),
    ];
    for (k, (head, row, said)) in rows.iter().enumerate() {
        let file = in_folder(&folder, &format!("{k}.csv"), &format!("{head}{row}"));
        let (code, _, told) = run(&["gear", "list", &file]);
        assert!(code == 2 && said.iter().all(|s| told.contains(s)), "{row}: {told}");
    }
    let pieces = in_folder(&folder, "log.csv", &format!("{head}W1,webbing-polyester-25,Line,70,,,,\n"));
    in_folder(&folder, "log-log.csv", "id,date,event\nW2,2026-04-11,Inspected\n");
    let (code, _, told) = run(&["gear", "list", &pieces]);
    assert!(code == 2 && told.contains("log-log.csv, row 2") && told.contains("no piece is called “W2”"), "{told}");
}

/// What a log adds up to decides whether a piece may come. Days of webbing by fibre and strength: International Slackline
/// Association, guidance on webbing, 2022 (polyester of 26 to 30 kN: 360 days; nylon of 26 kN: 360, of 22 kN: 180). A season, 200
/// falls and five years of HMPE: common practice, no source.
#[test]
fn what_happened_to_a_piece_decides() {
    let of = |kind: &str, more: &str, log: &str| {
        let text = format!(
            "Inventory(format: 2, pieces: {{\"P\": Piece(kind: \"{kind}\", made: Line, length: \"70 m\", {more} log: [{log}])}})"
        );
        let all = read(&text).unwrap_or_else(|e| panic!("{e}"));
        let catalogue = Catalogue::builtin();
        let item = catalogue.get(kind).expect("an item").as_ref();
        let piece = &all.pieces["P"];
        (piece.unfit(Some(item), today(), "here").map(|u| u.to_string()), piece.worth_a_word(Some(item), today()))
    };
    let seen = "Entry(on: \"2026-11-01\", event: Inspected),";
    let stays = |log: &str| of("hmpe-8", "", &format!("{seen}{log}")).0;
    assert_eq!(stays(""), None);
    for (event, word) in [
        ("EdgeContact", "looked over first"),
        ("Lightning", "looked over first"),
        ("Flogged", "looked over first"),
        ("LockSlipped", "looked over first"),
        ("Dropped", "looked over first"),
        ("Shock", "looked over first"),
        ("Repaired", "looked over first"),
        ("Failed", "found unfit"),
        ("Retired", "retired on"),
        ("Lost", "not brought home"),
    ] {
        let entry = format!("Entry(on: \"2026-11-02\", event: {event}),");
        assert!(stays(&entry).is_some_and(|w| w.contains(word)), "{event}: {:?}", stays(&entry));
        let looked = stays(&format!("{entry}Entry(on: \"2026-11-03\", event: Inspected),"));
        // A look mends what a look can see; what is gone or retired stays so.
        assert_eq!(looked.is_none(), !matches!(event, "Retired" | "Lost"), "{event}: {looked:?}");
        // What is written of a later day does not count yet.
        let later = entry.replace("2026-11-02", "2026-11-30");
        assert!(stays(&later).is_some(), "{event} on the day itself counts");
    }
    let out = |plan: &str| stays(&format!("Entry(on: \"2026-11-02\", event: Out, plan: \"{plan}\"),"));
    assert!(out("there").is_some_and(|w| w.contains("out for there")) && out("here").is_none());
    let back = "Entry(on: \"2026-11-02\", event: Out, plan: \"there\"), Entry(on: \"2026-11-03\", event: Back, plan: \"there\"),";
    assert_eq!(stays(back), None);
    // Looked over within a season of 365 days, to the day.
    assert_eq!(of("hmpe-8", "", "Entry(on: \"2025-11-30\", event: Inspected)").0, None);
    assert!(
        of("hmpe-8", "", "Entry(on: \"2025-11-29\", event: Inspected)").0.is_some_and(|w| w.contains("2025-11-29"))
    );
    assert!(of("hmpe-8", "", "").0.is_some_and(|w| w.contains("never looked over")));
    assert!(of("hmpe-8", "retire_by: \"2026-11-30\",", seen).0.is_some_and(|w| w.contains("2026-11-30")));
    let aged = |since: &str| of("hmpe-8", &format!("in_use_since: \"{since}\","), seen);
    assert!(aged("2021-11-30").0.is_some() && aged("2021-12-10").0.is_none() && aged("2022-11-01").1.is_some());
    // Days: each day begun counts whole, two entries of one plan on one day once.
    let rigged = |kind: &str, days: usize| {
        let entry = |k: usize| {
            let on = day("2020-01-01").checked_add(jiff::Span::new().days(k as i64)).expect("a day");
            format!("Entry(on: \"{on}\", event: Rigged, plan: \"x\", up: \"8 h\"), ")
        };
        let log = (0..days).map(entry).collect::<Vec<_>>().concat();
        of(kind, "", &format!("{log}{seen}"))
    };
    let catalogue = Catalogue::builtin();
    let kn = |kind: &str| catalogue.get(kind).and_then(|i| i.strength_n()).expect("rated") / 1e3;
    let given = catalogue.iter().find_map(|(id, i)| {
        use spanwright::catalogue::{Class, Fibre};
        let days = match (i.fibre, kn_of(i)) {
            (Fibre::Nylon, n) if n >= 30.0 => 720,
            (Fibre::Nylon, n) if n >= 26.0 => 360,
            (Fibre::Polyester, n) if (26.0..30.0).contains(&n) => 360,
            _ => return None,
        };
        (i.class == Class::Webbing).then(|| (id.to_owned(), days))
    });
    let (kind, days) = given.expect("webbing that is given days");
    assert!(kn(&kind) > 20.0);
    assert!(rigged(&kind, days - 1).0.is_none() && rigged(&kind, days - 1).1.is_some_and(|w| w.contains('%')));
    assert!(rigged(&kind, days).0.is_some_and(|w| w.contains("100 %")));
    assert!(rigged(&kind, days / 2).1.is_none());
    assert!(
        of(&kind, "", seen).1.is_none()
            && of(&kind, "in_use_since: \"2026-11-01\",", "").1.is_some_and(|w| w.contains("not known"))
    );
    let two = "Entry(on: \"2026-01-01\", event: Rigged, plan: \"x\", falls: 3), Entry(on: \"2026-01-01\", event: Rigged, plan: \"x\", falls: 4), Entry(on: \"2026-01-03\", event: Rigged, plan: \"x\", up: \"50 h\"),";
    let all = read(&format!(
        "Inventory(format: 2, pieces: {{\"P\": Piece(kind: \"{kind}\", length: \"70 m\", log: [{two}])}})"
    ))
    .expect("reads");
    let had = all.pieces["P"].history(today());
    assert_eq!((had.days, had.falls), (4, 7));
}

fn kn_of(item: &spanwright::catalogue::Item) -> f64 {
    item.strength_n().map_or(0.0, |n| n / 1e3)
}

/// Several lists are a union; what is retired, lost or failed in any of them is so; the rest that they disagree on is said.
#[test]
fn several_lists_become_one() {
    let a = read(CLUB).expect("reads");
    let with = |old: &str, new: &str| {
        assert!(CLUB.contains(old), "{old}");
        read(&CLUB.replacen(old, new, 1)).unwrap_or_else(|e| panic!("{e}"))
    };
    // The same twice: pieces once, counted ones together.
    let same = merge(&[("a", &a), ("b", &a)], None);
    assert!(same.conflicts.is_empty() && same.inventory.pieces == a.pieces);
    assert_eq!(same.inventory.count("bow-shackle-3t", today()), 18);
    // Retired in one is retired.
    let retired = with(
        "Entry(on: \"2026-04-11\", event: Inspected, by: \"m.k.\", note: \"proof 20 kN\"),",
        "Entry(on: \"2026-09-01\", event: Retired, note: \"cut\"),",
    );
    for files in [[("a", &a), ("b", &retired)], [("b", &retired), ("a", &a)]] {
        let both = merge(&files, None);
        assert!(both.conflicts.is_empty(), "{:?}", both.conflicts);
        let gone = both.inventory.pieces["HM8-011"].unfit(None, today(), "");
        assert!(gone.is_some_and(|w| w.to_string().contains("retired on 2026-09-01: cut")));
        assert_eq!(both.inventory.pieces["HM8-011"].log.len(), 2);
    }
    // A look and a fault on one day, each in one list alone: the fault stands, whichever list comes first. What one list has of a
    // day in its own order stays in it.
    let looked = with(
        "Entry(on: \"2026-08-02\", event: EdgeContact",
        "Entry(on: \"2026-08-03\", event: Inspected), Entry(on: \"2026-08-02\", event: EdgeContact",
    );
    let knocked = with(
        "Entry(on: \"2026-08-02\", event: EdgeContact",
        "Entry(on: \"2026-08-03\", event: Failed, note: \"cut\"), Entry(on: \"2026-08-02\", event: EdgeContact",
    );
    for files in [[("a", &looked), ("b", &knocked)], [("b", &knocked), ("a", &looked)]] {
        let both = merge(&files, None).inventory;
        assert!(
            both.pieces["W25-5"]
                .unfit(None, today(), "")
                .is_some_and(|w| w.to_string().contains("found unfit on 2026-08-03: cut"))
        );
    }
    for files in [[("a", &a), ("b", &looked)], [("b", &looked), ("a", &a)]] {
        let both = merge(&files, None).inventory;
        assert_eq!(both.pieces["W25-5"].unfit(None, today(), ""), None);
    }
    // What they disagree on is said with both values, and settled by the one that is preferred.
    let moved = with("place: \"box 1\"", "place: \"attic\"");
    let both = merge(&[("a", &a), ("b", &moved)], None);
    assert_eq!(both.conflicts.len(), 1);
    let c = &both.conflicts[0];
    assert_eq!(
        (c.id.as_str(), c.field, c.said[0].1.as_str(), c.said[1].1.as_str()),
        ("W25-3", "place", "\"box 1\"", "\"attic\"")
    );
    for (prefer, place) in [("a", "box 1"), ("b", "attic")] {
        let settled = merge(&[("a", &a), ("b", &moved)], Some(prefer));
        assert!(settled.conflicts.is_empty() && settled.inventory.pieces["W25-3"].place == place);
    }
    // Whoever is preferred settles what two others disagree on.
    let third = with("place: \"box 1\"", "place: \"van\"");
    let settled = merge(&[("a", &a), ("b", &moved), ("c", &third)], Some("c"));
    assert!(
        settled.conflicts.is_empty() && settled.inventory.pieces["W25-3"].place == "van",
        "{:?}",
        settled.conflicts
    );
    // Another club's keeps its owner.
    let theirs = with("owner: \"Kestrel club\"", "owner: \"Otter club\"");
    let both = merge(&[("a", &a), ("b", &theirs)], None);
    assert!(both.conflicts.iter().all(|c| c.field == "owner") && both.conflicts.len() == a.pieces.len());
    // By the command: exit 2 and both files named.
    let folder = tempfile::tempdir().expect("a folder");
    let one = in_folder(&folder, "one.ron", CLUB);
    let two = in_folder(&folder, "two.ron", &CLUB.replacen("place: \"box 1\"", "place: \"attic\"", 1));
    let (code, _, told) = run(&["gear", "list", &one, &two, "--on", "2026-11-30"]);
    let line = CLUB.lines().position(|l| l.contains("place: \"box 1\"")).expect("a place") + 1;
    assert!(code == 2 && told.contains(&format!("one.ron:{line} has \"box 1\"")), "{told}");
    assert!(told.contains(&format!("two.ron:{line} has \"attic\"")), "{told}");
    // A spreadsheet by its row.
    let csv = folder.path().join("three.csv").display().to_string();
    assert_eq!(run(&["gear", "write", &one, "-o", &csv, "--on", "2026-11-30"]).0, 0);
    let text = std::fs::read_to_string(&csv).expect("written").replacen("box 1", "shed", 1);
    let row = text.lines().position(|l| l.contains("shed")).expect("a place") + 1;
    std::fs::write(&csv, text).expect("written");
    let (_, _, told) = run(&["gear", "list", &one, &csv, "--on", "2026-11-30"]);
    assert!(told.contains(&format!("three.csv, row {row} has \"shed\"")), "{told}");
    let (code, out, _) = run(&["gear", "list", &one, &two, "--prefer", &two, "--on", "2026-11-30"]);
    assert!(code == 1 && out.contains("attic"), "{out}");
    let (code, _, told) = run(&[
        "sheet",
        "gear",
        &plan("kestrel-gap-62m"),
        "--inventory",
        &one,
        "--inventory",
        &two,
        "--on",
        "2026-11-30",
    ]);
    assert!(code == 2 && told.contains("--prefer"), "{told}");
}

/// The demo against the club's gear: pieces that the plan names, legs by length, what almost fits, what must stay at home.
#[test]
fn the_demo_is_packed_from_the_clubs_gear() {
    let folder = tempfile::tempdir().expect("a folder");
    let club = in_folder(&folder, "club.ron", CLUB);
    let demo = plan("kestrel-gap-62m");
    let sheet = |demo: &str, club: &str| {
        let (code, out, err) =
            run(&["sheet", "gear", demo, "--inventory", club, "--on", "2026-11-30", "--format", "md"]);
        assert_eq!(code, 0, "{err}");
        out
    };
    let out = sheet(&demo, &club);
    let line =
        |start: &str| out.lines().find(|l| l.contains(start)).unwrap_or_else(|| panic!("{start}: {out}")).to_owned();
    assert!(line("(main, part 3)").contains("id W25-3") && line("(leash, part 1)").contains("id L-2"));
    assert!(line("(backup, part 2)").contains("id W25-5 (see below)"), "to be looked over first");
    assert!(line("(A leg 1, part 2)").contains("between bearings") && line("(A leg 1, part 2)").contains("id HM8-012"));
    // Eyes that do not go on its pins, and eyes that nobody measured.
    let eyes = "\"HM8-012\": Piece(kind: \"hmpe-8\", made: Sling, length: \"3.36 m\", eyes: (\"80 mm\", \"80 mm\"), ";
    assert!(CLUB.contains(eyes));
    let other = |with: &str| {
        let text = CLUB.replace(eyes, &eyes.replace("eyes: (\"80 mm\", \"80 mm\"), ", with));
        sheet(&demo, &in_folder(&folder, "other.ron", &text))
    };
    let small = other("eyes: (\"80 mm\", \"20 mm\"), ");
    assert!(!small.contains("id HM8-012"), "{small}");
    assert!(small.contains("HM8-012 3.36 m: its eyes, 80 mm and 20 mm, are too small: at least "), "{small}");
    let unknown = other("");
    assert!(unknown.contains("id HM8-012"), "{unknown}");
    assert!(unknown.contains("; its eyes are not noted; they go on "), "{unknown}");
    let row = line("| HMPE 12-strand 8 mm |");
    assert!(
        row.contains("| 7 | 1 | 6 |") && row.contains("HM8-003: stays at home, 6.") && row.contains("of 5 years"),
        "{row}"
    );
    assert!(row.contains("HM8-011 3.40 m") && row.contains("too long for 3.32 m"), "{row}");
    // A shorter sling is no longer one: two of three metres serve, one of four is missing.
    assert!(line("| round sling 2 t, green |").contains("| 3 | 2 | 1 |"));
    // What is left over is a spare: nine shackles, seven of them in the rig.
    assert!(line("spare shackle [spare-shackle]").contains("| 2 | 2 | 0 |"));
    // Six: two pull at either side at a rescue, one goes out, and one hangs there.
    assert!(line("| helmet [helmet] |").contains("| 6 | 4 | 2 |"));
    // What the check says of it.
    let check = |demo: &str, club: &str, on: &str| {
        let out = run(&["check", demo, "--all", "--inventory", club, "--on", on]).1;
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let said = check(&demo, &club, "2026-11-30");
    assert!(said.contains("W25-5: ran over an edge on 2026-08-02: to be looked over first"), "{said}");
    assert!(said.contains("webbing lock 25 mm: 4 needed, 0 fit"), "{said}");
    // Looked over, it may come.
    let (code, out, err) = run(&["gear", "look", "W25-5", "--inventory", &club, "--by", "m.k.", "--on", "2026-11-29"]);
    assert!(code == 0 && out.contains("W25-5"), "{err}");
    let said = check(&demo, &club, "2026-11-30");
    assert!(!said.contains("W25-5"), "{said}");
    // The plan's own falls count where the log has not got them: 31 noted, 14 on the day, 160 more are over.
    let worn = in_folder(&folder, "worn.ron", &CLUB.replace("falls: 31", "falls: 186"));
    assert!(check(&demo, &worn, "2026-11-30").contains("L-2: 200 of 200 falls"));
    assert!(!check(&demo, &worn, "2026-10-02").contains("of 200 falls, 1"));
    // A piece that is not what the plan says, is not there, or is too short is a stop.
    for (old, new, word) in [
        ("\"W25-3\": Piece", "\"W25-9\": Piece", "W25-3: the inventory has no such piece"),
        (
            "\"W25-3\": Piece(kind: \"webbing-polyester-25\"",
            "\"W25-3\": Piece(kind: \"webbing-nylon-25\"",
            "W25-3: the plan has webbing-polyester-25, the inventory webbing-nylon-25",
        ),
        ("length: \"71 m\"", "length: \"63 m\"", "W25-3: 63.0 m, 66.4 m needed"),
        ("made: Line, length: \"71 m\"", "made: Sling, length: \"71 m\"", "W25-3: made up for another use"),
        ("leash-dynamic\", length: \"1.4 m\", ", "leash-dynamic\", ", "L-2: of what length is not noted"),
    ] {
        assert!(CLUB.contains(old), "{old}");
        let wrong = in_folder(&folder, "wrong.ron", &CLUB.replacen(old, new, 1));
        let said = check(&demo, &wrong, "2026-11-30");
        assert!(said.contains(word), "{word}: {said}");
    }
}

/// Out, the day, home: each is written into the log, once, and nothing else in the file is touched.
#[test]
fn a_trip_is_written_into_the_log() {
    let folder = tempfile::tempdir().expect("a folder");
    let club = in_folder(&folder, "club.ron", CLUB);
    let demo = plan("kestrel-gap-62m");
    let text = || std::fs::read_to_string(&club).expect("there");
    let gear = |what: &str, more: &[&str]| {
        run(&[&["gear", what, &demo, "--inventory", &club, "--on", "2026-11-30"], more].concat())
    };
    let (code, out, err) = gear("out", &["--by", "a.b."]);
    assert!(code == 0 && out.contains("out for kestrel-gap-62m on 2026-11-30") && out.contains("W25-3"), "{out}{err}");
    assert!(out.contains("stop: ") && out.contains("counted pieces have no log"), "what is missing is said: {out}");
    let packed = text();
    // Nothing but whole entries was added.
    let added: Vec<&str> = packed.lines().filter(|l| !CLUB.lines().any(|c| c == *l)).map(str::trim).collect();
    assert!(
        added
            .iter()
            .all(|l| l.starts_with("Entry(on: \"2026-11-30\", event: Out, by: \"a.b.\", plan: \"kestrel-gap-62m\")")),
        "{added:?}"
    );
    assert!(CLUB.lines().all(|l| packed.contains(l)) && folder.path().join("club.ron.bak").is_file());
    let again = gear("out", &[]);
    assert!(again.1.contains("on 2026-11-30: nothing") && again.1.contains("out for it already: ") && text() == packed);
    // The day's hours, falls and looks; the same day twice adds nothing.
    let (code, out, err) = gear("day", &[]);
    assert!(
        code == 0 && out.contains("2026-10-03 of kestrel-gap-62m written into the logs of W25-3, W25-5, L-2"),
        "{out}{err}"
    );
    let logged = text();
    for entry in [
        "Entry(on: \"2026-10-03\", event: Rigged, by: \"k.\", plan: \"kestrel-gap-62m\", up: \"9 h\", sun: \"6 h\", falls: 14, hardest: \"4.1 kN\")",
        "Entry(on: \"2026-10-03\", event: EdgeContact, by: \"k.\", note: \"pad at A slipped, put back at 14:10\")",
        "event: Inspected, by: \"k.\", note: \"the metre that lay on the edge",
    ] {
        assert!(logged.contains(entry), "{entry}: {logged}");
    }
    let again = gear("day", &[]);
    assert!(again.0 == 0 && again.1.contains("there already: ") && text() == logged, "{again:?}");
    // Home: every piece is accounted for, by name or counted.
    let (code, _, told) = gear("back", &[]);
    assert!(code == 2 && told.contains("still out for kestrel-gap-62m: ") && told.contains("W25-3"), "{told}");
    let (code, _, told) = gear("back", &["--lost", "W25-4"]);
    assert!(code == 2 && told.contains("W25-4 is not out for"), "{told}");
    let (code, _, told) = gear("back", &["--lost", "W25-3", "--damaged", "W25-3", "--rest-back"]);
    assert!(code == 2 && told.contains("in two ways") && text() == logged, "{told}");
    let (code, out, err) = gear("back", &["--damaged", "W25-3", "--lost", "HM8-012", "--rest-back"]);
    assert!(
        code == 0 && out.contains("lost: HM8-012") && out.contains("damaged, and unfit until looked over: W25-3"),
        "{out}{err}"
    );
    let out = run(&["gear", "list", &club, "--on", "2026-11-30"]).1;
    let line = |id: &str| out.lines().find(|l| l.starts_with(id)).unwrap_or_else(|| panic!("{out}")).to_owned();
    assert!(
        line("W25-3").contains("found unfit on 2026-11-30")
            && line("HM8-012").contains("not brought home on 2026-11-30")
    );
    assert!(line("L-2").contains("may come") && line("L-2").contains("falls 45"), "{}", line("L-2"));
    // A log is kept in the second form alone.
    let first = in_folder(
        &folder,
        "first.ron",
        "Inventory(items: [(item: \"quick-link-12\", count: 3, inspected: \"2026-04-11\")])",
    );
    let (code, _, told) = run(&["gear", "out", &demo, "--inventory", &first]);
    assert!(code == 2 && told.contains("first form") && told.contains("gear write"), "{told}");
    let moved = folder.path().join("second.ron").display().to_string();
    assert_eq!(run(&["gear", "write", &first, "-o", &moved]).0, 0);
    assert_eq!(run(&["gear", "list", &moved, "--on", "2026-11-30"]).0, 0);
    let rows = in_folder(&folder, "rows.csv", "id,kind,length_m,made\nW1,hmpe-8,3,Line\n");
    let (code, _, told) = run(&["gear", "out", &demo, "--inventory", &rows]);
    assert!(code == 2 && told.contains("a log is kept in a .ron file"), "{told}");
}
