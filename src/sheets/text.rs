//! The review as plain text of 80 columns.

use unicode_width::UnicodeWidthStr;

use super::{CAUTION, VERSION};
use crate::document::{Body, Node, plain};
use crate::plan::{Declared, PlanFile};
use crate::review::{Amount, Class, Finding, Gravity, Review, Row, Verdict};
use crate::units::{Dim, System, show};

/// Columns of a printed page.
pub const WIDTH: usize = 80;

/// `text` broken into lines of at most `width` columns, each after the first indented by `indent`.
#[must_use]
pub fn wrap(text: &str, width: usize, indent: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = " ".repeat(text.len() - text.trim_start().len());
    for word in text.split_whitespace() {
        if !line.trim().is_empty() && line.width() + 1 + word.width() > width {
            lines.push(std::mem::replace(&mut line, " ".repeat(indent)));
        }
        if !line.trim().is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.trim().is_empty() {
        lines.push(line);
    }
    lines
}

/// `text` with its signs replaced by plain ASCII.
#[must_use]
pub fn ascii(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '✗' => 'x',
            '·' | '•' => '.',
            '–' | '—' | '─' => '-',
            '÷' => '/',
            '×' => 'x',
            '→' | '▸' => '>',
            '…' => '.',
            '✓' => '+',
            '■' => 'S',
            '∅' => '#',
            '━' => '=',
            '╸' | '−' => '-',
            '┿' | '┐' | '┘' | '┌' | '└' | '±' => '+',
            '┄' => '.',
            '┊' => ':',
            '▌' => '>',
            '▾' => 'v',
            '←' => '<',
            '↑' => '^',
            '↓' => 'v',
            '◎' => '@',
            '▢' => '#',
            '◇' => 'Q',
            '≠' => '!',
            '│' | '├' | '┤' => '|',
            '┬' | '┴' => '+',
            '◆' => '#',
            '●' => 'O',
            '○' => 'o',
            '█' => '#',
            '°' => 'd',
            '²' => '2',
            'α' => 'a',
            '“' | '”' => '"',
            '√' => 'V',
            c if c.is_ascii() => c,
            _ => '?',
        })
        .collect()
}

fn paragraph(out: &mut String, text: &str, indent: usize) {
    paragraph_of(out, text, indent, WIDTH);
}

fn paragraph_of(out: &mut String, text: &str, indent: usize, width: usize) {
    for l in wrap(text, width, indent) {
        out.push_str(&l);
        out.push('\n');
    }
}

/// `text` cut or filled to `width` columns.
fn cell(text: &str, width: usize) -> String {
    let mut out = String::new();
    let mut used = 0;
    let fits = text.width() <= width;
    for c in text.chars() {
        let w = unicode_width::UnicodeWidthChar::width(c).unwrap_or(0);
        if used + w > if fits { width } else { width.saturating_sub(1) } {
            out.push('…');
            used += 1;
            break;
        }
        out.push(c);
        used += w;
    }
    out + &" ".repeat(width.saturating_sub(used))
}

fn factor(r: &Row) -> String {
    crate::review::factor_text(r.factor)
}

/// How many rows of the worst list are shown unless all are asked for.
const SHOWN: usize = 10;
/// How many lines of falls and failures.
const TOLD: usize = 8;

/// The whole review for people: the limiting piece, the worst first, and why.
#[must_use]
pub fn review_text(file: &PlanFile, review: &Review, system: System, all: bool) -> String {
    let mut out = String::new();
    let f = |n: f64| show(Dim::Force, n, system);
    let l = |m: f64| show(Dim::Length, m, system);
    out += &format!("{}\n", plain(&file.plan.title));
    out += &format!("{}\n", "=".repeat(file.plan.title.width().min(WIDTH)));
    let (stop, caution, note) = counts(review);
    out += &format!(
        "Verdict: {} {} · {stop} stop, {caution} caution, {note} note\n",
        review.verdict.sign(),
        review.verdict.word()
    );
    for line in stops(review) {
        paragraph(&mut out, &format!("Stop: {line}"), 6);
    }
    if let Some(limit) = &review.limiting {
        paragraph(&mut out, &format!("Limits: {}.", plain(&limit.sentence)), 2);
    }
    out += &format!(
        "Line: span {}, unstretched {}, standing {} at A and {} at B,\n  sag {} standing, {} with a walker in the middle.\n",
        l(file.plan.site.span.value),
        l(review.line.unstretched_m),
        f(review.line.standing_n[0]),
        f(review.line.standing_n[1]),
        l(review.line.sag_standing_m),
        l(review.line.sag_walker_m)
    );
    if !review.unsolved.is_empty() {
        out += "\nNot solved, and no verdict stands without it:\n";
        for u in &review.unsolved {
            paragraph(&mut out, &format!("! {}: {}", u.words(), u.why), 2);
        }
    }
    if let Some(said) = super::hung_said(review) {
        out.push('\n');
        paragraph(&mut out, &said, 2);
    }
    if let Some(counted) = super::claims_counted(review) {
        out += &format!("\nFigures that came with the plan: {counted}\n");
        for [sign, what, says, ours, slip] in super::claims_rows(review, system) {
            let slip = if slip.is_empty() { slip } else { format!(": {slip}") };
            paragraph(&mut out, &format!(" {sign} {what}: {says}, ours {ours}{slip}"), 4);
        }
    }
    table(&mut out, review, system, all);
    out += "\nWhy\n---\n";
    let worst = review.worst_first();
    let below: Vec<&&Row> = worst.iter().filter(|r| r.verdict != Verdict::Meets).collect();
    let shown = if all { below.len().max(3) } else { 1 };
    for r in worst.iter().take(shown) {
        out += &explain(r, system, WIDTH);
    }
    out += "\nFalls and failures\n------------------\n";
    let told = super::incidents::lines(file, review, system, all);
    let most = if all { told.len() } else { TOLD.min(told.len()) };
    for line in &told[..most] {
        paragraph(&mut out, &format!("· {line}"), 2);
    }
    if most < told.len() {
        out += &format!("… and {} more (--all shows them).\n", told.len() - most);
    }
    findings(&mut out, review, all);
    declarations(&mut out, file);
    let notes = notes(file);
    if !notes.is_empty() {
        out += "\nNotes in the plan\n-----------------\n";
        for [at, words] in notes {
            paragraph(&mut out, &format!("· {at}: {words}"), 2);
        }
    }
    out += "\n";
    paragraph(&mut out, CAUTION, 0);
    paragraph(
        &mut out,
        &format!(
            "spanwright {VERSION}, catalogue {}, plan {}; {} situations, largest force out of balance {:.0e} N; \
             {} falls and failures, books of energy out by at most {:.2} %.",
            file.catalogue.version,
            &file.digest()[..12],
            review.cases.len(),
            review.cases.iter().map(|c| c.certificate.residual_n).fold(0.0, f64::max),
            review.incidents.len(),
            100.0 * review.incidents.iter().map(|i| i.energy_error).fold(0.0, f64::max)
        ),
        0,
    );
    out
}

fn counts(review: &Review) -> (usize, usize, usize) {
    let n = |g: Gravity| review.findings.iter().filter(|f| f.gravity == g).count();
    (n(Gravity::Stop), n(Gravity::Caution), n(Gravity::Note))
}

fn table(out: &mut String, review: &Review, system: System, all: bool) {
    let rows = review.worst_first();
    let shown = if all { rows.len() } else { SHOWN.min(rows.len()) };
    *out += "\nWorst first                     demand   derated  factor required  verdict\n";
    *out += "------------------------------ --------- --------- ------ --------  --------\n";
    for r in &rows[..shown] {
        *out += &format!(
            "{} {:>9} {:>9} {:>6} {:>8}  {} {}\n",
            cell(&plain(&r.place.to_string()), 30),
            r.sees(system),
            r.keeps(system),
            r.found(system),
            r.asked(system),
            r.verdict.sign(),
            r.verdict.word()
        );
        paragraph(out, &format!("    {} · {}: {}", plain(&r.title), r.class.word(), plain(&r.told())), 4);
    }
    let (short, meet): (Vec<&&Row>, Vec<&&Row>) = rows[shown..].iter().partition(|r| r.verdict != Verdict::Meets);
    if !short.is_empty() {
        *out += &format!("… and {} more that do not meet (--all shows them).\n", short.len());
    }
    if !meet.is_empty() {
        let least = meet.iter().map(|r| r.margin()).fold(f64::INFINITY, f64::min);
        *out += &format!("… and {} more that meet, the least at {least:.1} times what is required.\n", meet.len());
    }
    if review.rows.iter().all(|r| r.class == Class::Working) {
        *out += "(No anchor has more than one leg.)\n";
    }
}

/// The chain from label to number of one row.
#[must_use]
pub fn explain(r: &Row, system: System, width: usize) -> String {
    let f = |n: f64| show(Dim::Force, n, system);
    let mut out = String::new();
    if r.is_height() {
        for line in height(r, system) {
            paragraph_of(&mut out, &line, 2, width);
        }
        out.push('\n');
        return out;
    }
    paragraph_of(
        &mut out,
        &format!("{} ({}), {}:", plain(&r.place.to_string()), plain(&r.title), r.class.word()),
        2,
        width,
    );
    for s in &r.strength.steps {
        let line = match s.amount {
            Amount::Newton(n) => format!("  {:>9}  {} [{}]", f(n), s.what, s.source),
            Amount::Factor { low, nominal } if (low - nominal).abs() > 1e-9 => {
                format!("  × {low:>7.3}  {} (nominal {nominal:.2}) [{}]", s.what, s.source)
            }
            Amount::Factor { low, .. } => format!("  × {low:>7.3}  {} [{}]", s.what, s.source),
        };
        // The figure is set flush right in nine columns.
        let pad = 9_usize.saturating_sub(f_width(s.amount, system));
        for (i, l) in wrap(&plain(line.trim_start()), width.saturating_sub(2 + pad), 11).into_iter().enumerate() {
            out += &format!("  {}{l}\n", if i == 0 { " ".repeat(pad) } else { String::new() });
        }
    }
    match r.strength.counts_n() {
        Some(n) => {
            let nominal = if (r.strength.nominal_n - n).abs() > 0.005 * n {
                format!(" (nominal {})", f(r.strength.nominal_n))
            } else {
                String::new()
            };
            paragraph_of(
                &mut out,
                &format!("= {}{nominal}, gives way at: {}", f(n), plain(&r.strength.spot)),
                2,
                width,
            );
            paragraph_of(
                &mut out,
                &format!(
                    "÷ {} in {} → {} of {} required: {} {}",
                    f(r.demand_n),
                    plain(&r.told()),
                    factor(r),
                    crate::review::factor_text(r.required),
                    r.verdict.sign(),
                    r.verdict.word()
                ),
                2,
                width,
            );
        }
        None => paragraph_of(
            &mut out,
            &format!("unrated: {}; carries {} in {}", plain(&r.strength.spot), f(r.demand_n), plain(&r.case())),
            2,
            width,
        ),
    }
    for d in &r.strength.doubts {
        paragraph_of(&mut out, &format!("note: {}", plain(d)), 2, width);
    }
    out.push('\n');
    out
}

/// A clearance, and what it follows from.
pub(super) fn height(r: &Row, system: System) -> Vec<String> {
    let l = |m: f64| show(Dim::Length, m, system);
    let head = format!("{} ({}), {}:", plain(&r.place.to_string()), plain(&r.title), r.class.word());
    let Some(h) = &r.height else {
        return vec![head, format!("  {} {}: {}", r.verdict.sign(), r.verdict.word(), plain(&r.strength.spot))];
    };
    let mut out = vec![
        head,
        format!(
            "  at {} from A they come down to {}, {} there stands at {}: {}",
            l(h.x_m),
            l(h.low_m),
            plain(&h.over),
            l(h.top_m),
            plain(&r.case())
        ),
        format!("  = {} of {} asked for: {} {}", r.found(system), r.asked(system), r.verdict.sign(), r.verdict.word()),
    ];
    let lows: Vec<String> = h.stretches_m.iter().map(|[a, b]| format!("{} to {}", l(*a), l(*b))).collect();
    if !lows.is_empty() {
        out.push(format!("  lower than asked for at {}", lows.join("; ")));
    }
    if matches!(r.verdict, Verdict::Unrated | Verdict::Unsolved) {
        out.push(format!("  {}", plain(&r.strength.spot)));
    }
    out
}

fn f_width(amount: Amount, system: System) -> usize {
    match amount {
        Amount::Newton(n) => show(Dim::Force, n, system).width(),
        Amount::Factor { .. } => 9,
    }
}

/// What says stop, a line for each rule: a figure never stands before it.
pub(super) fn stops(review: &Review) -> Vec<String> {
    let mut out: Vec<(&str, String, usize)> = Vec::new();
    for (f, places) in review.findings_by_text().into_iter().filter(|(f, _)| f.gravity == Gravity::Stop) {
        if let Some(o) = out.iter_mut().find(|o| o.0 == f.rule) {
            o.2 += 1;
        } else {
            let at = if places.is_empty() { String::new() } else { format!("{places}: ") };
            out.push((f.rule, plain(&format!("{at}{}", f.text)), 0));
        }
    }
    let more = |n: usize| if n > 0 { format!(" (and {n} more)") } else { String::new() };
    out.into_iter().map(|(rule, text, n)| format!("{text}{} [{rule}]", more(n))).collect()
}

/// What the plan says of itself, word for word: no rule reads the words behind a “yes”.
pub(super) fn declared(file: &PlanFile) -> Vec<[String; 3]> {
    let row = |(key, d): (&String, &Declared)| {
        let (answer, words) = match d {
            Declared::Yes(w) => ("yes", w.as_str()),
            Declared::No(w) => ("no", w.as_str()),
            Declared::Unknown => ("unknown", ""),
        };
        [plain(key), answer.to_owned(), plain(words)]
    };
    file.plan.declared.iter().map(row).collect()
}

/// What the plan's author noted, and where: no rule reads it either.
pub(super) fn notes(file: &PlanFile) -> Vec<[String; 2]> {
    fn walk(node: &Node, at: &str, out: &mut Vec<[String; 2]>) {
        match &node.body {
            Body::Fields(entries) | Body::Map(entries) => {
                for e in entries {
                    match &e.value.body {
                        Body::Text(words)
                            if ["note", "declared"].contains(&e.key.as_str()) && !words.trim().is_empty() =>
                        {
                            out.push([plain(at), plain(words)]);
                        }
                        _ if at == "the plan" || ["points", "runs", "items"].contains(&at) => {
                            walk(&e.value, &e.key, out);
                        }
                        _ => walk(&e.value, at, out),
                    }
                }
            }
            Body::List(nodes) | Body::Tuple(nodes) => nodes.iter().for_each(|n| walk(n, at, out)),
            _ => {}
        }
    }
    let mut out = Vec::new();
    walk(&file.root, "the plan", &mut out);
    out
}

fn declarations(out: &mut String, file: &PlanFile) {
    let told = declared(file);
    if told.is_empty() {
        return;
    }
    *out += "\nDeclared (no rule reads the words: read them)\n---------------------------------------------\n";
    let told: Vec<String> = told
        .into_iter()
        .map(|[key, answer, words]| format!("{key}: {answer}{}{words}", if words.is_empty() { "" } else { ", " }))
        .collect();
    paragraph(out, &format!("{}.", told.join(" · ")), 0);
}

fn findings(out: &mut String, review: &Review, all: bool) {
    *out += "Findings\n--------\n";
    let (.., notes) = counts(review);
    let mut last = "";
    // Of one kind the first is told, and how many more there are; stops stand at the head already.
    let told = review.findings_by_text();
    let wanted = |f: &Finding| all || f.gravity == Gravity::Caution;
    for (k, (f, places)) in told.iter().enumerate().filter(|(_, (f, _))| wanted(f)) {
        if !all {
            let first = told.iter().position(|(g, _)| g.rule == f.rule && wanted(g)) == Some(k);
            let more = told.iter().filter(|(g, _)| g.rule == f.rule && wanted(g)).count() - 1;
            if first {
                let at = if places.is_empty() { String::new() } else { format!("{places}: ") };
                let more = if more > 0 { format!(" (and {more} more)") } else { String::new() };
                paragraph(out, &plain(&format!("caution {at}{}{more}; {}. [{}]", f.text, f.remedy, f.rule)), 8);
            }
            continue;
        }
        let (f, places) = (*f, places.clone());
        let at = if places.is_empty() { places } else { format!("{places}: ") };
        // Why and what to do is said once for each rule.
        let words = if f.rule == last {
            format!("  and   {at}{}", f.text)
        } else {
            format!("{:<8}{at}{} — {}; {}. [{}]", f.gravity.word(), f.text, f.why, f.remedy, f.rule)
        };
        last = f.rule;
        paragraph(out, &plain(&words), 8);
        if let Some(reason) = &f.set_aside {
            paragraph(out, &format!("        set aside: {}", plain(reason)), 8);
        }
    }
    if !all && notes > 0 {
        *out += &format!("{notes} notes more (--all shows them, and every piece that meets)\n");
    }
    if review.findings.is_empty() {
        *out += "none\n";
    }
}
